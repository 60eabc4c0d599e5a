"""A sheet on paper as PDF: every block, the paper's size, the same bytes, nothing of the user as source."""

import shutil

import pytest

from bikewright.errors import EnvironmentFault, OutsideValidity
from bikewright.reports.sheets import pdf as writer
from bikewright.reports.sheets.page import (
    Alert,
    Cell,
    Column,
    Field,
    Heading,
    Numbered,
    Page,
    Part,
    Picture,
    Pictures,
    Prose,
    Row,
    Table,
)
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.svg import to_svg
from tests.reports.sample_drawings import leverage_sheet
from tests.reports.sheets.reading import facts, fonts, words

HOSTILE = '#import "@preview/x:1.0.0": * #panic("no") *b* _i_ $x^2$ <lab> @ref [c] {d} \\ ` // /* & </text><script>'
COLUMNS = (Column("quantity", share=2.0), Column("before", "right"), Column("after", "right"))


def page(*blocks, **fields):
    told = {"title": "change note", "subject": "sample", "key": "0123456789ab", "fields": ((Field("bike", "sample"),),)}
    return Page(**{**told, "blocks": blocks, **fields})


def every_block(text):
    return (
        Heading(text, text),
        Prose(text),
        Alert(text, (text, text)),
        Numbered((text, text)),
        Part("1", text),
        Table(COLUMNS, (Row((Cell(text, text, "accent"), Cell("1"), Cell("2")), (text,), 2.4),), bars=True),
        Pictures((Picture(to_svg(leverage_sheet()), 80.0, text),), text),
    )


def test_every_kind_of_block_is_set():
    told = words(to_pdf(page(*every_block("plain words"))))

    assert told.count("plain words") == 13  # the told of a picture is for those who do not see it
    assert "leverage" in told


def test_hostile_texts_are_read_as_they_were_written():
    told = words(to_pdf(page(*every_block(HOSTILE), fields=((Field(HOSTILE, HOSTILE),),), maker=HOSTILE)))

    assert told.count(HOSTILE) == 13 + 3


@pytest.mark.parametrize(("paper", "size"), [("a4", (595.3, 841.9)), ("letter", (612.0, 792.0))])
def test_the_paper_has_its_size(paper, size):
    """ISO 216 A4 is 210 x 297 mm, US letter 8.5 x 11 in; a point is 1/72 in."""
    told = facts(to_pdf(page(paper=paper)))["Page size"].split()

    assert (float(told[0]), float(told[2])) == pytest.approx(size, abs=0.1)


def test_the_same_sheet_is_the_same_file_and_no_clock_is_in_it():
    first, second = (to_pdf(page(*every_block("x"))) for _ in range(2))

    assert first == second
    assert not {"CreationDate", "ModDate"} & set(facts(first))


def test_the_sheet_is_set_in_one_face(tmp_path):
    assert shutil.which("pdffonts")
    found = fonts(to_pdf(page(*every_block("x"))), tmp_path)

    assert found and all("SourceSansPro" in name for name in found)


def test_every_page_says_its_number_its_version_and_the_caution():
    pages = to_pdf(page(*(Prose(f"line {number}") for number in range(150))))
    told = words(pages)
    count = int(facts(pages)["Pages"])

    assert count > 2
    for number in range(1, count + 1):
        assert f"page {number} of {count}" in told
    assert told.count("Limits printed on a part come first.") == count
    assert told.count("bikewright ") >= count
    assert told.count("0123456789ab") == count


def test_the_head_of_a_table_comes_again_on_every_page_and_no_row_leaves_its_note():
    rows = tuple(Row((Cell(f"quantity {n}"), Cell("1"), Cell("2")), (f"note {n}",)) for n in range(120))
    made = to_pdf(page(Table(COLUMNS, rows)))

    for number in range(1, int(facts(made)["Pages"]) + 1):
        told = words(made, "-layout", "-f", str(number), "-l", str(number))
        assert told.count("quantity before after") == 1
        named = {n for n in range(120) if f"quantity {n} " in told}
        assert named == {n for n in range(120) if f"note {n} " in f"{told} "}


def test_a_picture_that_is_none_is_refused():
    with pytest.raises(OutsideValidity, match="typst cannot set this"):
        to_pdf(page(Pictures((Picture("<svg", 10.0, "x"),))))


@pytest.mark.fault
def test_a_warning_of_typst_is_a_failure(monkeypatch):
    monkeypatch.setattr(writer, "FONT_FAMILY", "No Such Face")
    with pytest.raises(EnvironmentFault, match="unknown font family"):
        to_pdf(page())

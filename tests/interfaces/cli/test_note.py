"""`bikewright note`: a change note as a file; its exit code tells a script whether the build may be built."""

import pytest

from bikewright.model.addresses import apply, read_change
from bikewright.model.files import read_bike
from bikewright.reports.sheets.change_note import Note, change_note
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.studies.compare import compare
from tests.interfaces.cli.asked import BIKES, QUILLBACK, ask
from tests.model.small_bike import lay
from tests.reports.sheets.reading import facts, words

CHANGE = ("--with", "fork=single-crown-170")


def test_the_file_is_the_sheet_of_the_comparison(tmp_path):
    out = tmp_path / "note.pdf"
    told = ask("note", QUILLBACK, "--build", "stock", *CHANGE, "--out", out)

    bike = read_bike(QUILLBACK)
    before = bike.build("stock")
    after = apply(before, read_change(CHANGE[1]), bike.stock, bike.riders).changed(name="stock-changed")
    note = Note(comparison=compare(before, after, bike.brief))
    assert (told.code, told.err) == (0, "")
    assert told.out == f"change note {note.key} written to {out}\n"
    assert out.read_bytes() == to_pdf(change_note(note))
    assert [file.name for file in tmp_path.iterdir()] == ["note.pdf"]


@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
def test_every_option_shows_on_the_sheet(tmp_path, bike):
    out = tmp_path / "note.pdf"
    told = ask("note", bike, "--build", "stock", "--with", "stem.length_mm+=15", "--sizes", "--paper", "letter",
               "--date", "2031-02-03", "--units", "in", "--out", out)  # fmt: skip
    text = words(out.read_bytes())

    assert told.code == 0
    assert facts(out.read_bytes())["Page size"].startswith("612 x 792")
    assert "2031-02-03" in text and "All sizes" in text and " in " in text


def test_another_build_and_a_later_revision_can_stand_after(tmp_path):
    assert ask("note", QUILLBACK, "--build", "stock", "--to", "coil", "--out", tmp_path / "a.pdf").code == 0
    assert "stock → coil" in words((tmp_path / "a.pdf").read_bytes())

    old, new = lay(tmp_path / "a"), lay(tmp_path / "b")
    text = (new / "bike.toml").read_text().replace("reach_mm = 455", "reach_mm = 465")
    (new / "bike.toml").write_text(text)
    assert ask("note", old, "--against", new, "--out", tmp_path / "b.pdf").code == 0
    assert "reach of size M: 455 mm → 465 mm" in words((tmp_path / "b.pdf").read_bytes())


def test_a_refused_build_is_written_down_and_is_exit_code_2(tmp_path):
    out = tmp_path / "note.pdf"
    told = ask("note", QUILLBACK, "--with", "rear_tyre.width_mm=80", "--out", out)

    assert told.code == 2
    assert "the rear tyre's width is 80 mm" in " ".join(told.err.split())
    assert "Refused: the build after may not be built" in words(out.read_bytes())


def test_a_value_that_an_error_stopped_is_exit_code_2_and_one_that_waits_is_0(tmp_path):
    out = tmp_path / "note.pdf"

    told = ask("note", QUILLBACK, "--with", "shock.chassis.eye_to_eye_mm=300", "--out", out)
    assert (told.code, told.err.count("do not reach each other")) == (2, 1)
    assert ask("note", QUILLBACK, "--with", "stem=unknown", "--out", out).code == 0
    assert "Waits for a stem. Lost: hands ahead" in words(out.read_bytes())


@pytest.mark.parametrize(
    ("words_", "says"),
    [
        (("--out", "note.svg"), "this is written as .pdf, not as '.svg'"),
        (("--out", "nowhere/note.pdf"), "there is no folder nowhere"),
        ((), "Missing option '--out'"),
        (("--out", "note.pdf", "--paper", "a3"), "'a3' is not one of 'a4', 'letter'"),
        (("--out", "note.pdf", "--date", "yesterday"), "does not match the format"),
        (("--out", "note.pdf", "--size", "Q"), "Q"),
        (("--out", "note.pdf", "--units", "furlong"), "'furlong' is no unit to show"),
    ],
)
def test_a_question_that_cannot_be_meant_is_exit_code_2_and_writes_nothing(tmp_path, monkeypatch, words_, says):
    monkeypatch.chdir(tmp_path)
    told = ask("note", QUILLBACK, *CHANGE, *words_)

    assert told.code == 2
    assert says in " ".join(told.err.split())
    assert list(tmp_path.iterdir()) == []

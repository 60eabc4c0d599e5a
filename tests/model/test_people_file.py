"""A firm's own list of people is read as people write it, and what cannot be meant is told by line and column."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import ModelFileError, UnitError
from bikewright.model.people_file import people_of, read_length_mm, read_people

LIST = """\
# Invented.
Height,Inseam,Size,Returned
178 cm,84 cm,L,no
5 ft 10 in,,L,yes

1.65 m,76 cm,S,No
"""


def test_a_list_is_read_with_notes_and_blank_lines_passed_over():
    people = people_of(LIST).people

    assert [person.height_mm for person in people] == pytest.approx([1780.0, 1778.0, 1650.0])
    assert [person.inseam_mm for person in people] == [840.0, None, 760.0]
    assert [person.size for person in people] == ["L", "L", "S"]
    assert [person.returned for person in people] == [False, True, False]
    assert [person.line for person in people] == [3, 4, 6]


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ("178 cm", 1780.0),
        ("178cm", 1780.0),
        ("177,5 cm", 1775.0),
        ("1780 mm", 1780.0),
        ("1.78 m", 1780.0),
        ("70 in", 1778.0),
        ('70"', 1778.0),
        ("5 ft 10 in", 1778.0),
        ("5'10\"", 1778.0),
        ("5' 10.5", 1790.7),
        ("6ft", 1828.8),
    ],
)
def test_a_length_is_read_in_each_way_in_which_people_write_it(text, length_mm):
    assert read_length_mm(text) == pytest.approx(length_mm)


@given(st.integers(4, 7), st.integers(0, 11))
def test_feet_and_inches_are_twelve_and_254(feet, inches):
    assert read_length_mm(f"{feet} ft {inches} in") == pytest.approx((12 * feet + inches) * 25.4)


@pytest.mark.parametrize("text", ["178", "tall", "178 kg", "5 ft 13 in", "", "-178 cm cm"])
def test_what_is_no_length_is_refused(text):
    with pytest.raises(UnitError):
        read_length_mm(text)


@pytest.mark.parametrize("heading", ["height (cm)", "Height cm", "height_cm", "Stature, cm"])
def test_a_unit_in_the_heading_holds_for_its_column(heading):
    semicolons = f"{heading};size\n178;L\n5 ft 10 in;M\n"

    assert [person.height_mm for person in people_of(semicolons).people] == pytest.approx([1780.0, 1778.0])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("height\n178\n", ("line 2, column 1", "height", 'found "178"', "behind it or in the heading")),
        ("height (in)\n178\n", ("line 2", "which is 4521 mm", "1000 to 2300 mm", "Check the unit")),
        ("size,height\nQ,178 cm\n", ("line 2, column 1", 'found "Q"', "allowed: S or M or L")),
        ("height,returned\n178 cm,maybe\n", ("line 2, column 2", 'found "maybe"', "yes or no")),
        ("height,build\n178 cm,tall\n", ("column 2", 'found "tall"', "male or female")),
        ("height,shoe\n178 cm,44\n", ("line 1, column 2", 'found "shoe"', "Take the column out")),
        ("height,stature\n178 cm,178 cm\n", ("line 1, column 2", "a second column")),
        ("size\nL\n", ("line 1", "found no such column", "a column height")),
        ("height,size\n,L\n", ("line 2, column 1", "found nothing")),
        ("height,size\n1,78 m,L\n", ("line 2", "found 3 cells", "allowed: 2", "decimal comma")),
        ("height\n", ("line 1", "a heading alone")),
        ("# a note\n", ("found no line",)),
    ],
)
def test_what_cannot_be_meant_is_told_with_its_place(text, told):
    with pytest.raises(ModelFileError) as caught:
        people_of(text, "buyers.csv", ("S", "M", "L"))

    for words in ("buyers.csv", *told):
        assert words in str(caught.value), words


def test_every_fault_is_told_and_not_more_than_a_person_can_use():
    with pytest.raises(ModelFileError) as caught:
        people_of("height\n" + "178\n" * 80)

    assert len(caught.value.faults) == 51


def test_a_file_that_is_none_is_an_error_of_its_own(tmp_path):
    binary = tmp_path / "binary.csv"
    binary.write_bytes(b"\0\1\2")
    latin = tmp_path / "latin.csv"
    latin.write_bytes("größe\n".encode("latin-1"))

    for path, words in ((tmp_path / "gone.csv", "cannot be read"), (binary, "binary"), (latin, "not UTF-8")):
        with pytest.raises(ModelFileError, match=words):
            read_people(path)


@given(st.text(max_size=200))
def test_any_text_is_people_or_an_error_that_was_meant(text):
    try:
        people_of(text)
    except ModelFileError as error:
        assert str(error)

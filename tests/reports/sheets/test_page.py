"""Texts of a sheet on paper: what a reader cannot see or the face does not hold is told by its number."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.reports.sheets.page import CELL_AT_MOST, LONGEST_WORD, ZERO_WIDTH_SPACE, cut, printable, room_mm
from bikewright.reports.typesetting import is_held


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("head angle −0.4°, 27.5 × 2.4 → high", "head angle −0.4°, 27.5 × 2.4 → high"),
        ('#import "@preview/x:1.0.0": *', '#import "@preview/x:1.0.0": *'),
        ("two\n\tlines  and   gaps ", "two lines and gaps"),
        ("turned \u202egnp.exe", "turned [U+202E]gnp.exe"),
        ("hidden\u200bjoint\x07", "hidden[U+200B]joint[U+0007]"),
        ("bike \U0001f6b2", "bike [U+1F6B2]"),
        ("\u05d0\u05d1", "[U+05D0][U+05D1]"),
        ("Ærø Łódź Ελλάδα Київ", "Ærø Łódź Ελλάδα Київ"),
    ],
)
def test_what_is_read_is_what_was_written_or_its_number(text, told):
    assert printable(text, is_held) == told


def test_a_long_word_may_be_broken_and_says_the_same():
    word = "W" * 300
    told = printable(f"a {word} b", is_held)

    assert told.replace(ZERO_WIDTH_SPACE, "") == f"a {word} b"
    assert max(len(piece) for piece in told.replace(ZERO_WIDTH_SPACE, " ").split()) <= LONGEST_WORD


@given(st.text(max_size=200))
def test_any_text_becomes_one_line_of_the_face(text):
    told = printable(text, is_held)

    assert all(character == ZERO_WIDTH_SPACE or is_held(character) for character in told)
    assert "\n" not in told and "  " not in told and told == told.strip()


def test_a_cell_of_the_title_block_is_cut_where_it_would_push_the_rest_off():
    assert cut("C") == "C"
    assert len(cut("x" * 2000)) == CELL_AT_MOST
    assert cut("x" * 2000).endswith("…")


def test_the_room_is_the_paper_without_its_margins():
    """ISO 216: A4 is 210 mm wide; US letter 8.5 in."""
    assert room_mm("a4") == pytest.approx(210.0 - 28.0)
    assert room_mm("letter") == pytest.approx(8.5 * 25.4 - 28.0)

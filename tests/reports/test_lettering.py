"""Room that a text takes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.reports.lettering import ABOVE, BELOW, CAPITAL, advance, shortened, text_width_mm, wrapped
from bikewright.reports.raster import font_folder

CHARACTERS = [chr(code) for code in range(32, 0x17F)] + list("−–…×°→←↑↓≤≥≈ΔµΩα“”‘’")


@pytest.mark.oracle
@pytest.mark.parametrize(("weight", "file"), [("regular", "Regular"), ("semibold", "Semibold")])
def test_no_character_is_wider_in_the_font_than_in_the_table(weight, file):
    """Oracle: fontTools reads the advances of the face that sheets are set in."""
    tt = pytest.importorskip("fontTools.ttLib")
    font = tt.TTFont(font_folder() / f"SourceSansPro-{file}.ttf")
    names, widths = font.getBestCmap(), font["hmtx"]
    em = font["head"].unitsPerEm
    known = [c for c in CHARACTERS if ord(c) in names]
    assert len(known) > 250
    too_narrow = {c: (advance(c, weight), widths[names[ord(c)]][0] / em) for c in known}
    assert {c: pair for c, pair in too_narrow.items() if pair[0] < pair[1] - 1e-3} == {}
    assert font["OS/2"].sCapHeight / em == pytest.approx(CAPITAL, abs=0.005)
    assert (font["hhea"].ascent / em, -font["hhea"].descent / em) == pytest.approx((ABOVE, BELOW), abs=1e-3)


def test_figures_are_of_one_width():
    """A column of numbers stands in line in any face that the table covers."""
    assert len({advance(figure) for figure in "0123456789"}) == 1


def test_accents_count_as_their_letter_and_strangers_as_a_whole_em():
    assert advance("é") == advance("e")
    assert advance("漢") == 1.0


@given(st.text(max_size=80), st.floats(1.0, 5.0), st.floats(5.0, 120.0))
def test_lines_fit_their_room(text, size, room):
    lines = wrapped(text, size, room)
    assert all(text_width_mm(line, size) <= room or line == "…" for line in lines)


def test_words_are_kept_in_order():
    text = "limits printed on a part come first"
    assert " ".join(wrapped(text, 3.0, 30.0)) == text
    assert len(wrapped(text, 3.0, 30.0)) > 1


def test_what_does_not_fit_is_cut_visibly():
    assert shortened("wheelbase", 3.0, 100.0) == "wheelbase"
    assert shortened("wheelbase", 3.0, 8.0).endswith("…")

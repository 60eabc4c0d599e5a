"""Border and title block."""

from dataclasses import replace

import pytest

import bikewright
from bikewright.errors import OutsideValidity
from bikewright.reports.paper import colliding_texts, extent, texts, texts_off_sheet
from bikewright.reports.sheet_frame import CAUTION, FORMATS, TitleBlock, drawing_window, framed, free_extent
from tests.reports.sample_drawings import HOSTILE

FULL = TitleBlock(
    title="side view", bike="Ravelin Quillback", build="single-crown air fork, 160 mm", size="M", state="standing",
    revision="0007", scale="1:8", date="2026-05-04", not_modelled="flex of tyres, frame and wheels",
)  # fmt: skip


@pytest.mark.parametrize("size", [*FORMATS.values(), (180.0, 100.0)])
@pytest.mark.parametrize("bike", ["Ravelin Quillback", HOSTILE * 4, ""])
def test_no_text_collides_or_leaves_the_sheet(size, bike):
    sheet = framed(replace(FULL, bike=bike), (), size)
    assert colliding_texts(sheet) == ()
    assert texts_off_sheet(sheet) == ()


def test_the_title_block_tells_all_it_knows():
    words = {text.text for text in texts(framed(FULL, ()))}
    for told in ("side view", "Ravelin Quillback", "M", "standing", "0007", "1:8", "2026-05-04"):
        assert told in words
    assert f"bikewright {bikewright.__version__}" in words
    assert "not modelled: flex of tyres, frame and wheels" in words


def test_the_date_stands_there_only_where_it_is_given():
    words = [text.text for text in texts(framed(replace(FULL, date=""), ()))]
    assert "date" not in words


@pytest.mark.parametrize("size", [*FORMATS.values(), (180.0, 100.0)])
def test_the_caution_is_never_cut(size):
    words = " ".join(text.text for text in texts(framed(FULL, (), size)))
    assert CAUTION in words


def test_a_caution_that_cannot_be_read_whole_is_refused():
    with pytest.raises(OutsideValidity, match="fewer words"):
        framed(replace(FULL, caution="mind " * 300), ())


def test_the_papers_are_the_standard_ones():
    """ISO 216 (from memory): A4 is 210 x 297 mm. Letter is 8.5 x 11 in, at 25.4 mm."""
    assert {"a4": (297.0, 210.0), "letter": (pytest.approx(11 * 25.4), pytest.approx(8.5 * 25.4))} == FORMATS


def test_the_window_lies_clear_of_border_and_block():
    left, bottom, right, top = drawing_window(FORMATS["a4"], FULL)
    frame = framed(FULL, ()).layers
    low, high = extent(frame)[1], extent(frame)[3]
    block = next(layer for layer in frame if layer.name == "title block")
    assert bottom > extent((block,))[3]
    assert low < bottom < top < high
    assert left < right


def test_a_free_sheet_gives_the_room_that_was_asked_for():
    left, bottom, right, top = drawing_window(free_extent(250.0, 120.0, FULL), FULL)
    assert (right - left, top - bottom) == pytest.approx((250.0, 120.0))


def test_a_sheet_that_is_too_narrow_is_refused():
    with pytest.raises(OutsideValidity, match="at least 180 mm"):
        framed(FULL, (), (120.0, 200.0))

"""The linkage of one size: common pins, shifts, own pins, chips."""

import pytest

from bikewright.errors import ModelError
from bikewright.model.addresses import with_value
from bikewright.model.build import ChipSetting
from bikewright.model.drawing import linkage_drawing, linkage_of
from bikewright.model.frame import MovedPin, SizeLinkage
from tests.sample_bike import BUILD, FRAME


def marks(drawing):
    return {(pin, body): (x, z) for pin, body, x, z in drawing.marks}


def own(**fields):
    return with_value(BUILD, "sizes.M.linkage", SizeLinkage(**fields)).frame


def test_every_pin_has_a_mark_on_each_body_it_joins():
    drawing = linkage_drawing(FRAME, "M")

    assert len(drawing.marks) == 8
    assert marks(drawing)["main", "frame"] == marks(drawing)["main", "swingarm"] == (10.0, 60.0)
    assert drawing.drawn_eye_to_eye_mm == 210.0


def test_a_shift_moves_all_pins_of_one_size():
    shifted = own(shift_x_mm=-4.0)

    assert marks(linkage_drawing(shifted, "M"))["axle", "wheel"] == (-439.0, 25.0)
    assert marks(linkage_drawing(shifted, "L"))["axle", "wheel"] == (-435.0, 25.0)


def test_a_chip_moves_its_pin_on_its_body_only():
    drawing = linkage_of(BUILD.changed(chips=(ChipSetting(name="mount", position="high"),)))

    assert marks(drawing)["shock_front", "frame"] == (118.0, 240.0)
    assert marks(drawing)["shock_front", "shock"] == (120.0, 240.0)
    assert drawing.drawn_eye_to_eye_mm == 210.0


def test_a_size_may_not_reshape_a_link_that_others_share():
    with pytest.raises(ModelError, match=r"size M would reshape the link 'swingarm'.*main to axle is 446.37"):
        linkage_drawing(own(pins=(MovedPin(name="main", z_mm=63.0),)), "M")


def test_a_size_with_a_link_of_its_own_may():
    drawing = linkage_drawing(own(pins=(MovedPin(name="main", z_mm=63.0),), own_links=("swingarm",)), "M")

    assert marks(drawing)["main", "swingarm"] == (10.0, 63.0)
    assert drawing.own_pins == ("main",)


def test_a_pin_of_the_frame_alone_reshapes_no_link():
    """The shock is no link: another mount in one size only changes the length at which it is drawn."""
    drawing = linkage_drawing(own(pins=(MovedPin(name="shock_front", x_mm=121.0),)), "M")

    assert drawing.drawn_eye_to_eye_mm == 211.0


@pytest.mark.parametrize(
    ("chips", "told"),
    [
        ((ChipSetting(name="mount", position="middle"),), "has no position 'middle'; it has: low, high"),
        ((ChipSetting(name="rocker", position="low"),), "no chip called 'rocker'; there are: mount"),
    ],
)
def test_unknown_chips_are_named(chips, told):
    with pytest.raises(ModelError, match=told):
        linkage_drawing(FRAME, "M", chips)


def test_a_hardtail_has_nothing_to_draw():
    with pytest.raises(ModelError, match="has no linkage"):
        linkage_drawing(with_value(BUILD, "linkage", None).frame, "M")

"""The groups turned bar and heel: what they read, what they wait for, and links as they are carried along."""

import math

import numpy as np
import pytest

from bikewright.errors import OutsideValidity
from bikewright.model.addresses import with_value
from bikewright.model.build import remade
from bikewright.model.frame import BodySize
from bikewright.studies.evaluate import evaluate
from bikewright.studies.reaching import _links
from bikewright.units import DEG, MM
from tests.sample_bike import BUILD, LOADED


def changed(*pairs):
    build = LOADED
    for address, value in pairs:
        build = with_value(build, address, value)
    return build


def with_bodies(*bodies, build=LOADED):
    frame = build.frame
    return build.changed(frame=remade(frame, {"linkage": remade(frame.linkage, {"bodies": bodies})}))


def number(build, key):
    return evaluate(build).value(key).number


def waits(build, key):
    return evaluate(build).value(key).waits


def test_the_bar_turns_to_the_first_contact_or_to_its_stop():
    free = number(LOADED, "bar_turn_free_deg")
    stopped = changed(("headset.turn_max_deg", 70.0))

    assert number(LOADED, "lever_to_top_tube_mm") > 0.0 and free == 180.0
    assert number(stopped, "bar_turn_free_deg") == pytest.approx(70.0)
    assert number(stopped, "lever_to_top_tube_mm") > number(LOADED, "lever_to_top_tube_mm")
    low = changed(("lever_angle_deg", 80.0), ("stem_spacers_mm", 0.0))
    assert number(low, "lever_to_top_tube_mm") < 0.0
    assert 30.0 < number(low, "bar_turn_free_deg") < 120.0


def test_spacers_lift_the_grip_over_the_tube_by_their_height_square_to_it():
    """The tube leans against the axis; 10 mm along the axis are 10 cos of that lean over it, as long as the nearest
    places are inside both rods."""
    front, tube = evaluate(LOADED).group("front end"), evaluate(LOADED).group("turned bar")
    head, (x, z) = LOADED.geometry_row, front.axis.up
    rises = [number(changed(("stem_spacers_mm", spacers)), "bar_to_top_tube_mm") for spacers in (10.0, 20.0)]

    assert tube.bar.side == "over" and head.head_angle_deg * DEG == pytest.approx(math.atan2(z, -x))
    assert 9.0 < rises[1] - rises[0] <= 10.0 + 1e-9


@pytest.mark.parametrize(
    ("address", "keys"),
    [
        ("lever_angle_deg", ("lever_to_top_tube_mm", "bar_turn_free_deg")),
        ("lever_reach_mm", ("lever_to_top_tube_mm", "bar_turn_free_deg")),
        ("sizes.M.top_tube_diameter_mm", ("lever_to_top_tube_mm", "bar_to_top_tube_mm", "bar_turn_free_deg")),
        ("sizes.M.top_tube_below_mm", ("lever_to_top_tube_mm", "bar_to_top_tube_mm", "bar_turn_free_deg")),
        ("grip", ("lever_to_top_tube_mm", "bar_to_top_tube_mm", "bar_turn_free_deg")),
        ("linkage.bodies.swingarm.half_width_mm", ("heel_to_rocker_mm",)),
        ("crank.foot_from_arm_mm", ("heel_to_rocker_mm",)),
        ("shock", ("heel_to_rocker_mm",)),
        ("rider", ("heel_to_rocker_mm",)),
    ],
)
def test_what_is_unknown_leaves_a_blank_that_says_so(address, keys):
    build = LOADED.changed(rider=None) if address == "rider" else changed((address, None))
    for key in ("lever_to_top_tube_mm", "bar_to_top_tube_mm", "bar_turn_free_deg", "heel_to_rocker_mm"):
        assert (number(build, key) is None) == (key in keys)
        if key in keys:
            told = waits(build, key)
            assert told.startswith("waits for") and address.rpartition(".")[2] in told


def test_a_frame_without_a_linkage_has_no_rocker():
    frame = remade(LOADED.frame, {"linkage": None})
    hardtail = LOADED.changed(frame=frame, parts=remade(LOADED.parts, {"shock": None}), chips=())

    assert waits(hardtail, "heel_to_rocker_mm").startswith("does not apply")


def test_a_lever_too_far_in_is_an_error_of_the_bar_alone():
    far = changed(("lever_from_grip_mm", 150.0), ("grip.length_mm", 240.0), ("bar.width_mm", 700.0))

    assert "past its middle" in waits(far, "lever_to_top_tube_mm")
    assert number(far, "heel_to_rocker_mm") is not None
    with pytest.raises(OutsideValidity):
        evaluate(far).group("turned bar")


def test_the_narrowest_room_of_all_links_counts_and_is_named():
    """Half of 282 mm less 35 and less 60: the swingarm crosses the heel in the side view, so 46 mm sideways."""
    found = evaluate(LOADED).group("heel")

    assert (found.room, found.link) == (pytest.approx(46 * MM), "swingarm")
    assert 0.0 <= found.travel <= evaluate(LOADED).group("linkage").rear_travel
    assert 0.0 <= found.turn < 2.0 * math.pi
    assert number(changed(("linkage.bodies.swingarm.half_width_mm", 20.0)), "heel_to_rocker_mm") == pytest.approx(86.0)


def corners_of(build, *bodies):
    motion = evaluate(build).group("linkage").motion
    return dict(_links(with_bodies(*bodies, build=build).frame.linkage, motion)), motion


DRAWN = ((10.0, 60.0), (-435.0, 25.0), (-90.0, 240.0))
"""The pins of the swingarm as they are drawn."""


def test_an_outline_drawn_through_the_pins_goes_with_them():
    """Corner by corner where the pins are, at every place; no boss is added to a drawn outline."""
    found, motion = corners_of(LOADED, BodySize(name="swingarm", half_width_mm=60.0, points_mm=DRAWN))
    arm = found["swingarm"]

    assert arm.edge == 0.0
    for corner, pin in enumerate(("main", "axle", "shock_rear")):
        np.testing.assert_allclose(arm.corners[:, corner], motion.point(pin), atol=1e-12)


def test_an_outline_goes_with_the_linkage_of_a_size_that_is_shifted():
    shifted = changed(("sizes.M.linkage.shift_x_mm", 7.0))
    found, motion = corners_of(shifted, BodySize(name="swingarm", half_width_mm=60.0, points_mm=DRAWN))

    np.testing.assert_allclose(found["swingarm"].corners[:, 2], motion.point("shock_rear"), atol=1e-12)


def test_bosses_and_webs_hold_less_room_than_a_bare_outline():
    """14 mm of boss are 14 mm less in the side view."""
    bare = BodySize(name="swingarm", half_width_mm=140.0, points_mm=((-60.0, 400.0), (-60.0, 420.0), (-50.0, 410.0)))
    free = number(with_bodies(bare), "heel_to_rocker_mm")

    assert free > 0.0
    assert number(with_bodies(bare, BodySize(name="swingarm")), "heel_to_rocker_mm") == free


def test_a_turned_bar_needs_no_linkage_no_rider_and_no_fork():
    frame = remade(BUILD.frame, {"sizes": LOADED.frame.sizes})
    build = BUILD.changed(frame=frame, parts=remade(BUILD.parts, {"fork": None, "shock": None}))

    assert number(build, "bar_to_top_tube_mm") == pytest.approx(number(LOADED, "bar_to_top_tube_mm"), abs=1e-9)

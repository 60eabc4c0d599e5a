"""Geometry tables: what goes in comes out of the bike that was made from it, and what does not close is told."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.physics.geometry import GroundGeometry, ground_geometry
from bikewright.physics.plane import distance
from bikewright.physics.steering import Headset, front_axle, steering_axis
from bikewright.physics.table import ClosedTable, GeometryTable, close_table
from bikewright.units import DEG, MM
from tests.physics.sane_bikes import deg, headsets, mm

MADE = GeometryTable(
    reach=0.4,
    stack=0.6,
    head_angle=60 * DEG,
    axle_to_crown=0.5,
    fork_offset=0.05,
    front_radius=0.37,
    rear_radius=0.37,
    head_tube=0.1,
    rear_centre=math.hypot(0.4, 0.625 - 0.3 * math.sqrt(3)),
    bb_drop=0.625 - 0.3 * math.sqrt(3),
    wheelbase=0.7 + 0.025 * math.sqrt(3) + 0.4,
)
"""The level bike of `test_geometry`, worked by hand: 100 mm of head tube and 500 mm of fork just close."""

tables = st.builds(
    GeometryTable,
    reach=mm(400, 540),
    stack=mm(580, 680),
    head_angle=deg(61, 71),
    axle_to_crown=mm(440, 610),
    fork_offset=mm(35, 60),
    front_radius=mm(340, 380),
    rear_radius=mm(340, 380),
    headset=headsets,
    head_tube=mm(85, 160),
    rear_centre=mm(410, 470),
    bb_drop=mm(-20, 60),
    seat_angle_actual=deg(66, 75),
    seat_angle_effective=deg(72, 79),
)


def standing(table: GeometryTable, closed: ClosedTable) -> GroundGeometry:
    """The datum build, by the way that every other build goes."""
    return ground_geometry(
        closed.head_tube,
        closed.headset,
        closed.fork,
        rear_axle=closed.rear_axle,
        rear_radius=table.rear_radius,
        front_radius=table.front_radius,
        seat_tube=closed.seat_tube,
    )


@given(tables)
def test_a_table_comes_out_of_the_bike_that_was_made_from_it(table):
    closed = close_table(table)
    g = standing(table, closed)

    assert g.pitch == pytest.approx(0.0, abs=1e-12)
    for stated, found in (
        (table.reach, g.reach),
        (table.stack, g.stack),
        (table.head_angle, g.head_angle),
        (table.rear_centre, g.rear_centre),
        (table.bb_drop, g.rear_drop),
        (table.seat_angle_actual, g.seat_angle_actual),
        (table.seat_angle_effective, g.seat_angle_effective),
        (closed.wheelbase, g.wheelbase),
        (table.rear_radius - table.bb_drop, g.bb_height),
    ):
        assert found == pytest.approx(stated, abs=1e-9)
    assert g.front_axle == pytest.approx(closed.front_axle, abs=1e-12)


@given(tables)
def test_closing_is_what_the_stated_lengths_leave(table):
    """From the upper face to the axle's foot: head tube, closing, stack and fork add up along the steering axis."""
    closed = close_table(table)
    axis = steering_axis(closed.head_tube, closed.headset)
    along = distance(axis.upper, closed.front_axle)
    foot = math.sqrt(along**2 - table.fork_offset**2)
    tube = distance(axis.upper, axis.lower)

    assert tube + closed.head_tube.closing + table.headset.lower_stack + table.axle_to_crown == pytest.approx(foot)
    assert closed.closing_residual == -closed.head_tube.closing
    assert front_axle(axis, closed.fork) == pytest.approx(closed.front_axle, abs=1e-12)


def test_a_table_that_closes_has_nothing_left():
    closed = close_table(MADE)

    assert closed.closing_residual == pytest.approx(0.0, abs=1e-15)
    assert closed.wheelbase_residual == pytest.approx(0.0, abs=1e-15)
    assert closed.rear_axle == pytest.approx((-0.4, MADE.bb_drop), abs=1e-15)
    assert (closed.head_tube_derived, closed.fork_offset_derived, closed.rear_centre_derived) == (False, False, False)
    assert closed.seat_tube is None


def test_a_head_tube_stated_too_long_is_taken_back_and_told():
    """4 mm too long: stated less needed is +4 mm, and the frame carries -4 mm so that the printed angle holds."""
    closed = close_table(replace(MADE, head_tube=0.104))

    assert closed.closing_residual == pytest.approx(0.004, abs=1e-15)
    assert closed.head_tube.closing == pytest.approx(-0.004, abs=1e-15)
    assert standing(MADE, closed).head_angle == pytest.approx(60 * DEG, abs=1e-12)


def test_a_wheelbase_that_does_not_fit_is_told_in_metres():
    closed = close_table(replace(MADE, wheelbase=MADE.wheelbase + 0.003))

    assert closed.wheelbase_residual == pytest.approx(0.003, abs=1e-15)


@given(tables)
def test_an_unknown_fork_offset_follows_from_the_wheelbase(table):
    wheelbase = close_table(table).wheelbase
    closed = close_table(replace(table, fork_offset=None, wheelbase=wheelbase))

    assert closed.fork.offset == pytest.approx(table.fork_offset, abs=1e-12)
    assert closed.fork_offset_derived
    assert closed.wheelbase_residual is None
    assert closed.head_tube.closing == pytest.approx(close_table(table).head_tube.closing, abs=1e-12)


@given(tables)
def test_an_unknown_rear_centre_follows_from_the_wheelbase(table):
    known = close_table(table)
    closed = close_table(replace(table, rear_centre=None, wheelbase=known.wheelbase))

    assert closed.rear_axle == pytest.approx(known.rear_axle, abs=1e-12)
    assert closed.rear_centre_derived
    assert closed.wheelbase_residual is None


def test_an_unknown_head_tube_takes_up_the_closing():
    closed = close_table(replace(MADE, head_tube=None))

    assert closed.head_tube.length == pytest.approx(0.1, abs=1e-15)
    assert closed.head_tube.closing == 0.0
    assert closed.head_tube_derived


@given(tables)
def test_a_derived_head_tube_closes_with_leaning_cups_too(table):
    table = replace(table, head_tube=None, axle_to_crown=table.axle_to_crown - 0.12)
    try:
        closed = close_table(table)
    except OutsideValidity as refusal:
        assert "for the head tube" in str(refusal)
        return
    g = standing(table, closed)

    assert g.head_angle == pytest.approx(table.head_angle, abs=1e-12)
    assert g.bb_height == pytest.approx(table.rear_radius - table.bb_drop, abs=1e-12)


def test_the_frame_keeps_the_head_tube_of_a_table_stated_with_an_angle_cup():
    """Offsets of -1 and +1 mm on 100 mm lean the axis back by atan(2/100) = 1.1458 degrees: the tube is steeper."""
    closed = close_table(replace(MADE, headset=Headset(upper_offset=-0.001, lower_offset=0.001)))

    assert closed.head_tube.angle / DEG == pytest.approx(61.1458, abs=1e-4)
    assert standing(MADE, closed).reach == pytest.approx(0.4, abs=1e-12)


def test_a_drawing_is_believed_before_the_table_and_the_difference_told():
    drawn = (-0.402, MADE.bb_drop + 0.001)
    closed = close_table(replace(MADE, rear_axle=drawn, bb_height=0.270))

    assert closed.rear_axle == drawn
    assert closed.drop_residual == pytest.approx(-0.001, abs=1e-15)
    assert closed.rear_centre_residual == pytest.approx(MADE.rear_centre - math.hypot(*drawn), abs=1e-15)
    assert closed.bb_height_residual == pytest.approx(0.270 - (0.37 - drawn[1]), abs=1e-15)
    assert standing(MADE, closed).rear_drop == pytest.approx(drawn[1], abs=1e-12)


def test_height_of_the_bottom_bracket_stands_in_for_its_drop():
    closed = close_table(replace(MADE, bb_drop=None, bb_height=0.37 - MADE.bb_drop))

    assert closed.rear_axle[1] == pytest.approx(MADE.bb_drop, abs=1e-15)
    assert closed.bb_height_residual is None


def test_the_seat_tube_is_as_known_as_the_table_makes_it():
    """Tube of 70 degrees passing 50 mm ahead of the bottom bracket: effective 74.323 degrees at 600 mm."""
    full = replace(MADE, seat_angle_actual=70 * DEG, seat_setback=-0.05)
    both = replace(
        MADE, seat_angle_actual=70 * DEG, seat_angle_effective=math.atan2(0.6, 0.6 / math.tan(70 * DEG) - 0.05)
    )

    assert close_table(both).seat_tube.setback == pytest.approx(-0.05, abs=1e-15)
    assert close_table(full).seat_tube.setback == -0.05
    told = close_table(replace(full, seat_angle_effective=75 * DEG)).seat_angle_residual
    assert told / DEG == pytest.approx(75 - 74.323, abs=1e-3)
    assert close_table(replace(MADE, seat_angle_effective=75 * DEG)).seat_tube.virtual
    assert close_table(replace(MADE, seat_angle_actual=70 * DEG)).seat_tube.setback is None


@pytest.mark.parametrize(
    ("unknown", "says"),
    [
        ({"bb_drop": None}, "height of the bottom bracket"),
        ({"fork_offset": None, "wheelbase": None}, "fork offset, or the wheelbase"),
        ({"fork_offset": None, "rear_centre": None}, "fork offset, or the wheelbase"),
        ({"rear_centre": None, "wheelbase": None}, "rear axle cannot be placed"),
    ],
)
def test_what_cannot_be_placed_says_what_it_waits_for(unknown, says):
    with pytest.raises(NotKnown, match=says):
        close_table(replace(MADE, **unknown))


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"rear_centre": 0.05}, "rear centre of 50.0 mm"),
        ({"head_angle": 64.0}, "head angle of"),
        ({"head_tube": None, "axle_to_crown": 0.65}, "leaves -50.0 mm for the head tube"),
    ],
)
def test_a_table_that_cannot_be_meant_is_refused(wrong, says):
    with pytest.raises(OutsideValidity, match=says):
        close_table(replace(MADE, **wrong))


def test_the_hand_worked_table_is_in_millimetres_what_it_says():
    assert MADE.bb_drop / MM == pytest.approx(105.385, abs=1e-3)
    assert MADE.wheelbase / MM == pytest.approx(1143.301, abs=1e-3)

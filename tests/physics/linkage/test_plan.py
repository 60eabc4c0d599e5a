"""Layouts become operations, and a layout that does not move as it should is refused by name."""

import numpy as np
import pytest

from bikewright.errors import LinkageError, LinkageNotMobile
from bikewright.physics.kernels.linkage import CARRY, DRIVEN, DYAD, GROUP
from bikewright.physics.linkage.layout import Layout, PinPlace
from bikewright.physics.linkage.plan import compile_plan
from tests.physics.linkage.samples import ALL, FOUR_BAR


def with_pins(layout, *extra, without=()):
    return Layout(tuple(pin for pin in layout.pins if pin.name not in without) + extra)


@pytest.mark.parametrize(
    ("name", "kinds", "rows"),
    [
        ("single pivot", [DRIVEN, CARRY, CARRY], 0),
        ("linked single pivot", [DRIVEN, CARRY, DYAD, CARRY], 0),
        ("four-bar", [DRIVEN, CARRY, DYAD, CARRY, CARRY], 0),
        ("short links", [DRIVEN, CARRY, DYAD, CARRY], 0),
        ("six-bar", [DRIVEN, CARRY, DYAD, CARRY, DYAD, CARRY], 0),
        ("floating", [GROUP, CARRY], 6),
        ("floating links", [GROUP, CARRY], 6),
    ],
)
def test_ordinary_layouts_need_no_iteration_and_a_floating_shock_needs_one_group(name, kinds, rows):
    plan = compile_plan(ALL[name].layout)
    assert plan.ops[:, 0].tolist() == kinds
    assert len(plan.rows) == rows


def test_a_group_is_square():
    for name in ("floating", "floating links"):
        plan = compile_plan(ALL[name].layout)
        equations = sum(2 if row[0] == 2 else 1 for row in plan.rows)
        assert equations == 2 * np.sum(plan.slot >= 0)


def test_equal_layouts_share_one_plan():
    assert compile_plan(FOUR_BAR.layout) is compile_plan(Layout(FOUR_BAR.layout.pins))


def test_a_second_link_between_two_bodies_locks_them_and_both_are_named():
    layout = with_pins(
        FOUR_BAR.layout, PinPlace("stop low", ("frame", "brace")), PinPlace("stop high", ("rocker", "brace"))
    )
    with pytest.raises(LinkageNotMobile, match=r"too few.*rocker.*brace"):
        compile_plan(layout)


def test_a_pendulum_is_one_freedom_too_many_and_is_named():
    layout = with_pins(
        FOUR_BAR.layout, PinPlace("tail", ("seatstay", "tail piece")), PinPlace("tip", ("tail piece", "lamp"))
    )
    with pytest.raises(LinkageNotMobile, match=r"1 freedom\(s\) too many.*tail piece can still move"):
        compile_plan(layout)


def test_one_half_too_loose_and_the_other_too_stiff_do_not_cancel():
    """The whole count is right (Grübler), the parts are not."""
    layout = with_pins(
        FOUR_BAR.layout,
        PinPlace("stop low", ("frame", "brace")),
        PinPlace("stop high", ("rocker", "brace")),
        PinPlace("tail", ("seatstay", "tail piece")),
        PinPlace("tip", ("tail piece", "lamp")),
    )
    with pytest.raises(LinkageNotMobile, match="too few"):
        compile_plan(layout)


def test_a_shock_that_joins_one_body_to_itself_does_not_drive():
    layout = Layout(
        (
            PinPlace("main pivot", ("frame", "swingarm")),
            PinPlace("low", ("swingarm", "shock")),
            PinPlace("high", ("swingarm", "shock")),
            PinPlace("axle", ("swingarm", "wheel")),
        )
    )
    with pytest.raises(LinkageNotMobile, match=r"too few.*swingarm.*shock"):
        compile_plan(layout)


def test_an_axle_that_the_shock_does_not_move_is_refused():
    layout = Layout(
        (
            PinPlace("pivot", ("frame", "lever")),
            PinPlace("mount", ("frame", "shock")),
            PinPlace("eye", ("lever", "shock")),
            PinPlace("axle", ("frame", "wheel")),
        )
    )
    with pytest.raises(LinkageNotMobile, match=r"axle.*does not move"):
        compile_plan(layout)


@pytest.mark.parametrize(
    ("without", "extra", "message"),
    [
        (("axle",), (), r"'wheel' must have exactly one pin, the axle; it has 0"),
        (("shock mount",), (), r"'shock' must have exactly two pins; it has 1"),
        ((), (PinPlace("third", ("seatstay", "shock")),), r"'shock' must have exactly two pins; it has 3"),
        ((), (PinPlace("spare", ("seatstay", "wheel")),), r"'wheel' must have exactly one pin, the axle; it has 2"),
        (("main pivot", "rocker pivot", "shock mount"), (PinPlace("m", ("rocker", "shock")),), "'frame' must have"),
        ((), (PinPlace("lost", ("idler",)),), r"pin 'lost' is on no frame"),
    ],
)
def test_a_layout_without_its_parts_is_refused_by_name(without, extra, message):
    with pytest.raises(LinkageError, match=message):
        compile_plan(with_pins(FOUR_BAR.layout, *extra, without=without))


@pytest.mark.parametrize(
    ("pins", "message"),
    [
        ((PinPlace("a", ("frame", "b")), PinPlace("a", ("b", "c"))), "'a' is listed 2 times"),
        ((PinPlace("a", ()),), "'a' joins no body"),
        ((PinPlace("a", ("b", "b")),), "'a' lists a body twice"),
    ],
)
def test_a_table_of_pins_with_a_slip_is_refused(pins, message):
    with pytest.raises(LinkageError, match=message):
        Layout(pins)


def test_names_that_are_not_there_are_answered_with_those_that_are():
    with pytest.raises(LinkageError, match="no pin is named 'rocket'; the pins are main pivot, rocker pivot"):
        FOUR_BAR.layout.pin("rocket")
    with pytest.raises(LinkageError, match="'upper' is not on 'chainstay'; it joins seatstay, rocker"):
        FOUR_BAR.layout.mark("upper", "chainstay")


def test_a_pin_of_three_bodies_and_a_pivot_round_the_axle_move():
    """Chainstay and seatstay meet at the axle, and the shock pushes on the upper pin itself."""
    layout = Layout(
        (
            PinPlace("main pivot", ("frame", "chainstay")),
            PinPlace("rocker pivot", ("frame", "rocker")),
            PinPlace("upper", ("rocker", "seatstay", "shock")),
            PinPlace("mount", ("frame", "shock")),
            PinPlace("axle", ("chainstay", "seatstay", "wheel")),
        )
    )
    plan = compile_plan(layout)
    assert plan.ops[:, 0].tolist() == [DRIVEN, DYAD]
    assert layout.axle_bodies == ("chainstay", "seatstay")

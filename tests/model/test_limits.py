"""What frame and parts refuse, with the excess in millimetres and what to do."""

import pytest

from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.limits import refusals
from tests.sample_bike import BUILD, STOCK


def told(*changes):
    build = BUILD
    for change in changes:
        build = apply(build, read_change(change), STOCK)
    return {refusal.address: refusal.text for refusal in refusals(build)}


def test_a_sound_build_is_refused_nothing():
    assert told() == {}


@pytest.mark.parametrize(
    ("changes", "address", "text"),
    [
        (["fork=fork-190"], "fork", r"590 mm; the limit is 575 mm \(15 mm over\)"),
        (["rear_tyre.width_mm=68"], "rear_tyre", r"68 mm; the limit is 66 mm \(2 mm over\)"),
        (["front_tyre.width_mm=72"], "front_tyre", "limit is 70 mm"),
        (["shock.chassis.stroke_mm=60"], "shock", r"60 mm; the limit is 57.5 mm \(2.5 mm over\)"),
        (["shock.chassis.stroke_reducer_mm=30", "shock.chassis.stroke_mm=30"], "shock", "leaves the shock no stroke"),
        (["rear_wheel=27"], "rear_tyre", "made for a bead seat of 622 mm, the rear wheel has 584 mm"),
        (["post_lowered_mm=200"], "post_lowered_mm", "drops 180 mm at the most"),
        (
            ["rear_tyre.pressure_max_bar=2.5", "rear_tyre_bar=3"],
            "rear_tyre_bar",
            "3.00 bar is 0.50 bar above the 2.50 bar",
        ),
        (["limits.ring_teeth_max=30"], "ring", "32 teeth is larger than the frame's limit of 30"),
    ],
)
def test_each_limit_is_told_with_its_excess(changes, address, text):
    import re

    assert re.search(text, told(*changes)[address])


@pytest.mark.parametrize(
    ("changes", "address", "text"),
    [
        (["shock_pressure_bar=25", "shock.spring.pressure_max_bar=22"], "shock_pressure_bar", "above the 22.00 bar"),
        (["fork_pressure_bar=2", "fork.spring.pressure_min_bar=3"], "fork_pressure_bar", "below the 3.00 bar"),
        (["fork_spacers=6", "fork.spring.spacers_max=4"], "fork_spacers", "more than the 4"),
    ],
)
def test_an_air_spring_outside_its_limits_is_refused(changes, address, text):
    assert text in told(*changes)[address]


def test_a_coil_that_binds_is_refused_with_the_excess():
    bound = told('shock.spring="450 lbf/in"', "shock.spring.stroke_to_bind_mm=56", "shock.spring.preload_mm_per_turn=1",
                 "shock_preload_turns=2")  # fmt: skip

    assert "57 mm; the limit is 56 mm (1 mm over)" in bound["shock.spring"]


def test_preload_beyond_its_turns_is_refused():
    over = told('shock.spring="450 lbf/in"', "shock.spring.preload_max_turns=2", "shock_preload_turns=3")

    assert "more than the 2 allowed" in over["shock_preload_turns"]


def test_a_hardtail_takes_no_shock():
    hardtail = with_value(BUILD, "linkage", None)

    assert [refusal.address for refusal in refusals(hardtail)] == ["shock"]


def test_a_coil_on_a_chassis_that_forbids_it_is_refused():
    assert "coil" in told("shock.chassis.coil_allowed=false", 'shock.spring="450 lbf/in"')["shock.spring"]


def test_a_printed_angle_needs_the_head_tube_at_which_it_holds():
    assert "head-tube length" in told("headset=angle-1", "headset.printed_at_head_tube_mm=unknown")["headset"]

"""A linkage followed through its stroke: exact cases, other shocks, chips, and every way to stop."""

import math
from dataclasses import replace

import numpy as np
import pytest

from bikewright.errors import (
    LinkageAtDeadPoint,
    LinkageDoesNotClose,
    LinkageError,
    OutsideValidity,
)
from bikewright.physics.linkage.layout import Layout, PinPlace
from bikewright.physics.linkage.leverage import progression
from bikewright.physics.linkage.motion import solve_at, solve_motion
from bikewright.physics.linkage.plan import compile_plan
from bikewright.physics.linkage.run import sweep
from bikewright.physics.linkage.stops import WHEEL_TURNS, stop_error, where_it_stops
from tests.physics.linkage.samples import ALL, FOUR_BAR, SINGLE_PIVOT, sample


def solved(one, **options):
    return solve_motion(one.layout, one.marks, one.lengths(**options))


def test_a_single_pivot_follows_the_law_of_cosines():
    """Closed form: the angle of the swingarm from the triangle of pivot, shock mount and shock eye."""
    motion = solved(SINGLE_PIVOT, n=21)
    pivot, mount, eye, axle = SINGLE_PIVOT.places[:4]
    a, b = math.dist(pivot, mount), math.dist(pivot, eye)

    def angle(length):
        return math.acos((a * a + b * b - length * length) / (2 * a * b))

    arm, radius = math.atan2(*(axle - pivot)[::-1]), math.dist(axle, pivot)
    for i, length in enumerate(motion.shock_length):
        turned = angle(motion.shock_length[0]) - angle(length)  # the eye turns clockwise towards the mount
        where = arm - turned
        assert motion.axle[i, 1] == pytest.approx(pivot[1] + radius * math.sin(where), abs=1e-14)
        rate = -length / (a * b * math.sin(angle(length)))
        assert motion.leverage_ratio[i] == pytest.approx(radius * math.cos(where) * rate, rel=1e-13)


@pytest.mark.parametrize("name", ALL)
def test_derivatives_are_those_of_the_positions(name):
    motion = solved(ALL[name], n=201)
    step = motion.stroke[1]
    for level, rate in ((motion.points, motion.velocity), (motion.velocity, motion.acceleration)):
        # Five-point differences: error of order step^4.
        numeric = (level[:-4] - 8 * level[1:-3] + 8 * level[3:-1] - level[4:]) / (12 * step)
        assert numeric == pytest.approx(rate[2:-2], rel=1e-5, abs=1e-5 * np.abs(rate).max())


@pytest.mark.parametrize("name", ALL)
def test_bodies_keep_their_shape(name):
    one = ALL[name]
    motion = solved(one, n=11)
    for body, pins in one.layout.pins_of.items():
        if body != "shock":
            for p in pins:
                for q in pins:
                    apart = np.hypot(*(motion.points[:, p] - motion.points[:, q]).T)
                    assert apart == pytest.approx(math.dist(one.places[p], one.places[q]), abs=1e-14)
    a, b = one.layout.pins_of["shock"]
    assert np.hypot(*(motion.points[:, a] - motion.points[:, b]).T) == pytest.approx(motion.shock_length, abs=1e-14)


def test_the_curve_between_positions_is_as_good_as_the_positions():
    coarse, fine = solved(FOUR_BAR, n=101), solved(FOUR_BAR, n=1001)
    assert coarse.leverage.at(fine.wheel_travel[:-1]) == pytest.approx(fine.leverage_ratio[:-1], abs=1e-7)
    assert coarse.stroke_at_travel(fine.wheel_travel[:-1]) == pytest.approx(fine.stroke[:-1], abs=2e-11)
    assert coarse.travel_at_stroke(fine.stroke[:-1]) == pytest.approx(fine.wheel_travel[:-1], abs=1e-9)
    assert coarse.leverage.slope_at(fine.wheel_travel[:-1]) == pytest.approx(fine.leverage_slope[:-1], abs=1e-3)
    assert coarse.leverage.at(coarse.wheel_travel) == pytest.approx(coarse.leverage_ratio, abs=1e-14)
    with pytest.raises(OutsideValidity, match="is outside it"):
        coarse.leverage.at(coarse.wheel_travel[-1] + 1e-6)


def test_a_shorter_shock_starts_where_the_longer_one_passes():
    """Another shock on the same frame is the same path entered later; a stroke reducer leaves it earlier."""
    long, short = solved(FOUR_BAR, n=51), solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(51)[10:])
    assert short.axle == pytest.approx(long.axle[10:], abs=1e-15)
    assert short.wheel_travel[0] == 0.0
    assert short.stroke == pytest.approx(long.stroke[10:] - long.stroke[10], abs=1e-15)


def test_a_longer_shock_lowers_the_wheel():
    lengths = FOUR_BAR.lengths(11) + 0.005
    assert solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, lengths).axle[0, 1] < FOUR_BAR.places[6, 1]


def test_a_chip_moves_a_pin_on_one_body_only():
    """The shock's mount on the frame moves 6 mm towards the rocker: the shock, as long as before, lifts the rocker."""
    layout, marks = FOUR_BAR.layout, FOUR_BAR.marks.copy()
    towards = FOUR_BAR.places[5] - FOUR_BAR.places[2]
    marks[layout.mark("shock mount", "frame")] += 0.006 * towards / np.hypot(*towards)
    plain, chipped = solved(FOUR_BAR, n=11), solve_motion(layout, marks, FOUR_BAR.lengths(11))
    assert chipped.points[0, 2] == pytest.approx(marks[layout.mark("shock mount", "frame")])
    assert chipped.axle[0, 1] < plain.axle[0, 1] - 0.008
    # On the frame the mount is reached, so the shock keeps its asked length.
    assert np.hypot(*(chipped.points[0, 5] - chipped.points[0, 2])) == pytest.approx(FOUR_BAR.shock_length, abs=1e-15)


def test_results_cannot_be_written_to():
    motion = solved(FOUR_BAR, n=5)
    for values in (motion.points, motion.velocity, motion.leverage_ratio, motion.axle, motion.margin):
        with pytest.raises(ValueError, match="read-only"):
            values[0] = 0.0


def test_progression_is_the_fall_of_the_ratio():
    motion = solved(SINGLE_PIVOT)
    ratio = motion.leverage_ratio
    found = progression(motion, stroke=0.015)
    assert found.whole == pytest.approx(1 - ratio[-1] / ratio[0])
    assert found.from_stroke == pytest.approx(1 - ratio[-1] / ratio[30])
    assert found.last_fifth == pytest.approx(
        1 - ratio[-1] / float(motion.leverage.at(0.8 * motion.wheel_travel[-1])), rel=1e-12
    )
    assert found.monotonic
    assert found.turns_travel == ()
    assert progression(motion).from_stroke is None


def test_a_ratio_that_turns_is_flagged_with_its_place():
    one = ALL["short links"]
    motion = solved(one)
    found = progression(motion)
    assert not found.monotonic
    fine = solved(one, n=20001)
    lowest = fine.stroke[np.argmin(fine.leverage_ratio)]
    assert found.turns_stroke == pytest.approx((lowest,), abs=2e-5)
    assert found.turns_travel == pytest.approx(motion.travel_at_stroke(np.array(found.turns_stroke)))


def with_ratio(motion, ratio, slope):
    """A motion whose axle rises at this rate, with that slope over the stroke, and goes nowhere else."""
    axle, points = motion.layout.axle, np.zeros_like(motion.points)
    velocity, bend = np.zeros_like(points), np.zeros_like(points)
    velocity[:, axle, 1], bend[:, axle, 1] = ratio, slope
    steps = np.diff(motion.stroke) * 0.5 * (velocity[1:, axle, 1] + velocity[:-1, axle, 1])
    points[1:, axle, 1] = np.cumsum(steps)
    return replace(motion, points=points, velocity=velocity, acceleration=bend)


@pytest.mark.parametrize(
    ("ratio", "slope", "turns"),
    [
        (lambda t: 2.5 + 0 * t, lambda t: 0 * t, []),
        (lambda t: 2.5 + t**3, lambda t: 3 * t**2, []),
        (lambda t: 2.5 - t**2, lambda t: -2 * t, [0.0]),
        (lambda t: 2.5 - (t**2 - 1e-4) ** 2, lambda t: -4 * t * (t**2 - 1e-4), [0.0]),
    ],
    ids=["level", "level at one place only", "turns at a solved place", "turns with a ripple on the top"],
)
def test_a_ratio_turns_where_it_rises_before_and_falls_after(ratio, slope, turns):
    """Closed forms over t from -1 to 1; slopes that are nought at a solved place tell nothing by themselves."""
    motion = solved(SINGLE_PIVOT, n=401)
    t, half = np.linspace(-1.0, 1.0, 401), 0.5 * motion.stroke[-1]
    found = progression(with_ratio(motion, ratio(t), slope(t) / half))
    assert found.monotonic == (not turns)
    assert np.array(found.turns_stroke) / half - 1.0 == pytest.approx(turns, abs=0.011)


def test_links_that_no_longer_reach_are_told_with_place_reach_and_gap():
    """Closed form: the shock and the rocker are in line when the length is gap - radius or gap + radius."""
    lengths = FOUR_BAR.lengths(101, stroke=0.120)
    pivot, mount, eye = FOUR_BAR.places[1], FOUR_BAR.places[2], FOUR_BAR.places[5]
    limit = FOUR_BAR.shock_length - (math.dist(pivot, mount) - math.dist(pivot, eye))
    words = "'rocker' and the shock do not reach each other at 'shock eye'"
    with pytest.raises(LinkageDoesNotClose, match=words) as told:
        solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, lengths)
    stop = where_it_stops(compile_plan(FOUR_BAR.layout), FOUR_BAR.marks, lengths)
    assert stop.stroke == pytest.approx(limit, abs=1e-5)
    assert f"after {stop.stroke * 1e3:.2f} mm of shock stroke ({stop.wheel_travel * 1e3:.2f} mm of wheel travel" in str(
        told.value
    )
    assert stop.ends == ("rocker pivot", "shock mount")
    assert stop.reach == pytest.approx(math.dist(pivot, eye) + lengths[-1])
    assert stop.gap == pytest.approx(math.dist(pivot, mount))


def test_links_that_are_too_long_for_the_gap_are_told_so():
    lengths = FOUR_BAR.lengths(5) + 0.200
    with pytest.raises(LinkageDoesNotClose, match=r"at the first shock length asked for.*at least.*too near"):
        solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, lengths)


def test_a_wheel_that_stops_rising_is_told_with_its_place():
    """Closed form: the axle of a single pivot is highest straight above it."""
    one = sample(
        0.100,
        pivot=(0, 0, "frame", "arm"),
        mount=(200, 0, "frame", "shock"),
        eye=(-60, 60, "arm", "shock"),
        axle=(-200, 300, "arm", "wheel"),
    )
    with pytest.raises(LinkageAtDeadPoint, match="the wheel stops rising after"):
        solved(one)
    stop = where_it_stops(compile_plan(one.layout), one.marks, one.lengths())
    turned = math.atan2(200, 300)  # clockwise, until the axle stands above the pivot
    eye = math.radians(135) - turned
    top = math.dist((200, 0), (math.hypot(60, 60) * math.cos(eye), math.hypot(60, 60) * math.sin(eye)))
    assert stop.status == WHEEL_TURNS
    assert one.shock_length - stop.stroke == pytest.approx(top * 1e-3, abs=1e-5)
    assert stop.wheel_travel == pytest.approx(math.hypot(0.2, 0.3) - 0.3, abs=1e-9)


def test_a_wheel_that_falls_from_the_start_is_refused():
    one = sample(
        0.020,
        pivot=(0, 0, "frame", "arm"),
        mount=(-100, -150, "frame", "shock"),
        eye=(-100, 50, "arm", "shock"),
        axle=(-400, 0, "arm", "wheel"),
    )
    with pytest.raises(LinkageAtDeadPoint, match="stops rising at the first shock length"):
        solved(one)


def test_a_drawing_with_two_links_in_line_is_a_dead_point():
    one = sample(
        0.020,
        pivot=(0, 0, "frame", "arm"),
        mount=(0, 250, "frame", "shock"),
        eye=(0, 50, "arm", "shock"),
        axle=(-400, 0, "arm", "wheel"),
    )
    with pytest.raises(LinkageAtDeadPoint, match="'arm' and the shock come into one line at 'eye' at the first"):
        solved(one)


def test_a_floating_shock_is_told_where_it_locks():
    one = ALL["floating"]
    lengths = one.lengths(101, stroke=0.120)
    with pytest.raises(LinkageAtDeadPoint, match="'swingarm', 'rocker', 'link' and the shock reach a dead point after"):
        solve_motion(one.layout, one.marks, lengths)
    stop = where_it_stops(compile_plan(one.layout), one.marks, lengths)
    # Just short of the stop the linkage runs, and runs with a vanishing margin.
    motion = solve_motion(one.layout, one.marks, one.lengths(101, stroke=stop.stroke))
    assert motion.margin[-1] < 0.02 * motion.margin[0]


def test_two_pins_of_a_body_in_one_place_are_named():
    marks = FOUR_BAR.marks.copy()
    layout = FOUR_BAR.layout
    marks[layout.mark("dropout", "chainstay")] = marks[layout.mark("main pivot", "chainstay")]
    with pytest.raises(LinkageError, match="'chainstay' is drawn with two of its pins in one place"):
        solve_motion(layout, marks, FOUR_BAR.lengths(5))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda m, s: (m[:-1], s), r"marks must have the shape \(16, 2\); found \(15, 2\)"),
        (lambda m, s: (np.where(np.arange(16)[:, None] == 3, np.nan, m), s), "'rocker pivot' on 'rocker' is drawn at"),
        (lambda m, s: (m, s[::-1]), "must fall from full extension"),
        (lambda m, s: (m, s - 0.2), "stay above zero"),
        (lambda m, s: (m, s[:1]), "two or more finite numbers"),
        (lambda m, s: (m, np.where(s < s[2], np.nan, s)), "two or more finite numbers"),
    ],
)
def test_input_that_cannot_be_meant_is_refused(change, message):
    marks, lengths = change(FOUR_BAR.marks, FOUR_BAR.lengths(5))
    with pytest.raises(LinkageError, match=message):
        solve_motion(FOUR_BAR.layout, marks, lengths)


def test_a_linkage_that_runs_through_has_no_stop():
    assert where_it_stops(compile_plan(FOUR_BAR.layout), FOUR_BAR.marks, FOUR_BAR.lengths(11)) is None
    assert "between two of the positions" in str(stop_error(None))


def test_a_pin_of_three_bodies_at_the_axle_moves():
    layout = Layout(
        (
            PinPlace("main pivot", ("frame", "chainstay")),
            PinPlace("rocker pivot", ("frame", "rocker")),
            PinPlace("upper", ("rocker", "seatstay", "shock")),
            PinPlace("mount", ("frame", "shock")),
            PinPlace("axle", ("chainstay", "seatstay", "wheel")),
        )
    )
    places = np.array([(10, 30), (20, 270), (-50, 300), (40, 470), (-435, 30)]) * 1e-3
    length = math.dist(places[2], places[3])
    motion = solve_motion(layout, layout.drawn(places), np.linspace(length, length - 0.03, 11))
    pivot = places[0]
    assert np.hypot(*(motion.axle - pivot).T) == pytest.approx(math.dist(places[4], pivot), abs=1e-15)


def test_a_value_at_a_stroke_of_choice_is_solved_and_counts_travel_from_full_extension():
    motion = solved(FOUR_BAR)
    sag = solve_at(motion, 0.0153)
    assert sag.stroke == pytest.approx([0.0, 0.0153], abs=1e-16)
    assert sag.wheel_travel[1] == pytest.approx(motion.travel_at_stroke(0.0153), abs=1e-9)
    assert solve_at(motion, motion.stroke[1:]).points == pytest.approx(motion.points, abs=1e-15)
    with pytest.raises(LinkageError, match="must fall from full extension"):
        solve_at(motion, [0.02, 0.01])


def test_a_lock_between_two_positions_that_both_work_is_found():
    """Found among 100,000 random drawings: the stay's reach is used up at 11.75 mm of stroke, not at 12 mm."""
    pins = [(50, 9), (55, 229), (56, 78), (-39, 268), (-14, 346), (75, 264), (-481, 8)]
    layout = ALL["linked single pivot"].layout
    marks = layout.drawn(np.array(pins) * 1e-3)
    length = math.dist(pins[2], pins[5]) * 1e-3
    lengths = np.linspace(length, length - 0.045, 6)
    raw = sweep(compile_plan(layout), marks[None], lengths)
    assert not raw.status.any()
    assert (raw.points[0, 1, layout.axle, 1] > 0.0).all()
    with pytest.raises(LinkageDoesNotClose, match=r"'stay' after 11\.7\d mm .* 45\.00 mm of stroke were asked for"):
        solve_motion(layout, marks, lengths)

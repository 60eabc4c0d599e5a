"""The taut run: against the outline of its wheels drawn point by point, against differences, and where it cannot be."""

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bikewright.errors import LinkageError, OutsideValidity
from bikewright.physics.chain import BARE_TOUCH, Idler, _in_arrays, idler_on_pin, taut_run
from bikewright.physics.gearing import pitch_radius
from bikewright.physics.linkage.bodies import body_motion
from bikewright.physics.linkage.motion import solve_motion
from tests.physics.drive_cases import PIVOT_AT_RING
from tests.physics.linkage.samples import ALL, FOUR_BAR, SINGLE_PIVOT, sample

COGS = [pitch_radius(teeth) for teeth in (10, 21, 51)]
RING = pitch_radius(32)


def moved(one, n=21):
    return solve_motion(one.layout, one.marks, one.lengths(n))


def runs_of(one, n=21):
    """A motion and several runs over it: bare, over an idler on the frame, over one that moves, and over and under."""
    motion = moved(one, n)
    fixed = Idler(name="fixed", centre=(0.0, 0.13), radius=0.033)
    riding = Idler(
        name="riding",
        centre=motion.axle + np.array([0.16, 0.13]),
        velocity=motion.axle_velocity,
        radius=0.025,
    )
    low = Idler(name="low", centre=(-0.10, 0.02), radius=0.02, over=False)
    return motion, {
        "bare": taut_run(motion, COGS, RING),
        "frame": taut_run(motion, COGS, RING, idlers=(fixed,)),
        "moving": taut_run(motion, COGS, RING, idlers=(riding,)),
        "over and under": taut_run(motion, COGS, RING, idlers=(riding, low)),
    }


def upper_outline(circles, count=6000):
    """Length of the belt over circles (x, z, r), from the rearmost point of the first to the foremost of the last.

    Upper half of the convex hull of points on the circles, by turning left never (Andrew 1979, from memory).
    """
    angle = np.linspace(0.0, math.pi, count)
    points = np.concatenate([np.column_stack([x + r * np.cos(angle), z + r * np.sin(angle)]) for x, z, r in circles])
    hull = []
    for point in points[np.lexsort((points[:, 1], points[:, 0]))].tolist():
        while len(hull) > 1 and (
            (hull[-1][0] - hull[-2][0]) * (point[1] - hull[-2][1])
            >= (hull[-1][1] - hull[-2][1]) * (point[0] - hull[-2][0])
        ):
            hull.pop()
        hull.append(point)
    return float(np.sum(np.hypot(*np.diff(np.array(hull), axis=0).T)))


@pytest.mark.parametrize("kind", ["bare", "frame", "moving"])
def test_growth_is_that_of_a_belt_laid_over_the_wheels(kind):
    _, runs = runs_of(SINGLE_PIVOT, 3)
    run = runs[kind]
    for gear in range(3):
        length = [
            upper_outline([(*centre, radius) for centre, radius in zip(places, run.signed_radii[gear], strict=True)])
            for places in run.centres
        ]
        assert run.growth[:, gear] == pytest.approx(np.array(length) - length[0], abs=2e-8)
    assert np.ptp(run.growth) > 0.005


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("kind", ["bare", "frame", "moving", "over and under"])
def test_the_rate_is_the_slope_of_the_growth(name, kind):
    """Central differences of fourth order on a finely solved motion."""
    one = ALL[name]
    motion, runs = runs_of(one, 1601)
    growth, step = runs[kind].growth, motion.stroke[1]
    slope = (growth[:-4] - 8 * growth[1:-3] + 8 * growth[3:-1] - growth[4:]) / (12 * step)
    assert runs[kind].rate[2:-2] == pytest.approx(slope, abs=2e-9)


@pytest.mark.parametrize("kind", ["bare", "frame", "moving", "over and under"])
def test_straight_pieces_touch_their_wheels_square_to_the_radius_on_the_right_side(kind):
    _, runs = runs_of(FOUR_BAR)
    run = runs[kind]
    for touch, wheel in ((run.leaves, slice(None, -1)), (run.meets, slice(1, None))):
        spoke = touch - run.centres[:, None, wheel]
        left = run.direction[..., 0] * spoke[..., 1] - run.direction[..., 1] * spoke[..., 0]
        assert np.sum(spoke * run.direction, axis=-1) == pytest.approx(0.0, abs=1e-15)
        assert left == pytest.approx(np.broadcast_to(run.signed_radii[:, wheel], left.shape), abs=1e-15)
    piece = run.meets - run.leaves
    assert piece == pytest.approx(run.straight[..., None] * run.direction, abs=1e-14)


def test_the_wrap_on_an_idler_is_the_bend_of_the_chain_there():
    """Two pieces of an angle known by hand: equal wheels, an idler midway and higher, on a 3-4-5 triangle."""
    one = sample(
        0.01,
        pivot=(0, 0, "frame", "swingarm"),
        shock_mount=(215, 120, "frame", "shock"),
        shock_eye=(20, 165, "swingarm", "shock"),
        axle=(-400, 0, "swingarm", "wheel"),
    )
    motion = moved(one, 2)
    idler = Idler(name="mid", centre=(0.0, 0.3), radius=0.03)
    run = taut_run(motion, 0.03, 0.03, idlers=(idler,), ring_centre=(0.4, 0.0))
    assert run.wrap[0, 0, 0] == pytest.approx(2 * math.asin(0.6), abs=1e-14)
    assert run.straight[0, 0] == pytest.approx([0.5, 0.5], abs=1e-15)
    under = Idler(name="mid", centre=(0.0, -0.3), radius=0.03, over=False)
    mirrored = taut_run(motion, 0.03, 0.03, idlers=(under,), ring_centre=(0.4, 0.0))
    # 0.5 between the centres, 0.06 across: the tangent runs between the wheels, steeper by asin(0.06/0.5).
    assert mirrored.straight[0, 0, 0] == pytest.approx(math.sqrt(0.25 - 0.0036), abs=1e-15)
    assert mirrored.wrap[0, 0, 0] == pytest.approx(2 * (math.asin(0.6) + math.asin(0.12)), abs=1e-14)


@given(st.floats(0.02, 0.1), st.floats(0.02, 0.1))
@settings(max_examples=30)
def test_round_the_pivot_only_the_difference_of_the_radii_counts(cog, ring):
    """A ring or idler round the main pivot: the piece to the cog keeps its length and turns with the arm, so the run
    grows by (ring - cog) times that turn, and not at all when both are alike."""
    motion = moved(PIVOT_AT_RING, 9)
    arm = body_motion(motion, "swingarm")
    turned = (arm.rotation - arm.rotation[0])[:, None]
    bare = taut_run(motion, cog, ring)
    assert bare.growth == pytest.approx((ring - cog) * turned, abs=1e-15)
    assert bare.rate == pytest.approx((ring - cog) * arm.rate[:, None], abs=1e-13)
    idler = Idler(name="pivot", centre=(0.0, 0.0), radius=ring)
    over = taut_run(motion, cog, 0.06, idlers=(idler,), ring_centre=(0.1, -0.2))
    assert over.growth == pytest.approx((ring - cog) * turned, abs=1e-15)
    assert over.idlers_on_frame


def test_an_idler_on_a_pin_moves_with_it():
    motion = moved(FOUR_BAR)
    riding = idler_on_pin(motion, "brake", 0.02)
    assert riding.name == "brake"
    assert np.array_equal(riding.centre, motion.point("brake"))
    assert np.array_equal(riding.velocity, motion.velocity[:, motion.layout.pin("brake")])
    assert not taut_run(motion, 0.03, RING, idlers=(riding,)).idlers_on_frame
    standing = moved(SINGLE_PIVOT)
    assert taut_run(standing, COGS, RING, idlers=(idler_on_pin(standing, "idler", 0.03),)).wrap.shape == (21, 3, 1)
    with pytest.raises(LinkageError, match="no pin is named 'idle'"):
        idler_on_pin(motion, "idle", 0.02)


def test_gears_at_once_are_gears_one_by_one():
    _, runs = runs_of(FOUR_BAR)
    motion = moved(FOUR_BAR)
    for gear, cog in enumerate(COGS):
        alone = taut_run(motion, cog, RING)
        assert np.array_equal(alone.growth[:, 0], runs["bare"].growth[:, gear])
        assert np.array_equal(alone.rate[:, 0], runs["bare"].rate[:, gear])
    pair = taut_run(motion, 0.03, [0.05, 0.07])
    assert pair.growth[:, 1] == pytest.approx(taut_run(motion, 0.03, 0.07).growth[:, 0], abs=0.0)


def test_results_cannot_be_written_to():
    run = runs_of(FOUR_BAR)[1]["frame"]
    arrays = (run.centres, run.direction, run.straight, run.wrap, run.growth, run.rate, run.leaves, run.meets)
    assert not any(array.flags.writeable for array in arrays)


def test_an_idler_that_the_chain_misses_is_named_with_the_travel():
    motion = moved(SINGLE_PIVOT)
    with pytest.raises(OutsideValidity, match=r"misses the idler 'low one' from 0\.0 mm .* Move the idler up"):
        taut_run(motion, COGS, RING, idlers=(Idler(name="low one", centre=(-0.2, 0.0), radius=0.02),))
    with pytest.raises(OutsideValidity, match=r"misses the idler 'high one' .* Move the idler down"):
        taut_run(motion, COGS, RING, idlers=(Idler(name="high one", centre=(-0.2, 0.15), radius=0.02, over=False),))


def test_an_idler_that_loses_the_chain_on_the_way_says_where():
    """Wrapped when extended, and passed by above when the axle has risen."""
    motion = moved(SINGLE_PIVOT, 101)
    idler = Idler(name="mid", centre=(-0.2, 0.05), radius=0.02)
    start = solve_motion(SINGLE_PIVOT.layout, SINGLE_PIVOT.marks, SINGLE_PIVOT.lengths(3, stroke=0.004))
    assert np.all(taut_run(start, 0.04, RING, idlers=(idler,)).wrap > 0.0)
    with pytest.raises(OutsideValidity, match=r"misses the idler 'mid' .* cog of 40\.0 mm") as told:
        taut_run(motion, 0.04, RING, idlers=(idler,))
    travel = float(re.search(r"from ([\d.]+) mm of wheel travel", str(told.value))[1]) * 1e-3
    before = motion.stroke_at_travel(travel - 0.003)
    held = solve_motion(SINGLE_PIVOT.layout, SINGLE_PIVOT.marks, SINGLE_PIVOT.shock_length - np.array([0.0, before]))
    assert 0.005 < travel < 0.1
    assert np.all(taut_run(held, 0.04, RING, idlers=(idler,)).wrap > 0.0)


def test_wheels_that_overlap_are_named_with_the_travel():
    motion = moved(SINGLE_PIVOT)
    with pytest.raises(OutsideValidity, match=r"the idler 'close' and the chainring overlap at 0\.0 mm .* 64\.8 mm"):
        taut_run(motion, COGS, RING, idlers=(Idler(name="close", centre=(0.0, 0.09), radius=0.03),))
    with pytest.raises(OutsideValidity, match="the cog and the chainring overlap"):
        taut_run(motion, 0.4, RING)
    with pytest.raises(OutsideValidity, match="overlap"):
        taut_run(motion, 0.04, RING, ring_centre=(math.nan, 0.0))
    with pytest.raises(OutsideValidity, match="must be above 0"):
        taut_run(motion, [0.04, 0.0], RING)
    with pytest.raises(OutsideValidity, match="must be above 0"):
        taut_run(motion, [0.04, math.nan], RING)


def test_an_idler_with_another_number_of_positions_is_refused():
    motion = moved(SINGLE_PIVOT)
    with pytest.raises(LinkageError, match=r"velocity of idler 'odd' has the shape \(3, 2\)"):
        taut_run(
            motion, 0.04, RING, idlers=(Idler(name="odd", centre=(0, 0.1), velocity=np.ones((3, 2)), radius=0.02),)
        )


@pytest.mark.parametrize("name", ALL)
def test_the_kernel_and_whole_arrays_say_the_same(loaded, name):
    """Three forms of one formulation; only the angles go through two libraries, to a few units of the last digit."""
    motion, runs = runs_of(ALL[name])
    velocity = {"bare": (), "frame": ((0.0, 0.0),), "moving": (motion.axle_velocity,)}
    for which, moving in velocity.items():
        run = runs[which]
        sides, radii = np.ones(len(moving) + 2), np.abs(run.signed_radii)
        rates = np.zeros_like(run.centres)
        rates[:, 0] = motion.axle_velocity
        for at, rate in enumerate(moving, start=1):
            rates[:, at] = rate
        told = (run.direction, run.straight, run.wrap, run.growth, run.rate)
        for kernel in loaded["chain.taut"]:
            found = [np.full(wanted.shape, -7.0) for wanted in told]
            assert kernel(run.centres.copy(), rates, sides, radii.copy(), BARE_TOUCH, *found)
            for ours, wanted in zip(found, told, strict=True):
                np.testing.assert_allclose(ours, wanted, rtol=1e-12, atol=1e-15)
        idlers = tuple(Idler(name="any", centre=(0.0, 0.0), radius=1.0) for _ in moving)
        for ours, wanted in zip(_in_arrays(motion, idlers, run.centres, rates, sides, radii), told, strict=True):
            np.testing.assert_allclose(ours, wanted, rtol=1e-12, atol=1e-15)


def test_the_kernel_refuses_circles_that_overlap_and_a_chain_that_misses(loaded):
    places, rates, sides = np.array([[[0.0, 0.0], [0.1, 0.0], [0.4, 0.0]]]), np.zeros((1, 3, 2)), np.ones(3)
    for kernel in loaded["chain.taut"]:
        for middle, fine in ((0.02, False), (0.05, True), (0.09, False), (0.0, False)):
            out = np.empty((1, 1, 2, 2)), np.empty((1, 1, 2)), np.empty((1, 1, 1)), np.empty((1, 1)), np.empty((1, 1))
            assert kernel(places, rates, sides, np.array([[0.03, middle, 0.06]]), 1e-9, *out) is fine

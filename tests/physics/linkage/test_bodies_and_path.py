"""Turning of the bodies, instant centres and the axle path, against constructions that use positions only."""

import math

import numpy as np
import pytest

from bikewright.errors import LinkageError, OutsideValidity
from bikewright.physics.linkage.bodies import body_motion, instant_centre
from bikewright.physics.linkage.motion import solve_motion
from bikewright.physics.linkage.path import axle_path
from tests.physics.linkage.samples import ALL, FOUR_BAR, SHORT_LINKS, SINGLE_PIVOT, sample


def solved(one, n=51):
    return solve_motion(one.layout, one.marks, one.lengths(n))


def crossing(a, b, c, d):
    """Where line ab meets line cd."""
    m = np.array([b - a, c - d]).T
    return a + np.linalg.solve(m, c - a)[0] * (b - a)


def circle_through(a, b, c):
    """Centre of the circle through three points."""
    m = 2 * np.array([b - a, c - a])
    return np.linalg.solve(m, np.array([b @ b - a @ a, c @ c - a @ a]))


def test_the_instant_centre_of_a_coupler_is_where_the_two_links_meet():
    """Kennedy's theorem (three centres in line), as in any text on mechanisms."""
    motion = solved(FOUR_BAR)
    centre = instant_centre(motion, "seatstay")
    for i in range(0, 51, 10):
        where = crossing(*(motion.point(pin)[i] for pin in ("main pivot", "dropout", "rocker pivot", "upper")))
        assert centre.place[i] == pytest.approx(where, rel=1e-10)
    assert centre.reason == ("",) * 51


@pytest.mark.parametrize("body", ["chainstay", "rocker"])
def test_the_instant_centre_of_a_link_on_the_frame_is_its_pivot(body):
    pivot = {"chainstay": 0, "rocker": 1}[body]
    place = instant_centre(solved(FOUR_BAR), body).place
    assert place == pytest.approx(np.broadcast_to(FOUR_BAR.places[pivot], place.shape), abs=1e-13)


@pytest.mark.parametrize("name", ALL)
def test_bodies_turn_as_their_pins_say(name):
    """Every pair of pins of a body must turn by the same angle, and at the rate of the differences."""
    one = ALL[name]
    motion = solved(one, 401)
    for body in one.layout.bodies:
        if body in ("frame", "shock") or len(one.layout.pins_of[body]) < 2:
            continue
        turn = body_motion(motion, body)
        assert turn.rotation[0] == pytest.approx(0.0, abs=1e-12)
        p, *others = one.layout.pins_of[body]
        for q in others:
            drawn, now = one.places[q] - one.places[p], motion.points[:, q] - motion.points[:, p]
            c, s = np.cos(turn.rotation), np.sin(turn.rotation)
            assert now[:, 0] == pytest.approx(c * drawn[0] - s * drawn[1], abs=1e-13)
            assert now[:, 1] == pytest.approx(s * drawn[0] + c * drawn[1], abs=1e-13)
        step = motion.stroke[1]
        for value, rate in ((turn.rotation, turn.rate), (turn.rate, turn.acceleration)):
            numeric = (value[:-4] - 8 * value[1:-3] + 8 * value[3:-1] - value[4:]) / (12 * step)
            assert numeric == pytest.approx(rate[2:-2], rel=1e-6, abs=1e-6 * np.abs(rate).max())


def test_a_rising_wheel_turns_the_swingarm_clockwise():
    assert np.all(body_motion(solved(SINGLE_PIVOT), "swingarm").rate < 0)


def test_the_shock_turns_with_its_own_line():
    motion = solved(FOUR_BAR, 401)
    line = motion.point("shock eye") - motion.point("shock mount")
    turn = body_motion(motion, "shock")
    angle = np.unwrap(np.arctan2(line[:, 1], line[:, 0]))
    assert turn.rotation == pytest.approx(angle - angle[0], abs=1e-13)
    assert np.gradient(turn.rate, motion.stroke)[1:-1] == pytest.approx(turn.acceleration[1:-1], rel=1e-3, abs=1e-2)


def test_the_frame_stands_still_and_says_so():
    motion = solved(FOUR_BAR, 5)
    assert not body_motion(motion, "frame").rotation.any()
    centre = instant_centre(motion, "frame")
    assert centre.reason == ("it stands still",) * 5
    assert np.isnan(centre.place).all()


def test_a_body_between_equal_parallel_links_has_no_instant_centre_and_the_reason_is_given():
    one = sample(
        0.030,
        low_pivot=(0, 0, "frame", "low"),
        high_pivot=(0, 200, "frame", "high"),
        low_joint=(-100, 20, "low", "stay"),
        high_joint=(-100, 220, "high", "stay"),
        mount=(60, 380, "frame", "shock"),
        eye=(-40, 220, "high", "shock"),
        axle=(-400, 30, "stay", "wheel"),
    )
    motion = solved(one, 11)
    centre = instant_centre(motion, "stay")
    assert centre.reason == ("it moves without turning",) * 11
    assert np.isnan(centre.place).all()
    # Its axle runs on a circle as large as that of the links all the same.
    assert axle_path(motion).radius == pytest.approx(np.full(11, math.hypot(0.100, 0.020)), rel=1e-9)


def test_bodies_on_one_pin_the_shock_and_unknown_names_are_refused():
    motion = solved(FOUR_BAR, 5)
    with pytest.raises(OutsideValidity, match="'wheel' hangs on the one pin 'axle' and turns freely"):
        body_motion(motion, "wheel")
    with pytest.raises(OutsideValidity, match="changes its length"):
        instant_centre(motion, "shock")
    with pytest.raises(LinkageError, match="no body is named 'rocket'; the bodies are"):
        body_motion(motion, "rocket")


def test_the_axle_of_a_single_pivot_runs_on_a_circle_about_it():
    path = axle_path(solved(SINGLE_PIVOT))
    pivot, axle = SINGLE_PIVOT.places[0], SINGLE_PIVOT.places[3]
    assert path.radius == pytest.approx(np.full(51, math.dist(pivot, axle)), rel=1e-12)
    assert path.centre == pytest.approx(np.broadcast_to(pivot, (51, 2)), abs=1e-12)
    # Below the height of the pivot the axle goes rearwards as it rises, above it forwards.
    lower = path.place[:, 1] < pivot[1]
    assert np.all(path.angle[lower] > 0)
    assert np.all(path.angle[~lower] < 0)
    assert 0 < lower.sum() < 51


def test_the_circle_through_three_near_axle_places_is_the_circle_of_curvature():
    motion = solved(SHORT_LINKS, 2001)
    path = axle_path(motion)
    for i in (400, 1000, 1500):
        assert path.centre[i] == pytest.approx(circle_through(*motion.axle[[i - 4, i, i + 4]]), rel=2e-3, abs=2e-4)
        chord = motion.axle[i + 1] - motion.axle[i - 1]
        assert path.angle[i] == pytest.approx(math.atan2(-chord[0], chord[1]), abs=1e-6)
    assert path.reason == ("",) * 2001

"""Pedal kickback: from extension, from sag, in every gear."""

import math

import numpy as np
import pytest

from bikewright.errors import OutsideValidity
from bikewright.physics.chain import taut_run
from bikewright.physics.kickback import kickback
from bikewright.physics.linkage.motion import solve_motion
from bikewright.units import DEG, MM
from tests.physics.drive_cases import CASES, PIVOT_AT_RING
from tests.physics.linkage.samples import FOUR_BAR

RATES = {"A": 0.089180, "A2": 0.210433, "B": 0.091440, "C": 0.081421}
"""Degrees of crank per mm of travel, extended; derived for this project (see `tests.physics.drive_cases`)."""


@pytest.mark.parametrize("name", CASES)
def test_rate_of_the_extended_bike(name):
    motion = CASES[name].motion(3)
    assert kickback(motion, CASES[name].run(motion)).rate[0, 0] * MM / DEG == pytest.approx(RATES[name], abs=1e-6)


@pytest.mark.parametrize("name", CASES)
def test_the_whole_turn_is_the_integral_of_the_rate(name):
    """Gauss quadrature of 12 points over the travel, on positions solved for it."""
    case = CASES[name]
    nodes, weights = np.polynomial.legendre.leggauss(12)
    end = 0.120
    places = np.array([0.0, *(0.5 * end * (nodes + 1.0)), end])
    motion = case.motion_at(places)
    found = kickback(motion, case.run(motion, (10, 21, 51)))
    assert found.total == pytest.approx(0.5 * end * weights @ found.rate[1:-1], rel=1e-10)
    assert found.start == 0.0


def test_a_wheel_held_from_turning_winds_the_growth_off_the_ring():
    motion = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(11))
    run = taut_run(motion, [0.02, 0.1], [0.05, 0.06])
    found = kickback(motion, run)
    assert found.angle == pytest.approx(run.growth / [0.05, 0.06], abs=1e-15)
    assert found.total == pytest.approx(found.angle[-1], abs=0.0)


def test_a_start_between_positions_agrees_with_a_motion_that_starts_there():
    full, sag = FOUR_BAR.shock_length, 0.0163
    motion = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(101))
    rest = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, np.linspace(full - sag, full - FOUR_BAR.stroke, 60))
    cogs = [0.0205, 0.043, 0.103]
    read = kickback(motion, taut_run(motion, cogs, 0.065), sag)
    exact = kickback(rest, taut_run(rest, cogs, 0.065))

    assert read.start == sag
    assert read.total == pytest.approx(exact.total, abs=1e-9)
    assert read.most == pytest.approx(exact.most, abs=1e-5)
    assert read.rate[-1] == pytest.approx(exact.rate[-1], rel=1e-12)


def test_the_largest_turn_is_told_where_the_run_gets_shorter_again():
    """On the smallest cog this run shrinks, so nothing is ever pulled back; on a mid one it grows first."""
    motion = CASES["B"].motion(101)
    found = kickback(motion, CASES["B"].run(motion, (10, 21, 51)))
    grows_then_shrinks = found.most > found.total + 1e-9
    assert np.any(grows_then_shrinks)
    assert found.most == pytest.approx(np.maximum(found.angle.max(axis=0), 0.0), abs=0.0)
    assert np.all(found.most >= 0.0)


def test_a_ring_round_the_pivot_with_a_cog_of_its_size_never_turns_the_crank():
    motion = solve_motion(PIVOT_AT_RING.layout, PIVOT_AT_RING.marks, PIVOT_AT_RING.lengths(21))
    found = kickback(motion, taut_run(motion, [0.05, 0.04], 0.05))
    assert found.angle[:, 0] == pytest.approx(0.0, abs=1e-13)
    assert found.rate[:, 0] == pytest.approx(0.0, abs=1e-12)
    assert np.max(np.abs(found.angle[:, 1])) > 0.05


@pytest.mark.parametrize("start", [-0.001, 0.06, math.nan])
def test_a_start_outside_the_stroke_is_refused(start):
    motion = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(11))
    with pytest.raises(OutsideValidity):
        kickback(motion, taut_run(motion, 0.04, 0.065), start)

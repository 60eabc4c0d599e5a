"""Springs at the wheel: by hand, against differences, and on a real linkage."""

import numpy as np
import pytest

from bikewright.errors import OutsideValidity
from bikewright.physics.linkage.motion import solve_motion
from bikewright.physics.springs.coil import coil_spring
from bikewright.physics.springs.wheel import at_wheel, wheel_forces
from tests.physics.linkage.samples import FOUR_BAR
from tests.physics.springs.leverages import Falling

COIL = coil_spring(80e3, 0.06, preload=0.001)


def test_the_second_term_by_hand():
    """2400 N and 80 N/mm at a leverage ratio of 2.4 falling by 5 per metre of travel: 1000 N; 80e3/5.76 = 13 889 N/m
    and 2400 x 5/5.76 = 2083 N/m more."""
    force, rate = at_wheel(2400.0, 80e3, 2.4, -5.0)

    assert force == pytest.approx(1000.0, rel=1e-14)
    assert rate == pytest.approx(13_888.889 + 2083.333, abs=1e-2)


def test_rate_at_the_wheel_is_the_slope_of_its_force():
    """Central differences of force and travel, both over the stroke."""
    step = 1e-5
    middle = np.linspace(0.005, 0.055, 11)
    here, before, after = (wheel_forces(COIL, Falling(middle + d)) for d in (0.0, -step, step))
    slope = (after.force - before.force) / (after.travel - before.travel)

    assert here.rate == pytest.approx(slope, rel=1e-6)


def test_energy_is_the_same_at_wheel_and_shock():
    """Gauss's quadrature of the wheel's force over its travel, dz = LR ds, against the shock's own energy."""
    node, weight = np.polynomial.legendre.leggauss(20)
    stroke = 0.03 * (node + 1.0)
    seen = wheel_forces(COIL, Falling(stroke))
    work = float(np.sum(weight * 0.03 * seen.force * Falling(stroke).leverage_ratio))

    assert work == pytest.approx(COIL.energy(0.06), rel=1e-13)
    with pytest.raises(ValueError, match="read-only"):
        seen.force[0] = 0.0


def test_a_followed_linkage_serves_as_it_is():
    """A four-bar: at the middle of each interval, the exact rate against the difference of the force over real wheel
    travel. The intervals are 1/400 of the stroke, the error of a difference falls with their square."""
    lengths = FOUR_BAR.lengths(n=401)
    motion = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, lengths)
    coil = coil_spring(80e3, float(lengths[0] - lengths[-1]))
    seen = wheel_forces(coil, motion)
    slope = (seen.force[2:] - seen.force[:-2]) / (seen.travel[2:] - seen.travel[:-2])

    assert seen.rate[1:-1] == pytest.approx(slope, abs=1e-4 * np.max(seen.rate))
    work = np.sum(0.5 * (seen.force[1:] + seen.force[:-1]) * np.diff(seen.travel))
    assert work == pytest.approx(seen.energy[-1], rel=1e-5)
    without = coil.coil_rate / motion.leverage_ratio**2
    assert np.max(np.abs(seen.rate / without - 1.0)) > 0.02


def test_a_leverage_that_turns_round_is_refused():
    with pytest.raises(OutsideValidity, match="leverage ratio of 0 or less"):
        at_wheel(100.0, 1e4, np.array([2.0, 0.0]), np.array([0.0, 0.0]))

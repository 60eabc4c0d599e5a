"""Coil against air at one sag."""

import numpy as np
import pytest

from bikewright.errors import OutsideValidity
from bikewright.physics.springs.air import air_curve, gauge_for_force
from bikewright.physics.springs.chambers import AirSpring, Negative, fill
from bikewright.physics.springs.coil import coil_spring
from bikewright.physics.springs.overlay import FittedSpring, overlay
from bikewright.units import CM2, CM3
from tests.physics.springs.leverages import Falling

STROKE, SAG = 0.06, 0.018
COIL = coil_spring(80e3, STROKE)
FITTED_COIL = FittedSpring(slow=COIL, fast=COIL, band=20.0)
SHOCK = AirSpring(area=15 * CM2, volume=150 * CM3, negative=Negative(volume=20 * CM3, area=14 * CM2, port=0.004))
LEVERAGE = Falling(np.linspace(0.0, STROKE, 101))


def fitted_air(force):
    charge = fill(SHOCK, gauge_for_force(SHOCK, force, SAG))
    slow = air_curve(SHOCK, charge, 1.0, STROKE)
    return FittedSpring(slow=slow, fast=air_curve(SHOCK, charge, 1.3, STROKE, settled_at=SAG), band=40.0)


def test_a_linear_coil_by_hand_on_a_fork():
    """80 N/mm over 60 mm, sag 18 mm: 1440 N at the sag, 2400 N half way, 4800 N at the end, 10/3 of the sag's. Energy
    from 48 to 60 mm 80 x (60² - 48²)/2 = 51.84 J; from the sag 80 x (60² - 18²)/2 = 131.04 J."""
    feel = overlay(FITTED_COIL, FITTED_COIL, STROKE, SAG).first

    assert (feel.breakaway, feel.sag_force, feel.mid_force, feel.end_force) == pytest.approx((20, 1440, 2400, 4800))
    assert feel.end_ramp == pytest.approx(10 / 3, rel=1e-12)
    assert (feel.last_fifth_energy, feel.energy) == pytest.approx((51.84, 131.04), rel=1e-12)


def test_a_coil_by_hand_through_a_falling_leverage():
    """z = 3 s - 6 s²: full travel 0.1584 m. The last fifth begins at z = 0.12672, where 6 s² - 3 s + z = 0:
    s = (3 - sqrt(9 - 24 z))/12 = 0.0465716 m. Leverage 3 at the start, 2.28 at the end, 2.784 at the sag."""
    both = overlay(FITTED_COIL, FITTED_COIL, STROKE, SAG, LEVERAGE)
    late = (3 - np.sqrt(9 - 24 * 0.8 * 0.1584)) / 12
    half = (3 - np.sqrt(9 - 24 * 0.5 * 0.1584)) / 12
    feel = both.second

    assert both.sag == pytest.approx(3 * SAG - 6 * SAG**2, rel=1e-12)
    assert feel.breakaway == pytest.approx(20 / 3, rel=1e-12)
    assert feel.sag_force == pytest.approx(1440 / 2.784, rel=1e-9)
    assert feel.mid_force == pytest.approx(80e3 * half / (3 - 12 * half), rel=1e-8)
    assert feel.end_force == pytest.approx(4800 / 2.28, rel=1e-9)
    assert feel.last_fifth_energy == pytest.approx(40e3 * (STROKE**2 - late**2), rel=1e-8)


def test_air_ramps_more_than_a_coil_at_the_same_sag():
    found = overlay(FITTED_COIL, fitted_air(COIL.force(SAG)), STROKE, SAG, LEVERAGE)

    assert found.first.sag_force == pytest.approx(found.second.sag_force, rel=1e-9)
    assert found.second.end_ramp > found.first.end_ramp
    assert found.second.breakaway > found.first.breakaway
    assert found.second.last_fifth_energy / found.second.energy > found.first.last_fifth_energy / found.first.energy


def test_a_spring_that_is_drawn_in_has_friction_alone_to_overcome():
    dimpled = AirSpring(
        area=15 * CM2,
        volume=150 * CM3,
        negative=Negative(volume=10 * CM3, area=14 * CM2, port=0.006, open_extended=False),
    )
    charge = fill(dimpled, gauge_for_force(dimpled, 1440.0, SAG))
    slow = air_curve(dimpled, charge, 1.0, STROKE)
    assert slow.force(0.0) < 0.0
    feel = overlay(FittedSpring(slow=slow, fast=slow, band=40.0), FITTED_COIL, STROKE, SAG).first
    assert feel.breakaway == 40.0


@pytest.mark.parametrize(
    ("sag", "second", "leverage", "told"),
    [
        (0.06, FITTED_COIL, None, "sag of 60.0 mm is not inside a stroke of 60.0 mm"),
        (SAG, FittedSpring(slow=coil_spring(9e4, STROKE), fast=COIL), None, "carries 1440 N and the second 1620 N"),
        (SAG, FITTED_COIL, Falling(np.linspace(0.0, 0.05, 11)), "runs to 50.00 mm, the stroke to 60.00 mm"),
    ],
)
def test_springs_that_cannot_be_compared_are_refused(sag, second, leverage, told):
    with pytest.raises(OutsideValidity, match=told):
        overlay(FITTED_COIL, second, STROKE, sag, leverage)

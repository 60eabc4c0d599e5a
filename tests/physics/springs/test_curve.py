"""Where a load comes to rest."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import OutsideValidity, SolverDidNotSettle
from bikewright.physics.kernels.spring import TABLE
from bikewright.physics.springs.air import air_curve
from bikewright.physics.springs.assembly import assemble
from bikewright.physics.springs.bumper import bumper
from bikewright.physics.springs.coil import coil_spring
from bikewright.physics.springs.curve import SpringCurve, stroke_at_force
from tests.physics.springs.air_springs import exponents, gauges, springs
from tests.physics.springs.test_air import filled


@given(springs(), gauges, exponents, st.floats(0.01, 0.99))
def test_the_stroke_of_a_force_carries_that_force(made, gauge, exponent, part):
    spring, stroke = made
    curve = air_curve(spring, filled(spring, gauge), exponent, stroke)
    found = stroke_at_force(curve, curve.force(part * stroke), stroke)

    assert found == pytest.approx(part * stroke, rel=1e-9)


def test_a_coil_is_solved_exactly_and_a_bumper_does_not_confuse_the_search():
    coil = coil_spring(80e3, 0.06, preload=0.001)
    assert stroke_at_force(coil, 80e3 * 0.031, 0.06) == pytest.approx(0.030, abs=1e-15)

    ended = assemble(coil, 0.06, bumper=bumper(0.055, [0.0, 0.001, 0.005], [0.0, 5.0, 4000.0]))
    for wanted in (0.0549, 0.0551, 0.0599):
        assert stroke_at_force(ended, ended.force(wanted), 0.06) == pytest.approx(wanted, abs=1e-13)


def test_a_load_below_the_preload_stays_extended_and_a_load_above_the_end_bottoms():
    coil = coil_spring(80e3, 0.06, preload=0.001)
    assert stroke_at_force(coil, 79.9, 0.06) == 0.0
    assert stroke_at_force(coil, 1e5, 0.06) == 0.06


class Levels(SpringCurve):
    """A spring of three levels of force: from stroke nought, from 1 um on and from 20 mm on."""

    def __init__(self, *levels, slope):
        self.levels, self.slope = levels, slope

    def numbers(self):
        rows = zip((1.0, 1.0 + 1e-6, 1.02), self.levels, strict=True)
        return ((TABLE, -1.0, *(value for at, force in rows for value in (at, force, self.slope, 0.0, 0.0, 0.0))),)


def test_a_force_that_is_none_does_not_pass_as_an_answer():
    torn = Levels(-2.0, math.nan, 2.0, slope=1.0)
    with pytest.raises(SolverDidNotSettle, match=r"carries 0\.0 N was not found near 10\.000 mm"):
        stroke_at_force(torn, 0.0, 0.02)


def test_a_load_inside_a_step_rests_at_the_step():
    """No rate to follow: halving alone leads there."""
    stepping = Levels(-100.0, -100.0, 100.0, slope=0.0)
    assert stroke_at_force(stepping, 0.0, 0.06) == pytest.approx(0.02, abs=1e-13)


def test_a_stroke_of_nothing_cannot_be_searched():
    with pytest.raises(OutsideValidity, match=r"stroke of 0\.0 mm"):
        stroke_at_force(coil_spring(80e3, 0.06), 100.0, 0.0)

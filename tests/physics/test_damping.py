"""Damping: tables, clicks and the coefficient of equal energy, against quadrature and closed forms."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from bikewright.errors import OutsideValidity
from bikewright.physics.damping import Dial, at_wheel, both_dials, click_for, measured, mixed, with_knee

SPEEDS = (0.025, 0.05, 0.1, 0.2, 0.4, 0.8, 1.5)
FIRM = measured(SPEEDS, (340, 675, 1350, 2045, 3100, 4700, 6855))
SOFT = measured(SPEEDS, (72, 145, 290, 440, 665, 1010, 1470))
DIAL = Dial(14, (0, 14), (FIRM, SOFT))


def by_quadrature(force, peak, bends=()):
    """Equal energy over a cycle, integrated from its definition: energy in one cycle over pi V times the amplitude."""
    corners = sorted({math.acos(min(bend / peak, 1.0)) for bend in bends})
    energy = quad(lambda t: force(peak * math.cos(t)) * math.cos(t), 0, math.pi / 2, points=corners, limit=400)[0]
    return 4 * energy / (math.pi * peak)


@pytest.mark.parametrize("peak", [0.01, 0.15, 0.2, 0.77, 1.5])
@pytest.mark.parametrize("curve", [FIRM, SOFT, DIAL.at(5)], ids=["closed", "open", "between"])
def test_equal_energy_is_that_of_scipys_quadrature(curve, peak):
    assert curve.equivalent(peak) == pytest.approx(by_quadrature(curve.at, peak, curve.speed), rel=1e-8)


@pytest.mark.parametrize("peak", [0.02, 0.3, 0.9])
def test_equal_energy_of_a_knee_is_that_of_scipys_quadrature(peak):
    curve = with_knee(6000.0, 0.12, 1500.0)

    assert curve.equivalent(peak) == pytest.approx(by_quadrature(curve.at, peak, curve.speed), rel=1e-8)


@given(st.floats(1.0, 1e5), st.floats(0.001, 3.0))
def test_a_linear_damper_is_equal_to_itself(coefficient, peak):
    curve = with_knee(coefficient, 0.2, coefficient)

    assert curve.equivalent(peak) == pytest.approx(coefficient, rel=1e-12)


def test_a_quadratic_damper_has_8_over_3_pi_of_its_force_for_each_speed():
    """J. P. Den Hartog, Mechanical Vibrations: F = c2 v^2 equals 8/(3 pi) c2 V (from memory). Straight lines between so
    many points are near enough to the parabola: their own error is (1/n)^2.
    """
    c2, peak = 900.0, 0.8
    speed = np.linspace(0.0, 1.0, 2001)
    curve = measured(speed, c2 * speed**2)

    assert curve.equivalent(peak) == pytest.approx(8 / (3 * math.pi) * c2 * peak, rel=1e-6)


def test_force_passes_through_what_was_measured_and_is_nought_at_rest():
    assert [FIRM.at(speed) for speed in (0.0, 0.05, 0.15, 1.5)] == pytest.approx([0.0, 675.0, 1697.5, 6855.0])


def test_a_stroke_faster_than_was_measured_is_refused_by_how_much():
    with pytest.raises(OutsideValidity, match="measured up to 1500 mm/s; 1700 mm/s is 200 mm/s faster"):
        FIRM.equivalent(1.7)


@pytest.mark.parametrize("peak", [0.0, -0.1, math.nan])
def test_a_stroke_without_speed_is_refused(peak):
    with pytest.raises(OutsideValidity, match="no energy"):
        FIRM.equivalent(peak)


@pytest.mark.parametrize(
    ("speed", "force"),
    [((0.1, 0.1), (1, 2)), ((0.2, 0.1), (1, 2)), ((0.1, 0.2), (-1, 2)), ((), ()), ((0.1,), (1, 2)), ((0.0,), (0.0,))],
)
def test_what_is_no_table_is_refused(speed, force):
    with pytest.raises(OutsideValidity):
        measured(speed, force)


@given(st.floats(0.0, 14.0), st.sampled_from(SPEEDS))
def test_between_measured_clicks_the_force_lies_in_proportion(click, speed):
    share = click / 14
    assert DIAL.at(click).at(speed) == pytest.approx((1 - share) * FIRM.at(speed) + share * SOFT.at(speed))


@given(st.floats(0.0, 14.0), st.floats(0.03, 1.4))
def test_the_click_for_a_coefficient_has_it(click, peak):
    wanted = DIAL.at(click).equivalent(peak)

    assert click_for(DIAL, wanted, peak) == pytest.approx(click, abs=1e-6)


def test_a_coefficient_that_the_dial_has_not_is_refused_by_how_much():
    closed = FIRM.equivalent(0.15)
    with pytest.raises(OutsideValidity, match="all clicks closed, 20 % too little"):
        click_for(DIAL, 1.2 * closed, 0.15)
    with pytest.raises(OutsideValidity, match="all clicks open, 50 % too much"):
        click_for(DIAL, 0.5 * SOFT.equivalent(0.15), 0.15)


def test_a_dial_that_is_firmest_somewhere_on_its_way_is_held_against_its_firmest_click():
    humped = Dial(DIAL.total, (0, 5, DIAL.total), (mixed(FIRM, SOFT, 0.3), FIRM, SOFT))
    with pytest.raises(OutsideValidity, match="with 5 clicks from closed, 20 % too little"):
        click_for(humped, 1.2 * FIRM.equivalent(0.15), 0.15)


@pytest.mark.parametrize(("click", "over"), [(-2, 2), (17, 3)])
def test_a_click_that_the_dial_has_not_is_refused_by_how_much(click, over):
    with pytest.raises(OutsideValidity, match=f"{over} outside"):
        DIAL.at(click)


def test_two_dials_add_up_and_what_was_not_turned_changes_nothing():
    low = SOFT
    assert both_dials(low, FIRM, FIRM).force == pytest.approx(low.force)
    turned = both_dials(FIRM, SOFT, mixed(FIRM, SOFT, 0.9))
    assert turned.at(0.2) == pytest.approx(FIRM.at(0.2) + SOFT.at(0.2) - mixed(FIRM, SOFT, 0.9).at(0.2))
    assert turned.equivalent(0.3) == pytest.approx(
        FIRM.equivalent(0.3) + SOFT.equivalent(0.3) - mixed(FIRM, SOFT, 0.9).equivalent(0.3)
    )


def test_dials_that_would_push_the_other_way_are_refused():
    with pytest.raises(OutsideValidity, match="do not add up"):
        both_dials(SOFT, SOFT, FIRM)


@given(st.floats(10.0, 2e4), st.floats(1.0, 4.0), st.floats(0.05, 2.0))
def test_the_wheel_feels_the_power_of_the_shaft(coefficient, ratio, wheel_speed):
    """The power that a damper takes up is the same at wheel and shaft."""
    shaft_speed = wheel_speed / ratio

    assert at_wheel(coefficient, ratio) * wheel_speed**2 == pytest.approx(coefficient * shaft_speed**2)


def test_a_wheel_that_does_not_move_is_refused():
    with pytest.raises(OutsideValidity, match="moves no wheel"):
        at_wheel(1000.0, 0.0)

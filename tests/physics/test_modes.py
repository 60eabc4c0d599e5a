"""Modes: one mass on a spring, and a body on two, against a handbook's closed forms and SciPy's eigenvalues."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.linalg import eig, eigh

from bikewright.errors import OutsideValidity
from bikewright.physics.modes import Spring, critical, end_mode, two_modes

HARD = 1e15
"""A tyre that does not give [N/m]."""


def test_one_mass_on_a_spring_and_a_damper():
    """m 80 kg, k 20 kN/m, c 900 N s/m: worked out beforehand from the handbook's formulas; Den Hartog, ch. 2."""
    mode = end_mode(80.0, Spring(rate=20e3, tyre=HARD, damping=900.0))

    assert mode.frequency == pytest.approx(2.516461, abs=5e-7)
    assert mode.ratio == pytest.approx(0.355756, abs=5e-7)
    assert mode.damped_frequency == pytest.approx(2.351831, abs=5e-7)
    assert 2 * math.pi * mode.ratio / math.sqrt(1 - mode.ratio**2) == pytest.approx(2.391754, abs=5e-7)


def state_matrix(mass, inertia, front, rear, ahead, behind):
    """Heave and pitch written as a system of first order, for SciPy."""
    shape = np.array([[1.0, ahead], [1.0, -behind]])
    inertias = np.diag([mass, inertia])
    rates = shape.T @ np.diag([front.ride_rate, rear.ride_rate]) @ shape
    dampers = shape.T @ np.diag([front.ride_damping, rear.ride_damping]) @ shape
    nothing, one = np.zeros((2, 2)), np.eye(2)
    back = np.linalg.inv(inertias)
    return np.block([[nothing, one], [-back @ rates, -back @ dampers]]), inertias, rates


MASSES = st.floats(40.0, 140.0)
SPRINGS = st.builds(Spring, rate=st.floats(3e3, 40e3), tyre=st.floats(60e3, 250e3), damping=st.floats(0.0, 400.0))


@given(MASSES, st.floats(8.0, 60.0), SPRINGS, SPRINGS, st.floats(0.4, 1.0), st.floats(0.3, 0.8))
def test_undamped_frequencies_and_centres_are_scipys(mass, inertia, front, rear, ahead, behind):
    found = two_modes(mass, inertia, front, rear, ahead, behind)
    _, inertias, rates = state_matrix(mass, inertia, front, rear, ahead, behind)
    squares, shapes = eigh(rates, inertias)

    mine = sorted((found.heave, found.pitch), key=lambda mode: mode.frequency)
    assert [mode.frequency for mode in mine] == pytest.approx(np.sqrt(squares) / (2 * math.pi), rel=1e-9)
    assume(squares[1] > 1.05 * squares[0])  # shapes of frequencies that fall together are not defined
    for mode, shape in zip(mine, shapes.T, strict=True):
        if math.isfinite(mode.centre):
            assert shape[0] + mode.centre * shape[1] == pytest.approx(0.0, abs=1e-6 * abs(shape).max())


@given(MASSES, st.floats(8.0, 60.0), SPRINGS, SPRINGS, st.floats(0.4, 1.0), st.floats(0.3, 0.8))
def test_damped_modes_are_those_of_the_state_matrix_while_damping_is_small(mass, inertia, front, rear, ahead, behind):
    """SciPy's poles of the whole system: their frequencies and ratios agree within the square of the ratio."""
    found = two_modes(mass, inertia, front, rear, ahead, behind)
    assume(max(found.heave.ratio, found.pitch.ratio) < 0.15)
    assume(abs(found.heave.frequency / found.pitch.frequency - 1.0) > 0.2)
    system, *_ = state_matrix(mass, inertia, front, rear, ahead, behind)
    poles = [pole for pole in eig(system, right=False) if pole.imag > 0.0]
    poles.sort(key=abs)
    mine = sorted((found.heave, found.pitch), key=lambda mode: mode.frequency)

    for mode, pole in zip(mine, poles, strict=True):
        assert abs(pole) / (2 * math.pi) == pytest.approx(mode.frequency, rel=0.06)
        assert -pole.real / abs(pole) == pytest.approx(mode.ratio, abs=0.02)


def test_proportional_damping_is_exact_at_any_size():
    front = Spring(rate=8e3, tyre=HARD, damping=0.05 * 8e3)
    rear = Spring(rate=12e3, tyre=HARD, damping=0.05 * 12e3)
    found = two_modes(90.0, 20.0, front, rear, 0.75, 0.5)
    system, *_ = state_matrix(90.0, 20.0, front, rear, 0.75, 0.5)
    poles = sorted((pole for pole in eig(system, right=False) if pole.imag > 0.0), key=abs)

    mine = sorted((found.heave, found.pitch), key=lambda mode: mode.frequency)
    assert [mode.ratio for mode in mine] == pytest.approx([-pole.real / abs(pole) for pole in poles], rel=1e-9)
    assert max(mode.ratio for mode in mine) > 0.3


def test_a_tyre_in_series_lowers_damping_as_the_exact_third_order_system_says():
    """Mass on spring and damper on a tyre, no unsprung mass: the axle is a third state. SciPy gives the pole."""
    mass, rate, tyre, damping = 58.0, 10.5e3, 130e3, 820.0
    spring = Spring(rate=rate, tyre=tyre, damping=damping)
    mode = end_mode(mass, spring)
    # c (y' - z') = k (z - y) - kt y with the axle's place y
    system = np.array(
        [
            [0.0, 1.0, 0.0],
            [0.0, 0.0, -tyre / mass],
            [rate / damping, 1.0, -(rate + tyre) / damping],
        ]
    )
    (pole,) = (pole for pole in eig(system, right=False) if pole.imag > 0.0)

    assert abs(pole) / (2 * math.pi) == pytest.approx(mode.frequency, rel=0.05)
    assert -pole.real / abs(pole) == pytest.approx(mode.ratio, rel=0.05)


def test_ends_that_balance_do_not_touch_each_other():
    """kf a = kr b: one mode goes straight up and down, the other turns about the centre of mass."""
    ahead, behind, rate = 0.8, 0.5, 9e3
    front = Spring(rate=rate, tyre=HARD)
    rear = Spring(rate=front.ride_rate * ahead / behind, tyre=HARD)
    found = two_modes(95.0, 22.0, front, rear, ahead, behind)

    whole = front.ride_rate + rear.ride_rate
    turning = front.ride_rate * ahead**2 + rear.ride_rate * behind**2
    assert found.heave.frequency == pytest.approx(math.sqrt(whole / 95.0) / (2 * math.pi), rel=1e-9)
    assert found.pitch.frequency == pytest.approx(math.sqrt(turning / 22.0) / (2 * math.pi), rel=1e-9)
    assert abs(found.heave.centre) > 1e6
    assert found.pitch.centre == pytest.approx(0.0, abs=1e-6)


@given(MASSES, st.floats(8.0, 60.0), SPRINGS, SPRINGS, st.floats(0.4, 1.0), st.floats(0.3, 0.8))
def test_the_two_centres_lie_on_both_sides_by_the_square_of_the_gyration(mass, inertia, front, rear, ahead, behind):
    """Their product is -I/m: shapes are square to each other over the masses. Gillespie, ch. 5 (from memory)."""
    found = two_modes(mass, inertia, front, rear, ahead, behind)
    assume(math.isfinite(found.heave.centre) and abs(found.pitch.centre) > 1e-6)

    assert found.heave.centre * found.pitch.centre == pytest.approx(-inertia / mass, rel=1e-6)
    assert abs(found.heave.centre) >= abs(found.pitch.centre) * (1 - 1e-9)


def test_an_end_with_a_tyre_alone_swings_on_it_undamped():
    mode = end_mode(50.0, Spring(rate=None, tyre=120e3, damping=500.0))

    assert mode.frequency == pytest.approx(math.sqrt(120e3 / 50.0) / (2 * math.pi))
    assert mode.ratio == 0.0


def test_more_than_critical_damping_does_not_swing():
    mode = end_mode(50.0, Spring(rate=5e3, tyre=HARD, damping=1.5 * critical(50.0, 5e3)))

    assert mode.ratio == pytest.approx(1.5, rel=1e-6)
    assert mode.damped_frequency == 0.0


@pytest.mark.parametrize(("mass", "rate"), [(0.0, 1e4), (-1.0, 1e4), (50.0, -1e4), (math.nan, 1e4)])
def test_what_does_not_swing_is_refused(mass, rate):
    with pytest.raises(OutsideValidity, match="does not swing"):
        end_mode(mass, Spring(rate=rate, tyre=HARD))


def test_a_suspension_that_gives_way_is_not_hidden_by_its_tyre():
    """In series with 100 N/mm, -300 N/mm look like 150 N/mm."""
    falling = Spring(rate=-300e3, tyre=100e3)
    assert falling.ride_rate == pytest.approx(150e3)
    with pytest.raises(OutsideValidity, match=r"-3e\+05 and 1e\+05 N/m .* does not swing"):
        end_mode(50.0, falling)
    with pytest.raises(OutsideValidity, match="does not swing"):
        two_modes(90.0, 20.0, Spring(rate=8e3, tyre=100e3), falling, 0.7, 0.5)

"""Bumpers and top-out springs: monotone, exact, and the same as a general-purpose monotone cubic."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import OutsideValidity
from bikewright.physics.springs.bumper import TopOut, bumper
from tests.physics.springs.exactness import check_arrays, check_energy, check_exact

RUBBER = bumper(0.050, [0.0, 0.003, 0.006, 0.009, 0.010], [0.0, 120.0, 480.0, 1600.0, 2600.0])

tables = st.lists(st.tuples(st.floats(1e-3, 5e-3), st.just(0.0) | st.floats(0.1, 1500.0)), min_size=1, max_size=6).map(
    lambda steps: (np.cumsum([0.0, *(s[0] for s in steps)]), np.cumsum([0.0, *(s[1] for s in steps)]))
)


def test_the_table_is_met_in_every_row_and_nothing_pushes_before_contact():
    assert RUBBER.force(np.array([0.0, 0.05, 0.053, 0.056, 0.059, 0.06])) == pytest.approx([0, 0, 120, 480, 1600, 2600])
    assert RUBBER.state(0.049) == (0.0, 0.0, 0.0)


def test_two_rows_are_a_straight_line():
    """1000 N over 10 mm: at 5 mm 500 N and 1.25 J; beyond the table as straight: 1500 N and 11.25 J at 15 mm."""
    straight = bumper(0.0, [0.0, 0.01], [0.0, 1000.0])

    assert straight.state(0.005) == pytest.approx((500.0, 1e5, 1.25), rel=1e-13)
    assert straight.state(0.015) == pytest.approx((1500.0, 1e5, 11.25), rel=1e-13)


@given(tables)
def test_force_never_falls_and_belongs_to_rate_and_energy(table):
    compression, force = table
    made = bumper(0.02, compression, force)
    ends = compression + 0.02
    check_exact(made, 0.5 * (ends[1:] + ends[:-1]), step=5e-5)
    check_arrays(made, [0.0, 0.02, *ends, ends[-1] + 0.01])
    for low, high in pairwise(ends):
        assert made.energy(high) >= made.energy(low)
        if made.energy(high) - made.energy(low) > 1e-6:
            check_energy(made, low, high, rel=1e-9)
    steps = np.diff(made.force(np.linspace(0.0, ends[-1] + 0.005, 500)))
    assert np.all(steps >= -1e-9)


@pytest.mark.oracle
@given(tables)
def test_the_cubic_is_that_of_a_general_library(table):
    """SciPy's PCHIP interpolator, run here: value, slope and integral. A bumper of one chord is straight in both."""
    from scipy.interpolate import PchipInterpolator

    compression, force = table
    made, theirs = bumper(0.0, compression, force), PchipInterpolator(compression, force)
    at = np.linspace(1e-6, compression[-1] * (1 - 1e-9), 60)
    scale = max(force[-1], 1e-9)

    assert made.force(at) == pytest.approx(theirs(at), rel=1e-9, abs=1e-10 * scale)
    assert made.rate(at) == pytest.approx(theirs(at, 1), rel=1e-7, abs=1e-6 * scale)
    assert made.energy(at[-1]) == pytest.approx(float(theirs.integrate(0.0, at[-1])), rel=1e-9, abs=1e-15)


def test_a_top_out_spring_pulls_in_at_first_and_lets_go():
    """20 N/mm over 5 mm: -100 N at full extension, -60 N at 2 mm. Energy to 5 mm is -20 x 5²/2 N mm = -0.25 J."""
    spring = TopOut(topout_rate=20e3, length=0.005)

    assert spring.state(0.0) == pytest.approx((-100.0, 20e3, 0.0), abs=1e-13)
    assert spring.force(0.002) == pytest.approx(-60.0, rel=1e-12)
    assert spring.state(0.08) == pytest.approx((0.0, 0.0, -0.25), rel=1e-12)
    check_exact(spring, [0.001, 0.003, 0.02])
    check_arrays(spring, [0.0, 0.005, 0.02])


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: bumper(-0.01, [0, 1], [0, 1]), "cannot touch at -10.0 mm"),
        (lambda: bumper(0.0, [0.0], [0.0]), "two rows or more"),
        (lambda: bumper(0.0, [0.0, 0.01], [0.0]), "found 2 compressions and 1 forces"),
        (lambda: bumper(0.0, [0.0, 0.01], [5.0, 10.0]), "starts with 0 N at 0 mm; found 5.0 N"),
        (lambda: bumper(0.0, [0.0, 0.01, 0.02], [0.0, 100.0, 90.0]), "row 3 of the bumper table, 90.0 N at 20.00 mm"),
        (lambda: bumper(0.0, [0.0, 0.01, 0.01], [0.0, 100.0, 190.0]), "row 3"),
        (lambda: TopOut(topout_rate=-1.0, length=0.005), "neither may be negative"),
    ],
)
def test_nonsense_is_refused_by_name(call, told):
    with pytest.raises(OutsideValidity, match=told):
        call()

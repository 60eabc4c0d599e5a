"""Coils: worked by hand, against differences and quadrature, and at coil bind."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import LimitExceeded, OutsideValidity
from bikewright.physics.springs.coil import coil_spring, preload_from_turns
from tests.physics.springs.exactness import check_arrays, check_energy, check_exact

coils = st.builds(
    lambda rate, stroke, preload, gain: coil_spring(rate, stroke, preload=preload, end_rate=rate * gain),
    st.floats(2e4, 2e5),
    st.floats(0.04, 0.2),
    st.floats(0.0, 0.01),
    st.floats(0.8, 2.0),
)


def test_a_coil_of_80_n_per_mm_with_2_mm_of_preload():
    """By hand at 50 mm: 80 N/mm x 52 mm = 4160 N; energy 80 x (52² - 2²)/2 = 108 000 N mm = 108 J; 160 N to start."""
    coil = coil_spring(80e3, 0.06, preload=preload_from_turns(2.0, 1e-3))

    assert coil.state(0.05) == pytest.approx((4160.0, 80e3, 108.0), rel=1e-14)
    assert coil.state(0.0) == pytest.approx((160.0, 80e3, 0.0), rel=1e-14)
    assert coil.bind_margin is None


def test_a_progressive_coil_ends_at_its_end_rate():
    """By hand, 70 to 90 N/mm over 60 mm without preload: mean rate 80, so 4800 N at the end; at 30 mm 75 x 30 = 2250 N.
    Energy: 70 x 60²/2 + (20/60) x 60³/6 = 126 000 + 12 000 N mm = 138 J."""
    coil = coil_spring(70e3, 0.06, end_rate=90e3)

    assert coil.state(0.06) == pytest.approx((4800.0, 90e3, 138.0), rel=1e-13)
    assert coil.force(0.03) == pytest.approx(2250.0, rel=1e-13)
    assert coil_spring(70e3, 0.06, end_rate=90e3, preload=0.003).rate(0.06) == pytest.approx(91e3, rel=1e-13)


@given(coils)
def test_force_rate_and_energy_belong_together(coil):
    places = np.linspace(0.001, coil.stroke, 5)
    check_exact(coil, places)
    check_energy(coil, 0.0, coil.stroke)
    assert np.all(np.diff(coil.force(np.linspace(0.0, coil.stroke, 50))) > 0.0)


def test_whole_numbers_are_strokes_too():
    check_arrays(coil_spring(50e3, 0.06), [0, 0.01])
    assert coil_spring(50e3, 0.06).force(0) == 0.0


def test_a_coil_that_binds_is_refused_with_the_distance():
    """60 mm of stroke and 3 mm of preload ask for 63 mm; 61.5 mm to bind are 1.5 mm too few."""
    with pytest.raises(
        LimitExceeded, match=r"binds 1\.5 mm before.* 60\.0 mm of stroke and 3\.0 mm .* 61\.5 mm to coil"
    ):
        coil_spring(80e3, 0.06, preload=0.003, stroke_to_bind=0.0615)

    assert coil_spring(80e3, 0.06, preload=0.0015, stroke_to_bind=0.0615).bind_margin == pytest.approx(0.0, abs=1e-15)
    assert coil_spring(80e3, 0.06, stroke_to_bind=0.065).bind_margin == pytest.approx(0.005, abs=1e-15)


@pytest.mark.parametrize(
    ("given_", "told"),
    [
        ({"rate": 0.0, "stroke": 0.06}, "coil rate of 0 N/mm"),
        ({"rate": float("nan"), "stroke": 0.06}, "coil rate of nan"),
        ({"rate": 8e4, "stroke": 0.0}, "stroke of 0.0 mm"),
        ({"rate": 8e4, "stroke": 0.06, "preload": -0.001}, "preload of -1.00 mm would leave the coil loose"),
        ({"rate": 8e4, "stroke": 0.06, "end_rate": -1.0}, "coil end rate"),
        ({"rate": 8e4, "stroke": 0.06, "end_rate": 4e3, "preload": 0.01}, "fall to nothing"),
    ],
)
def test_nonsense_is_refused_by_name(given_, told):
    with pytest.raises(OutsideValidity, match=told):
        coil_spring(**given_)

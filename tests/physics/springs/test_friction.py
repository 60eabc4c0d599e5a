"""Friction: by hand, and the order of the three rests."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import OutsideValidity
from bikewright.physics.springs.coil import coil_spring
from bikewright.physics.springs.friction import (
    Friction,
    bushing_load,
    friction_band,
    let_up,
    loaded_down,
    rest_strokes,
)


def test_the_bushings_carry_more_than_the_side_load():
    """300 N at the axle, 250 mm below the lower of two bushings 100 mm apart: 300 x 350/100 = 1050 N below and
    300 x 250/100 = 750 N above, against it: 1800 N together."""
    assert bushing_load(300.0, 0.250, 0.100) == pytest.approx(1800.0, rel=1e-14)
    assert bushing_load(np.array([-300.0, 0.0]), 0.250, 0.100) == pytest.approx([1800.0, 0.0])


@given(st.floats(-2000, 2000), st.floats(0, 0.5), st.floats(0.02, 0.3))
def test_the_two_bushings_hold_the_legs_in_balance(side, overhang, spacing):
    """Their difference is the side load; their sum is `bushing_load`; their moments about the axle cancel."""
    total = bushing_load(side, overhang, spacing)
    lower, upper = (total + abs(side)) / 2, (total - abs(side)) / 2

    assert lower * overhang == pytest.approx(upper * (overhang + spacing), rel=1e-9, abs=1e-9)


def test_the_band_lies_on_both_sides_of_the_spring():
    band = friction_band(Friction(breakaway=30.0, coefficient=0.05), 1800.0)

    assert band == pytest.approx(120.0)
    assert (loaded_down(700.0, band), let_up(700.0, band)) == pytest.approx((820.0, 580.0))


def test_a_coil_rests_in_three_places():
    """80 N/mm, 2000 N and a band of 160 N: 25 mm without friction, 2 mm less loaded down, 2 mm more let up."""
    rest = rest_strokes(coil_spring(80e3, 0.06), 2000.0, 160.0, 0.06)

    assert (rest.loaded_down, rest.bounced, rest.let_up) == pytest.approx((0.023, 0.025, 0.027), abs=1e-14)


def test_a_load_inside_the_band_may_rest_at_full_extension():
    rest = rest_strokes(coil_spring(80e3, 0.06), 100.0, 160.0, 0.06)
    assert rest.loaded_down == 0.0 < rest.bounced < rest.let_up


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: Friction(breakaway=-1.0), "neither may be negative"),
        (lambda: bushing_load(300.0, 0.25, 0.0), "bushings 0.0 mm apart"),
    ],
)
def test_nonsense_is_refused_by_name(call, told):
    with pytest.raises(OutsideValidity, match=told):
        call()

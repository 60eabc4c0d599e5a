"""Wire: errors and plain geometry; the numbers of the textbook are in tests/published/test_shigley_springs.py."""

import math

import pytest

from bikewright.errors import OutsideValidity
from bikewright.physics.springs.wire import (
    WIRES,
    active_turns,
    bergstraesser,
    long_life_factor,
    solid_length,
    surge_frequency,
    wahl,
    wire_mass,
    wire_rate,
    wire_stress,
)


def test_the_two_curvature_factors_agree_within_two_per_cent():
    assert all(wahl(c) == pytest.approx(bergstraesser(c), rel=0.02) for c in (4.0, 5.5, 8.0, 12.0))


def test_ends_take_turns_and_add_length():
    ends = ("plain", "plain ground", "squared", "squared ground")
    assert [active_turns(10.0, end) for end in ends] == [10.0, 9.0, 8.0, 8.0]
    assert [solid_length(10.0, 0.002, end) for end in ends] == pytest.approx([0.022, 0.020, 0.022, 0.020])


def test_the_mass_of_a_coil_is_its_section_times_its_length():
    """8 mm wire, 7.5 turns of 44 mm: length pi x 44 x 7.5 = 1036.7 mm flat; 50.265 mm² x 1036.7 x 7.85e-3 = 409.1 g.
    Wound over 150 mm the helix is sqrt(1036.7² + 150²) = 1047.5 mm: 413.4 g."""
    assert wire_mass(0.008, 0.044, 7.5) == pytest.approx(0.4091, abs=5e-5)
    assert wire_mass(0.008, 0.044, 7.5, free_length=0.150) == pytest.approx(0.4133, abs=1e-4)


def test_the_surge_is_the_first_longitudinal_mode_of_a_bar():
    """A coil of mass m and rate k is a bar with wave speed L sqrt(k/m); fixed at both ends its first frequency is
    c/(2 L)."""
    length, rate, mass = 0.15, 8e4, 0.4
    assert surge_frequency(rate, mass) == pytest.approx(length * math.sqrt(rate / mass) / (2 * length), rel=1e-14)


def test_stress_grows_with_the_force_and_uses_wahl_unless_told():
    plain = wire_stress(4000.0, 0.008, 0.044, factor=1.0)
    assert wire_stress(4000.0, 0.008, 0.044) == pytest.approx(wahl(5.5) * plain, rel=1e-14)
    assert plain == pytest.approx(8 * 4000 * 0.044 / (math.pi * 0.008**3), rel=1e-14)


def test_shot_peening_helps_for_ever():
    strength = 0.67 * WIRES["chrome-silicon"].tensile_strength(0.008)
    cycle = (300e6, 600e6, strength)
    for rule in ("gerber", "goodman", "sines"):
        assert long_life_factor(*cycle, rule=rule, peened=True) > long_life_factor(*cycle, rule=rule)


@pytest.mark.parametrize("rule", ["gerber", "goodman"])
def test_a_cycle_that_just_lasts_lies_on_its_line(rule):
    """Any stress pair scaled by its own factor has the factor 1, and lies on the line through the Zimmerli point."""
    strength = 1000e6
    factor = long_life_factor(200e6, 400e6, strength, rule=rule)
    alternating, midrange = 200e6 * factor, 400e6 * factor
    power = 2 if rule == "gerber" else 1
    full = 241e6 / (1 - (379e6 / strength) ** power)

    assert long_life_factor(alternating, midrange, strength, rule=rule) == pytest.approx(1.0, rel=1e-12)
    assert alternating / full + (midrange / strength) ** power == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: wire_rate(77e9, 0.044, 0.008, 6.0), "44.00 mm cannot be wound to a mean diameter of 8.00 mm"),
        (lambda: wire_rate(77e9, 0.008, 0.044, 0.0), "0.00 active turns"),
        (lambda: wire_stress(100.0, 0.0, 0.044), "wire of 0.00 mm"),
        (lambda: long_life_factor(300e6, 200e6, 1e9), "cycle of 300.0 MPa about 200.0 MPa"),
        (lambda: long_life_factor(100e6, 200e6, 3e8), "300 MPa is not above 379 MPa"),
    ],
)
def test_nonsense_is_refused_by_name(call, told):
    with pytest.raises(OutsideValidity, match=told):
        call()

"""Helical compression springs of a textbook.

R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 11th ed., chapter 10. Solutions 10-3, 10-5 and
10-6, and the constants of music and oil-tempered wire, were looked up; examples 10-1 and 10-4 are from memory. The book
rounds to three or four digits, so the tolerances are half of its last digit, wider where it went on with rounded
numbers. The coil of a rear shock at the end has no published number: it was worked out for this project from the
formulae by hand.
"""

import math

import pytest

from bikewright.physics.springs.coil import coil_spring
from bikewright.physics.springs.wire import (
    WIRES,
    active_turns,
    bergstraesser,
    buckling_length,
    long_life_factor,
    solid_length,
    surge_frequency,
    wahl,
    wire_mass,
    wire_rate,
    wire_stress,
)
from bikewright.sources import SOURCES
from bikewright.units import INCH, LBF, LBF_PER_IN, MM, N_PER_MM, PSI

pytestmark = pytest.mark.published

KPSI = 1e3 * PSI
MPA = 1e6
BOOK = 3e-3


def test_solution_10_3_music_wire_plain_and_ground():
    """Looked up: d 2.5 mm, outside 31 mm, 14 turns, G 81.0 GPa."""
    wire, mean, turns = 2.5 * MM, 28.5 * MM, active_turns(14.0, "plain ground")
    rate = wire_rate(81.0e9, wire, mean, turns)
    strength = WIRES["music"].tensile_strength(wire)
    shear = 0.45 * strength
    factor = bergstraesser(mean / wire)
    solid = solid_length(14.0, wire, "plain ground")
    # The force at which the stress reaches the elastic limit; stress is linear in force.
    force = shear / wire_stress(1.0, wire, mean, factor)

    assert mean / wire == pytest.approx(11.4, abs=1e-12)
    assert turns == 13.0
    assert rate / N_PER_MM == pytest.approx(1.314, abs=5e-4)
    assert strength / MPA == pytest.approx(1936, abs=0.5)
    assert shear / MPA == pytest.approx(871.2, abs=0.2)
    assert factor == pytest.approx(1.117, abs=5e-4)
    assert force == pytest.approx(167.9, abs=0.1)
    assert solid / MM == pytest.approx(35.0, abs=1e-9)
    assert (force / rate + solid) / MM == pytest.approx(162.8, abs=0.1)
    assert buckling_length(mean, 0.5) / MM == pytest.approx(149.9, abs=0.05)


def test_solution_10_5_oil_tempered_wire_in_inches():
    """Looked up: d 0.2 in, D 2 in, 12 turns squared, free length 5 in, G 11.2 Mpsi."""
    wire, mean = 0.2 * INCH, 2.0 * INCH
    rate = wire_rate(11.2e6 * PSI, wire, mean, active_turns(12.0, "squared"))
    force = rate * (5.0 * INCH - solid_length(12.0, wire, "squared"))
    factor = bergstraesser(mean / wire)
    stress = wire_stress(force, wire, mean, factor)
    shear = 0.5 * 147 / 0.2**0.187 * KPSI

    assert rate / LBF_PER_IN == pytest.approx(28.0, abs=0.05)
    assert force / LBF == pytest.approx(67.2, abs=0.05)
    assert factor == pytest.approx(1.135, abs=5e-4)
    assert stress / KPSI == pytest.approx(48.56, rel=1e-3)
    assert shear / KPSI == pytest.approx(99.3, abs=0.05)
    assert shear / stress == pytest.approx(2.04, abs=0.006)
    assert WIRES["oil-tempered"].tensile_strength(wire) == pytest.approx(2 * shear, rel=BOOK)


def test_solution_10_6_active_turns_for_a_rate():
    """Looked up: d 4 mm, index 10, 15 mm at 50 N, G 77.2 GPa; the rate is inverse to the turns."""
    wire, mean = 4 * MM, 40 * MM
    turns = wire_rate(77.2e9, wire, mean, 1.0) / (50.0 / (15 * MM))

    assert turns == pytest.approx(11.6, abs=0.05)
    assert WIRES["oil-tempered"].tensile_strength(wire) / MPA == pytest.approx(1431, abs=0.5)


def test_example_10_1():
    """From memory: music wire 0.037 in, outside 7/16 in, squared, 12.5 turns, free 2.06 in. The book goes on with an
    index of 10.8; exact dimensions give 6.446 lbf and 4.116 lbf/in."""
    wire, mean = 0.037 * INCH, (7 / 16 - 0.037) * INCH
    rate = wire_rate(11.85e6 * PSI, wire, mean, active_turns(12.5, "squared"))
    shear = 0.45 * 201 / 0.037**0.145 * KPSI
    force = shear / wire_stress(1.0, wire, mean, bergstraesser(mean / wire))

    assert mean / wire == pytest.approx(10.8, abs=0.05)
    assert bergstraesser(mean / wire) == pytest.approx(1.124, abs=5e-4)
    assert shear / KPSI == pytest.approx(146, abs=0.5)
    assert force / LBF == pytest.approx(6.446, abs=2e-3)
    assert force / LBF == pytest.approx(6.46, rel=BOOK)
    assert rate / LBF_PER_IN == pytest.approx(4.116, abs=2e-3)
    assert rate / LBF_PER_IN == pytest.approx(4.13, rel=4e-3)
    assert force / rate / INCH == pytest.approx(1.56, abs=0.01)
    assert solid_length(12.5, wire, "squared") / INCH == pytest.approx(0.500, abs=5e-4)
    assert (force / rate + solid_length(12.5, wire, "squared")) / INCH == pytest.approx(2.06, abs=0.01)


def test_example_10_4_long_life_and_surge():
    """From memory: music wire 0.092 in, outside 9/16 in, 21 active turns, 5 to 35 lbf, unpeened. The book's factor
    1.287 comes from an index rounded to 5.11."""
    wire, mean = 0.092 * INCH, (9 / 16 - 0.092) * INCH
    factor = bergstraesser(mean / wire)
    alternating = wire_stress(15 * LBF, wire, mean, factor)
    midrange = wire_stress(20 * LBF, wire, mean, factor)
    tensile = 201 / 0.092**0.145 * KPSI
    rate = wire_rate(11.75e6 * PSI, wire, mean, 21.0)

    assert mean / wire == pytest.approx(5.11, abs=0.005)
    assert factor == pytest.approx(1.287, abs=1e-3)
    assert alternating / KPSI == pytest.approx(29.7, abs=0.06)
    assert midrange / KPSI == pytest.approx(39.6, abs=0.06)
    assert tensile / KPSI == pytest.approx(284.1, abs=0.06)
    assert 0.67 * tensile / KPSI == pytest.approx(190.3, abs=0.06)
    for rule, safe in (("gerber", 1.21), ("sines", 1.18), ("goodman", 1.23)):
        assert long_life_factor(alternating, midrange, 0.67 * tensile, rule=rule) == pytest.approx(safe, abs=0.01)
    assert rate / LBF_PER_IN == pytest.approx(48.1, abs=0.06)
    mass = wire_mass(wire, mean, 21.0, density=0.284 * 0.45359237 / INCH**3)
    assert surge_frequency(rate, mass) == pytest.approx(281, abs=1.0)


@pytest.mark.parametrize(
    ("kind", "strengths"),
    [
        ("music", (1999.6, 1808.4, 1705.1, 1635.5, 1583.4, 1542.1)),
        ("chrome-silicon", (1831.6, 1699.5, 1626.7, 1576.9, 1539.4, 1509.4)),
    ],
)
def test_tensile_strength_over_the_diameter(kind, strengths):
    """A/d^m worked out from table 10-4: the constants of music wire looked up, of chrome-silicon from memory."""
    for diameter, strength in zip((2, 4, 6, 8, 10, 12), strengths, strict=True):
        assert WIRES[kind].tensile_strength(diameter * MM) / MPA == pytest.approx(strength, abs=0.06)


def test_which_wire_was_seen():
    assert {name for name, wire in WIRES.items() if wire.seen} == {"music", "oil-tempered"}
    assert SOURCES["shigley"].seen and not SOURCES["shigley_examples"].seen


def test_the_coil_of_a_rear_shock():
    """No published number; derived: d 8, D 44, 6 active turns, G 77.2 GPa: 77.3353 N/mm (441.6 lbf/in), C 5.5, Wahl
    1.27848, 4253.44 N and 1190.03 MPa at 55 mm."""
    wire, mean = 8 * MM, 44 * MM
    rate = wire_rate(77.2e9, wire, mean, 6.0)
    force = coil_spring(rate, 0.055).force(0.055)

    assert rate / N_PER_MM == pytest.approx(77.3353, abs=5e-5)
    assert rate / LBF_PER_IN == pytest.approx(441.6, abs=0.05)
    assert wahl(5.5) == pytest.approx(1.27848, abs=5e-6)
    assert force == pytest.approx(4253.44, abs=5e-3)
    assert wire_stress(force, wire, mean) / MPA == pytest.approx(1190.03, abs=5e-3)
    assert rate == pytest.approx(77.2e9 * 0.008**4 / (8 * 0.044**3 * 6), rel=1e-14)
    assert math.isclose(
        wire_stress(force, wire, mean), wahl(5.5) * 8 * force * mean / (math.pi * wire**3), rel_tol=1e-14
    )

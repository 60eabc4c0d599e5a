"""Air springs by the polytropic model.

No published worked fork was found. The model p V^n = const is that of Alsuwaiyan, World J. Eng. Technol. 12:455, 2024
(looked up); the numbers below were derived for this project from it in closed form and the work checked by quadrature,
so the file holds our springs against numbers that the package did not compute. Tolerance: half of the last digit
printed. Air outside 101 325 Pa.
"""

import math

import pytest

from bikewright.physics.springs.air import air_curve
from bikewright.physics.springs.chambers import AirSpring, Negative, fill, gauge_shown
from bikewright.physics.springs.gas import ATMOSPHERE, WORKSHOP, Air
from bikewright.sources import SOURCES
from bikewright.units import BAR

pytestmark = pytest.mark.published

AREA = math.pi * 0.0165**2
BORE = AirSpring(area=AREA, volume=AREA * 0.200)
PAIRED = AirSpring(
    area=AREA, volume=AREA * 0.200, negative=Negative(volume=0.9 * AREA * 0.04, area=0.9 * AREA, port=0.0)
)
EXPONENTS = (1.0, 1.3, 1.4)


def curve(spring, exponent):
    return air_curve(spring, fill(spring, 6 * BAR), exponent, 0.17)


@pytest.mark.parametrize(
    ("stroke", "forces"),
    [
        (0.0, (513.1792, 513.1792, 513.1792)),
        (0.05, (713.1266, 785.2183, 810.6651)),
        (0.10, (1113.0215, 1390.3218, 1496.3302)),
        (0.15, (2312.7060, 3550.1005, 4090.8812)),
        (0.17, (3912.2855, 6978.4390, 8454.3486)),
    ],
)
def test_force_of_one_chamber(stroke, forces):
    for exponent, force in zip(EXPONENTS, forces, strict=True):
        assert curve(BORE, exponent).force(stroke) == pytest.approx(force, abs=5e-5)


def test_rate_and_work_of_one_chamber():
    for exponent, rate, work in zip(
        EXPONENTS, (2999.211, 3898.975, 4198.896), (153.312127, 193.232935, 209.272429), strict=True
    ):
        spring = curve(BORE, exponent)
        assert spring.rate(0.0) == pytest.approx(rate, abs=5e-4)
        assert spring.energy(0.15) == pytest.approx(work, abs=5e-7)


@pytest.mark.parametrize(
    ("exponent", "forces"),
    [
        (1.0, (51.3179, 190.8602, 297.9197, 551.1865, 1036.7731, 2277.0485)),
        (1.3, (51.3179, 228.6168, 360.5436, 675.0920, 1362.3954, 3556.8812)),
    ],
)
def test_force_with_a_negative_chamber_equal_at_full_extension(exponent, forces):
    spring = curve(PAIRED, exponent)
    for stroke, force in zip((0.0, 0.01, 0.02, 0.05, 0.10, 0.15), forces, strict=True):
        assert spring.force(stroke) == pytest.approx(force, abs=5e-5)
    assert spring.force(0.0) == pytest.approx(6 * BAR * 0.1 * AREA, rel=1e-12)


@pytest.mark.parametrize(("celsius", "shown"), [(-5.0, 5.4019), (35.0, 6.3589)])
def test_a_gauge_on_a_cold_and_on_a_hot_day(celsius, shown):
    """6 bar at 20 °C, constant volume."""
    charge = fill(BORE, 6 * BAR, air=WORKSHOP)
    day = Air(temperature=273.15 + celsius)

    assert gauge_shown(BORE, charge, day) / BAR == pytest.approx(shown, abs=5e-5)
    assert air_curve(BORE, charge, 1.0, 0.1, air=day).force(0.0) == pytest.approx(shown * BAR * AREA, rel=1e-5)


def test_a_mass_on_a_column_of_air():
    """S 0.01 m², 0.2 m of air at 5 bar absolute, n 1.4, 50 kg: 35 000 N/m and 4.2108 Hz."""
    column = AirSpring(area=0.01, volume=0.01 * 0.2)
    rate = air_curve(column, fill(column, 5e5 - ATMOSPHERE), 1.4, 0.1).rate(0.0)

    assert rate == pytest.approx(35_000.0, rel=1e-12)
    assert math.sqrt(rate / 50.0) / (2 * math.pi) == pytest.approx(4.2108, abs=5e-5)


def test_what_was_seen():
    assert SOURCES["alsuwaiyan2024"].seen

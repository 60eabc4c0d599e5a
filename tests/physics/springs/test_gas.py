"""Gas and the air around: amounts, altitude, the pump put on again."""

import pytest

from bikewright.errors import OutsideValidity
from bikewright.physics.springs.gas import (
    WORKSHOP,
    Air,
    air_at,
    amount,
    gauge_put_back_on,
)
from bikewright.units import BAR, CM3


def test_a_mole_at_zero_degrees_and_one_atmosphere_fills_22_414_litres():
    """Molar volume 22.41396954 litres (CODATA 2018, from memory)."""
    assert amount(0.0, 22.41396954e-3, Air(temperature=273.15)) == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize(("altitude", "pressure"), [(0.0, 101_325.0), (1000.0, 89_875.0), (2000.0, 79_495.0)])
def test_the_air_thins_with_altitude(altitude, pressure):
    """ISO 2533:1975, table of the standard atmosphere (from memory): 898.75 hPa at 1000 m, 794.95 hPa at 2000 m."""
    assert air_at(altitude).pressure == pytest.approx(pressure, rel=2e-5)
    assert air_at(altitude, 280.0).temperature == 280.0


def test_a_pump_put_on_again_reads_less_and_loses_no_gas():
    """7 bar in 100 cm³ and a hose of 5 cm³: (8.01325 x 100 + 1.01325 x 5)/105 - 1.01325 = 7 x 100/105 = 6.6667 bar."""
    assert gauge_put_back_on(7 * BAR, 100 * CM3, 5 * CM3) == pytest.approx(7 * BAR * 100 / 105, rel=1e-12)
    assert gauge_put_back_on(7 * BAR, 100 * CM3, 0.0) == pytest.approx(7 * BAR, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: Air(temperature=-5.0), "counts from absolute zero"),
        (lambda: Air(pressure=0.0), "both above 0"),
        (lambda: air_at(12_000.0), "12000 m is outside"),
        (lambda: amount(-1.0, 1e-4, WORKSHOP), "below that of the air"),
        (lambda: amount(1e5, 0.0, WORKSHOP), "holds no gas"),
    ],
)
def test_nonsense_is_refused_by_name(call, told):
    with pytest.raises(OutsideValidity, match=told):
        call()

"""The gas in a spring and the air around it: amounts, temperature, altitude, and what a gauge shows.

Question answered   How much gas is in a chamber, and what does a gauge show there on another day at another place?
Method              Ideal gas; gauge pressure is absolute pressure less that of the air around; standard atmosphere.
Axes and signs      Pressures are absolute unless called gauge; temperatures are absolute.
Left out            Gas dissolved in oil, humidity, leaks, weather at one altitude.
Theory              docs/theory/springs.md
"""

from dataclasses import dataclass

from bikewright.errors import OutsideValidity
from bikewright.units import BAR, CM3

ATMOSPHERE = 101_325.0
"""Standard atmosphere at sea level [Pa]. ISO 2533:1975, from memory."""
ROOM = 293.15
"""20 °C [K]."""
GAS_CONSTANT = 8.31446261815324
"""Molar gas constant [J/(mol K)]. Exact in the SI of 2019."""
ISOTHERMAL = 1.0
"""Exponent of a stroke slow enough for the gas to stay at the temperature of its surroundings [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """The air around the bike; the gas in a spring at rest takes its temperature."""

    temperature: float = ROOM
    """Absolute [K]."""
    pressure: float = ATMOSPHERE
    """Absolute [Pa]."""

    def __post_init__(self) -> None:
        if not (self.temperature > 0.0 and self.pressure > 0.0):
            raise OutsideValidity(
                f"air at {self.temperature:.2f} K and {self.pressure / BAR:.3f} bar is none; temperature counts from "
                "absolute zero (add 273.15 to degrees Celsius) and pressure is absolute, both above 0"
            )


WORKSHOP = Air()
"""20 °C at sea level."""


def air_at(altitude: float, temperature: float = ROOM) -> Air:
    """The air at an altitude on a standard day, but with its own temperature.

    Parameters
    ----------
    altitude : float
        Above sea level, from -500 to 11 000. [m]
    temperature : float
        Of the air and of the gas at rest. [K]

    Returns
    -------
    Air

    Raises
    ------
    OutsideValidity
        Beyond those altitudes.

    Notes
    -----
    ISO 2533:1975 (from memory): p = 101325 (1 - 0.0065 h/288.15)^5.25588. The weather of a day moves it by 3 %.
    """
    if not -500.0 <= altitude <= 11_000.0:
        raise OutsideValidity(f"an altitude of {altitude:.0f} m is outside -500 to 11000 m, where the formula holds")
    return Air(temperature=temperature, pressure=ATMOSPHERE * (1.0 - 0.0065 * altitude / 288.15) ** 5.25588)


def amount(gauge: float, volume: float, air: Air) -> float:
    """Amount of gas in a chamber that a gauge was read on.

    Parameters
    ----------
    gauge : float
        Gauge pressure, read with the pump still on, for what hisses out afterwards comes from the hose. [Pa]
    volume : float
        Of the chamber. [m³]
    air : Air
        Around the bike while the gauge was read.

    Returns
    -------
    float
        Amount of gas. [mol]

    Raises
    ------
    OutsideValidity
        If the gauge pressure is negative or the chamber has no volume.
    """
    if not gauge >= 0.0:
        raise OutsideValidity(f"a gauge pressure of {gauge / BAR:.3f} bar is below that of the air; give 0 bar or more")
    if not volume > 0.0:
        raise OutsideValidity(f"a chamber of {volume / CM3:.1f} cm³ holds no gas; check volume and spacers")
    return (gauge + air.pressure) * volume / (GAS_CONSTANT * air.temperature)


def gauge_put_back_on(gauge: float, chamber: float, hose: float, air: Air = WORKSHOP) -> float:
    """What a pump shows when it is screwed on again: its hose fills from the chamber.

    Parameters
    ----------
    gauge : float
        Gauge pressure in the chamber before. [Pa]
    chamber : float
        Volume of the chamber and of what is open to it. [m³]
    hose : float
        Volume of hose and gauge. [m³]
    air : Air
        Around the bike.

    Returns
    -------
    float
        Gauge pressure, lower than before. [Pa]
    """
    absolute = ((gauge + air.pressure) * chamber + air.pressure * hose) / (chamber + hose)
    return absolute - air.pressure

"""What an air spring is made of, and how much gas the pump puts into each chamber.

Question answered   After pumping to this gauge pressure, how much gas is in each chamber, and what would a gauge show
                    on another day?
Method              Ideal gas at the temperature of the air; the equalising port gives both chambers one pressure in its
                    place of the stroke, and the gas parts there.
Axes and signs      As in `curve`; a port's place is a stroke from full extension.
Left out            Gas dissolved in oil, leaks, what the hose of the pump holds (see `gas.gauge_put_back_on`).
Theory              docs/theory/springs.md
"""

from dataclasses import dataclass

from bikewright.errors import OutsideValidity
from bikewright.physics.springs.gas import GAS_CONSTANT, WORKSHOP, Air, amount
from bikewright.units import CM2, CM3, MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Negative:
    """A negative chamber, which grows as the spring closes and takes the edge off the first of the stroke."""

    volume: float
    """At full extension [m³]."""
    area: float
    """Of the piston towards it: the piston's less the shaft's [m²]."""
    port: float | None = None
    """Stroke at which the equalising port lets both chambers have one pressure; None: own valve, no port [m]."""
    open_extended: bool = True
    """True: both chambers are joined from full extension to the port. False: at the port only, as a dimple in the tube
    does, so that pressures part again towards full extension."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LowerLegs:
    """The air trapped in a fork's lower legs, closed off at full extension."""

    volume: float
    """At full extension, oil taken off [m³]."""
    area: float
    """By which it shrinks with the stroke: both stanchions' outer sections less the shafts' [m²]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AirSpring:
    """Chambers and areas of an air spring, as fitted."""

    area: float
    """Of the piston towards the positive chamber [m²]."""
    volume: float
    """Positive chamber at full extension, volume spacers taken off [m³]."""
    negative: Negative | None = None
    """None for a spring without one [-]."""
    lower: LowerLegs | None = None
    """None for a shock, or where unknown [-]."""

    def __post_init__(self) -> None:
        sizes = [("positive chamber", self.volume, self.area)]
        sizes += [] if self.negative is None else [("negative chamber", self.negative.volume, self.negative.area)]
        sizes += [] if self.lower is None else [("air in the lower legs", self.lower.volume, self.lower.area)]
        for what, volume, area in sizes:
            if not (volume > 0.0 and area > 0.0):
                raise OutsideValidity(
                    f"the {what} has {volume / CM3:.1f} cm³ and {area / CM2:.2f} cm²; both must be above 0. "
                    "Check volume, area and the number of volume spacers"
                )
        port = None if self.negative is None else self.negative.port
        if port is not None and not 0.0 <= port < self.volume / self.area:
            raise OutsideValidity(
                f"a port at {port / MM:.1f} mm of stroke lies outside the positive chamber, which is swept whole at "
                f"{self.volume / self.area / MM:.1f} mm"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """Gas in each chamber once its port is shut; stroke, weather and speed do not change it."""

    positive: float
    """[mol]"""
    negative: float = 0.0
    """[mol]"""
    lower: float = 0.0
    """[mol]"""


def fill(
    spring: AirSpring,
    gauge: float,
    *,
    air: Air = WORKSHOP,
    negative_gauge: float | None = None,
    lower_air: Air | None = None,
) -> Charge:
    """Gas in every chamber after the pump.

    Parameters
    ----------
    spring : AirSpring
        Chambers.
    gauge : float
        Read on the positive chamber at full extension after cycling the spring over its port and topping up, before
        the pump was taken off. [Pa]
    air : Air
        Around the bike at the pump.
    negative_gauge : float, optional
        For a negative chamber with its own valve: read there at full extension. [Pa]
    lower_air : Air, optional
        Around the bike when the lower legs were last vented at full extension; as at the pump where not given.

    Returns
    -------
    Charge

    Raises
    ------
    OutsideValidity
        If a gauge pressure is negative, or the negative chamber has both or neither of port and gauge pressure.

    Notes
    -----
    At the pump the gas is at the temperature of the air (n = 1). A port open from full extension joins both chambers,
    and at the port the gas parts in the ratio of the volumes there. With a port that is open only in its place p, the
    positive pressure there is p0 V(0)/V(p), and the negative chamber takes it over.
    """
    lower = 0.0 if spring.lower is None else amount(0.0, spring.lower.volume, lower_air or air)
    positive, negative = amount(gauge, spring.volume, air), spring.negative
    if negative is None:
        if negative_gauge is not None:
            raise OutsideValidity("this spring has no negative chamber to pump; leave its gauge pressure out")
        return Charge(positive=positive, lower=lower)
    if negative.port is None and negative_gauge is not None:
        return Charge(positive=positive, negative=amount(negative_gauge, negative.volume, air), lower=lower)
    if negative.port is None or negative_gauge is not None:
        raise OutsideValidity("a negative chamber is filled through a port or through a valve of its own; give one")
    near = spring.volume - spring.area * negative.port
    far = negative.volume + negative.area * negative.port
    if not negative.open_extended:
        return Charge(positive=positive, negative=positive * far / near, lower=lower)
    both = positive + amount(gauge, negative.volume, air)
    return Charge(positive=both * near / (near + far), negative=both * far / (near + far), lower=lower)


def gauge_shown(spring: AirSpring, charge: Charge, air: Air = WORKSHOP) -> float:
    """Gauge pressure of the positive chamber at full extension, in this weather, before the pump takes any gas.

    Parameters
    ----------
    spring : AirSpring
        Chambers.
    charge : Charge
        Gas in them.
    air : Air
        Around the bike now, the gas at its temperature.

    Returns
    -------
    float
        Gauge pressure. [Pa]
    """
    held, volume, negative = charge.positive, spring.volume, spring.negative
    if negative is not None and negative.port is not None and negative.open_extended:
        held, volume = held + charge.negative, volume + negative.volume
    return held * GAS_CONSTANT * air.temperature / volume - air.pressure

"""Air springs: positive and negative chamber with an equalising port, and the air trapped in a fork's lower legs.

Question answered   How hard does the air push back at this stroke, at this pressure, in this weather, at this speed?
Method              Polytropic compression p V^n = const of each sealed chamber (`chambers`), from the stroke at which
                    the gas was last at the temperature of its surroundings.
Axes and signs      As in `curve`. A chamber's area is positive where it shrinks as the spring closes.
Left out            Seal friction (see `friction`), heat flow during a stroke, gas dissolved in oil, leaks, flow through
                    the port during a stroke that began beyond it.
Theory              docs/theory/springs.md
"""

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from bikewright.errors import OutsideValidity
from bikewright.physics.kernels.spring import GAS
from bikewright.physics.plane import Number
from bikewright.physics.springs.chambers import AirSpring, Charge, fill
from bikewright.physics.springs.curve import SpringCurve
from bikewright.physics.springs.gas import GAS_CONSTANT, ISOTHERMAL, WORKSHOP, Air
from bikewright.units import BAR, CM3, MM


@dataclass(frozen=True, slots=True)
class Pressures:
    """Absolute pressure of each chamber; None where there is none."""

    positive: Number
    """[Pa]"""
    negative: Number | None
    """[Pa]"""
    lower: Number | None
    """[Pa]"""


_Chamber: TypeAlias = tuple[float, float, float, float, float]
"""Area; volume at full extension; p V and V where the gas was last settled; energy to add [m², m³, J, m³, J]."""


@dataclass(frozen=True, eq=False, kw_only=True)
class AirCurve(SpringCurve):
    """An air spring at one exponent. Made by `air_curve`."""

    exponent: float
    """Of p V^n = const [-]."""
    atmosphere: float
    """Pressure of the air outside [Pa]."""
    stroke: float
    """Full stroke [m]."""
    port: float
    """Stroke below which the chambers are joined; minus infinity where they never are [m]."""
    joined: tuple[_Chamber, ...]
    """Chambers below the port: both as one, lower legs [m², m³, J, m³, J]."""
    parted: tuple[_Chamber, ...]
    """Chambers beyond the port: positive, negative, lower legs [m², m³, J, m³, J]."""
    shaft_area: float
    """Of all chambers together, on which the air outside pushes [m²]."""
    has_negative: bool
    """Whether the second of the parted chambers is a negative one."""

    def numbers(self) -> tuple[tuple[float, ...], ...]:
        """Exponent, push of the air outside, port and chambers, for the kernel.

        Returns
        -------
        tuple of tuple
            One part. [-, N, m, m², m³, J]
        """
        chambers = [value for chamber in (*self.joined, *self.parted) for value in chamber]
        back = self.atmosphere * self.shaft_area
        return ((GAS, self.exponent, back, self.port, len(self.joined), len(self.parted), *chambers),)

    def _refuse_swept(self, stroke: float) -> None:
        for area, extended, *_settled in self.joined if stroke < self.port else self.parted:
            if extended - area * stroke <= 0.0:
                raise _swept(stroke, extended / area)

    def pressures(self, stroke: Number) -> Pressures:
        """Absolute pressure in every chamber.

        Parameters
        ----------
        stroke : float or ndarray
            Compression from full extension. [m]

        Returns
        -------
        Pressures
            [Pa]

        Raises
        ------
        OutsideValidity
            If a chamber is swept whole at a stroke.
        """
        below = np.asarray(stroke) < self.port
        shut = [_pressure(chamber, self.exponent, stroke) for chamber in self.parted]
        near = [_pressure(chamber, self.exponent, stroke) for chamber in self.joined] or shut
        positive = np.where(below, near[0], shut[0])[()]
        negative = np.where(below, near[0], shut[1])[()] if self.has_negative else None
        alone = 2 if self.has_negative else 1
        lower = np.where(below, near[-1], shut[-1])[()] if len(shut) > alone else None
        return Pressures(positive, negative, lower)


def air_curve(
    spring: AirSpring,
    charge: Charge,
    exponent: float,
    stroke: float,
    *,
    air: Air = WORKSHOP,
    settled_at: float = 0.0,
) -> AirCurve:
    """Force, rate and energy of a filled air spring.

    Parameters
    ----------
    spring : AirSpring
        Chambers.
    charge : Charge
        Gas in them, from `fill`.
    exponent : float
        1 for sag, 1.2 to 1.35 for a fast stroke; there is no default, because neither serves for both. [-]
    stroke : float
        Full stroke. [m]
    air : Air
        Around the bike while it is used.
    settled_at : float
        Stroke at which the gas last stood long enough to take the temperature of the air: 0 for a landing after a
        flight, the sag for a bump. Without effect at an exponent of 1. [m]

    Returns
    -------
    AirCurve

    Raises
    ------
    OutsideValidity
        If the stroke sweeps a chamber whole, or exponent, stroke or settled place make no sense.

    Notes
    -----
    Force sum((p - pa) A), p = p_s (V_s/V)^n with s the settled state; rate sum(n p A²/V); energy
    sum(p_s V_s ((V_s/V)^(n-1) - 1)/(n-1)) - pa A x, at n = 1 p_s V_s ln(V_s/V) - pa A x, from full extension.
    A stroke that begins with the port shut passes it too fast for the gas to follow; one that begins with the port open
    keeps one pressure up to the port, where the chambers part.
    """
    if not 1.0 <= exponent <= 1.67:
        raise OutsideValidity(
            f"an exponent of {exponent:.3g} is none of a gas; 1 (slow) to 1.4 (dry air, no heat lost) make sense"
        )
    if not stroke > 0.0 or not 0.0 <= settled_at <= stroke:
        raise OutsideValidity(
            f"a gas settled at {settled_at / MM:.1f} mm of a stroke of {stroke / MM:.1f} mm; both must lie in order"
        )
    _check_swept(spring, stroke)
    # A slow stroke is settled everywhere, and its port opens wherever it is passed.
    start = 0.0 if exponent == ISOTHERMAL else settled_at
    heat = GAS_CONSTANT * air.temperature
    negative, lower = spring.negative, spring.lower
    sealed = [(spring.area, spring.volume, charge.positive * heat)]
    sealed += [] if negative is None else [(-negative.area, negative.volume, charge.negative * heat)]
    legs = [] if lower is None else [(lower.area, lower.volume, charge.lower * heat)]
    port = -math.inf if negative is None or negative.port is None else negative.port
    if negative is None or not negative.open_extended or start > port:
        parted = tuple(_chamber(*one, start, exponent) for one in (*sealed, *legs))
        joined: tuple[_Chamber, ...] = ()
        port = -math.inf
    else:
        both = (spring.area - negative.area, spring.volume + negative.volume, sealed[0][2] + sealed[1][2])
        one = _chamber(*both, start, exponent)
        rest = tuple(_chamber(*leg, start, exponent) for leg in legs)
        joined, parted = (one, *rest), (*_part(sealed, one, port, exponent), *rest)
    return AirCurve(
        exponent=exponent,
        atmosphere=air.pressure,
        stroke=stroke,
        port=port,
        joined=joined,
        parted=parted,
        shaft_area=sum(area for area, *_rest in parted),
        has_negative=negative is not None,
    )


def gauge_for_force(
    spring: AirSpring, force: float, stroke: float, *, air: Air = WORKSHOP, used_in: Air | None = None
) -> float:
    """Gauge pressure at full extension with which a spring carries a force at a stroke, slowly.

    Parameters
    ----------
    spring : AirSpring
        With a port, or without a negative chamber.
    force : float
        To carry by the air alone; bumper, top-out and friction taken off. [N]
    stroke : float
        At which to carry it, such as the sag. [m]
    air : Air
        Around the bike at the pump.
    used_in : Air, optional
        Around the bike while it is used; as at the pump where not given.

    Returns
    -------
    float
        Gauge pressure. [Pa]

    Raises
    ------
    OutsideValidity
        If the gauge pressure would have to be negative, or more pressure does not carry more there.

    Notes
    -----
    At n = 1 the force is linear in the pressure, so two fillings give the answer without a search.
    """

    def carried(gauge: float) -> float:
        charge = fill(spring, gauge, air=air)
        curve = air_curve(spring, charge, ISOTHERMAL, max(stroke, MM), air=used_in or air)
        return float(curve.force(stroke))

    empty = carried(0.0)
    gain = carried(BAR) - empty
    if not gain > 0.0:
        raise OutsideValidity(
            f"more pressure does not carry more at {stroke / MM:.1f} mm of stroke; the negative chamber outweighs it"
        )
    gauge = (force - empty) / gain * BAR
    if not gauge >= 0.0:
        raise OutsideValidity(
            f"the spring carries {empty:.1f} N at {stroke / MM:.1f} mm without any pressure; {force:.1f} N is less. "
            "Ask for less stroke or more force"
        )
    return gauge


def _pressure(chamber: _Chamber, exponent: float, stroke: Number) -> Number:
    area, extended, settled, settled_volume, _offset = chamber
    volume = extended - area * stroke
    if np.any(volume <= 0.0):
        raise _swept(float(np.max(stroke)), extended / area)
    return settled / volume * (settled_volume / volume) ** (exponent - 1.0)


def _chamber(area: float, extended: float, held: float, at: float, n: float) -> _Chamber:
    """A sealed chamber settled at a stroke, its energy zero at full extension."""
    volume = extended - area * at
    return area, extended, held, volume, -_work((area, extended, held, volume, 0.0), 0.0, n)


def _part(sealed: list[tuple[float, float, float]], both: _Chamber, port: float, n: float) -> tuple[_Chamber, ...]:
    """The two chambers beyond the port: one pressure there, and the energy goes on where the joined one left off."""
    pressure = float(_pressure(both, n, port))
    made, left = [], _work(both, port, n)
    for area, extended, _held in sealed:
        volume = extended - area * port
        one = (area, extended, pressure * volume, volume, 0.0)
        left -= _work(one, port, n)
        made.append(one)
    made[0] = (*made[0][:4], left)
    return tuple(made)


def _work(chamber: _Chamber, x: float, n: float) -> float:
    """Energy of the gas in one chamber at a stroke, by its own offset; the air outside is left to the sum [J]."""
    area, extended, settled, settled_volume, offset = chamber
    log = math.log(settled_volume / (extended - area * x))
    m = n - 1.0
    return settled * (math.expm1(m * log) / m if m else log) + offset


def _check_swept(spring: AirSpring, stroke: float) -> None:
    for what, part in (("positive chamber", spring), ("air in the lower legs", spring.lower)):
        if part is not None and not part.volume - part.area * stroke > 0.0:
            raise OutsideValidity(
                f"a stroke of {stroke / MM:.1f} mm sweeps the {what} whole: {stroke * part.area / CM3:.1f} cm³ of "
                f"{part.volume / CM3:.1f} cm³. Take volume spacers or oil out, or check volume and area"
            )


def _swept(stroke: float, whole: float) -> OutsideValidity:
    return OutsideValidity(
        f"at {stroke / MM:.1f} mm of stroke a chamber is swept whole (it is at {whole / MM:.1f} mm); "
        "ask inside the stroke of the spring"
    )

"""Two springs laid over each other for the same sag and rider: coil against air, or two set-ups of one spring.

Question answered   With the same sag, which one starts easier, holds up better in the middle and ramps more at the end?
Method              Forces and energies at stated places of the wheel's travel; the slow curve for breakaway and sag,
                    the fast one for what a bump meets.
Axes and signs      As in `wheel`. Without a leverage the wheel is the shaft, as on a fork.
Left out            Dampers; that friction grows with the side load of the state.
Theory              docs/theory/springs.md
"""

from dataclasses import dataclass

from bikewright.errors import OutsideValidity
from bikewright.physics.linkage.curve import Curve, frozen
from bikewright.physics.springs.curve import SpringCurve
from bikewright.physics.springs.wheel import Leverage
from bikewright.units import MM

SAME_SAG = 0.01
"""Part by which two springs may differ in the load that they carry at the sag and still count as set for one rider."""
LAST_PART = 0.8
"""Where the last fifth of the wheel travel begins."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedSpring:
    """One spring with its set-up. A coil has one curve for slow and fast."""

    slow: SpringCurve
    """At an exponent of 1."""
    fast: SpringCurve
    """At the exponent of a bump, settled at the sag."""
    band: float = 0.0
    """Friction band of its shaft [N]."""


@dataclass(frozen=True, slots=True)
class Feel:
    """What a rider feels of one spring, at the wheel."""

    breakaway: float
    """Load that starts the wheel moving from where it hangs [N]."""
    sag_force: float
    """Load carried at the sag, slowly, without friction [N]."""
    mid_force: float
    """Load at half of the wheel travel, fast [N]."""
    end_force: float
    """Load at full travel, fast [N]."""
    end_ramp: float
    """Load at full travel over that at the sag [-]."""
    last_fifth_energy: float
    """Energy taken over the last fifth of the wheel travel, fast [J]."""
    energy: float
    """Energy from the sag to full travel, fast [J]."""


@dataclass(frozen=True, slots=True)
class Overlay:
    """Two springs at one sag."""

    sag: float
    """Wheel travel at the sag [m]."""
    first: Feel
    """Of the first spring."""
    second: Feel
    """Of the second spring."""


def overlay(
    first: FittedSpring, second: FittedSpring, stroke: float, sag: float, leverage: Leverage | None = None
) -> Overlay:
    """Lay two springs over each other.

    Parameters
    ----------
    first, second : FittedSpring
        Set so that both carry the rider at the same sag, as with `gauge_for_force` and a coil's rate.
    stroke : float
        Full stroke of the shaft. [m]
    sag : float
        Stroke of the shaft at the sag. [m]
    leverage : Leverage, optional
        From full extension to full stroke; none for a fork.

    Returns
    -------
    Overlay

    Raises
    ------
    OutsideValidity
        If the sag is not inside the stroke, the leverage does not cover the stroke, or the two springs carry loads more
        than 1 % apart at the sag.
    """
    if not 0.0 < sag < stroke:
        raise OutsideValidity(f"a sag of {sag / MM:.1f} mm is not inside a stroke of {stroke / MM:.1f} mm")
    carried = float(first.slow.force(sag)), float(second.slow.force(sag))
    if not abs(carried[0] - carried[1]) <= SAME_SAG * max(map(abs, carried)):
        raise OutsideValidity(
            f"at {sag / MM:.1f} mm the first spring carries {carried[0]:.0f} N and the second {carried[1]:.0f} N; "
            "set both for the same load before they are compared"
        )
    ways = _Ways(stroke, leverage)
    return Overlay(ways.travel(sag), _feel(first, sag, ways), _feel(second, sag, ways))


class _Ways:
    """From stroke to wheel travel and back, with the leverage ratio."""

    def __init__(self, stroke: float, leverage: Leverage | None):
        self.stroke, self.leverage = stroke, leverage
        if leverage is None:
            self.end = stroke
            return
        covered = float(leverage.stroke[-1])
        if leverage.stroke[0] != 0.0 or abs(covered - stroke) > 1e-6:
            raise OutsideValidity(
                f"the leverage runs to {covered / MM:.2f} mm, the stroke to {stroke / MM:.2f} mm; "
                "follow the linkage over the whole stroke"
            )
        self.stroke = covered
        self.end = float(leverage.wheel_travel[-1])
        self._out = Curve(frozen(leverage.stroke), frozen(leverage.wheel_travel), frozen(leverage.leverage_ratio))
        self._back = Curve(
            frozen(leverage.wheel_travel), frozen(leverage.stroke), frozen(1.0 / leverage.leverage_ratio)
        )
        self._ratio = Curve(
            frozen(leverage.wheel_travel), frozen(leverage.leverage_ratio), frozen(leverage.leverage_slope)
        )

    def travel(self, stroke: float) -> float:
        return stroke if self.leverage is None else float(self._out.at(stroke))

    def shaft(self, travel: float) -> float:
        return travel if self.leverage is None else float(self._back.at(travel))

    def ratio(self, travel: float) -> float:
        return 1.0 if self.leverage is None else float(self._ratio.at(travel))


def _feel(spring: FittedSpring, sag: float, ways: _Ways) -> Feel:
    half, late, end = 0.5 * ways.end, ways.shaft(LAST_PART * ways.end), ways.stroke
    sag_force = float(spring.slow.force(sag)) / ways.ratio(ways.travel(sag))
    end_force, _rate, end_energy = spring.fast.state(end)
    end_force /= ways.ratio(ways.end)
    # A negative spring that outweighs the positive one draws the shaft in; there only friction has to be overcome.
    hanging = max(float(spring.slow.force(0.0)), 0.0)
    return Feel(
        breakaway=(hanging + spring.band) / ways.ratio(0.0),
        sag_force=sag_force,
        mid_force=float(spring.fast.force(ways.shaft(half))) / ways.ratio(half),
        end_force=float(end_force),
        end_ramp=float(end_force) / sag_force,
        last_fifth_energy=float(end_energy - spring.fast.energy(late)),
        energy=float(end_energy - spring.fast.energy(sag)),
    )

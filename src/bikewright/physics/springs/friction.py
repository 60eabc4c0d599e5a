"""Friction of seals and bushings: a band about the spring's force, not a number.

Question answered   Between which loads does the shaft not move, and where does it rest, loaded down or let up?
Method              Coulomb friction: breakaway of the seals plus a coefficient times the load on the bushings.
Axes and signs      The band is half of the gap between loading and unloading, never negative.
Left out            Rise of seal friction with pressure, speed and time at rest; binding of bent tubes.
Theory              docs/theory/springs.md
"""

from dataclasses import dataclass

from bikewright.errors import OutsideValidity
from bikewright.physics.plane import Number
from bikewright.physics.springs.curve import SpringCurve, stroke_at_force
from bikewright.units import MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Friction:
    """What holds a shaft back."""

    breakaway: float = 0.0
    """Of seals and rings, without side load [N]."""
    coefficient: float = 0.0
    """Of the bushings [-]."""

    def __post_init__(self) -> None:
        if not (self.breakaway >= 0.0 and self.coefficient >= 0.0):
            raise OutsideValidity(
                f"friction of {self.breakaway:.1f} N and {self.coefficient:.3f}; neither may be negative"
            )


@dataclass(frozen=True, slots=True)
class RestStrokes:
    """Where a spring with friction may rest under one load."""

    loaded_down: float
    """Load put on slowly from above: the least stroke [m]."""
    bounced: float
    """After bouncing until friction is used up: as without friction [m]."""
    let_up: float
    """Pushed down and let up slowly: the most stroke [m]."""


def bushing_load(side: Number, overhang: float, spacing: float) -> Number:
    """Sum of the forces on the two bushings of a fork leg pair.

    Parameters
    ----------
    side : float or ndarray
        Force on the axle square to the stanchions; its sign does not matter. [N]
    overhang : float
        Axle to the lower bushing, along the stanchions. [m]
    spacing : float
        Lower to upper bushing. [m]

    Returns
    -------
    float or ndarray
        |side| (1 + 2 overhang/spacing). [N]

    Raises
    ------
    OutsideValidity
        If the bushings are not apart or the axle is above the lower one.

    Notes
    -----
    Moments of the lower legs about each bushing: the lower one carries side (spacing + overhang)/spacing, the upper one
    side overhang/spacing the other way. Both sit in the lower legs, so travel does not change their load. The side load
    is taken to act at the axle: a brake, which turns the lower legs by its force times the tyre's radius, is left out.
    """
    if not (spacing > 0.0 and overhang >= 0.0):
        raise OutsideValidity(
            f"bushings {spacing / MM:.1f} mm apart, {overhang / MM:.1f} mm above the axle; the first must be above 0, "
            "the second not below"
        )
    return abs(side) * (1.0 + 2.0 * overhang / spacing)


def friction_band(friction: Friction, side: Number) -> Number:
    """Force that friction can hold either way.

    Parameters
    ----------
    friction : Friction
        Breakaway and coefficient.
    side : float or ndarray
        Load on the bushings: from `bushing_load`, or the side load itself where their places are unknown. [N]

    Returns
    -------
    float or ndarray
        breakaway + coefficient |side|. [N]
    """
    return friction.breakaway + friction.coefficient * abs(side)


def loaded_down(force: Number, band: Number) -> Number:
    """Load that just moves the shaft in.

    Parameters
    ----------
    force : float or ndarray
        Of the spring. [N]
    band : float or ndarray
        From `friction_band`. [N]

    Returns
    -------
    float or ndarray
        force + band. [N]
    """
    return force + band


def let_up(force: Number, band: Number) -> Number:
    """Load at which the shaft just comes out again.

    Parameters
    ----------
    force : float or ndarray
        Of the spring. [N]
    band : float or ndarray
        From `friction_band`. [N]

    Returns
    -------
    float or ndarray
        force - band. [N]
    """
    return force - band


def rest_strokes(spring: SpringCurve, load: float, band: float, stroke: float) -> RestStrokes:
    """Where a load rests on a spring with friction.

    Parameters
    ----------
    spring : SpringCurve
        With a force that rises with the stroke.
    load : float
        Along the shaft. [N]
    band : float
        From `friction_band`. [N]
    stroke : float
        Full stroke. [m]

    Returns
    -------
    RestStrokes
        Each between 0 and the full stroke. [m]
    """
    return RestStrokes(
        loaded_down=stroke_at_force(spring, load - band, stroke),
        bounced=stroke_at_force(spring, load, stroke),
        let_up=stroke_at_force(spring, load + band, stroke),
    )

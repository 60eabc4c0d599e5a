"""Clicks for a rider on a build: from a measured damper, or as an offset from a ridden base tune.

Question answered   Which click on every dial keeps the feel of the base tune for another rider, spring or build?
Method              Rebound keeps its damping ratio; compression scales with the force that the spring holds up at rest.
                    Without a measured table the change is told as an offset, from an assumed range of the dial.
Left out            Temperature, wear, friction, the damper's own lag.
Theory              docs/theory/damping.md
"""

from dataclasses import dataclass
from typing import Literal

from bikewright.errors import NotKnown
from bikewright.model.build import Build
from bikewright.model.tune import BaseTune

Circuit = Literal["rebound", "compression", "high_compression"]


@dataclass(frozen=True, slots=True)
class Neighbour:
    """What one click beside the recommended one gives."""

    from_closed: int
    """[clicks]"""
    ratio: float
    """Damping ratio at the named shaft speed [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitSetup:
    """One dial. Clicks are counted on this unit; what is not known is None and `waits` says why."""

    end: Literal["fork", "shock"]
    circuit: Circuit
    how: Literal["measured", "offset", "set", "unknown"]
    """From a measured table; as an offset from the base tune; as it is set now, for want of better; not at all."""
    total_clicks: int | None
    """Counted on this unit."""
    from_closed: int | None
    """Recommended [clicks]."""
    from_open: int | None
    """The same from the other end; None while the total is not known [clicks]."""
    turns_from_closed: float | None
    """Where the part counts turns [turns]."""
    offset_clicks: int | None
    """From the base tune, towards closed positive; None with no base tune [clicks]."""
    offset_least: int | None
    """Least of its range [clicks]."""
    offset_most: int | None
    """Most of its range [clicks]."""
    least_from_closed: int | None
    """Range of the recommended position: fewest clicks from closed."""
    most_from_closed: int | None
    base_from_closed: int | None
    """Where the base tune stood [clicks]."""
    wanted_ratio: float | None
    """Damping ratio that is aimed at; None without a measured table [-]."""
    ratio: float | None
    """Damping ratio at the recommended click; None without a measured table [-]."""
    neighbours: tuple[Neighbour, ...]
    """One click to either side, measured tables only."""
    scale: float | None
    """Damping wanted at the shaft over that of the base tune; None without one [-]."""
    refusal: str
    """By how much the dial cannot reach what is wanted; empty where it can."""
    waits: str
    """What it waits for; empty where clicks are told."""
    assumption: str
    """What an offset rests on; empty for a measured table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DampingSetup:
    """Every dial of fork and shock."""

    speed_mm_s: float
    """Shaft speed at which all ratios are told [mm/s]."""
    base: str
    """Name of the base tune; empty without one."""
    circuits: tuple[CircuitSetup, ...]
    """Fork first; rebound, compression, high-speed compression."""


def clicks_for(build: Build, base: BaseTune | None) -> DampingSetup:
    """Clicks for every dial of a build.

    Parameters
    ----------
    build : Build
        With its rider and its springs set.
    base : BaseTune or None
        A ridden set-up.

    Returns
    -------
    DampingSetup
        A dial that waits for something says so in `waits`.

    Raises
    ------
    BikewrightError
        What stopped the rest under load.
    """
    raise NotKnown("waits for the damping study")

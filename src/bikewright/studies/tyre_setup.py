"""Tyre pressures for a rider on a build, and what they give.

Question answered   Which pressure in front and rear, how far may it be off, and what stands between rim and edge?
Method              The higher of two needs: a wanted drop under the standing load, and an edge of the chosen ground at
                    its speed that must not reach the rim.
Left out            Grip, rolling resistance, temperature, burping of tubeless tyres.
Theory              docs/theory/tyre.md
"""

from dataclasses import dataclass
from typing import Literal

from bikewright.errors import NotKnown
from bikewright.model.build import Build
from bikewright.model.tune import BaseTune

End = Literal["front", "rear"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreEnd:
    """One tyre at its recommended pressure, loaded by the standing rider; workshop units."""

    end: End
    tyre: str
    """Name of the part."""
    recommended_bar: float
    """Pressure to begin with [bar]."""
    least_bar: float
    """Lower end of its range: the edge met 10 % slower, or a point more drop [bar]."""
    most_bar: float
    """Upper end: 10 % faster, or a point less drop [bar]."""
    set_by: Literal["drop", "edge"]
    """Which of the two needs decides."""
    drop_bar: float
    """What the wanted drop alone needs [bar]."""
    edge_bar: float
    """What the edge alone needs [bar]."""
    load_n: float
    """Of this wheel on the ground, standing [N]."""
    width_mm: float
    """Section on this rim [mm]."""
    stiffness_n_per_mm: float
    """Vertical, on flat ground, casing included [N/mm]."""
    casing_n_per_mm: float | None
    """The casing's share of it; None where the casing is not named, counted as nought [N/mm]."""
    drop_mm: float
    """How much lower the axle stands [mm]."""
    drop_pct: float
    """Of the section height [%]."""
    contact_mm: float
    """Length of the contact on flat ground [mm]."""
    loaded_radius_mm: float
    """Axle to ground [mm]."""
    reserve: float
    """Energy that the tyre takes up before the edge reaches the rim, over the energy with which it meets it [-]."""
    limit_bar: float | None
    """Lowest limit of tyre, rim and straight-side rule; None where none is known [bar]."""
    limit_from: str
    """What sets that limit; empty where none is known."""
    set_bar: float | None
    """What the build is pumped to now; None where that is not known [bar]."""
    set_reserve: float | None
    """Reserve at that pressure [-]."""
    base_bar: float | None
    """What the base tune was ridden at; None without one [bar]."""
    base_reserve: float | None
    """Reserve of the base tune, its rider on its tyre, at the same edge and speed [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreSetup:
    """Both tyres."""

    terrain: str
    """smooth, mixed or rough."""
    wanted_drop_pct: float
    """Of the section height, standing [%]."""
    edge_mm: float
    """Height of the square edge [mm]."""
    speed_kmh: float
    """At which it is met [km/h]."""
    base: str
    """Name of the base tune; empty without one."""
    front: TyreEnd
    rear: TyreEnd


def pressures_for(build: Build, base: BaseTune | None = None) -> TyreSetup:
    """Tyre pressures for the build's rider, at rest standing.

    Parameters
    ----------
    build : Build
        With a rider, tyres and wheels; the ground is its setting ``terrain``.
    base : BaseTune, optional
        A ridden set-up to lay the reserve beside.

    Returns
    -------
    TyreSetup

    Raises
    ------
    NotKnown
        If a tyre or what the standing rest needs is not known.
    LimitExceeded
        If the pressure needed is above the limit of tyre, rim or straight-side rule, or below the least that the
        tyre allows: says by how much.
    """
    raise NotKnown("waits for the tyre study")

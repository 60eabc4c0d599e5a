"""Tyres: how far a tyre gives under the load on its wheel, and what keeps its rim off an edge.

Question answered   How stiff is an inflated tyre on flat ground, how much lower does its axle stand, and how much
                    of the energy with which it meets a square edge does it take up before the rim is reached?
Method              A torus that keeps its shape is cut by the ground; the patch carries the inflation pressure and the
                    casing adds a constant rate. At an edge half of the patch is there. Energies are compared.
Axes and signs      Drop and compression are positive where the axle comes nearer. Pressures are gauge.
Left out            Stretch of the casing, growth of the pressure in a blow, damping of the tyre, grip; the edge is met
                    square to it, and the line from edge to axle stays as it is at the first touch.
Theory              docs/theory/tyre.md
"""

import math
from dataclasses import dataclass

from bikewright.errors import OutsideValidity
from bikewright.units import BAR, MM

CASING_RATES = {"light": 3e3, "trail": 6e3, "reinforced": 10e3}
"""Vertical rate of a casing by itself, for each kind [N/m]: estimates, no source."""

WIDTH_FOR_RIM = 0.4
"""Growth of the section width for each millimetre of wider rim, inside [-]. ISO 5775-1 and ETRTO convert widths between
measuring rims this way (from memory)."""

EDGE_SHARE = 0.5
"""Share of the rate on flat ground that a tyre has at an edge: the ground ahead of the edge's plumb line is there, that
behind it is not, so half of the patch is; derived here [-]."""

RIM_HEIGHT = 6.0 * MM
"""Edge of a rim above its bead seat where it was not measured. ISO 5775-2: 5.5 to 6.5 mm (from memory) [m]."""


def torus_rate(pressure: float, radius: float, section_radius: float) -> float:
    """Vertical rate of a tyre on flat ground.

    Parameters
    ----------
    pressure : float
        Gauge pressure. [Pa]
    radius : float
        Outer radius of the tyre. [m]
    section_radius : float
        Half of its section width. [m]

    Returns
    -------
    float
        Force for each metre of drop. [N/m]

    Raises
    ------
    OutsideValidity
        If one of them is not above nought.

    Notes
    -----
    A plane that cuts a torus by a small drop d leaves an ellipse with the half-axes sqrt(2 R d) and sqrt(2 r d), so the
    force is ``2 pi p sqrt(R r) d``: derived here; no published value of a whole tyre was found to agree with it.
    """
    if not (pressure > 0.0 and radius > 0.0 and section_radius > 0.0):
        raise OutsideValidity(
            f"a tyre of {radius / MM:.0f} mm radius and {2 * section_radius / MM:.0f} mm width at "
            f"{pressure / BAR:.2f} bar has no stiffness; give numbers above nought"
        )
    return 2.0 * math.pi * pressure * math.sqrt(radius * section_radius)


def vertical_rate(pressure: float, radius: float, section_radius: float, casing: float = 0.0) -> float:
    """Vertical rate of a tyre with its casing.

    Parameters
    ----------
    pressure : float
        Gauge pressure. [Pa]
    radius : float
        Outer radius of the tyre. [m]
    section_radius : float
        Half of its section width. [m]
    casing : float
        Rate of the casing by itself, which no pressure is needed for. [N/m]

    Returns
    -------
    float
        Force for each metre of drop. [N/m]
    """
    return torus_rate(pressure, radius, section_radius) + casing


def pressure_for_rate(rate: float, radius: float, section_radius: float, casing: float = 0.0) -> float:
    """Pressure that gives a tyre a vertical rate: `vertical_rate` solved for the pressure.

    Parameters
    ----------
    rate : float
        Wanted. [N/m]
    radius, section_radius, casing : float
        As there. [m, m, N/m]

    Returns
    -------
    float
        Gauge pressure. [Pa]

    Raises
    ------
    OutsideValidity
        If the casing alone is that stiff.
    """
    if not rate > casing:
        raise OutsideValidity(
            f"the casing alone has {casing * MM:.1f} N/mm and {rate * MM:.1f} N/mm are wanted: no pressure is that "
            "low. Take a lighter casing or a narrower tyre"
        )
    return (rate - casing) / torus_rate(1.0, radius, section_radius)


def width_on_rim(width: float, rim: float | None, measured_on: float | None) -> float:
    """Section width of a tyre on another rim than that on which it was measured.

    Parameters
    ----------
    width : float
        As measured. [m]
    rim, measured_on : float or None
        Inner width of this rim and of the one it was measured on; None where unknown: the width is kept. [m]

    Returns
    -------
    float
        [m]

    Notes
    -----
    The width grows by two fifths of what the rim is wider: the usual conversion between measuring rims, from memory.
    """
    if rim is None or measured_on is None:
        return width
    return width + WIDTH_FOR_RIM * (rim - measured_on)


def contact_length(drop: float, radius: float) -> float:
    """Length of the contact on flat ground: the chord that the ground cuts from the tyre's outline.

    Parameters
    ----------
    drop : float
        Of the axle. [m]
    radius : float
        Outer radius of the tyre. [m]

    Returns
    -------
    float
        ``2 sqrt(2 R d - d^2)``. [m]

    Raises
    ------
    OutsideValidity
        If the drop is negative or more than the radius.
    """
    if not 0.0 <= drop <= radius:
        raise OutsideValidity(
            f"a drop of {drop / MM:.1f} mm is not between nought and the radius of {radius / MM:.0f} mm"
        )
    return 2.0 * math.sqrt(2.0 * radius * drop - drop * drop)


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """A square edge and how a wheel meets it."""

    height: float
    """[m]"""
    speed: float
    """Of the bike along the ground [m/s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rim:
    """What lies between a tyre's outside and its rim."""

    radius: float
    """Outer radius of the tyre [m]."""
    room: float
    """From the tyre's outside to the rim's edge [m]."""
    insert_height: float = 0.0
    """Of a foam ring above the rim's edge [m]."""
    insert_rate: float = 0.0
    """Of that ring under an edge; nought where it was not measured [N/m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """The energy with which a wheel meets an edge."""

    closing_speed: float
    """Of axle and edge along the line between them, at the first touch [m/s]."""
    mass: float
    """That the line has to stop [kg]."""
    blow: float
    """``m u^2 / 2`` [J]."""
    press: float
    """Work of the load that goes on pressing the axle down, until the edge reaches the rim [J]."""

    @property
    def energy(self) -> float:
        """All that the tyre has to take up. [J]"""
        return self.blow + self.press


def meeting(edge: Edge, rim: Rim, load: float, unsprung: float, whole: float) -> Meeting:
    """How hard a rolling wheel meets a square edge.

    Parameters
    ----------
    edge : Edge
        Height and speed. [m, m/s]
    rim : Rim
        Tyre radius and room. [m]
    load : float
        That the suspension goes on passing to the axle: the load of the wheel at rest. [N]
    unsprung : float
        Mass that moves with the axle. [kg]
    whole : float
        Mass of bike and rider, which the axle cannot leave behind along the ground. [kg]

    Returns
    -------
    Meeting

    Raises
    ------
    OutsideValidity
        If the edge is not lower than the axle.

    Notes
    -----
    Derived here. The line from edge to axle rises by ``s = (R - h)/R``, so the axle closes in by ``u = v c`` with
    ``c = sqrt(1 - s^2)``. Up, only the unsprung mass has to give way; along the ground, all of it: a force F along the
    line speeds the axle along it by ``F (s^2/m + c^2/M)``, which is the inverse of the mass that is felt. The load W
    pulls the axle down by W/m, along the line by ``s W/m``, and that times the felt mass works along the room.
    """
    if not 0.0 < edge.height < rim.radius:
        raise OutsideValidity(
            f"an edge of {edge.height / MM:.0f} mm is not between the ground and an axle {rim.radius / MM:.0f} mm high"
        )
    if not (unsprung > 0.0 and whole >= unsprung):
        raise OutsideValidity(f"an unsprung mass of {unsprung:.2f} kg is not a part of {whole:.2f} kg")
    rise = (rim.radius - edge.height) / rim.radius
    along = math.sqrt(1.0 - rise * rise)
    mass = 1.0 / (rise * rise / unsprung + along * along / whole)
    closing = edge.speed * along
    return Meeting(
        closing_speed=closing,
        mass=mass,
        blow=0.5 * mass * closing * closing,
        press=load * rise * mass / unsprung * rim.room,
    )


def energy_to_rim(rate: float, rim: Rim) -> float:
    """Energy that a tyre takes up until an edge reaches the rim.

    Parameters
    ----------
    rate : float
        Vertical rate on flat ground. [N/m]
    rim : Rim
        Room, and the insert in it. [m, N/m]

    Returns
    -------
    float
        ``k_e room^2 / 2`` with half of the rate, and the insert's share. [J]
    """
    return 0.5 * EDGE_SHARE * rate * rim.room**2 + 0.5 * rim.insert_rate * rim.insert_height**2


def rate_for_edge(energy: float, rim: Rim) -> float:
    """Vertical rate with which the edge just reaches the rim: `energy_to_rim` solved for the rate.

    Parameters
    ----------
    energy : float
        With which the wheel meets the edge. [J]
    rim : Rim
        Room, and the insert in it. [m, N/m]

    Returns
    -------
    float
        On flat ground; nought where the insert alone takes it up. [N/m]

    Raises
    ------
    OutsideValidity
        If there is no room.
    """
    if not rim.room > 0.0:
        raise OutsideValidity("there is no room between the tyre's outside and the rim's edge; check width and radius")
    left = energy - 0.5 * rim.insert_rate * rim.insert_height**2
    return max(left, 0.0) / (0.5 * EDGE_SHARE * rim.room**2)

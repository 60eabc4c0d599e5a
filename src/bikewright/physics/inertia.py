"""Inertia: total mass, its centre and the pitch inertia of many parts.

Question answered   What do all these parts weigh together, where is their centre of mass, and how hard are they to
                    pitch?
Method              Sums, and the parallel-axis theorem.
Axes and signs      Any axes of the side view; every place in the same ones. Inertia is about the lateral axis.
Left out            Everything out of the side view; parts that turn by themselves (a wheel's spin).
Theory              docs/theory/inertia.md
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from bikewright.errors import OutsideValidity
from bikewright.physics.body import Body
from bikewright.physics.plane import Point
from bikewright.physics.posture import Posture


@dataclass(frozen=True, slots=True)
class MassPoint:
    """A part: a mass somewhere, and what it resists to pitch by itself."""

    name: str
    mass: float
    """[kg]"""
    place: Point
    """Centre of mass (x, z) [m]."""
    inertia: float = 0.0
    """About the lateral axis through its own centre of mass [kg m2]."""


@dataclass(frozen=True, slots=True)
class Combined:
    """Many parts as one rigid body."""

    mass: float
    """[kg]"""
    place: Point
    """Centre of mass (x, z) [m]."""
    inertia: float
    """About the lateral axis through the common centre of mass [kg m2]."""

    @property
    def gyration(self) -> float:
        """Radius of gyration about the lateral axis. [m]"""
        return math.sqrt(self.inertia / self.mass)

    def inertia_about(self, point: Point) -> float:
        """Moment of inertia about the lateral axis through another point.

        Parameters
        ----------
        point : tuple of float
            (x, z) in the axes of the parts. [m]

        Returns
        -------
        float
            ``I + m r^2``. [kg m2]
        """
        dx, dz = point[0] - self.place[0], point[1] - self.place[1]
        return self.inertia + self.mass * (dx * dx + dz * dz)


def combine(parts: Iterable[MassPoint]) -> Combined:
    """Add parts up.

    Parameters
    ----------
    parts : iterable of MassPoint
        Parts with their places in one set of axes. [kg, m, kg m2]

    Returns
    -------
    Combined
        The whole. [kg, m, kg m2]

    Raises
    ------
    OutsideValidity
        If a part has a negative mass or inertia, or all together weigh nothing.

    Notes
    -----
    ``I = sum(I_k + m_k |p_k - p|^2)`` with ``p = sum(m_k p_k) / sum(m_k)``. Distances are taken from the common centre,
    not from the origin, so that axes far away cost no digits.
    """
    listed = tuple(parts)
    for part in listed:
        if not (part.mass >= 0.0 and part.inertia >= 0.0):
            raise OutsideValidity(
                f"part '{part.name}': found mass {part.mass:g} kg, inertia {part.inertia:g} kg m2; neither may be "
                "negative. Correct the part"
            )
    mass = sum(part.mass for part in listed)
    if not mass > 0.0:
        raise OutsideValidity("parts that weigh nothing have no centre of mass; give at least one mass above zero")
    x = sum(part.mass * part.place[0] for part in listed) / mass
    z = sum(part.mass * part.place[1] for part in listed) / mass
    inertia = sum(part.inertia + part.mass * ((part.place[0] - x) ** 2 + (part.place[1] - z) ** 2) for part in listed)
    return Combined(mass, (x, z), inertia)


def rider_parts(body: Body, posture: Posture) -> tuple[MassPoint, ...]:
    """The segments of a posed rider as parts.

    Parameters
    ----------
    body : Body
        The rider. [kg, m]
    posture : Posture
        How the rider is placed, with this body. [m]

    Returns
    -------
    tuple of MassPoint
        In the axes of the posture; left and right apart where they differ. Together they have the posture's centre of
        mass. [kg, m, kg m2]

    Notes
    -----
    A seated rider pedals: the legs stand at several crank angles, each for its share of the time, and so do their
    masses here. The inertia is then the mean over the turn.
    """
    share = 1.0 / len(posture.poses)
    parts = []
    for pose in posture.poses:
        for name, ends in pose.segments():
            segment = getattr(body, name)
            alike = segment.count // len(ends)
            for first, second in ends:
                mass = segment.mass * alike * share
                place = (
                    first[0] + segment.centre * (second[0] - first[0]),
                    first[1] + segment.centre * (second[1] - first[1]),
                )
                parts.append(MassPoint(name, mass, place, mass * segment.gyration**2))
    return tuple(parts)

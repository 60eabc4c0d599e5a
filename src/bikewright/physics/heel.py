"""Heel: what room it has beside stays and links while the cranks turn and the suspension moves.

Question answered   How much room is there between the rider's heel and a stay, and between the heel and a link of the
                    rear suspension, over a turn of the cranks and the whole travel?
Method              The heel is a cylinder square to the mid-plane whose inner end is flat. The foot keeps its attitude,
                    so that its centre runs on a circle of the crank's length. A link is as wide as its outer face says;
                    in the side view it is a set of straight webs with a round edge. The least distance of a web from
                    the circle's line follows in closed form, at every place of the link.
Axes and signs      (x, z) in frame axes, x forward, z up; sideways from the mid-plane. A room is negative where heel
                    and link would be in the same place.
Left out            Ankling, heels turned in or out, the calf, pedals that let the foot move, flex. The frame is level:
                    the pitch of a state turns the foot against it by as much.
Theory              docs/theory/heel.md
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.body import Body
from bikewright.physics.figure import BALL, Feet
from bikewright.physics.kernels.compile import fastest
from bikewright.physics.plane import Point, rotate
from bikewright.physics.posture import SeatedHabit
from bikewright.units import MM

HALF_WIDTH = 35 * MM
"""Middle of the foot to the inner side of the shoe's heel. Common practice, no source."""
PEDALLING = SeatedHabit().feet
"""The foot as it stands on the pedal all the way round."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeelPath:
    """Where a heel goes over a turn of the cranks."""

    centre: Point
    """Of the circle that the heel's middle goes round, frame axes [m]."""
    crank: float
    """Radius of that circle [m]."""
    radius: float
    """Of the heel in the side view [m]."""
    inner: float
    """Inner side of the heel, sideways from the mid-plane [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A link at every place that it takes, in the side view, and how wide it is."""

    corners: NDArray[np.float64]
    """Pins or corners of its outline, frame axes (n, k, 2) [m]."""
    webs: NDArray[np.int64]
    """Which two corners each straight web joins (m, 2) [-]."""
    edge: float
    """From a web's line out to its edge: a boss round a pin; 0 for an outline that was drawn [m]."""
    outer: float
    """Outer face, sideways from the mid-plane [m]."""


@dataclass(frozen=True, slots=True)
class HeelRoom:
    """The least room between a heel and a link, and where that is."""

    room: float
    """Negative where both would be in the same place [m]."""
    place: int
    """Index of the link's place [-]."""
    turn: float
    """Crank of that foot, forward from straight up, 0 to 2 pi [rad]."""
    beside: float
    """Room sideways: inner side of the heel from the link's outer face [m]."""
    around: float
    """Room in the side view [m]."""


def room_beside(stance: float, outer: float) -> float:
    """Room sideways between a heel that points straight back and what is inside of it.

    Parameters
    ----------
    stance : float
        Between the middles of both feet. [m]
    outer : float
        Outer face of stay or link, from the mid-plane. [m]

    Returns
    -------
    float
        Negative where they overlap, seen from above. [m]

    Notes
    -----
    Half of the stance, less `HALF_WIDTH` (common practice, no source), less the outer face.
    """
    return 0.5 * stance - HALF_WIDTH - outer


def heel_path(body: Body, crank: float, stance: float, feet: Feet = PEDALLING) -> HeelPath:
    """The circle of a rider's heel.

    Parameters
    ----------
    body : Body
        The rider: foot, ankle's height, and how far the ball is ahead of the pedal. [m]
    crank : float
        Bottom bracket to pedal axle. [m]
    stance : float
        Between the middles of both feet. [m]
    feet : Feet, optional
        How they stand on the pedals, against the frame's x axis. [m, rad]

    Returns
    -------
    HeelPath
        In frame axes. [m]

    Notes
    -----
    In the side view the heel is the circle that touches the sole, the back of the foot and the height of the ankle
    joint: half of that height is its radius.
    """
    radius = 0.5 * body.ankle_height
    ahead = -BALL * body.foot.length + body.foot_ahead + radius
    sine, cosine = math.sin(feet.heel_drop), math.cos(feet.heel_drop)
    return HeelPath(
        centre=rotate((ahead, feet.sole + radius), sine, cosine),
        crank=crank,
        radius=radius,
        inner=room_beside(stance, 0.0),
    )


def heel_room(path: HeelPath, link: Link) -> HeelRoom:
    """Least room between a heel and a link over a turn of the cranks and all places of the link.

    Parameters
    ----------
    path : HeelPath
        The heel. [m]
    link : Link
        The link. [m]

    Returns
    -------
    HeelRoom
        The first place with the least. [m, rad]

    Notes
    -----
    With d the distance of a web's line from the heel's middle, the room in the side view is p = d - edge - radius and
    the room sideways s. Both bodies stand square to the mid-plane, so that the room in space is hypot(p, s) where both
    are positive, and the larger of them where one is not: the shorter way out. Since p falls no lower than
    -(edge + radius), where the heel's middle crosses the web's line, a deeper overlap than that is not told apart.
    """
    out = np.empty(3)
    fastest("passing.beside_circle")(
        np.ascontiguousarray(link.corners), link.webs, path.centre[0], path.centre[1], path.crank, out
    )
    around, beside = float(out[0]) - link.edge - path.radius, path.inner - link.outer
    room = math.hypot(around, beside) if around > 0.0 and beside > 0.0 else max(around, beside)
    return HeelRoom(room, int(out[1]), (0.5 * math.pi - float(out[2])) % (2.0 * math.pi), beside, around)

"""Saddle: how high it should be for a rider, and how high a seatpost lets it be in a frame.

Question answered   Which saddle height do published rules and a wanted knee angle ask for, and how low and how high
                    can this post hold a saddle in this seat tube?
Method              Shares of the inseam; the knee angle by one quadratic along the seat tube; lengths added up along
                    the seat tube.
Axes and signs      Heights are straight from the bottom-bracket centre to the sit point. Places along the seat tube are
                    counted up its axis from the height of the bottom bracket, as in `cockpit.SaddlePlace.out`.
Left out            Shoe and cleat beyond the sole's stated height, saddles that give, tubes that are not straight above
                    the bend.
Theory              docs/theory/saddle.md
"""

import math
from dataclasses import dataclass, replace

from bikewright.errors import OutsideValidity
from bikewright.physics.cockpit import Seat, saddle_place
from bikewright.physics.figure import Figure, third_side
from bikewright.physics.geometry import SeatTube
from bikewright.physics.posture import SeatedHabit
from bikewright.units import DEG, MM

PEDAL_SHARE = 1.09
"""Pedal axle to saddle, over inseam: Hamley and Thomas, 1967 [-]."""
BB_SHARES = (0.883, 0.885)
"""Bottom bracket to saddle, over inseam: two shares in common use [-]."""
KNEE_RANGE = (25 * DEG, 35 * DEG)
"""Flexion at the bottom of the stroke: Holmes, Pruitt and Whalen, 1994 [rad]."""
KNEE_MIDDLE = 0.5 * (KNEE_RANGE[0] + KNEE_RANGE[1])
"""Middle of that range [rad]."""


def pedal_rule(inseam: float) -> float:
    """Pedal axle to the top of the saddle, pedal at its farthest, by 1.09 times the inseam.

    Parameters
    ----------
    inseam : float
        Floor to crotch, barefoot. [m]

    Returns
    -------
    float
        In line with the seat tube. [m]
    """
    return PEDAL_SHARE * inseam


def saddle_height_at_knee(stick: Figure, tube: SeatTube, seat: Seat, knee: float, habit: SeatedHabit) -> float:
    """Saddle height at which the knee keeps so much flexion at the bottom of the stroke.

    Parameters
    ----------
    stick : Figure
        The rider on this bike; the grips do not matter here. [m]
    tube : SeatTube
        The seat tube's real axis. [m, rad]
    seat : Seat
        Post and saddle; its height is not used. [m]
    knee : float
        Flexion wanted where the pedal is farthest from the hip. [rad]
    habit : SeatedHabit
        Tilt of the pelvis. [rad]

    Returns
    -------
    float
        Bottom bracket to sit point, post fully out. [m]

    Raises
    ------
    OutsideValidity
        If no height on this seat tube gives that knee.
    NotKnown
        If the seat tube's own angle or its setback is not known.

    Notes
    -----
    The pedal is farthest when crank, ankle and hip are in line: hip to the centre of the ankle's circle is D less the
    crank, D the third side of thigh and shank. The hip moves with the sit point along the seat tube, so that the height
    is the upper root of a quadratic.
    """
    body = stick.body
    wanted = third_side(body.thigh.length, body.shank.length, math.pi - knee) - stick.contacts.crank
    start = saddle_place(tube, replace(seat, height=_REFERENCE, drop=0.0)).point
    x, z = stick.to_world(start)
    further = stick.to_world((start[0] - math.cos(tube.angle), start[1] + math.sin(tube.angle)))
    ux, uz = further[0] - x, further[1] - z
    above = body.hip_above_crotch
    px = x + above * math.sin(habit.pelvis_tilt) - stick.ankle[0]
    pz = z + above * math.cos(habit.pelvis_tilt) - stick.ankle[1]
    along, square = px * ux + pz * uz, px * px + pz * pz
    room = along * along - square + wanted * wanted
    if not (wanted > 0.0 and room >= 0.0):
        raise OutsideValidity(
            f"no saddle height on this seat tube leaves a knee bent {knee / DEG:.0f}°: hips stay "
            f"{math.sqrt(max(square - along * along, 0.0)) / MM:.0f} mm from the ankles' centre, "
            f"{max(wanted, 0.0) / MM:.0f} mm is wanted. Check inseam, crank length and seat tube"
        )
    s = math.sqrt(room) - along
    return math.hypot(start[0] - s * math.cos(tube.angle), start[1] + s * math.sin(tube.angle))


_REFERENCE = 0.7
"""Any saddle height that every seat tube reaches, to start from [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Post:
    """A seatpost in a seat tube. None is unknown."""

    drop: float
    """0 for a fixed post [m]."""
    length: float | None = None
    """Lower end of the tube that is clamped to the rail clamp, extended [m]."""
    stack: float | None = None
    """Collar to rail clamp, pushed in and lowered [m]."""
    insertion_max: float | None = None
    """What it needs below the collar, pushed in fully, with hose or cable [m]."""
    insertion_min: float | None = None
    """What must stay below the collar [m]."""


@dataclass(frozen=True, slots=True)
class PostRange:
    """Where a post can hold the rail clamp, extended. None where what it follows from is not known."""

    lowest: float | None
    """Along the seat tube [m]."""
    highest: float | None
    """Along the seat tube [m]."""
    stands_out: float | None
    """How far the bend keeps it from being pushed in fully; 0 where it goes in to the collar [m]."""


def post_range(post: Post, collar: float | None, bend: float | None) -> PostRange:
    """Between which places along the seat tube a post can hold the rail clamp.

    Parameters
    ----------
    post : Post
        The post. [m]
    collar : float or None
        Top of the seat tube, along its axis. [m]
    bend : float or None
        From the collar down to where a post can go no further. [m]

    Returns
    -------
    PostRange
        Rail clamp, post extended. [m]

    Notes
    -----
    Pushed in, the clamp is ``stack + drop`` over the collar; a bend nearer than the insertion that the post needs keeps
    it out by the difference. Pulled out, the clamp is ``length - insertion_min`` over the collar. A lowest place above
    the highest one is a post that cannot be put into this frame.
    """
    stands_out = None
    if post.insertion_max is not None and bend is not None:
        stands_out = max(0.0, post.insertion_max - bend)
    lowest = highest = None
    if collar is not None and post.stack is not None and stands_out is not None:
        lowest = collar + post.stack + post.drop + stands_out
    if collar is not None and post.length is not None and post.insertion_min is not None:
        highest = collar + post.length - post.insertion_min
    return PostRange(lowest, highest, stands_out)


def height_at_clamp(tube: SeatTube, seat: Seat, clamp: float) -> float:
    """Saddle height for a place of the rail clamp: what `cockpit.saddle_place` does, backwards.

    Parameters
    ----------
    tube : SeatTube
        The seat tube's real axis. [m, rad]
    seat : Seat
        Post and saddle; its height is not used. [m]
    clamp : float
        Foot of the rail clamp along the axis, post extended. [m]

    Returns
    -------
    float
        Bottom bracket to sit point, straight. [m]

    Raises
    ------
    NotKnown
        If the seat tube's own angle or its setback is not known.
    """
    place = saddle_place(tube, replace(seat, height=_REFERENCE, drop=0.0))
    s = clamp - place.out
    return math.hypot(place.point[0] - s * math.cos(tube.angle), place.point[1] + s * math.sin(tube.angle))

"""A rider's fit as points for whoever draws it: the bike, the rider on it, and where each joint's angle is.

Millimetres in ground axes, as in `bikewright.studies.pose`.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import atan2, degrees, dist

from bikewright.errors import NotKnown
from bikewright.physics import plane
from bikewright.physics.figure import Pose, figure
from bikewright.physics.posture import SeatedHabit
from bikewright.physics.stroke import bottom_pose
from bikewright.studies import crossing
from bikewright.studies.evaluate import evaluate
from bikewright.studies.fitting import Angle, Fit, PostureFit
from bikewright.studies.pose import BikePose, Point, pose_of
from bikewright.units import MM

LEG = 170.0
"""Length of a leg that an angle is drawn at where no segment gives it [mm]."""


@dataclass(frozen=True, slots=True)
class JointMark:
    """Where one angle is drawn."""

    angle: Angle
    vertex: Point
    first: Point
    """On one leg."""
    second: Point
    """On the other."""


@dataclass(frozen=True, slots=True)
class FitPicture:
    """A bike with its rider in one posture."""

    posture: PostureFit
    bike: BikePose
    marks: tuple[JointMark, ...]


def fit_picture(fit: Fit, name: str) -> FitPicture:
    """The bike with the rider in a posture; seated, with the near leg at the bottom of the stroke.

    Parameters
    ----------
    fit : Fit
        The answer.
    name : str
        Name of a posture.

    Returns
    -------
    FitPicture
        Points in ground axes. [mm]

    Raises
    ------
    NotKnown
        If the rider cannot take the posture: tells why.
    """
    posture = next(one for one in fit.postures if one.name == name)
    taken, contacts = posture.posture, posture.contacts
    if taken is None or contacts is None:
        raise NotKnown(f"{posture.label} cannot be drawn: {posture.refusal}")
    answer = evaluate(fit.build)
    state = posture.state if posture.stands == "settled" else posture.stands
    to_ground = answer.group("geometry", state).ground.attitude.to_ground

    def place(point: plane.Point) -> Point:
        x, z = to_ground(point)
        return float(x) / MM, float(z) / MM

    pose = taken.pose
    if name != "standing":
        habit = SeatedHabit()
        stick = figure(crossing.body(fit.rider), contacts, habit.arms, habit.feet)
        pose = bottom_pose(stick, pose.hip)
    rider = tuple(
        (segment, (place(first), place(second))) for segment, ends in pose.segments() for first, second in ends
    )
    bb, pedal = place(contacts.bb), place(pose.pedals[0])
    turn = degrees(atan2(pedal[1] - bb[1], pedal[0] - bb[0]))
    bike = replace(pose_of(answer, state), rider=rider, crank_deg=turn, axle_path=None, instant_centre=None)
    up = (contacts.up[0] + contacts.bb[0], contacts.up[1] + contacts.bb[1])
    plumb = _unit(bb, place(up))
    legs = (0, 1) if name != "standing" else (taken.knees.index(taken.knee_least), taken.hips.index(min(taken.hips)))
    return FitPicture(posture, bike, tuple(_marks(posture, pose, place, plumb, legs)))


def _unit(start: Point, end: Point) -> Point:
    """From one point to another, of length one."""
    length = dist(start, end)
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length


def _marks(
    posture: PostureFit, pose: Pose, place: Callable[[plane.Point], Point], plumb: Point, legs: tuple[int, int]
) -> Iterator[JointMark]:
    """Where each angle of a posture is drawn: the knee at the first leg, the hip at the second.

    A seated hip is most closed between top and level of its crank, where no leg is drawn: it stands in the table alone.
    """
    hip, shoulder, elbow, hand = (place(point) for point in (pose.hip, pose.shoulder, pose.elbow, pose.hand))
    knees, ankles = [place(knee) for knee in pose.knees], [place(ankle) for ankle in pose.ankles]

    def on(start: Point, end: Point) -> Point:
        """Past a joint in the direction in which a segment came: the straight limb."""
        ux, uz = _unit(start, end)
        return end[0] + LEG * ux, end[1] + LEG * uz

    above = hip[0] + 2.0 * LEG * plumb[0], hip[1] + 2.0 * LEG * plumb[1]
    places = {
        "knee": (knees[legs[0]], on(hip, knees[legs[0]]), ankles[legs[0]]),
        "knee_most": (knees[1], on(hip, knees[1]), ankles[1]),
        "hip": (hip, shoulder, knees[legs[1]]),
        "trunk": (hip, above, shoulder),
        "elbow": (elbow, on(shoulder, elbow), hand),
        "shoulder": (shoulder, hip, elbow),
    }
    for angle in posture.angles:
        if angle.name == "hip" and posture.name != "standing":
            continue
        yield JointMark(angle, *places[angle.name])

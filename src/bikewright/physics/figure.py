"""Figure: a rider as links and joints in the side view.

Question answered   With the hips here, where are all other joints, and where is the centre of mass?
Method              Legs and arms are two-link chains, closed by the cosine rule; the trunk closes the triangle of hip,
                    shoulder and grip.
Axes and signs      Worked in world axes about the bottom bracket, x forward and level, z up; `Figure.to_world` and
                    `Figure.from_world` lead to and from the axes of the contacts.
Left out            Elbows and knees turned out, a bent back. Arms that reach wider than the shoulders count as splayed
                    evenly from shoulder to grip.
Theory              docs/theory/figure.md
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from bikewright.errors import OutsideValidity
from bikewright.physics.body import Body
from bikewright.physics.kernels import figure as kernel
from bikewright.physics.kernels.compile import fastest
from bikewright.physics.plane import Point, rotate
from bikewright.units import DEG, MM

BALL, ANKLE = 0.72, 0.25
"""Ball of the foot (over the pedal axle) and ankle joint ahead of the heel, as shares of the foot's length. Common
practice, no source."""

LEFT, RIGHT = kernel.LEFT, kernel.RIGHT
"""Sides of a line, looking along it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Feet:
    """How feet stand on pedals. Defaults: common practice, no source."""

    sole: float = 30 * MM
    """Pedal axle to the sole of the foot: half the pedal, and the shoe [m]."""
    heel_drop: float = 0.0
    """Heel below the ball of the foot, against the world's horizontal [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arms:
    """How arms bend, in the side view. Defaults: common practice, no source."""

    elbow: float
    """Flexion that is held while it can be; 0 is straight [rad]."""
    elbow_least: float = 5 * DEG
    """Straightest elbow, held to reach a far bar [rad]."""
    elbow_most: float = 130 * DEG
    """Most bent elbow, at a near bar [rad]."""
    opening_most: float = 135 * DEG
    """Widest angle at the shoulder, from the trunk to the line to the grip; the elbow straightens before it is passed
    [rad]."""
    lean_least: float = 0.0
    """Least lean of the trunk from plumb; the elbow bends before it is passed [rad]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contacts:
    """Where the bike offers itself to the rider, in any axes of the side view with the front towards +x."""

    hand: Point
    """Middle of the grips [m]."""
    crank: float
    """Crank length [m]."""
    bb: Point = (0.0, 0.0)
    """Bottom-bracket centre [m]."""
    saddle: Point | None = None
    """Sit point [m]."""
    hand_half_width: float | None = None
    """Mid-plane to the middle of one hand; None: as wide as the shoulders [m]."""
    up: Point = (0.0, 1.0)
    """Unit vector against gravity, in these axes [-]."""

    def turned(self, up: Point) -> "Contacts":
        """The same places with another direction up.

        Parameters
        ----------
        up : tuple of float
            Unit vector against gravity, in these axes. [-]

        Returns
        -------
        Contacts
        """
        return Contacts(
            hand=self.hand,
            crank=self.crank,
            bb=self.bb,
            saddle=self.saddle,
            hand_half_width=self.hand_half_width,
            up=up,
        )


@dataclass(frozen=True, slots=True)
class Pose:
    """Joints of the figure, in the axes of the contacts. Front and rear name the foot with level cranks."""

    vertex: Point
    """Top of the head [m]."""
    gonion: Point
    """Foot of the head [m]."""
    shoulder: Point
    """[m]"""
    elbow: Point
    """[m]"""
    wrist: Point
    """[m]"""
    hand: Point
    """Middle of the grip [m]."""
    knuckle: Point
    """Third metacarpal: end of the hand [m]."""
    hip: Point
    """[m]"""
    knees: tuple[Point, Point]
    """Front, rear [m]."""
    ankles: tuple[Point, Point]
    """Front, rear [m]."""
    heels: tuple[Point, Point]
    """Front, rear; at half the ankle's height over the sole [m]."""
    toes: tuple[Point, Point]
    """Front, rear; as high over the sole as the heels [m]."""
    pedals: tuple[Point, Point]
    """Pedal axles: front, rear [m]."""

    def segments(self) -> tuple[tuple[str, tuple[tuple[Point, Point], ...]], ...]:
        """Ends of every segment under the name of `Body`'s field, first endpoint first: one arm for two, both legs."""
        hip, knees, ankles, heels, toes = self.hip, self.knees, self.ankles, self.heels, self.toes
        return (
            ("head", ((self.vertex, self.gonion),)),
            ("trunk", ((self.shoulder, hip),)),
            ("upper_arm", ((self.shoulder, self.elbow),)),
            ("forearm", ((self.elbow, self.wrist),)),
            ("hand", ((self.wrist, self.knuckle),)),
            ("thigh", ((hip, knees[0]), (hip, knees[1]))),
            ("shank", ((knees[0], ankles[0]), (knees[1], ankles[1]))),
            ("foot", ((heels[0], toes[0]), (heels[1], toes[1]))),
        )


@dataclass(frozen=True, slots=True)
class Upper:
    """Trunk and arms for one place of the hips, world axes."""

    shoulder: Point
    """[m]"""
    elbow: Point
    """[m]"""
    gonion: Point
    """Foot of the head [m]."""
    vertex: Point
    """Top of the head [m]."""


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A rider's links on one bike, ready to be posed. Made by `figure`."""

    body: Body
    contacts: Contacts
    arms: Arms
    hand: Point
    """Grip, world axes about the bottom bracket [m]."""
    upper_arm: float
    """Shoulder to elbow in the side view [m]."""
    forearm: float
    """Elbow to the middle of the grip in the side view, wrist straight [m]."""
    ankle: Point
    """Ankle joint from the pedal axle [m]."""
    heel: Point
    """Heel from the pedal axle [m]."""
    toe: Point
    """Toe tip from the pedal axle [m]."""
    feet_moment: Point
    """First moment of both feet and the ankle ends of both shanks, over the rider's mass, with opposed cranks [m]."""

    @cached_property
    def row(self) -> NDArray[np.float64]:
        """The numbers of this figure for the kernel `figure`, in its order. [m, -]"""
        b, arms, trunk = self.body, self.arms, self.body.trunk.length
        arm, opened, least = self.arm(arms.elbow), arms.opening_most, arms.lean_least
        lengths = trunk, b.neck, b.head.length, self.upper_arm, self.forearm, b.thigh.length, b.shank.length
        limits = arm, third_side(trunk, arm, opened), trunk * math.cos(opened), trunk * math.sin(opened)
        lean = trunk * math.sin(least), trunk * math.cos(least)
        shares = [mass / b.mass for mass in _joint_masses(b)]
        return np.array([*self.hand, *lengths, *self.ankle, *limits, *lean, *shares, *self.feet_moment])

    def turned(self, up: Point) -> "Figure":
        """The same rider on the same bike with another direction up.

        Parameters
        ----------
        up : tuple of float
            Unit vector against gravity, in the axes of the contacts. [-]

        Returns
        -------
        Figure
        """
        (bx, bz), (x, z), row = self.contacts.bb, self.contacts.hand, self.row.copy()
        hand = row[kernel.HAND_X], row[kernel.HAND_Z] = rotate((x - bx, z - bz), *up)
        other = object.__new__(Figure)
        # A rider is turned often, and only these follow from the direction up: no field is checked or copied anew.
        other.__dict__.update(self.__dict__, contacts=self.contacts.turned(up), hand=hand, row=row)
        return other

    def to_world(self, point: Point) -> Point:
        """From the axes of the contacts to world axes about the bottom bracket.

        Parameters
        ----------
        point : tuple of float
            In the axes of the contacts. [m]

        Returns
        -------
        tuple of float
            Forward and up of the bottom bracket. [m]
        """
        (ux, uz), (bx, bz) = self.contacts.up, self.contacts.bb
        return rotate((point[0] - bx, point[1] - bz), ux, uz)

    def from_world(self, point: Point) -> Point:
        """From world axes about the bottom bracket to the axes of the contacts.

        Parameters
        ----------
        point : tuple of float
            Forward and up of the bottom bracket. [m]

        Returns
        -------
        tuple of float
            In the axes of the contacts. [m]
        """
        (ux, uz), (bx, bz) = self.contacts.up, self.contacts.bb
        x, z = rotate(point, -ux, uz)
        return bx + x, bz + z

    def farthest(self, elbow: float) -> float:
        """Longest way from hip to grip with this flexion and the shoulder open as far as it may be.

        Parameters
        ----------
        elbow : float
            Flexion. [rad]

        Returns
        -------
        float
            Distance. [m]
        """
        return third_side(self.body.trunk.length, self.arm(elbow), self.arms.opening_most)

    def arm(self, elbow: float) -> float:
        """Shoulder to grip in the side view.

        Parameters
        ----------
        elbow : float
            Flexion. [rad]

        Returns
        -------
        float
            Distance. [m]
        """
        return third_side(self.upper_arm, self.forearm, math.pi - elbow)

    def upper(self, hip: Point) -> Upper:
        """Trunk, head and arms for one place of the hips.

        Parameters
        ----------
        hip : tuple of float
            World axes. [m]

        Returns
        -------
        Upper
            World axes. [m]

        Notes
        -----
        The elbow holds its flexion until the shoulder is opened, or the trunk is upright, as far as either may be:
        `bikewright.physics.kernels.figure.upper`.
        """
        sx, sz, ex, ez, neck_x, neck_z, head_x, head_z = fastest("figure.upper")(self.row, *hip)
        return Upper((sx, sz), (ex, ez), (neck_x, neck_z), (head_x, head_z))

    def knee(self, hip: Point, pedal: Point) -> Point:
        """Knee of the leg on a pedal.

        Parameters
        ----------
        hip, pedal : tuple of float
            World axes. [m]

        Returns
        -------
        tuple of float
            World axes. [m]
        """
        return kernel.knee(self.row, *hip, *pedal)

    def centre(self, hip: Point, upper: Upper, knees: tuple[Point, Point]) -> Point:
        """Centre of mass with opposed cranks.

        Parameters
        ----------
        hip : tuple of float
            World axes. [m]
        upper : Upper
            Trunk and arms of these hips. [m]
        knees : tuple of tuple
            Both knees. [m]

        Returns
        -------
        tuple of float
            World axes. [m]
        """
        above = (*upper.shoulder, *upper.elbow, *upper.gonion, *upper.vertex)
        both = knees[0][0] + knees[1][0], knees[0][1] + knees[1][1]
        return kernel.centre(self.row, *hip, above, *both)

    def pose(self, hip: Point, upper: Upper, knees: tuple[Point, Point], pedals: tuple[Point, Point]) -> Pose:
        """All joints, in the axes of the contacts.

        Parameters
        ----------
        hip : tuple of float
            World axes. [m]
        upper : Upper
            Trunk and arms of these hips. [m]
        knees, pedals : tuple of tuple
            Both of each, the same foot first; world axes. [m]

        Returns
        -------
        Pose
            In the axes of the contacts. [m]
        """
        return self.poses(hip, upper, knees, pedals, ((0, 1),))[0]

    def poses(
        self,
        hip: Point,
        upper: Upper,
        knees: Sequence[Point],
        pedals: Sequence[Point],
        pairs: Sequence[tuple[int, int]],
    ) -> tuple[Pose, ...]:
        """All joints of several poses that differ in their legs only, in the axes of the contacts.

        Parameters
        ----------
        hip : tuple of float
            World axes. [m]
        upper : Upper
            Trunk and arms of these hips. [m]
        knees, pedals : sequence of tuple
            Knee and pedal axle of each leg, world axes. [m]
        pairs : sequence of tuple
            The two legs of each pose, front first, by their places in the sequences. [-]

        Returns
        -------
        tuple of Pose
            In the axes of the contacts. [m]
        """
        (ex, ez), (gx, gz) = upper.elbow, self.hand
        (ux, uz), (bx, bz) = self.contacts.up, self.contacts.bb

        def back(point: Point) -> Point:
            # `from_world`, written out: it is asked for a hundred joints of one answer
            x, z = point
            return bx + (x * uz + z * ux), bz + (z * uz - x * ux)

        fore, grip, hand = self.body.forearm.length, self.body.grip, self.body.hand.length
        wrist, knuckle = fore / (fore + grip), (fore + hand) / (fore + grip)
        placed = [back(knee) for knee in knees]
        ankles, heels, toes, axles = (
            [back((px + x, pz + z)) for px, pz in pedals] for x, z in (self.ankle, self.heel, self.toe, (0.0, 0.0))
        )
        top, neck, shoulder, elbow, hips = (
            back(point) for point in (upper.vertex, upper.gonion, upper.shoulder, upper.elbow, hip)
        )
        wrist_at = back((ex + wrist * (gx - ex), ez + wrist * (gz - ez)))
        knuckle_at = back((ex + knuckle * (gx - ex), ez + knuckle * (gz - ez)))
        return tuple(
            Pose(
                vertex=top,
                gonion=neck,
                shoulder=shoulder,
                elbow=elbow,
                wrist=wrist_at,
                hand=self.contacts.hand,
                knuckle=knuckle_at,
                hip=hips,
                knees=(placed[a], placed[b]),
                ankles=(ankles[a], ankles[b]),
                heels=(heels[a], heels[b]),
                toes=(toes[a], toes[b]),
                pedals=(axles[a], axles[b]),
            )
            for a, b in pairs
        )


def figure(body: Body, contacts: Contacts, arms: Arms, feet: Feet) -> Figure:
    """Make a rider ready to be posed on a bike.

    Parameters
    ----------
    body : Body
        The rider. [m, kg]
    contacts : Contacts
        Where the bike offers itself. [m]
    arms : Arms
        How arms bend. [rad]
    feet : Feet
        How feet stand on the pedals. [m, rad]

    Returns
    -------
    Figure
        Links in the side view. [m]

    Raises
    ------
    OutsideValidity
        If the hands are further apart than the arms reach sideways, or the contacts are no numbers that can be meant.
    """
    (ux, uz), (bx, bz) = contacts.up, contacts.bb
    if not abs(math.hypot(ux, uz) - 1.0) < 1e-9:
        raise OutsideValidity(f"up is ({ux:g}, {uz:g}), which is not a unit vector; divide it by its length")
    x, z = contacts.hand[0] - bx, contacts.hand[1] - bz
    if not (math.isfinite(x) and math.isfinite(z) and contacts.crank >= 0.0):
        raise OutsideValidity(
            f"grips {x / MM:.1f} mm ahead of and {z / MM:.1f} mm over the bottom bracket with cranks of "
            f"{contacts.crank / MM:.1f} mm make no posture; give finite places and a crank length that is not negative"
        )
    shrink = _splay(body, contacts.hand_half_width)
    sine, cosine = math.sin(feet.heel_drop), math.cos(feet.heel_drop)

    def from_pedal(ahead: float, above: float) -> Point:
        return rotate((ahead, above), sine, cosine)

    long, top, forward = body.foot.length, body.ankle_height, body.foot_ahead
    ankle = from_pedal((ANKLE - BALL) * long + forward, feet.sole + top)
    heel = from_pedal(-BALL * long + forward, feet.sole + 0.5 * top)
    toe = from_pedal((1.0 - BALL) * long + forward, feet.sole + 0.5 * top)
    # The pedals lie opposite to each other about the bottom bracket, so they drop out of the sum of both feet.
    shank, foot = 2.0 * body.shank.mass * body.shank.centre / body.mass, 2.0 * body.foot.mass / body.mass
    heels, toes = foot * (1.0 - body.foot.centre), foot * body.foot.centre
    return Figure(
        body=body,
        contacts=contacts,
        arms=arms,
        hand=rotate((x, z), ux, uz),
        upper_arm=shrink * body.upper_arm.length,
        forearm=shrink * (body.forearm.length + body.grip),
        ankle=ankle,
        heel=heel,
        toe=toe,
        feet_moment=(
            shank * ankle[0] + heels * heel[0] + toes * toe[0],
            shank * ankle[1] + heels * heel[1] + toes * toe[1],
        ),
    )


def _joint_masses(b: Body) -> tuple[float, ...]:
    """Mass that shoulder, elbow, hand, hip, one knee, top and foot of the head stand for [kg].

    Distance shares of each segment's centre give the share of its mass that each of its ends stands for.
    """
    head, trunk, above, fore, thigh, shank = b.head, b.trunk, b.upper_arm, b.forearm, b.thigh, b.shank
    along = fore.centre * fore.length / (fore.length + b.grip)
    return (
        trunk.mass * (1.0 - trunk.centre) + 2.0 * above.mass * (1.0 - above.centre),
        2.0 * (above.mass * above.centre + fore.mass * (1.0 - along)),
        2.0 * (fore.mass * along + b.hand.mass),
        trunk.mass * trunk.centre + 2.0 * thigh.mass * (1.0 - thigh.centre),
        thigh.mass * thigh.centre + shank.mass * (1.0 - shank.centre),
        head.mass * (1.0 - head.centre),
        head.mass * head.centre,
    )


def _splay(body: Body, hand_half_width: float | None) -> float:
    """Side view of an arm over its true length: every link of it splayed by one angle."""
    if hand_half_width is None:
        return 1.0
    reach = body.upper_arm.length + body.forearm.length + body.grip
    aside = hand_half_width - body.shoulder_half_width
    if not abs(aside) < 0.8 * reach:
        raise OutsideValidity(
            f"hands {2.0 * hand_half_width / MM:.0f} mm apart are too wide for arms of {reach / MM:.0f} mm; "
            "give a narrower bar"
        )
    return math.sqrt(1.0 - (aside / reach) ** 2)


def third_side(first: float, second: float, between: float) -> float:
    """Third side of a triangle.

    Parameters
    ----------
    first, second : float
        Two sides. [m]
    between : float
        The angle that they enclose. [rad]

    Returns
    -------
    float
        The side opposite to it. [m]
    """
    return math.sqrt(first * first + second * second - 2.0 * first * second * math.cos(between))


def angle_between(first: float, second: float, opposite: float) -> float:
    """Angle that two sides of a triangle enclose; straight or folded where the triangle cannot close.

    Parameters
    ----------
    first, second, opposite : float
        Three sides, the last one opposite to the angle. [m]

    Returns
    -------
    float
        0 to pi. [rad]
    """
    cosine = (first * first + second * second - opposite * opposite) / (2.0 * first * second)
    return math.acos(max(-1.0, min(1.0, cosine)))


def flexion(first: float, second: float, across: float) -> float:
    """How far a joint is bent, from the sides of its triangle.

    Parameters
    ----------
    first, second : float
        Both links. [m]
    across : float
        Between their far ends. [m]

    Returns
    -------
    float
        0 for a straight limb. [rad]
    """
    return math.pi - angle_between(first, second, across)


def corner(start: Point, end: Point, first: float, second: float, side: float) -> Point:
    """Joint of two links that lead from one point to another.

    Parameters
    ----------
    start, end : tuple of float
        Where the first link begins and the second one ends. [m]
    first, second : float
        Lengths of the links. [m]
    side : float
        `LEFT` or `RIGHT` of the way from start to end, where the joint is. [-]

    Returns
    -------
    tuple of float
        The joint; on the line where the links cannot meet. [m]
    """
    return kernel.corner(*start, *end, first, second, side)

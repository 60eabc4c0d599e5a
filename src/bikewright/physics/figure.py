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
from dataclasses import dataclass

from bikewright.errors import OutsideValidity
from bikewright.physics.body import Body
from bikewright.physics.plane import Point, rotate
from bikewright.units import DEG, MM

BALL, ANKLE = 0.72, 0.25
"""Ball of the foot (over the pedal axle) and ankle joint ahead of the heel, as shares of the foot's length. Common
practice, no source."""

LEFT, RIGHT = 1.0, -1.0
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


@dataclass(frozen=True, slots=True, kw_only=True)
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
        The elbow holds its flexion. Where that would open the shoulder past its limit w, the arm gets as long as the
        triangle with the trunk T and the distance d asks: T cos w + sqrt(d^2 - T^2 sin^2 w). Where it would lean the
        trunk back past its limit, the trunk stays at the limit and the arm gets shorter.
        """
        trunk, habit, (gx, gz) = self.body.trunk.length, self.arms, self.hand
        hx, hz = hip
        away = (gx - hx) ** 2 + (gz - hz) ** 2
        arm = self.arm(habit.elbow)
        if away > third_side(trunk, arm, habit.opening_most) ** 2:
            arm = trunk * math.cos(habit.opening_most) + math.sqrt(away - (trunk * math.sin(habit.opening_most)) ** 2)
        sx, sz = corner(hip, self.hand, trunk, arm, LEFT)
        least = math.sin(habit.lean_least)
        if sx - hx < trunk * least:
            sx, sz = hx + trunk * least, hz + trunk * math.cos(habit.lean_least)
        # The neck goes on along the trunk, the head is raised to half the trunk's lean.
        ux, uz = (sx - hx) / trunk, (sz - hz) / trunk
        gonion = sx + self.body.neck * ux, sz + self.body.neck * uz
        raised = self.body.head.length / math.hypot(ux, uz + 1.0)
        vertex = gonion[0] + raised * ux, gonion[1] + raised * (uz + 1.0)
        return Upper((sx, sz), corner((sx, sz), self.hand, self.upper_arm, self.forearm, RIGHT), gonion, vertex)

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
        ankle = pedal[0] + self.ankle[0], pedal[1] + self.ankle[1]
        return corner(hip, ankle, self.body.thigh.length, self.body.shank.length, LEFT)

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
        b, (gx, gz), (sx, sz), (ex, ez) = self.body, self.hand, upper.shoulder, upper.elbow
        # Distance shares of each segment's centre give the share of its mass that each of its ends stands for.
        head, trunk, above, fore, thigh, shank = b.head, b.trunk, b.upper_arm, b.forearm, b.thigh, b.shank
        vertex, gonion = head.mass * (1.0 - head.centre), head.mass * head.centre
        along = fore.centre * fore.length / (fore.length + b.grip)
        shoulder = trunk.mass * (1.0 - trunk.centre) + 2.0 * above.mass * (1.0 - above.centre)
        elbow = 2.0 * (above.mass * above.centre + fore.mass * (1.0 - along))
        grip = 2.0 * (fore.mass * along + b.hand.mass)
        hips = trunk.mass * trunk.centre + 2.0 * thigh.mass * (1.0 - thigh.centre)
        knee = thigh.mass * thigh.centre + shank.mass * (1.0 - shank.centre)
        x = shoulder * sx + elbow * ex + grip * gx + hips * hip[0] + knee * (knees[0][0] + knees[1][0])
        z = shoulder * sz + elbow * ez + grip * gz + hips * hip[1] + knee * (knees[0][1] + knees[1][1])
        x += vertex * upper.vertex[0] + gonion * upper.gonion[0]
        z += vertex * upper.vertex[1] + gonion * upper.gonion[1]
        return x / b.mass + self.feet_moment[0], z / b.mass + self.feet_moment[1]

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
        back, (ex, ez), (gx, gz) = self.from_world, upper.elbow, self.hand
        fore, grip, hand = self.body.forearm.length, self.body.grip, self.body.hand.length
        wrist, knuckle = fore / (fore + grip), (fore + hand) / (fore + grip)

        def both(from_pedal: Point) -> tuple[Point, Point]:
            (ax, az), (cx, cz), (x, z) = *pedals, from_pedal
            return back((ax + x, az + z)), back((cx + x, cz + z))

        return Pose(
            vertex=back(upper.vertex),
            gonion=back(upper.gonion),
            shoulder=back(upper.shoulder),
            elbow=back(upper.elbow),
            wrist=back((ex + wrist * (gx - ex), ez + wrist * (gz - ez))),
            hand=self.contacts.hand,
            knuckle=back((ex + knuckle * (gx - ex), ez + knuckle * (gz - ez))),
            hip=back(hip),
            knees=(back(knees[0]), back(knees[1])),
            ankles=both(self.ankle),
            heels=both(self.heel),
            toes=both(self.toe),
            pedals=(back(pedals[0]), back(pedals[1])),
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
    dx, dz = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dz * dz
    if square == 0.0:
        return start
    along = 0.5 * (1.0 + (first * first - second * second) / square)
    aside = side * math.sqrt(max(first * first / square - along * along, 0.0))
    return start[0] + along * dx - aside * dz, start[1] + along * dz + aside * dx

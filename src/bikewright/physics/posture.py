"""Posture: where a rider's joints and centre of mass are, standing on level cranks or seated.

Question answered   With hands, feet and saddle where this bike has them, how does this rider stand or sit, and where is
                    the centre of mass?
Method              A stick figure in the side view, posed in closed form. Standing, the hips are moved (one bracketed
                    root) until the centre of mass is plumb over the bottom bracket, or ahead of it by what the hands
                    carry. Seated, the hips are on the saddle and the legs are averaged over a turn of the cranks.
Axes and signs      Any axes of the side view with the front of the bike towards +x; `Contacts.up` says which way is up
                    in the world, so grades and pitching bikes need nothing else. Flexion is 0 for a straight joint.
Left out            Muscle: a joint takes every angle inside its limits. Whether the standing rider touches the saddle.
Theory              docs/theory/posture.md
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from bikewright.errors import OutsideValidity
from bikewright.physics.body import Body
from bikewright.physics.figure import (
    Arms,
    Contacts,
    Feet,
    Figure,
    Pose,
    Upper,
    angle_between,
    figure,
    flexion,
    third_side,
)
from bikewright.physics.kernels.compile import fastest
from bikewright.physics.kernels.figure import AHEAD, BEHIND, centre_on_arc
from bikewright.physics.kernels.root import AS_NEAR, NOUGHT, STEPS_MAX, narrowed
from bikewright.physics.plane import Point
from bikewright.units import DEG, MM

CRANK_ANGLES = 8
"""Crank angles that a seated rider's legs are averaged over."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingHabit:
    """How a rider stands on level cranks. Defaults: common practice, no source."""

    knee: float = 55 * DEG
    """Knee flexion of a leg from the hip to the middle between both ankles: the front knee is straighter, the rear one
    more bent [rad]."""
    knee_least: float = 40 * DEG
    """As `knee`, for the tallest stance of the band [rad]."""
    knee_most: float = 80 * DEG
    """As `knee`, for the deepest stance of the band [rad]."""
    hip_shift: float = 30 * MM
    """How far the hips may be ahead of and behind the balanced place, for the band [m]."""
    hand_share: float = 0.0
    """Share of the rider's weight that presses plumb on the grips; 0 is heavy feet, light hands [-]."""
    arms: Arms = Arms(elbow=55 * DEG)
    feet: Feet = Feet()


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatedHabit:
    """How a rider sits and pedals. Defaults: common practice, no source."""

    pelvis_tilt: float = 35 * DEG
    """Line from the sit point up to the hip joint, forward from plumb; its length is the body's hip above crotch
    [rad]."""
    knee_least: float = 5 * DEG
    """Straightest knee allowed at the bottom of the stroke [rad]."""
    knee_most: float = 140 * DEG
    """Most bent knee allowed at the top of the stroke [rad]."""
    arms: Arms = Arms(elbow=20 * DEG)
    feet: Feet = Feet(heel_drop=-15 * DEG)
    """The heel is up all the way round."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Posture:
    """A rider on a bike."""

    mode: Literal["standing", "seated"]
    com: Point
    """Centre of mass; seated, the mean over a turn of the cranks [m]."""
    poses: tuple[Pose, ...]
    """Level cranks first; seated, one for each crank angle [m]."""
    trunk_lean: float
    """Hip to shoulder, forward from plumb [rad]."""
    shoulder: float
    """Between trunk and upper arm [rad]."""
    elbow: float
    """Flexion in the side view [rad]."""
    hips: tuple[float, float]
    """Between trunk and thigh, level cranks: front, rear [rad]."""
    knees: tuple[float, float]
    """Knee flexion, level cranks: front, rear [rad]."""
    knee_least: float
    """Straightest knee: standing the front one's or the rear one's, seated at the bottom of the stroke [rad]."""
    knee_most: float
    """Most bent knee, likewise [rad]."""

    @property
    def pose(self) -> Pose:
        """Joints with level cranks. [m]"""
        return self.poses[0]


@dataclass(frozen=True, slots=True)
class Band:
    """How far the centre of mass may be moved within a habit. None where the rider cannot get there."""

    deepest: Point | None
    """Centre of mass with the knees most bent, balanced [m]."""
    tallest: Point | None
    """With the knees straightest, balanced [m]."""
    backmost: Point | None
    """With the hips shifted back along their arc about the ankles [m]."""
    foremost: Point | None
    """With the hips shifted forward [m]."""


def standing(body: Body, contacts: Contacts, habit: StandingHabit = StandingHabit()) -> Posture:
    """Stand on level cranks with the centre of mass over the bottom bracket.

    Parameters
    ----------
    body : Body
        The rider. [m, kg]
    contacts : Contacts
        Hands, bottom bracket and which way is up. [m]
    habit : StandingHabit
        Bend of knees and elbows, load on the hands. [rad, m]

    Returns
    -------
    Posture
        In the axes of the contacts. [m, rad]

    Raises
    ------
    OutsideValidity
        If the rider cannot reach pedals or grips so: says by how many millimetres, and what to change.

    Notes
    -----
    The hip lies on an arc about the middle between both ankles, as far as the knee flexion says. `Figure.upper` makes
    the centre of mass one continuous function of its place on that arc; the plumb condition is a root of it. With the
    hands carrying a share s of the weight, moments about free cranks put the centre of mass ahead of the bottom bracket
    by s times the lead of the grips.
    """
    return _stood(figure(body, contacts, habit.arms, habit.feet), habit)


def _stood(stick: Figure, habit: StandingHabit) -> Posture:
    arc = _Arc(stick, habit)
    return arc.posture(arc.balanced()[0])


def standing_com(body: Body, contacts: Contacts, habit: StandingHabit = StandingHabit()) -> Point:
    """Centre of mass of `standing` alone, for callers who pose a rider many times on the way to rest.

    Parameters
    ----------
    body, contacts, habit : Body, Contacts, StandingHabit
        As for `standing`. [m, kg, rad]

    Returns
    -------
    tuple of float
        In the axes of the contacts. [m]

    Raises
    ------
    OutsideValidity
        If the rider cannot balance so; the limits of the elbows are left to `standing`.
    """
    return com_by_up(body, contacts, habit)(contacts.up)


@dataclass(frozen=True, slots=True)
class ComByUp:
    """A rider on a bike whose direction up may be any; made by `com_by_up`."""

    stick: Figure
    habit: StandingHabit | SeatedHabit

    def __call__(self, up: Point) -> Point:
        """Centre of mass of `standing` or `seated`.

        Parameters
        ----------
        up : tuple of float
            Unit vector against gravity, in the axes of the contacts. [-]

        Returns
        -------
        tuple of float
            In the axes of the contacts. [m]

        Raises
        ------
        OutsideValidity
            As `standing_com` and `seated_com` do.
        """
        turned, habit = self.stick.turned(up), self.habit
        com = _Arc(turned, habit).balanced()[1] if isinstance(habit, StandingHabit) else _sat(turned, habit)[2]
        return turned.from_world(com)

    def posture(self, up: Point) -> Posture:
        """All of `standing` or `seated`.

        Parameters
        ----------
        up : tuple of float
            Unit vector against gravity, in the axes of the contacts. [-]

        Returns
        -------
        Posture
            In the axes of the contacts. [m, rad]

        Raises
        ------
        OutsideValidity
            As `standing` and `seated` do.
        """
        turned, habit = self.stick.turned(up), self.habit
        return _stood(turned, habit) if isinstance(habit, StandingHabit) else _seated(turned, habit)

    def row(self) -> tuple[float, ...] | None:
        """What the kernel `plumb` asks for beside the figure's own row; None where a saddle is missing. [m, -]"""
        stick, habit = self.stick, self.habit
        contacts, thigh, shank = stick.contacts, stick.body.thigh.length, stick.body.shank.length
        common = *contacts.bb, *contacts.hand, contacts.crank
        reach = stick.farthest(habit.arms.elbow_least)
        if isinstance(habit, StandingHabit):
            radius = third_side(thigh, shank, math.pi - habit.knee)
            return (*common, thigh + shank, reach, radius, habit.hand_share, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
        if contacts.saddle is None:
            return None
        longest, shortest = _leg_limits(stick, habit)
        to_hip = _to_hip(stick, habit)
        return (*common, longest, reach, 0.0, 0.0, *contacts.saddle, *to_hip, shortest, float(CRANK_ANGLES))


def com_by_up(body: Body, contacts: Contacts, habit: StandingHabit | SeatedHabit) -> ComByUp:
    """Centre of mass of `standing` or `seated` alone for any direction up, for callers who ask on the way to rest.

    Parameters
    ----------
    body, contacts : Body, Contacts
        As for `standing`; the contacts' own direction up counts for nothing. [m, kg]
    habit : StandingHabit or SeatedHabit
        Says how the rider rides. [rad, m]

    Returns
    -------
    callable
        From a unit vector against gravity to the centre of mass, both in the axes of the contacts; raises as
        `standing_com` and `seated_com` do. [-, m]
    """
    return ComByUp(figure(body, contacts, habit.arms, habit.feet), habit)


def standing_band(body: Body, contacts: Contacts, habit: StandingHabit = StandingHabit()) -> Band:
    """How far a standing rider can move the centre of mass within the habit.

    Parameters
    ----------
    body : Body
        The rider. [m, kg]
    contacts : Contacts
        Hands, bottom bracket and which way is up. [m]
    habit : StandingHabit
        Limits of knee flexion and shift of the hips. [rad, m]

    Returns
    -------
    Band
        Centres of mass at four limits, in the axes of the contacts. [m]

    Raises
    ------
    OutsideValidity
        If the rider cannot stand there at all.
    """
    stick = figure(body, contacts, habit.arms, habit.feet)
    arc = _Arc(stick, habit)
    (angle, _), step = arc.balanced(), habit.hip_shift / arc.radius

    def at_knee(knee: float) -> Point | None:
        try:
            return stick.from_world(_Arc(stick, replace(habit, knee=knee)).balanced()[1])
        except OutsideValidity:
            return None

    def shifted(to: float) -> Point | None:
        return arc.com(to) if arc.foremost <= to <= arc.backmost else None

    return Band(at_knee(habit.knee_most), at_knee(habit.knee_least), shifted(angle + step), shifted(angle - step))


def seated(body: Body, contacts: Contacts, habit: SeatedHabit = SeatedHabit()) -> Posture:
    """Sit on the saddle and pedal.

    Parameters
    ----------
    body : Body
        The rider. [m, kg]
    contacts : Contacts
        Hands, bottom bracket, saddle and which way is up. [m]
    habit : SeatedHabit
        Tilt of the pelvis, limits of the knees, bend of the elbows. [rad, m]

    Returns
    -------
    Posture
        In the axes of the contacts; the centre of mass is the mean over a turn of the cranks. [m, rad]

    Raises
    ------
    OutsideValidity
        If there is no saddle, or the rider cannot reach pedals or grips: says by how many millimetres, and what to
        change.
    """
    return _seated(figure(body, contacts, habit.arms, habit.feet), habit)


def _seated(stick: Figure, habit: SeatedHabit) -> Posture:
    contacts = stick.contacts
    hip, knees_range, com = _sat(stick, habit)
    upper, pedals, half = stick.upper(hip), _pedals(contacts.crank), CRANK_ANGLES // 2
    knees = [stick.knee(hip, pedal) for pedal in pedals]
    poses = stick.poses(hip, upper, knees, pedals, [(k, (k + half) % CRANK_ANGLES) for k in range(CRANK_ANGLES)])
    return _posture("seated", stick, hip, upper, com, poses, knees_range)


def seated_com(body: Body, contacts: Contacts, habit: SeatedHabit = SeatedHabit()) -> Point:
    """Centre of mass of `seated` alone, for callers who pose a rider many times on the way to rest.

    Parameters
    ----------
    body, contacts, habit : Body, Contacts, SeatedHabit
        As for `seated`. [m, kg, rad]

    Returns
    -------
    tuple of float
        The mean over a turn of the cranks, in the axes of the contacts. [m]

    Raises
    ------
    OutsideValidity
        If there is no saddle, or the rider cannot reach pedals or grips; the limits of the elbows are left to `seated`.
    """
    return com_by_up(body, contacts, habit)(contacts.up)


def _pedals(crank: float) -> list[Point]:
    """Pedal axles about the bottom bracket at every crank angle [m]."""
    turns = [2.0 * math.pi * k / CRANK_ANGLES for k in range(CRANK_ANGLES)]
    return [(crank * math.cos(turn), crank * math.sin(turn)) for turn in turns]


def _sat(stick: Figure, habit: SeatedHabit) -> tuple[Point, tuple[float, float], Point]:
    """Hip, straightest and most bent knee, and the mean centre of mass over a turn of the cranks, world axes."""
    if stick.contacts.saddle is None:
        raise OutsideValidity("a rider cannot sit: the saddle's place is not given. Give it, or let the rider stand")
    body, sit, (ahead, above) = stick.body, stick.to_world(stick.contacts.saddle), _to_hip(stick, habit)
    hip = sit[0] + ahead, sit[1] + above
    knees_range = _stroke(stick, hip, habit)
    excess = math.dist(hip, stick.hand) - stick.farthest(habit.arms.elbow_least)
    if excess > 0.0:
        raise OutsideValidity(
            f"the grips are {excess / MM:.1f} mm out of reach for a seated rider of {body.stature / MM:.0f} mm; take a "
            "shorter stem, more rise or spacers, or move the saddle forward"
        )
    x, z = fastest("figure.turned_cranks")(stick.row, *hip, stick.contacts.crank, CRANK_ANGLES)
    return hip, knees_range, (x, z)


def _to_hip(stick: Figure, habit: SeatedHabit) -> Point:
    """From the sit point to the hip, world axes [m]."""
    long, tilt = stick.body.hip_above_crotch, habit.pelvis_tilt
    return long * math.sin(tilt), long * math.cos(tilt)


def _leg_limits(stick: Figure, habit: SeatedHabit) -> tuple[float, float]:
    """Longest and shortest way from hip to ankle [m]."""
    thigh, shank = stick.body.thigh.length, stick.body.shank.length
    longest, shortest = (third_side(thigh, shank, math.pi - knee) for knee in (habit.knee_least, habit.knee_most))
    return longest, shortest


def _stroke(stick: Figure, hip: Point, habit: SeatedHabit) -> tuple[float, float]:
    """Straightest and most bent knee over a turn of the cranks."""
    thigh, shank, crank = stick.body.thigh.length, stick.body.shank.length, stick.contacts.crank
    centre = math.dist(hip, stick.ankle)
    far, near = centre + crank, abs(centre - crank)
    longest, shortest = _leg_limits(stick, habit)
    if far > longest:
        raise OutsideValidity(
            f"the lower pedal is {(far - longest) / MM:.1f} mm out of reach of a seated leg of "
            f"{(thigh + shank) / MM:.0f} mm; lower the saddle by that much, or fit shorter cranks"
        )
    if near < shortest:
        raise OutsideValidity(
            f"the upper pedal is {(shortest - near) / MM:.1f} mm too near to the hips for a knee that bends "
            f"{habit.knee_most / DEG:.0f}°; raise the saddle by that much, or fit shorter cranks"
        )
    return flexion(thigh, shank, far), flexion(thigh, shank, near)


class _Arc:
    """The hips of a standing rider on their arc about the middle between both ankles.

    An angle on the arc is counted from forward over up to back.
    """

    def __init__(self, stick: Figure, habit: StandingHabit):
        self.stick, self.habit = stick, habit
        body, crank = stick.body, stick.contacts.crank
        self.radius = third_side(body.thigh.length, body.shank.length, math.pi - habit.knee)
        self.target = habit.hand_share * stick.hand[0]
        self.pedals = (crank, 0.0), (-crank, 0.0)
        self.foremost, self.backmost = self._range()

    def _range(self) -> tuple[float, float]:
        """Angles between which both legs and the arms reach."""
        stick, radius, crank = self.stick, self.radius, self.stick.contacts.crank
        longest = stick.body.thigh.length + stick.body.shank.length
        # The farther leg: radius^2 + crank^2 + 2 radius crank |cos| <= longest^2.
        room = longest * longest - radius * radius - crank * crank
        if room <= 0.0:
            raise OutsideValidity(
                f"cranks of {crank / MM:.0f} mm put a pedal {(math.hypot(radius, crank) - longest) / MM:.1f} mm out of "
                f"reach of a standing leg of {longest / MM:.0f} mm, with the knees bent "
                f"{self.habit.knee / DEG:.0f}° in the mean; bend them more, or fit shorter cranks"
            )
        fore = math.acos(min(1.0, room / (2.0 * radius * crank))) if crank > 0.0 else 0.0
        return fore, min(math.pi - fore, self._arms_end())

    def _arms_end(self) -> float:
        """Angle beyond which the arms do not reach the grips; -pi where they never do."""
        stick = self.stick
        x, z = stick.hand[0] - stick.ankle[0], stick.hand[1] - stick.ankle[1]
        away, reach = math.hypot(x, z), stick.farthest(stick.arms.elbow_least)
        if away > self.radius + reach:
            return -math.pi
        return math.atan2(z, x) + angle_between(self.radius, away, reach)

    def hip(self, angle: float) -> Point:
        (mx, mz), radius = self.stick.ankle, self.radius
        return mx + radius * math.cos(angle), mz + radius * math.sin(angle)

    def com(self, angle: float) -> Point:
        return self.stick.from_world(centre_on_arc(self.stick.row, self.radius, self.stick.contacts.crank, angle))

    def _solved(self) -> tuple[int, float, Point]:
        """What the kernel makes of the balance: a status, the angle, the centre of mass in world axes."""
        row, crank = self.stick.row, self.stick.contacts.crank
        ends = self.foremost, self.backmost
        status, angle, x, z = fastest("figure.balanced")(row, self.radius, crank, self.target, *ends)
        return status, angle, (x, z)

    def balanced(self) -> tuple[float, Point]:
        """Angle at which the centre of mass is plumb, and that centre in world axes."""
        status, angle, com = self._solved()
        if status == AHEAD:
            raise self._too_far()
        if status == BEHIND:
            raise OutsideValidity(
                "the weight does not get so far forward: with the hips as far ahead as the legs allow, the centre of "
                f"mass stays {(self.target - com[0]) / MM:.1f} mm behind its balance; ask for less load on the hands, "
                "or bend the knees more"
            )
        return angle, com

    def _too_far(self) -> OutsideValidity:
        """Why nobody balances so: the grips, by how much, or the legs."""
        low, high = 0.0, self.stick.hand[0]
        if not (high > 0.0 and self._balances(high)):
            return OutsideValidity(
                f"a rider of {self.stick.body.stature / MM:.0f} mm whose knees bend {self.habit.knee / DEG:.0f}° finds "
                f"no balanced stance with grips {self.stick.hand[1] / MM:.0f} mm over the bottom bracket, however near "
                "they come; bend the knees more, or lower the grips"
            )
        while high - low > 0.05 * MM:
            middle = 0.5 * (low + high)
            low, high = (low, middle) if self._balances(middle) else (middle, high)
        return OutsideValidity(
            f"the grips are {high / MM:.1f} mm out of reach for a rider of {self.stick.body.stature / MM:.0f} mm who "
            "stands balanced over the feet; take a shorter stem, more rise or spacers, or a smaller size"
        )

    def _balances(self, nearer: float) -> bool:
        """Whether the hips get far enough back with the grips nearer by so much."""
        x, z = self.stick.hand
        return _Arc(replace(self.stick, hand=(x - nearer, z)), self.habit)._solved()[0] != AHEAD

    def posture(self, angle: float) -> Posture:
        """Everything at one angle."""
        stick = self.stick
        hip = self.hip(angle)
        upper, knees = stick.upper(hip), (stick.knee(hip, self.pedals[0]), stick.knee(hip, self.pedals[1]))
        com = stick.centre(hip, upper, knees)
        pose = stick.pose(hip, upper, knees, self.pedals)
        return _posture("standing", stick, hip, upper, com, (pose,))


def _posture(
    mode: Literal["standing", "seated"],
    stick: Figure,
    hip: Point,
    upper: Upper,
    com: Point,
    poses: tuple[Pose, ...],
    knees_range: tuple[float, float] | None = None,
) -> Posture:
    """Angles of the joints; the grips' place and the elbow are held against their limits here.

    Without a range over the turn, the knees bend as they do with level cranks.
    """
    if not stick.hand[0] > hip[0]:
        raise OutsideValidity(
            f"the grips are {(hip[0] - stick.hand[0]) / MM:.1f} mm behind the hips of a {mode} rider of "
            f"{stick.body.stature / MM:.0f} mm; give grips ahead of the rider"
        )
    reach = math.dist(upper.shoulder, stick.hand)
    elbow = flexion(stick.upper_arm, stick.forearm, reach)
    near = stick.arm(stick.arms.elbow_most) - reach
    if near > 0.0:
        raise OutsideValidity(
            f"the grips are {near / MM:.1f} mm too near to the shoulders of a {mode} rider of "
            f"{stick.body.stature / MM:.0f} mm, with the elbows bent {stick.arms.elbow_most / DEG:.0f}°; take a longer "
            "stem, a lower bar, or a larger size"
        )
    level = poses[0]
    knees = tuple(math.pi - _angle(level.knees[k], level.hip, level.ankles[k]) for k in range(2))
    hips = tuple(_angle(level.hip, level.shoulder, level.knees[k]) for k in range(2))
    least, most = knees_range or (min(knees), max(knees))
    return Posture(
        mode=mode,
        com=stick.from_world(com),
        poses=poses,
        trunk_lean=math.atan2(upper.shoulder[0] - hip[0], upper.shoulder[1] - hip[1]),
        shoulder=_angle(level.shoulder, level.hip, level.elbow),
        elbow=elbow,
        hips=(hips[0], hips[1]),
        knees=(knees[0], knees[1]),
        knee_least=least,
        knee_most=most,
    )


def _angle(at: Point, first: Point, second: Point) -> float:
    """Angle at a joint between the ways to two others."""
    ax, az, bx, bz = first[0] - at[0], first[1] - at[1], second[0] - at[0], second[1] - at[1]
    return math.atan2(abs(ax * bz - az * bx), ax * bx + az * bz)


def root(function: Callable[[float], float], low: tuple[float, float], high: tuple[float, float]) -> float:
    """Where a continuous function is zero.

    Parameters
    ----------
    function : callable
        Of one number. [any unit]
    low, high : tuple of float
        An argument and the function there; the function changes sign between the two. [any unit]

    Returns
    -------
    float
        The argument, to about ten times rounding. [unit of the argument]

    Notes
    -----
    False position; the value at an end that stays is halved (Illinois), so that both ends close in.
    """
    (a, fa), (b, fb) = low, high
    for _ in range(STEPS_MAX):
        if fa == fb:
            break
        c = b - fb * (b - a) / (fb - fa)
        fc = function(c)
        if abs(fc) < NOUGHT or abs(c - b) < AS_NEAR:
            return c
        a, fa, b, fb = narrowed(a, fa, b, fb, c, fc)
    return b

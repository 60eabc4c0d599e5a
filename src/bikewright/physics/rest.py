"""Rest under load: where fork, rear end, tyres and frame settle together.

Question answered   How far are both ends in, how does the frame stand and what does each wheel carry?
Method              Both wheel loads follow from the moments of all forces about the contacts; the fork's force from the
                    balance of its lowers along the steering axis; the shock's from virtual work of everything that
                    moves when the shock alone moves. Springs and tyres give way until all of it holds at once.
Axes and signs      Ground axes: x along the ground, forward; z square to it. The pull on a mass is a vector, so that a
                    grade, braking and a corner are other directions and sizes of one pull. Compression positive.
Left out            Flex, damping forces, aerodynamic force, pedalling unevenness; friction only as a band.
Theory              docs/theory/rest.md
"""

import math
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from bikewright.errors import OutsideValidity, SolverDidNotSettle
from bikewright.physics.fixed_point import Step, next_guess
from bikewright.physics.geometry import Attitude, attitude
from bikewright.physics.plane import Point, rotate
from bikewright.physics.springs.curve import SpringCurve, stroke_at_force
from bikewright.physics.steering import Fork, SteeringAxis, front_axle
from bikewright.units import MM

GRAVITY = 9.80665
"""Standard gravity [m/s²]. ISO 80000-3 (from memory)."""

Sprung: TypeAlias = Callable[[float], tuple[float, Point]]
"""Mass of all that moves with the frame [kg] and its centre in frame axes [m], for a pitch of the frame [rad]."""

SETTLED = 1e-12
"""Largest move of any travel or drop in the last step of a settled answer [m]."""
STEPS_MAX = 400


@dataclass(frozen=True, slots=True)
class RearPath:
    """The rear axle over the shock stroke, ready to be asked for one stroke at a time."""

    stroke: tuple[float, ...]
    """Rising from nought [m]."""
    axle: tuple[Point, ...]
    """[m]"""
    velocity: tuple[Point, ...]
    """Derivative of the axle with respect to the stroke [-]."""
    acceleration: tuple[Point, ...]
    """Second derivative [1/m]."""
    turn: tuple[float, ...]
    """Rate at which a wheel locked to whatever holds it turns, anticlockwise, for each metre of stroke [rad/m]: the
    body of the caliper, or the taut chain. Nought for a free wheel."""

    def at(self, stroke: float) -> tuple[Point, Point, float]:
        """Axle, its velocity and the locked wheel's turn; cubic between exact places.

        Parameters
        ----------
        stroke : float
            Of the shock. [m]

        Returns
        -------
        axle, velocity, turn : tuple of float, tuple of float, float
            As the fields. [m, -, rad/m]
        """
        part = min(max(bisect_right(self.stroke, stroke) - 1, 0), len(self.stroke) - 2)
        width = self.stroke[part + 1] - self.stroke[part]
        t = (stroke - self.stroke[part]) / width
        places = [_cubic(t, width, self.axle, self.velocity, part, axis) for axis in (0, 1)]
        rates = [_cubic(t, width, self.velocity, self.acceleration, part, axis) for axis in (0, 1)]
        return (places[0], places[1]), (rates[0], rates[1]), self._turn(stroke, part)

    def _turn(self, stroke: float, part: int) -> float:
        """The locked wheel's turn, by a polynomial through the six nearest places: its slope is not known."""
        first = min(max(part - 2, 0), max(len(self.stroke) - 6, 0))
        near = self.stroke[first : first + 6]
        found = 0.0
        for one, turn in zip(near, self.turn[first : first + 6], strict=True):
            for other in near:
                if other != one:
                    turn *= (stroke - other) / (one - other)
            found += turn
        return found


def _cubic(t: float, width: float, values: tuple[Point, ...], slopes: tuple[Point, ...], part: int, axis: int) -> float:
    u = 1.0 - t
    v0, v1 = values[part][axis], values[part + 1][axis]
    s0, s1 = slopes[part][axis], slopes[part + 1][axis]
    return u * u * (1.0 + 2.0 * t) * v0 + t * t * (3.0 - 2.0 * t) * v1 + width * t * u * (u * s0 - t * s1)


def rear_path(
    stroke: ArrayLike, axle: ArrayLike, velocity: ArrayLike, acceleration: ArrayLike, turn: ArrayLike | None = None
) -> RearPath:
    """A rear path from the arrays of a motion.

    Parameters
    ----------
    stroke : array_like, shape (n,)
        Shock stroke, rising from nought. [m]
    axle, velocity, acceleration : array_like, shape (n, 2)
        Rear axle in frame axes and its derivatives with respect to the stroke. [m]
    turn : array_like, shape (n,), optional
        Turn of the locked wheel for each metre of stroke; absent for a free wheel. [rad/m]

    Returns
    -------
    RearPath
        The same as plain numbers, which are quick to ask one at a time.
    """
    places, rates, bends = (
        tuple((x, z) for x, z in np.asarray(array, dtype=np.float64).tolist())
        for array in (axle, velocity, acceleration)
    )
    at = tuple(np.asarray(stroke, dtype=np.float64).tolist())
    still = np.zeros(len(at)) if turn is None else np.asarray(turn, dtype=np.float64)
    return RearPath(at, places, rates, bends, tuple(still.tolist()))


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontEnd:
    """Steering axis, fork and its spring."""

    axis: SteeringAxis
    fork: Fork
    travel: float
    """Full travel; nought for a rigid fork [m]."""
    spring: SpringCurve | None
    """None for a rigid fork."""
    mass: float
    """Wheel, tyre, brake and lowers: what moves with the axle [kg]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RearEnd:
    """Rear axle, shock and its spring."""

    path: RearPath | None
    """None for a hardtail."""
    axle: Point
    """Where the axle is while nothing moves: a hardtail's only place [m]."""
    spring: SpringCurve | None
    """None for a hardtail."""
    mass: float
    """Wheel, tyre, brake, sprockets and what else moves with the axle [kg]."""

    @property
    def stroke(self) -> float:
        """Full shock stroke; nought for a hardtail [m]."""
        return 0.0 if self.path is None else self.path.stroke[-1]


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreSpring:
    """A tyre between axle and ground."""

    radius: float
    """Unloaded [m]."""
    rate: float | None
    """Vertical rate; None: it gives by `drop` whatever it carries [N/m]."""
    drop: float = 0.0
    """Drop of a tyre whose rate is not known [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """What pulls on the bike in one state, and what the wheels pass to the ground along it."""

    x: float = 0.0
    """Pull on each kilogram along the ground, forward: the slope's part of gravity and what braking adds [m/s²]."""
    z: float = -GRAVITY
    """Pull on each kilogram square to the ground [m/s²]."""
    front_share: float = 0.0
    """Share of the force along the ground that the front wheel passes on; the rear wheel has the rest [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Friction that helps or hinders, as it is left by how the bike came to rest; nought is after a bounce."""

    fork: float = 0.0
    """Force of friction that helps the fork's spring [N]."""
    shock: float = 0.0
    """The same for the shock's [N]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """All forces for given travels and drops."""

    pose: Attitude
    """How the frame stands [m, rad]."""
    rear_axle: Point
    """In frame axes [m]."""
    front_axle: Point
    """In frame axes [m]."""
    front_load: float
    """Of the front wheel on the ground, square to it [N]."""
    rear_load: float
    """Of the rear wheel [N]."""
    front_push: float
    """Of the ground on the front wheel, along the ground, forward [N]."""
    rear_push: float
    """Of the ground on the rear wheel [N]."""
    com_ahead: float
    """Centre of mass of everything ahead of the rear contact [m]."""
    com_height: float
    """Above the ground, square to it [m]."""
    head_angle: float
    """[rad]"""
    fork_force: float
    """Axial force that the fork has to carry [N]."""
    fork_side: float
    """Force across the fork at its axle, positive backwards [N]."""
    shock_force: float
    """That the shock has to carry [N]."""

    @property
    def wheelbase(self) -> float:
        """[m]"""
        return float(self.pose.wheelbase)

    @property
    def front_share(self) -> float:
        """Share of the load on the front wheel [-]."""
        return self.front_load / (self.front_load + self.rear_load)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rest(Balance):
    """A bike at rest."""

    fork_travel: float
    """Used, along the steering axis [m]."""
    shock_stroke: float
    """Used [m]."""
    front_drop: float
    """Drop of the front tyre [m]."""
    rear_drop: float
    """Drop of the rear tyre [m]."""
    residual: float
    """Largest force out of balance [N]."""
    steps: int
    """Taken until it settled."""
    bottomed: tuple[str, ...]
    """Ends at the end of their travel: "fork", "shock"."""
    topped: tuple[str, ...]
    """Ends that the load does not move out of full extension."""


def settle(
    front: FrontEnd,
    rear: RearEnd,
    tyres: tuple[TyreSpring, TyreSpring],
    sprung: Sprung,
    pull: Pull = Pull(),
    held: Held = Held(),
    start: tuple[float, float] = (0.0, 0.0),
) -> Rest:
    """Where a bike comes to rest.

    Parameters
    ----------
    front, rear : FrontEnd, RearEnd
        Both ends with their springs. [m, N]
    tyres : tuple of TyreSpring
        Rear tyre, front tyre. [m, N/m]
    sprung : callable
        Mass of all that moves with the frame, the rider included, and its centre in frame axes, for a pitch of the
        frame: a rider who stands plumb moves in the frame as it pitches. [kg, m]
    pull : Pull
        Direction and size of the pull, and how the force along the ground is shared. [m/s²]
    held : Held
        Friction that helps the springs. [N]
    start : tuple of float
        Fork travel and shock stroke to begin from. [m]

    Returns
    -------
    Rest
        Settled, with what is left out of balance.

    Raises
    ------
    OutsideValidity
        If a wheel leaves the ground.
    SolverDidNotSettle
        If the steps do not close.

    Notes
    -----
    With M the whole mass, (x, h) its centre from the rear contact and L the wheelbase, the front wheel carries
    ``M (h p_x - x p_z)/L``. The fork carries the load of its wheel, less the weight of its lowers, along the steering
    axis: ``N sin(HA) - T cos(HA)`` with T the forward push of the ground. With the frame held, a small stroke ds moves
    the axle by a ds and turns the locked wheel by b ds: the shock carries ``N a_z + T (a_x + r b)`` and the work of the
    pull on the unsprung mass. Each step asks every spring for the stroke of the force that it has to carry; the forces
    change little with the strokes, and the last three steps are mixed into the next (`fixed_point`).
    """
    travel, stroke = _inside(start[0], front.travel), _inside(start[1], rear.stroke)
    drops = [tyre.drop if tyre.rate is None else 0.0 for tyre in tyres]
    steps: list[Step] = []
    before = math.inf
    for step in range(1, STEPS_MAX + 1):
        now = _balance(front, rear, tyres, sprung, pull, travel, stroke, drops)
        put = (travel, stroke, *drops)
        wanted = _wanted(front, rear, tyres, held, now, put)
        move = max(abs(new - old) for new, old in zip(wanted, put, strict=True))
        # Rounding keeps the last moves from reaching nought: two moves alike at that size are the end.
        if move <= SETTLED or (move < 1e-10 and move >= before):
            _refuse_lifted(now)
            return _rest(front, rear, tyres, now, held, travel, stroke, drops, step)
        if move > 2.0 * before:
            steps.clear()  # a kink, such as a stop, lies between the steps: they tell nothing about here
        steps.append((put, wanted))
        travel, stroke, *drops = next_guess(steps)
        travel, stroke, before = _inside(travel, front.travel), _inside(stroke, rear.stroke), move
    _refuse_lifted(now)
    raise SolverDidNotSettle(
        f"the bike did not come to rest in {STEPS_MAX} steps: fork at {travel / MM:.2f} mm, shock at "
        f"{stroke / MM:.2f} mm, last move {before / MM:.3g} mm. A spring is too soft for its leverage there; "
        "check pressures and rates"
    )


def _inside(value: float, most: float) -> float:
    return min(max(value, 0.0), most)


def _wanted(
    front: FrontEnd,
    rear: RearEnd,
    tyres: tuple[TyreSpring, TyreSpring],
    held: Held,
    now: Balance,
    put: tuple[float, ...],
) -> list[float]:
    """Travel, stroke, rear and front drop at which each spring carries its load; what does not give stays."""
    travel, stroke, *drops = put
    return [
        travel
        if front.spring is None
        else stroke_at_force(front.spring, now.fork_force - held.fork, front.travel, travel),
        stroke
        if rear.spring is None
        else stroke_at_force(rear.spring, now.shock_force - held.shock, rear.stroke, stroke),
        *(
            drop if tyre.rate is None else load / tyre.rate
            for tyre, load, drop in zip(tyres, (now.rear_load, now.front_load), drops, strict=True)
        ),
    ]


def _balance(
    front: FrontEnd,
    rear: RearEnd,
    tyres: tuple[TyreSpring, TyreSpring],
    sprung: Sprung,
    pull: Pull,
    travel: float,
    stroke: float,
    drops: list[float],
) -> Balance:
    """Every force for given travels and drops; on the way to rest a wheel may be pulled down."""
    if rear.path is None:
        axle, velocity, turn = rear.axle, (0.0, 0.0), 0.0
    else:
        axle, velocity, turn = rear.path.at(stroke)
    ahead = front_axle(front.axis, front.fork, travel)
    radii = tyres[0].radius - drops[0], tyres[1].radius - drops[1]
    pose = attitude(axle, ahead, radii[0], radii[1])
    masses = (sprung(pose.pitch), (rear.mass, axle), (front.mass, ahead))
    whole = sum(mass for mass, _ in masses)
    places = [pose.to_ground(place) for _, place in masses]
    x = sum(mass * place[0] for (mass, _), place in zip(masses, places, strict=True)) / whole - pose.rear_contact
    height = sum(mass * place[1] for (mass, _), place in zip(masses, places, strict=True)) / whole
    length = pose.wheelbase
    front_load = whole * (height * pull.x - x * pull.z) / length
    rear_load = -whole * pull.z - front_load
    push = -whole * pull.x
    front_push, rear_push = pull.front_share * push, (1.0 - pull.front_share) * push
    head_angle = front.axis.angle - pose.pitch
    up_x, up_z = -math.cos(head_angle), math.sin(head_angle)
    lowers_x, lowers_z = front_push + front.mass * pull.x, front_load + front.mass * pull.z
    axle_x, axle_z = rotate(velocity, pose.sine, pose.cosine)
    shock_force = (
        rear_load * axle_z + rear_push * (axle_x + radii[0] * turn) + rear.mass * (pull.x * axle_x + pull.z * axle_z)
    )
    return Balance(
        pose=pose,
        rear_axle=axle,
        front_axle=(float(ahead[0]), float(ahead[1])),
        front_load=front_load,
        rear_load=rear_load,
        front_push=front_push,
        rear_push=rear_push,
        com_ahead=x,
        com_height=height,
        head_angle=head_angle,
        fork_force=lowers_x * up_x + lowers_z * up_z,
        fork_side=lowers_z * math.cos(head_angle) + lowers_x * math.sin(head_angle),
        shock_force=shock_force,
    )


def _refuse_lifted(now: Balance) -> None:
    for load, name, remedy in (
        (now.front_load, "front", "a flatter climb, or the rider further forward"),
        (now.rear_load, "rear", "less braking, or the rider further back and lower"),
    ):
        if load < 0.0:
            raise OutsideValidity(
                f"the {name} wheel leaves the ground: it would have to be pulled down with {-load:.0f} N (centre of "
                f"mass {now.com_ahead / MM:.0f} mm ahead of the rear contact, {now.com_height / MM:.0f} mm high, "
                f"wheelbase {now.wheelbase / MM:.0f} mm). This can be answered with {remedy}"
            )


def _rest(
    front: FrontEnd,
    rear: RearEnd,
    tyres: tuple[TyreSpring, TyreSpring],
    now: Balance,
    held: Held,
    travel: float,
    stroke: float,
    drops: list[float],
    steps: int,
) -> Rest:
    """The settled balance with what it leaves over, and which end stands at a stop."""
    left, bottomed, topped = [0.0], [], []
    ends = (
        ("fork", front.spring, travel, front.travel, now.fork_force - held.fork),
        ("shock", rear.spring, stroke, rear.stroke, now.shock_force - held.shock),
    )
    for name, spring, at, full, force in ends:
        if spring is None:
            continue
        over = force - float(spring.force(at))
        if at >= full and over > 0.0:
            bottomed.append(name)
        elif at <= 0.0 and over < 0.0:
            topped.append(name)
        else:
            left.append(abs(over))
    for tyre, load, drop in zip(tyres, (now.rear_load, now.front_load), drops, strict=True):
        if tyre.rate is not None:
            left.append(abs(load - tyre.rate * drop))
    return Rest(
        **{field.name: getattr(now, field.name) for field in fields(now)},
        fork_travel=travel,
        shock_stroke=stroke,
        front_drop=drops[1],
        rear_drop=drops[0],
        residual=max(left),
        steps=steps,
        bottomed=tuple(bottomed),
        topped=tuple(topped),
    )

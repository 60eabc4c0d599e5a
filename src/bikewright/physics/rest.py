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
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.errors import OutsideValidity, SolverDidNotSettle
from bikewright.physics.fixed_point import Step, next_guess
from bikewright.physics.geometry import Attitude, attitude
from bikewright.physics.inertia import MassPoint, combine
from bikewright.physics.kernels import rest as kernel
from bikewright.physics.kernels.compile import fastest
from bikewright.physics.kernels.linkage_group import OK
from bikewright.physics.plane import Point, rotate
from bikewright.physics.posture import ComByUp
from bikewright.physics.springs.curve import SpringCurve, stroke_at_force
from bikewright.physics.steering import Fork, SteeringAxis, front_axle
from bikewright.units import MM

Floats = NDArray[np.float64]

GRAVITY = 9.80665
"""Standard gravity [m/s²]. ISO 80000-3 (from memory)."""

Sprung: TypeAlias = Callable[[float], tuple[float, Point]]
"""Mass of all that moves with the frame [kg] and its centre in frame axes [m], for a pitch of the frame [rad]."""

STEPS_MAX = 400
"""Of the two ends, for one place of the rider."""
POSES_MAX = 60
"""Times that a rider is placed anew."""


@dataclass(frozen=True, slots=True, eq=False)
class RearPath:
    """The rear axle over the shock stroke."""

    table: Floats
    """Rows of the kernel (8, n), see `bikewright.physics.kernels.rest`: stroke rising from nought, axle x and z, their
    first and second derivatives with respect to the stroke, and the rate at which a wheel locked to whatever holds it
    turns, anticlockwise, for each metre of stroke: the body of the caliper, or the taut chain; nought for a free wheel.
    [m, -, 1/m, rad/m]"""

    @property
    def stroke(self) -> float:
        """Full shock stroke [m]."""
        return float(self.table[0, -1])

    def locked(self, turn: ArrayLike) -> "RearPath":
        """The same path with a wheel that is held.

        Parameters
        ----------
        turn : array_like, shape (n,)
            Turn of the wheel for each metre of stroke. [rad/m]

        Returns
        -------
        RearPath
        """
        table = self.table.copy()
        table[7] = turn
        return RearPath(table)

    @property
    def start(self) -> Point:
        """The axle with the suspension extended [m]."""
        return float(self.table[1, 0]), float(self.table[2, 0])


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
        Between these places the axle is a cubic with these slopes. [m]
    """
    at = np.asarray(stroke, dtype=np.float64)
    table = np.zeros((8, len(at)))
    table[0] = at
    for row, pair in zip((1, 3, 5), (axle, velocity, acceleration), strict=True):
        table[row : row + 2] = np.asarray(pair, dtype=np.float64).T
    if turn is not None:
        table[7] = turn
    return RearPath(table)


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
        return 0.0 if self.path is None else self.path.stroke


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreSpring:
    """A tyre between axle and ground."""

    radius: float
    """Unloaded [m]."""
    rate: float | None
    """Vertical rate; None: it gives by `drop` whatever it carries [N/m]."""
    drop: float = 0.0
    """Drop of a tyre whose rate is not known [m]."""
    room: float = math.inf
    """From the ground to the edge of the rim, unloaded; infinite where unknown [m]."""


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


@dataclass(frozen=True, slots=True)
class Fixed:
    """Masses that stay where they are in the frame: a `Sprung`, which `settle` answers in one call of a kernel."""

    mass: float
    """[kg]"""
    centre: Point
    """Frame axes [m]."""

    def __call__(self, pitch: float) -> tuple[float, Point]:
        """Mass and centre, whatever the pitch.

        Parameters
        ----------
        pitch : float
            Of the frame. [rad]

        Returns
        -------
        tuple
            Mass and its centre in frame axes. [kg, m]
        """
        return self.mass, self.centre


@dataclass(frozen=True, slots=True, kw_only=True)
class Ridden:
    """What moves with the frame while its rider stays plumb in the world: a `Sprung`, which `settle` answers in one
    call of a kernel."""

    mass: float
    """Of all that moves with the frame but the rider [kg]."""
    centre: Point
    """Of that mass, frame axes [m]."""
    rider_mass: float
    """The rider with all that the rider carries [kg]."""
    rider: ComByUp
    """Places the rider's mass."""
    slope: float = 0.0
    """How steeply the ground rises forward [rad]."""

    def __call__(self, pitch: float) -> tuple[float, Point]:
        """All mass that moves with the frame, and its centre.

        Parameters
        ----------
        pitch : float
            Of the frame. [rad]

        Returns
        -------
        tuple
            Mass and its centre in frame axes. [kg, m]

        Raises
        ------
        OutsideValidity
            If the rider cannot ride so.
        """
        com = self.rider(up_in_frame(pitch, self.slope))
        both = combine((MassPoint("bike", self.mass, self.centre), MassPoint("rider", self.rider_mass, com)))
        return both.mass, both.place

    def row(self) -> Floats | None:
        """The numbers of the kernel `plumb`, in its order; None where it cannot answer. [kg, m, rad]"""
        rider = self.rider.row()
        return None if rider is None else np.array([self.mass, *self.centre, self.rider_mass, self.slope, *rider])


def up_in_frame(pitch: float, slope: float) -> Point:
    """The world's vertical in frame axes.

    Parameters
    ----------
    pitch : float
        Of the frame on the ground. [rad]
    slope : float
        How steeply the ground rises forward. [rad]

    Returns
    -------
    tuple of float
        Unit vector against gravity. [-]
    """
    x, z = rotate((0.0, 1.0), math.sin(-pitch - slope), math.cos(pitch + slope))
    return float(x), float(z)


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
    """Force of wheel and ground across the fork, positive forward: the load bends it forward, the brake backward
    [N]."""
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
        frame: a rider who stands plumb moves in the frame as it pitches. `Fixed` and `Ridden` are answered at once.
        [kg, m]
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
        If a wheel leaves the ground, or a tyre is pressed to its rim.
    SolverDidNotSettle
        If the steps do not close.

    Notes
    -----
    With M the whole mass, (x, h) its centre from the rear contact and L the wheelbase, the front wheel carries
    ``M (h p_x - x p_z)/L``. The fork carries the load of its wheel, less the weight of its lowers, along the steering
    axis: ``N sin(HA) - T cos(HA)`` with T the forward push of the ground. With the frame held, a small stroke ds moves
    the axle by a ds and turns the locked wheel by b ds: the shock carries ``N a_z + T (a_x + r b)`` and the work of the
    pull on the unsprung mass. Each step asks every spring for its stroke; the last three are mixed (`fixed_point`).
    """
    body, path = _body(front, rear, tyres, pull, held), _path(rear)
    springs = _row(front.spring), _row(rear.spring)
    at = np.array([*start, *(tyre.drop if tyre.rate is None else 0.0 for tyre in tyres)])
    out = np.empty(kernel.OUT)
    if isinstance(sprung, Fixed | Ridden):
        found = _settled_at_once(front, rear, tyres, sprung, body, path, at.copy(), out)
        if found is not None:
            return found
        # The kernel stopped: the steps below stop as well, and say why.
    solve = fastest("rest.settle")
    asked = _pitch_before(front, rear, tyres, at)
    mass, centre = sprung(asked)
    poses: list[Step] = []
    steps, before = 0, math.inf
    for _ in range(POSES_MAX):
        body[kernel.MASS], body[kernel.CENTRE_X], body[kernel.CENTRE_Z] = mass, *centre
        status, taken = solve(body, path, *springs, STEPS_MAX, at, out)
        steps += taken
        if status != OK:
            _refuse_stopped(front, rear, tyres, held, at, out, status)
            break
        pitch = math.atan2(out[kernel.SINE], out[kernel.COSINE])
        off = abs(pitch - asked)
        if off > kernel.SETTLED and not (off < kernel.ROUNDING and off >= before):
            poses.append(((asked,), (pitch,)))
            (asked,) = next_guess(poses)
            used, (mass, centre) = centre, sprung(asked)
            # Masses that stay need no second look; a rider who jumps may be in one place twice, not at the found pitch.
            if abs(asked - pitch) > kernel.ROUNDING or math.dist(centre, used) > kernel.SETTLED:
                before = off
                continue
        return _rest(front, rear, tyres, pitch, at.tolist(), out, steps)
    _refuse_lifted(Balance(**_forces(front, math.atan2(out[kernel.SINE], out[kernel.COSINE]), out)))
    raise SolverDidNotSettle(
        f"the bike did not come to rest in {steps} steps: fork at {at[0] / MM:.2f} mm, shock at {at[1] / MM:.2f} mm. "
        "A spring is too soft for its leverage there; check pressures and rates"
    )


def _settled_at_once(
    front: FrontEnd,
    rear: RearEnd,
    tyres: tuple[TyreSpring, TyreSpring],
    sprung: Fixed | Ridden,
    body: Floats,
    path: Floats,
    at: Floats,
    out: Floats,
) -> Rest | None:
    """Bike and what it carries at rest together; None where the kernel stopped."""
    springs = _row(front.spring), _row(rear.spring)
    if isinstance(sprung, Fixed):
        body[kernel.MASS], body[kernel.CENTRE_X], body[kernel.CENTRE_Z] = sprung.mass, *sprung.centre
        status, steps = fastest("rest.settle")(body, path, *springs, STEPS_MAX, at, out)
        pitch = math.atan2(out[kernel.SINE], out[kernel.COSINE])
    else:
        row = sprung.row()
        if row is None:
            return None
        status, steps, pitch = fastest("plumb.settle_plumb")(
            body, path, *springs, sprung.rider.stick.row, row, STEPS_MAX, POSES_MAX, at, out
        )
    return _rest(front, rear, tyres, pitch, at.tolist(), out, steps) if status == OK else None


_NO_SPRING = np.zeros(1)
"""The kernel's word for an end that does not give."""


def _row(spring: SpringCurve | None) -> Floats:
    return _NO_SPRING if spring is None else spring.row


def _path(rear: RearEnd) -> Floats:
    """The kernel's path; a hardtail's has one place."""
    if rear.path is not None:
        return rear.path.table
    path = np.zeros((8, 1))
    path[1:3, 0] = rear.axle
    return path


def _body(front: FrontEnd, rear: RearEnd, tyres: tuple[TyreSpring, TyreSpring], pull: Pull, held: Held) -> Floats:
    """The kernel's table of one bike, in its order; the sprung mass is filled in as the rider moves."""
    sag_less = front_axle(front.axis, front.fork)
    return np.array(
        [
            *(*sag_less, *front.axis.up, front.travel, front.mass, tyres[1].radius, tyres[1].rate or 0.0, held.fork),
            *(rear.stroke, rear.mass, tyres[0].radius, tyres[0].rate or 0.0, held.shock),
            *(0.0, 0.0, 0.0, pull.x, pull.z, pull.front_share),
        ]
    )


def _pitch_before(front: FrontEnd, rear: RearEnd, tyres: tuple[TyreSpring, TyreSpring], at: Floats) -> float:
    """Pitch of the frame where the search begins [rad]."""
    path = _path(rear)
    nearest = int(path[0, 1:].searchsorted(at[1]))  # a guess: the place need not be exact
    axle_x, axle_z = path[1:3, nearest].tolist()
    ahead = front_axle(front.axis, front.fork, float(at[0]))
    return float(attitude((axle_x, axle_z), ahead, tyres[0].radius - at[2], tyres[1].radius - at[3]).pitch)


def _forces(front: FrontEnd, pitch: float, out: Floats) -> dict[str, Any]:
    """What the kernel found, by the names of `Balance`."""
    (rear_x, rear_z, front_x, front_z, sine, cosine, rise, contact, length, *forces) = out.tolist()
    ahead, height, front_load, rear_load, front_push, rear_push, fork_force, fork_side, shock_force, *_over = forces
    return {
        "pose": Attitude(pitch, sine, cosine, rise, contact, contact + length),
        "rear_axle": (rear_x, rear_z),
        "front_axle": (front_x, front_z),
        "front_load": front_load,
        "rear_load": rear_load,
        "front_push": front_push,
        "rear_push": rear_push,
        "com_ahead": ahead,
        "com_height": height,
        "head_angle": front.axis.angle - pitch,
        "fork_force": fork_force,
        "fork_side": fork_side,
        "shock_force": shock_force,
    }


def _refuse_stopped(
    front: FrontEnd,
    rear: RearEnd,
    tyres: tuple[TyreSpring, TyreSpring],
    held: Held,
    at: Floats,
    out: Floats,
    status: int,
) -> None:
    """Let the module whose question it was say why there is no balance on the way to rest."""
    travel, stroke, *drops = at.tolist()
    _refuse_pressed_flat(tyres, drops)
    if status == kernel.NO_GROUND:
        axle_x, axle_z, *_ = kernel.on_path(_path(rear), stroke)
        ahead = front_axle(front.axis, front.fork, travel)
        attitude((axle_x, axle_z), ahead, tyres[0].radius - drops[0], tyres[1].radius - drops[1])
    if status == kernel.NO_STROKE:
        for spring, force, full in (
            (front.spring, out[kernel.GUIDE_FORCE] - held.fork, front.travel),
            (rear.spring, out[kernel.PATH_FORCE] - held.shock, rear.stroke),
        ):
            if spring is not None:
                stroke_at_force(spring, float(force), full)


def _refuse_lifted(now: Balance) -> None:
    for load, name, remedy in (
        (now.front_load, "front", "a flatter climb, or the rider further forward"),
        (now.rear_load, "rear", "less braking, or the rider further back and lower"),
    ):
        if load < 0.0:
            raise OutsideValidity(
                f"the {name} wheel leaves the ground: it would have to be held down with {-load:.0f} N (centre of mass "
                f"{now.com_ahead / MM:.0f} mm ahead of the rear contact, {now.com_height / MM:.0f} mm high, wheelbase "
                f"{now.wheelbase / MM:.0f} mm). This can be answered with {remedy}"
            )


def _refuse_pressed_flat(tyres: tuple[TyreSpring, TyreSpring], drops: list[float]) -> None:
    for name, tyre, drop in zip(("rear", "front"), tyres, drops, strict=True):
        if drop > tyre.room:
            raise OutsideValidity(
                f"the {name} tyre is pressed to its rim: it would give by {drop / MM:.0f} mm of the "
                f"{tyre.room / MM:.0f} mm below the rim's edge. Ask with more pressure, or with less load"
            )


def _rest(
    front: FrontEnd,
    rear: RearEnd,
    tyres: tuple[TyreSpring, TyreSpring],
    pitch: float,
    at: list[float],
    out: Floats,
    steps: int,
) -> Rest:
    """The settled balance with what it leaves over, and which end stands at a stop."""
    travel, stroke, *drops = at
    forces = _forces(front, pitch, out)
    over_front, over_rear = out[kernel.FRONT_OVER : kernel.REAR_OVER + 1].tolist()
    loads = forces["rear_load"], forces["front_load"]
    left, bottomed, topped = [0.0], [], []
    for name, spring, used, full, over in (
        ("fork", front.spring, travel, front.travel, over_front),
        ("shock", rear.spring, stroke, rear.stroke, over_rear),
    ):
        if spring is None:
            continue
        if used >= full and over > 0.0:
            bottomed.append(name)
        elif used <= 0.0 and over < 0.0:
            topped.append(name)
        else:
            left.append(abs(over))
    for tyre, load, drop in zip(tyres, loads, drops, strict=True):
        if tyre.rate is not None:
            left.append(abs(load - tyre.rate * drop))
    found = Rest(
        **forces,
        fork_travel=travel,
        shock_stroke=stroke,
        front_drop=drops[1],
        rear_drop=drops[0],
        residual=max(left),
        steps=steps,
        bottomed=tuple(bottomed),
        topped=tuple(topped),
    )
    if not (found.front_load >= 0.0 and found.rear_load >= 0.0):
        _refuse_lifted(found)
        raise SolverDidNotSettle("the wheel loads at rest are no numbers: a mass, its place or the pull on it is none")
    _refuse_pressed_flat(tyres, drops)
    return found

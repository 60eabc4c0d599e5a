"""What pedalling, braking and coasting do to the rear suspension.

Question answered   Which share of the load transfer do chain or links balance, so that the spring does not? Which way
                    does the axle give way when coasting?
Method              Virtual work. The frame is held in the attitude of the state; the wheel is locked to the taut chain
                    with the cranks held, or to the body that carries the brake caliper; how its contact point then
                    moves along and away from the ground tells the share. The classic drawing through the instant
                    centre stands at the end as a check.
Axes and signs      (x, z) in frame axes, angles anticlockwise, rates with respect to shock compression. The ground is
                    that of the state, from `bikewright.physics.geometry.Attitude`; along it is forward, normal to it
                    up.
Left out            Inertia of the wheels and of unsprung parts, friction, drag at the hub, squash of the tyre under the
                    drive itself, rider movement; the share says nothing of pitch or of grip.
Theory              docs/theory/drive.md
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.errors import OutsideValidity
from bikewright.physics.chain import TautRun
from bikewright.physics.geometry import Attitude, attitude
from bikewright.physics.linkage.bodies import body_motion, instant_centre
from bikewright.physics.linkage.curve import frozen, sealed
from bikewright.physics.linkage.motion import Motion
from bikewright.physics.plane import Pair, rotate
from bikewright.units import MM

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class ContactMotion:
    """How the tyre's contact point moves in the frame as the shock closes, with the wheel locked to something."""

    along: Floats
    """Derivative of its place along the ground, forward (n,) or (n, m). [-]"""
    normal: Floats
    """Derivative of its place normal to the ground, up (n,) or (n, 1). [-]"""

    @property
    def slope(self) -> Floats:
        """Rearward per upward motion: the force up per force forward at the ground that leaves the shock alone (n,) or
        (n, m). [-]"""
        return np.asarray(-self.along / self.normal)

    def turning(self, radius: ArrayLike, rate: ArrayLike) -> "ContactMotion":
        """The same for a wheel that turns as well: below the axle a turn moves the contact point along the ground.

        Parameters
        ----------
        radius : array_like, shape () or (n,)
            Loaded radius of the tyre. [m]
        rate : array_like, shape (), (n,) or (n, m)
            Turn in the frame with respect to shock compression, anticlockwise. [rad/m]

        Returns
        -------
        ContactMotion
        """
        turn, far = np.asarray(rate, dtype=np.float64), np.asarray(radius, dtype=np.float64)
        along, normal = self.along, self.normal
        if turn.ndim == 2:
            along, normal, far = along[:, None], normal[:, None], far[:, None] if far.ndim else far
        return ContactMotion(sealed(along + far * turn), sealed(normal))


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Reactions:
    """Drive, brake and coasting reaction at each position. A reaction of 1 is 100 %."""

    ground: Attitude
    """The ground line of each position. [rad, m]"""
    height: Floats
    """Height above the ground, square to it, that the reactions refer to (n,). [m]"""
    drive: Floats | None
    """Share of the load transfer of the drive that the chain balances, for each gear (n, m); trade: anti-squat. [-]"""
    brake: Floats | None
    """The same for the rear brake alone (n,); trade: anti-rise. [-]"""
    coasting: Floats
    """Angle of the axle path from the normal of the ground, positive rearwards (n,). [rad]"""

    def at_height(self, height: ArrayLike) -> "Reactions":
        """The same for another height, so that curves can be laid beside those of other bikes.

        Parameters
        ----------
        height : array_like, shape () or (n,)
            The height to refer to. [m]

        Returns
        -------
        Reactions

        Raises
        ------
        OutsideValidity
            If the height is not above the ground.
        """
        wanted = _positive_height(height, len(self.height))
        scale = self.height / wanted
        return Reactions(
            ground=self.ground,
            coasting=self.coasting,
            height=frozen(wanted),
            drive=None if self.drive is None else sealed(self.drive * scale[:, None]),
            brake=None if self.brake is None else sealed(self.brake * scale),
        )

    def brake_with_both(self, rear_share: ArrayLike) -> Floats | None:
        """Brake reaction in terms of the load transfer of both brakes together.

        Parameters
        ----------
        rear_share : array_like, shape () or (n,)
            Braking force of the rear tyre as a share of both. [-]

        Returns
        -------
        ndarray or None
            Reaction (n,). [-]
        """
        return None if self.brake is None else np.asarray(self.brake * np.asarray(rear_share, dtype=np.float64))


def ground_through_travel(
    motion: Motion, front_axle: Pair, rear_radius: ArrayLike, front_radius: ArrayLike
) -> Attitude:
    """The ground under both tyres at each position of the rear suspension.

    Parameters
    ----------
    motion : Motion
        From `bikewright.physics.linkage.motion.solve_motion`.
    front_axle : pair
        (x, z) in frame axes with the fork where the state has it, floats or arrays (n,); see
        `bikewright.physics.steering.front_axle`. [m]
    rear_radius, front_radius : array_like, shape () or (n,)
        Loaded tyre radii. [m]

    Returns
    -------
    Attitude
        Arrays (n,). [rad, m]

    Raises
    ------
    OutsideValidity
        If the bike cannot stand on its tyres.
    """
    rear = (motion.axle[:, 0], motion.axle[:, 1])
    return attitude(rear, front_axle, np.asarray(rear_radius, float), np.asarray(front_radius, float))


def locked_contact(motion: Motion, ground: Attitude, rear_radius: ArrayLike, wheel_rate: ArrayLike) -> ContactMotion:
    r"""Motion of the contact point of a wheel that turns in a stated way as the shock closes.

    Parameters
    ----------
    motion : Motion
        From `bikewright.physics.linkage.motion.solve_motion`.
    ground : Attitude
        Ground line of the state; floats, or arrays over the positions. [rad, m]
    rear_radius : array_like, shape () or (n,)
        Loaded radius of the rear tyre. [m]
    wheel_rate : array_like, shape (), (n,) or (n, m)
        Turn of the wheel in the frame with respect to shock compression, anticlockwise: from `chain_held_rate`, or the
        rate of the body that carries the caliper. [rad/m]

    Returns
    -------
    ContactMotion

    Raises
    ------
    OutsideValidity
        If the axle does not rise from the ground as the shock closes.

    Notes
    -----
    The contact point lies below the axle along the normal of the ground by the radius R, so a turn moves it along the
    ground: :math:`\dot x = \dot A\cdot t + R\dot\beta`, :math:`\dot z = \dot A\cdot n`.
    """
    speed = motion.axle_velocity
    along, normal = rotate((speed[:, 0], speed[:, 1]), ground.sine, ground.cosine)
    if not (normal > 0.0).all():
        worst = int(np.argmin(normal))
        raise OutsideValidity(
            f"at {motion.wheel_travel[worst] / MM:.1f} mm of wheel travel the rear axle does not move away from the "
            f"ground as the shock closes, so no share of a load transfer can be told. "
            f"Check the axle path and the pitch."
        )
    return ContactMotion(along, normal).turning(rear_radius, wheel_rate)


def chain_held_rate(run: TautRun, gear: int | None = None) -> Floats:
    """Turn of the wheel in the frame while the chain stays taut and the cranks are held.

    Parameters
    ----------
    run : TautRun
        From `bikewright.physics.chain.taut_run`.
    gear : int, optional
        The gear; all of them where it is left out.

    Returns
    -------
    ndarray, shape (n, m) or (n,)
        Anticlockwise, with respect to shock compression: minus growth over cog radius. [rad/m]
    """
    if gear is not None:
        return np.asarray(-run.rate[:, gear] / run.cog_radius[gear])
    return np.asarray(-run.rate / run.cog_radius)


def reaction(contact: ContactMotion, wheelbase: ArrayLike, height: ArrayLike) -> Floats:
    """Share of the load transfer that chain or links balance, so that the spring does not.

    Parameters
    ----------
    contact : ContactMotion
        From `locked_contact`.
    wheelbase : array_like, shape () or (n,)
        Between the contact points along the ground. [m]
    height : array_like, shape () or (n,)
        Centre of mass of rider and bike above the ground, square to it. [m]

    Returns
    -------
    ndarray, shape (n,) or (n, m)
        1 is 100 %. [-]

    Notes
    -----
    A force S along the ground shifts S h/L to the rear wheel. The share that needs no spring is
    ``(L/h) (-dx/dz)`` of the locked contact point: with the chain it is the trade's anti-squat, with the brake its
    anti-rise. At 1 the spring keeps its length; the bike may still pitch, about its front contact. Derived for this
    project; agrees with the squat ratio of V. Cossalter, Motorcycle Dynamics, 2006 (from memory), of which it is the
    reciprocal.
    """
    scale = np.asarray(wheelbase, dtype=np.float64) / np.asarray(height, dtype=np.float64)
    slope = contact.slope
    return np.asarray(slope * (scale[:, None] if slope.ndim == 2 and scale.ndim == 1 else scale))


def reactions(
    motion: Motion,
    ground: Attitude,
    rear_radius: ArrayLike,
    centre_of_mass: Pair,
    *,
    run: TautRun | None = None,
    brake_body: str | None = None,
) -> Reactions:
    """Drive, brake and coasting reaction at each position and in each gear.

    Parameters
    ----------
    motion : Motion
        From `bikewright.physics.linkage.motion.solve_motion`.
    ground : Attitude
        From `ground_through_travel`, or that of one state. [rad, m]
    rear_radius : array_like, shape () or (n,)
        Loaded radius of the rear tyre. [m]
    centre_of_mass : pair
        Of rider and bike, (x, z) in frame axes, floats or arrays (n,). [m]
    run : TautRun, optional
        The chain; without it there is no drive reaction.
    brake_body : str, optional
        The body that carries the rear caliper; without it there is no brake reaction.

    Returns
    -------
    Reactions

    Raises
    ------
    OutsideValidity
        If the axle does not rise from the ground, the centre of mass is not above it, or the caliper is on a body that
        turns freely.
    """
    height = _positive_height(ground.height(centre_of_mass), len(motion.stroke))
    free = locked_contact(motion, ground, rear_radius, 0.0)
    drive = brake = None
    if run is not None:
        driven = free.turning(rear_radius, chain_held_rate(run))
        drive = sealed(reaction(driven, ground.wheelbase, height))
    if brake_body is not None:
        braked = free.turning(rear_radius, body_motion(motion, brake_body).rate)
        brake = sealed(reaction(braked, ground.wheelbase, height))
    coasting = sealed(np.arctan2(-free.along, free.normal))
    return Reactions(ground=ground, height=frozen(height), drive=drive, brake=brake, coasting=coasting)


def _positive_height(height: ArrayLike, n: int) -> Floats:
    """A height for each position, above the ground."""
    heights = np.asarray(height, dtype=np.float64)
    if heights.shape != (n,):
        heights = np.full(n, heights)
    if not (heights > 0.0).all():
        raise OutsideValidity(
            f"a reaction refers to a height above the ground; found {np.min(heights) / MM:.1f} mm. Give one above 0."
        )
    return heights


def drive_reaction_by_lines(
    motion: Motion, run: TautRun, ground: Attitude, rear_radius: ArrayLike, height: ArrayLike
) -> Floats:
    r"""The drive reaction by the classic drawing, as a check where the drawing holds.

    Parameters
    ----------
    motion : Motion
        From `bikewright.physics.linkage.motion.solve_motion`.
    run : TautRun
        From `bikewright.physics.chain.taut_run`.
    ground : Attitude
        Ground line. [rad, m]
    rear_radius : array_like, shape () or (n,)
        Loaded radius of the rear tyre. [m]
    height : array_like, shape () or (n,)
        Centre of mass above the ground. [m]

    Returns
    -------
    ndarray, shape (n, m)
        1 is 100 %. [-]

    Raises
    ------
    OutsideValidity
        If an idler moves in the frame, or the body on the axle has no instant centre at some position.

    Notes
    -----
    Chain line and the line from the axle through the instant centre meet in Q; the ground's force points from the
    contact through Q. With d from the axle to the centre and :math:`w = (P - A)\times u = -r` for a chain that leaves
    the cog at P, :math:`Q - A = d\,w/(d\times u)`; multiplied out so that parallel lines need no case of their own.
    """
    if not run.idlers_on_frame:
        raise OutsideValidity(
            "the drawing through the instant centre holds only where the chain goes from the cog to the frame; here an "
            "idler moves with the linkage. Use the reaction from virtual work."
        )
    arm_x, arm_z = (part[:, None] for part in _arm_to_centre(motion, motion.layout.axle_bodies[0]))
    ux, uz = run.direction[:, :, 0, 0], run.direction[:, :, 0, 1]
    cross, moment = arm_x * uz - arm_z * ux, -run.cog_radius
    sine, cosine, radius = (_columns(part, len(motion.stroke)) for part in (ground.sine, ground.cosine, rear_radius))
    ahead, up = rotate((moment * arm_x, moment * arm_z), sine, cosine)
    above = radius * cross + up
    return np.asarray(above / ahead * _columns(ground.wheelbase / np.asarray(height, float), len(motion.stroke)))


def brake_reaction_by_lines(
    motion: Motion, brake_body: str, ground: Attitude, rear_radius: ArrayLike, height: ArrayLike
) -> Floats:
    """The brake reaction by the classic drawing: the line from the contact through the caliper body's instant centre.

    Parameters
    ----------
    motion : Motion
        From `bikewright.physics.linkage.motion.solve_motion`.
    brake_body : str
        The body that carries the caliper; it must be on the axle.
    ground : Attitude
        Ground line. [rad, m]
    rear_radius : array_like, shape () or (n,)
        Loaded radius of the rear tyre. [m]
    height : array_like, shape () or (n,)
        Centre of mass above the ground. [m]

    Returns
    -------
    ndarray, shape (n,)
        1 is 100 %. [-]

    Raises
    ------
    OutsideValidity
        If the body is not on the axle, or has no instant centre at some position.
    """
    if brake_body not in motion.layout.axle_bodies:
        raise OutsideValidity(
            f"the drawing through the instant centre holds only for a caliper on a body that is on the axle "
            f"({', '.join(motion.layout.axle_bodies)}); '{brake_body}' is not. Use the reaction from virtual work."
        )
    ahead, up = rotate(_arm_to_centre(motion, brake_body), ground.sine, ground.cosine)
    above = np.asarray(rear_radius, float) + up
    return np.asarray(above / ahead * (ground.wheelbase / np.asarray(height, float)))


def _arm_to_centre(motion: Motion, body: str) -> tuple[Floats, Floats]:
    """From the axle to the instant centre of a body, in frame axes."""
    centre = instant_centre(motion, body)
    for at, reason in enumerate(centre.reason):
        if reason:
            raise OutsideValidity(
                f"'{body}' has no instant centre at {motion.wheel_travel[at] / MM:.1f} mm of wheel travel: {reason}. "
                f"Use the reaction from virtual work, which needs none."
            )
    arm = centre.place - motion.axle
    return arm[:, 0], arm[:, 1]


def _columns(values: ArrayLike, n: int) -> Floats:
    """One value for each position, as a column beside gears."""
    return np.broadcast_to(np.asarray(values, dtype=np.float64), (n,))[:, None]

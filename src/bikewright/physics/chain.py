"""The taut run of the chain: cog, idlers, chainring.

Question answered   Where does the pulling run lie, how much longer must it become as the shock closes, and how fast?
Method              Straight tangents between pitch circles, joined by arcs. The growth of a taut run is the sum over
                    its straight pieces of how fast their ends part along them; the arcs add nothing to that rate.
Axes and signs      (x, z) in frame axes, x forward, z up; angles anticlockwise. The chain runs forward over the top of
                    the cog, over or under each idler, over the top of the ring. Rates are with respect to shock
                    compression. Positions are the first axis of an array, gears the second, pieces of chain the third.
Left out            The slack run, chain line across the bike, the polygon of the links, stretch, friction of idlers.
Theory              docs/theory/chain.md
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.errors import LinkageError, OutsideValidity
from bikewright.physics.kernels.compile import compiled
from bikewright.physics.linkage.curve import frozen, sealed
from bikewright.physics.linkage.motion import Motion
from bikewright.physics.plane import Point
from bikewright.units import DEG, MM

Floats = NDArray[np.float64]

BARE_TOUCH = 1e-9
"""Wrap [rad] below zero that is rounding: the chain just touches the idler."""


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Idler:
    """A free-running chain idler."""

    name: str
    """Said in errors."""
    centre: ArrayLike
    """Its centre (n, 2), or (2,) where it is on the frame. [m]"""
    velocity: ArrayLike = (0.0, 0.0)
    """Derivative of the centre with respect to shock compression (n, 2) or (2,). [-]"""
    radius: float
    """Pitch radius. [m]"""
    over: bool = True
    """True where the chain passes over its top, False where it passes under it."""


@dataclass(frozen=True, eq=False)
class TautRun:
    """The pulling run in each gear. Arrays are read-only."""

    cog_radius: Floats
    """Pitch radius of each gear's cog (m,). [m]"""
    ring_radius: Floats
    """Pitch radius of each gear's chainring (m,). [m]"""
    centres: Floats
    """Centres of cog, idlers and ring, in the order of the chain (n, k + 1, 2). [m]"""
    signed_radii: Floats
    """Pitch radii in that order, negative where the chain passes under (m, k + 1). [m]"""
    direction: Floats
    """Unit vector forward along each straight piece (n, m, k, 2). [-]"""
    straight: Floats
    """Length of each straight piece (n, m, k). [m]"""
    wrap: Floats
    """Angle over which the chain lies on each idler (n, m, k - 1). [rad]"""
    growth: Floats
    """Length of the run above that at the first position, cog and ring not turning (n, m). [m]"""
    rate: Floats
    """Exact derivative of `growth` with respect to shock compression (n, m). [-]"""
    idlers_on_frame: bool
    """Whether no idler moves in the frame; true where there is none."""

    @cached_property
    def leaves(self) -> Floats:
        """Where each straight piece leaves the wheel behind it (n, m, k, 2). [m]"""
        return sealed(self.centres[:, None, :-1] + self.signed_radii[:, :-1, None] * self._left())

    @cached_property
    def meets(self) -> Floats:
        """Where each straight piece meets the wheel ahead of it (n, m, k, 2). [m]"""
        return sealed(self.centres[:, None, 1:] + self.signed_radii[:, 1:, None] * self._left())

    def _left(self) -> Floats:
        """Unit vector to the left of each straight piece: towards the chain from a wheel that it passes over."""
        return np.stack([-self.direction[..., 1], self.direction[..., 0]], axis=-1)


def idler_on_pin(motion: Motion, pin: str, radius: float, *, over: bool = True, name: str = "") -> Idler:
    """An idler that runs on a pin of the linkage, be it on the frame or on a moving body.

    Parameters
    ----------
    motion : Motion
        From `bikewright.physics.linkage.motion.solve_motion`.
    pin : str
        The pin at its centre.
    radius : float
        Pitch radius. [m]
    over : bool
        Whether the chain passes over its top.
    name : str
        Said in errors; the pin's name where empty.

    Returns
    -------
    Idler
        With the pin's path and velocity.

    Raises
    ------
    LinkageError
        If there is no such pin.
    """
    index = motion.layout.pin(pin)
    return Idler(
        name=name or pin,
        centre=motion.points[:, index],
        velocity=motion.velocity[:, index],
        radius=radius,
        over=over,
    )


def taut_run(
    motion: Motion,
    cog_radius: ArrayLike,
    ring_radius: ArrayLike,
    *,
    idlers: tuple[Idler, ...] = (),
    ring_centre: Point = (0.0, 0.0),
) -> TautRun:
    r"""The pulling run of the chain at each position, in many gears at once.

    Parameters
    ----------
    motion : Motion
        From `bikewright.physics.linkage.motion.solve_motion`; the cog is on its axle.
    cog_radius, ring_radius : array_like, shape () or (m,)
        Pitch radii of each gear; see `bikewright.physics.gearing.pitch_radius`. [m]
    idlers : tuple of Idler
        In the order in which the chain meets them from the cog to the ring.
    ring_centre : tuple of float
        Bottom-bracket centre, frame axes. [m]

    Returns
    -------
    TautRun

    Raises
    ------
    OutsideValidity
        If two neighbouring pitch circles overlap, or the chain misses an idler; says which one, and at which travel.

    Notes
    -----
    For one straight piece from a circle of signed radius q to one of signed radius p, with D the line of centres and
    :math:`e = q - p`: :math:`\ell^2 = D^2 - e^2`, and the piece lies :math:`\arcsin(e/|D|)` clockwise of D. Summed
    with the arcs that it shares, the run is :math:`g = \sum(\ell - e\,\psi) + const`, with :math:`\psi` the direction
    of the piece, and :math:`\dot g = \sum u\cdot\dot D` with u its unit vector. A wrap is taken as less than half a
    turn either way. Derived for this project.
    """
    cogs, rings = np.atleast_1d(cog_radius).astype(float), np.atleast_1d(ring_radius).astype(float)
    if cogs.shape != rings.shape:
        cogs, rings = (np.full(rings.shape, cogs), rings) if len(cogs) == 1 else (cogs, np.full(cogs.shape, rings))
    cogs, rings = frozen(cogs), frozen(rings)
    centres, velocity, on_frame = _centres(motion, idlers, ring_centre)
    sides = np.array([1.0, *(1.0 if idler.over else -1.0 for idler in idlers), 1.0])
    radii = np.empty((len(cogs), len(idlers) + 2))
    radii[:, 0], radii[:, -1] = cogs, rings
    for at, idler in enumerate(idlers, start=1):
        radii[:, at] = idler.radius
    found = _solved(centres, velocity, sides, radii)
    if found is None:
        # Uncompiled, or refused: whole arrays at a time, which then say what is wrong.
        found = _in_arrays(motion, idlers, centres, velocity, sides, radii)
    direction, straight, wrap, growth, rate = found
    return TautRun(
        cog_radius=cogs,
        ring_radius=rings,
        centres=sealed(centres),
        signed_radii=sealed(sides * radii),
        direction=sealed(direction),
        straight=sealed(straight),
        wrap=sealed(wrap),
        growth=sealed(growth),
        rate=sealed(rate),
        idlers_on_frame=on_frame,
    )


def _solved(
    centres: Floats, velocity: Floats, sides: Floats, radii: Floats
) -> tuple[Floats, Floats, Floats, Floats, Floats] | None:
    """Direction, straight, wrap, growth and rate from the kernel; None while it is not there, or where it refuses."""
    kernel = compiled("chain.taut")
    if kernel is None:
        return None
    n, m, pieces = len(centres), len(radii), len(sides) - 1
    direction, straight, wrap = np.empty((n, m, pieces, 2)), np.empty((n, m, pieces)), np.empty((n, m, pieces - 1))
    growth, rate = np.empty((n, m)), np.empty((n, m))
    done = kernel(centres, velocity, sides, radii, BARE_TOUCH, direction, straight, wrap, growth, rate)
    return (direction, straight, wrap, growth, rate) if done else None


def _in_arrays(
    motion: Motion, idlers: tuple[Idler, ...], centres: Floats, velocity: Floats, sides: Floats, radii: Floats
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Direction, straight, wrap, growth and rate; refuses circles that overlap and a chain that misses an idler."""
    apart = centres[:, 1:] - centres[:, :-1]
    square = apart[..., 0] * apart[..., 0] + apart[..., 1] * apart[..., 1]
    touching = radii[:, :-1] + radii[:, 1:]
    if not ((radii > 0.0).all() and (square[:, None] > touching * touching).all()):
        _refuse_overlap(motion, [idler.name for idler in idlers], radii, np.sqrt(square))
    signed = sides * radii
    step = signed[:, :-1] - signed[:, 1:]
    straight = np.sqrt(square[:, None] - step * step)
    dx, dz, over_square = apart[:, None, :, 0], apart[:, None, :, 1], 1.0 / square[:, None]
    ux, uz = (straight * dx + step * dz) * over_square, (straight * dz - step * dx) * over_square
    wrap = np.empty((*straight.shape[:2], 0))
    if idlers:
        wrap = sides[1:-1] * _turn(ux[..., 1:], uz[..., 1:], ux[..., :-1], uz[..., :-1])
    if idlers and np.any(wrap < -BARE_TOUCH):
        _refuse_miss(motion, idlers, radii[:, 0], wrap)
    pieces = straight - straight[:1] - step * _turn(ux[:1], uz[:1], ux, uz)
    direction = np.empty((*ux.shape, 2))
    direction[..., 0], direction[..., 1] = ux, uz
    parting = (velocity[:, 1:] - velocity[:, :-1])[:, None]
    rate = _along_run(ux * parting[..., 0] + uz * parting[..., 1])
    return direction, straight, wrap, _along_run(pieces), rate


def _along_run(pieces: Floats) -> Floats:
    """Sum over the few pieces of a run, whole arrays at a time: a sum along so short an axis is slow."""
    total = pieces[..., 0]
    for piece in range(1, pieces.shape[-1]):
        total = total + pieces[..., piece]
    return total


def _centres(motion: Motion, idlers: tuple[Idler, ...], ring_centre: Point) -> tuple[Floats, Floats, bool]:
    """Places and velocities of cog, idlers and ring (n, k + 1, 2), and whether all idlers are on the frame."""
    shape = motion.axle.shape
    places: list[ArrayLike] = [motion.axle, *(idler.centre for idler in idlers), ring_centre]
    speeds: list[ArrayLike] = [motion.axle_velocity, *(idler.velocity for idler in idlers), (0.0, 0.0)]
    for idler in idlers:
        for what, array in (("centre", idler.centre), ("velocity", idler.velocity)):
            if np.shape(array) not in ((2,), shape):
                raise LinkageError(
                    f"the {what} of idler '{idler.name}' has the shape {np.shape(array)}; it must be (2,) or {shape}, "
                    f"one row for each position of the linkage."
                )
    still = not any(np.any(np.asarray(idler.velocity)) for idler in idlers)
    at, speed = (np.empty((shape[0], len(places), 2)) for _ in range(2))
    for i, (place, rate) in enumerate(zip(places, speeds, strict=True)):
        at[:, i], speed[:, i] = place, rate
    return at, speed, still


def _turn(from_x: Floats, from_z: Floats, to_x: Floats, to_z: Floats) -> Floats:
    """Anticlockwise angle from one direction to another, -pi to pi."""
    return np.asarray(np.arctan2(from_x * to_z - from_z * to_x, from_x * to_x + from_z * to_z))


def _refuse_overlap(motion: Motion, idlers: list[str], radii: Floats, apart: Floats) -> None:
    """Say which two pitch circles overlap, and where."""
    if not np.all(radii > 0.0):
        raise OutsideValidity(f"a pitch radius must be above 0; found {np.min(radii) / MM:.2f} mm.")
    room = apart[:, None] - (radii[:, :-1] + radii[:, 1:])
    at, gear, piece = (int(i) for i in np.unravel_index(np.argmin(room), room.shape))
    names = ["the cog", *(f"the idler '{name}'" for name in idlers), "the chainring"]
    raise OutsideValidity(
        f"{names[piece]} and {names[piece + 1]} overlap at {motion.wheel_travel[at] / MM:.1f} mm of wheel travel: "
        f"their centres are {apart[at, piece] / MM:.1f} mm apart, their pitch radii are "
        f"{radii[gear, piece] / MM:.1f} mm and {radii[gear, piece + 1] / MM:.1f} mm. "
        f"Move them apart, or make one smaller."
    )


def _refuse_miss(motion: Motion, idlers: tuple[Idler, ...], cogs: Floats, wrap: Floats) -> None:
    """Say which idler the chain does not touch, and from where on."""
    worst, gear, which = (int(i) for i in np.unravel_index(np.argmin(wrap), wrap.shape))
    first = int(np.argmax(wrap[:, gear, which] < -BARE_TOUCH))
    idler = idlers[which]
    side, way = ("over", "up") if idler.over else ("under", "down")
    travel = motion.wheel_travel / MM
    raise OutsideValidity(
        f"the chain misses the idler '{idler.name}' from {travel[first]:.1f} mm of wheel travel on, on the cog of "
        f"{cogs[gear] / MM:.1f} mm pitch radius: to pass {side} it, it would have to wrap it by "
        f"{wrap[worst, gear, which] / DEG:.1f} degrees at {travel[worst]:.1f} mm. Move the idler {way} into the chain, "
        f"let the chain pass on its other side, or leave it out."
    )

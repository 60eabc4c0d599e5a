"""How each body turns, and about which point.

Question answered   How far has a body turned from the drawing, how fast does it turn, and where is its instant centre?
Method              The line between the two pins of the body that are drawn farthest apart.
Axes and signs      Anticlockwise positive in the drawn view, x to the right and z up; rates per shock compression.
Left out            Bodies on one pin, which turn as they please.
Theory              docs/theory/linkage.md
"""

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from bikewright.errors import LinkageError, OutsideValidity
from bikewright.physics.kernels.linkage_centre import FARTHEST
from bikewright.physics.linkage.curve import sealed
from bikewright.physics.linkage.layout import FRAME, SHOCK, Layout
from bikewright.physics.linkage.motion import Motion

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class BodyMotion:
    """How one body turns."""

    body: str
    """The body."""
    rotation: Floats
    """Angle turned from the drawn pose, continuous (n,). [rad]"""
    rate: Floats
    """Derivative of `rotation` with respect to shock compression (n,). [rad/m]"""
    acceleration: Floats
    """Second derivative of `rotation` with respect to shock compression (n,). [rad/m^2]"""


@dataclass(frozen=True, eq=False, slots=True)
class InstantCentre:
    """The point of a body that has no velocity at each position."""

    body: str
    """The body."""
    place: Floats
    """(n, 2), NaN where there is none; `reason` says why. [m]"""
    reason: tuple[str, ...]
    """One text for each position, empty where there is a centre."""


def _line(layout: Layout, marks: Floats, body: str) -> tuple[int, int]:
    """The two pins of a body drawn farthest apart."""
    if body not in layout.pins_of:
        raise LinkageError(f"no body is named '{body}'; the bodies are {', '.join(layout.bodies)}.")
    held = layout.pins_of[body]
    if len(held) < 2:
        raise OutsideValidity(
            f"'{body}' hangs on the one pin '{layout.pins[held[0]].name}' and turns freely; ask for one with two pins."
        )
    if len(held) == 2:
        return held[0], held[1]
    drawn = {pin: marks[layout.mark(layout.pins[pin].name, body)].tolist() for pin in held}
    return max(combinations(held, 2), key=lambda pair: math.dist(drawn[pair[0]], drawn[pair[1]]))


def rigid_ends(layout: Layout, marks: Floats, body: str) -> tuple[int, int]:
    """The two pins of a moving rigid body that are drawn farthest apart.

    Parameters
    ----------
    layout : Layout
        Bodies and pins.
    marks : ndarray, shape (n_marks, 2)
        Drawn places. [m]
    body : str
        A rigid body with two or more pins.

    Returns
    -------
    tuple of int

    Raises
    ------
    LinkageError
        If there is no such body.
    OutsideValidity
        If the body hangs on one pin, is the shock, which is not rigid, or the frame, which does not move.
    """
    if body == SHOCK:
        raise OutsideValidity("the shock changes its length, so it has no instant centre.")
    if body == FRAME:
        raise OutsideValidity("the frame stands still, so it has no instant centre.")
    return _line(layout, marks, body)


def _dot(one: Floats, two: Floats) -> Floats:
    """Scalar product at each position."""
    return one[:, 0] * two[:, 0] + one[:, 1] * two[:, 1]


def _turning(line: Floats, rate: Floats) -> Floats:
    """Rate at which a line turns, from the line and its derivative."""
    return (line[:, 0] * rate[:, 1] - line[:, 1] * rate[:, 0]) / _dot(line, line)


def body_motion(motion: Motion, body: str) -> BodyMotion:
    r"""Rotation of a body from its drawn pose.

    Parameters
    ----------
    motion : Motion
        From `solve_motion`.
    body : str
        Any body with two or more pins, or the frame.

    Returns
    -------
    BodyMotion

    Raises
    ------
    OutsideValidity
        If the body hangs on one pin.

    Notes
    -----
    With d the line between two of its pins, :math:`\dot\theta = (d\times\dot d)/|d|^2`. The shock's line changes its
    length; the same expressions hold, with the second derivative
    :math:`(d\times\ddot d - 2\dot\theta\,d\cdot\dot d)/|d|^2`.
    """
    if body not in motion.turns:
        motion.turns[body] = _turned(motion, body)
    return motion.turns[body]


def _turned(motion: Motion, body: str) -> BodyMotion:
    if body == FRAME:
        still = sealed(np.zeros(len(motion.shock_length)))
        return BodyMotion(body, still, still, still)
    p, q = _line(motion.layout, motion.marks, body)
    names = [motion.layout.pins[i].name for i in (p, q)]
    drawn = motion.marks[motion.layout.mark(names[1], body)] - motion.marks[motion.layout.mark(names[0], body)]
    (x, z), (vx, vz), (ax, az) = (
        (level[:, q] - level[:, p]).T.copy() for level in (motion.points, motion.velocity, motion.acceleration)
    )
    square = x * x + z * z
    drawn_x, drawn_z = drawn.tolist()
    angle = np.arctan2(drawn_x * z - drawn_z * x, x * drawn_x + z * drawn_z)
    if np.abs(angle[1:] - angle[:-1]).max() > math.pi:
        angle = np.unwrap(angle)
    turn = (x * vz - z * vx) / square
    return BodyMotion(
        body=body,
        rotation=sealed(angle),
        rate=sealed(turn),
        acceleration=sealed((x * az - z * ax - 2.0 * turn * (x * vx + z * vz)) / square),
    )


def instant_centre(motion: Motion, body: str) -> InstantCentre:
    r"""Instant centre of a rigid body relative to the frame.

    Parameters
    ----------
    motion : Motion
        From `solve_motion`.
    body : str
        A rigid body with two or more pins, or the frame.

    Returns
    -------
    InstantCentre
        With a reason wherever the body has none: it stands still, or moves without turning.

    Raises
    ------
    OutsideValidity
        If the body hangs on one pin or is the shock, which is not rigid.

    Notes
    -----
    From :math:`\dot P = \dot\theta\,k\times(P - I)`: :math:`I_x = P_x - \dot P_z/\dot\theta`,
    :math:`I_z = P_z + \dot P_x/\dot\theta`. P is the pin that moves least, which keeps the most digits.
    """
    n = len(motion.shock_length)
    if body == FRAME:
        return InstantCentre(body, sealed(np.full((n, 2), np.nan)), ("it stands still",) * n)
    p, q = rigid_ends(motion.layout, motion.marks, body)
    first, second = motion.points[:, p], motion.points[:, q]
    first_rate, second_rate = motion.velocity[:, p], motion.velocity[:, q]
    line = second - first
    turn = _turning(line, second_rate - first_rate)
    first_square, second_square = _dot(first_rate, first_rate), _dot(second_rate, second_rate)
    slower = (first_square <= second_square)[:, None]
    at, speed = np.where(slower, first, second), np.where(slower, first_rate, second_rate)
    fastest = np.maximum(first_square, second_square) ** 0.5
    still = fastest == 0.0
    straight = ~still & (np.abs(turn) * math.hypot(*line[0].tolist()) * FARTHEST <= fastest)
    has = ~(still | straight)
    place = np.full((n, 2), np.nan)
    np.divide(-speed[:, 1], turn, out=place[:, 0], where=has)
    np.divide(speed[:, 0], turn, out=place[:, 1], where=has)
    place += at
    if has.all():
        return InstantCentre(body, sealed(place), ("",) * n)
    texts = ("", "it stands still", "it moves without turning")
    return InstantCentre(
        body, sealed(place), tuple(texts[int(a) + 2 * int(b)] for a, b in zip(still, straight, strict=True))
    )

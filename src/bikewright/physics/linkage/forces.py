"""What the pins and the shock carry.

Question answered   Which force does each pin put on each body when a force acts on the axle?
Method              Static equilibrium of every body and of every pin, one linear system for each position. Velocities
                    are not used, so virtual work checks the result.
Axes and signs      (x, z) in frame axes; moments anticlockwise; a force listed for a pin and a body acts on the body.
Left out            Friction, inertia, forces out of the plane.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.errors import LinkageError
from bikewright.physics.linkage.curve import frozen
from bikewright.physics.linkage.layout import FRAME, SHOCK, WHEEL, Layout
from bikewright.physics.linkage.motion import Motion

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class Load:
    """A force and a moment on a body, besides that on the axle: a chain on an idler, a brake on its carrier."""

    pin: str
    """Pin at which the force acts."""
    body: str
    """Body that it acts on."""
    force: ArrayLike = (0.0, 0.0)
    """Force (2,) or (n, 2). [N]"""
    moment: ArrayLike = 0.0
    """Moment, anticlockwise, () or (n,). [N m]"""


@dataclass(frozen=True, eq=False)
class PinForces:
    """Static forces at every position."""

    layout: Layout
    """Bodies and pins; rows of the second axis of `on_body` follow `layout.marks`."""
    on_body: Floats
    """Force of each pin on each body (n, n_marks, 2). [N]"""
    shock: Floats
    """Force of the shock, positive in compression (n,). [N]"""

    @cached_property
    def size(self) -> Floats:
        """Magnitude of each force (n, n_marks). [N]"""
        return frozen(np.hypot(self.on_body[..., 0], self.on_body[..., 1]))

    def at(self, pin: str, body: str) -> Floats:
        """Force of a pin on a body (n, 2). [N]"""
        return self.on_body[:, self.layout.mark(pin, body)]


def pin_forces(motion: Motion, axle_force: ArrayLike, loads: tuple[Load, ...] = ()) -> PinForces:
    """Forces at all pins that hold the linkage still against a force on the axle.

    Parameters
    ----------
    motion : Motion
        From `solve_motion`.
    axle_force : array_like, shape (2,) or (n, 2)
        Force of the wheel on the axle; (0, 1) gives forces per unit of vertical wheel force. [N]
    loads : tuple of Load
        Further forces and moments on bodies.

    Returns
    -------
    PinForces

    Raises
    ------
    LinkageError
        If a moment acts on a body that hangs on one pin, which cannot take it.

    Notes
    -----
    Each body but the frame: sum of forces zero, sum of moments zero. Each pin: the forces that it puts on its bodies
    sum to the force that it is given, which takes one of them out of the unknowns. A linkage of one freedom with the
    shock as a body makes the rest a square system.
    """
    layout = motion.layout
    held = {body: layout.pins_of[body] for body in layout.bodies if body != FRAME and len(layout.pins_of[body]) > 1}
    row_of_body = {body: 3 * i for i, body in enumerate(held)}
    n, size = len(motion.shock_length), 3 * len(held)
    given = np.zeros((n, len(layout.pins), 2))
    given[:, layout.axle] = np.asarray(axle_force, dtype=np.float64)
    right = np.zeros((n, size))
    for load in loads:
        _add_load(motion, load, given, right, row_of_body)
    forces = np.zeros((n, len(layout.marks), 2))
    matrix = np.zeros((n, size, size))
    rest_of: list[tuple[int, list[int]]] = []
    column = 0
    for pin, place in enumerate(layout.pins):
        # The pin's equation gives the force on its last body from those on the others, which are the unknowns.
        *others, last = sorted(
            (body for body in place.joins if body == FRAME or body in held), key=lambda body: body == FRAME
        )
        arms = {
            body: motion.points[:, pin] - motion.points[:, held[body][0]] for body in (*others, last) if body != FRAME
        }
        for body in others:
            _add_body(matrix, row_of_body[body], column, arms[body], 1.0)
            if last != FRAME:
                _add_body(matrix, row_of_body[last], column, arms[last], -1.0)
            column += 2
        if last != FRAME:
            _add_force(right, row_of_body[last], arms[last], given[:, pin])
        rest_of.append((layout.mark(place.name, last), [layout.mark(place.name, body) for body in others]))
    unknown = [mark for _, marks in rest_of for mark in marks]
    forces[:, unknown] = np.linalg.solve(matrix, right[..., None])[..., 0].reshape(n, len(unknown), 2)
    for pin, (mark, marks) in enumerate(rest_of):
        forces[:, mark] = given[:, pin] - forces[:, marks].sum(axis=1)
    wheel = layout.mark(layout.pins[layout.axle].name, WHEEL)
    forces[:, wheel] = -np.broadcast_to(np.asarray(axle_force, dtype=np.float64), (n, 2))
    a, b = layout.pins_of[SHOCK]
    line = motion.points[:, b] - motion.points[:, a]
    line = line / np.hypot(line[:, 0], line[:, 1])[:, None]
    push = np.sum(forces[:, layout.mark(layout.pins[a].name, SHOCK)] * line, axis=1)
    return PinForces(layout=layout, on_body=frozen(forces), shock=frozen(push))


def _add_body(matrix: Floats, row: int, column: int, arm: Floats, sign: float) -> None:
    """Force and moment equations of one body for a force at one of its pins; moments about its first pin."""
    matrix[:, row, column] += sign
    matrix[:, row + 1, column + 1] += sign
    matrix[:, row + 2, column] -= sign * arm[:, 1]
    matrix[:, row + 2, column + 1] += sign * arm[:, 0]


def _add_force(right: Floats, row: int, arm: Floats, force: Floats) -> None:
    """A known force on a body at the end of an arm."""
    right[:, row : row + 2] -= force
    right[:, row + 2] -= arm[:, 0] * force[:, 1] - arm[:, 1] * force[:, 0]


def _add_load(motion: Motion, load: Load, given: Floats, right: Floats, row_of_body: dict[str, int]) -> None:
    """Put a further load on the body itself, or through the pin where the body hangs on it or is the frame."""
    layout = motion.layout
    layout.mark(load.pin, load.body)
    pin = layout.pin(load.pin)
    force, moment = np.asarray(load.force, dtype=np.float64), np.asarray(load.moment, dtype=np.float64)
    if load.body in row_of_body:
        row = row_of_body[load.body]
        arm = motion.points[:, pin] - motion.points[:, layout.pins_of[load.body][0]]
        _add_force(right, row, arm, np.broadcast_to(force, arm.shape))
        right[:, row + 2] -= moment
        return
    if load.body == FRAME:
        return
    if np.any(moment != 0.0):
        raise LinkageError(
            f"a moment of {np.max(np.abs(moment)):.3g} N m acts on '{load.body}', which turns freely on '{load.pin}'; "
            f"put it on the body that holds it."
        )
    given[:, pin] += force

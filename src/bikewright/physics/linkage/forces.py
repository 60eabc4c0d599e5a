"""What the pins and the shock carry.

Question answered   Which force does each pin put on each body when a force acts on the axle?
Method              Static equilibrium of every body and of every pin, one linear system for each position. Velocities
                    are not used, so virtual work checks the result.
Axes and signs      (x, z) in frame axes; moments anticlockwise; a force listed for a pin and a body acts on the body.
Left out            Friction, inertia, forces out of the plane.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.errors import LinkageError
from bikewright.physics.kernels.compile import compiled
from bikewright.physics.linkage.curve import sealed
from bikewright.physics.linkage.layout import FRAME, SHOCK, WHEEL, Layout
from bikewright.physics.linkage.motion import Motion

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


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
    shock_line: Floats
    """From the first to the second eye of the shock (n, 2). [m]"""

    @cached_property
    def shock(self) -> Floats:
        """Force of the shock, positive in compression (n,). [N]"""
        line = self.shock_line / np.hypot(self.shock_line[:, 0], self.shock_line[:, 1])[:, None]
        first = self.layout.pins[self.layout.pins_of[SHOCK][0]].name
        return sealed(np.sum(self.at(first, SHOCK) * line, axis=1))

    @cached_property
    def size(self) -> Floats:
        """Magnitude of each force (n, n_marks). [N]"""
        return sealed(np.hypot(self.on_body[..., 0], self.on_body[..., 1]))

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
    system = _system(layout)
    n = len(motion.shock_length)
    given = np.zeros((n, len(layout.pins), 2))
    given[:, layout.axle] = np.asarray(axle_force, dtype=np.float64)
    right = np.zeros((n, system.size))
    for load in loads:
        _add_load(motion, load, given, right, system.row_of_body)
    forces = _solved(motion, system, given, right)
    wheel = layout.mark(layout.pins[layout.axle].name, WHEEL)
    forces[:, wheel] = -np.broadcast_to(np.asarray(axle_force, dtype=np.float64), (n, 2))
    a, b = layout.pins_of[SHOCK]
    line = motion.points[:, b] - motion.points[:, a]
    return PinForces(layout=layout, on_body=sealed(forces), shock_line=sealed(line))


def _solved(motion: Motion, system: "_System", given: Floats, right: Floats) -> Floats:
    """Force on each mark (n, n_marks, 2), for what each pin is given and what acts on bodies besides."""
    forces = np.empty((len(right), len(system.of_mark), 2))
    kernel = compiled("linkage_statics.forces")
    if kernel is not None and kernel(motion.points.copy(), given, right.copy(), *system.tables, forces):
        return forces
    # Uncompiled, or next to a dead point: a library's elimination of all positions at once.
    pin, about = system.of_mark.T
    row, column, mark = system.moments.T
    arms = motion.points[:, pin] - motion.points[:, about]
    matrix = np.zeros((len(right), system.size, system.size))
    matrix[:] = system.sums
    matrix[:, row, column] -= system.sign * arms[:, mark, 1]
    matrix[:, row, column + 1] += system.sign * arms[:, mark, 0]
    for at, (held, first) in enumerate(system.last.tolist()):
        if first >= 0:
            _add_force(right, first, arms[:, held], given[:, at])
    forces[:] = 0.0
    forces[:, system.unknown] = np.linalg.solve(matrix, right[..., None])[..., 0].reshape(len(right), -1, 2)
    for at, (held, _first) in enumerate(system.last.tolist()):
        forces[:, held] += given[:, at]
    for held, other in system.taken.tolist():
        forces[:, held] -= forces[:, other]
    return forces


@dataclass(frozen=True, eq=False, slots=True, kw_only=True)
class _System:
    """Where what stands in the equations of a layout; bodies that hang on one pin take no part.

    The unknowns are the forces on all bodies of a pin but its last one: those sum with the last to what the pin is
    given. Each body that is held has three rows: both forces, and the moment about its first pin.
    """

    size: int
    row_of_body: dict[str, int]
    of_mark: Ints
    """Pin of each mark, and the pin about which the moment of its force is taken (n_marks, 2)."""
    sums: Floats
    """The equations of the forces, which no position changes (size, size). [-]"""
    moments: Ints
    """Entries of the equations of the moments (k, 3): their row, the column of the x of their unknown, the mark whose
    arm they have, ..."""
    sign: Floats
    """... and 1, or -1 for the share of the last body (k,). [-]"""
    unknown: Ints
    """Marks of the unknown forces, in the order of their columns."""
    last: Ints
    """Of each pin the mark on its last body, and the first row of that body or -1 for the frame (n_pins, 2)."""
    taken: Ints
    """Mark on the last body of a pin, and a mark on another one (j, 2)."""

    @property
    def tables(self) -> tuple[Ints | Floats, ...]:
        """All of it in the order of the kernel."""
        return (self.of_mark, self.sums, self.moments, self.sign, self.unknown, self.last, self.taken)


@lru_cache(maxsize=256)
def _system(layout: Layout) -> _System:
    held = [body for body in layout.bodies if body != FRAME and len(layout.pins_of[body]) > 1]
    row_of_body = {body: 3 * i for i, body in enumerate(held)}
    size = 3 * len(held)
    sums, entries = np.zeros((size, size)), []
    unknown: list[int] = []
    last_of, taken_from = [], []
    for place in layout.pins:
        bodies = [body for body in place.joins if body in row_of_body]
        bodies += [FRAME] if FRAME in place.joins else []
        last = layout.mark(place.name, bodies[-1])
        last_of.append((last, row_of_body.get(bodies[-1], -1)))
        for body in bodies[:-1]:
            mark, column = layout.mark(place.name, body), 2 * len(unknown)
            unknown.append(mark)
            taken_from.append((last, mark))
            for at, row, sign in ((mark, row_of_body[body], 1.0), (last, last_of[-1][1], -1.0)):
                if row >= 0:
                    sums[row, column] += sign
                    sums[row + 1, column + 1] += sign
                    entries.append((row + 2, column, at, sign))
    about = [layout.pins_of[body][0] for _, body in layout.marks]
    return _System(
        size=size,
        row_of_body=row_of_body,
        of_mark=np.array([(layout.pin(name), about[at]) for at, (name, _) in enumerate(layout.marks)], dtype=np.int64),
        sums=sums,
        moments=np.array([entry[:3] for entry in entries], dtype=np.int64),
        sign=np.array([entry[3] for entry in entries], dtype=np.float64),
        unknown=np.array(unknown, dtype=np.int64),
        last=np.array(last_of, dtype=np.int64),
        taken=np.array(taken_from, dtype=np.int64).reshape(-1, 2),
    )


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

"""From a layout to the list of operations that places its pins one after another.

Question answered   In which order can the pins be placed, and is the shock the one thing that drives them?
Method              Known pins are those of the frame. A body with two known pins carries the rest of its pins (CARRY);
                    a pin on two bodies with one known pin each lies where two circles meet (DYAD, or DRIVEN where one
                    of the bodies is the shock). What no such step reaches is one Newton group, from which every pin
                    that can be placed afterwards has been peeled. Freedoms are counted as the rank of the constraint
                    equations at arbitrary places, so that a count that is right as a whole and wrong in its parts is
                    found, and the bodies concerned are named.
Left out            Layouts that move only because of special dimensions, such as a redundant third parallel link.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bikewright.errors import LinkageError, LinkageNotMobile
from bikewright.physics.kernels.linkage import CARRY, DRIVEN, DYAD, GROUP
from bikewright.physics.kernels.linkage_group import DISTANCE, DRIVE, RIGID
from bikewright.physics.linkage.layout import FRAME, SHOCK, WHEEL, Layout

Table = NDArray[np.int64]


@dataclass(frozen=True, eq=False, slots=True)
class Plan:
    """The tables that the kernels read, and the names to explain a failure with."""

    layout: Layout
    """The layout that was compiled."""
    ops: Table
    """Operations (n_ops, 8), see `bikewright.physics.kernels.linkage`."""
    rows: Table
    """Equations of the Newton group (n_rows, 8); none for most layouts."""
    slot: Table
    """Place of each pin among the group's unknowns, or -1."""
    fixed: Table
    """Pin and mark of every pin on the frame (n_fixed, 2)."""
    mark_pin: Table
    """Pin of each mark."""
    drive: Table
    """The two marks of the shock."""
    bodies: tuple[tuple[str, ...], ...]
    """Bodies that each operation, then each row, stands for."""

    @property
    def tables(self) -> tuple[Table, Table, Table, Table, Table, Table]:
        """The tables in the order in which the kernels take them."""
        return self.ops, self.rows, self.slot, self.fixed, self.mark_pin, self.drive


@lru_cache(maxsize=256)
def compile_plan(layout: Layout) -> Plan:
    """Plan of a layout; the same object for an equal layout.

    Raises
    ------
    LinkageError
        If the frame, the shock or the wheel is missing or has the wrong number of pins.
    LinkageNotMobile
        If anything but the shock's length is left free, or nothing is.
    """
    _check_names(layout)
    _check_freedoms(layout)
    return _Compiler(layout).run()


def _check_names(layout: Layout) -> None:
    for body, need in ((FRAME, "at least one pin"), (SHOCK, "exactly two pins"), (WHEEL, "exactly one pin, the axle")):
        count = len(layout.pins_of.get(body, ()))
        if count == 0 or (body == SHOCK and count != 2) or (body == WHEEL and count != 1):
            raise LinkageError(f"body '{body}' must have {need}; it has {count}.")
    for pin in layout.pins:
        held = [body for body in pin.joins if body == FRAME or (body != SHOCK and len(layout.pins_of[body]) > 1)]
        if not held:
            raise LinkageNotMobile(
                f"pin '{pin.name}' is on no frame and no body with a second pin ({', '.join(pin.joins)}), so nothing "
                f"holds it; add the body that carries it."
            )


def _constraints(layout: Layout) -> tuple[NDArray[np.float64], list[str], list[int]]:
    """Rows of the distance equations at arbitrary places, the body of each, and the pins that may move; shock last."""
    at = np.random.default_rng(20).uniform(-1.0, 1.0, (len(layout.pins), 2))
    still = set(layout.pins_of[FRAME])
    free = [i for i in range(len(layout.pins)) if i not in still]
    lines: list[NDArray[np.float64]] = []
    owners: list[str] = []
    for body in sorted(layout.bodies, key=lambda name: name == SHOCK):
        held = layout.pins_of[body]
        if body == FRAME or len(held) < 2:
            continue
        pairs = [(held[0], held[1])] + [(base, other) for other in held[2:] for base in held[:2]]
        for p, q in pairs:
            line = np.zeros((len(layout.pins), 2))
            line[p] += at[p] - at[q]
            line[q] -= at[p] - at[q]
            lines.append(line[free].ravel())
            owners.append(body)
    return np.array(lines).reshape(len(lines), 2 * len(free)), owners, free


def _null(matrix: NDArray[np.float64]) -> NDArray[np.float64]:
    """Columns that span the null space."""
    if matrix.shape[0] == 0:
        return np.eye(matrix.shape[1])
    _, values, rows = np.linalg.svd(matrix)
    rank = int(np.sum(values > 1e-9 * max(float(values.max(initial=0.0)), 1e-300)))
    return np.asarray(rows[rank:].T)


def _check_freedoms(layout: Layout) -> None:
    matrix, owners, free = _constraints(layout)
    spare = _null(matrix.T)
    if spare.shape[1]:
        used = np.abs(spare).max(axis=1) > 1e-9
        names = dict.fromkeys(owner for owner, one in zip(owners, used, strict=True) if one)
        raise LinkageNotMobile(
            f"{spare.shape[1]} freedom(s) too few: {', '.join(names)} hold each other fast, so the shock cannot move "
            f"them. Take out a pin or a body, or join two of them by another link."
        )
    loose = _null(matrix)
    if loose.shape[1]:
        moving = {free[k // 2] for k in np.flatnonzero(np.abs(loose).max(axis=1) > 1e-9)}
        names = dict.fromkeys(
            body
            for body in layout.bodies
            if body != FRAME and len(layout.pins_of[body]) > 1 and moving.intersection(layout.pins_of[body])
        )
        raise LinkageNotMobile(
            f"{loose.shape[1]} freedom(s) too many: with the shock held at one length, {', '.join(names)} can still "
            f"move. Join them to the rest by another pin or body."
        )
    motion = _null(matrix[:-1])
    axle = layout.axle
    if axle not in free or float(np.abs(motion[2 * free.index(axle) : 2 * free.index(axle) + 2]).max()) < 1e-9:
        raise LinkageNotMobile(f"the axle (pin '{layout.pins[axle].name}') does not move when the shock does.")


class _Compiler:
    """Working state of one compilation."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.rigid = {
            body: pins for body, pins in layout.pins_of.items() if body not in (FRAME, SHOCK) and len(pins) > 1
        }
        self.known: list[int] = list(layout.pins_of[FRAME])
        self.ops: list[tuple[int, ...]] = []
        self.rows: list[tuple[int, ...]] = []
        self.op_bodies: list[tuple[str, ...]] = []
        self.row_bodies: list[tuple[str, ...]] = []
        self.slot = [-1] * len(layout.pins)

    def mark(self, pin: int, body: str) -> int:
        return self.layout.mark(self.layout.pins[pin].name, body)

    def links(self) -> dict[str, tuple[int, ...]]:
        return {**self.rigid, SHOCK: self.layout.pins_of[SHOCK]}

    def run(self) -> Plan:
        while len(self.known) < len(self.layout.pins):
            if not (self.carry() or self.dyad()):
                self.group()
        layout = self.layout
        return Plan(
            layout=layout,
            ops=np.array(self.ops, np.int64).reshape(-1, 8),
            rows=np.array(self.rows, np.int64).reshape(-1, 8),
            slot=np.array(self.slot, np.int64),
            fixed=np.array([(i, self.mark(i, FRAME)) for i in layout.pins_of[FRAME]], np.int64),
            mark_pin=np.array([layout.pin(pin) for pin, _ in layout.marks], np.int64),
            drive=np.array([self.mark(i, SHOCK) for i in layout.pins_of[SHOCK]], np.int64),
            bodies=(*self.op_bodies, *self.row_bodies),
        )

    def carry(self) -> bool:
        """Place every pin of a body that has two known ones."""
        for body, pins in self.rigid.items():
            bases = sorted((p for p in pins if p in self.known), key=self.known.index)[:2]
            rest = [p for p in pins if p not in self.known]
            if len(bases) < 2 or not rest:
                continue
            p, q = bases
            for x in rest:
                self.ops.append((CARRY, x, p, q, self.mark(x, body), self.mark(p, body), self.mark(q, body), -1))
                self.op_bodies.append((body,))
                self.known.append(x)
            return True
        return False

    def dyad(self) -> bool:
        """Place one pin that lies on two bodies with one known pin each; the shock is always the second arm."""
        for pin in range(len(self.layout.pins)):
            if pin in self.known:
                continue
            arms = []
            for body, pins in self.links().items():
                if pin in pins:
                    arms += [(body, base) for base in self.known if base in pins][:1]
            if len(arms) < 2:
                continue
            (a, q), (b, r) = arms[0], arms[-1]
            kind = DRIVEN if b == SHOCK else DYAD
            self.ops.append((kind, pin, q, r, self.mark(pin, a), self.mark(q, a), self.mark(pin, b), self.mark(r, b)))
            self.op_bodies.append((a, b))
            self.known.append(pin)
            return True
        return False

    def group(self) -> None:
        """One Newton group of what remains, less the pins that can be placed after it."""
        core = self._peel()
        unknown = sorted({p for pins in core.values() for p in pins if p not in self.known})
        for n, pin in enumerate(unknown):
            self.slot[pin] = n
        for body, pins in core.items():
            p, q, *rest = sorted(pins, key=lambda pin: (pin not in self.known, pin))
            kind = DRIVE if body == SHOCK else DISTANCE
            self.rows.append((kind, p, q, -1, self.mark(p, body), self.mark(q, body), -1, -1))
            self.row_bodies.append((body,))
            for x in rest:
                self.rows.append((RIGID, x, p, q, self.mark(x, body), self.mark(p, body), self.mark(q, body), -1))
                self.row_bodies.append((body,))
        self.ops.append((GROUP, -1, -1, -1, -1, -1, -1, -1))
        self.op_bodies.append(tuple(core))
        self.known += unknown

    def _peel(self) -> dict[str, list[int]]:
        """Bodies of the group with the pins that must be solved together: a pin that two equations place goes."""
        core = {body: list(pins) for body, pins in self.links().items() if any(pin not in self.known for pin in pins)}
        peeled = True
        while peeled:
            peeled = False
            for pin in sorted({p for pins in core.values() for p in pins if p not in self.known}):
                on = [body for body, pins in core.items() if pin in pins and len(pins) > 1]
                carried = len(on) == 1 and len(core[on[0]]) > 2
                closed = len(on) == 2 and all(len(core[body]) == 2 for body in on)
                if (carried or closed) and SHOCK not in on:
                    for body in on:
                        core[body].remove(pin)
                    peeled = True
            core = {body: pins for body, pins in core.items() if len(pins) > 1}
        return core

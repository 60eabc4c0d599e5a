"""scipy.optimize.root at each position: distances between pins, exact Jacobian, started from the position before.

Only the pins that must be solved together are unknowns; the rest are carried afterwards, for all positions at once.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks.designs import POSITIONS, Designs
from benchmarks.measure import Side
from bikewright.physics.linkage.layout import FRAME, SHOCK, Layout

Floats = NDArray[np.float64]

NEAR = 1e-8
"""Largest difference from our places [m]."""


def links(layout: Layout) -> tuple[list[tuple[int, int]], list[tuple[int, int, int]]]:
    """Pairs of pins at a fixed distance, the shock first, and pins (x, p, q) that a body carries and nothing else."""
    joined = [pins for body, pins in layout.pins_of.items() if body not in (FRAME, SHOCK) and len(pins) > 1]
    still = set(layout.pins_of[FRAME])
    pairs, carried = [tuple(layout.pins_of[SHOCK])], []
    for pins in joined:
        # A pin on one rigid body only, and not on the shock, has no say in the motion.
        alone = [
            pin
            for pin in pins
            if pin not in still and pin not in layout.pins_of[SHOCK] and sum(pin in other for other in joined) == 1
        ]
        tied = [pin for pin in pins if pin not in alone]
        pairs += [(tied[0], pin) for pin in tied[1:]]
        pairs += [(tied[1], pin) for pin in tied[2:]]
        carried += [(pin, tied[0], tied[1]) for pin in alone]
    return [(int(p), int(q)) for p, q in pairs], carried


def sweep(drawn: Designs, d: int) -> Floats:
    """Places (n, n_pins, 2) of one drawing."""
    from scipy.optimize import root

    layout = drawn.layout
    pairs, carried = links(layout)
    p, q = np.array(pairs).T
    alone = {x for x, _, _ in carried}
    free = [pin for pin in range(len(layout.pins)) if pin not in layout.pins_of[FRAME] and pin not in alone]
    line = np.arange(len(pairs))
    column = np.full(len(layout.pins), -1)
    column[free] = np.arange(len(free))
    at = drawn.places[d].copy()
    squares = np.sum((at[p] - at[q]) ** 2, axis=1)
    jacobian = np.zeros((len(pairs), len(layout.pins), 2))

    def residual(unknown: Floats) -> Floats:
        at[free] = unknown.reshape(-1, 2)
        gap = at[p] - at[q]
        return np.einsum("ij,ij->i", gap, gap) - squares

    def slopes(unknown: Floats) -> Floats:
        at[free] = unknown.reshape(-1, 2)
        gap = 2.0 * (at[p] - at[q])
        jacobian[line, p], jacobian[line, q] = gap, -gap
        return jacobian[:, free].reshape(len(pairs), -1)

    found = np.empty((POSITIONS, *at.shape))
    unknown = at[free].ravel()
    for i, length in enumerate(drawn.lengths):
        squares[0] = length * length
        unknown = root(residual, unknown, jac=slopes, method="hybr", tol=1e-12).x
        at[free] = unknown.reshape(-1, 2)
        found[i] = at
    for x, a, b in carried:
        ratio = _complex(drawn.places[d, x] - drawn.places[d, a]) / _complex(drawn.places[d, b] - drawn.places[d, a])
        place = _complex(found[:, a]) + ratio * (_complex(found[:, b]) - _complex(found[:, a]))
        found[:, x, 0], found[:, x, 1] = place.real, place.imag
    return found


def _complex(pair: Floats) -> Any:
    return pair[..., 0] + 1j * pair[..., 1]


def side(drawn: Designs) -> Side:
    """A handful of drawings, one after another."""
    from benchmarks.peer_check import check_places

    count = 2
    check_places(drawn, np.stack([sweep(drawn, d) for d in range(count)]), "scipy.optimize.root", NEAR)

    def run() -> object:
        return [sweep(drawn, d) for d in range(count)]

    return Side("scipy root", "1 thread", "places of all pins", count * POSITIONS, run)

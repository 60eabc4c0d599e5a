"""Instant centres of one body from the places and rates that `linkage.sweep` wrote.

From the rates of two of its points: with D the line between them and D' its rate, the body turns at (D x D')/|D|^2, and
the centre is where a point of it would stand still. Counted from the point that moves least, which keeps the most
digits.

Theory: docs/theory/linkage.md, docs/theory/kernels.md
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FARTHEST = 1e6
"""Distance of an instant centre, in lengths of its body, beyond which the body translates."""

SIGNATURES = {"centres": "void(f8[:,:,:,:,::1], i8, i8, f8[:,:,::1])"}


def centres(points: Floats, one: int, two: int, centre: Floats) -> None:
    """Instant centre of the body with the pins `one` and `two` at every position of every design.

    Parameters
    ----------
    points : (n_designs, 2 or 3, n_pins, 2, n_positions)
        As written by `linkage.sweep`, all pins kept.
    one, two : int
        Two pins of the body, best far apart.
    centre : (n_designs, 2, n_positions)
        Written; NaN where the body stands still or moves without turning, and where the design has stopped.
    """
    for d in range(points.shape[0]):
        px, pz, ux, uz = points[d, 0, one, 0], points[d, 0, one, 1], points[d, 1, one, 0], points[d, 1, one, 1]
        qx, qz, vx, vz = points[d, 0, two, 0], points[d, 0, two, 1], points[d, 1, two, 0], points[d, 1, two, 1]
        cx, cz = centre[d, 0], centre[d, 1]
        for i in range(points.shape[4]):
            ax, az, sx, sz = float(px[i]), float(pz[i]), float(ux[i]), float(uz[i])
            bx, bz, tx, tz = float(qx[i]), float(qz[i]), float(vx[i]), float(vz[i])
            dx, dz = bx - ax, bz - az
            cross = dx * (tz - sz) - dz * (tx - sx)
            square = dx * dx + dz * dz
            slow, fast = sx * sx + sz * sz, tx * tx + tz * tz
            first = slow <= fast
            fastest = fast if first else slow
            turns = FARTHEST * FARTHEST * cross * cross > fastest * square
            lever = square / (cross if turns else 1.0)
            x = ax - sz * lever if first else bx - tz * lever
            z = az + sx * lever if first else bz + tx * lever
            cx[i] = x if turns else np.nan
            cz[i] = z if turns else np.nan

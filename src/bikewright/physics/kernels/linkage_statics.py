"""Forces at the points of a linkage at rest, position by position: small systems of equations, each of the same form.

The tables say where what stands in the equations; `bikewright.physics.linkage.forces` makes and names them. The
elimination is that of `linkage_group`.

Tables
    places (n, n_points, 2)   the points at each position
    given (n, n_points, 2)    force that each point is given
    right (n, m)              right-hand sides with what does not come through a point
    of_mark (n_marks, 2)      point of each mark, and the point that its moment is taken about
    sums (m, m)               entries that no position changes
    moments (k, 3), sign (k,) row, column of the x, mark and sign of each pair of entries that has an arm
    unknown (m / 2,)          mark of each unknown
    last (n_points, 2)        mark on the last body of each point, and the first row of that body, or -1
    taken (j, 2)              mark on a last body, and a mark of the same point on another one
    out (n, n_marks, 2)       written: force on each mark

Theory: docs/theory/linkage.md, docs/theory/kernels.md
"""

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.kernels.linkage_group import factor, solve

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SIGNATURES = {
    "forces": (
        "b1(f8[:,:,::1], f8[:,:,::1], f8[:,::1], i8[:,::1], f8[:,::1], i8[:,::1], f8[::1], i8[::1], i8[:,::1], "
        "i8[:,::1], f8[:,:,::1])"
    ),
}


def forces(
    places: Floats,
    given: Floats,
    right: Floats,
    of_mark: Ints,
    sums: Floats,
    moments: Ints,
    sign: Floats,
    unknown: Ints,
    last: Ints,
    taken: Ints,
    out: Floats,
) -> bool:
    """All forces at all positions; False where a position's equations are singular or nearly so."""
    m = sums.shape[0]
    matrix, answer, order = np.empty((m, m)), np.empty(m), np.empty(m, np.int64)
    for i in range(places.shape[0]):
        matrix[:] = sums
        for k in range(moments.shape[0]):
            row, column, mark = moments[k, 0], moments[k, 1], moments[k, 2]
            p, q = of_mark[mark, 0], of_mark[mark, 1]
            matrix[row, column] -= sign[k] * (places[i, p, 1] - places[i, q, 1])
            matrix[row, column + 1] += sign[k] * (places[i, p, 0] - places[i, q, 0])
        for p in range(last.shape[0]):
            mark, row = last[p, 0], last[p, 1]
            if row >= 0:
                q = of_mark[mark, 1]
                x, z = given[i, p, 0], given[i, p, 1]
                arm_x, arm_z = places[i, p, 0] - places[i, q, 0], places[i, p, 1] - places[i, q, 1]
                right[i, row] -= x
                right[i, row + 1] -= z
                right[i, row + 2] -= arm_x * z - arm_z * x
        if factor(matrix, order)[0] == 0.0:
            return False
        solve(matrix, order, right[i], answer)
        for mark in range(out.shape[1]):
            out[i, mark, 0] = out[i, mark, 1] = 0.0
        for k in range(unknown.shape[0]):
            out[i, unknown[k], 0], out[i, unknown[k], 1] = answer[2 * k], answer[2 * k + 1]
        for p in range(last.shape[0]):
            out[i, last[p, 0], 0] += given[i, p, 0]
            out[i, last[p, 0], 1] += given[i, p, 1]
        for k in range(taken.shape[0]):
            for axis in range(2):
                out[i, taken[k, 0], axis] -= out[i, taken[k, 1], axis]
    return True

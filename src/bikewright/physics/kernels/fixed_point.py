"""The next guess of a question whose answer changes its own data: Anderson's mix of the last steps.

Theory: docs/theory/fixed_point.md, docs/theory/kernels.md
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

DEPTH = 3
"""Steps that are mixed at most."""

ALIKE = 1e-10
"""Squared sine between two changes below which the older one tells nothing new."""

SIGNATURES = {"next_guess": "void(f8[:,::1], f8[:,::1], f8[::1])"}


def next_guess(put: Floats, wanted: Floats, guess: Floats) -> None:
    """Mix steps, no more than `DEPTH` of them, into the next guess.

    Parameters
    ----------
    put, wanted : (n_steps, n)
        What each step was given and what it asks for instead, the newest last.
    guess : (n,)
        Written. With f = wanted - put of the newest step and df, dg the changes of f and of the wanted values from the
        older steps to it: g - sum(c_i dg_i) with the c that make |f - sum(c_i df_i)| least.
    """
    last, n = put.shape[0] - 1, put.shape[1]
    changes, with_it, squares = np.zeros((DEPTH, n)), np.zeros((DEPTH, n)), np.zeros(DEPTH)
    guess[:] = wanted[last]
    kept = 0
    for older in range(last - 1, -1, -1):  # the nearest step first
        change, asked = changes[kept], with_it[kept]
        size = 0.0
        for k in range(n):
            change[k] = (wanted[last, k] - put[last, k]) - (wanted[older, k] - put[older, k])
            asked[k] = wanted[last, k] - wanted[older, k]
            size += change[k] * change[k]
        for j in range(kept):
            share = dot(change, changes[j]) / squares[j]
            for k in range(n):
                change[k] -= share * changes[j, k]
                asked[k] -= share * with_it[j, k]
        square = dot(change, change)
        if square > ALIKE * size:
            squares[kept] = square
            kept += 1
    for j in range(kept):
        share = 0.0
        for k in range(n):
            share += (wanted[last, k] - put[last, k]) * changes[j, k]
        share /= squares[j]
        for k in range(n):
            guess[k] -= share * with_it[j, k]


def dot(a: Floats, b: Floats) -> float:
    """Scalar product."""
    total = 0.0
    for k in range(a.shape[0]):
        total += a[k] * b[k]
    return total

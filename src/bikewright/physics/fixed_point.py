"""Fixed point: the next guess, so that a question whose answer changes its own data closes in few steps.

Question answered   A step asks for these values where those were put in: what should be put in next?
Method              Anderson's mixing of the last three steps: the mix of them whose misfit is least if all is linear.
Axes and signs      None: plain lists of numbers of one unit.
Left out            Bounds and the end of the search, which the caller knows.
Theory              docs/theory/fixed_point.md
"""

from collections.abc import Sequence
from typing import TypeAlias

Step: TypeAlias = tuple[Sequence[float], Sequence[float]]
"""What was put in, and what came out as wanted instead."""

DEPTH = 3
"""Steps that are mixed at most."""

_ALIKE = 1e-10
"""Squared sine between two changes below which the older one tells nothing new."""


def next_guess(steps: Sequence[Step]) -> list[float]:
    """Mix the last steps into the next guess.

    Parameters
    ----------
    steps : sequence of tuple
        Put in and wanted, the newest last; no more than the last `DEPTH` are used. [any unit]

    Returns
    -------
    list of float
        To put in next; with one step, what it wanted. [the same unit]

    Notes
    -----
    With f the misfit wanted - put in of the newest step and df, dg the changes of misfit and of the wanted values from
    the older steps to it, the next guess is ``g - sum(c_i dg_i)`` with the c that make ``|f - sum(c_i df_i)|`` least:
    D. G. Anderson, Iterative procedures for nonlinear integral equations, J. ACM 12:547-560, 1965 (from memory). Both
    unknowns are found by making the second change square to the first.
    """
    recent = steps[-DEPTH:]
    misfits = [[w - p for p, w in zip(put, wanted, strict=True)] for put, wanted in recent]
    misfit, wanted = misfits[-1], list(recent[-1][1])
    changes = [
        (
            [a - b for a, b in zip(misfit, older, strict=True)],
            [a - b for a, b in zip(wanted, recent[index][1], strict=True)],
        )
        for index, older in enumerate(misfits[:-1])
    ]
    changes.reverse()  # the nearest step first
    done: list[tuple[list[float], list[float], float]] = []
    for of_misfit, of_wanted in changes:
        size = _dot(of_misfit, of_misfit)
        for other, with_it, square in done:
            share = _dot(of_misfit, other) / square
            of_misfit = _less(of_misfit, share, other)
            of_wanted = _less(of_wanted, share, with_it)
        square = _dot(of_misfit, of_misfit)
        if square > _ALIKE * size:
            done.append((of_misfit, of_wanted, square))
    for of_misfit, of_wanted, square in done:
        wanted = _less(wanted, _dot(misfit, of_misfit) / square, of_wanted)
    return wanted


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))


def _less(a: Sequence[float], share: float, b: Sequence[float]) -> list[float]:
    return [x - share * y for x, y in zip(a, b, strict=True)]

"""Fixed point: the next guess, so that a question whose answer changes its own data closes in few steps.

Question answered   A step asks for these values where those were put in: what should be put in next?
Method              Anderson's mixing of the last three steps: the mix of them whose misfit is least if all is linear.
Axes and signs      None: plain lists of numbers of one unit. The arithmetic is the kernel `fixed_point`.
Left out            Bounds and the end of the search, which the caller knows.
Theory              docs/theory/fixed_point.md
"""

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from bikewright.physics.kernels.compile import fastest
from bikewright.physics.kernels.fixed_point import DEPTH

Step: TypeAlias = tuple[Sequence[float], Sequence[float]]
"""What was put in, and what came out as wanted instead."""


def next_guess(steps: Sequence[Step]) -> list[float]:
    """Mix the last steps into the next guess.

    Parameters
    ----------
    steps : sequence of tuple
        Put in and wanted, the newest last; no more than the last three are used. [any unit]

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
    put, wanted = (np.array([step[side] for step in recent], dtype=np.float64) for side in (0, 1))
    guess = np.empty(put.shape[1])
    fastest("fixed_point.next_guess")(put, wanted, guess)
    found: list[float] = guess.tolist()
    return found

"""Whether a peer's places are ours: asked before each race."""

import numpy as np
from numpy.typing import NDArray

from benchmarks.designs import Designs
from bikewright.physics.linkage.run import sweep


def check_places(
    drawn: Designs,
    found: NDArray[np.float64],
    who: str,
    near: float,
    lengths: NDArray[np.float64] | None = None,
) -> None:
    """Stop where a peer's places differ from ours by more than `near`.

    Parameters
    ----------
    drawn : Designs
        The drawings; `found` has as many of the first of them as its first axis is long.
    found : ndarray, shape (n_designs, n_positions, n_pins, 2)
        The peer's places. [m]
    who : str
        The peer.
    near : float
        Largest difference. [m]
    lengths : ndarray, shape (n_designs, n_positions), optional
        Shock lengths; those of the drawings if not given. [m]
    """
    ours = sweep(drawn.plan, drawn.marks[: len(found)], drawn.lengths if lengths is None else lengths, order=1)
    worst = float(np.max(np.abs(found - ours.points[:, 0].transpose(0, 3, 1, 2))))
    if not worst <= near:
        raise RuntimeError(f"{who} and bikewright differ by {worst:.1e} m; they are not doing the same work.")

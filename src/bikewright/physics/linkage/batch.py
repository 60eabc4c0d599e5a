"""Many designs at once, on all processors.

Question answered   What are axle path, leverage and margins of thousands of drawn linkages?
Method              Blocks of designs, each a call of the compiled kernel on a thread; the kernel holds no interpreter
                    lock. Only the axle is kept.
Axes and signs      As in `motion`.
Left out            Judgement: a design that stops is NaN from there, with a status.
Theory              docs/theory/kernels.md
"""

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.physics.kernels.compile import fastest
from bikewright.physics.linkage.layout import Layout
from bikewright.physics.linkage.plan import compile_plan
from bikewright.physics.linkage.run import design_arrays

Floats = NDArray[np.float64]

BLOCK = 1024
"""Designs in one call: some milliseconds of work, against which the interpreter's share is small."""


@dataclass(frozen=True, eq=False, slots=True)
class AxleSweep:
    """What many designs do at the axle. NaN and a status where a design has stopped."""

    axle: Floats
    """Place of the axle (n_designs, 2, n_positions). [m]"""
    axle_velocity: Floats
    """Derivative with respect to compression (n_designs, 2, n_positions); the second is the leverage ratio. [-]"""
    margin: Floats
    """Smallest sine between two links (n_designs, n_positions). [-]"""
    status: NDArray[np.int64]
    """0 where the design closes (n_designs, n_positions)."""

    @property
    def leverage_ratio(self) -> Floats:
        """d(wheel travel)/d(shock compression) (n_designs, n_positions). [-]"""
        return self.axle_velocity[:, 1]

    @property
    def wheel_travel(self) -> Floats:
        """Height of the axle above its place at the first position (n_designs, n_positions). [m]"""
        return np.asarray(self.axle[:, 1] - self.axle[:, 1, :1])


def sweep_axles(layout: Layout, marks: ArrayLike, shock_lengths: ArrayLike, workers: int | None = None) -> AxleSweep:
    """Axle path and leverage of many designs of one layout.

    Parameters
    ----------
    layout : Layout
        Bodies and pins.
    marks : array_like, shape (n_designs, n_marks, 2)
        Drawn places. [m]
    shock_lengths : array_like, shape (n_positions,) or (n_designs, n_positions)
        Pin-to-pin lengths of the shock. [m]
    workers : int, optional
        Threads; the number of processors if not given.

    Returns
    -------
    AxleSweep
    """
    plan = compile_plan(layout)
    at, lengths = design_arrays(layout, marks, shock_lengths)
    n, positions = at.shape[0], lengths.shape[1]
    points = np.empty((n, 2, 1, 2, positions))
    margin, status = np.empty((n, positions)), np.empty((n, positions), dtype=np.int64)
    culprit, keep = np.empty(n, dtype=np.int64), np.array([layout.axle], dtype=np.int64)
    kernel = fastest("linkage.sweep")

    def block(start: int) -> None:
        part = slice(start, start + BLOCK)
        rows = lengths if len(lengths) == 1 else lengths[part]
        kernel(*plan.tables, at[part], rows, 1, keep, points[part], margin[part], status[part], culprit[part])

    with ThreadPoolExecutor(workers or os.cpu_count() or 1) as pool:
        list(pool.map(block, range(0, n, BLOCK)))
    return AxleSweep(axle=points[:, 0, 0], axle_velocity=points[:, 1, 0], margin=margin, status=status)

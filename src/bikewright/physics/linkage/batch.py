"""Many designs at once, on all processors.

Question answered   What are axle path, leverage and margins of thousands of drawn linkages?
Method              Blocks of designs, each a call of the compiled kernel on a thread; the kernel holds no interpreter
                    lock. Either the axle alone is kept, or everything is computed into a block that is used again, so
                    that it stays in the processor's cache, and what is made of each block is kept.
Axes and signs      As in `motion`.
Left out            Judgement: a design that stops is NaN from there, with a status.
Theory              docs/theory/kernels.md
"""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from queue import SimpleQueue
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.physics.kernels.compile import fastest
from bikewright.physics.linkage.bodies import rigid_ends
from bikewright.physics.linkage.layout import Layout
from bikewright.physics.linkage.plan import Plan, compile_plan
from bikewright.physics.linkage.run import ALL_PINS, design_arrays

Kept = TypeVar("Kept")
Floats = NDArray[np.float64]

BLOCK = 1024
"""Designs in one call: some milliseconds of work, against which the interpreter's share is small."""

CACHED = 2**18
"""Numbers in one block that is used again: two megabytes."""
LANE = 8
"""Positions in the widest register of a processor: rows of a multiple of it leave no rest to be done one by one."""


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


@dataclass(frozen=True, eq=False, slots=True)
class Block:
    """Every output of some designs that follow each other. The arrays are used again: copy what is to be kept."""

    first: int
    """Place of its first design among all."""
    places: Floats
    """Places of all pins (n_designs, n_pins, 2, n_positions). [m]"""
    rates: Floats
    """Derivatives of `places` with respect to compression (n_designs, n_pins, 2, n_positions). [-]"""
    leverage_ratio: Floats
    """d(wheel travel)/d(shock compression) (n_designs, n_positions). [-]"""
    instant_centre: Floats
    """Of the body asked for (n_designs, 2, n_positions); NaN where it does not turn. [m]"""
    margin: Floats
    """Smallest sine between two links (n_designs, n_positions). [-]"""
    status: NDArray[np.int64]
    """0 where the design closes (n_designs, n_positions)."""


def reduce_sweep(
    layout: Layout,
    marks: ArrayLike,
    shock_lengths: ArrayLike,
    reduce: Callable[[Block], Kept],
    body: str | None = None,
    workers: int | None = None,
) -> list[Kept]:
    """Every output of many designs, block by block, and what is made of each block.

    Parameters
    ----------
    layout : Layout
        Bodies and pins.
    marks : array_like, shape (n_designs, n_marks, 2)
        Drawn places. [m]
    shock_lengths : array_like, shape (n_positions,) or (n_designs, n_positions)
        Pin-to-pin lengths of the shock. [m]
    reduce : callable
        Given each `Block`, on a thread of its own; returns what is to be kept of it.
    body : str, optional
        The rigid body whose instant centre is wanted; the first on the axle if not given.
    workers : int, optional
        Threads; the number of processors if not given.

    Returns
    -------
    list
        What `reduce` returned, in the order of the designs.

    Raises
    ------
    OutsideValidity
        If the body hangs on one pin or is not rigid.
    """
    plan = compile_plan(layout)
    at, lengths = design_arrays(layout, marks, shock_lengths)
    ends = rigid_ends(layout, at[0], layout.axle_bodies[0] if body is None else body)
    threads = workers or os.cpu_count() or 1
    positions = lengths.shape[1]
    # The last position is repeated until the row is full; no reader sees the repeats.
    lengths = np.pad(lengths, ((0, 0), (0, -positions % LANE)), mode="edge")
    size = max(1, min(len(at), CACHED // ((4 * len(layout.pins) + 4) * lengths.shape[1])))
    buffers: SimpleQueue[_Buffer] = SimpleQueue()
    for _ in range(threads):
        buffers.put(_Buffer(plan, ends, size, lengths.shape[1], positions))

    def block(start: int) -> Kept:
        buffer = buffers.get()
        try:
            rows = lengths if len(lengths) == 1 else lengths[start : start + size]
            return reduce(buffer.fill(start, at[start : start + size], rows))
        finally:
            buffers.put(buffer)

    starts = range(0, len(at), size)
    if threads == 1:
        return [block(start) for start in starts]
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(block, starts))


class _Buffer:
    """Memory of one thread."""

    def __init__(self, plan: Plan, ends: tuple[int, int], size: int, row: int, positions: int) -> None:
        self.plan, self.ends, self.shown = plan, ends, slice(0, positions)
        self.points = _aligned((size, 2, len(plan.layout.pins), 2, row))
        self.centre = _aligned((size, 2, row))
        self.margin = _aligned((size, row))
        self.status = np.empty((size, row), dtype=np.int64)
        self.culprit = np.empty(size, dtype=np.int64)
        self.sweep, self.centres = fastest("linkage.sweep"), fastest("linkage_centre.centres")

    def fill(self, first: int, marks: Floats, lengths: Floats) -> Block:
        n, shown = len(marks), self.shown
        points, centre, margin, status = self.points[:n], self.centre[:n], self.margin[:n], self.status[:n]
        self.sweep(*self.plan.tables, marks, lengths, 1, ALL_PINS, points, margin, status, self.culprit[:n])
        self.centres(points, *self.ends, centre)
        return Block(
            first=first,
            places=points[:, 0, ..., shown],
            rates=points[:, 1, ..., shown],
            leverage_ratio=points[:, 1, self.plan.layout.axle, 1, shown],
            instant_centre=centre[..., shown],
            margin=margin[:, shown],
            status=status[:, shown],
        )


def _aligned(shape: tuple[int, ...]) -> Floats:
    """Memory that begins where a line of the cache does, so that no wide load or store touches two lines."""
    size = 8 * int(np.prod(shape))
    raw = np.empty(size + 64, dtype=np.uint8)
    start = -raw.ctypes.data % 64
    return raw[start : start + size].view(np.float64).reshape(shape)

"""The linkage kernel called with arrays that suit it.

Question answered   Where are all pins of many drawn linkages at many shock lengths?
Method              The compiled kernel where it is loaded, the same function uncompiled otherwise.
Axes and signs      (x, z) in frame axes; derivatives with respect to shock compression.
Left out            Judgement: a design that stops is NaN from there, with a status.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.errors import LinkageError
from bikewright.physics.kernels.compile import fastest
from bikewright.physics.linkage.layout import Layout
from bikewright.physics.linkage.plan import Plan

Floats = NDArray[np.float64]

ALL_PINS = np.empty(0, dtype=np.int64)
"""The kernel's word for keeping every pin."""


@dataclass(frozen=True, eq=False, slots=True)
class RawSweep:
    """What the kernel wrote for many designs; NaN and a status where a design stops. Arrays are writable."""

    points: Floats
    """(n_designs, order + 1, n_pins, 2, n_positions) [m], [-], [1/m]"""
    margin: Floats
    """(n_designs, n_positions) [-]"""
    status: NDArray[np.int64]
    """(n_designs, n_positions), 0 where the design closes; see `bikewright.physics.kernels.linkage_group`."""
    culprit: NDArray[np.int64]
    """(n_designs,) operation that stopped the design, or -1."""


def sweep(plan: Plan, marks: ArrayLike, shock_lengths: ArrayLike, order: int = 2) -> RawSweep:
    """Run the kernel for many designs. Refuses nothing: reads the status for what failed.

    Parameters
    ----------
    plan : Plan
        From `compile_plan`.
    marks : array_like, shape (n_designs, n_marks, 2)
        Drawn places. [m]
    shock_lengths : array_like, shape (n_positions,) or (n_designs, n_positions)
        Pin-to-pin lengths of the shock. [m]
    order : int
        Highest derivative, 1 or 2.

    Returns
    -------
    RawSweep
        Places, derivatives, margins and statuses.
    """
    at, lengths = design_arrays(plan.layout, marks, shock_lengths)
    n_designs, n_positions, n_pins = at.shape[0], lengths.shape[1], len(plan.layout.pins)
    raw = RawSweep(
        points=np.empty((n_designs, order + 1, n_pins, 2, n_positions)),
        margin=np.empty((n_designs, n_positions)),
        status=np.empty((n_designs, n_positions), dtype=np.int64),
        culprit=np.empty(n_designs, dtype=np.int64),
    )
    fastest("linkage.sweep")(
        *plan.tables, at, lengths, order, ALL_PINS, raw.points, raw.margin, raw.status, raw.culprit
    )
    return raw


def checked_input(layout: Layout, marks: ArrayLike, shock_lengths: ArrayLike) -> tuple[Floats, Floats]:
    """Marks and lengths of one design as arrays, or an error that says what is wrong with them.

    Parameters
    ----------
    layout : Layout
        Bodies and pins.
    marks : array_like, shape (n_marks, 2)
        Drawn places. [m]
    shock_lengths : array_like, shape (n,)
        Falling pin-to-pin lengths of the shock. [m]

    Returns
    -------
    tuple of ndarray
        Both as float64. [m]

    Raises
    ------
    LinkageError
        If a shape is wrong, a number is not finite, or the lengths do not fall or reach zero.
    """
    at = np.array(marks, dtype=np.float64)
    lengths = np.array(shock_lengths, dtype=np.float64)
    if at.shape != (len(layout.marks), 2):
        raise LinkageError(f"marks must have the shape ({len(layout.marks)}, 2); found {at.shape}.")
    # Methods and slices, not their NumPy functions: this runs for every drag of a pivot.
    unknown = ~np.isfinite(at).all(axis=1)
    if unknown.any():
        row = int(unknown.argmax())
        (pin, body), place = layout.marks[row], at[row]
        raise LinkageError(f"pin '{pin}' on '{body}' is drawn at ({place[0]}, {place[1]}); give finite numbers.")
    if lengths.ndim != 1 or len(lengths) < 2 or not np.isfinite(lengths).all():
        raise LinkageError(f"shock lengths must be two or more finite numbers in a row; found shape {lengths.shape}.")
    if not ((lengths[1:] < lengths[:-1]).all() and lengths[-1] > 0.0):
        raise LinkageError("shock lengths must fall from full extension and stay above zero.")
    return at, lengths


def design_arrays(layout: Layout, marks: ArrayLike, shock_lengths: ArrayLike) -> tuple[Floats, Floats]:
    """Marks and lengths of many designs as the kernels take them: fresh, because compiled ones want writable arrays.

    Parameters
    ----------
    layout : Layout
        Bodies and pins.
    marks : array_like, shape (n_designs, n_marks, 2)
        Drawn places. [m]
    shock_lengths : array_like, shape (n_positions,) or (n_designs, n_positions)
        Pin-to-pin lengths of the shock. [m]

    Returns
    -------
    tuple of ndarray
        Marks as given, and lengths with the shape (1 or n_designs, n_positions). [m]

    Raises
    ------
    LinkageError
        If a shape is wrong.
    """
    at = np.array(marks, dtype=np.float64, order="C")
    lengths = np.array(np.atleast_2d(np.asarray(shock_lengths, dtype=np.float64)), order="C")
    if at.ndim != 3 or at.shape[1:] != (len(layout.marks), 2):
        raise LinkageError(f"marks must have the shape (n_designs, {len(layout.marks)}, 2); found {at.shape}.")
    if lengths.ndim != 2 or len(lengths) not in (1, len(at)) or lengths.shape[1] < 1:
        raise LinkageError(
            f"shock lengths must be one row, or one for each of {len(at)} designs; found {lengths.shape}."
        )
    return at, lengths

"""How a place or a velocity in a linkage answers to every drawn place: the plan of `linkage`, run backwards.

Each operation solved two linear equations for a point's change; the same two, transposed, turn the sensitivity to that
point into sensitivities to what the point rests on. No differences are taken and nothing is stored but two bars, the
sensitivities to all places and to all velocities. Tables, statuses and poses as in `linkage`; lengths of the driving
link are held.

Theory: docs/theory/linkage.md, docs/theory/kernels.md
"""

import math

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.kernels.linkage import CARRY, DRIVEN, GROUP, prepare
from bikewright.physics.kernels.linkage_group import DRIVE, OK, RIGID, factor, fill_jacobian, solve_transposed

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SIGNATURES = {
    "gradient": (
        "void(i8[:,::1], i8[:,::1], i8[::1], i8[:,::1], f8[:,:,::1], f8[:,::1], f8[:,:,:,:,::1], i8[:,::1],"
        " f8[:,:,:,:,::1])"
    ),
}


def unwind_dyad(op: Ints, marks: Floats, pose: Floats, bar: Floats, grad: Floats, stage: int) -> None:
    """From the point where two circles meet to their centres and radii."""
    p, q, r = op[1], op[2], op[3]
    one_x, one_z = float(marks[op[4], 0] - marks[op[5], 0]), float(marks[op[4], 1] - marks[op[5], 1])
    two_x, two_z = float(marks[op[6], 0] - marks[op[7], 0]), float(marks[op[6], 1] - marks[op[7], 1])
    fixed_arm = op[0] != DRIVEN
    for i in range(pose.shape[3]):
        ex, ez = float(pose[0, p, 0, i] - pose[0, q, 0, i]), float(pose[0, p, 1, i] - pose[0, q, 1, i])
        fx, fz = float(pose[0, p, 0, i] - pose[0, r, 0, i]), float(pose[0, p, 1, i] - pose[0, r, 1, i])
        turn = ex * fz - ez * fx
        turn = 1.0 / turn if turn != 0.0 else np.nan
        bx, bz = float(bar[0, p, 0, i]), float(bar[0, p, 1, i])
        qx, qz, rx, rz = 0.0, 0.0, 0.0, 0.0
        if stage == 1:
            vx, vz = float(bar[1, p, 0, i]), float(bar[1, p, 1, i])
            one, two = (vx * fz - vz * fx) * turn, (ex * vz - ez * vx) * turn
            qx = one * float(pose[1, p, 0, i] - pose[1, q, 0, i])
            qz = one * float(pose[1, p, 1, i] - pose[1, q, 1, i])
            rx = two * float(pose[1, p, 0, i] - pose[1, r, 0, i])
            rz = two * float(pose[1, p, 1, i] - pose[1, r, 1, i])
            bx -= qx + rx
            bz -= qz + rz
            bar[1, q, 0, i] += one * ex
            bar[1, q, 1, i] += one * ez
            bar[1, r, 0, i] += two * fx
            bar[1, r, 1, i] += two * fz
        one, two = (bx * fz - bz * fx) * turn, (ex * bz - ez * bx) * turn
        bar[0, q, 0, i] += qx + one * ex
        bar[0, q, 1, i] += qz + one * ez
        bar[0, r, 0, i] += rx + two * fx
        bar[0, r, 1, i] += rz + two * fz
        grad[op[4], 0, i] += one * one_x
        grad[op[4], 1, i] += one * one_z
        grad[op[5], 0, i] -= one * one_x
        grad[op[5], 1, i] -= one * one_z
        if fixed_arm:
            grad[op[6], 0, i] += two * two_x
            grad[op[6], 1, i] += two * two_z
            grad[op[7], 0, i] -= two * two_x
            grad[op[7], 1, i] -= two * two_z


def unwind_carry(op: Ints, const: Floats, marks: Floats, pose: Floats, bar: Floats, grad: Floats, stage: int) -> None:
    """From a carried point to the two that carry it and to the ratio k."""
    x, p, q = op[1], op[2], op[3]
    kx, kz = float(const[0]), float(const[1])
    for i in range(pose.shape[3]):
        tx, tz = 0.0, 0.0
        for level in range(stage + 1):
            bx, bz = float(bar[level, x, 0, i]), float(bar[level, x, 1, i])
            cx, cz = kx * bx + kz * bz, kx * bz - kz * bx
            bar[level, p, 0, i] += bx - cx
            bar[level, p, 1, i] += bz - cz
            bar[level, q, 0, i] += cx
            bar[level, q, 1, i] += cz
            dx = float(pose[level, q, 0, i] - pose[level, p, 0, i])
            dz = float(pose[level, q, 1, i] - pose[level, p, 1, i])
            tx += dx * bx + dz * bz
            tz += dx * bz - dz * bx
        unwind_ratio(op, kx, kz, marks, tx, tz, grad, i)


def unwind_ratio(op: Ints, kx: float, kz: float, marks: Floats, tx: float, tz: float, grad: Floats, i: int) -> None:
    """From the ratio k = (X - P)/(Q - P) of a rigid map to the three marks."""
    dx, dz = float(marks[op[6], 0] - marks[op[5], 0]), float(marks[op[6], 1] - marks[op[5], 1])
    square = dx * dx + dz * dz
    sx, sz = (tx * dx - tz * dz) / square, (tx * dz + tz * dx) / square
    cx, cz = kx * sx + kz * sz, kx * sz - kz * sx
    grad[op[4], 0, i] += sx
    grad[op[4], 1, i] += sz
    grad[op[5], 0, i] += cx - sx
    grad[op[5], 1, i] += cz - sz
    grad[op[6], 0, i] -= cx
    grad[op[6], 1, i] -= cz


def unwind_group(
    rows: Ints,
    slot: Ints,
    consts: Floats,
    first: int,
    marks: Floats,
    pose: Floats,
    lengths: Floats,
    bar: Floats,
    grad: Floats,
    stage: int,
) -> None:
    """From the points of a Newton group to the known points and constants of its equations."""
    n = 0
    for pin in range(slot.shape[0]):
        n += 2 if slot[pin] >= 0 else 0
    matrix, right, spare, lam = np.zeros((n, n)), np.zeros(n), np.zeros(n), np.zeros(n)
    order = np.zeros(n, np.int64)
    for i in range(pose.shape[3]):
        if math.isnan(pose[0, rows[0, 1], 0, i]):
            continue
        fill_jacobian(rows, slot, consts, first, pose, i, float(lengths[i]), matrix, right)
        sign, _ = factor(matrix, order)
        if sign == 0.0:
            grad[:, :, i] = np.nan
            continue
        for level in range(stage, -1, -1):
            for pin in range(slot.shape[0]):
                if slot[pin] >= 0:
                    for axis in range(2):
                        right[2 * slot[pin] + axis] = bar[level, pin, axis, i]
                        bar[level, pin, axis, i] = 0.0
            solve_transposed(matrix, order, right, spare, lam)
            line = 0
            for j in range(rows.shape[0]):
                if rows[j, 0] == RIGID:
                    unwind_rigid(rows[j], slot, consts[first + j], marks, pose, lam, line, level, bar, grad, i)
                    line += 2
                else:
                    reach = float(lengths[i]) if rows[j, 0] == DRIVE else float(consts[first + j, 0])
                    unwind_distance(rows[j], slot, marks, pose, float(lam[line]) / reach, level, bar, grad, i)
                    line += 1


def unwind_distance(
    row: Ints, slot: Ints, marks: Floats, pose: Floats, share: float, level: int, bar: Floats, grad: Floats, i: int
) -> None:
    """One distance of a group."""
    p, q = row[1], row[2]
    for axis in range(2):
        if level == 1:
            moved = share * float(pose[1, p, axis, i] - pose[1, q, axis, i])
            bar[0, p, axis, i] -= moved
            bar[0, q, axis, i] += moved
        elif row[0] != DRIVE:
            drawn = share * float(marks[row[4], axis] - marks[row[5], axis])
            grad[row[4], axis, i] += drawn
            grad[row[5], axis, i] -= drawn
        along = share * float(pose[0, p, axis, i] - pose[0, q, axis, i])
        if slot[p] < 0:
            bar[level, p, axis, i] -= along
        if slot[q] < 0:
            bar[level, q, axis, i] += along


def unwind_rigid(
    row: Ints,
    slot: Ints,
    const: Floats,
    marks: Floats,
    pose: Floats,
    lam: Floats,
    line: int,
    level: int,
    bar: Floats,
    grad: Floats,
    i: int,
) -> None:
    """One rigid map of a group."""
    q, r = row[2], row[3]
    kx, kz = float(const[0]), float(const[1])
    bx, bz = float(lam[line]), float(lam[line + 1])
    cx, cz = kx * bx + kz * bz, kx * bz - kz * bx
    if slot[q] < 0:
        bar[level, q, 0, i] += bx - cx
        bar[level, q, 1, i] += bz - cz
    if slot[r] < 0:
        bar[level, r, 0, i] += cx
        bar[level, r, 1, i] += cz
    dx = float(pose[level, r, 0, i] - pose[level, q, 0, i])
    dz = float(pose[level, r, 1, i] - pose[level, q, 1, i])
    unwind_ratio(row, kx, kz, marks, dx * bx + dz * bz, dx * bz - dz * bx, grad, i)


def gradient(
    ops: Ints,
    rows: Ints,
    slot: Ints,
    fixed: Ints,
    marks: Floats,
    lengths: Floats,
    points: Floats,
    seeds: Ints,
    grad: Floats,
) -> None:
    """Gradients of places and velocities with respect to every drawn place, at every position.

    Parameters
    ----------
    ops, rows, slot, fixed
        The plan; see `linkage`.
    marks : (n_designs, n_marks, 2)
        Drawn places.
    lengths : (1 or n_designs, n_positions)
        Length of the driving link, held.
    points : (n_designs, 2 or 3, n_pins, 2, n_positions)
        As written by `linkage.sweep`.
    seeds : (n_seeds, 3)
        What to differentiate: pin, axis (0 x, 1 z), derivative (0 place, 1 velocity).
    grad : (n_designs, n_seeds, n_marks, 2, n_positions)
        Written; NaN where the design has stopped.
    """
    consts = np.zeros((ops.shape[0] + rows.shape[0], 3))
    bar = np.zeros((2, slot.shape[0], 2, points.shape[4]))
    for d in range(marks.shape[0]):
        length = lengths[d if lengths.shape[0] > 1 else 0]
        pose = points[d]
        code, _ = prepare(ops, rows, marks[d], consts)
        for s in range(seeds.shape[0]):
            out = grad[d, s]
            out[:] = 0.0 if code == OK else np.nan
            if code != OK:
                continue
            bar[:] = 0.0
            stage = seeds[s, 2]
            bar[stage, seeds[s, 0], seeds[s, 1], :] = 1.0
            for j in range(ops.shape[0] - 1, -1, -1):
                if ops[j, 0] == CARRY:
                    unwind_carry(ops[j], consts[j], marks[d], pose, bar, out, stage)
                elif ops[j, 0] == GROUP:
                    unwind_group(rows, slot, consts, ops.shape[0], marks[d], pose, length, bar, out, stage)
                else:
                    unwind_dyad(ops[j], marks[d], pose, bar, out, stage)
            for f in range(fixed.shape[0]):
                for axis in range(2):
                    for i in range(pose.shape[3]):
                        out[fixed[f, 1], axis, i] += bar[0, fixed[f, 0], axis, i]
            for i in range(pose.shape[3]):
                if math.isnan(pose[0, seeds[s, 0], 0, i]):
                    out[:, :, i] = np.nan

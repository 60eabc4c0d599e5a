"""Planar linkage arithmetic on bare arrays: a plan of operations, read for many designs and positions at once.

Nothing here knows what a bike is, raises, prints or reads a file; any one unit of length will do. Where a design
stops closing, its later positions are NaN and carry a status. The driving link is the last distance to be known:
its length is the input, and every derivative is with respect to its *shortening*.

Tables (int64), written by the plan compiler
    ops     (n_ops, 8)    DYAD, DRIVEN: kind, P, Q, R, then the marks of P, Q on the first arm and P, R on the second
                          CARRY: kind, X, P, Q, then the marks of X, P, Q;  GROUP: kind
    rows    (n_rows, 8)   equations of the Newton group (`linkage_group`)
    slot    (n_pins,)     place of a pin among the unknowns of the group, or -1
    fixed   (n_fixed, 2)  pin and mark of every point that stands still
    mark_pin (n_marks,)   pin of each mark
    drive   (2,)          the two marks of the driving link
Pose                      (derivative, pin, x or z, position), derivative 0 to `order`

Theory: docs/theory/linkage.md, docs/theory/kernels.md
"""

import math

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.kernels.linkage_group import DEAD_POINT, NO_LENGTH, NO_REACH, OK, settle_group

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DYAD, DRIVEN, CARRY, GROUP = 0, 1, 2, 3
FLAT = 1e-6
"""Sine of the angle between two arms below which they count as one line."""
COARSEST, FINEST = 0.005, 5e-9
"""Largest and smallest continuation step of a Newton group, as parts of the drawn length of the driving link."""

SIGNATURES = {
    "sweep": (
        "void(i8[:,::1], i8[:,::1], i8[::1], i8[:,::1], i8[::1], i8[::1], f8[:,:,::1], f8[:,::1], i8, i8[::1],"
        " f8[:,:,:,:,::1], f8[:,::1], i8[:,::1], i8[::1])"
    ),
}


def prepare(ops: Ints, rows: Ints, marks: Floats, consts: Floats) -> tuple[int, int]:
    """Radii and side of each dyad and ratio of each rigid map, from the marks of one design. Returns a status."""
    n_ops = ops.shape[0]
    for j in range(n_ops + rows.shape[0]):
        op = ops[j] if j < n_ops else rows[j - n_ops]
        kind = op[0]
        if kind == GROUP:
            continue
        ax = marks[op[4], 0] - marks[op[5], 0]
        az = marks[op[4], 1] - marks[op[5], 1]
        if kind == CARRY:
            bx = marks[op[6], 0] - marks[op[5], 0]
            bz = marks[op[6], 1] - marks[op[5], 1]
            square = bx * bx + bz * bz
            if not square > 0.0:
                return NO_LENGTH, j
            consts[j, 0] = (ax * bx + az * bz) / square
            consts[j, 1] = (az * bx - ax * bz) / square
        elif j < n_ops:
            bx = marks[op[6], 0] - marks[op[7], 0]
            bz = marks[op[6], 1] - marks[op[7], 1]
            first = math.sqrt(ax * ax + az * az)
            second = math.sqrt(bx * bx + bz * bz)
            if not (first > 0.0 and second > 0.0):
                return NO_LENGTH, j
            turn = ax * bz - az * bx
            consts[j, 0] = first
            consts[j, 1] = second
            consts[j, 2] = 1.0 if turn > 0.0 else -1.0
            if not abs(turn) > FLAT * first * second:
                return DEAD_POINT, j
        else:
            consts[j, 0] = math.sqrt(ax * ax + az * az)
            if not consts[j, 0] > 0.0:
                return NO_LENGTH, j
    return OK, -1


def place_dyad(op: Ints, const: Floats, pose: Floats, lengths: Floats, work: Floats, margin: Floats, end: int) -> int:
    """Third corner P of the triangle P, Q, R and its velocity. Returns at how many positions there is none.

    With D = R - Q and e1 = P - Q, e2 = P - R the signed product e1 x e2 is half the root of Heron's product, which
    keeps its digits where the arms are nearly in line. Where that has no root the arithmetic goes on with ones: one
    loop without a way out is what a compiler can run on several positions at a time.
    """
    first, side = float(const[0]), float(const[2])
    rate = -1.0 if op[0] == DRIVEN else 0.0
    arm = lengths
    if op[0] != DRIVEN:
        arm = work
        arm[:end] = const[1]
    px, pz, vx, vz = pose[0, op[1], 0], pose[0, op[1], 1], pose[1, op[1], 0], pose[1, op[1], 1]
    qx, qz, ux, uz = pose[0, op[2], 0], pose[0, op[2], 1], pose[1, op[2], 0], pose[1, op[2], 1]
    rx, rz, wx, wz = pose[0, op[3], 0], pose[0, op[3], 1], pose[1, op[3], 0], pose[1, op[3], 1]
    bad = 0
    for i in range(end):
        bx, bz = float(qx[i]), float(qz[i])
        dx, dz = float(rx[i]) - bx, float(rz[i]) - bz
        second = float(arm[i])
        square = dx * dx + dz * dz
        area = heron(first, second, square)
        sine = 2.0 * FLAT * first * second
        good = area > 0.0 and area >= sine * sine
        bad += 0 if good else 1
        second, square, area = (second, square, area) if good else (1.0, 1.0, 1.0)
        root = math.sqrt(area)
        shrink = 0.5 / square
        along = (first * first - second * second + square) * shrink
        across = side * root * shrink
        ex, ez = along * dx - across * dz, along * dz + across * dx
        fx, fz = ex - dx, ez - dz
        turn = 2.0 * side / root
        one = ex * float(ux[i]) + ez * float(uz[i])
        two = fx * float(wx[i]) + fz * float(wz[i]) + second * rate
        px[i] = bx + ex
        pz[i] = bz + ez
        vx[i] = (one * fz - two * ez) * turn
        vz[i] = (ex * two - fx * one) * turn
        margin[i] = min(float(margin[i]), root / (2.0 * first * second))
    return bad


def heron(first: float, second: float, square: float) -> float:
    """(4 x area)^2 of a triangle with two sides given and the square of the third."""
    return ((first + second) * (first + second) - square) * (square - (first - second) * (first - second))


def first_without(op: Ints, const: Floats, pose: Floats, lengths: Floats, end: int) -> tuple[int, int]:
    """First position at which `place_dyad` found no triangle, and why."""
    first = float(const[0])
    for i in range(end):
        dx = float(pose[0, op[3], 0, i]) - float(pose[0, op[2], 0, i])
        dz = float(pose[0, op[3], 1, i]) - float(pose[0, op[2], 1, i])
        second = float(lengths[i]) if op[0] == DRIVEN else float(const[1])
        area = heron(first, second, dx * dx + dz * dz)
        if not area > 0.0:
            return i, NO_REACH
        sine = 2.0 * FLAT * first * second
        if area < sine * sine:
            return i, DEAD_POINT
    return end, OK


def bend_dyad(op: Ints, pose: Floats, end: int) -> None:
    """Second derivative of the third corner, from the same two linear equations as its velocity."""
    rate = 1.0 if op[0] == DRIVEN else 0.0
    px, pz, vx, vz = pose[0, op[1], 0], pose[0, op[1], 1], pose[1, op[1], 0], pose[1, op[1], 1]
    qx, qz, ux, uz = pose[0, op[2], 0], pose[0, op[2], 1], pose[1, op[2], 0], pose[1, op[2], 1]
    rx, rz, wx, wz = pose[0, op[3], 0], pose[0, op[3], 1], pose[1, op[3], 0], pose[1, op[3], 1]
    ax, az = pose[2, op[1], 0], pose[2, op[1], 1]
    bx, bz, cx, cz = pose[2, op[2], 0], pose[2, op[2], 1], pose[2, op[3], 0], pose[2, op[3], 1]
    for i in range(end):
        x, z, sx, sz = float(px[i]), float(pz[i]), float(vx[i]), float(vz[i])
        ex, ez, fx, fz = x - float(qx[i]), z - float(qz[i]), x - float(rx[i]), z - float(rz[i])
        gx, gz, hx, hz = sx - float(ux[i]), sz - float(uz[i]), sx - float(wx[i]), sz - float(wz[i])
        one = ex * float(bx[i]) + ez * float(bz[i]) - (gx * gx + gz * gz)
        two = fx * float(cx[i]) + fz * float(cz[i]) + rate - (hx * hx + hz * hz)
        turn = 1.0 / (ex * fz - ez * fx)
        ax[i] = (one * fz - two * ez) * turn
        az[i] = (ex * two - fx * one) * turn


def carry_point(op: Ints, const: Floats, pose: Floats, order: int, end: int) -> None:
    """X = P + k (Q - P) with k complex and constant: the same linear map for places and all derivatives."""
    kx, kz = float(const[0]), float(const[1])
    for level in range(order + 1):
        xx, xz = pose[level, op[1], 0], pose[level, op[1], 1]
        px, pz = pose[level, op[2], 0], pose[level, op[2], 1]
        qx, qz = pose[level, op[3], 0], pose[level, op[3], 1]
        for i in range(end):
            bx, bz = float(px[i]), float(pz[i])
            dx, dz = float(qx[i]) - bx, float(qz[i]) - bz
            xx[i] = bx + (kx * dx - kz * dz)
            xz[i] = bz + (kx * dz + kz * dx)


def run_plan(
    ops: Ints,
    rows: Ints,
    slot: Ints,
    consts: Floats,
    pose: Floats,
    lengths: Floats,
    order: int,
    work: Floats,
    margin: Floats,
    end: int,
    guard: Floats,
) -> tuple[int, int, int]:
    """All operations at the positions before `end`. Returns the first position that fails, why, and at which operation.

    A group is solved at one position only (`end` is then 1), from the places that `pose` already holds.
    """
    code, culprit = OK, -1
    for j in range(ops.shape[0]):
        kind = ops[j, 0]
        if kind == CARRY:
            carry_point(ops[j], consts[j], pose, order, end)
        elif kind == GROUP:
            found = settle_group(rows, slot, consts, ops.shape[0], pose, float(lengths[0]), guard)
            if found != OK:
                return 0, found, j
            margin[0] = min(float(margin[0]), float(guard[1]))
        else:
            if place_dyad(ops[j], consts[j], pose, lengths, work, margin, end) > 0:
                end, code = first_without(ops[j], consts[j], pose, lengths, end)
                culprit = j
            if order > 1:
                bend_dyad(ops[j], pose, end)
    return end, code, culprit


def draw_pose(fixed: Ints, mark_pin: Ints, marks: Floats, pose: Floats) -> None:
    """Every point at the mean of its marks and at rest; fixed points exactly at their marks."""
    pose[:] = 0.0
    for pin in range(pose.shape[1]):
        count, x, z = 0, 0.0, 0.0
        for m in range(mark_pin.shape[0]):
            if mark_pin[m] == pin:
                count += 1
                x += float(marks[m, 0])
                z += float(marks[m, 1])
        pose[0, pin, 0, :] = x / max(count, 1)
        pose[0, pin, 1, :] = z / max(count, 1)
    for f in range(fixed.shape[0]):
        pose[0, fixed[f, 0], 0, :] = marks[fixed[f, 1], 0]
        pose[0, fixed[f, 0], 1, :] = marks[fixed[f, 1], 1]


def step_to(
    ops: Ints,
    rows: Ints,
    slot: Ints,
    consts: Floats,
    here: Floats,
    saved: Floats,
    length: float,
    target: float,
    coarsest: float,
    work: Floats,
    near: Floats,
    guard: Floats,
) -> tuple[float, int, int]:
    """Continue a plan with a Newton group from one driving length to another.

    The predictor is a second-order Taylor step; a step that needs more correction than a tenth of its motion, or that
    turns the sign of the Jacobian's determinant, is halved. Returns the length reached, a status and the operation.
    """
    # Read from the arrays, because numba would compile everything once more for literal numbers.
    order = here.shape[0] - 1
    finest = coarsest * (FINEST / COARSEST)
    step = coarsest
    code, culprit = OK, -1
    while length != target:
        move = target - length
        if abs(move) > step:
            move = step if move > 0.0 else -step
        saved[:] = here
        moved = 0.0
        for pin in range(slot.shape[0]):
            if slot[pin] >= 0:
                for axis in range(2):
                    shift = 0.5 * float(here[2, pin, axis, 0]) * move * move - float(here[1, pin, axis, 0]) * move
                    here[0, pin, axis, 0] += shift
                    moved = max(moved, abs(shift))
        ahead = target if move == target - length else length + move
        guard[3] = ahead
        guard[2] = 0.1 * moved + 1e-6 * coarsest
        near[0] = 1.0
        _, code, culprit = run_plan(ops, rows, slot, consts, here, guard[3:4], order, work, near, near.shape[0], guard)
        if code == OK:
            length = ahead
            step = min(2.0 * step, coarsest)
            continue
        here[:] = saved
        step = 0.5 * abs(move)
        if step < finest:
            break
    return length, code, culprit


def follow(
    ops: Ints,
    rows: Ints,
    slot: Ints,
    fixed: Ints,
    mark_pin: Ints,
    drive: Ints,
    marks: Floats,
    consts: Floats,
    lengths: Floats,
    pose: Floats,
    margin: Floats,
) -> tuple[int, int, int]:
    """One design with a Newton group, position by position from the drawn pose. Returns like `run_plan`."""
    n_pins = slot.shape[0]
    here = np.zeros((3, n_pins, 2, 1))
    saved = np.zeros((3, n_pins, 2, 1))
    work = np.zeros(1)
    near = np.ones(1)
    order = here.shape[0] - 1
    # guard: sign of the determinant (0 before it is known), margin, allowed first correction, driving length.
    guard = np.zeros(4)
    draw_pose(fixed, mark_pin, marks, here)
    dx = float(marks[drive[0], 0]) - float(marks[drive[1], 0])
    dz = float(marks[drive[0], 1]) - float(marks[drive[1], 1])
    length = math.sqrt(dx * dx + dz * dz)
    coarsest = COARSEST * length
    guard[2] = 0.2 * length
    guard[3] = length
    _, code, culprit = run_plan(ops, rows, slot, consts, here, guard[3:4], order, work, near, near.shape[0], guard)
    if code != OK:
        return 0, code, culprit
    for i in range(lengths.shape[0]):
        if float(lengths[i]) != length:
            length, code, culprit = step_to(
                ops, rows, slot, consts, here, saved, length, float(lengths[i]), coarsest, work, near, guard
            )
        if code != OK:
            return i, code, culprit
        margin[i] = near[0]
        for level in range(pose.shape[0]):
            pose[level, :, :, i] = here[level, :, :, 0]
        if float(near[0]) < FLAT:
            return i, DEAD_POINT, culprit
    return lengths.shape[0], OK, -1


def run_design(
    ops: Ints,
    rows: Ints,
    slot: Ints,
    fixed: Ints,
    mark_pin: Ints,
    drive: Ints,
    marks: Floats,
    consts: Floats,
    lengths: Floats,
    order: int,
    work: Floats,
    guard: Floats,
    pose: Floats,
    margin: Floats,
) -> tuple[int, int, int]:
    """One design at all positions. Returns the first position that fails, why, and at which operation."""
    margin[:] = 1.0
    code, at = prepare(ops, rows, marks, consts)
    if code != OK:
        return 0, code, at
    if rows.shape[0] > 0:
        return follow(ops, rows, slot, fixed, mark_pin, drive, marks, consts, lengths, pose, margin)
    for f in range(fixed.shape[0]):
        for axis in range(2):
            # Row by row, because an assignment to a block of rows is not turned into wide stores.
            for level in range(pose.shape[0]):
                row = pose[level, fixed[f, 0], axis]
                row[:] = marks[fixed[f, 1], axis] if level == 0 else 0.0
    return run_plan(ops, rows, slot, consts, pose, lengths, order, work, margin, lengths.shape[0], guard)


def sweep(
    ops: Ints,
    rows: Ints,
    slot: Ints,
    fixed: Ints,
    mark_pin: Ints,
    drive: Ints,
    marks: Floats,
    lengths: Floats,
    order: int,
    keep: Ints,
    points: Floats,
    margin: Floats,
    status: Ints,
    culprit: Ints,
) -> None:
    """Every point of every design at every driving length, with derivatives.

    Parameters
    ----------
    ops, rows, slot, fixed, mark_pin, drive
        The plan; see the head of this module.
    marks : (n_designs, n_marks, 2)
        Drawn places.
    lengths : (1 or n_designs, n_positions)
        Length of the driving link at each position.
    order : int
        Highest derivative wanted, 1 or 2.
    keep : (n_kept,)
        Pins to write; none means all. A short list spares the memory that bounds a study of many designs.
    points : (n_designs, order + 1, n_pins or n_kept, 2, n_positions)
        Written: places and derivatives with respect to the driving link's shortening.
    margin : (n_designs, n_positions)
        Written: the smallest sine of the angle between two arms, or normalised determinant of a group.
    status : (n_designs, n_positions)
        Written: OK or why the design stopped.
    culprit : (n_designs,)
        Written: the operation that stopped the design, or -1.
    """
    n_positions, n_kept = lengths.shape[1], keep.shape[0]
    consts = np.zeros((ops.shape[0] + rows.shape[0], 3))
    work = np.zeros(n_positions)
    guard = np.zeros(4)
    scratch = np.zeros((order + 1, slot.shape[0], 2, n_positions if n_kept > 0 else 0))
    for d in range(marks.shape[0]):
        length = lengths[d if lengths.shape[0] > 1 else 0]
        pose = scratch if n_kept > 0 else points[d]
        good, code, at = run_design(
            ops, rows, slot, fixed, mark_pin, drive, marks[d], consts, length, order, work, guard, pose, margin[d]
        )
        culprit[d] = at
        status[d, :good] = OK
        if good < n_positions:
            status[d, good:] = code
            margin[d, good:] = np.nan
            pose[:, :, :, good:] = np.nan
        for k in range(n_kept):
            for level in range(order + 1):
                points[d, level, k, 0, :] = pose[level, keep[k], 0]
                points[d, level, k, 1, :] = pose[level, keep[k], 1]

"""Points of a linkage that no chain of circles and rigid maps reaches: all of them at once, by Newton's method.

The equations are distances between two points and rigid maps of a third. Tables as in `linkage`; the statuses of both
stand here.
The elimination is written out here because a group has some 8 to 20 unknowns: a library call for each costs more than
the arithmetic, and the compiled kernel holds no interpreter lock only as long as it calls nothing outside.
Rows are scaled by their distances, so a pivot is a pure number.
"""

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DISTANCE, DRIVE, RIGID = 0, 1, 2
OK, NO_REACH, DEAD_POINT, NOT_SETTLED, OTHER_CIRCUIT, NO_LENGTH = 0, 1, 2, 3, 4, 5
SINGULAR = 1e-9
"""A pivot below this part of the largest means that the group is at a dead point."""


def factor(matrix: Floats, order: Ints) -> tuple[float, float]:
    """LU with partial pivoting in place. Returns the sign of the determinant (0 if singular) and its normalised size.

    Normalised by the lengths of the rows: for two unknowns this is the sine of the angle between two links.
    """
    n = matrix.shape[0]
    sign, size, most = 1.0, 1.0, 0.0
    for r in range(n):
        total = 0.0
        for k in range(n):
            total += float(matrix[r, k]) * float(matrix[r, k])
        size /= math.sqrt(total) if total > 0.0 else 1.0
    for i in range(n):
        order[i] = i
    for c in range(n):
        best = c
        for r in range(c + 1, n):
            if abs(matrix[r, c]) > abs(matrix[best, c]):
                best = r
        if best != c:
            sign = -sign
            order[c], order[best] = order[best], order[c]
            for k in range(n):
                held = matrix[c, k]
                matrix[c, k] = matrix[best, k]
                matrix[best, k] = held
        pivot = float(matrix[c, c])
        most = max(most, abs(pivot))
        size *= abs(pivot)
        if not abs(pivot) > SINGULAR * most:
            return 0.0, 0.0
        sign = sign if pivot > 0.0 else -sign
        for r in range(c + 1, n):
            scale = float(matrix[r, c]) / pivot
            matrix[r, c] = scale
            if scale != 0.0:
                for k in range(c + 1, n):
                    matrix[r, k] -= scale * float(matrix[c, k])
    return sign, size


def solve(matrix: Floats, order: Ints, right: Floats, answer: Floats) -> None:
    """Solve with the factors of `factor`."""
    n = matrix.shape[0]
    for r in range(n):
        total = float(right[order[r]])
        for k in range(r):
            total -= float(matrix[r, k]) * float(answer[k])
        answer[r] = total
    for r in range(n - 1, -1, -1):
        total = float(answer[r])
        for k in range(r + 1, n):
            total -= float(matrix[r, k]) * float(answer[k])
        answer[r] = total / float(matrix[r, r])


def solve_transposed(matrix: Floats, order: Ints, right: Floats, spare: Floats, answer: Floats) -> None:
    """Solve the transposed system with the factors of `factor`."""
    n = matrix.shape[0]
    for r in range(n):
        total = float(right[r])
        for k in range(r):
            total -= float(matrix[k, r]) * float(spare[k])
        spare[r] = total / float(matrix[r, r])
    for r in range(n - 1, -1, -1):
        total = float(spare[r])
        for k in range(r + 1, n):
            total -= float(matrix[k, r]) * float(spare[k])
        spare[r] = total
    for r in range(n):
        answer[order[r]] = spare[r]


def fill_jacobian(
    rows: Ints,
    slot: Ints,
    consts: Floats,
    first: int,
    pose: Floats,
    i: int,
    length: float,
    matrix: Floats,
    residual: Floats,
) -> None:
    """Unit-length rows of the group's equations at position `i`, and how far each is from being met."""
    matrix[:] = 0.0
    line = 0
    for j in range(rows.shape[0]):
        kind, p, q = rows[j, 0], rows[j, 1], rows[j, 2]
        px, pz = float(pose[0, p, 0, i]), float(pose[0, p, 1, i])
        if kind == RIGID:
            r = rows[j, 3]
            kx, kz = float(consts[first + j, 0]), float(consts[first + j, 1])
            qx, qz = float(pose[0, q, 0, i]), float(pose[0, q, 1, i])
            dx, dz = float(pose[0, r, 0, i]) - qx, float(pose[0, r, 1, i]) - qz
            residual[line] = px - qx - (kx * dx - kz * dz)
            residual[line + 1] = pz - qz - (kx * dz + kz * dx)
            put(matrix, line, slot[p], 1.0, 0.0)
            put(matrix, line + 1, slot[p], 0.0, 1.0)
            put(matrix, line, slot[q], kx - 1.0, -kz)
            put(matrix, line + 1, slot[q], kz, kx - 1.0)
            put(matrix, line, slot[r], -kx, kz)
            put(matrix, line + 1, slot[r], -kz, -kx)
            line += 2
        else:
            reach = length if kind == DRIVE else float(consts[first + j, 0])
            dx, dz = px - float(pose[0, q, 0, i]), pz - float(pose[0, q, 1, i])
            residual[line] = 0.5 * ((dx * dx + dz * dz) / reach - reach)
            put(matrix, line, slot[p], dx / reach, dz / reach)
            put(matrix, line, slot[q], -dx / reach, -dz / reach)
            line += 1


def put(matrix: Floats, line: int, place: int, x: float, z: float) -> None:
    """Write the two entries of an unknown point; nothing where the point is known."""
    if place >= 0:
        matrix[line, 2 * place] = x
        matrix[line, 2 * place + 1] = z


def fill_rates(
    rows: Ints, slot: Ints, consts: Floats, first: int, pose: Floats, length: float, level: int, right: Floats
) -> None:
    """Right-hand side of the velocity (level 1) or second-derivative (level 2) equations: what is already known."""
    line = 0
    for j in range(rows.shape[0]):
        kind, p, q = rows[j, 0], rows[j, 1], rows[j, 2]
        if kind == RIGID:
            r = rows[j, 3]
            kx, kz = float(consts[first + j, 0]), float(consts[first + j, 1])
            qx, qz = known(slot, pose, level, q)
            sx, sz = known(slot, pose, level, r)
            px, pz = known(slot, pose, level, p)
            right[line] = qx + (kx * (sx - qx) - kz * (sz - qz)) - px
            right[line + 1] = qz + (kx * (sz - qz) + kz * (sx - qx)) - pz
            line += 2
            continue
        reach = length if kind == DRIVE else float(consts[first + j, 0])
        rate = -1.0 if kind == DRIVE else 0.0
        dx = float(pose[0, p, 0, 0]) - float(pose[0, q, 0, 0])
        dz = float(pose[0, p, 1, 0]) - float(pose[0, q, 1, 0])
        px, pz = known(slot, pose, level, p)
        qx, qz = known(slot, pose, level, q)
        total = rate
        if level == 2:
            vx = float(pose[1, p, 0, 0]) - float(pose[1, q, 0, 0])
            vz = float(pose[1, p, 1, 0]) - float(pose[1, q, 1, 0])
            total = (rate * rate - vx * vx - vz * vz) / reach
        right[line] = total - (dx * (px - qx) + dz * (pz - qz)) / reach
        line += 1


def known(slot: Ints, pose: Floats, level: int, pin: int) -> tuple[float, float]:
    """Derivative of a point that the group does not solve for; zero for one that it does."""
    if slot[pin] >= 0:
        return 0.0, 0.0
    return float(pose[level, pin, 0, 0]), float(pose[level, pin, 1, 0])


def scatter(slot: Ints, answer: Floats, pose: Floats, level: int, add: bool) -> None:
    """Put the unknowns into a pose with one position, added to what is there or in its place."""
    for pin in range(slot.shape[0]):
        if slot[pin] >= 0:
            for axis in range(2):
                value = float(answer[2 * slot[pin] + axis])
                pose[level, pin, axis, 0] = float(pose[level, pin, axis, 0]) + value if add else value


def settle_group(rows: Ints, slot: Ints, consts: Floats, first: int, pose: Floats, length: float, guard: Floats) -> int:
    """Newton from the places in `pose` (one position), then both derivatives. Returns a status.

    `guard` holds the sign of the determinant to keep (0: not known yet, then written), its normalised size (written),
    and the largest first correction to accept. Once a correction is below 1e-9 of the driving length, one more step
    takes the quadratic convergence to rounding.
    """
    n = 0
    for pin in range(slot.shape[0]):
        n += 2 if slot[pin] >= 0 else 0
    matrix, right, answer, order = np.zeros((n, n)), np.zeros(n), np.zeros(n), np.zeros(n, np.int64)
    last = False
    for turn in range(25):
        fill_jacobian(rows, slot, consts, first, pose, 0, length, matrix, right)
        sign, size = factor(matrix, order)
        if sign == 0.0:
            return DEAD_POINT
        solve(matrix, order, right, answer)
        largest = 0.0
        for k in range(n):
            answer[k] = -float(answer[k])
            largest = max(largest, abs(float(answer[k])))
        if not (turn > 0 or largest <= float(guard[2])) or not largest < 1e6:
            return NOT_SETTLED
        scatter(slot, answer, pose, 0, True)
        if last:
            break
        last = largest < 1e-9 * length
    if not last:
        return NOT_SETTLED
    fill_jacobian(rows, slot, consts, first, pose, 0, length, matrix, right)
    sign, size = factor(matrix, order)
    if sign == 0.0:
        return DEAD_POINT
    if float(guard[0]) != 0.0 and sign != float(guard[0]):
        return OTHER_CIRCUIT
    guard[0] = sign
    guard[1] = size
    for level in range(1, 3):
        fill_rates(rows, slot, consts, first, pose, length, level, right)
        solve(matrix, order, right, answer)
        scatter(slot, answer, pose, level, False)
    return OK

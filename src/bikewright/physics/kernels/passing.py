"""What passes what: straight rods in space that are turned about an axis, and straight lines beside a circle.

A rod is a straight line with a radius. Nothing here raises.

Theory: docs/theory/turned_bar.md, docs/theory/heel.md, docs/theory/kernels.md
"""

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]

STEPS = 36
"""Even steps over a range of turns; between them every low place that may count is closed in on."""
SHRINKS, HALVINGS = 26, 34
"""Steps of closing in on a low place, which leave 4e-6 of a step (the gap is flat there), and on a contact, 6e-11."""
GOLDEN = 0.5 * (math.sqrt(5.0) - 1.0)

TOUCHES, PASSES = 1, 0
"""What `turned_past` returns."""
(LEAST, LEAST_AT, AWAY_X, AWAY_Y, AWAY_Z, TOUCH_AT) = range(6)
"""Its row: least gap and its turn, the way there from the fixed rod's line to the turned one, turn of first contact."""

SIGNATURES = {
    "turned_past": "i8(f8[:,::1], f8[::1], f8, f8[::1])",
    "beside_circle": "void(f8[:,:,::1], i8[:,::1], f8, f8, f8, f8[::1])",
}


def between(
    ax: float, ay: float, az: float, bx: float, by: float, bz: float,
    cx: float, cy: float, cz: float, dx: float, dy: float, dz: float,
) -> tuple[float, float, float]:  # fmt: skip
    """Shortest way from the straight piece c to d to the straight piece a to b, as a vector.

    The square of the distance is a convex quadratic of the places on both pieces. Its least is where both lines are
    nearest, if that is on both pieces; else it is at an end of one of them, and four such are looked at.
    """
    ux, uy, uz = bx - ax, by - ay, bz - az
    vx, vy, vz = dx - cx, dy - cy, dz - cz
    wx, wy, wz = ax - cx, ay - cy, az - cz
    uu, vv, uv = ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz, ux * vx + uy * vy + uz * vz
    uw, vw = ux * wx + uy * wy + uz * wz, vx * wx + vy * wy + vz * wz
    bent = uu * vv - uv * uv
    if bent > 1e-12 * uu * vv:
        s, t = (uv * vw - vv * uw) / bent, (uu * vw - uv * uw) / bent
        if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0:
            return wx + s * ux - t * vx, wy + s * uy - t * vy, wz + s * uz - t * vz
    least, best_x, best_y, best_z = np.inf, 0.0, 0.0, 0.0
    for corner in range(4):
        if corner < 2:
            s = float(corner)
            t = min(max((vw + s * uv) / vv, 0.0), 1.0) if vv > 0.0 else 0.0
        else:
            t = float(corner - 2)
            s = min(max((t * uv - uw) / uu, 0.0), 1.0) if uu > 0.0 else 0.0
        x, y, z = wx + s * ux - t * vx, wy + s * uy - t * vy, wz + s * uz - t * vz
        square = x * x + y * y + z * z
        if square < least:
            least, best_x, best_y, best_z = square, x, y, z
    return best_x, best_y, best_z


def gap_at(rods: Floats, fixed: Floats, turn: float, out: Floats) -> float:
    """Least gap of some rods, turned about the z axis, to a fixed rod; `out` takes the way there at `AWAY_X` on."""
    sine, cosine = math.sin(turn), math.cos(turn)
    least = np.inf
    for i in range(rods.shape[0]):
        x, y, z = between(
            float(rods[i, 0]) * cosine - float(rods[i, 1]) * sine,
            float(rods[i, 0]) * sine + float(rods[i, 1]) * cosine,
            float(rods[i, 2]),
            float(rods[i, 3]) * cosine - float(rods[i, 4]) * sine,
            float(rods[i, 3]) * sine + float(rods[i, 4]) * cosine,
            float(rods[i, 5]),
            float(fixed[0]),
            float(fixed[1]),
            float(fixed[2]),
            float(fixed[3]),
            float(fixed[4]),
            float(fixed[5]),
        )
        gap = math.sqrt(x * x + y * y + z * z) - float(rods[i, 6]) - float(fixed[6])
        if gap < least:
            least = gap
            out[AWAY_X], out[AWAY_Y], out[AWAY_Z] = x, y, z
    return least


def turned_past(rods: Floats, fixed: Floats, most: float, out: Floats) -> int:
    """Turn rods (m, 7) about the z axis from nought to `most` past a fixed rod (7).

    A rod is a row: x, y, z of one end and of the other, and its radius.
    Fills `out` with the row named above and returns `TOUCHES` or `PASSES`; without a contact `TOUCH_AT` is `most`.
    """
    step = most / STEPS
    gaps = np.empty(STEPS + 1)
    for i in range(STEPS + 1):
        gaps[i] = gap_at(rods, fixed, i * step, out)
    # A point moves by its distance from the axis for each radian, so a gap can fall no faster.
    fall = step * farthest(rods)
    floor = max(float(np.min(gaps)), 0.0) + fall
    out[LEAST], out[LEAST_AT], out[TOUCH_AT] = np.inf, 0.0, most
    status = PASSES
    for i in range(STEPS + 1):
        at, gap = i * step, float(gaps[i])
        low, high = max(i - 1, 0), min(i + 1, STEPS)
        if gap <= gaps[low] and gap <= gaps[high] and gap <= floor:
            at, gap = low_place(rods, fixed, low * step, high * step, at, gap, out)
        if gap < out[LEAST]:
            out[LEAST], out[LEAST_AT] = gap, at
        if status == PASSES and gap <= 0.0:
            status, out[TOUCH_AT] = TOUCHES, first_contact(rods, fixed, low * step, at, out)
    gap_at(rods, fixed, float(out[LEAST_AT]), out)
    return status


def farthest(rods: Floats) -> float:
    """Farthest that an end of a rod is from the z axis."""
    most = 0.0
    for i in range(rods.shape[0]):
        start, end = math.hypot(rods[i, 0], rods[i, 1]), math.hypot(rods[i, 3], rods[i, 4])
        most = max(most, start, end)
    return most


def low_place(
    rods: Floats, fixed: Floats, low: float, high: float, at: float, gap: float, out: Floats
) -> tuple[float, float]:
    """Turn and gap of the lowest place between two turns, by golden section; never above that of the turn given."""
    left, right = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_left, at_right = gap_at(rods, fixed, left, out), gap_at(rods, fixed, right, out)
    for _ in range(SHRINKS):
        if at_left <= at_right:
            high, right, at_right = right, left, at_left
            left = high - GOLDEN * (high - low)
            at_left = gap_at(rods, fixed, left, out)
        else:
            low, left, at_left = left, right, at_right
            right = low + GOLDEN * (high - low)
            at_right = gap_at(rods, fixed, right, out)
    found = left if at_left <= at_right else right
    lowest = min(at_left, at_right)
    return (found, lowest) if lowest < gap else (at, gap)


def first_contact(rods: Floats, fixed: Floats, clear: float, met: float, out: Floats) -> float:
    """Turn at which the gap closes, between a turn that is clear and one that is not, by halving."""
    if gap_at(rods, fixed, clear, out) <= 0.0:
        return clear
    for _ in range(HALVINGS):
        middle = 0.5 * (clear + met)
        if gap_at(rods, fixed, middle, out) > 0.0:
            clear = middle
        else:
            met = middle
    return met


def beside_circle(corners: Floats, webs: Counts, x: float, z: float, radius: float, out: Floats) -> None:
    """Nearest that straight pieces come to a circle's line, over many places of their ends.

    `corners` (n, k, 2) are the ends at each place, `webs` (m, 2) which of them a piece joins. A piece whose distances
    from the centre span the radius crosses the line. Fills `out` with the least distance, the place, and the bearing
    from the centre at which the line is nearest.
    """
    out[0], out[1], out[2] = np.inf, 0.0, 0.0
    for i in range(corners.shape[0]):
        for j in range(webs.shape[0]):
            a, b = int(webs[j, 0]), int(webs[j, 1])
            ax, az = float(corners[i, a, 0]) - x, float(corners[i, a, 1]) - z
            ux, uz = float(corners[i, b, 0]) - x - ax, float(corners[i, b, 1]) - z - az
            square, along = ux * ux + uz * uz, ax * ux + az * uz
            share = min(max(-along / square, 0.0), 1.0) if square > 0.0 else 0.0
            near = math.hypot(ax + share * ux, az + share * uz)
            start, end = math.hypot(ax, az), math.hypot(ax + ux, az + uz)
            if near >= radius:
                gap = near - radius
            elif max(start, end) <= radius:
                gap, share = radius - max(start, end), 0.0 if start > end else 1.0
            else:
                # |a + s u| is the radius: beyond the near place, towards the end that is outside.
                gap = 0.0
                root = math.sqrt(max(along * along - square * (start * start - radius * radius), 0.0))
                share = (root - along) / square if end > radius else (-root - along) / square
            if gap < out[0]:
                out[0], out[1] = gap, float(i)
                out[2] = math.atan2(az + share * uz, ax + share * ux)

"""The project's formulation of a linkage sweep, written for an array library: NumPy or JAX.

One straight line of array operations for each plan, as a competent user of either library would write it: no loop
over designs or positions, nothing computed for pins that stand still, no second root. Both peers are made from this one
source. The plan's tables are read while the line is laid, so each peer runs code made for its layout, while the
project's own kernel reads the plan as it goes.
"""

from collections.abc import Callable
from typing import Any

from bikewright.physics.kernels.linkage import CARRY, DRIVEN
from bikewright.physics.linkage.plan import Plan

Array = Any


def line_of_centre(plan: Plan) -> tuple[int, int]:
    """Two pins of the first rigid body on the axle, for its instant centre: the axle and a joint."""
    layout = plan.layout
    held = layout.pins_of[layout.axle_bodies[0]]
    return held[0], layout.axle


def outputs(plan: Plan, xp: Any) -> Callable[[Array, Array], list[Array]]:
    """A function of marks (..., n_marks, 2) and lengths (n,) that gives every output, a list of arrays (..., n).

    Places x and z of every moving pin, then the leverage ratio, then x and z of the axle body's instant centre.
    """

    def run(marks: Array, lengths: Array) -> list[Array]:
        places, rates = walk(plan, xp, marks, lengths)
        still = {int(pin) for pin, _ in plan.fixed}
        base, axle = line_of_centre(plan)
        (px, pz), (ax, az) = places[base], places[axle]
        (vx, vz), (wx, wz) = rates[base], rates[axle]
        dx, dz = ax - px, az - pz
        inverse = (dx * dx + dz * dz) / (dx * (wz - vz) - dz * (wx - vx))
        kept = [value for pin, place in enumerate(places) if pin not in still for value in place]
        return [*kept, rates[axle][1], px - vz * inverse, pz + vx * inverse]

    return run


def leverage(plan: Plan, xp: Any) -> Callable[[Array, Array], Array]:
    """A function of marks and lengths that gives the leverage ratio alone, (..., n)."""

    def run(marks: Array, lengths: Array) -> Array:
        return walk(plan, xp, marks, lengths)[1][plan.layout.axle][1]

    return run


def walk(plan: Plan, xp: Any, marks: Array, lengths: Array) -> tuple[list[Any], list[Any]]:
    """Places and rates of every pin; the rate of a pin that stands still is None."""
    count = len(plan.layout.pins)
    places: list[Any] = [None] * count
    rates: list[Any] = [None] * count

    def mark(m: int) -> tuple[Array, Array]:
        return marks[..., m, 0, None], marks[..., m, 1, None]

    for pin, m in plan.fixed:
        places[pin] = mark(m)
    for op in plan.ops:
        kind, x, p, q = (int(v) for v in op[:4])
        if kind == CARRY:
            ratio = _ratio(*(mark(int(m)) for m in op[4:7]))
            places[x] = _carried(places[p], places[q], ratio)
            rates[x] = _carried(rates[p] or (0.0, 0.0), rates[q] or (0.0, 0.0), ratio)
        else:
            arms = [mark(int(m)) for m in op[4:8]]
            places[x], rates[x] = _dyad(xp, arms, (places[p], places[q]), (rates[p], rates[q]), lengths, kind == DRIVEN)
    return places, rates


def _ratio(at: Any, start: Any, end: Any) -> tuple[Array, Array]:
    ax, az, bx, bz = at[0] - start[0], at[1] - start[1], end[0] - start[0], end[1] - start[1]
    inverse = 1.0 / (bx * bx + bz * bz)
    return (ax * bx + az * bz) * inverse, (az * bx - ax * bz) * inverse


def _carried(p: Any, q: Any, ratio: Any) -> tuple[Array, Array]:
    kx, kz = ratio
    dx, dz = q[0] - p[0], q[1] - p[1]
    return p[0] + (kx * dx - kz * dz), p[1] + (kx * dz + kz * dx)


def _dyad(xp: Any, arms: Any, ends: Any, rates: Any, lengths: Array, driven: bool) -> tuple[Any, Any]:
    ax, az, bx, bz = (
        arms[0][0] - arms[1][0],
        arms[0][1] - arms[1][1],
        arms[2][0] - arms[3][0],
        arms[2][1] - arms[3][1],
    )
    side = xp.sign(ax * bz - az * bx)
    first = ax * ax + az * az
    second = lengths * lengths if driven else bx * bx + bz * bz
    (qx, qz), (rx, rz) = ends
    dx, dz = rx - qx, rz - qz
    square = dx * dx + dz * dz
    along = first - second + square
    # One root and one division for the place, one division for the rate.
    root = side * xp.sqrt(4.0 * first * square - along * along)
    shrink = 0.5 / square
    along, across = along * shrink, root * shrink
    ex, ez = along * dx - across * dz, along * dz + across * dx
    fx, fz = ex - dx, ez - dz
    turn = 2.0 / root
    one = None if rates[0] is None else (ex * rates[0][0] + ez * rates[0][1]) * turn
    two = None if rates[1] is None else (fx * rates[1][0] + fz * rates[1][1]) * turn
    if driven:
        two = -lengths * turn if two is None else two - lengths * turn
    place = qx + ex, qz + ez
    if one is None:
        return place, (-two * ez, ex * two)
    if two is None:
        return place, (one * fz, -fx * one)
    return place, (one * fz - two * ez, ex * two - fx * one)

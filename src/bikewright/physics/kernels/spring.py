"""Force, rate and energy of springs that share one shaft, from one row of numbers, and the stroke of a force.

A spring knows nothing of what it carries; any units that fit together will do. Energy is counted from stroke nought,
compression is positive. A gas chamber that a stroke sweeps whole has no force: all three are NaN.

Row (float64)
    how many parts, then for each part: its kind, how many numbers follow, and those numbers
    COIL      rate at the free length, growth of the rate per compression, compression at stroke nought
    GAS       exponent n of p V^n, push of the air outside, stroke of the port, how many chambers there are below the
              port and beyond it, then each chamber: area, volume at stroke nought, p V and V where the gas was last
              settled, energy to add; below the port first
    TABLE     stroke of the first touch, then each knot: place after the touch, coefficients of the cubic from there on
              (constant first), energy there
    TOP_OUT   rate, stroke at which it lets go

Theory: docs/theory/springs.md, docs/theory/kernels.md
"""

import math

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.kernels.linkage_group import NOT_SETTLED, OK

Floats = NDArray[np.float64]

COIL, GAS, TABLE, TOP_OUT = 0, 1, 2, 3
CHAMBER, KNOT = 5, 6
"""Numbers of one chamber and of one knot."""

SETTLED = 1e-13
"""Part of the stroke to which `stroke_of` closes its bracket or its step."""
STEPS_MAX = 200
"""Bisection alone would need 44 steps."""
NEAR_STEPS = 6
"""Newton's method doubles its digits in each step; more than this many and the guess was not near."""

SIGNATURES = {"states": "void(f8[::1], f8[::1], f8[:,::1])"}


def state(row: Floats, stroke: float) -> tuple[float, float, float]:
    """Force, rate and energy of all parts together."""
    force = rate = energy = 0.0
    at = 1
    for _ in range(int(row[0])):
        kind, first = int(row[at]), at + 2
        end = first + int(row[at + 1])
        if kind == COIL:
            more, steeper, stored = coil(row, first, stroke)
        elif kind == GAS:
            more, steeper, stored = gas(row, first, stroke)
        elif kind == TABLE:
            more, steeper, stored = table(row, first, end, stroke)
        else:
            more, steeper, stored = top_out(row, first, stroke)
        force += more
        rate += steeper
        energy += stored
        at = end
    return force, rate, energy


def states(row: Floats, strokes: Floats, out: Floats) -> None:
    """The same at many strokes: force, rate and energy as the rows of `out` (3, n)."""
    for i in range(strokes.shape[0]):
        out[0, i], out[1, i], out[2, i] = state(row, float(strokes[i]))


def coil(row: Floats, first: int, stroke: float) -> tuple[float, float, float]:
    """F = y (k + g y / 2) with y the coil's own compression.

    The energy put in before stroke nought is not given back, so that it does not count.
    """
    start, growth, before = float(row[first]), float(row[first + 1]), float(row[first + 2])
    pressed = stroke + before
    force = pressed * (start + 0.5 * growth * pressed)
    squares = pressed * pressed + pressed * before + before * before
    return force, start + growth * pressed, stroke * (0.5 * start * (pressed + before) + growth / 6.0 * squares)


def gas(row: Floats, first: int, stroke: float) -> tuple[float, float, float]:
    """F = sum(p A) less the push from outside, p = p_s (V_s/V)^n; rate sum(n p A^2/V); energy sum of the work on it."""
    exponent, back, port = float(row[first]), float(row[first + 1]), float(row[first + 2])
    joined, parted = int(row[first + 3]), int(row[first + 4])
    m = exponent - 1.0
    at, n = (first + 5, joined) if stroke < port else (first + 5 + CHAMBER * joined, parted)
    force = rate = energy = 0.0
    for _ in range(n):
        area, settled, settled_volume = float(row[at]), float(row[at + 2]), float(row[at + 3])
        volume = float(row[at + 1]) - area * stroke
        if volume <= 0.0:
            return np.nan, np.nan, np.nan
        log = math.log(settled_volume / volume)
        gain = math.expm1(m * log)
        push = settled * (1.0 + gain) * area / volume
        force += push
        rate += push * area / volume
        energy += settled * (gain / m if m != 0.0 else log) + float(row[at + 4])
        at += CHAMBER
    return force - back, exponent * rate, energy - back * stroke


def table(row: Floats, first: int, end: int, stroke: float) -> tuple[float, float, float]:
    """Nothing before the touch, then one cubic from knot to knot; the last one goes on."""
    pressed = stroke - float(row[first])
    if pressed <= 0.0:
        return 0.0, 0.0, 0.0
    at = first + 1
    while at + KNOT < end and float(row[at + KNOT]) <= pressed:
        at += KNOT
    t = pressed - float(row[at])
    a, b, c, d = float(row[at + 1]), float(row[at + 2]), float(row[at + 3]), float(row[at + 4])
    force = a + t * (b + t * (c + t * d))
    energy = float(row[at + 5]) + t * (a + t * (b / 2.0 + t * (c / 3.0 + t * d / 4.0)))
    return force, b + t * (2.0 * c + t * 3.0 * d), energy


def top_out(row: Floats, first: int, stroke: float) -> tuple[float, float, float]:
    """A pull that ends where it lets go."""
    rate, length = float(row[first]), float(row[first + 1])
    left = length - stroke
    if left <= 0.0:
        return 0.0, 0.0, -0.5 * rate * length * length
    return -rate * left, rate, 0.5 * rate * (left * left - length * length)


def stroke_of(row: Floats, force: float, full: float, near: float) -> tuple[int, float]:
    """A status, and where the force rests: by Newton's method from `near`, else inside a bracket that closes.

    The bracket's halves serve where Newton's step leaves it. `near` is NaN where there is no guess.
    """
    at = near
    for _ in range(NEAR_STEPS if near >= 0.0 else 0):
        found, rate, _energy = state(row, at)
        if not rate > 0.0:
            break
        step = at - (found - force) / rate
        if not 0.0 < step < full:
            break
        if abs(step - at) <= SETTLED * full:
            return OK, step
        at = step
    low, high = 0.0, full
    if force <= state(row, low)[0]:
        return OK, low
    if force >= state(row, high)[0]:
        return OK, high
    at = 0.5 * high
    for _ in range(STEPS_MAX):
        found, rate, _energy = state(row, at)
        over = found - force
        if over == 0.0:
            return OK, at
        if np.isnan(over):
            break
        if over > 0.0:
            high = at
        else:
            low = at
        step = at - over / rate if rate > 0.0 else low
        nearer = step if low < step < high else 0.5 * (low + high)
        if abs(nearer - at) <= SETTLED * full:
            return OK, nearer
        at = nearer
    return NOT_SETTLED, at

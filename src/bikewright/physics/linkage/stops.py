"""Where a linkage stops, and in which words to say so.

Question answered   At which stroke does the linkage lock, or the wheel turn round, and which links are the cause?
Method              Bisection on the shock's length between the last position that works and the first that does not.
Axes and signs      Stroke and wheel travel positive in compression.
Left out            What lies beyond the stop.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass, replace
from math import hypot

import numpy as np
from numpy.typing import NDArray

from bikewright.errors import LinkageAtDeadPoint, LinkageDoesNotClose, LinkageError, SolverDidNotSettle
from bikewright.physics.kernels.linkage import DRIVEN, DYAD
from bikewright.physics.kernels.linkage_group import DEAD_POINT, NO_LENGTH, NO_REACH, NOT_SETTLED, OTHER_CIRCUIT
from bikewright.physics.linkage.layout import SHOCK
from bikewright.physics.linkage.plan import Plan
from bikewright.physics.linkage.run import sweep
from bikewright.units import MM

Floats = NDArray[np.float64]

RESOLUTION = 1e-6
"""Stroke within which a stop is placed [m]."""
WHEEL_TURNS = -1
"""Status, beside those of the kernel, of a wheel that stops rising."""
NARROW = 0.2
"""Margin below which its smallest value between two positions is looked for. [-]"""
SHALLOW = 0.5
"""Leverage ratio below which the same is done for it. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """Where and why a linkage stops."""

    status: int
    """Status of the kernel, or `WHEEL_TURNS`."""
    stroke: float | None
    """Last compression that works; None where the first position asked for does not. [m]"""
    wheel_travel: float | None
    """Wheel travel there. [m]"""
    asked: float
    """Compression that was asked for. [m]"""
    pin: str
    """Pin that cannot be placed; empty where the fault is no single pin's."""
    bodies: tuple[str, ...]
    """Bodies that fail to meet there."""
    ends: tuple[str, ...]
    """The pins that hold the other ends of the two links."""
    reach: float | None
    """Distance that the two links can span (the longest, or the shortest if they are too near). [m]"""
    gap: float | None
    """Distance between their other ends at the end of what was asked for. [m]"""


def where_it_stops(plan: Plan, marks: Floats, lengths: Floats) -> Stop | None:
    """First stop of one design inside a list of shock lengths, to `RESOLUTION`; None if it runs through.

    Parameters
    ----------
    plan : Plan
        From `compile_plan`.
    marks : ndarray, shape (n_marks, 2)
        Drawn places. [m]
    lengths : ndarray, shape (n,)
        Falling lengths of the shock. [m]

    Returns
    -------
    Stop or None
    """
    axle = plan.layout.axle
    raw = sweep(plan, marks[None], lengths, 1)
    works = (raw.status[0] == 0) & (raw.points[0, 1, axle, 1] > 0.0)
    if works.all():
        return None
    bad = int(np.argmin(works))
    asked = float(lengths[0] - lengths[-1])
    if bad == 0:
        status = int(raw.status[0, 0]) or WHEEL_TURNS
        return _explain(plan, marks, lengths, status, int(raw.culprit[0]), None, None, asked)
    good, fail = float(lengths[bad - 1]), float(lengths[bad])
    status, culprit = int(raw.status[0, bad]) or WHEEL_TURNS, int(raw.culprit[0])
    while good - fail > RESOLUTION:
        middle = 0.5 * (good + fail)
        probe = sweep(plan, marks[None], [lengths[0], middle], 1)
        if probe.status[0, 1] == 0 and probe.points[0, 1, axle, 1, 1] > 0.0:
            good = middle
        else:
            fail = middle
            status, culprit = int(probe.status[0, 1]) or WHEEL_TURNS, int(probe.culprit[0])
    last = sweep(plan, marks[None], [lengths[0], good], 1)
    travel = float(last.points[0, 0, axle, 1, 1] - last.points[0, 0, axle, 1, 0])
    near = float(last.margin[0, 1])
    if status in (NOT_SETTLED, OTHER_CIRCUIT) and (near < 0.1 * last.margin[0, 0] or near < 0.01):
        # The equations lose their rank on the way to the stop: a dead point, seen by the solver from one side.
        status = DEAD_POINT
    ends = np.array([lengths[0], lengths[-1], fail])
    return _explain(plan, marks, ends, status, culprit, float(lengths[0]) - good, travel, asked)


def hidden_stop(plan: Plan, marks: Floats, lengths: Floats, margin: Floats, ratio: Floats) -> Floats | None:
    """Shock lengths that show a stop between two positions that both work; None if there is none.

    A linkage may lock and come free again within one step of a sweep. Wherever the margin or the leverage ratio has a
    low minimum among the positions, it is followed in finer steps until it stays where it is, or the sweep stops.

    Parameters
    ----------
    plan : Plan
        From `compile_plan`.
    marks : ndarray, shape (n_marks, 2)
        Drawn places. [m]
    lengths : ndarray, shape (n,)
        Lengths of the shock, at all of which the linkage works. [m]
    margin, ratio : ndarray, shape (n,)
        Margin and leverage ratio there. [-]

    Returns
    -------
    ndarray or None
        Lengths with which `where_it_stops` finds the stop. [m]
    """
    for values, low in ((margin, NARROW), (ratio, SHALLOW)):
        if values.min() >= low:
            continue
        padded = np.concatenate([[np.inf], values, [np.inf]])
        lowest = (padded[1:-1] <= padded[:-2]) & (padded[1:-1] <= padded[2:]) & (values < low)
        for i in np.flatnonzero(lowest):
            found = _search(plan, marks, lengths, int(i), float(values[i]), values is ratio)
            if found is not None:
                return found
    return None


def _search(plan: Plan, marks: Floats, lengths: Floats, i: int, value: float, of_ratio: bool) -> Floats | None:
    """Follow one minimum, thirty times finer at each round."""
    left, right = float(lengths[max(i - 1, 0)]), float(lengths[min(i + 1, len(lengths) - 1)])
    for _ in range(4):
        fine = np.concatenate([lengths[:1], np.linspace(left, right, 61)])
        raw = sweep(plan, marks[None], fine, 1)
        ratio = raw.points[0, 1, plan.layout.axle, 1]
        if raw.status[0, -1] != 0 or not np.all(ratio > 0.0):
            return np.concatenate([fine, lengths[lengths < fine[-1]]])
        values = (ratio if of_ratio else raw.margin[0])[1:]
        k = int(np.argmin(values))
        if values[k] > 0.9 * value:
            return None
        value, left, right = float(values[k]), float(fine[max(k, 1)]), float(fine[min(k + 2, 61)])
    return None


def _explain(
    plan: Plan,
    marks: Floats,
    lengths: Floats,
    status: int,
    culprit: int,
    stroke: float | None,
    travel: float | None,
    asked: float,
) -> Stop:
    """Names and distances of the operation that failed."""
    bare = Stop(
        status=status, stroke=stroke, wheel_travel=travel, asked=asked, pin="", bodies=(), ends=(), reach=None, gap=None
    )
    if status == WHEEL_TURNS or culprit < 0:
        return bare
    pins = plan.layout.pins
    op = plan.ops[culprit] if culprit < len(plan.ops) else plan.rows[culprit - len(plan.ops)]
    bare = replace(bare, bodies=plan.bodies[culprit])
    if culprit >= len(plan.ops) or op[0] not in (DYAD, DRIVEN):
        names = tuple(pins[plan.mark_pin[m]].name for m in op[4:7] if m >= 0)
        return replace(bare, ends=names)
    bare = replace(bare, pin=pins[op[1]].name, ends=(pins[op[2]].name, pins[op[3]].name))
    if status != NO_REACH:
        return bare
    before = replace(plan, ops=plan.ops[:culprit].copy())
    for length in (float(lengths[1]), float(lengths[-1])):
        raw = sweep(before, marks[None], [lengths[0], length], 1)
        if raw.status[0, 1] != 0:
            continue
        q, r = raw.points[0, 0, op[2], :, 1], raw.points[0, 0, op[3], :, 1]
        gap = hypot(*(q - r))
        first = hypot(*(marks[op[4]] - marks[op[5]]))
        second = length if op[0] == DRIVEN else hypot(*(marks[op[6]] - marks[op[7]]))
        if gap > first + second:
            return replace(bare, reach=first + second, gap=gap)
        if gap < abs(first - second):
            return replace(bare, reach=abs(first - second), gap=gap)
    return bare


def stop_error(stop: Stop | None) -> LinkageError | SolverDidNotSettle:
    """The error that a stop is told with; it also carries the place as numbers, for a drawing."""
    error = _worded(stop)
    if stop is not None and isinstance(error, LinkageError):
        error.stroke_mm = None if stop.stroke is None else stop.stroke / MM
        error.wheel_travel_mm = None if stop.wheel_travel is None else stop.wheel_travel / MM
        error.pin = stop.pin
    return error


def _worded(stop: Stop | None) -> LinkageError | SolverDidNotSettle:
    if stop is None:
        return LinkageError("the linkage stops between two of the positions asked for; ask for more positions.")
    if stop.status == NO_LENGTH:
        return LinkageError(
            f"'{stop.bodies[0]}' is drawn with two of its pins in one place ({', '.join(stop.ends)}); move one of them."
        )
    where = _place(stop)
    if stop.status == WHEEL_TURNS:
        return LinkageAtDeadPoint(
            f"the wheel stops rising {where}. Move the pivots so that the leverage ratio stays above zero, or ask for "
            f"less stroke."
        )
    if stop.status == NOT_SETTLED and not stop.pin:
        return SolverDidNotSettle(
            f"{_list(stop.bodies)} could not be followed any further {where}: they lock there or very near it. Move "
            f"their pins apart from one line, or ask for less stroke."
        )
    if stop.status != NO_REACH:
        meet = f"come into one line at '{stop.pin}'" if stop.pin else "reach a dead point"
        return LinkageAtDeadPoint(
            f"{_list(stop.bodies)} {meet} {where}, so that the shock no longer decides where they go. Move one of "
            f"their pins, or ask for less stroke."
        )
    return LinkageDoesNotClose(
        f"{_list(stop.bodies)} do not reach each other at '{stop.pin}' {where}{_gap(stop)}. Change one of the two "
        f"lengths, or ask for less stroke."
    )


def _list(bodies: tuple[str, ...]) -> str:
    quoted = [f"'{body}'" if body != SHOCK else "the shock" for body in bodies]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"


def _place(stop: Stop) -> str:
    if stop.stroke is None or stop.wheel_travel is None:
        return "at the first shock length asked for"
    return (
        f"after {stop.stroke / MM:.2f} mm of shock stroke ({stop.wheel_travel / MM:.2f} mm of wheel travel; "
        f"{stop.asked / MM:.2f} mm of stroke were asked for)"
    )


def _gap(stop: Stop) -> str:
    if stop.reach is None or stop.gap is None:
        return ""
    far = stop.gap > stop.reach
    side = "at most" if far else "at least"
    if abs(stop.gap - stop.reach) < 0.005 * MM:
        return (
            f": from '{stop.ends[0]}' to '{stop.ends[1]}' they span {side} {stop.reach / MM:.2f} mm, all used up there"
        )
    return (
        f": from '{stop.ends[0]}' to '{stop.ends[1]}' they span {side} {stop.reach / MM:.2f} mm, and at the end of "
        f"what was asked for these two pins are {stop.gap / MM:.2f} mm apart, "
        f"{abs(stop.gap - stop.reach) / MM:.2f} mm too {'far' if far else 'near'}"
    )

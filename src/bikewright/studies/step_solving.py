"""What the rules of stepping solve: a length to a tenth of a millimetre, and reach and stack from two joint angles."""

from collections.abc import Callable, Sequence

from bikewright.errors import SolverDidNotSettle
from bikewright.model.addresses import with_value
from bikewright.model.build import Build
from bikewright.studies.coverage import OwnRider
from bikewright.studies.fitting import standing_fit

WITHIN_DEG = 0.1
"""Degrees by which a posture may: what 0.1 mm of reach and stack leave, and room for it."""
Tell = Callable[[int, int], None]
"""Told how many parts of how many are done."""
REACH_MM, STACK_MM = (250.0, 650.0), (400.0, 850.0)
"""What a geometry table may hold."""


def to_tenth(over: Callable[[float], float], low: tuple[float, float], high: tuple[float, float]) -> float:
    """Root of a function of a length that is told to 0.1 mm: a straight line first, false position where that misses.

    The function has steps below 0.1 mm, so that the search ends where its argument does.
    """
    (a, fa), (b, fb) = low, high
    for _ in range(40):
        middle = round(a - fa * (b - a) / (fb - fa), 1)
        if middle in (round(a, 1), round(b, 1)):
            break
        here = over(middle)
        if here == 0.0:
            return middle
        (a, fa), (b, fb) = ((a, fa), (middle, here)) if here * fa < 0.0 else ((middle, here), (b, fb))
    return a if abs(fa) <= abs(fb) else b


def posture_solved(
    build: Build, own: OwnRider, wanted: tuple[float, float], start: tuple[float, float]
) -> tuple[float, float]:
    """Reach and stack at which a rider stands with these angles of trunk and shoulder [mm].

    Raises
    ------
    SolverDidNotSettle
        If no reach and stack of a geometry table do that, or the search stops short of it.
    """
    from scipy.optimize import root as solve

    place = f"sizes.{build.size}"

    def missed(at: Sequence[float]) -> list[float]:
        reach, stack = float(at[0]), float(at[1])
        for value, (low, high), what in ((reach, REACH_MM, "reach"), (stack, STACK_MM, "stack")):
            if not low <= value <= high:
                raise SolverDidNotSettle(
                    f"size {build.size}: the posture asks for a {what} outside {low:.0f} to {high:.0f} mm"
                )
        moved = with_value(with_value(build, f"{place}.reach_mm", reach), f"{place}.stack_mm", stack)
        standing = standing_fit(moved.changed(rider=own.rider))
        angles = {angle.name: angle.value_deg for angle in standing.angles}
        if standing.refusal:
            raise SolverDidNotSettle(f"size {build.size}: {standing.refusal}")
        return [angles["trunk"] - wanted[0], angles["shoulder"] - wanted[1]]

    found = solve(missed, start, method="hybr", options={"xtol": 1e-5, "eps": 1e-6, "factor": 1.0})
    left = max(abs(value) for value in missed(found.x))
    if left > WITHIN_DEG:
        raise SolverDidNotSettle(
            f"size {build.size}: no reach and stack near those drawn give its rider the posture; the search stops "
            f"{left:.1f}° from it"
        )
    return float(found.x[0]), float(found.x[1])

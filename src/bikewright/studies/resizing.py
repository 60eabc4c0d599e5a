"""One size with other dimensions, everything that the geometry table states beside them kept in step.

A new reach, stack or rear centre moves other stated numbers: the wheelbase, the effective seat angle, the head tube.
Each is changed by what geometry says, so that what did not close before does not close by as much after. With a linkage
the whole of it moves with the rear axle, so that no link changes its shape. Outlines are not moved: redraw them.
"""

from dataclasses import dataclass
from math import radians, sin, sqrt

from bikewright.errors import OutsideValidity
from bikewright.model.addresses import value_at, with_value
from bikewright.model.build import Build
from bikewright.physics.table import ClosedTable
from bikewright.studies.evaluate import evaluate
from bikewright.units import DEG, MM

DECIMALS = 1
"""Lengths are given to 0.1 mm, angles to one digit more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimensions:
    """What is stepped, of one size. None: the table does not say."""

    reach_mm: float
    stack_mm: float
    head_tube_mm: float | None
    seat_tube_mm: float | None
    rear_centre_mm: float | None


def dimensions_of(build: Build) -> Dimensions:
    """Dimensions of a build's size; the rear centre is the drawn one where there is a linkage."""
    row = build.geometry_row
    closed: ClosedTable = evaluate(build).group("table")
    x, z = closed.rear_axle
    return Dimensions(
        reach_mm=row.reach_mm,
        stack_mm=row.stack_mm,
        head_tube_mm=row.head_tube_mm,
        seat_tube_mm=row.seat_tube_mm,
        rear_centre_mm=sqrt(x * x + z * z) / MM,
    )


def resized(
    build: Build,
    *,
    reach_mm: float | None = None,
    stack_mm: float | None = None,
    seat_tube_mm: float | None = None,
    rear_centre_mm: float | None = None,
) -> tuple[Build, tuple[tuple[str, float], ...]]:
    """A build whose size has other dimensions.

    Parameters
    ----------
    build : Build
        Its size is the one that changes.
    reach_mm, stack_mm, seat_tube_mm, rear_centre_mm : float, optional
        What to change; rounded to 0.1 mm [mm].

    Returns
    -------
    tuple
        The build, and every address that changed with its value.

    Raises
    ------
    AddressError
        If a dimension is outside what a geometry table may hold.
    OutsideValidity
        If the size draws its own rear axle, so that its linkage cannot be moved as a whole.
    """
    place = f"sizes.{build.size}"
    before: ClosedTable = evaluate(build).group("table")
    row = build.geometry_row
    found: dict[str, float] = {}
    for key, asked in (("reach_mm", reach_mm), ("stack_mm", stack_mm), ("seat_tube_mm", seat_tube_mm)):
        if asked is not None and round(asked, DECIMALS) != getattr(row, key):
            found[f"{place}.{key}"] = round(asked, DECIMALS)
    if stack_mm is not None and row.head_tube_mm is not None:
        longer = (round(stack_mm, DECIMALS) - row.stack_mm) / sin(radians(row.head_angle_deg))
        if longer:
            found[f"{place}.head_tube_mm"] = round(row.head_tube_mm + longer, DECIMALS)
    if rear_centre_mm is not None:
        found |= _rear(build, before, round(rear_centre_mm, DECIMALS))
    changed = build
    for address, value in found.items():
        changed = with_value(changed, address, value)
    if not found:
        return build, ()
    follow = _followed(changed, before, place)
    for address, value in follow.items():
        changed = with_value(changed, address, value)
    return changed, tuple((found | follow).items())


def _rear(build: Build, before: ClosedTable, wanted: float) -> dict[str, float]:
    """Rear centre, and the linkage moved along with it."""
    row, place = build.geometry_row, f"sizes.{build.size}"
    x, z = before.rear_axle
    if abs(wanted * MM - sqrt(x * x + z * z)) < 0.05 * MM:
        return {}
    found: dict[str, float] = {}
    if build.frame.linkage is None:
        return {f"{place}.rear_centre_mm": wanted}
    if any(pin.x_mm is not None for pin in row.linkage.pins):
        raise OutsideValidity(
            f"size {build.size} draws pins of its own, so that its linkage cannot be moved as a whole; move its "
            "pins by hand"
        )
    if not wanted * MM > abs(z):
        raise OutsideValidity(f"a rear centre of {wanted:g} mm is not longer than the drop of {abs(z) / MM:.1f} mm")
    moved = -sqrt((wanted * MM) ** 2 - z * z) - x
    found[f"{place}.linkage.shift_x_mm"] = round(row.linkage.shift_x_mm + moved / MM, DECIMALS)
    if row.rear_centre_mm is not None:
        drawn = sqrt(x * x + z * z) / MM
        found[f"{place}.rear_centre_mm"] = round(row.rear_centre_mm + wanted - drawn, DECIMALS)
    return found


def _followed(changed: Build, before: ClosedTable, place: str) -> dict[str, float]:
    """Stated numbers that follow from the changed ones, moved by as much as they."""
    after: ClosedTable = evaluate(changed).group("table")
    row = changed.geometry_row
    found: dict[str, float] = {}
    if row.wheelbase_mm is not None and after.wheelbase_residual is not None:
        found[f"{place}.wheelbase_mm"] = round(row.wheelbase_mm + (after.wheelbase - before.wheelbase) / MM, DECIMALS)
    if after.seat_angle_residual is not None and before.seat_angle_residual is not None:
        moved = (before.seat_angle_residual - after.seat_angle_residual) / DEG
        found[f"{place}.seat_angle_deg"] = round((row.seat_angle_deg or 0.0) + moved, DECIMALS + 1)
    return {address: value for address, value in found.items() if value_at(changed, address) != value}

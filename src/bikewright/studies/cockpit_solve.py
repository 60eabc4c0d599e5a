"""Solve one dimension of the cockpit for where the rider wants the hands.

The saddle is at the rider's own height, as in `bikewright.studies.fitting`. What else follows is told by
`bikewright.studies.compare` between the build before and the build after.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite

from bikewright.errors import AddressError, BikewrightError, NotKnown, OutsideValidity, SolverDidNotSettle
from bikewright.model.addresses import bounds_of, read_scalar, value_at, with_value
from bikewright.model.build import Build
from bikewright.physics.posture import root
from bikewright.studies.evaluate import Value, evaluate
from bikewright.studies.fitting import at_own_height
from bikewright.units import read_quantity

WANTS: dict[str, tuple[str, str]] = {
    "seated-length": ("saddle_to_grip_mm", "seated"),
    "seated-drop": ("saddle_to_grip_drop_mm", "seated"),
    "hand-height": ("bar_height_mm", "standing"),
    "hand-reach": ("hand_reach_mm", "standing"),
}
"""What may be wanted, and the quantity and state that it is: saddle to grip and its drop seated on the flat, hands over
the ground and ahead of the bottom bracket standing."""

SHORT_NAMES: dict[str, str] = {
    "reach": "sizes.{size}.reach_mm",
    "stack": "sizes.{size}.stack_mm",
    "stem": "stem.length_mm",
    "spacers": "stem_spacers_mm",
    "rise": "bar.rise_mm",
    "roll": "bar_roll_deg",
    "saddle-back": "saddle_back_mm",
    "cup": "headset.upper_stack_mm",
}
"""Short names of dimensions that may be solved for; any other number of the build goes by its address."""

CLOSE_MM = 0.01
"""How near the answer comes to what is wanted."""
FIRST_STEP, GROWTH = 4.0, 2.0
"""The bracket is opened by steps of this size, each twice the last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """A dimension that puts the hands where they are wanted."""

    want: str
    """Key of `WANTS`."""
    wanted_mm: float
    by: str
    """Address of the dimension."""
    before: float
    """Value before, in the unit of its name."""
    value: float
    """Value that answers, likewise."""
    at_first: Value
    """What was wanted, before."""
    reached: Value
    """What was wanted, after."""
    build: Build
    """Before, at the rider's own saddle height."""
    changed: Build
    """After."""


def read_want(text: str) -> tuple[str, float]:
    """``seated-length=610`` or ``seated-length="24 in"`` as name and millimetres.

    Raises
    ------
    AddressError
        If it has not that form, or wants something else.
    UnitError
        If the value is no length.
    """
    name, equals, value = text.partition("=")
    name = name.strip()
    if not equals or not value.strip():
        raise AddressError(f"'{text}' wants nothing; write NAME=VALUE, as in seated-length=610. {_names()}")
    if name not in WANTS:
        raise AddressError(f"'{name}' cannot be wanted. {_names()}")
    number = read_scalar(value.strip())
    if isinstance(number, float | int) and not isinstance(number, bool) and isfinite(number):
        return name, float(number)
    return name, read_quantity(value.strip().strip("\"'"), "mm")


def _names() -> str:
    return f"NAME is one of {', '.join(WANTS)}."


def solve_cockpit(build: Build, want: str, wanted_mm: float, by: str) -> Solution:
    """The value of one dimension that puts the hands where they are wanted.

    Parameters
    ----------
    build : Build
        The rider sits at the own saddle height; without a rider at the build's.
    want : str
        Key of `WANTS`.
    wanted_mm : float
        What it should be. [mm]
    by : str
        Key of `SHORT_NAMES`, or the address of any number of the build.

    Returns
    -------
    Solution
        Value in the unit that the address ends in, to 0.01 of it.

    Raises
    ------
    AddressError
        If a name or address means nothing.
    OutsideValidity
        If the dimension does not move what is wanted, or cannot move it so far inside its limits: says by how much it
        falls short.
    NotKnown
        If what is wanted has no value yet: says what it waits for.
    SolverDidNotSettle
        If the root is not met.

    Notes
    -----
    The bracket is opened from the value in use in the direction in which a small step helps, up to the limits that the
    model sets and, for a saddle on its rails, those of the rails; the root in it is `bikewright.physics.posture.root`.
    """
    if want not in WANTS:
        raise AddressError(f"'{want}' cannot be wanted. {_names()}")
    start = build if build.rider is None else at_own_height(build)[0]
    address = SHORT_NAMES.get(by, by).format(size=build.size)
    low, high = bounds_of(start, address)
    if address == "saddle_back_mm" and start.parts.saddle is not None:
        rails = start.parts.saddle.rail_range_mm
        low, high = max(low, -rails), min(high, rails)
    before = float(value_at(start, address))
    key, state = WANTS[want]
    state = _state_known(start, key, state)

    def off(value: float) -> float:
        found = evaluate(with_value(start, address, value)).value(f"{key}@{state}")
        if found.number is None:
            raise NotKnown(f"{address} = {value:.2f}: {found.quantity.label} {found.waits}")
        return found.number - wanted_mm

    value = before if abs(off(before)) < CLOSE_MM else _root(off, before, (low, high), address, want, wanted_mm)
    changed = with_value(start, address, round(value, 2))
    return Solution(
        want=want,
        wanted_mm=wanted_mm,
        by=address,
        before=before,
        value=round(value, 2),
        at_first=evaluate(start).value(f"{key}@{state}"),
        reached=evaluate(changed).value(f"{key}@{state}"),
        build=start,
        changed=changed.changed(name=f"{build.name}-changed"),
    )


def _state_known(build: Build, key: str, state: str) -> str:
    """The state itself, or the nearest one that does not wait: the stated sag, then the geometry table's."""
    answer = evaluate(build)
    for one in (state, "stated-sag", "table"):
        if answer.value(f"{key}@{one}").number is not None:
            return one
    value = answer.value(f"{key}@{state}")
    raise NotKnown(f"{value.quantity.label} {value.waits}")


def _root(
    off: Callable[[float], float],
    before: float,
    bounds: tuple[float, float],
    address: str,
    want: str,
    wanted_mm: float,
) -> float:
    """Bracket and root."""
    low, high = bounds
    here, at_here = before, off(before)
    probe = before + 0.5 if before + 0.5 <= high else before - 0.5
    slope = (off(probe) - at_here) / (probe - before)
    if abs(slope) < 1e-6:
        raise OutsideValidity(
            f"{address} does not move the {want.replace('-', ' ')}: it stays {at_here + wanted_mm:.1f} mm; solve for "
            f"another dimension ({', '.join(SHORT_NAMES)})"
        )
    way, step = (1.0 if at_here * slope < 0.0 else -1.0), FIRST_STEP
    while True:
        there = min(high, max(low, here + way * step))
        try:
            at_there = off(there)
        except BikewrightError as error:
            raise OutsideValidity(
                f"{address} cannot bring the {want.replace('-', ' ')} to {wanted_mm:g} mm: at {here:g} it is "
                f"{at_here + wanted_mm:.1f} mm, and at {there:g} the bike or its rider cannot be placed: {error}"
            ) from None
        if at_there * at_here <= 0.0:
            break
        if there in (low, high) or not isfinite(there):
            raise OutsideValidity(
                f"{address} cannot bring the {want.replace('-', ' ')} to {wanted_mm:g} mm: at its limit of {there:g} "
                f"it is {at_there + wanted_mm:.1f} mm, {abs(at_there):.1f} mm short; change something else as well"
            )
        here, at_here, step = there, at_there, GROWTH * step
    try:
        value = root(off, (here, at_here), (there, at_there))
    except SolverDidNotSettle as error:
        raise SolverDidNotSettle(
            f"{address} brings the {want.replace('-', ' ')} to no {wanted_mm:g} mm: {error}"
        ) from None
    if abs(off(value)) > CLOSE_MM:
        raise SolverDidNotSettle(
            f"{address} = {value:.3f} leaves the {want.replace('-', ' ')} {abs(off(value)):.2f} mm from "
            f"{wanted_mm:g} mm: it jumps there"
        )
    return value

"""From a build to numbers: the only way, whatever the question.

``evaluate(build)`` gives an `Answer`. Values and curves are computed group by group as they are asked for
and remembered by the content of what each group reads, so a second answer to the same question, or to one
that differs in a part the group does not read, costs nothing.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from math import isfinite
from typing import Any

from bikewright.errors import AddressError, BikewrightError, NotKnown
from bikewright.model.build import Build
from bikewright.model.digest import digest
from bikewright.quantities import CATALOGUE, STATES, Quantity
from bikewright.studies import joints, reaching, resting, springing, standing, suspension, swinging
from bikewright.studies.bindings import BINDINGS, lacking
from bikewright.studies.curves import Curve, frozen
from bikewright.studies.graph import Graph, Group, Memory, field_of
from bikewright.units import MM, UNITS

GRAPH = Graph(
    (
        Group("table", ("geometry_row", "frame.datum", "frame.linkage.axle_pin"), standing.closed_table),
        Group("front end", ("parts.fork", "parts.headset"), standing.front_end, needs=("table",)),
        Group(
            "extended",
            ("frame.linkage", "geometry_row.linkage", "chips", "parts.shock.chassis.eye_to_eye_mm"),
            suspension.extended,
        ),
        Group(
            "linkage",
            ("frame.linkage.brake_on", "parts.shock.chassis", "settings.sag_rear_pct"),
            suspension.through,
            needs=("extended",),
        ),
        Group("forces", (), suspension.forces, needs=("linkage",)),
        Group("eyes", (), suspension.eyes, needs=("linkage",)),
        Group(
            "fit",
            (
                "parts.stem",
                "parts.bar",
                "parts.grip",
                "parts.seatpost",
                "parts.saddle",
                "parts.crank",
                "settings.stem_spacers_mm",
                "settings.bar_roll_deg",
                "settings.saddle_back_mm",
                "settings.post_lowered_mm",
                "saddle_height_mm",
            ),
            standing.fit,
            needs=("table", "front end"),
        ),
        Group(
            "springs",
            (
                "parts.fork",
                "parts.shock",
                "settings.fork_pressure_bar",
                "settings.fork_spacers",
                "settings.fork_preload_turns",
                "settings.shock_pressure_bar",
                "settings.shock_spacers",
                "settings.shock_preload_turns",
            ),
            springing.springs,
        ),
        Group("rear spring", (), springing.rear_spring, needs=("linkage", "springs")),
        Group("rider", ("rider",), springing.rider),
        Group("stands", (), resting.stands, needs=("rider", "fit")),
        Group("sits", (), resting.sits, needs=("rider", "fit")),
        Group(
            "tyres",
            (
                "frame.datum",
                "parts.front_tyre",
                "parts.rear_tyre",
                "parts.front_wheel.rim_inner_mm",
                "parts.rear_wheel.rim_inner_mm",
                "parts.front_wheel.rim_height_mm",
                "parts.rear_wheel.rim_height_mm",
                "settings.front_tyre_bar",
                "settings.rear_tyre_bar",
                "settings.front_tyre_drop_mm",
                "settings.rear_tyre_drop_mm",
            ),
            resting.tyres,
        ),
        Group(
            "masses",
            ("parts", "loads", "frame.mass_g", "frame.rear_share_pct", "frame.mass_ahead_mm", "frame.mass_above_mm"),
            springing.masses,
            needs=("table", "front end", "extended", "fit"),
        ),
        Group(
            "chain",
            ("parts.ring", "parts.cassette", "frame.linkage.idlers", "settings.sag_gear", "settings.climb_gear"),
            springing.chain,
            needs=("linkage",),
        ),
        Group(
            "rest",
            (
                "loads",
                "grade_pct",
                "settings.braking_pct",
                "settings.brake_front_pct",
                "settings.lean_deg",
                "settings.g_out_pct",
                "frame.datum",
                "frame.linkage.brake_on",
                "parts.front_tyre",
                "parts.rear_tyre",
            ),
            resting.rest,
            needs=(
                "table",
                "front end",
                "linkage",
                "springs",
                "masses",
                "rider",
                "stands",
                "sits",
                "tyres",
                "chain",
            ),
            by_state=True,
        ),
        Group(
            "carried",
            (
                "loads",
                "frame.linkage",
                "settings.sag_front_pct",
                "settings.sag_rear_pct",
            ),
            resting.carried,
            needs=("table", "front end", "linkage", "masses", "rider", "stands", "tyres"),
        ),
        Group(
            "band",
            ("parts.fork", "loads"),
            resting.band,
            needs=(
                "rest@standing",
                "table",
                "front end",
                "fit",
                "linkage",
                "springs",
                "masses",
                "rider",
                "tyres",
                "chain",
            ),
        ),
        Group("joints", (), joints.joints, needs=("rest", "rider", "fit"), by_state=True),
        Group(
            "post",
            (
                "parts.seatpost",
                "parts.saddle",
                "parts.crank",
                "geometry_row",
                "settings.saddle_back_mm",
                "saddle_height_mm",
            ),
            joints.post,
            needs=("table", "fit"),
        ),
        Group(
            "turned bar",
            (
                "geometry_row",
                "parts.headset",
                "parts.stem",
                "parts.bar",
                "parts.grip",
                "settings.stem_spacers_mm",
                "settings.bar_roll_deg",
                "settings.lever_reach_mm",
                "settings.lever_angle_deg",
                "settings.lever_length_mm",
                "settings.lever_from_grip_mm",
            ),
            reaching.turned,
            needs=("table", "front end"),
        ),
        Group(
            "heel",
            ("parts.crank", "frame.linkage"),
            reaching.heel,
            needs=("linkage", "rider"),
        ),
        Group(
            "modes",
            (
                "loads",
                "parts.front_tyre",
                "parts.rear_tyre",
                "parts.front_wheel.rim_inner_mm",
                "parts.rear_wheel.rim_inner_mm",
                "settings.front_tyre_bar",
                "settings.rear_tyre_bar",
            ),
            swinging.modes,
            needs=("rest@standing", "linkage", "springs", "masses", "rider"),
        ),
        Group(
            "damping",
            (
                "parts.fork.damper",
                "parts.shock.damper",
                *(
                    f"settings.{end}_{circuit}_clicks"
                    for end in ("fork", "shock")
                    for circuit in ("rebound", "compression", "high_compression")
                ),
                "settings.damping_speed_mm_s",
            ),
            swinging.damping,
            needs=("modes",),
        ),
        Group(
            "drive",
            (
                "settings.reference_height_mm",
                "settings.brake_front_pct",
                "settings.sag_front_pct",
                "frame.linkage.brake_on",
            ),
            resting.drive,
            needs=("linkage", "chain", "front end", "rest@standing"),
        ),
        Group(
            "geometry",
            (
                "parts.front_tyre",
                "parts.rear_tyre",
                "frame.datum",
                "settings.front_tyre_drop_mm",
                "settings.rear_tyre_drop_mm",
                "settings.sag_front_pct",
            ),
            standing.standing,
            needs=("table", "front end", "fit", "extended", "linkage", "rest"),
            by_state=True,
        ),
        Group("cockpit", (), standing.on_ground, needs=("fit", "geometry"), by_state=True),
        Group(
            "clearance",
            (
                "size",
                "geometry_row",
                "frame.datum",
                "frame.outlines",
                "parts.front_tyre",
                "parts.rear_tyre",
                "parts.crank",
                "parts.ring",
                "parts.saddle",
            ),
            standing.clearances,
            needs=("fit", "geometry"),
            by_state=True,
        ),
    )
)
"""Every group, each after those that it needs."""


@dataclass(frozen=True, slots=True)
class Value:
    """One quantity of one build, or why it has none."""

    quantity: Quantity
    state: str
    """Empty for a quantity of the build as a whole."""
    number: float | None
    """In the quantity's unit."""
    waits: str = ""
    """What it waits for, or the error that stopped it; empty when there is a number."""

    @property
    def address(self) -> str:
        """``key`` or ``key@state``."""
        return address_of(self.quantity, self.state)


class Answer:
    """Everything that is reported about one build; computed as it is asked for, never changed."""

    def __init__(self, build: Build, graph: Graph):
        self.build = build
        self._graph = graph
        self._memory = Memory()

    @property
    def key(self) -> str:
        """SHA-256 of the whole build."""
        return digest(self.build)

    def group(self, name: str, state: str = "") -> Any:
        """A group's result in SI, for callers that draw or compute further.

        Raises
        ------
        BikewrightError
            The error that stopped the group.
        """
        return self._graph.outcome(self.build, name, state, self._memory).told()

    def value(self, address: str) -> Value:
        """A catalogued quantity, ``key`` or ``key@state``; without a state, in the state ``table``.

        Raises
        ------
        AddressError
            If the address names no quantity or no state.
        """
        quantity, state, _ = read_address(address)
        if quantity.scope in CURVE_SCOPES:
            raise AddressError(f"{quantity.key} is a curve; ask for it with curve, or for one of its values")
        return self._value(quantity, state or "table")

    def values(self, state: str = "table") -> Iterator[Value]:
        """Every quantity that is one number, in the catalogue's order, those of a state in this state."""
        for quantity in CATALOGUE.values():
            if quantity.scope not in CURVE_SCOPES:
                yield self._value(quantity, state)

    def source_key(self, address: str) -> str:
        """Key of the group result that a quantity is read from: two answers with the same key have the same value."""
        quantity, state, _ = read_address(address)
        group = BINDINGS[quantity.key].group
        return self._graph.key(self.build, group, state or "table", self._memory)

    def curve(self, address: str) -> Curve:
        """A catalogued curve, ``key`` or ``pin_force/rocker``.

        Raises
        ------
        AddressError
            If the address names no curve.
        NotKnown
            If the curve waits for something.
        BikewrightError
            The error that stopped the group that it comes from.
        """
        quantity, _, qualifier = read_address(address)
        if quantity.scope not in CURVE_SCOPES:
            raise AddressError(f"{quantity.key} is a number, not a curve. Curves are: {', '.join(curve_keys())}.")
        binding = BINDINGS[quantity.key]
        result = self.group(binding.group)
        field = field_of(result, binding.field)
        if field is None:
            raise NotKnown(f"{quantity.label} {waits_for(self.build, quantity)}")
        if isinstance(field, dict):
            qualifier = qualifier or getattr(result, "usual", "")
            if qualifier not in field:
                named = ", ".join(f"{quantity.key}/{name}" for name in field)
                raise AddressError(f"'{address}' names no curve; there are: {named}")
            field = field[qualifier]
        along = result.fork_travel if quantity.scope == "fork" else self.group("linkage").motion.wheel_travel
        x_mm = along / MM
        unit = _si(quantity)
        slope = None if field.slope is None else frozen(field.slope * (MM / unit))
        return Curve(quantity, qualifier, frozen(x_mm), frozen(field.points / unit), slope, field.gap)

    def _value(self, quantity: Quantity, state: str) -> Value:
        state = state if quantity.scope == "state" else ""
        field, waits = self._field(quantity, state)
        if field is None:
            return Value(quantity, state, None, waits)
        return Value(quantity, state, float(field) / _si(quantity))

    def _field(self, quantity: Quantity, state: str) -> tuple[Any, str]:
        binding = BINDINGS[quantity.key]
        try:
            result = self.group(binding.group, state)
        except BikewrightError as error:
            return None, str(error)
        field = field_of(result, binding.field)
        if field is not None and not isfinite(field):
            return None, "has no value here: it lies at infinity"
        return field, "" if field is not None else waits_for(self.build, quantity)


def evaluate(build: Build) -> Answer:
    """The whole-bike answer to a build.

    Parameters
    ----------
    build : Build
        A frozen build.

    Returns
    -------
    Answer
        Values and curves, computed as they are asked for.
    """
    return Answer(build, GRAPH)


def address_of(quantity: Quantity, state: str) -> str:
    """``key@state`` for a quantity that every state has its own of, else ``key``."""
    return f"{quantity.key}@{state}" if quantity.scope == "state" else quantity.key


@lru_cache(maxsize=4096)
def read_address(address: str) -> tuple[Quantity, str, str]:
    """Quantity, state and qualifier of ``key[@state][/qualifier]``.

    Raises
    ------
    AddressError
        If the key is not in the catalogue, or the state is none.
    """
    head, _, qualifier = address.partition("/")
    key, _, state = head.partition("@")
    if key not in CATALOGUE:
        near = get_close_matches(key, CATALOGUE, n=2, cutoff=0.4)
        guess = f" Did you mean {' or '.join(near)}?" if near else ""
        raise AddressError(f"'{key}' is no quantity of the catalogue.{guess} `bikewright words` lists all.")
    if state and state not in STATES:
        raise AddressError(f"'{state}' is no state; there are: {', '.join(STATES)}")
    return CATALOGUE[key], state, qualifier


CURVE_SCOPES = ("travel", "fork")
"""Scopes of quantities that are curves."""


def curve_keys() -> tuple[str, ...]:
    """Keys of all quantities that are curves."""
    return tuple(key for key, quantity in CATALOGUE.items() if quantity.scope in CURVE_SCOPES)


def waits_for(build: Build, quantity: Quantity) -> str:
    """Why a field is empty, as the end of a sentence."""
    binding = BINDINGS[quantity.key]
    if build.frame.linkage is None and binding.rear:
        return "does not apply: this frame has no rear suspension"
    return f"waits for {lacking(binding.needs, build)}"


def _si(quantity: Quantity) -> float:
    return UNITS[quantity.unit].si if quantity.unit else 1.0

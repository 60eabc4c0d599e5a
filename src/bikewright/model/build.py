"""A build: one size of one frame with particular parts on it, set up for one rider. Data only.

A build is frozen. Changing it makes another (`Build.changed`), and the new values are checked again. What differs in a
size goes with the build: `Build.in_size` is the one place where a build is put into another size.
"""

from collections.abc import Iterable
from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import Field, ValidationError
from pydantic_core import ErrorDetails

from bikewright.errors import ModelError
from bikewright.model.digest import carry_texts
from bikewright.model.faults import words_of
from bikewright.model.frame import Frame, Size
from bikewright.model.parts import (
    SLOTS,
    Bar,
    Cassette,
    Crank,
    Fork,
    Grip,
    Headset,
    Part,
    Ring,
    Saddle,
    Seatpost,
    Shock,
    Stem,
    Tyre,
    Wheel,
)
from bikewright.model.rider import Load, Rider
from bikewright.model.values import (
    Count,
    Deg,
    Listed,
    MaybeBar,
    MaybeCount,
    MaybeDeg,
    MaybeMm,
    Mm,
    MmPerS,
    Name,
    Named,
    Pct,
    Text,
    Turns,
    value,
)

V = TypeVar("V")


@value
class Parts:
    """What is bolted on. An absent part is unknown: what depends on it stays blank."""

    fork: Fork | None = None
    shock: Shock | None = None
    headset: Headset | None = None
    stem: Stem | None = None
    bar: Bar | None = None
    grip: Grip | None = None
    seatpost: Seatpost | None = None
    saddle: Saddle | None = None
    front_wheel: Wheel | None = None
    rear_wheel: Wheel | None = None
    front_tyre: Tyre | None = None
    rear_tyre: Tyre | None = None
    crank: Crank | None = None
    ring: Ring | None = None
    cassette: Cassette | None = None


@value
class ChipSetting:
    """Which position a flip chip stands in."""

    name: Name
    position: Name


@value
class Settings:
    """What the workshop sets with a spanner, a pump or a hand."""

    saddle_height_mm: MaybeMm = Field(default=None, ge=450, le=1000)
    """Bottom bracket to the top of the saddle; unknown: the rider's, else the size's."""
    saddle_back_mm: Mm = Field(default=0.0, ge=-60, le=60)
    """Saddle behind the middle of its rails."""
    post_lowered_mm: Mm = Field(default=0.0, ge=0, le=300)
    stem_spacers_mm: Mm = Field(default=10.0, ge=0, le=80)
    bar_roll_deg: Deg = Field(default=0.0, ge=-45, le=45)
    lever_reach_mm: MaybeMm = Field(default=None, gt=0, le=150)
    """Brake lever at rest, from grip to blade where the finger lies."""
    lever_bite_mm: MaybeMm = Field(default=None, gt=0, le=150)
    """The same where the pads bite."""
    lever_angle_deg: MaybeDeg = Field(default=None, ge=-30, le=90)
    """Brake lever below level."""
    lever_length_mm: Mm = Field(default=95.0, ge=30, le=200)
    """Blade of the brake lever, from its pivot to its tip."""
    lever_from_grip_mm: Mm = Field(default=15.0, ge=0, le=150)
    """Middle of the lever's clamp, inwards from the inner end of the grip."""
    sag_front_pct: Pct = Field(default=20.0, ge=0, le=60)
    """Stated sag, of fork travel: the answer uses it until the springs and the rider are known."""
    sag_rear_pct: Pct = Field(default=30.0, ge=0, le=60)
    """Stated sag, of shock stroke."""
    sag_gear: Text = ""
    """Ring and sprocket in which the drive reaction is told, ``32x21``; empty: the ring and the cog nearest to 21."""
    climb_gear: Text = ""
    """The same for the climb; empty: the easiest."""
    reference_height_mm: Mm = Field(default=1100.0, ge=500, le=1600)
    """A stated height of the centre of mass, so that reactions can be laid beside those of other bikes."""
    braking_pct: Pct = Field(default=50.0, gt=0, le=120)
    """Deceleration in the braking state, of gravity."""
    brake_front_pct: Pct = Field(default=65.0, ge=0, le=100)
    """Share of the braking force at the front wheel."""
    lean_deg: Deg = Field(default=35.0, ge=0, le=60)
    """Lean in the cornering state."""
    g_out_pct: Pct = Field(default=250.0, ge=100, le=600)
    """Load in the g-out state, of the weight."""
    front_tyre_drop_mm: Mm = Field(default=0.0, ge=0, le=40)
    """Loaded tyre: how much lower the axle sits than unloaded, in every state with a rider."""
    rear_tyre_drop_mm: Mm = Field(default=0.0, ge=0, le=40)
    fork_pressure_bar: MaybeBar = Field(default=None, ge=0, le=40)
    fork_spacers: Annotated[Count, Field(ge=0, le=20)] = 0
    fork_preload_turns: Turns = Field(default=0.0, ge=0, le=20)
    """For a fork with a coil."""
    shock_pressure_bar: MaybeBar = Field(default=None, ge=0, le=40)
    shock_spacers: Annotated[Count, Field(ge=0, le=20)] = 0
    shock_preload_turns: Turns = Field(default=0.0, ge=0, le=20)
    front_tyre_bar: MaybeBar = Field(default=None, ge=0.5, le=12)
    rear_tyre_bar: MaybeBar = Field(default=None, ge=0.5, le=12)
    terrain: Literal["smooth", "mixed", "rough"] = "mixed"
    """Ground that tyre pressures are chosen for."""
    fork_rebound_clicks: MaybeCount = Field(default=None, ge=0, le=60)
    """Where the dial stands, from the end that the damper counts from."""
    fork_compression_clicks: MaybeCount = Field(default=None, ge=0, le=60)
    fork_high_compression_clicks: MaybeCount = Field(default=None, ge=0, le=60)
    shock_rebound_clicks: MaybeCount = Field(default=None, ge=0, le=60)
    shock_compression_clicks: MaybeCount = Field(default=None, ge=0, le=60)
    shock_high_compression_clicks: MaybeCount = Field(default=None, ge=0, le=60)
    damping_speed_mm_s: MmPerS = Field(default=150.0, gt=0, le=3000)
    """Shaft speed, of fork and shock alike, at which damping ratios are told."""


_KEYS = (*SLOTS, *Settings.__dataclass_fields__)
"""What may differ in a size, in the order in which it is told."""


@value
class Own:
    """Parts and settings that were said for some sizes; what is not among them says nothing."""

    said: Annotated[tuple[Text, ...], Listed] = ()
    """Places of `Parts` and fields of `Settings` that count here."""
    parts: Parts = Parts()
    settings: Settings = Settings()

    def held(self, key: str) -> Any:
        """What is said of a place or a setting."""
        return getattr(self.parts if key in SLOTS else self.settings, key)

    def saying(self, key: str, thing: Any) -> Self:
        """The same with one more said, or said otherwise."""
        said = tuple(one for one in _KEYS if one == key or one in self.said)
        return remade(self, {"said": said, **_holding(self, {key: thing})})

    def silent_on(self, key: str) -> Self:
        """The same without a word on a place or a setting."""
        if key not in self.said:
            return self
        blank = getattr(Parts() if key in SLOTS else Settings(), key)
        said = tuple(one for one in self.said if one != key)
        return remade(self, {"said": said, **_holding(self, {key: blank})})


@value
class InSize(Own):
    """What a build has otherwise in one size."""

    name: Name
    """The size."""


@value
class Build:
    """Everything that must be known before a bike can be put on the ground."""

    name: Name = "build"
    frame: Frame
    size: Name
    parts: Parts = Parts()
    settings: Settings = Settings()
    chips: Annotated[tuple[ChipSetting, ...], Named] = ()
    """Chips that do not stand in their drawn position."""
    rider: Rider | None = None
    loads: Annotated[tuple[Load, ...], Named] = ()
    posture: Literal["standing", "seated"] = "standing"
    grade_pct: Pct = Field(default=10.0, ge=-60, le=60)
    """Grade of the climb."""
    by_size: Annotated[tuple[InSize, ...], Named] = ()
    """What differs in a size; `parts` and `settings` hold it already for the build's own size."""
    otherwise: Own = Own()
    """The same places and settings where a size says nothing of its own."""

    @property
    def geometry_row(self) -> Size:
        """The row of the geometry table for this build's size."""
        return self.frame.size(self.size)

    @property
    def saddle_height_mm(self) -> float | None:
        """Saddle height in use: the setting, else the rider's, else the size's."""
        for height in (
            self.settings.saddle_height_mm,
            None if self.rider is None else self.rider.saddle_height_mm,
            self.geometry_row.saddle_height_mm,
        ):
            if height is not None:
                return height
        return None

    def changed(self, **fields: Any) -> Self:
        """The same build with some fields replaced and checked; the original is untouched.

        Another size brings its own parts and settings. A part or a setting that is given holds in every size; a part
        that was only altered, its name kept, is altered wherever the build has it.
        """
        if not self.by_size or fields.keys().isdisjoint(("size", "parts", "settings")):
            return remade(self, fields)
        build = self.in_size(fields.pop("size")) if "size" in fields else self
        given = {
            key: getattr(fields[field], key)
            for field in ("parts", "settings")
            if field in fields
            for key in fields[field].__dataclass_fields__
            if getattr(fields[field], key) != getattr(getattr(self, field), key)
        }
        build = remade(build, {name: thing for name, thing in fields.items() if name not in ("parts", "settings")})
        for key, thing in given.items():
            old = getattr(self.parts, key, None)
            is_altered = key in SLOTS and old is not None and thing is not None and old.name == thing.name
            build = build.with_altered(thing, (key,)) if is_altered else build.in_every_size(key, thing)
        return build

    def in_size(self, name: str) -> Self:
        """The build in another size, with the parts and settings that it has there."""
        if name == self.size:
            return self
        own = {one.name: one for one in self.by_size}.get(name)
        held = {
            key: self.otherwise.held(key) if own is None or key not in own.said else own.held(key)
            for key in self.otherwise.said
        }
        return remade(self, {"size": name, **_holding(self, held)})

    def held(self, key: str) -> Any:
        """The part at a place, or the value of a setting."""
        return getattr(self.parts if key in SLOTS else self.settings, key)

    def otherwise_held(self, key: str) -> Any:
        """What the sizes have that say nothing of their own."""
        return self.otherwise.held(key) if key in self.otherwise.said else self.held(key)

    def sizes_of(self, key: str) -> tuple[str, ...]:
        """Sizes that have a part or a setting of their own."""
        return tuple(one.name for one in self.by_size if key in one.said)

    def in_every_size(self, key: str, thing: Any) -> Self:
        """The build with a part or a setting that holds in every size, whatever a size said before."""
        by_size = tuple(kept for one in self.by_size if (kept := one.silent_on(key)).said)
        return remade(
            self, {**_holding(self, {key: thing}), "by_size": by_size, "otherwise": self.otherwise.silent_on(key)}
        )

    def in_one_size(self, size: str, key: str, thing: Any) -> Self:
        """The build with a part or a setting that one size has for itself."""
        own = {one.name: one for one in self.by_size}.get(size, InSize(name=size)).saying(key, thing)
        by_size = (*(one for one in self.by_size if one.name != size), own)
        order = [one.name for one in self.frame.sizes]
        by_size = tuple(sorted(by_size, key=lambda one: order.index(one.name) if one.name in order else len(order)))
        otherwise = self.otherwise
        if key not in otherwise.said:
            otherwise = otherwise.saying(key, self.held(key))
        here = _holding(self, {key: thing}) if size == self.size else {}
        return remade(self, {**here, "by_size": by_size, "otherwise": otherwise})

    def in_no_size(self, size: str, key: str) -> Self:
        """The build in whose size a part or a setting is that of the other sizes again."""
        by_size = tuple(kept for one in self.by_size if (kept := one.silent_on(key) if one.name == size else one).said)
        here = _holding(self, {key: self.otherwise.held(key)}) if size == self.size else {}
        build = remade(self, {**here, "by_size": by_size})
        return build if build.sizes_of(key) else remade(build, {"otherwise": self.otherwise.silent_on(key)})

    def with_sizes_of(self, frame: Frame) -> Self:
        """The build without what it has for sizes that a frame does not have."""
        known, build = {size.name for size in frame.sizes}, self
        for one in self.by_size:
            for key in () if one.name in known else one.said:
                build = build.in_no_size(one.name, key)
        return build

    def with_size_like(self, size: str, copy: str) -> Self:
        """The build that has for a copied size what it has for the one that was copied."""
        build = self
        for one in self.by_size:
            for key in one.said if one.name == size else ():
                build = build.in_one_size(copy, key, one.held(key))
        return build

    def in_other_sizes(self, key: str, thing: Any) -> Self:
        """The build with a part or a setting for all sizes that have none of their own."""
        if key not in self.otherwise.said:
            return self.in_every_size(key, thing)
        here = {} if self.size in self.sizes_of(key) else _holding(self, {key: thing})
        return remade(self, {**here, "otherwise": self.otherwise.saying(key, thing)})

    def with_altered(self, part: Part, slots: Iterable[str]) -> Self:
        """The build with a part in place of the one of its name at some places, in whichever sizes it is there."""
        slots = tuple(slots)
        fields: dict[str, Any] = {"parts": _exchanged(self.parts, part, slots)}
        if self.by_size:
            fields["by_size"] = tuple(
                remade(one, {"parts": _exchanged(one.parts, part, slots)}) for one in self.by_size
            )
            fields["otherwise"] = remade(self.otherwise, {"parts": _exchanged(self.otherwise.parts, part, slots)})
        return remade(self, fields)

    def fitted(self, slot: str) -> tuple[Any, ...]:
        """Every part that the build has at a place, in whichever sizes: its own size's first; unknown ones left out."""
        others = (one.held(slot) for one in (self.otherwise, *self.by_size) if slot in one.said)
        return tuple({part.name: part for part in (getattr(self.parts, slot), *others) if part is not None}.values())


def _holding(owner: Any, things: dict[str, Any]) -> dict[str, Any]:
    """Fields ``parts`` and ``settings`` of a build, or of what a size says, with other things in them."""
    parts = {key: thing for key, thing in things.items() if key in SLOTS}
    settings = {key: thing for key, thing in things.items() if key not in SLOTS}
    found: dict[str, Any] = {}
    if parts:
        found["parts"] = remade(owner.parts, parts)
    if settings:
        found["settings"] = remade(owner.settings, settings)
    return found


def _exchanged(parts: Parts, part: Part, slots: Iterable[str]) -> Parts:
    """Parts with one in place of those of its name."""
    found = [slot for slot in slots if (held := getattr(parts, slot)) is not None and held.name == part.name]
    return remade(parts, dict.fromkeys(found, part)) if found else parts


def remade(old: V, fields: dict[str, Any]) -> V:
    """A frozen value again with some fields replaced; the new fields are checked, the others were.

    Raises
    ------
    ModelError
        If a field may not have that value: says which, what was found and what is allowed.
    """
    kept = {name: getattr(old, name) for name in old.__dataclass_fields__}  # type: ignore[attr-defined]
    new = sound(type(old), {**kept, **fields})
    carry_texts(old, new, fields)
    return new


def sound(cls: type[V], fields: dict[str, Any]) -> V:
    """A value of a type from its fields, all of them checked; raises `ModelError` as `remade` does."""
    try:
        return cls(**fields)
    except ValidationError as error:
        raise ModelError("; ".join(_told(cls, detail) for detail in error.errors(include_url=False))) from None


def _told(cls: type, detail: ErrorDetails) -> str:
    """One fault of a field in the words that a file's fault has."""
    field = str(detail["loc"][0]) if detail["loc"] else ""
    found, allowed, remedy = words_of(detail, cls, field)
    told = [f"{field}: found {found}"] if field else [f"found {found}"]
    told += [f"allowed: {allowed}"] if allowed else []
    return "; ".join(told) + f". {remedy}".rstrip()

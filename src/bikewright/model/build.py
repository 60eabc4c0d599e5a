"""A build: one size of one frame with particular parts on it, set up for one rider. Data only.

A build is frozen. Changing it makes another (`Build.changed`), and the new values are checked again.
"""

from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import Field, ValidationError
from pydantic_core import ErrorDetails

from bikewright.errors import ModelError
from bikewright.model.digest import carry_texts
from bikewright.model.faults import words_of
from bikewright.model.frame import Frame, Size
from bikewright.model.parts import (
    Bar,
    Cassette,
    Crank,
    Fork,
    Grip,
    Headset,
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
        """The same build with some fields replaced and checked; the original is untouched."""
        return remade(self, fields)


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

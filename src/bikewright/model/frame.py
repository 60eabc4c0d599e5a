"""The frame: its sizes, its linkage as bodies and pins, its limits and outlines. Data only, in workshop units.

Frame axes: origin at the bottom-bracket centre, x forward and parallel to the ground in the datum build,
z up. Pins are drawn at the datum shock's full length in the reference position of every chip; the shapes
of the links follow from that drawing.
"""

from typing import Annotated

from pydantic import Field

from bikewright.model.values import (
    Count,
    Deg,
    Listed,
    MaybeDeg,
    MaybeGram,
    MaybeMm,
    Mm,
    Name,
    Named,
    Number,
    Pct,
    Point,
    Text,
    value,
)

FRAME, SHOCK, WHEEL = "frame", "shock", "wheel"
"""The three bodies with a meaning of their own: the one that stands still, the one that drives, the axle's."""


@value
class Datum:
    """What the geometry table was stated at: the fork, the headset and the tyres of the datum build."""

    fork_length_mm: Mm = Field(ge=300, le=800)
    """Axle to crown, extended."""
    fork_offset_mm: MaybeMm = Field(default=None, ge=0, le=120)
    """Unknown: solved from the stated wheelbase."""
    lower_stack_mm: Mm = Field(default=0.0, ge=0, le=60)
    upper_offset_mm: Mm = Field(default=0.0, ge=-15, le=15)
    lower_offset_mm: Mm = Field(default=0.0, ge=-15, le=15)
    front_radius_mm: Mm = Field(ge=200, le=450)
    """Tyre radius, inflated and unloaded."""
    rear_radius_mm: Mm = Field(ge=200, le=450)


@value
class Pin:
    """A pin of the linkage, as drawn, and the bodies that it joins.

    A pin that names one body besides ``wheel`` or an idler is a marked point on that body.
    """

    name: Name
    x_mm: Mm = Field(ge=-1500, le=1500)
    z_mm: Mm = Field(ge=-800, le=1500)
    joins: Annotated[tuple[Name, ...], Listed, Field(min_length=1, max_length=5)]


@value
class MovedPin:
    """A pin's own place in one size."""

    name: Name
    x_mm: MaybeMm = Field(default=None, ge=-1500, le=1500)
    z_mm: MaybeMm = Field(default=None, ge=-800, le=1500)


@value
class ChipPosition:
    """One position of a flip chip: how far it moves its pin on its body."""

    name: Name
    dx_mm: Mm = Field(default=0.0, ge=-40, le=40)
    dz_mm: Mm = Field(default=0.0, ge=-40, le=40)


@value
class Chip:
    """A flip chip: it moves one pin on one body. Its first position is the one that is drawn."""

    name: Name
    pin: Name
    body: Name
    positions: Annotated[tuple[ChipPosition, ...], Named, Field(min_length=2, max_length=6)]


@value
class Idler:
    """A chain idler on one of the linkage's pins."""

    name: Name
    pin: Name
    teeth: Annotated[Count, Field(ge=8, le=40)]


@value
class BodySize:
    """How wide a link is and what it looks like from the side: what a heel has to pass."""

    name: Name
    half_width_mm: MaybeMm = Field(default=None, ge=5, le=150)
    """Outer face, from the middle of the bike."""
    boss_mm: Mm = Field(default=14.0, ge=0, le=60)
    """Radius round each of its pins; between two pins the link is as high."""
    points_mm: Annotated[tuple[Point, ...], Listed, Field(max_length=60)] = ()
    """Its outline in place of the bosses, as drawn with its pins, corner by corner; empty: bosses and what joins
    them."""


@value
class Linkage:
    """A planar linkage: the pins say which bodies there are and what joins them."""

    pins: Annotated[tuple[Pin, ...], Named, Field(min_length=3, max_length=40)]
    brake_on: Name
    """The body that carries the rear brake caliper."""
    chips: Annotated[tuple[Chip, ...], Named] = ()
    idlers: Annotated[tuple[Idler, ...], Named] = ()
    bodies: Annotated[tuple[BodySize, ...], Named] = ()
    """Links that the heel passes; the others are not looked at."""
    shock_extension_mm: Mm = Field(default=0.0, ge=0, le=300)
    """A yoke fixed in line with the shock: what it adds to the length from pin to pin."""

    @property
    def axle_pin(self) -> Pin | None:
        """The pin that joins the wheel, as drawn; None where there is none."""
        return next((pin for pin in self.pins if WHEEL in pin.joins), None)

    def pin(self, name: str) -> Pin:
        """The pin of that name; `KeyError` where there is none (the reader has checked the names)."""
        return {pin.name: pin for pin in self.pins}[name]


@value
class SizeLinkage:
    """What one size changes in the common linkage."""

    shift_x_mm: Mm = Field(default=0.0, ge=-80, le=80)
    """The whole linkage, moved along the frame; the shapes of the links stay."""
    shift_z_mm: Mm = Field(default=0.0, ge=-80, le=80)
    pins: Annotated[tuple[MovedPin, ...], Named] = ()
    own_links: Annotated[tuple[Name, ...], Listed] = ()
    """Links that this size has made for itself, so that its pins may reshape them."""


@value
class Size:
    """One row of the geometry table. What is absent is unknown, or follows from the rest."""

    name: Name
    reach_mm: Mm = Field(ge=250, le=650)
    stack_mm: Mm = Field(ge=400, le=850)
    head_angle_deg: Deg = Field(ge=50, le=80)
    head_tube_mm: MaybeMm = Field(default=None, ge=60, le=300)
    seat_angle_deg: MaybeDeg = Field(default=None, ge=60, le=90)
    """Effective: from the bottom bracket to the seat-tube axis at the height of the stack."""
    seat_tube_angle_deg: MaybeDeg = Field(default=None, ge=50, le=90)
    """Actual: of the tube itself."""
    seat_tube_offset_mm: MaybeMm = Field(default=None, ge=-150, le=150)
    """Where the seat tube's axis passes the height of the bottom bracket; positive ahead of it."""
    seat_tube_mm: MaybeMm = Field(default=None, ge=250, le=650)
    """To the collar, along the tube's axis from the height of the bottom bracket."""
    seat_tube_bend_mm: MaybeMm = Field(default=None, ge=30, le=500)
    """From the collar down to where a post can go no further: a bend, a pivot, a bottle boss."""
    stay_outer_mm: MaybeMm = Field(default=None, ge=20, le=200)
    """Outer face of stay or rocker where the heel passes, from the middle of the bike."""
    rear_centre_mm: MaybeMm = Field(default=None, ge=350, le=550)
    bb_drop_mm: MaybeMm = Field(default=None, ge=-80, le=120)
    """Bottom bracket below the rear axle."""
    bb_height_mm: MaybeMm = Field(default=None, ge=200, le=480)
    wheelbase_mm: MaybeMm = Field(default=None, ge=900, le=1500)
    top_tube_ahead_mm: MaybeMm = Field(default=None, ge=0, le=500)
    """Where standover is measured: this far ahead of the bottom bracket ..."""
    top_tube_height_mm: MaybeMm = Field(default=None, ge=100, le=800)
    """... and the top of the top tube there, above the bottom bracket."""
    top_tube_diameter_mm: MaybeMm = Field(default=None, ge=15, le=100)
    top_tube_below_mm: MaybeMm = Field(default=None, ge=0, le=250)
    """Upper head-tube face down to where the top tube's middle line meets the head tube's, along the head tube."""
    saddle_height_mm: MaybeMm = Field(default=None, ge=450, le=1000)
    """Bottom bracket to the top of the saddle, for a rider of the middle of this size."""
    linkage: SizeLinkage = SizeLinkage()


@value
class Limits:
    """What the frame allows; exceeding one is refused."""

    fork_length_max_mm: MaybeMm = Field(default=None, ge=300, le=800)
    fork_travel_max_mm: MaybeMm = Field(default=None, ge=0, le=250)
    shock_stroke_max_mm: MaybeMm = Field(default=None, gt=0, le=150)
    shock_diameter_max_mm: MaybeMm = Field(default=None, gt=20, le=150)
    """Widest shock body or coil that clears the frame over the whole travel."""
    rear_tyre_width_max_mm: MaybeMm = Field(default=None, gt=20, le=150)
    ring_teeth_max: Annotated[Count | None, Field(ge=18, le=60)] = None
    bead_seats_mm: Annotated[tuple[Number, ...], Listed] = ()
    """Rear wheel sizes that fit, by bead seat diameter; empty: any."""


@value
class Outline:
    """The edge of a tube or stay in frame axes, for clearances; ``near`` says which tyre may touch it."""

    name: Name
    near: Annotated[str, Field(pattern="^(front_tyre|rear_tyre)$")]
    sizes: Annotated[tuple[Name, ...], Listed] = ()
    """Sizes that it holds for; empty: for every size."""
    points_mm: Annotated[tuple[Point, ...], Listed, Field(min_length=2, max_length=60)]


@value
class Frame:
    """A frame in all its sizes."""

    name: Name
    maker: Text = ""
    revision: Text = ""
    reason: Text = ""
    """Why this revision differs from the one it is based on."""
    based_on: Text = ""
    datum: Datum
    sizes: Annotated[tuple[Size, ...], Named, Field(min_length=1, max_length=20)]
    linkage: Linkage | None = None
    limits: Limits = Limits()
    outlines: Annotated[tuple[Outline, ...], Named] = ()
    mass_g: MaybeGram = Field(default=None, gt=0, le=15_000)
    """Frame with its links, without the shock, in the middle size."""
    rear_share_pct: Pct = Field(default=25.0, ge=0, le=60)
    """Share of the frame's mass that moves with the rear axle: stays, dropouts, half of the links."""
    mass_ahead_mm: Mm = Field(default=150.0, ge=-200, le=500)
    """Centre of mass of what does not move with the axle, ahead of the bottom bracket ..."""
    mass_above_mm: Mm = Field(default=280.0, ge=-100, le=700)
    """... and above it."""

    def size(self, name: str) -> Size:
        """The size of that name; `KeyError` where there is none."""
        return {size.name: size for size in self.sizes}[name]

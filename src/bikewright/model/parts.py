"""Parts: what may be bolted to a frame. Data only, in workshop units.

Forks and shocks are assemblies: a chassis, a spring side that sets travel and length, a damper, mount
hardware. A part is described, not branded, and says what was cut or changed on this very copy.
"""

from math import tan
from typing import Annotated, Literal

from pydantic import Field

from bikewright.model.values import (
    Count,
    Flag,
    Listed,
    MaybeBar,
    MaybeCm2,
    MaybeCm3,
    MaybeCount,
    MaybeDeg,
    MaybeGram,
    MaybeMm,
    MaybeN,
    MaybeNPerMm,
    MaybePct,
    Mm,
    MmPerS,
    Name,
    Newton,
    NPerMm,
    NSPerMm,
    Number,
    Pct,
    Text,
    value,
)
from bikewright.units import DEG


@value
class History:
    """What happened to this copy of a part, and why it is on the bike."""

    changed: Text = ""
    """What was cut, machined or exchanged."""
    age_hours: Annotated[Number | None, Field(ge=0)] = None
    """Hours ridden since new or since service; unknown when absent."""
    chosen_because: Text = ""


@value
class Part:
    """What every part has: a name in its file, a description and a mass."""

    name: Name
    describe: Text = ""
    mass_g: MaybeGram = Field(default=None, ge=0, le=20_000)
    history: History = History()


@value
class AirChamber:
    """An air spring: the air shaft sets the travel; chambers and piston set the force."""

    kind: Literal["air"] = "air"
    travel_mm: MaybeMm = Field(default=None, gt=0, le=250)
    """Travel that this air shaft gives; for a rear shock the chassis' stroke holds and this stays unknown."""
    piston_area_cm2: MaybeCm2 = Field(default=None, gt=0, le=60)
    positive_volume_cm3: MaybeCm3 = Field(default=None, gt=0, le=1500)
    """Positive chamber, extended, without volume spacers."""
    negative_volume_cm3: MaybeCm3 = Field(default=None, gt=0, le=1000)
    """Negative chamber, extended."""
    negative_area_cm2: MaybeCm2 = Field(default=None, gt=0, le=60)
    spacer_volume_cm3: MaybeCm3 = Field(default=None, gt=0, le=100)
    """Volume of one volume spacer."""
    spacers_max: MaybeCount = Field(default=None, ge=0, le=20)
    port_mm: MaybeMm = Field(default=None, ge=0, le=60)
    """Stroke from full extension at which the equalising port gives both chambers one pressure."""
    port_open_extended: Flag = True
    """Whether both chambers stay joined from full extension to the port; false for a dimple in the tube."""
    pressure_min_bar: MaybeBar = Field(default=None, ge=0, le=40)
    pressure_max_bar: MaybeBar = Field(default=None, gt=0, le=40)


@value
class Coil(Part):
    """A coil spring. A measured rate is believed before the printed one."""

    name: Name = "coil"
    kind: Literal["coil"] = "coil"
    travel_mm: MaybeMm = Field(default=None, gt=0, le=250)
    """Travel, for a fork's coil."""
    rate_n_per_mm: NPerMm = Field(gt=0, le=400)
    """Rate printed on the coil."""
    measured_rate_n_per_mm: MaybeNPerMm = Field(default=None, gt=0, le=400)
    end_rate_n_per_mm: MaybeNPerMm = Field(default=None, gt=0, le=600)
    """Rate at the end of the stroke, for a progressive coil."""
    stroke_to_bind_mm: MaybeMm = Field(default=None, gt=0, le=300)
    preload_mm_per_turn: MaybeMm = Field(default=None, gt=0, le=5)
    preload_max_turns: Annotated[Number | None, Field(gt=0, le=20)] = None
    wire_mm: MaybeMm = Field(default=None, gt=0.5, le=30)
    """Diameter of the wire."""
    mean_diameter_mm: MaybeMm = Field(default=None, gt=5, le=150)
    """Diameter of the coil from wire centre to wire centre."""
    active_turns: Annotated[Number | None, Field(gt=0, le=60)] = None
    """Turns that bend; two fewer than there are where the ends are squared."""

    @property
    def outer_diameter_mm(self) -> float | None:
        """Outside of the coil: mean diameter and one wire; unknown while either is."""
        if self.wire_mm is None or self.mean_diameter_mm is None:
            return None
        return self.mean_diameter_mm + self.wire_mm

    @property
    def rate_used_n_per_mm(self) -> float:
        """The rate that calculations use: measured where it is known, printed otherwise."""
        return self.rate_n_per_mm if self.measured_rate_n_per_mm is None else self.measured_rate_n_per_mm


Spring = Annotated[AirChamber | Coil, Field(discriminator="kind")]


@value
class Bumper:
    """What softens the end of the stroke: a measured table, from 0 N at contact to full stroke."""

    contact_before_end_mm: Mm = Field(gt=0, le=100)
    """Stroke left when it touches."""
    compression_mm: Annotated[tuple[Mm, ...], Listed, Field(min_length=2, max_length=40)]
    """Compression of the bumper in each row, rising from 0."""
    force_n: Annotated[tuple[Newton, ...], Listed, Field(min_length=2, max_length=40)]
    """Force in each row, from 0."""


@value
class TopOut:
    """A spring that pulls the shaft in over the first of the stroke, so that extension ends softly."""

    length_mm: Mm = Field(gt=0, le=60)
    """Stroke from full extension at which it lets go."""
    rate_n_per_mm: NPerMm = Field(gt=0, le=200)


@value
class Friction:
    """What holds a shaft back; unknown where it was not measured."""

    breakaway_n: MaybeN = Field(default=None, ge=0, le=500)
    """Of seals and rings, without side load: half of the gap between loading and unloading."""
    bushing_pct: MaybePct = Field(default=None, ge=0, le=50)
    """Coefficient of the bushings: friction in per cent of the load on them."""


@value
class Knee:
    """Damping as two straight lines: one coefficient up to a shaft speed, another above it."""

    low_n_s_per_mm: NSPerMm = Field(gt=0, le=100)
    """Force for each mm/s below the knee."""
    knee_mm_s: MmPerS = Field(gt=0, le=5000)
    """Shaft speed at which the valve opens."""
    high_n_s_per_mm: NSPerMm = Field(ge=0, le=100)
    """Further force for each further mm/s."""


@value
class Circuit:
    """What one dial of a damper does: a measured table, or coefficients at both of its ends.

    Speeds and forces are written without sign: the circuit says which way the shaft moves.
    """

    clicks: Annotated[tuple[Count, ...], Listed, Field(max_length=61)] = ()
    """Positions of the dial that were measured, counted from the damper's counted end, rising."""
    speed_mm_s: Annotated[tuple[MmPerS, ...], Listed, Field(max_length=60)] = ()
    """Shaft speeds that were measured, rising, the same at every position."""
    force_n: Annotated[tuple[Annotated[tuple[Newton, ...], Listed], ...], Listed, Field(max_length=61)] = ()
    """Force at each speed, one row for each position."""
    other_clicks: MaybeCount = Field(default=None, ge=0, le=60)
    """Where the other compression dial stood meanwhile."""
    closed: Knee | None = None
    """Coefficients with the dial closed, where no table was measured."""
    open: Knee | None = None
    """Coefficients with the dial open."""


@value
class Damper:
    """What can be turned on a damper. Clicks are counted on this unit and name their end."""

    rebound_clicks: MaybeCount = Field(default=None, ge=0, le=60)
    """Clicks from end to end, counted on this unit."""
    compression_clicks: MaybeCount = Field(default=None, ge=0, le=60)
    """Of the compression dial, or of the low-speed one where there are two."""
    high_compression_clicks: MaybeCount = Field(default=None, ge=0, le=60)
    """Of the high-speed compression dial; unknown where there is none."""
    counted_from: Literal["closed", "open"] = "closed"
    clicks_per_turn: Annotated[Number | None, Field(gt=0, le=60)] = None
    """Where the part counts turns."""
    rebound: Circuit = Circuit()
    compression: Circuit = Circuit()
    high_compression: Circuit = Circuit()


@value
class ForkChassis:
    """Crown, stanchions and lowers; one chassis takes several air shafts."""

    crowns: Literal["single", "double", "rigid"] = "single"
    bottomed_length_mm: Mm = Field(ge=250, le=650)
    """Axle to crown with the fork fully compressed; the spring side adds its travel to this."""
    offset_mm: Mm = Field(ge=0, le=120)
    """Fork offset: axle ahead of the steering axis, square to it."""
    stanchion_mm: MaybeMm = Field(default=None, gt=20, le=60)
    travel_max_mm: MaybeMm = Field(default=None, ge=0, le=250)
    tyre_width_max_mm: MaybeMm = Field(default=None, gt=20, le=150)
    lower_air_volume_cm3: MaybeCm3 = Field(default=None, gt=0, le=3000)
    """Air in both lower legs, extended, oil taken off."""
    lower_air_area_cm2: MaybeCm2 = Field(default=None, gt=0, le=60)
    """By which that air shrinks with the stroke: both stanchions' outer sections less the shafts'."""
    axle_to_bushing_mm: MaybeMm = Field(default=None, ge=0, le=500)
    """Axle to the middle of the lower bushing, along the stanchions."""
    bushing_spacing_mm: MaybeMm = Field(default=None, gt=0, le=400)
    """Between the middles of the two bushings of a leg."""
    pressure_note: Text = ""


@value
class Fork(Part):
    """A fork as an assembly."""

    lowers_pct: Pct = Field(default=45.0, ge=0, le=100)
    """Share of the fork's mass that moves with the axle."""
    chassis: ForkChassis
    spring: Spring | None = None
    """Absent for a rigid fork."""
    damper: Damper | None = None
    bumper: Bumper | None = None
    top_out: TopOut | None = None
    friction: Friction = Friction()

    @property
    def travel_mm(self) -> float:
        """Travel along the steering axis; a rigid fork has none."""
        return 0.0 if self.spring is None or self.spring.travel_mm is None else self.spring.travel_mm

    @property
    def axle_to_crown_mm(self) -> float:
        """Axle to crown with the fork extended."""
        return self.chassis.bottomed_length_mm + self.travel_mm


@value
class ShockChassis:
    """Body, shaft and eyes of a rear shock."""

    eye_to_eye_mm: Mm = Field(ge=90, le=400)
    """Pin to pin with the shock extended."""
    stroke_mm: Mm = Field(gt=0, le=150)
    """Stroke as made, without a stroke reducer."""
    stroke_reducer_mm: Mm = Field(default=0.0, ge=0, le=30)
    """Spacer inside the shock that shortens its stroke; the length stays."""
    coil_allowed: Flag | None = None
    """Whether the maker allows a coil on this chassis; unknown when absent."""


@value
class MountHardware:
    """Bushings and pins at the two eyes."""

    upper_width_mm: MaybeMm = Field(default=None, gt=0, le=120)
    lower_width_mm: MaybeMm = Field(default=None, gt=0, le=120)
    bolt_mm: MaybeMm = Field(default=None, gt=0, le=20)
    turn_max_deg: MaybeDeg = Field(default=None, gt=0, le=90)
    """How far the bushings of an eye may turn over the stroke; unknown where their maker does not say."""


@value
class Shock(Part):
    """A rear shock as an assembly."""

    chassis: ShockChassis
    spring: Spring | None = None
    damper: Damper | None = None
    bumper: Bumper | None = None
    top_out: TopOut | None = None
    friction: Friction = Friction()
    hardware: MountHardware = MountHardware()

    @property
    def stroke_mm(self) -> float:
        """Stroke that is left with the stroke reducer in."""
        return self.chassis.stroke_mm - self.chassis.stroke_reducer_mm


@value
class Headset(Part):
    """Headset cups: where the steering axis lies in the head tube, and the stacks above and below it.

    A cup is given by its axis offsets at the two faces, or by a printed angle, which holds at one
    head-tube length only.
    """

    upper_stack_mm: Mm = Field(default=0.0, ge=0, le=80)
    """Moves the hands only."""
    lower_stack_mm: Mm = Field(default=0.0, ge=0, le=60)
    """Adds to the fork."""
    upper_offset_mm: Mm = Field(default=0.0, ge=-15, le=15)
    """Steering axis ahead of the head-tube axis at the upper face, square to it."""
    lower_offset_mm: Mm = Field(default=0.0, ge=-15, le=15)
    """The same at the lower face."""
    printed_angle_deg: MaybeDeg = Field(default=None, ge=-3, le=3)
    """Angle printed on an angle cup; positive makes the head angle slacker."""
    printed_at_head_tube_mm: MaybeMm = Field(default=None, gt=60, le=250)
    """Head-tube length at which the printed angle holds."""
    turn_max_deg: MaybeDeg = Field(default=None, ge=20, le=180)
    """How far a stop lets the bar turn from straight ahead; unknown: there is no stop, half a turn."""

    @property
    def axis_offsets_mm(self) -> tuple[float, float]:
        """Offsets of the steering axis at the upper and the lower face, the printed angle included.

        A positive angle is slacker: going up, the axis leans further back, so it sits behind at the upper
        face and ahead at the lower one, each by half of the lean over the head tube.
        """
        lean_mm = 0.0
        if self.printed_angle_deg is not None and self.printed_at_head_tube_mm is not None:
            lean_mm = 0.5 * self.printed_at_head_tube_mm * tan(self.printed_angle_deg * DEG)
        return self.upper_offset_mm - lean_mm, self.lower_offset_mm + lean_mm


@value
class Stem(Part):
    """A stem."""

    length_mm: Mm = Field(ge=-20, le=150)
    rise_deg: MaybeDeg = Field(default=0.0, ge=-45, le=45)
    """From the square to the steering axis, up."""
    clamp_height_mm: Mm = Field(default=40.0, gt=0, le=80)
    """Height of the steerer clamp; the bar's centre sits at half of it."""


@value
class Bar(Part):
    """A handlebar."""

    width_mm: Mm = Field(ge=350, le=1000)
    """ISO 4210-2 allows 350 to 1000 mm (from memory)."""
    rise_mm: Mm = Field(default=0.0, ge=-60, le=130)
    back_sweep_deg: MaybeDeg = Field(default=7.0, ge=0, le=60)
    up_sweep_deg: MaybeDeg = Field(default=5.0, ge=-20, le=20)
    bend_from_centre_mm: Mm = Field(default=90.0, ge=0, le=300)
    """Where the straight swept part begins, from the middle."""


@value
class Grip(Part):
    """A grip."""

    length_mm: Mm = Field(default=133.0, gt=60, le=250)
    hand_from_end_mm: Mm = Field(default=65.0, ge=0, le=200)
    """Middle of the hand, from the end of the bar."""
    diameter_mm: Mm = Field(default=32.0, ge=20, le=60)


@value
class Seatpost(Part):
    """A seatpost, dropper or fixed."""

    drop_mm: Mm = Field(default=0.0, ge=0, le=300)
    length_mm: MaybeMm = Field(default=None, gt=0, le=700)
    """Lower end of the tube to the rail clamp, extended."""
    setback_mm: Mm = Field(default=0.0, ge=-30, le=60)
    """Clamp behind the seat-tube axis, square to it."""
    insertion_min_mm: MaybeMm = Field(default=None, ge=0, le=200)
    """What must stay below the collar."""
    insertion_max_mm: MaybeMm = Field(default=None, gt=0, le=500)
    """What it needs below the collar when it is pushed in fully, with hose or cable."""
    stack_mm: MaybeMm = Field(default=None, gt=0, le=150)
    """Collar to rail clamp, pushed in fully and lowered."""


@value
class Saddle(Part):
    """A saddle."""

    rail_to_top_mm: Mm = Field(default=45.0, gt=0, le=100)
    length_mm: MaybeMm = Field(default=None, gt=100, le=350)
    nose_to_sit_mm: MaybeMm = Field(default=None, gt=0, le=300)
    rail_range_mm: Mm = Field(default=20.0, ge=0, le=60)
    """How far the rails may move either way from their middle."""
    thickness_mm: Mm = Field(default=50.0, gt=0, le=150)
    """Sit point down to the lowest part over the wheel."""


@value
class Wheel(Part):
    """A wheel without its tyre."""

    bead_seat_mm: Mm = Field(ge=300, le=700)
    """Bead seat diameter (ISO 5775): 622, 584, 559."""
    rim_inner_mm: MaybeMm = Field(default=None, gt=10, le=80)
    rim_height_mm: MaybeMm = Field(default=None, gt=2, le=20)
    """Edge of the rim above the bead seat: where a tyre is pinched."""
    hooked: Flag | None = None
    """False for straight sides, which carry a tubeless tyre up to 5 bar; unknown when absent."""
    pressure_max_bar: MaybeBar = Field(default=None, gt=0, le=12)


@value
class Insert:
    """A foam ring inside a tyre."""

    height_mm: Mm = Field(gt=0, le=60)
    """Above the edge of the rim, before it is pressed."""
    rate_n_per_mm: MaybeNPerMm = Field(default=None, gt=0, le=500)
    """Of a stretch that an edge presses; unknown: it takes up no energy in the answer."""


@value
class Tyre(Part):
    """A tyre. A measured radius is believed before the one that follows from its width."""

    bead_seat_mm: Mm = Field(ge=300, le=700)
    width_mm: Mm = Field(gt=15, le=150)
    """Section width."""
    radius_mm: MaybeMm = Field(default=None, gt=200, le=450)
    """Measured, mounted and inflated, unloaded."""
    measured_on_mm: MaybeMm = Field(default=None, gt=10, le=80)
    """Inner width of the rim on which the section width was measured."""
    casing: Literal["light", "trail", "reinforced"] | None = None
    """How stiff the casing is by itself; unknown when absent, and then counted as nought."""
    tubeless: Flag = True
    insert: Insert | None = None
    pressure_min_bar: MaybeBar = Field(default=None, gt=0, le=12)
    pressure_max_bar: MaybeBar = Field(default=None, gt=0, le=12)

    @property
    def radius_used_mm(self) -> float:
        """Unloaded radius: measured, or bead seat radius plus section height taken as the width (ISO 5775)."""
        return self.bead_seat_mm / 2 + self.width_mm if self.radius_mm is None else self.radius_mm


@value
class Crank(Part):
    """Cranks and pedals."""

    length_mm: Mm = Field(ge=100, le=220)
    pedal_thickness_mm: Mm = Field(default=20.0, gt=0, le=60)
    toe_ahead_of_axle_mm: Mm = Field(default=90.0, ge=0, le=200)
    """Tip of the shoe ahead of the pedal axle."""
    pedal_outer_mm: MaybeMm = Field(default=None, gt=80, le=300)
    """Outer end of the pedal, from the middle of the bike."""
    arms_apart_mm: MaybeMm = Field(default=None, gt=80, le=300)
    """Between the outer faces of both arms at the pedals."""
    foot_from_arm_mm: MaybeMm = Field(default=None, ge=0, le=150)
    """Outer face of the arm to the middle of the foot."""


@value
class Ring(Part):
    """A chainring, or the bash guard around it."""

    teeth: Annotated[Count, Field(ge=18, le=60)]
    guard_radius_mm: MaybeMm = Field(default=None, gt=30, le=160)


@value
class Cassette(Part):
    """Rear sprockets, smallest first."""

    teeth: Annotated[tuple[Annotated[Count, Field(ge=9, le=60)], ...], Listed, Field(min_length=1, max_length=16)]


KINDS: dict[str, type[Part]] = {
    "fork": Fork,
    "shock": Shock,
    "headset": Headset,
    "stem": Stem,
    "bar": Bar,
    "grip": Grip,
    "seatpost": Seatpost,
    "saddle": Saddle,
    "wheel": Wheel,
    "tyre": Tyre,
    "crank": Crank,
    "ring": Ring,
    "cassette": Cassette,
    "coil": Coil,
}
"""Every kind of part, by the name of its table in ``parts/*.toml``."""

SLOTS: dict[str, str] = {
    "fork": "fork",
    "shock": "shock",
    "headset": "headset",
    "stem": "stem",
    "bar": "bar",
    "grip": "grip",
    "seatpost": "seatpost",
    "saddle": "saddle",
    "front_wheel": "wheel",
    "rear_wheel": "wheel",
    "front_tyre": "tyre",
    "rear_tyre": "tyre",
    "crank": "crank",
    "ring": "ring",
    "cassette": "cassette",
}
"""Every place on a bike and the kind of part that goes there."""

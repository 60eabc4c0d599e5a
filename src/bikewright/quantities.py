"""The catalogue: every quantity that is reported, declared once.

Tables, charts, brief, comparison, sheets, JSON and the words page read it. An entry is data: its key,
label in the trade's words, unit, decimals, one sentence of meaning, the smallest change that a rider
notices, and the theory page. No entry holds logic. Felt steps are common practice with no source; a
brief may override each of them.
"""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One reported number or curve, and how to show it."""

    key: str
    """Name in addresses, JSON and the brief; ends in its unit's suffix."""
    label: str
    unit: str
    """Suffix of `bikewright.units`, or empty for a pure ratio."""
    decimals: int
    meaning: str
    """One sentence."""
    family: str
    """What moves together when one cause acts: headlines of a comparison are made per family."""
    theory: str
    """Page in ``docs/theory`` that says how it is computed."""
    felt_step: float | None = None
    """Smallest change that an experienced rider notices; None where no rider feels it."""
    felt_as: Literal["absolute", "relative"] = "absolute"
    """Whether the step is in the quantity's unit or a share of its value."""
    scope: Literal["build", "state", "travel"] = "build"
    """One number a build, one a state, or a curve over the rear travel."""


FAMILIES: dict[str, str] = {
    "table": "geometry table",
    "attitude": "how the bike stands",
    "cockpit": "where the rider sits and stands",
    "length": "wheelbase and centres",
    "steering": "steering",
    "travel": "travel",
    "leverage": "leverage",
    "axle path": "axle path",
    "linkage": "linkage",
    "clearance": "clearances",
}
"""Families in the order in which tables list them, with their headings."""


def _state(key: str, label: str, unit: str, decimals: int, meaning: str, family: str, theory: str,
           step: float | None = None) -> Quantity:  # fmt: skip
    return Quantity(key=key, label=label, unit=unit, decimals=decimals, meaning=meaning, family=family,
                    theory=theory, felt_step=step, scope="state")  # fmt: skip


def _build(key: str, label: str, unit: str, decimals: int, meaning: str, family: str, theory: str,
           step: float | None = None) -> Quantity:  # fmt: skip
    return Quantity(key=key, label=label, unit=unit, decimals=decimals, meaning=meaning, family=family,
                    theory=theory, felt_step=step, scope="build")  # fmt: skip


def _curve(key: str, label: str, unit: str, decimals: int, meaning: str, family: str, theory: str,
           step: float | None = None) -> Quantity:  # fmt: skip
    return Quantity(key=key, label=label, unit=unit, decimals=decimals, meaning=meaning, family=family,
                    theory=theory, felt_step=step, scope="travel")  # fmt: skip


# One row a quantity: a table is easier to check against the trade's words when it is not folded.
# fmt: off
_ROWS = (
    # the geometry table
    _build("table_closing_mm", "left over along the steering axis", "mm", 1,
           "How much longer head tube, lower cup and fork are as stated than the printed angles, drop and radii need.",
           "table", "table"),
    _build("table_wheelbase_gap_mm", "stated wheelbase less solved", "mm", 1,
           "Difference between the wheelbase in the table and the one that the rest of the table gives.",
           "table", "table"),
    _build("table_rear_centre_gap_mm", "stated rear centre less drawn", "mm", 1,
           "Difference between the rear centre in the table and the axle pin of the linkage drawing.",
           "table", "table"),
    _build("table_bb_drop_gap_mm", "stated bottom-bracket drop less drawn", "mm", 1,
           "Difference between the drop in the table and the axle pin of the linkage drawing.",
           "table", "table"),
    _build("table_bb_height_gap_mm", "stated bottom-bracket height less solved", "mm", 1,
           "Difference between the height in the table and the one that drop and tyre give.",
           "table", "table"),
    _build("table_seat_angle_gap_deg", "stated seat angle less solved", "deg", 1,
           "Difference between the effective seat angle in the table and that of the tube's angle and offset.",
           "table", "table"),
    # how the bike stands
    _state("head_angle_deg", "head angle", "deg", 1,
           "Angle between the steering axis and the ground.", "attitude", "geometry", 0.3),
    _state("pitch_deg", "pitch", "deg", 2,
           "How far the frame is turned nose up from the attitude of its geometry table.", "attitude", "geometry"),
    _state("seat_angle_deg", "seat angle at stack height", "deg", 1,
           "Angle to the ground of the line from the bottom bracket to the seat-tube axis at the height of the stack.",
           "attitude", "geometry", 0.5),
    _state("seat_tube_angle_deg", "seat angle of the tube", "deg", 1,
           "Angle of the seat tube itself to the ground.", "attitude", "geometry"),
    _state("seat_angle_at_saddle_deg", "seat angle at saddle height", "deg", 1,
           "Angle to the ground of the line from the bottom bracket to this rider's saddle.",
           "attitude", "geometry", 0.5),
    _state("bb_height_mm", "bottom-bracket height", "mm", 0,
           "Bottom-bracket centre above the ground.", "attitude", "geometry", 3.0),
    _state("bb_drop_front_mm", "bottom-bracket drop, front axle", "mm", 0,
           "Bottom-bracket centre below the front axle.", "attitude", "geometry"),
    _state("bb_drop_rear_mm", "bottom-bracket drop, rear axle", "mm", 0,
           "Bottom-bracket centre below the rear axle.", "attitude", "geometry"),
    # where the rider sits and stands
    _state("reach_mm", "reach", "mm", 0,
           "Bottom bracket to the steering axis at the upper head-tube face, along the ground.",
           "cockpit", "geometry", 5.0),
    _state("stack_mm", "stack", "mm", 0,
           "The same point above the bottom bracket.", "cockpit", "geometry", 5.0),
    _state("frame_reach_mm", "reach of the frame alone", "mm", 0,
           "Bottom bracket to the head tube's own axis at its upper face, whatever the cups do.",
           "cockpit", "geometry"),
    _state("effective_top_tube_mm", "effective top tube", "mm", 0,
           "Level distance from the steering axis to the seat-tube axis at the height of the stack.",
           "cockpit", "geometry"),
    _state("hand_reach_mm", "hands ahead of bottom bracket", "mm", 0,
           "Bottom bracket to the middle of the hands, along the ground.", "cockpit", "cockpit", 5.0),
    _state("hand_height_mm", "hands above bottom bracket", "mm", 0,
           "Middle of the hands above the bottom bracket.", "cockpit", "cockpit", 5.0),
    _state("bar_height_mm", "bar height", "mm", 0,
           "Middle of the hands above the ground.", "cockpit", "cockpit", 5.0),
    _state("saddle_to_grip_mm", "saddle to grip", "mm", 0,
           "Level distance from the saddle's sit point to the middle of the hands.", "cockpit", "cockpit", 8.0),
    _state("saddle_to_grip_drop_mm", "drop from saddle to grip", "mm", 0,
           "How much higher the saddle is than the hands.", "cockpit", "cockpit", 8.0),
    _build("saddle_height_mm", "saddle height", "mm", 0,
           "Bottom bracket to the saddle's sit point.", "cockpit", "cockpit", 4.0),
    _build("bar_width_mm", "bar width", "mm", 0,
           "Width over the ends of the bar.", "cockpit", "cockpit", 10.0),
    _build("stem_length_mm", "stem length", "mm", 0,
           "Length of the stem, square to the steering axis when its rise is zero.", "cockpit", "cockpit", 5.0),
    _build("back_sweep_deg", "back sweep", "deg", 1,
           "How far the grips point backwards.", "cockpit", "cockpit", 1.0),
    _build("crank_length_mm", "crank length", "mm", 1,
           "Bottom bracket to pedal axle.", "cockpit", "cockpit", 5.0),
    # wheelbase and centres
    _state("front_centre_mm", "front centre", "mm", 0,
           "Bottom bracket to the front axle, straight.", "length", "geometry", 6.0),
    _state("front_centre_level_mm", "front centre, level", "mm", 0,
           "Bottom bracket to the front axle, along the ground.", "length", "geometry"),
    _state("rear_centre_mm", "rear centre", "mm", 0,
           "Bottom bracket to the rear axle, straight.", "length", "geometry", 5.0),
    _state("rear_centre_level_mm", "rear centre, level", "mm", 0,
           "Bottom bracket to the rear axle, along the ground.", "length", "geometry"),
    _state("wheelbase_mm", "wheelbase", "mm", 0,
           "Distance between the two places where the tyres touch the ground.", "length", "geometry", 12.0),
    # steering
    _state("trail_mm", "trail", "mm", 0,
           "Distance on the ground from the front contact forward to the steering axis.", "steering", "geometry", 3.0),
    _state("mechanical_trail_mm", "mechanical trail", "mm", 0,
           "Distance from the front contact to the steering axis, square to the axis.", "steering", "geometry"),
    _state("wheel_flop_mm", "wheel flop", "mm", 0,
           "Trail times sine and cosine of the head angle: how strongly the front end drops as it is steered.",
           "steering", "geometry"),
    # travel
    _build("fork_travel_mm", "fork travel", "mm", 0,
           "Travel of the fork along the steering axis.", "travel", "geometry", 5.0),
    _build("rear_travel_mm", "rear travel", "mm", 0,
           "Vertical travel of the rear axle with the frame held, from full extension to full shock stroke.",
           "travel", "linkage", 5.0),
    _build("shock_stroke_mm", "shock stroke", "mm", 1,
           "Stroke of the shock with its stroke reducer.", "travel", "linkage"),
    _state("fork_travel_used_mm", "fork travel used", "mm", 0,
           "Fork travel used in this state, along the steering axis.", "travel", "geometry"),
    _state("rear_travel_used_mm", "rear travel used", "mm", 0,
           "Wheel travel used at the rear in this state.", "travel", "linkage"),
    # leverage
    _build("leverage_start", "leverage at the start", "", 2,
           "Wheel travel for each millimetre of shock stroke, shock extended.", "leverage", "linkage", 0.08),
    _build("leverage_at_sag", "leverage at sag", "", 2,
           "The same at the stated sag.", "leverage", "linkage", 0.08),
    _build("leverage_end", "leverage at the end", "", 2,
           "The same at full stroke.", "leverage", "linkage", 0.08),
    _build("leverage_mean", "leverage, mean", "", 2,
           "Rear travel over shock stroke.", "leverage", "linkage", 0.08),
    _build("progression_pct", "progression", "pct", 1,
           "How much the leverage falls from start to end, as a share of the start.", "leverage", "linkage", 3.0),
    _build("progression_from_sag_pct", "progression from sag", "pct", 1,
           "How much the leverage falls from sag to the end, as a share of that at sag.", "leverage", "linkage", 3.0),
    _build("progression_last_fifth_pct", "progression, last fifth", "pct", 1,
           "How much the leverage falls over the last fifth of the wheel travel.", "leverage", "linkage", 3.0),
    _curve("leverage_ratio", "leverage ratio", "", 2,
           "Change of wheel travel for a change of shock stroke, through the travel.", "leverage", "linkage", 0.08),
    _curve("shock_used_mm", "shock stroke used", "mm", 1,
           "Shock stroke used, through the travel.", "leverage", "linkage"),
    # axle path
    _build("axle_rearmost_mm", "furthest backwards", "mm", 1,
           "How far behind its extended place the rear axle gets at the most.", "axle path", "linkage", 5.0),
    _build("rear_centre_growth_mm", "rear centre, growth to full travel", "mm", 1,
           "Change of the straight distance from bottom bracket to rear axle over the whole travel.",
           "axle path", "linkage", 5.0),
    _build("axle_path_angle_at_sag_deg", "axle path at sag, backwards", "deg", 1,
           "How far the axle's path leans backwards from the vertical at sag: the freewheeling answer to an edge.",
           "axle path", "linkage"),
    _curve("axle_x_mm", "axle path", "mm", 1,
           "Rear axle in frame axes, behind the bottom bracket, through the travel.", "axle path", "linkage"),
    _curve("axle_path_angle_deg", "axle path, backwards", "deg", 1,
           "Lean of the axle's path backwards from the vertical, through the travel.", "axle path", "linkage"),
    _curve("axle_path_radius_mm", "radius of the axle path", "mm", 0,
           "Radius of the circle that the axle follows for a moment.", "axle path", "linkage"),
    # linkage
    _build("instant_centre_x_at_sag_mm", "instant centre at sag, ahead", "mm", 0,
           "Point about which the axle's body turns for a moment, ahead of the bottom bracket.", "linkage", "linkage"),
    _build("instant_centre_z_at_sag_mm", "instant centre at sag, above", "mm", 0,
           "The same point above the bottom bracket.", "linkage", "linkage"),
    _build("caliper_turn_deg", "turn of the caliper's body", "deg", 1,
           "How far the body that carries the rear caliper turns over the travel; positive nose up.",
           "linkage", "linkage"),
    _build("shock_turn_deg", "turn of the shock", "deg", 1,
           "How far the shock turns over the travel: what its bushings and a coil have to bear.",
           "linkage", "linkage"),
    _build("nearest_dead_point_deg", "nearest to a dead point", "deg", 1,
           "Smallest angle between two arms that hold a joint: near zero the linkage locks or turns soft.",
           "linkage", "linkage"),
    _build("largest_pin_force", "largest pin force", "", 2,
           "Largest force on any pin over the travel, for one newton at the wheel.", "linkage", "linkage"),
    _curve("instant_centre_x_mm", "instant centre, ahead", "mm", 0,
           "Instant centre of the axle's body ahead of the bottom bracket, through the travel.", "linkage", "linkage"),
    _curve("instant_centre_z_mm", "instant centre, above", "mm", 0,
           "Instant centre of the axle's body above the bottom bracket, through the travel.", "linkage", "linkage"),
    _curve("caliper_angle_deg", "caliper's body", "deg", 1,
           "Turn of the body that carries the rear caliper, through the travel.", "linkage", "linkage"),
    _curve("shock_angle_deg", "shock", "deg", 1,
           "Turn of the shock, through the travel.", "linkage", "linkage"),
    _curve("pin_force", "pin force", "", 2,
           "Force on a pin for one newton at the wheel, through the travel; named by pin.", "linkage", "linkage"),
    # clearances
    _state("standover_mm", "standover", "mm", 0,
           "Top of the top tube above the ground, where the table measures it.", "clearance", "clearance", 10.0),
    _state("pedal_clearance_mm", "pedal to ground", "mm", 0,
           "Underside of the lower pedal above the ground.", "clearance", "clearance", 3.0),
    _state("pedal_lean_deg", "lean before the pedal strikes", "deg", 0,
           "Lean at which the lower pedal's outer edge touches flat ground.", "clearance", "clearance"),
    _state("toe_clearance_mm", "toe to front tyre", "mm", 0,
           "Shoe tip on a level crank to the front tyre, wheel straight.", "clearance", "clearance"),
    _state("ring_clearance_mm", "ring to ground", "mm", 0,
           "Lowest tooth or guard above the ground.", "clearance", "clearance", 3.0),
    _state("breakover_deg", "breakover", "deg", 0,
           "Steepest crest, as the angle that its two slopes make, over which ring or guard passes without touching.",
           "clearance", "clearance"),
    _state("front_tyre_clearance_mm", "front tyre to frame", "mm", 0,
           "Smallest gap between the front tyre and the outlines near it.", "clearance", "clearance"),
    _state("rear_tyre_clearance_mm", "rear tyre to frame", "mm", 0,
           "Smallest gap between the rear tyre and the outlines near it.", "clearance", "clearance"),
    _state("saddle_clearance_mm", "saddle to rear tyre", "mm", 0,
           "Gap between the underside of the lowered saddle and the rear tyre.", "clearance", "clearance"),
)
# fmt: on

CATALOGUE: dict[str, Quantity] = {row.key: row for row in _ROWS}
"""Every quantity by its key."""


STATES: dict[str, str] = {
    "table": "both ends extended, unloaded tyres, no rider: what a geometry chart and a tape mean",
    "stated-sag": "both ends at the stated sag, loaded tyres",
    "front-bottomed": "fork at full travel, rear extended",
    "rear-bottomed": "rear at full travel, fork extended",
    "both-bottomed": "both ends at full travel",
}
"""States that a build can be asked for, with what they mean."""

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
    scope: Literal["build", "state", "travel", "fork"] = "build"
    """One number a build, one a state, or a curve over the travel of the rear wheel or of the fork."""


FAMILIES: dict[str, str] = {
    "table": "geometry table",
    "attitude": "how the bike stands",
    "cockpit": "where the rider sits and stands",
    "length": "wheelbase and centres",
    "steering": "steering",
    "travel": "travel",
    "leverage": "leverage",
    "axle path": "axle path",
    "springs": "springs",
    "rest": "rest under load",
    "damping": "damping",
    "drive": "drive and brake",
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


def _share(key: str, label: str, unit: str, decimals: int, meaning: str, family: str, theory: str,
           step: float) -> Quantity:  # fmt: skip
    return Quantity(key=key, label=label, unit=unit, decimals=decimals, meaning=meaning, family=family,
                    theory=theory, felt_step=step, felt_as="relative")  # fmt: skip


def _fork_curve(key: str, label: str, unit: str, decimals: int, meaning: str, family: str,
                theory: str) -> Quantity:  # fmt: skip
    return Quantity(key=key, label=label, unit=unit, decimals=decimals, meaning=meaning, family=family,
                    theory=theory, scope="fork")  # fmt: skip


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
    _build("eye_turn_deg", "turn at the shock's eyes", "deg", 1,
           "How far the shock turns against what it is bolted to over the travel, at the eye where it turns more.",
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
    # springs
    _share("fork_force_mid_n", "fork force at half travel", "n", 0,
           "Force of the fork's spring along the steering axis at half its travel, slow.", "springs", "springs", 0.03),
    _build("fork_energy_j", "fork energy to the bottom", "j", 0,
           "Energy that a fast stroke of the fork takes up from full extension to the bottom, by its spring alone.",
           "springs", "springs"),
    _fork_curve("fork_force_n", "fork force", "n", 0,
                "Force of the fork's spring along the steering axis, slow, over the fork travel.",
                "springs", "springs"),
    _share("rear_force_mid_n", "rear force at half travel", "n", 0,
           "Force of the shock's spring at the rear wheel at half the wheel travel, slow.",
           "springs", "springs", 0.03),
    _share("rear_rate_at_sag_n_per_mm", "rear wheel rate at sag", "n_per_mm", 1,
           "Vertical rate at the rear wheel at the stated sag, from spring rate and leverage together.",
           "springs", "springs", 0.05),
    _build("rear_start_n", "rear force to start", "n", 0,
           "Force at the rear wheel at which the spring begins to give, friction apart.",
           "springs", "springs", 10.0),
    _build("rear_energy_j", "rear energy to the bottom", "j", 0,
           "Energy that a fast stroke of the shock takes up from full extension to the bottom, by its spring alone.",
           "springs", "springs"),
    _curve("rear_force_n", "rear wheel force", "n", 0,
           "Force of the shock's spring at the rear wheel, slow, through the travel.", "springs", "springs"),
    _curve("rear_rate_n_per_mm", "rear wheel rate", "n_per_mm", 1,
           "Vertical rate at the rear wheel, through the travel.", "springs", "springs"),
    _curve("shock_force_n", "shock force", "n", 0,
           "Force of the shock's spring, slow, through the travel.", "springs", "springs"),
    # rest under load
    _build("bike_mass_kg", "mass of the bike", "kg", 2,
           "Everything but the rider and what the rider carries.", "rest", "rest", 0.4),
    _build("unsprung_front_kg", "front unsprung mass", "kg", 2,
           "Wheel, tyre and lowers: what moves with the front axle.", "rest", "rest", 0.15),
    _build("unsprung_rear_kg", "rear unsprung mass", "kg", 2,
           "Wheel, tyre, sprockets and stays: what moves with the rear axle.", "rest", "rest", 0.15),
    _state("sag_front_pct", "front sag", "pct", 0,
           "Fork travel used at rest, of the stanchion's travel.", "rest", "rest", 2.0),
    _state("sag_rear_pct", "rear sag", "pct", 0,
           "Shock stroke used at rest, of the shock's stroke, as it is measured.", "rest", "rest", 2.0),
    _state("shock_stroke_used_mm", "shock stroke used", "mm", 1,
           "Millimetres at the ring on the shock's shaft.", "rest", "rest"),
    _state("front_share_pct", "share of weight on the front wheel", "pct", 0,
           "Load of the front wheel on the ground, of both wheels together.", "rest", "rest", 2.0),
    _state("front_load_n", "front wheel load", "n", 0,
           "Load of the front wheel square to the ground.", "rest", "rest"),
    _state("rear_load_n", "rear wheel load", "n", 0,
           "Load of the rear wheel square to the ground.", "rest", "rest"),
    _state("com_height_mm", "height of the centre of mass", "mm", 0,
           "Centre of mass of rider and bike above the ground.", "rest", "rest"),
    _state("com_ahead_mm", "centre of mass ahead of bottom bracket", "mm", 0,
           "Centre of mass of rider and bike ahead of the bottom bracket, along the ground.", "rest", "rest"),
    _state("fork_side_n", "side load on the fork", "n", 0,
           "Force across the fork at its axle, positive backwards.", "rest", "rest"),
    _state("front_tyre_drop_mm", "front tyre drop", "mm", 1,
           "How much lower the front axle stands on its loaded tyre.", "rest", "tyre"),
    _state("rear_tyre_drop_mm", "rear tyre drop", "mm", 1,
           "How much lower the rear axle stands on its loaded tyre.", "rest", "tyre"),
    _state("trunk_lean_deg", "lean of the trunk", "deg", 0,
           "Line from hip to shoulder, forward from plumb.", "rest", "posture"),
    _state("knee_least_deg", "straightest knee", "deg", 0,
           "Smallest bend of a knee: standing on level cranks, or seated over a turn of the cranks.",
           "rest", "posture"),
    _build("sag_front_least_pct", "front sag, loaded down", "pct", 0,
           "Front sag of the standing rider who sat down slowly, friction helping the spring.", "rest", "rest"),
    _build("sag_front_most_pct", "front sag, let up", "pct", 0,
           "Front sag of the standing rider who was let up slowly, friction holding the fork down.", "rest", "rest"),
    _build("sag_rear_least_pct", "rear sag, loaded down", "pct", 0,
           "Rear sag of the standing rider who sat down slowly, friction helping the spring.", "rest", "rest"),
    _build("sag_rear_most_pct", "rear sag, let up", "pct", 0,
           "Rear sag of the standing rider who was let up slowly, friction holding the shock down.", "rest", "rest"),
    _build("front_share_least_pct", "share on the front wheel, hips back", "pct", 0,
           "The standing rider's share with the hips as far back as the stance allows.", "rest", "rest"),
    _build("front_share_most_pct", "share on the front wheel, hips ahead", "pct", 0,
           "The standing rider's share with the hips as far forward as the stance allows.", "rest", "rest"),
    # damping
    _build("front_frequency_hz", "front frequency", "hz", 2,
           "How often a second the front end by itself would swing about its rest, rider standing, without damping.",
           "damping", "modes"),
    _build("rear_frequency_hz", "rear frequency", "hz", 2,
           "How often a second the rear end by itself would swing about its rest, rider standing, without damping.",
           "damping", "modes"),
    _build("heave_frequency_hz", "heave frequency", "hz", 2,
           "How often a second rider and bike would swing up and down on both ends, without damping.",
           "damping", "modes"),
    _build("pitch_frequency_hz", "pitch frequency", "hz", 2,
           "How often a second rider and bike would swing nose up and down on both ends, without damping.",
           "damping", "modes"),
    _build("heave_centre_mm", "centre of heave, ahead", "mm", 0,
           "Point that stands still in heave, ahead of the centre of what is sprung; far away where it is pure heave.",
           "damping", "modes"),
    _build("pitch_centre_mm", "centre of pitch, ahead", "mm", 0,
           "Point that stands still in pitch, ahead of the centre of what is sprung; nought where it is pure pitch.",
           "damping", "modes"),
    _build("front_rebound_ratio", "front rebound damping ratio", "", 2,
           "Of the front end by itself, as the fork's dial is set, at the shaft speed damping_speed_mm_s.",
           "damping", "damping", 0.05),
    _build("front_compression_ratio", "front compression damping ratio", "", 2,
           "Of the front end by itself, as the fork's dials are set, at the shaft speed damping_speed_mm_s.",
           "damping", "damping", 0.05),
    _build("rear_rebound_ratio", "rear rebound damping ratio", "", 2,
           "Of the rear end by itself, as the shock's dial is set, at the shaft speed damping_speed_mm_s.",
           "damping", "damping", 0.05),
    _build("rear_compression_ratio", "rear compression damping ratio", "", 2,
           "Of the rear end by itself, as the shock's dials are set, at the shaft speed damping_speed_mm_s.",
           "damping", "damping", 0.05),
    _build("heave_ratio", "heave damping ratio", "", 2,
           "Of heave over a whole swing, all dials as set, at the shaft speed damping_speed_mm_s.",
           "damping", "damping", 0.05),
    _build("pitch_ratio", "pitch damping ratio", "", 2,
           "Of pitch over a whole swing, all dials as set, at the shaft speed damping_speed_mm_s.",
           "damping", "damping", 0.05),
    # drive and brake
    _build("anti_squat_at_sag_pct", "anti-squat at sag", "pct", 0,
           "Share of the drive's load transfer that the chain balances at the stated sag, at the solved height.",
           "drive", "drive", 10.0),
    _build("anti_squat_at_sag_stated_pct", "anti-squat at sag, stated height", "pct", 0,
           "The same at the stated height of the centre of mass, to lay beside other bikes.", "drive", "drive", 10.0),
    _build("anti_rise_at_sag_pct", "anti-rise at sag", "pct", 0,
           "Share of the rear brake's load transfer that the links balance at the stated sag, at the solved height.",
           "drive", "drive", 12.0),
    _build("anti_rise_at_sag_stated_pct", "anti-rise at sag, stated height", "pct", 0,
           "The same at the stated height of the centre of mass, to lay beside other bikes.", "drive", "drive", 12.0),
    _build("anti_rise_both_brakes_pct", "anti-rise at sag, both brakes", "pct", 0,
           "The same with both brakes on, the rear one having its share of the force.", "drive", "drive"),
    _build("kickback_from_sag_deg", "pedal kickback from sag", "deg", 1,
           "Turn of the crank from sag to full travel, easiest gear, while the wheel does not turn: an upper bound.",
           "drive", "kickback", 2.0),
    _build("kickback_whole_deg", "pedal kickback, whole travel", "deg", 1,
           "The same from full extension.", "drive", "kickback", 2.0),
    _build("chain_growth_whole_mm", "chain growth, whole travel", "mm", 1,
           "Growth of the taut run in the easiest gear from full extension to full travel.", "drive", "chain"),
    _curve("anti_squat_pct", "anti-squat", "pct", 0,
           "Anti-squat through the travel, at the solved height of the centre of mass; named by gear.",
           "drive", "drive", 10.0),
    _curve("anti_rise_pct", "anti-rise", "pct", 0,
           "Anti-rise through the travel, rear brake alone, at the solved height of the centre of mass.",
           "drive", "drive", 12.0),
    _curve("kickback_deg", "pedal kickback", "deg", 1,
           "Turn of the crank counted from sag, through the travel; named by gear.", "drive", "kickback"),
    _curve("chain_growth_mm", "chain growth", "mm", 1,
           "Growth of the taut run from full extension, through the travel; named by gear.", "drive", "chain"),
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
    "unladen": "at rest under the bike's own weight",
    "standing": "at rest under the rider standing on level cranks",
    "climbing": "at rest under the seated rider who climbs the build's grade in the climbing gear",
    "braking": "both brakes on the level, the rider standing on level cranks",
    "cornering": "at rest under the standing rider at the stated lean, in the bike's plane",
    "g-out": "at rest under a multiple of the standing rider's weight",
    "front-bottomed": "fork at full travel, rear extended",
    "rear-bottomed": "rear at full travel, fork extended",
    "both-bottomed": "both ends at full travel",
}
"""States that a build can be asked for, with what they mean."""

"""Which field of which group each catalogued quantity is read from, and what an empty field waits for.

A test holds that the keys here and those of the catalogue are the same set. Fields are SI; the catalogue's
unit says how they are shown.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from bikewright.model.build import Build
from bikewright.studies.graph import field_of


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that must be known."""

    text: str
    """What it is called; ``{}`` stands for the keys that are missing."""
    fields: tuple[str, ...] = ()
    """Dotted fields of the build that say it; with ``|`` one of several is enough. Empty: nothing tells it alone."""

    def missing(self, build: Build) -> list[str]:
        """Those of the fields that a build leaves unknown."""
        return [field for field in self.fields if all(field_of(build, way) in (None, ()) for way in field.split("|"))]

    def told(self, fields: Sequence[str]) -> str:
        """What it is called, with the keys of some of its fields."""
        return self.text.format(" and ".join(field.partition("|")[0].rpartition(".")[2] for field in fields))


@dataclass(frozen=True, slots=True)
class Binding:
    """Where a quantity comes from."""

    group: str
    field: str
    """Dotted, within the group's result."""
    needs: tuple[Need, ...] = ()
    """What must be known before the field has a value."""

    @property
    def rear(self) -> bool:
        """Whether a hardtail has no such quantity."""
        return self.needs in (_SHOCK, _SHOCK_FRICTION, _DRAWN, _SHOCK_DAMPER, _LINKS)


def lacking(needs: Sequence[Need], build: Build) -> str:
    """Of what must be known, what a build leaves unknown; all of it where nothing is known to be missing."""
    found = [need.told(missing) for need in needs if (missing := need.missing(build))]
    found = found or [need.told(need.fields) for need in needs]
    *others, last = found or [""]
    return f"{', '.join(others)} and {last}" if others else last


def _need(text: str, *fields: str) -> tuple[Need, ...]:
    return (Need(text, fields),)


_SEAT = _need("a seat angle in the geometry table")
_TUBE = _need("the seat tube's own angle (seat_tube_angle_deg)")
SEAT_TUBE = _need(
    "the seat tube's line ({})",
    "geometry_row.seat_tube_angle_deg",
    "geometry_row.seat_tube_offset_mm|geometry_row.seat_angle_deg",
)
_HEIGHT = _need("a saddle height", "saddle_height_mm")
SADDLE = _HEIGHT + SEAT_TUBE
_STEM, _BAR = _need("a stem", "parts.stem"), _need("a bar", "parts.bar")
HANDS = _STEM + _BAR + _need("a grip", "parts.grip")
_SHOCK = _need("a shock, whose stroke drives the linkage", "parts.shock")
_SHOCK_FRICTION = _need("the shock's measured friction")
_FORK_DAMPER = _need("the fork's measured force-speed tables and its clicks as set")
_SHOCK_DAMPER = _need("the shock's measured force-speed tables and its clicks as set")
_DAMPERS = _need("force-speed tables and clicks of every damper")
CRANK = _need("a crank", "parts.crank")
_RING = _need("a chainring")
_FORK_SPRING = _need("a fork with a known spring: its pressure or coil, piston and volumes")
_FORK = _need("a fork: the geometry table gives its length, not its travel")
_FRICTION = _need("the fork's measured friction")
_STATED = _need("the figure in the geometry table; it follows from the others")
_TWICE = _need("a seat angle given twice: effective, and as the tube's own with its offset")
_DRAWN = _need("both the figure in the geometry table and a linkage drawing")

_RIDDEN = _need("a rider in this state")
_COLLAR = _need("the seat tube's length (seat_tube_mm)", "geometry_row.seat_tube_mm")
_POST_LOW = (
    _COLLAR
    + _need("the seat tube's depth (seat_tube_bend_mm)", "geometry_row.seat_tube_bend_mm")
    + _need("a post with {}", "parts.seatpost.stack_mm", "parts.seatpost.insertion_max_mm")
    + SEAT_TUBE
)
_POST_HIGH = (
    _COLLAR + _need("a post with {}", "parts.seatpost.length_mm", "parts.seatpost.insertion_min_mm") + SEAT_TUBE
)
_POST_IN = _HEIGHT + _COLLAR + _need("a post with {}", "parts.seatpost.length_mm") + SEAT_TUBE
_STANCE = _need("a crank with {}", "parts.crank.arms_apart_mm", "parts.crank.foot_from_arm_mm")
_LINKS = _STANCE + _SHOCK + _need("the width of a link (linkage.bodies.NAME.half_width_mm)", "frame.linkage.bodies")
_TOP_TUBE = HANDS + _need(
    "the top tube in the size ({})",
    "geometry_row.top_tube_ahead_mm",
    "geometry_row.top_tube_height_mm",
    "geometry_row.top_tube_diameter_mm",
    "geometry_row.top_tube_below_mm",
)
_LEVER = _need("the brake lever as it is set ({})", "settings.lever_reach_mm", "settings.lever_angle_deg") + _TOP_TUBE

BINDINGS: dict[str, Binding] = {
    "table_closing_mm": Binding("table", "closing_residual"),
    "table_wheelbase_gap_mm": Binding("table", "wheelbase_residual", _STATED),
    "table_rear_centre_gap_mm": Binding("table", "rear_centre_residual", _DRAWN),
    "table_bb_drop_gap_mm": Binding("table", "drop_residual", _DRAWN),
    "table_bb_height_gap_mm": Binding("table", "bb_height_residual", _STATED),
    "table_seat_angle_gap_deg": Binding("table", "seat_angle_residual", _TWICE),
    "head_angle_deg": Binding("geometry", "ground.head_angle"),
    "pitch_deg": Binding("geometry", "ground.pitch"),
    "seat_angle_deg": Binding("geometry", "ground.seat_angle_effective", _SEAT),
    "seat_tube_angle_deg": Binding("geometry", "ground.seat_angle_actual", _TUBE),
    "seat_angle_at_saddle_deg": Binding("geometry", "ground.seat_angle_saddle", SADDLE),
    "bb_height_mm": Binding("geometry", "ground.bb_height"),
    "bb_drop_front_mm": Binding("geometry", "ground.front_drop"),
    "bb_drop_rear_mm": Binding("geometry", "ground.rear_drop"),
    "reach_mm": Binding("geometry", "ground.reach"),
    "stack_mm": Binding("geometry", "ground.stack"),
    "frame_reach_mm": Binding("geometry", "ground.frame_reach"),
    "effective_top_tube_mm": Binding("geometry", "ground.effective_top_tube", _SEAT),
    "hand_reach_mm": Binding("cockpit", "hand_reach", HANDS),
    "hand_height_mm": Binding("cockpit", "hand_stack", HANDS),
    "bar_height_mm": Binding("cockpit", "hand_height", HANDS),
    "saddle_to_grip_mm": Binding("cockpit", "saddle_to_grip", HANDS + SADDLE),
    "saddle_to_grip_drop_mm": Binding("cockpit", "saddle_to_grip_drop", HANDS + SADDLE),
    "saddle_height_mm": Binding(
        "fit", "saddle_height", _need("a saddle height, of a rider, of the size or as a setting")
    ),
    "bar_width_mm": Binding("fit", "bar_width", _BAR),
    "stem_length_mm": Binding("fit", "stem_length", _STEM),
    "back_sweep_deg": Binding("fit", "back_sweep", _BAR),
    "crank_length_mm": Binding("fit", "crank_length", CRANK),
    "front_centre_mm": Binding("geometry", "ground.front_centre"),
    "front_centre_level_mm": Binding("geometry", "ground.front_centre_horizontal"),
    "rear_centre_mm": Binding("geometry", "ground.rear_centre"),
    "rear_centre_level_mm": Binding("geometry", "ground.rear_centre_horizontal"),
    "wheelbase_mm": Binding("geometry", "ground.wheelbase"),
    "trail_mm": Binding("geometry", "ground.trail"),
    "mechanical_trail_mm": Binding("geometry", "ground.mechanical_trail"),
    "wheel_flop_mm": Binding("geometry", "ground.wheel_flop"),
    "fork_travel_mm": Binding("front end", "fork_travel", _FORK),
    "rear_travel_mm": Binding("linkage", "rear_travel", _SHOCK),
    "shock_stroke_mm": Binding("linkage", "shock_stroke", _SHOCK),
    "fork_travel_used_mm": Binding("geometry", "fork_travel_used"),
    "rear_travel_used_mm": Binding("geometry", "rear_travel_used", _SHOCK),
    "leverage_start": Binding("linkage", "leverage_start", _SHOCK),
    "leverage_at_sag": Binding("linkage", "leverage_at_sag", _SHOCK),
    "leverage_end": Binding("linkage", "leverage_end", _SHOCK),
    "leverage_mean": Binding("linkage", "leverage_mean", _SHOCK),
    "progression_pct": Binding("linkage", "progression", _SHOCK),
    "progression_from_sag_pct": Binding("linkage", "progression_from_sag", _SHOCK),
    "progression_last_fifth_pct": Binding("linkage", "progression_last_fifth", _SHOCK),
    "leverage_ratio": Binding("linkage", "curves.leverage_ratio", _SHOCK),
    "shock_used_mm": Binding("linkage", "curves.shock_used", _SHOCK),
    "axle_rearmost_mm": Binding("linkage", "axle_rearmost", _SHOCK),
    "rear_centre_growth_mm": Binding("linkage", "rear_centre_growth", _SHOCK),
    "axle_path_angle_at_sag_deg": Binding("linkage", "axle_path_angle_at_sag", _SHOCK),
    "axle_x_mm": Binding("linkage", "curves.axle_x", _SHOCK),
    "axle_path_angle_deg": Binding("linkage", "curves.axle_path_angle", _SHOCK),
    "axle_path_radius_mm": Binding("linkage", "curves.axle_path_radius", _SHOCK),
    "instant_centre_x_at_sag_mm": Binding("linkage", "instant_centre_x_at_sag", _SHOCK),
    "instant_centre_z_at_sag_mm": Binding("linkage", "instant_centre_z_at_sag", _SHOCK),
    "caliper_turn_deg": Binding("linkage", "caliper_turn", _SHOCK),
    "shock_turn_deg": Binding("linkage", "shock_turn", _SHOCK),
    "eye_turn_deg": Binding("eyes", "largest", _SHOCK),
    "nearest_dead_point_deg": Binding("linkage", "nearest_dead_point", _SHOCK),
    "largest_pin_force": Binding("forces", "largest", _SHOCK),
    "instant_centre_x_mm": Binding("linkage", "curves.instant_centre_x", _SHOCK),
    "instant_centre_z_mm": Binding("linkage", "curves.instant_centre_z", _SHOCK),
    "caliper_angle_deg": Binding("linkage", "curves.caliper_angle", _SHOCK),
    "shock_angle_deg": Binding("linkage", "curves.shock_angle", _SHOCK),
    "pin_force": Binding("forces", "by_pin", _SHOCK),
    "fork_force_mid_n": Binding("springs", "fork_force_mid", _FORK_SPRING),
    "fork_energy_j": Binding("springs", "fork_energy", _FORK_SPRING),
    "fork_force_n": Binding("springs", "fork_line", _FORK_SPRING),
    "rear_force_mid_n": Binding("rear spring", "force_mid", _SHOCK),
    "rear_rate_at_sag_n_per_mm": Binding("rear spring", "rate_at_sag", _SHOCK),
    "rear_start_n": Binding("rear spring", "start", _SHOCK),
    "rear_energy_j": Binding("rear spring", "energy", _SHOCK),
    "rear_force_n": Binding("rear spring", "wheel_force", _SHOCK),
    "rear_rate_n_per_mm": Binding("rear spring", "wheel_rate", _SHOCK),
    "shock_force_n": Binding("rear spring", "shock_force", _SHOCK),
    "bike_mass_kg": Binding("masses", "bike"),
    "unsprung_front_kg": Binding("masses", "front"),
    "unsprung_rear_kg": Binding("masses", "rear"),
    "sag_front_pct": Binding("rest", "sag_front", _need("a fork with travel")),
    "sag_rear_pct": Binding("rest", "sag_rear", _SHOCK),
    "shock_stroke_used_mm": Binding("rest", "shock_stroke_used", _SHOCK),
    "front_share_pct": Binding("rest", "rest.front_share"),
    "front_load_n": Binding("rest", "rest.front_load"),
    "rear_load_n": Binding("rest", "rest.rear_load"),
    "com_height_mm": Binding("rest", "rest.com_height"),
    "com_ahead_mm": Binding("rest", "com_ahead_of_bb"),
    "fork_side_n": Binding("rest", "rest.fork_side"),
    "front_tyre_drop_mm": Binding("rest", "rest.front_drop"),
    "rear_tyre_drop_mm": Binding("rest", "rest.rear_drop"),
    "trunk_lean_deg": Binding("rest", "posture.trunk_lean", _RIDDEN),
    "knee_least_deg": Binding("rest", "posture.knee_least", _RIDDEN),
    "knee_most_deg": Binding("rest", "posture.knee_most", _RIDDEN),
    "hip_least_deg": Binding("joints", "hip_least"),
    "elbow_deg": Binding("rest", "posture.elbow", _RIDDEN),
    "shoulder_deg": Binding("rest", "posture.shoulder", _RIDDEN),
    "knee_to_bar_mm": Binding("joints", "knee_to_bar", _need("a rider in this state who sits")),
    "front_lift_grade_pct": Binding(
        "rest", "front_lift", _need("a rider in this state who rolls or climbs: standing, seated, climbing")
    ),
    "saddle_lowest_mm": Binding("post", "lowest", _POST_LOW),
    "saddle_highest_mm": Binding("post", "highest", _POST_HIGH),
    "post_inserted_mm": Binding("post", "inserted", _POST_IN),
    "stance_width_mm": Binding("post", "stance", _STANCE),
    "heel_to_stay_mm": Binding(
        "post", "heel", _STANCE + _need("the stay's outer face ({})", "geometry_row.stay_outer_mm")
    ),
    "heel_to_rocker_mm": Binding("heel", "room", _LINKS),
    "bar_to_top_tube_mm": Binding("turned bar", "bar.room", _TOP_TUBE),
    "lever_to_top_tube_mm": Binding("turned bar", "lever.room", _LEVER),
    "bar_turn_free_deg": Binding("turned bar", "free", _LEVER),
    "sag_front_least_pct": Binding("band", "sag_front_least", _FRICTION),
    "sag_front_most_pct": Binding("band", "sag_front_most", _FRICTION),
    "sag_rear_least_pct": Binding("band", "sag_rear_least", _SHOCK_FRICTION),
    "sag_rear_most_pct": Binding("band", "sag_rear_most", _SHOCK_FRICTION),
    "front_share_least_pct": Binding("band", "front_share_least", _need("a stance that lets the hips move back")),
    "front_share_most_pct": Binding("band", "front_share_most", _need("a stance that lets the hips move forward")),
    "anti_squat_at_sag_pct": Binding("drive", "drive_at_sag", _SHOCK),
    "anti_squat_at_sag_stated_pct": Binding("drive", "drive_at_sag_stated", _SHOCK),
    "anti_rise_at_sag_pct": Binding("drive", "brake_at_sag", _SHOCK),
    "anti_rise_at_sag_stated_pct": Binding("drive", "brake_at_sag_stated", _SHOCK),
    "anti_rise_both_brakes_pct": Binding("drive", "brake_at_sag_both", _SHOCK),
    "kickback_from_sag_deg": Binding("drive", "kickback", _SHOCK),
    "kickback_whole_deg": Binding("drive", "kickback_whole", _SHOCK),
    "chain_growth_whole_mm": Binding("drive", "growth", _SHOCK),
    "anti_squat_pct": Binding("drive", "drive", _SHOCK),
    "anti_rise_pct": Binding("drive", "brake", _SHOCK),
    "kickback_deg": Binding("drive", "kickback_line", _SHOCK),
    "chain_growth_mm": Binding("drive", "growth_line", _SHOCK),
    "standover_mm": Binding("clearance", "standover", _need("the top tube's height in the size (top_tube_height_mm)")),
    "pedal_clearance_mm": Binding("clearance", "pedal", CRANK),
    "pedal_lean_deg": Binding("clearance", "pedal_lean", _need("a crank with the pedal's outer end (pedal_outer_mm)")),
    "toe_clearance_mm": Binding("clearance", "toe", CRANK),
    "ring_clearance_mm": Binding("clearance", "ring", _RING),
    "breakover_deg": Binding("clearance", "breakover", _RING),
    "front_tyre_clearance_mm": Binding("clearance", "front_tyre", _need("an outline near the front tyre")),
    "rear_tyre_clearance_mm": Binding("clearance", "rear_tyre", _need("an outline near the rear tyre")),
    "saddle_clearance_mm": Binding(
        "clearance", "saddle", _need("a saddle with its length, and what its height waits for")
    ),
    "front_frequency_hz": Binding("modes", "front_mode.frequency"),
    "rear_frequency_hz": Binding("modes", "rear_mode.frequency"),
    "heave_frequency_hz": Binding("modes", "body.heave.frequency"),
    "pitch_frequency_hz": Binding("modes", "body.pitch.frequency"),
    "heave_centre_mm": Binding("modes", "body.heave.centre"),
    "pitch_centre_mm": Binding("modes", "body.pitch.centre"),
    "front_rebound_ratio": Binding("damping", "front_rebound", _FORK_DAMPER),
    "front_compression_ratio": Binding("damping", "front_compression", _FORK_DAMPER),
    "rear_rebound_ratio": Binding("damping", "rear_rebound", _SHOCK_DAMPER),
    "rear_compression_ratio": Binding("damping", "rear_compression", _SHOCK_DAMPER),
    "heave_ratio": Binding("damping", "heave", _DAMPERS),
    "pitch_ratio": Binding("damping", "pitch", _DAMPERS),
}

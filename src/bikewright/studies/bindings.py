"""Which field of which group each catalogued quantity is read from, and what an empty field waits for.

A test holds that the keys here and those of the catalogue are the same set. Fields are SI; the catalogue's
unit says how they are shown.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Binding:
    """Where a quantity comes from."""

    group: str
    field: str
    """Dotted, within the group's result."""
    waits: str = ""
    """What must be known before the field has a value."""

    @property
    def rear(self) -> bool:
        """Whether a hardtail has no such quantity."""
        return self.waits in (_SHOCK, _SHOCK_FRICTION, _DRAWN, _SHOCK_DAMPER, _LINKS)


_SEAT = "a seat angle in the geometry table"
_TUBE = "the seat tube's own angle (seat_tube_angle_deg)"
_SADDLE = "a saddle height, and the seat tube's own angle and offset"
_HANDS = "a stem, a bar and a grip"
_BOTH = "a stem, a bar, a grip, a saddle height, and the seat tube's own angle and offset"
_SHOCK = "a shock, whose stroke drives the linkage"
_SHOCK_FRICTION = "the shock's measured friction"
_FORK_DAMPER = "the fork's measured force-speed tables and its clicks as set"
_SHOCK_DAMPER = "the shock's measured force-speed tables and its clicks as set"
_DAMPERS = "force-speed tables and clicks of every damper"
_CRANK = "a crank"
_RING = "a chainring"
_FORK_SPRING = "a fork with a known spring: its pressure or coil, piston and volumes"
_FORK = "a fork: the geometry table gives its length, not its travel"
_STATED = "the figure in the geometry table; it follows from the others"
_TWICE = "a seat angle given twice: effective, and as the tube's own with its offset"
_DRAWN = "both the figure in the geometry table and a linkage drawing"

_RIDDEN = "a rider in this state"
_POST_LOW = (
    "the seat tube's length and depth (seat_tube_mm, seat_tube_bend_mm) and the post's stack_mm and insertion_max_mm, "
    "the seat tube's own angle and offset"
)
_POST_HIGH = "the seat tube's length, angle and offset, and the post's length_mm and insertion_min_mm"
_POST_IN = "a saddle height, the seat tube's length, angle and offset, and the post's length_mm"
_STANCE = "a crank with arms_apart_mm and foot_from_arm_mm"
_LINKS = f"{_STANCE}, a shock, and the width of a link (linkage.bodies.NAME.half_width_mm)"
_BAR = (
    "a stem, a bar and a grip, and the top tube in the size (top_tube_ahead_mm, top_tube_height_mm, "
    "top_tube_diameter_mm, top_tube_below_mm)"
)
_LEVER = f"the brake lever as it is set (lever_reach_mm, lever_angle_deg), {_BAR}"

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
    "seat_angle_at_saddle_deg": Binding("geometry", "ground.seat_angle_saddle", _SADDLE),
    "bb_height_mm": Binding("geometry", "ground.bb_height"),
    "bb_drop_front_mm": Binding("geometry", "ground.front_drop"),
    "bb_drop_rear_mm": Binding("geometry", "ground.rear_drop"),
    "reach_mm": Binding("geometry", "ground.reach"),
    "stack_mm": Binding("geometry", "ground.stack"),
    "frame_reach_mm": Binding("geometry", "ground.frame_reach"),
    "effective_top_tube_mm": Binding("geometry", "ground.effective_top_tube", _SEAT),
    "hand_reach_mm": Binding("cockpit", "hand_reach", _HANDS),
    "hand_height_mm": Binding("cockpit", "hand_stack", _HANDS),
    "bar_height_mm": Binding("cockpit", "hand_height", _HANDS),
    "saddle_to_grip_mm": Binding("cockpit", "saddle_to_grip", _BOTH),
    "saddle_to_grip_drop_mm": Binding("cockpit", "saddle_to_grip_drop", _BOTH),
    "saddle_height_mm": Binding("fit", "saddle_height", "a saddle height, of a rider, of the size or as a setting"),
    "bar_width_mm": Binding("fit", "bar_width", "a bar"),
    "stem_length_mm": Binding("fit", "stem_length", "a stem"),
    "back_sweep_deg": Binding("fit", "back_sweep", "a bar"),
    "crank_length_mm": Binding("fit", "crank_length", _CRANK),
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
    "sag_front_pct": Binding("rest", "sag_front", "a fork with travel"),
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
    "knee_to_bar_mm": Binding("joints", "knee_to_bar", "a rider in this state who sits"),
    "front_lift_grade_pct": Binding(
        "rest", "front_lift", "a rider in this state who rolls or climbs: standing, seated, climbing"
    ),
    "saddle_lowest_mm": Binding("post", "lowest", _POST_LOW),
    "saddle_highest_mm": Binding("post", "highest", _POST_HIGH),
    "post_inserted_mm": Binding("post", "inserted", _POST_IN),
    "stance_width_mm": Binding("post", "stance", _STANCE),
    "heel_to_stay_mm": Binding("post", "heel", f"{_STANCE}, and the stay's outer face (stay_outer_mm)"),
    "heel_to_rocker_mm": Binding("heel", "room", _LINKS),
    "bar_to_top_tube_mm": Binding("turned bar", "bar.room", _BAR),
    "lever_to_top_tube_mm": Binding("turned bar", "lever.room", _LEVER),
    "bar_turn_free_deg": Binding("turned bar", "free", _LEVER),
    "sag_front_least_pct": Binding("band", "sag_front_least", "the fork's measured friction"),
    "sag_front_most_pct": Binding("band", "sag_front_most", "the fork's measured friction"),
    "sag_rear_least_pct": Binding("band", "sag_rear_least", _SHOCK_FRICTION),
    "sag_rear_most_pct": Binding("band", "sag_rear_most", _SHOCK_FRICTION),
    "front_share_least_pct": Binding("band", "front_share_least", "a stance that lets the hips move back"),
    "front_share_most_pct": Binding("band", "front_share_most", "a stance that lets the hips move forward"),
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
    "standover_mm": Binding("clearance", "standover", "the top tube's height in the size (top_tube_height_mm)"),
    "pedal_clearance_mm": Binding("clearance", "pedal", _CRANK),
    "pedal_lean_deg": Binding("clearance", "pedal_lean", "a crank with the pedal's outer end (pedal_outer_mm)"),
    "toe_clearance_mm": Binding("clearance", "toe", _CRANK),
    "ring_clearance_mm": Binding("clearance", "ring", _RING),
    "breakover_deg": Binding("clearance", "breakover", _RING),
    "front_tyre_clearance_mm": Binding("clearance", "front_tyre", "an outline near the front tyre"),
    "rear_tyre_clearance_mm": Binding("clearance", "rear_tyre", "an outline near the rear tyre"),
    "saddle_clearance_mm": Binding("clearance", "saddle", "a saddle with its length, and what its height waits for"),
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

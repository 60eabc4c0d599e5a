"""Rest under load through a build: every state, the posed rider, what is missing, and a rule of the trade."""

import math
from pathlib import Path

import pytest

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.model.addresses import apply, read_change
from bikewright.model.build import remade
from bikewright.model.files import read_bike
from bikewright.model.rider import Load
from bikewright.physics.inertia import MassPoint, combine
from bikewright.physics.rest import GRAVITY
from bikewright.studies.evaluate import evaluate
from tests.sample_bike import BUILD

EXAMPLES = Path(__file__).parents[2] / "examples"
QUILLBACK, CORBEL, WHERRY = (read_bike(EXAMPLES / name) for name in ("quillback", "corbel", "wherry"))
STOCK = QUILLBACK.build("stock")
RIDDEN = ("standing", "climbing", "braking", "cornering", "g-out")


def changed(*texts, start=STOCK, stock=QUILLBACK.stock):
    build = start
    for text in texts:
        build = apply(build, read_change(text), stock)
    return build


def at(state, build=STOCK):
    return evaluate(build).group("rest", state)


def waits(address, build):
    value = evaluate(build).value(address)
    assert value.number is None
    return value.waits


def whole_mass(build=STOCK):
    bike = evaluate(build).group("masses").bike
    return bike + build.rider.mass_kg + sum(load.mass_kg for load in build.loads if load.on == "rider")


# --- Every state -----------------------------------------------------------------------------------------------------


def test_wheels_carry_the_weight_of_each_state():
    settings, slope = STOCK.settings, math.atan(STOCK.grade_pct / 100.0)
    pulls = {
        "standing": 1.0,
        "climbing": math.cos(slope),
        "braking": 1.0,
        "cornering": 1.0 / math.cos(math.radians(settings.lean_deg)),
        "g-out": settings.g_out_pct / 100.0,
    }
    for state, share in pulls.items():
        found = at(state).rest
        assert found.front_load + found.rear_load == pytest.approx(whole_mass() * GRAVITY * share, rel=1e-9), state
        assert found.residual < 1e-6, state
    alone = at("unladen").rest
    assert alone.front_load + alone.rear_load == pytest.approx(evaluate(STOCK).group("masses").bike * GRAVITY, rel=1e-9)


def test_pushes_of_each_state():
    settings, slope, weight = STOCK.settings, math.atan(STOCK.grade_pct / 100.0), whole_mass() * GRAVITY
    climb, brake = at("climbing").rest, at("braking").rest
    assert climb.front_push == pytest.approx(0.0, abs=1e-12)
    assert climb.rear_push == pytest.approx(weight * math.sin(slope), rel=1e-9)
    front = settings.brake_front_pct / 100.0
    assert -brake.front_push == pytest.approx(weight * settings.braking_pct / 100.0 * front, rel=1e-9)
    assert -brake.rear_push == pytest.approx(weight * settings.braking_pct / 100.0 * (1.0 - front), rel=1e-9)
    for state in ("unladen", "standing", "cornering", "g-out"):
        assert (at(state).rest.front_push, at(state).rest.rear_push) == (0.0, 0.0)


def test_states_sit_in_the_order_that_a_rider_knows():
    """More load is deeper at both ends; brakes dive in front and rise behind; a seated climb squats."""
    unladen, standing, climbing, braking, cornering, landing = (at(state) for state in ("unladen", *RIDDEN))
    assert unladen.sag_front < 0.05 and unladen.sag_rear < 0.05
    assert unladen.sag_front < standing.sag_front < cornering.sag_front < landing.sag_front < 1.0
    assert unladen.sag_rear < standing.sag_rear < cornering.sag_rear < landing.sag_rear < 1.0
    assert braking.sag_front > standing.sag_front and braking.sag_rear < standing.sag_rear
    assert climbing.sag_front < standing.sag_front
    assert climbing.rest.front_share < standing.rest.front_share < braking.rest.front_share
    steep = evaluate(changed("grade_pct=25")).group("rest", "climbing")
    assert steep.rest.front_share < climbing.rest.front_share - 0.05


def test_sag_is_of_shock_stroke_and_of_fork_travel():
    found, answer = at("standing"), evaluate(STOCK)
    assert found.sag_rear == pytest.approx(found.rest.shock_stroke / (STOCK.parts.shock.stroke_mm * 1e-3), rel=1e-12)
    assert found.sag_front == pytest.approx(found.rest.fork_travel / (STOCK.parts.fork.travel_mm * 1e-3), rel=1e-12)
    motion = answer.group("linkage").motion
    part = int(found.rest.shock_stroke / motion.stroke[1])
    assert motion.wheel_travel[part] < found.rear_travel_used < motion.wheel_travel[part + 1]


def test_geometry_of_the_state_is_that_of_the_bike_at_rest():
    answer, found = evaluate(STOCK), at("standing").rest
    assert answer.value("bb_height_mm@standing").number == pytest.approx(found.pose.bb_height * 1e3, abs=1e-9)
    assert answer.value("wheelbase_mm@standing").number == pytest.approx(found.wheelbase * 1e3, abs=1e-9)
    assert answer.value("head_angle_deg@standing").number == pytest.approx(math.degrees(found.head_angle), abs=1e-9)
    assert answer.value("fork_travel_used_mm@standing").number == pytest.approx(found.fork_travel * 1e3, abs=1e-9)


def test_hardtail_rests_in_every_state():
    build = WHERRY.build("stock")
    for state in RIDDEN:
        found = at(state, build)
        assert found.sag_rear is found.shock_stroke_used is found.rear_travel_used is None
        assert found.rest.shock_stroke == 0.0 and found.rest.residual < 1e-6
        assert found.rest.front_load > 0.0 and found.rest.rear_load > 0.0


# --- The rider as the bike pitches -----------------------------------------------------------------------------------


@pytest.mark.parametrize("state", ["standing", "braking", "cornering", "g-out"])
def test_standing_rider_is_plumb_over_the_bottom_bracket(state):
    """In the solved pose, not in that of the table."""
    found = at(state)
    x, _ = found.rest.pose.to_ground(found.posture.com)
    assert x == pytest.approx(0.0, abs=1e-9)
    assert abs(found.posture.com[0]) > 1e-4 or abs(found.rest.pose.pitch) < 1e-6


@pytest.mark.parametrize("grade", [-8.0, 0.0, 10.0, 20.0])
def test_seated_rider_leans_by_the_horizon_on_any_grade(grade):
    """Hip over saddle: 35 degrees forward from plumb in the world, where the ground rises by the grade."""
    build = changed(f"grade_pct={grade}")
    found, saddle = at("climbing", build), evaluate(build).group("fit").saddle
    (hx, hz), (sx, sz) = (found.rest.pose.to_ground(point) for point in (found.posture.pose.hip, saddle))
    from_ground_normal = math.atan2(hx - sx, hz - sz)
    assert from_ground_normal == pytest.approx(math.radians(35.0) + math.atan(grade / 100.0), abs=1e-9)


def test_centre_of_mass_is_that_of_bike_and_rider_together():
    found, weights = at("standing"), evaluate(STOCK).group("masses")
    carried = sum(load.mass_kg for load in STOCK.loads if load.on == "rider")
    both = combine(
        (
            MassPoint("sprung", weights.sprung.mass, weights.sprung.place),
            MassPoint("rider", STOCK.rider.mass_kg + carried, found.posture.com),
            MassPoint("rear", weights.rear, found.rest.rear_axle),
            MassPoint("front", weights.front, found.rest.front_axle),
        )
    )
    assert found.com_frame == pytest.approx(both.place, abs=1e-12)
    assert found.rest.com_height == pytest.approx(found.rest.pose.height(both.place), abs=1e-12)


def test_what_the_rider_carries_weighs_where_the_rider_is():
    heavier = STOCK.changed(rider=remade(STOCK.rider, {"mass_kg": STOCK.rider.mass_kg + 10.0}))
    packed = STOCK.changed(loads=(*STOCK.loads, Load(name="pack", mass_kg=10.0, on="rider")))
    assert at("standing", packed).sag_rear == pytest.approx(at("standing", heavier).sag_rear, abs=1e-9)
    assert at("standing", packed).sag_rear > at("standing").sag_rear


@pytest.mark.parametrize(
    ("stature", "size", "saddle", "state", "told"),
    [
        (1000.0, "XXL", 700.0, "standing", r"the grips are \d+\.\d mm out of reach for a rider of 1000 mm"),
        (1400.0, "XXL", 800.0, "climbing", r"the lower pedal is \d+\.\d mm out of reach of a seated leg"),
        (2300.0, "S", 450.0, "climbing", r"the upper pedal is \d+\.\d mm too near to the hips"),
    ],
)
def test_a_rider_whom_the_bike_does_not_fit_is_told_why(stature, size, saddle, state, told):
    rider = remade(STOCK.rider, {"stature_mm": stature, "inseam_mm": None, "saddle_height_mm": saddle})
    build = STOCK.changed(rider=rider, size=size)
    with pytest.raises(OutsideValidity, match=told) as error:
        evaluate(build).group("rest", state)
    assert waits(f"front_share_pct@{state}", build) == str(error.value)
    assert evaluate(build).value("front_share_pct@unladen").number is not None


def test_stature_does_not_move_the_share_of_a_rider_who_stands_plumb_on_the_level():
    """With free wheels only the place along the ground counts, and that is over the bottom bracket for everybody."""
    shares = [
        at("standing", STOCK.changed(rider=remade(STOCK.rider, {"stature_mm": mm, "inseam_mm": None}))).rest.front_share
        for mm in (1600.0, 1900.0)
    ]
    assert shares[0] == pytest.approx(shares[1], abs=1e-9)


# --- What is missing -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("field", "told"),
    [
        ({"fork_pressure_bar": None}, "waits for the pressure of the fork"),
        ({"shock_pressure_bar": None}, "waits for the pressure of the shock"),
    ],
)
def test_an_unknown_pressure_is_named(field, told):
    build = STOCK.changed(settings=remade(STOCK.settings, field))
    for state in ("unladen", *RIDDEN):
        assert waits(f"sag_rear_pct@{state}", build) == told
        with pytest.raises(NotKnown, match=told):
            evaluate(build).group("rest", state)
    assert evaluate(build).value("head_angle_deg@table").number is not None


def test_an_unknown_mass_is_named():
    build = STOCK.changed(frame=remade(STOCK.frame, {"mass_g": None}))
    assert "waits for the mass of: frame (mass_g in bike.toml)" in waits("front_share_pct@standing", build)
    tyre = remade(STOCK.parts.front_tyre, {"mass_g": None})
    build = STOCK.changed(parts=remade(STOCK.parts, {"front_tyre": tyre}))
    assert f"front tyre '{tyre.name}'" in waits("front_share_pct@standing", build)


def test_nobody_on_the_bike_is_told_and_leaves_the_unladen_bike():
    build = STOCK.changed(rider=None)
    for state in RIDDEN:
        assert "waits for a rider" in waits(f"sag_rear_pct@{state}", build)
    assert at("unladen", build).rest.rear_load > 0.0


def test_states_with_given_travels_have_no_loads():
    for state in ("table", "stated-sag", "rear-bottomed"):
        assert "no loads in this state" in waits(f"front_load_n@{state}", STOCK)


def test_the_sample_bike_says_all_that_it_waits_for():
    for state in RIDDEN:
        assert waits(f"sag_front_pct@{state}", BUILD).startswith("waits for")


def test_a_tyre_without_pressure_gives_by_the_stated_drop():
    build = STOCK.changed(settings=remade(STOCK.settings, {"rear_tyre_bar": None, "rear_tyre_drop_mm": 7.0}))
    assert at("standing", build).rest.rear_drop == 0.007
    assert at("unladen", build).rest.rear_drop == 0.0
    assert at("standing").rest.rear_drop != 0.007


# --- Friction and habit ----------------------------------------------------------------------------------------------


def test_friction_and_stance_leave_a_band_round_the_standing_bike():
    found, band = at("standing"), evaluate(STOCK).group("band")
    assert band.front_share_least < found.rest.front_share < band.front_share_most
    friction = remade(STOCK.parts.shock.friction, {"breakaway_n": 60.0})
    fork_friction = remade(STOCK.parts.fork.friction, {"breakaway_n": 40.0})
    parts = remade(
        STOCK.parts,
        {
            "shock": remade(STOCK.parts.shock, {"friction": friction}),
            "fork": remade(STOCK.parts.fork, {"friction": fork_friction}),
        },
    )
    build = STOCK.changed(parts=parts)
    band = evaluate(build).group("band")
    assert band.sag_front_least < found.sag_front < band.sag_front_most
    assert band.sag_rear_least < found.sag_rear < band.sag_rear_most
    smooth = evaluate(
        STOCK.changed(
            parts=remade(
                parts, {"shock": remade(STOCK.parts.shock, {"friction": remade(friction, {"breakaway_n": None})})}
            )
        )
    ).group("band")
    assert smooth.sag_rear_least is smooth.sag_rear_most is None


# --- A rule of the trade ---------------------------------------------------------------------------------------------


def test_a_coil_of_500_for_90_kg_on_160_mm_sags_thirty_per_cent():
    """Common practice, no source: 90 kg in kit, 160 mm of rear travel from 62.5 mm of stroke, a coil of 500 lbf/in with
    bare preload: about 30 per cent of the shock stroke. The bike is the Corbel, whose mean leverage is 2.56."""
    coil = CORBEL.build("coil")
    build = coil.changed(
        rider=remade(coil.rider, {"mass_kg": 90.0}),
        settings=remade(coil.settings, {"shock_preload_turns": 0.0, "fork_pressure_bar": 5.8, "rear_tyre_bar": 1.65}),
        frame=remade(coil.frame, {"mass_g": coil.frame.mass_g or 3600.0}),
    )
    build = changed('shock.spring="500 lbf/in"', start=build, stock=CORBEL.stock)
    answer = evaluate(build)
    assert answer.value("rear_travel_mm").number == pytest.approx(160.0, abs=2.0)
    assert 27.0 <= answer.value("sag_rear_pct@standing").number <= 33.0
    # By hand: the rear's share of the weight off the ground, times the leverage there, over the rate.
    found, leverage = answer.group("rest", "standing"), answer.group("linkage").leverage_at_sag
    carried = found.rest.rear_load - answer.group("masses").rear * GRAVITY
    by_hand = carried * leverage / (500.0 * 175.126835) / (build.parts.shock.stroke_mm * 1e-3)
    assert found.sag_rear == pytest.approx(by_hand, abs=0.005)

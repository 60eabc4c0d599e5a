"""The whole answer to a build: values, blanks, states, curves, and what each group reads."""

from dataclasses import fields, is_dataclass

import numpy as np
import pytest

from bikewright.errors import AddressError, LinkageError, ModelError, NotKnown, OutsideValidity
from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.digest import digest
from bikewright.physics.linkage.motion import solve_at
from bikewright.physics.springs.wheel import wheel_forces
from bikewright.quantities import STATES
from bikewright.studies.evaluate import GRAPH, curve_keys, evaluate, read_address
from bikewright.studies.graph import Ask, Memory, field_of
from bikewright.studies.states import STANCES
from tests.sample_bike import BARE, BUILD, LOADED, STOCK


def number(build, address):
    value = evaluate(build).value(address)
    assert value.number is not None, value.waits
    return value.number


def changed(*texts):
    build = BUILD
    for text in texts:
        build = apply(build, read_change(text), STOCK)
    return build


def test_the_table_comes_out_as_it_went_in():
    row = BUILD.geometry_row

    for key, stated in (
        ("reach_mm", row.reach_mm),
        ("stack_mm", row.stack_mm),
        ("head_angle_deg", row.head_angle_deg),
        ("seat_tube_angle_deg", row.seat_tube_angle_deg),
        ("seat_angle_deg", row.seat_angle_deg),
    ):
        assert number(BUILD, key) == pytest.approx(stated, abs=1e-9), key
    assert number(BUILD, "pitch_deg") == pytest.approx(0.0, abs=1e-9)


def test_the_rear_end_is_that_of_the_linkage_drawing():
    assert number(BUILD, "rear_centre_mm") == pytest.approx(np.hypot(435.0, 25.0))
    assert number(BUILD, "bb_height_mm") == pytest.approx(370.0 - 25.0)


def test_a_single_pivot_turns_about_its_pivot():
    """Worked by hand: the shock's length and the pivot's circle give the angle, the angle gives the axle."""
    pivot, axle = complex(10, 60), complex(-435, 25)
    rear, front = complex(-90, 240), complex(120, 240)
    arm, base = abs(rear - pivot), abs(front - pivot)
    start, end = (np.arccos((arm**2 + base**2 - length**2) / (2 * arm * base)) for length in (210.0, 155.0))
    turned = pivot + (axle - pivot) * np.exp(-1j * (start - end))

    assert number(BUILD, "rear_travel_mm") == pytest.approx(turned.imag - axle.imag, abs=1e-9)
    assert number(BUILD, "leverage_mean") == pytest.approx((turned.imag - axle.imag) / 55.0, abs=1e-12)
    assert number(BUILD, "instant_centre_x_at_sag_mm") == pytest.approx(10.0, abs=1e-9)
    assert number(BUILD, "instant_centre_z_at_sag_mm") == pytest.approx(60.0, abs=1e-9)
    assert number(BUILD, "caliper_turn_deg") == pytest.approx(-np.degrees(start - end), abs=1e-9)


def test_sag_is_solved_and_lies_on_the_curve():
    answer = evaluate(BUILD)
    curve = answer.curve("leverage_ratio")

    assert number(BUILD, "leverage_at_sag") == pytest.approx(
        curve.at(number(BUILD, "rear_travel_used_mm@stated-sag")), abs=1e-8
    )
    assert number(BUILD, "fork_travel_used_mm@stated-sag") == pytest.approx(32.0)


def test_bottomed_out_both_ends_stand_lower_than_at_sag():
    heights = [number(BUILD, f"bb_height_mm@{state}") for state in ("table", "stated-sag", "both-bottomed")]

    assert heights[0] > heights[1] > heights[2]
    assert (
        number(BUILD, "head_angle_deg@front-bottomed")
        > number(BUILD, "head_angle_deg")
        > number(BUILD, "head_angle_deg@rear-bottomed")
    )


def test_a_frame_alone_is_answered_as_far_as_it_goes():
    answer = evaluate(BARE)

    assert answer.value("head_angle_deg").number == pytest.approx(64.5)
    assert answer.value("leverage_start").waits == "waits for a shock, whose stroke drives the linkage"
    assert answer.value("fork_travel_mm").waits.startswith("waits for a fork")
    assert answer.value("head_angle_deg@stated-sag").waits.startswith("waits for a fork")
    assert answer.value("hand_reach_mm").waits == "waits for a stem, a bar and a grip"
    with pytest.raises(NotKnown, match="waits for a shock"):
        answer.curve("leverage_ratio")


@pytest.mark.parametrize(
    ("unknown", "address", "waits"),
    [
        (["stem"], "hand_reach_mm", "a stem"),
        (["stem", "grip"], "bar_height_mm@standing", "a stem and a grip"),
        (["stem", "bar", "grip"], "hand_reach_mm", "a stem, a bar and a grip"),
        (["sizes.M.seat_tube_angle_deg"], "saddle_to_grip_mm", "the seat tube's line (seat_tube_angle_deg)"),
        (["sizes.M.seat_tube_offset_mm", "sizes.M.seat_angle_deg"], "saddle_highest_mm", "(seat_tube_offset_mm)"),
    ],
)
def test_a_blank_waits_for_what_is_missing_and_for_nothing_else(unknown, address, waits):
    build = LOADED
    for one in unknown:
        build = with_value(build, one, None)
    told = evaluate(build).value(address).waits

    assert told.startswith("waits for ")
    assert told.endswith(waits)
    assert "(" in waits or told == f"waits for {waits}"


def test_a_rider_waits_for_what_is_missing_to_be_placed():
    build = with_value(with_value(with_value(LOADED, "stem", None), "crank", None), "sizes.M.seat_tube_angle_deg", None)

    with pytest.raises(NotKnown, match=r"^waits for a stem and a crank$"):
        evaluate(build).group("stands")
    with pytest.raises(NotKnown, match=r"^waits for a stem, a crank and the seat tube's line \(seat_tube_angle_deg\)$"):
        evaluate(build).group("sits")


def test_a_hardtail_says_that_it_has_no_rear_suspension():
    hardtail = with_value(with_value(BUILD, "linkage", None), "sizes.M.rear_centre_mm", 435.0)
    hardtail = with_value(with_value(hardtail, "sizes.M.bb_drop_mm", 25.0), "shock", None)
    answer = evaluate(hardtail)

    for key in ("rear_travel_mm", "rear_travel_used_mm@stated-sag", "leverage_at_sag", "table_rear_centre_gap_mm"):
        assert answer.value(key).waits == "does not apply: this frame has no rear suspension", key
    assert answer.value("rear_centre_mm@stated-sag").number == pytest.approx(435.0)
    assert answer.value("head_angle_deg@both-bottomed").number > 64.5


def test_a_linkage_that_locks_leaves_the_standing_bike_readable():
    """A stroke of 120 mm is more than the swingarm can take: travel is an error, the extended bike is not."""
    long = changed("shock.chassis.stroke_mm=149", "shock.chassis.eye_to_eye_mm=210")
    long = with_value(long, "linkage.pins.shock_front.z_mm", 150.0)
    answer = evaluate(long)

    assert answer.value("head_angle_deg").number is not None
    told = answer.value("rear_travel_mm")
    assert told.number is None and "mm of shock stroke" in told.waits
    with pytest.raises(LinkageError):
        answer.group("linkage")


def test_every_quantity_has_a_number_or_a_reason():
    for build in (BUILD, BARE, LOADED):
        for state in STATES:
            for value in evaluate(build).values(state):
                assert (value.number is None) == bool(value.waits), value
                assert value.number is None or np.isfinite(value.number)


def test_states_are_those_of_the_catalogue():
    assert STANCES.keys() == STATES.keys()


def test_curves_are_exact_at_101_points_and_read_only():
    answer = evaluate(LOADED)
    for key in curve_keys():
        curve = answer.curve("pin_force/main" if key == "pin_force" else key)
        assert len(curve.x_mm) == len(curve.y) == 101
        assert np.all(np.isfinite(curve.y)) or curve.gap
        with pytest.raises(ValueError, match="read-only"):
            curve.y[0] = 0.0


def test_a_curve_between_its_points_is_as_good_as_solved():
    """Hermite pieces on exact slopes: a linkage solved at a stroke between two points agrees to a nanometre."""
    answer = evaluate(BUILD)
    curve, x = answer.curve("leverage_ratio"), answer.curve("axle_x_mm")
    for share in (0.1234, 0.5151, 0.9):
        there = evaluate(with_value(BUILD, "sag_rear_pct", 100 * share * 0.6))
        travel = there.value("rear_travel_used_mm@stated-sag").number
        assert curve.at(travel) == pytest.approx(there.value("leverage_at_sag").number, abs=1e-7)
        axle_x = there.group("linkage").axle_at_sag[0] * 1e3
        assert x.at(travel) == pytest.approx(axle_x, abs=1e-6)


def test_the_force_at_half_travel_is_that_of_the_curve_and_of_the_linkage_solved_there():
    answer = evaluate(LOADED)
    told, curve = answer.value("rear_force_mid_n").number, answer.curve("rear_force_n")
    motion = answer.group("linkage").motion
    there = solve_at(motion, motion.stroke_at_travel(0.5 * motion.wheel_travel[-1]))

    assert told == pytest.approx(curve.at(0.5 * curve.x_mm[-1]), abs=1e-9)
    assert told == pytest.approx(wheel_forces(answer.group("springs").shock, there).force[-1], rel=1e-6)


def test_a_curve_is_not_read_outside_its_travel():
    for key in ("leverage_ratio", "fork_force_n"):
        with pytest.raises(OutsideValidity, match=r"from 0\.0 to \d+\.\d mm of travel"):
            evaluate(LOADED).curve(key).at(500.0)


@pytest.mark.parametrize(
    ("address", "told"),
    [
        ("head_angel_deg", "Did you mean head_angle_deg"),
        ("head_angle_deg@saged", "'saged' is no state"),
        ("leverage_ratio", "is a curve"),
    ],
)
def test_an_address_that_names_no_value_is_told(address, told):
    with pytest.raises(AddressError, match=told):
        evaluate(BUILD).value(address)


def test_an_address_that_names_no_curve_is_told():
    answer = evaluate(BUILD)
    with pytest.raises(AddressError, match="not a curve"):
        answer.curve("head_angle_deg")
    with pytest.raises(AddressError, match="pin_force/main"):
        answer.curve("pin_force/rocker")


def test_read_address_takes_all_three_parts():
    quantity, state, qualifier = read_address("pin_force@table/main")

    assert (quantity.key, state, qualifier) == ("pin_force", "table", "main")


def leaves(value, path=()):
    """Every number of a build, by its address in fields."""
    if is_dataclass(value):
        for field in fields(value):
            yield from leaves(getattr(value, field.name), (*path, field.name))
    elif isinstance(value, tuple) and value and all(hasattr(item, "name") for item in value):
        for item in value:
            yield from leaves(item, (*path, item.name))
    elif isinstance(value, float):
        yield ".".join(path), value


LEAVES = [(path, old) for path, old in leaves(LOADED) if not path.startswith("frame.limits")]


@pytest.mark.parametrize(("path", "old"), LEAVES, ids=[path for path, _ in LEAVES])
def test_a_group_reads_no_field_that_it_does_not_declare(path, old):
    """If no declared field of a group or of those before it changed, its result must be the same to the last bit.

    This catches a group that reads more than it says, whose kept results would go stale.
    """
    try:
        after = with_value(LOADED, path, old + 0.5)
    except ModelError:
        after = with_value(LOADED, path, old - 0.25)
    for name, group in GRAPH.groups.items():
        before_keys, after_keys = (
            [digest(field_of(build, read)) for read in _reads(name)] for build in (LOADED, after)
        )
        if before_keys != after_keys:
            continue
        for state in _states(name, group):
            old_result = group.compute(_ask(LOADED, name, state))
            new_result = group.compute(_ask(after, name, state))
            assert _same(old_result, new_result), f"group {name} reads {path} and does not declare it"


def _states(name, group):
    if not group.by_state:
        return ("",)
    solved = ("standing", "seated", "climbing", "braking")
    return solved if name in ("rest", "joints") else ("table", "stated-sag", "both-bottomed", "standing")


def _reads(name):
    group = GRAPH.groups[name]
    return [*group.reads, *(read for need in group.needs for read in _reads(need.partition("@")[0]))]


def _ask(build, name, state):
    group, memory = GRAPH.groups[name], Memory()

    def upstream(need):
        assert need in group.needs, f"group {name} asks for {need} and does not declare it"
        above, _, fixed = need.partition("@")
        return GRAPH.outcome(build, above, fixed or state or "table", memory)

    return Ask(build, state, upstream)


def _same(one, other):
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other, equal_nan=True)
    if is_dataclass(one):
        return all(_same(getattr(one, field.name), getattr(other, field.name)) for field in fields(one))
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, tuple | list):
        return len(one) == len(other) and all(_same(a, b) for a, b in zip(one, other, strict=True))
    return one == other or (one != one and other != other)


def test_a_pin_that_is_not_the_axle_leaves_table_and_cockpit_as_they_are():
    pins = LOADED.frame.linkage.pins
    for pin in pins:
        after = with_value(LOADED, f"linkage.pins.{pin.name}.x_mm", pin.x_mm + 0.25)
        for group in ("table", "front end", "fit", "stands", "tyres"):
            before_key, after_key = (GRAPH.key(build, group, "", Memory()) for build in (LOADED, after))
            assert (before_key == after_key) is ("wheel" not in pin.joins or group == "tyres"), (pin.name, group)

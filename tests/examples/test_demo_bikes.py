"""The demo bikes are bikes that a designer would believe: their numbers lie where such bikes lie.

The bands are common practice, no source, except where a line says otherwise.
"""

from itertools import pairwise

import pytest

from bikewright.model.drawing import linkage_drawing
from bikewright.model.limits import refusals
from bikewright.quantities import STATES
from bikewright.studies.evaluate import evaluate
from tests.examples.demo import BIKES, BUILDS, NAMES, ROWS, SUSPENDED, in_size, number


@pytest.mark.parametrize(("name", "size"), ROWS)
def test_table_agrees_with_itself(name: str, size: str) -> None:
    """Head tube, stack, wheelbase and seat angles are stated to the millimetre and 0.1 degree, and close."""
    bike = BIKES[name]
    build = in_size(bike, size)
    assert abs(number(build, "table_closing_mm")) < 1.0
    assert abs(number(build, "table_wheelbase_gap_mm")) <= 0.5
    assert abs(number(build, "bb_height_mm@table") - build.geometry_row.bb_height_mm) < 0.02
    if bike.frame.linkage is not None:
        assert abs(number(build, "table_rear_centre_gap_mm")) < 0.06
        assert abs(number(build, "table_bb_drop_gap_mm")) < 0.01
    assert abs(number(build, "table_seat_angle_gap_deg")) <= 0.05
    stated = build.geometry_row
    for key in ("head_angle_deg", "reach_mm", "stack_mm"):
        assert number(build, f"{key}@table") == pytest.approx(getattr(stated, key), abs=0.01), key


@pytest.mark.parametrize("name", SUSPENDED)
def test_drawn_eye_to_eye_is_the_shock(name: str) -> None:
    bike = BIKES[name]
    shock = bike.build("datum").parts.shock
    assert shock is not None
    for size in bike.frame.sizes:
        drawn = linkage_drawing(bike.frame, size.name).drawn_eye_to_eye_mm
        assert drawn == pytest.approx(shock.chassis.eye_to_eye_mm, abs=0.01)


@pytest.mark.parametrize(("name", "size"), ROWS)
def test_geometry_is_that_of_such_a_bike(name: str, size: str) -> None:
    build = in_size(BIKES[name], size)
    bands = {
        "quillback": {"head_angle_deg": (64, 64.5), "seat_angle_deg": (76.5, 78), "bb_height_mm": (340, 348),
                      "rear_centre_mm": (432, 445.1), "trail_mm": (125, 138), "wheelbase_mm": (1195, 1320)},
        "wherry": {"head_angle_deg": (65, 66), "seat_angle_deg": (75, 76), "bb_height_mm": (306, 318),
                   "rear_centre_mm": (429, 436), "trail_mm": (115, 128), "wheelbase_mm": (1150, 1250)},
        "corbel": {"head_angle_deg": (63.5, 64.2), "seat_angle_deg": (76, 78), "bb_height_mm": (338, 348),
                   "rear_centre_mm": (426, 435), "trail_mm": (130, 140), "wheelbase_mm": (1225, 1275)},
    }[name]  # fmt: skip
    for key, (low, high) in bands.items():
        assert low <= number(build, f"{key}@table") <= high, key


@pytest.mark.parametrize("name", NAMES)
def test_sizes_step_evenly(name: str) -> None:
    sizes = BIKES[name].frame.sizes
    reach = [after.reach_mm - before.reach_mm for before, after in pairwise(sizes)]
    stack = [after.stack_mm - before.stack_mm for before, after in pairwise(sizes)]
    assert max(reach) - min(reach) <= 1.0
    assert max(stack) - min(stack) <= 1.0
    assert all(20.0 <= step <= 26.0 for step in reach)


@pytest.mark.parametrize(
    ("name", "travel", "start", "end"),
    [("quillback", (149.5, 150.5), (2.8, 3.0), (2.2, 2.4)), ("corbel", (159, 161), (2.75, 2.9), (2.25, 2.35))],
)
def test_leverage_falls_smoothly(
    name: str, travel: tuple[float, float], start: tuple[float, float], end: tuple[float, float]
) -> None:
    build = BIKES[name].build("datum")
    assert travel[0] <= number(build, "rear_travel_mm") <= travel[1]
    assert start[0] <= number(build, "leverage_start") <= start[1]
    assert end[0] <= number(build, "leverage_end") <= end[1]
    assert 17.0 <= number(build, "progression_pct") <= 23.0
    assert abs(number(build, "shock_turn_deg")) < 25.0
    assert number(build, "nearest_dead_point_deg") > 25.0
    ratio = evaluate(build).curve("leverage_ratio").y
    steps = [after - before for before, after in pairwise(ratio)]
    assert all(step < 0.0 for step in steps)
    assert max(abs(after - before) for before, after in pairwise(steps)) < 0.001


def test_axle_of_the_four_bar_goes_back_before_it_goes_forward() -> None:
    build = BIKES["quillback"].build("datum")
    path = evaluate(build).curve("axle_x_mm").y
    early = path[:31]
    assert max(early) <= path[0] + 0.01
    assert 1.0 <= number(build, "axle_rearmost_mm") <= 6.0
    assert 10.0 <= number(build, "rear_centre_growth_mm") <= 25.0


def test_axle_of_the_high_pivot_goes_back() -> None:
    build = BIKES["corbel"].build("datum")
    assert 15.0 <= number(build, "axle_rearmost_mm") <= 25.0
    assert number(build, "axle_path_angle_at_sag_deg") > 8.0


@pytest.mark.parametrize("name", SUSPENDED)
def test_tyre_clears_the_frame_through_the_travel(name: str) -> None:
    """On an unsquashed tyre, since only the part on the ground is squashed."""
    for size in BIKES[name].frame.sizes:
        build = in_size(BIKES[name], size.name)
        for state in ("table", "rear-bottomed"):
            assert number(build, f"rear_tyre_clearance_mm@{state}") >= 6.0, (size.name, state)


@pytest.mark.parametrize(("name", "size"), ROWS)
def test_front_tyre_clears_the_down_tube_with_the_fork_bottomed(name: str, size: str) -> None:
    """Each size has a down tube of its own; the gap at the bottom is the chassis', whatever the air shaft."""
    gap = number(in_size(BIKES[name], size), "front_tyre_clearance_mm@front-bottomed")
    assert 15.0 <= gap <= 35.0
    near = [line for line in BIKES[name].frame.outlines if line.near == "front_tyre"]
    assert [line.sizes for line in near] == [(row.name,) for row in BIKES[name].frame.sizes]


def test_head_angle_is_slacker_at_sag() -> None:
    for name, low, high in (("quillback", -1.2, -0.7), ("corbel", -1.2, -0.7), ("wherry", 0.8, 1.4)):
        build = BIKES[name].build("datum")
        change = number(build, "head_angle_deg@stated-sag") - number(build, "head_angle_deg@table")
        assert low <= change <= high, name


def test_shock_mount_lifts_the_bike() -> None:
    low, high = (BIKES["quillback"].build(name) for name in ("datum", "high"))
    lift = number(high, "bb_height_mm@table") - number(low, "bb_height_mm@table")
    steeper = number(high, "head_angle_deg@table") - number(low, "head_angle_deg@table")
    assert 6.0 <= lift <= 8.0
    assert 0.4 <= steeper <= 0.55


@pytest.mark.parametrize(("name", "build"), BUILDS)
def test_every_build_is_allowed_and_answers(name: str, build: str) -> None:
    """Only what a hardtail or a rigid fork has not, what needs a rider on a bike that has none, and dampers that nobody
    has measured or set stay blank."""
    made = BIKES[name].build(build)
    assert refusals(made) == ()
    allowed = ["has no loads in this state", "waits for a rider in this state", "force-speed tables", "clicks as set"]
    allowed += ["does not apply"] if made.frame.linkage is None else []
    allowed += ["waits for a rider"] if made.rider is None else []
    if made.parts.fork.travel_mm == 0.0:
        allowed += ["a fork with travel", "a fork with a known spring", "the fork's measured friction"]
    for state in STATES:
        for value in evaluate(made).values(state):
            if value.number is None:
                assert any(reason in value.waits for reason in allowed), f"{value.address}: {value.waits}"


@pytest.mark.parametrize("build", ["datum", "stock"])
@pytest.mark.parametrize(("name", "size"), ROWS)
def test_brief_is_met_in_every_size(name: str, size: str, build: str) -> None:
    """What needs a rider is asked of the stock build only."""
    bike = BIKES[name]
    made = in_size(bike, size, build)
    for line in bike.brief.lines:
        if line.size not in ("", size) or (made.rider is None and "@standing" in line.name):
            continue
        found = number(made, line.name)
        assert line.low is None or found >= line.low, (line.name, found)
        assert line.high is None or found <= line.high, (line.name, found)


def test_coils_stand_in_steps_of_25_lbf_per_inch() -> None:
    for name in SUSPENDED:
        coils = BIKES[name].stock.shelf("coil")
        rates = [coil.rate_n_per_mm / 0.175126835 for coil in coils]  # 1 lbf/in in N/mm
        assert all(after - before == pytest.approx(25.0, abs=1e-5) for before, after in pairwise(rates))

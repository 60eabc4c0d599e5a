"""The demo bikes with their riders on: sag, balance, drive and brake lie where such bikes lie.

The bands are common practice, no source.
"""

from itertools import pairwise

import pytest

from bikewright.studies.evaluate import evaluate
from tests.examples.demo import BIKES, BUILDS, RIDDEN, ROWS, SUSPENDED, in_size, number

MASS_KG = {"quillback": (14.0, 15.5), "wherry": (12.5, 13.5), "corbel": (16.0, 17.0)}


@pytest.mark.parametrize("build", ["datum", "stock"])
@pytest.mark.parametrize("name", MASS_KG)
def test_mass_is_that_of_such_a_bike(name: str, build: str) -> None:
    made = BIKES[name].build(build)
    low, high = MASS_KG[name]
    assert low <= number(made, "bike_mass_kg") <= high
    assert 2.5 <= number(made, "unsprung_front_kg") <= 4.0
    assert 3.0 <= number(made, "unsprung_rear_kg") <= 5.0


def test_a_coil_is_heavier_than_air() -> None:
    for name in SUSPENDED:
        bike = BIKES[name]
        coil = bike.build("coil")
        air = coil.changed(parts=bike.build("stock").parts)
        assert 0.3 <= number(coil, "bike_mass_kg") - number(air, "bike_mass_kg") <= 0.8


@pytest.mark.parametrize(("name", "build"), RIDDEN)
def test_pressures_and_coils_give_the_sag_that_is_stated(name: str, build: str) -> None:
    made = BIKES[name].build(build)
    if made.parts.fork.travel_mm:
        front = number(made, "sag_front_pct@standing")
        assert 17.0 <= front <= 23.0
        assert front == pytest.approx(made.settings.sag_front_pct, abs=1.0)
        assert number(made, "sag_front_least_pct") < front - 2.0
        assert number(made, "sag_front_most_pct") > front + 2.0
    if made.frame.linkage is not None:
        rear = number(made, "sag_rear_pct@standing")
        assert 28.0 <= rear <= 33.0
        assert rear == pytest.approx(made.settings.sag_rear_pct, abs=1.0)
        assert number(made, "sag_rear_least_pct") < rear < number(made, "sag_rear_most_pct")


@pytest.mark.parametrize(("name", "build"), RIDDEN)
def test_pressures_lie_within_what_the_parts_allow(name: str, build: str) -> None:
    made = BIKES[name].build(build)
    for part, pressure, spacers in (
        (made.parts.fork, made.settings.fork_pressure_bar, made.settings.fork_spacers),
        (made.parts.shock, made.settings.shock_pressure_bar, made.settings.shock_spacers),
    ):
        if part is None or part.spring is None or part.spring.kind == "coil":
            continue
        assert pressure is not None
        assert part.spring.pressure_min_bar <= pressure <= part.spring.pressure_max_bar
        assert spacers <= part.spring.spacers_max


@pytest.mark.parametrize(("name", "size"), ROWS)
def test_more_than_a_third_of_the_weight_is_in_front(name: str, size: str) -> None:
    made = in_size(BIKES[name], size, "stock")
    share = number(made, "front_share_pct@standing")
    assert 35.0 <= share <= 42.0
    assert number(made, "front_share_least_pct") < share < number(made, "front_share_most_pct")


@pytest.mark.parametrize(("name", "build"), RIDDEN)
def test_nothing_bottoms_and_the_rear_wheel_stays_down(name: str, build: str) -> None:
    """At 0.5 g of braking; a load of 2.5 times the weight still leaves travel."""
    made = BIKES[name].build(build)
    ends = [f"sag_{end}_pct" for end in ("front", "rear") if evaluate(made).value(f"sag_{end}_pct@standing").number]
    for state, most in (("standing", 35), ("climbing", 35), ("braking", 75), ("cornering", 45), ("g-out", 85)):
        for sag in ends:
            assert 0.0 < number(made, f"{sag}@{state}") < most, (sag, state)
    assert made.settings.braking_pct == 50.0
    assert number(made, "rear_load_n@braking") > 100.0


@pytest.mark.parametrize("build", ["datum", "stock"])
@pytest.mark.parametrize("size", [row.name for row in BIKES["quillback"].frame.sizes])
def test_drive_and_brake_of_the_four_bar(size: str, build: str) -> None:
    """Middle gear at sag, at both heights of the centre of mass; kickback in the easiest gear over the whole travel."""
    made = in_size(BIKES["quillback"], size, build)
    answer = evaluate(made)
    assert answer.group("chain").gears[answer.group("chain").chosen] == "32x21"
    for key, low, high in (("anti_squat", 90.0, 115.0), ("anti_rise", 40.0, 70.0)):
        for height in ("", "_stated"):
            assert low <= number(made, f"{key}_at_sag{height}_pct") <= high, (key, height)
    assert 18.0 <= number(made, "kickback_whole_deg") <= 30.0
    drive = answer.curve("anti_squat_pct/32x21").y
    assert all(after < before for before, after in pairwise(drive))


@pytest.mark.parametrize("build", ["datum", "stock", "coil"])
def test_drive_and_brake_of_the_high_pivot(build: str) -> None:
    """The idler brings the drive back to where a low pivot has it; the caliper on the swingarm pulls the rear down."""
    made = BIKES["corbel"].build(build)
    assert 95.0 <= number(made, "anti_squat_at_sag_stated_pct") <= 115.0
    assert 105.0 <= number(made, "anti_rise_at_sag_stated_pct") <= 130.0
    assert 20.0 <= number(made, "kickback_whole_deg") <= 32.0


def test_caliper_on_the_high_swingarm_holds_the_rear_down() -> None:
    high, low = (number(BIKES[name].build("stock"), "sag_rear_pct@braking") for name in ("corbel", "quillback"))
    assert high > low + 5.0


@pytest.mark.parametrize("name", SUSPENDED)
def test_head_angle_slackens_by_a_degree_under_the_rider(name: str) -> None:
    made = BIKES[name].build("stock")
    change = number(made, "head_angle_deg@table") - number(made, "head_angle_deg@standing")
    assert 0.7 <= change <= 1.3
    assert number(made, "head_angle_deg@stated-sag") == pytest.approx(number(made, "head_angle_deg@standing"), abs=0.15)


@pytest.mark.parametrize(("name", "build"), BUILDS)
def test_bare_bike_hardly_sags(name: str, build: str) -> None:
    made = BIKES[name].build(build)
    for end in ("front", "rear"):
        sag = evaluate(made).value(f"sag_{end}_pct@unladen").number
        assert sag is None or sag < 2.0
    assert 44.0 <= number(made, "front_share_pct@unladen") <= 51.0

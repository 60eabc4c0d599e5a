"""The groups modes and damping: frequencies and ratios of whole bikes."""

import math

import pytest

from bikewright.model.addresses import with_value
from bikewright.model.build import remade
from bikewright.model.files import read_bike
from bikewright.studies.evaluate import evaluate
from tests.interfaces.cli.asked import QUILLBACK, WHERRY

STOCK = read_bike(QUILLBACK).build("stock")


def number(build, key):
    found = evaluate(build).value(key)
    assert found.number is not None, found.waits
    return found.number


def test_each_end_swings_as_a_push_on_the_solved_rest_says():
    """The ride rate of an end is the change of its load for a change of its height: two solved rests, a kilogram apart,
    show the rear end's. The fork's side is asked the same way.
    """
    answer = evaluate(STOCK)
    swing = answer.group("modes")
    for mass, name in ((82.0, "joren"),):
        assert (STOCK.rider.name, STOCK.rider.mass_kg) == (name, mass)
    light, heavy = (
        evaluate(with_value(STOCK, "rider.mass_kg", mass)).group("rest", "standing").rest for mass in (81, 83)
    )
    slant = math.sin(light.head_angle)
    front = (heavy.front_load - light.front_load) / (
        (heavy.fork_travel - light.fork_travel) * slant + heavy.front_drop - light.front_drop
    )
    assert swing.front.spring().ride_rate == pytest.approx(front, rel=0.02)
    linkage = answer.group("linkage").motion
    travel = [linkage.stroke, linkage.wheel_travel]
    rise = [float(_at(travel, rest.shock_stroke)) + rest.rear_drop for rest in (light, heavy)]
    rear = (heavy.rear_load - light.rear_load) / (rise[1] - rise[0])
    assert swing.rear.spring().ride_rate == pytest.approx(rear, rel=0.03)


def _at(pairs, stroke):
    from numpy import interp

    return interp(stroke, *pairs)


def test_both_ends_together_carry_the_sprung_mass():
    swing = evaluate(STOCK).group("modes")

    assert swing.front.mass + swing.rear.mass == pytest.approx(swing.mass, rel=1e-6)
    assert swing.front.mass * swing.ahead == pytest.approx(swing.rear.mass * swing.behind, rel=0.01)


def test_frequencies_of_a_trail_bike_are_about_two_hertz():
    """Common practice, no source: 25 to 30 % of sag on 150 mm of travel is a frequency of about 2 Hz."""
    assert 1.6 <= number(STOCK, "rear_frequency_hz") <= 2.4
    assert 1.8 <= number(STOCK, "front_frequency_hz") <= 2.8
    assert number(STOCK, "heave_frequency_hz") < number(STOCK, "pitch_frequency_hz")


def test_a_click_towards_closed_damps_more_and_leaves_the_frequency():
    closer = with_value(STOCK, "shock_rebound_clicks", STOCK.settings.shock_rebound_clicks - 1)

    assert number(closer, "rear_rebound_ratio") > number(STOCK, "rear_rebound_ratio")
    assert number(closer, "heave_ratio") > number(STOCK, "heave_ratio")
    for key in ("rear_frequency_hz", "front_rebound_ratio", "rear_compression_ratio"):
        assert number(closer, key) == number(STOCK, key)


def test_a_digressive_damper_damps_less_at_a_faster_stroke():
    slow, fast = (with_value(STOCK, "damping_speed_mm_s", speed) for speed in (60.0, 600.0))

    assert number(slow, "rear_rebound_ratio") > number(fast, "rear_rebound_ratio")


@pytest.mark.parametrize(
    ("changed", "key", "told"),
    [
        ({"shock_rebound_clicks": None}, "rear_rebound_ratio", "waits for the shock's measured"),
        ({"front_tyre_bar": None}, "front_frequency_hz", "waits for both tyres"),
        ({"fork_pressure_bar": 40.0}, "front_frequency_hz", "waits for springs on which the fork does not rest"),
        (
            {"damping_speed_mm_s": 1600.0},
            "front_rebound_ratio",
            "measured up to 1500 mm/s; 1600 mm/s is 100 mm/s faster",
        ),
    ],
)
def test_what_has_no_ratio_says_what_it_waits_for(changed, key, told):
    value = evaluate(STOCK.changed(settings=remade(STOCK.settings, changed))).value(key)

    assert value.number is None
    assert told in value.waits


def test_a_hardtail_has_frequencies_and_no_rear_ratio():
    answer = evaluate(read_bike(WHERRY).build("stock"))
    if answer.value("front_frequency_hz").number is None:
        pytest.fail(answer.value("front_frequency_hz").waits)

    assert answer.value("rear_frequency_hz").number > 5.0  # on its tyre alone
    assert "does not apply" in answer.value("rear_rebound_ratio").waits

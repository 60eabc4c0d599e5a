"""Defaults are told as defaults."""

from bikewright.model.addresses import value_at, with_value
from bikewright.model.defaults import defaults_taken
from tests.sample_bike import BARE, BUILD


def test_numbers_that_nobody_gave_are_listed_by_their_address():
    taken = dict(defaults_taken(BUILD))

    assert taken["sag_rear_pct"] == 30.0
    assert taken["crank.pedal_thickness_mm"] == 20.0
    assert taken["grip.hand_from_end_mm"] == 65.0
    assert "stem.length_mm" not in taken
    for address, number in taken.items():
        assert value_at(BUILD, address) == number


def test_a_value_that_was_given_leaves_the_list():
    assert "sag_rear_pct" not in dict(defaults_taken(with_value(BUILD, "sag_rear_pct", 28.0)))


def test_a_default_of_nought_says_nothing():
    assert "saddle_back_mm" not in dict(defaults_taken(BUILD))


def test_absent_parts_have_no_defaults():
    assert not any(address.startswith(("crank.", "bar.")) for address, _ in defaults_taken(BARE))

"""One dimension for wanted hands: against closed form and SciPy, and refused by how much where it cannot be had."""

import math

import pytest

from bikewright.errors import AddressError, NotKnown, OutsideValidity, UnitError
from bikewright.model.addresses import bounds_of, with_value
from bikewright.studies.cockpit_solve import CLOSE_MM, SHORT_NAMES, WANTS, read_want, solve_cockpit
from bikewright.studies.evaluate import evaluate
from tests.sample_bike import BARE, BUILD, LOADED

LENGTH = evaluate(LOADED).value("saddle_to_grip_mm@seated").number


@pytest.mark.parametrize("by", ["reach", "stem", "roll", "saddle-back"])
def test_the_seated_length_is_met(by):
    found = solve_cockpit(LOADED, "seated-length", LENGTH + 6.0, by)

    assert found.reached.number == pytest.approx(LENGTH + 6.0, abs=0.02)
    assert found.at_first.number == pytest.approx(LENGTH)
    assert found.reached.address == "saddle_to_grip_mm@seated"


@pytest.mark.parametrize("by", ["spacers", "rise", "cup", "stack"])
def test_the_hands_height_is_met(by):
    height = evaluate(LOADED).value("bar_height_mm@standing").number
    found = solve_cockpit(LOADED, "hand-height", height + 12.0, by)

    assert found.reached.number == pytest.approx(height + 12.0, abs=2 * CLOSE_MM)
    assert found.value > found.before


def test_spacers_by_closed_form():
    """No rider and no springs known: the table's state, in which the frame does not move. A spacer goes up the steering
    axis of 64.5 degrees, so 10 mm more height take 10/sin(64.5) = 11.08 mm."""
    bare = with_value(with_value(BUILD, "fork", None), "shock", None)
    height = evaluate(bare).value("bar_height_mm@table").number
    found = solve_cockpit(bare, "hand-height", height + 10.0, "spacers")

    head = evaluate(bare).value("head_angle_deg@table").number
    assert found.value - found.before == pytest.approx(10.0 / math.sin(math.radians(head)), abs=0.011)


@pytest.mark.oracle
def test_the_stem_that_a_root_finder_of_scipy_finds():
    from scipy.optimize import brentq

    def off(length):
        return evaluate(with_value(LOADED, "stem.length_mm", length)).value("saddle_to_grip_mm@seated").number - 640.0

    found = solve_cockpit(LOADED, "seated-length", 640.0, "stem")
    assert found.value == pytest.approx(brentq(off, 0.0, 150.0), abs=0.006)


def test_what_is_had_already_stays():
    found = solve_cockpit(LOADED, "seated-length", LENGTH, "stem")

    assert found.value == found.before


def test_a_dimension_at_its_limit_says_how_much_is_short():
    """The rails allow 20 mm; the model's spacers 80."""
    with pytest.raises(OutsideValidity, match=r"saddle_back_mm cannot .* at its limit of 20 it is .* mm short"):
        solve_cockpit(LOADED, "seated-length", LENGTH + 45.0, "saddle-back")
    with pytest.raises(OutsideValidity, match=r"stem_spacers_mm cannot bring the hand height to 2000 mm"):
        solve_cockpit(LOADED, "hand-height", 2000.0, "spacers")


def test_a_dimension_that_moves_nothing_is_refused():
    with pytest.raises(OutsideValidity, match=r"does not move the seated length: it stays .* solve for another"):
        solve_cockpit(LOADED, "seated-length", LENGTH + 5.0, "grade_pct")


@pytest.mark.parametrize(
    ("want", "by", "error"),
    [
        ("seated-width", "stem", "cannot be wanted"),
        ("seated-length", "stem.name", "no number that can be solved for"),
        ("seated-length", "stemm", "names nothing"),
        ("seated-length", "fork_preload_turns.x", "names nothing"),
    ],
)
def test_a_name_that_means_nothing_is_told(want, by, error):
    with pytest.raises(AddressError, match=error):
        solve_cockpit(LOADED, want, 600.0, by)


def test_hands_that_are_not_known_wait():
    with pytest.raises(NotKnown, match="waits for a stem, a bar"):
        solve_cockpit(BARE, "hand-height", 1000.0, "stack")


def test_every_short_name_is_a_number_of_the_build():
    for address in SHORT_NAMES.values():
        low, high = bounds_of(LOADED, address.format(size="M"))
        assert low < high


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("seated-length=615", ("seated-length", 615.0)),
        ("hand-height=1040mm", ("hand-height", 1040.0)),
        ('seated-drop="-1 in"', ("seated-drop", -25.4)),
    ],
)
def test_a_want_is_read_with_or_without_its_unit(text, meant):
    assert read_want(text) == meant
    assert meant[0] in WANTS


@pytest.mark.parametrize(
    ("text", "error"), [("seated-length", AddressError), ("reach=3", AddressError), ("hand-height=tall", UnitError)]
)
def test_a_want_that_means_nothing_is_told(text, error):
    with pytest.raises(error):
        read_want(text)

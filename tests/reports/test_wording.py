"""How things are called."""

import pytest

from bikewright.errors import UnitError
from bikewright.model.addresses import Difference, apply, differences, read_change
from bikewright.model.brief import BriefLine
from bikewright.quantities import CATALOGUE, STATES
from bikewright.reports.wording import (
    BLANK,
    ShownUnits,
    band_text,
    cause_text,
    consequence_text,
    difference_text,
    felt_step_text,
    label,
    place_text,
    shown_units,
    state_text,
    steps_text,
    thing_text,
    verdict_text,
)
from bikewright.studies.compare import compare
from bikewright.studies.evaluate import Value, evaluate
from bikewright.studies.verdicts import judge
from tests.sample_bike import BUILD, STOCK, fork

PLAIN = ShownUnits()
HEAD = CATALOGUE["head_angle_deg"]


def changed(text):
    return apply(BUILD, read_change(text), STOCK)


@pytest.mark.parametrize(
    ("address", "told"),
    [
        ("fork", "fork"),
        ("front_wheel", "front wheel"),
        ("stem_spacers_mm", "stem spacers"),
        ("linkage.pins.rocker", "pin rocker"),
        ("sizes.M.linkage.pins.rocker", "pin rocker of size M"),
        ("sizes.M.reach_mm", "reach of size M"),
        ("chips.mount", "chip mount"),
    ],
)
def test_a_place_is_called_as_in_the_workshop(address, told):
    assert place_text(address) == told


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("fork=fork-170", "single-crown air fork, 160 mm → single-crown air fork, 170 mm"),
        ("chips.mount=high", "as drawn → high"),
        ("stem_spacers_mm=12.5", "10 mm → 12.5 mm"),
        ("stem.length_mm=50", "length 40 mm → 50 mm"),
        ("stem=unknown", "stem-40 → unknown"),
        ("fork.chassis.offset_mm=37", "chassis offset 44 mm → 37 mm"),
    ],
)
def test_a_difference_says_from_what_to_what(text, told):
    (cause,) = compare(BUILD, changed(text)).causes
    assert cause_text(cause, PLAIN).endswith(f": {told}")


def test_a_difference_is_shown_in_the_units_picked():
    (found,) = differences(BUILD, changed("stem_spacers_mm=25.4"))
    assert difference_text(found, shown_units("in"), found.address) == "0.394 in → 1 in"


def test_a_thing_without_a_description_is_called_by_its_name():
    assert thing_text(BUILD.parts.stem, "stem", PLAIN) == "stem-40"
    assert thing_text(fork(160.0), "fork", PLAIN) == "single-crown air fork, 160 mm"
    assert thing_text(None, "fork", PLAIN) == "unknown"
    assert thing_text((), "loads", PLAIN) == "none"
    assert thing_text(True, "chassis.coil_allowed", PLAIN) == "True"
    assert difference_text(Difference("size", "M", "L"), PLAIN, "size") == "M → L"


def test_verdicts_and_bands_are_words():
    both = BriefLine(name="head_angle_deg", low=64.0, high=64.6)
    for number, verdict in ((64.3, "met"), (63.8, "low by 0.2°"), (65.0, "high by 0.4°"), (None, "unknown")):
        assert verdict_text(judge(both, Value(HEAD, "table", number)), HEAD, PLAIN) == verdict
    for low, high, told in (
        (64.0, 64.6, "64.0° to 64.6°"),
        (64.0, None, "at least 64.0°"),
        (None, 64.6, "at most 64.6°"),
    ):
        line = BriefLine(name="head_angle_deg", low=low, high=high)
        assert band_text(judge(line, Value(HEAD, "table", 64.3)), HEAD, PLAIN) == told


def test_what_rounds_to_the_limit_meets_it():
    line = BriefLine(name="head_angle_deg", low=64.3)
    assert judge(line, Value(HEAD, "table", 64.26)).verdict == "met"
    assert judge(line, Value(HEAD, "table", 64.24)).verdict == "low"


def test_a_label_names_the_state_only_where_the_reader_is_not_in_it():
    there = Value(HEAD, "stated-sag", 63.5)
    assert label(there) == "head angle, at sag"
    assert label(there, "stated-sag") == "head angle"
    assert label(Value(CATALOGUE["fork_travel_mm"], "", 160.0)) == "fork travel"


def test_every_state_can_be_said():
    assert all(state_text(state) and "_" not in state_text(state) for state in STATES)


def test_an_echo_says_its_change_or_that_a_value_came_or_went():
    for one in compare(BUILD, changed("fork=fork-170")).consequences:
        assert consequence_text(one, PLAIN, one.after.state).startswith(one.quantity.label)
    (lost, *_) = compare(BUILD, changed("stem=unknown")).stopped
    assert consequence_text(lost, PLAIN).endswith("no value any more")
    found = compare(changed("stem=unknown"), BUILD).consequences
    assert any(" now " in consequence_text(one, PLAIN) for one in found)


def test_an_unknown_is_a_dash_and_pitch_is_in_words():
    assert PLAIN.value(HEAD, None) == BLANK
    assert PLAIN.value(CATALOGUE["pitch_deg"], -0.8) == "0.8° nose down"


def test_units_are_picked_by_kind():
    units = shown_units("in, psi")
    assert units.value(CATALOGUE["reach_mm"], evaluate(BUILD).value("reach_mm").number) == "17.7 in"
    assert (units.of("deg"), units.of("bar"), units.of("")) == ("deg", "psi", "")
    assert shown_units("") == PLAIN
    with pytest.raises(UnitError, match="no unit to show"):
        shown_units("furlong")
    with pytest.raises(UnitError, match="pick one"):
        shown_units("in,mm")


def test_steps_are_counted():
    assert steps_text(1.04) == "1.0 steps"
    assert steps_text(None) == ""


def test_a_felt_step_is_told_in_the_unit_that_is_shown():
    reach, force = CATALOGUE["reach_mm"], CATALOGUE["fork_force_mid_n"]

    assert felt_step_text(reach, 5.0, PLAIN) == "5 mm"
    assert felt_step_text(reach, 5.0, shown_units("in")) == "0.2 in"
    assert felt_step_text(HEAD, 0.3, shown_units("in")) == "0.3°"
    assert felt_step_text(CATALOGUE["leverage_ratio"], 0.08, PLAIN) == "0.08"
    assert (force.felt_as, felt_step_text(force, 0.03, shown_units("lbf"))) == ("relative", "3 %")
    assert felt_step_text(HEAD, None, PLAIN) == "not felt"

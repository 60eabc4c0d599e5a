"""`bikewright show`: every value, with the brief's verdict, and what the rest waits for."""

import json
import re

import pytest

from bikewright.model.files import read_bike
from bikewright.quantities import STATES
from bikewright.reports.wording import shown_units
from bikewright.studies.evaluate import evaluate
from tests.interfaces.cli.asked import BIKES, QUILLBACK, WHERRY, ask
from tests.model.small_bike import lay

LOCKS = "linkage.pins.shock_rear.z_mm+=40.2"
"""Moves a pin of the small bike so far that rocker and shock lose each other at 37 mm of stroke."""
APART = "'rocker' and the shock do not reach each other at 'shock_rear' after 37."


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
def test_every_value_that_is_known_stands_in_the_table(bike, state):
    told = ask("show", bike, "--state", state)
    answer = evaluate(read_bike(bike).builds[0])

    assert (told.code, told.err, told.too_wide) == (0, "", [])
    for value in answer.values(state):
        assert value.number is None or value.quantity.label in told.out


def test_the_brief_judges_beside_the_number():
    told = ask("show", QUILLBACK)

    (line,) = [line for line in told.lines if line.startswith("  head angle ")]
    assert line.split() == ["head", "angle", "64.3°", "brief", "64.0°", "to", "64.8°:", "met"]


@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
def test_the_numbers_in_json_are_those_of_the_study(bike):
    build = read_bike(bike).builds[-1]
    found = ask("show", bike, "--build", build.name, "--json").document("answer")
    answer = evaluate(build)

    assert found["build"]["key"] == answer.key
    values = {(value["key"], value["state"]): value for value in found["values"]}
    for state in STATES:
        for value in answer.values(state):
            told = values[value.quantity.key, value.state or None]
            assert told["value"] == value.number
            assert told.get("waits", "") == value.waits
    for curve in found["curves"]:
        address = f"{curve['key']}/{curve['at']}" if curve["at"] else curve["key"]
        theirs = answer.curve(address)
        assert (curve.get("wheel_travel_mm") or curve["fork_travel_mm"]) == theirs.x_mm.tolist()
        assert [y for y in curve["values"] if y is not None] == [float(y) for y in theirs.y if y == y]


def test_a_bike_of_one_s_own_is_shown(tmp_path):
    told = ask("show", lay(tmp_path), "--build", "race", "--with", "shock.chassis.stroke_mm=10")

    assert told.code == 0, told.err
    assert told.lines[0] == "Quillback, size L, race-changed"
    assert ask("show", tmp_path, "--json").document("answer")["build"]["size"] == "M"


def test_changes_are_made_in_their_order_and_show_in_the_name():
    told = ask("show", QUILLBACK, "--with", "stem_spacers_mm=20", "--with", "stem_spacers_mm+=5", "--size", "L")
    plain = ask("show", QUILLBACK, "--with", "stem_spacers_mm=25", "--size", "L")

    assert told.lines[0] == "Quillback, size L, datum-changed"
    assert told.out == plain.out


def test_other_units_show_converted_numbers():
    millimetres = evaluate(read_bike(QUILLBACK).builds[0]).value("wheelbase_mm").number
    told = ask("show", QUILLBACK, "--units", "in,psi,lb")

    (line,) = [line for line in told.lines if line.startswith("  wheelbase ")]
    assert line.split()[1:3] == [f"{millimetres / 25.4:.1f}", "in"]
    assert " mm" not in told.out
    assert ask("show", QUILLBACK, "--units", "in", "--json").out == ask("show", QUILLBACK, "--json").out


def test_pressure_is_shown_in_the_unit_that_was_picked():
    """No pressure is reported yet, so the choice itself is tested where a pressure is changed."""
    told = ask("compare", QUILLBACK, "--build", "stock", "--with", 'rear_tyre_bar="27 psi"', "--units", "psi")

    assert re.search(r"\d+ psi → 27 psi", told.out)
    assert shown_units("psi").of("bar") == "psi"


def test_blanks_say_what_they_wait_for():
    told = ask("show", QUILLBACK, "--with", "stem=unknown")

    assert told.code == 0
    blank = " ".join(told.out.partition("\nblank\n")[2].split())
    assert "waits for a stem" in blank and "a grip" not in blank
    hardtail = ask("show", WHERRY)
    assert hardtail.out.count("does not apply: this frame has no rear suspension") == 1


def test_a_refused_build_says_so_before_any_number():
    told = ask("show", QUILLBACK, "--with", "rear_tyre.width_mm=80")

    assert told.code == 2
    assert told.lines[3].startswith("Refused")
    assert "the limit is 63.5 mm" in told.lines[4]
    refused = ask("show", QUILLBACK, "--with", "rear_tyre.width_mm=80", "--json")
    assert refused.code == 2
    assert [one["address"] for one in refused.document("answer")["refusals"]] == ["rear_tyre"]


def test_a_linkage_that_cannot_close_names_the_place_and_leaves_the_rest_readable(tmp_path):
    told = ask("show", lay(tmp_path), "--with", LOCKS)

    assert told.code == 2
    assert "  head angle " in told.out and "  wheelbase " in told.out and "  reach " in told.out
    assert told.too_wide == []
    blank = " ".join(told.out.partition("\nblank\n")[2].split())
    assert "rear travel" in blank
    assert APART in blank
    document = ask("show", tmp_path, "--with", LOCKS, "--json").document("answer")
    values = {(value["key"], value["state"]): value["value"] for value in document["values"]}
    assert values["head_angle_deg", "table"] is not None
    assert values["rear_travel_mm", None] is None


def test_json_has_no_escapes_that_a_person_cannot_read():
    told = ask("words", "--json")

    assert "\\u" not in told.out
    assert json.loads(told.out)["states"]

"""Answers as JSON, on a bike whose every case can be made: hardtail, frame alone, gaps, lost values."""

import json

import jsonschema
import pytest

from bikewright.model.addresses import apply, read_change, with_value
from bikewright.quantities import CATALOGUE, STATES
from bikewright.reports.as_json import answer_json, comparison_json, curves_json, sizes_json
from bikewright.studies.compare import compare
from bikewright.studies.evaluate import curve_keys, evaluate
from tests.interfaces.cli.schemas import SCHEMAS
from tests.sample_bike import BARE, BRIEF, BUILD, STOCK


def checked(document):
    kind = document["format"].removeprefix("bikewright/")
    jsonschema.validate(document, SCHEMAS[kind], cls=jsonschema.Draft202012Validator)
    return json.loads(json.dumps(document, allow_nan=False))


def hardtail():
    bike = with_value(with_value(BUILD, "linkage", None), "sizes.M.rear_centre_mm", 435.0)
    return with_value(with_value(bike, "sizes.M.bb_drop_mm", 25.0), "shock", None)


@pytest.mark.parametrize("build", [BUILD, BARE, hardtail()], ids=["whole", "bare", "hardtail"])
def test_every_number_of_an_answer_is_there_once(build):
    found = checked(answer_json(evaluate(build)))

    places = [(value["key"], value["state"]) for value in found["values"]]
    assert len(places) == len(set(places))
    assert {state for _, state in places} == {None, *STATES}
    for value in found["values"]:
        assert (value["value"] is None) == ("waits" in value)


def test_curves_are_there_where_the_linkage_is_known():
    keys = {curve["key"] for curve in checked(answer_json(evaluate(BUILD)))["curves"]}
    assert keys >= {key for key in curve_keys() if CATALOGUE[key].theory == "linkage"}
    for build in (BARE, hardtail()):
        found = checked(answer_json(evaluate(build)))["curves"]
        assert {CATALOGUE[curve["key"]].scope for curve in found} <= {"fork"}
    assert checked(answer_json(evaluate(BUILD), curves=False))["curves"] == []


def test_an_error_in_one_group_leaves_the_others_in_the_answer():
    long = apply(BUILD, read_change("shock.chassis.stroke_mm=149"), STOCK)
    found = checked(answer_json(evaluate(with_value(long, "linkage.pins.shock_front.z_mm", 150.0))))
    values = {(value["key"], value["state"]): value for value in found["values"]}

    assert values["head_angle_deg", "table"]["value"] is not None
    assert "mm of shock stroke" in values["rear_travel_mm", None]["waits"]
    assert not any(curve["key"] == "leverage_ratio" for curve in found["curves"])
    assert found["refusals"]


def test_a_point_without_a_value_is_null_and_the_reason_stands_beside():
    """Two equal parallel arms: the axle's body does not turn, so there is no instant centre."""
    answer = evaluate(BUILD)
    whole = answer.curve("instant_centre_x_mm")
    y = whole.y.copy()
    y[3] = float("nan")
    gappy = whole.__class__(whole.quantity, "", whole.x_mm, y, None, "the axle's body translates there")
    (found,) = checked(curves_json(BUILD, [gappy]))["curves"]

    assert found["values"][3] is None and found["values"][4] == y[4]
    assert found["gap"] == "the axle's body translates there"


@pytest.mark.parametrize(
    "texts",
    [(), ("fork=fork-190", "headset=reach-5"), ("stem=unknown",), ("rear_wheel=27", "rear_tyre=small"),
     ("chips.mount=high",), ("shock.spring=coil-450",)],
)  # fmt: skip
def test_every_kind_of_change_can_be_told(texts):
    after = BUILD
    for text in texts:
        after = apply(after, read_change(text), STOCK)
    (found,) = checked(comparison_json([compare(BUILD, after, BRIEF)]))["sizes"]

    assert bool(found["causes"]) is bool(texts)


def test_sizes_stand_in_the_order_of_the_frame():
    answers = [evaluate(BUILD.changed(size=size.name)) for size in BUILD.frame.sizes]
    found = checked(sizes_json(answers, "table"))

    assert [size["build"]["size"] for size in found["sizes"]] == ["M", "L"]

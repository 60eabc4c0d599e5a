"""The side view as a sheet: every dimension is the catalogue's number."""

import pytest

from bikewright.model.addresses import apply, read_change
from bikewright.quantities import CATALOGUE
from bikewright.reports.bike_sheet import DIMENSIONS, bike_sheet, pose_json
from bikewright.reports.paper import texts
from bikewright.reports.wording import ShownUnits, shown_units, state_text
from bikewright.studies.evaluate import evaluate
from bikewright.studies.pose import pose_of
from tests.sample_bike import BARE, BUILD, STOCK

ANSWER = evaluate(BUILD)


@pytest.mark.parametrize("units", [ShownUnits(), shown_units("in")], ids=["mm", "in"])
@pytest.mark.parametrize("state", ["table", "stated-sag", "both-bottomed"])
def test_every_dimension_shows_the_number_of_the_answer(state, units):
    words = [text.text for text in texts(bike_sheet(ANSWER, state, None, units))]

    for key in DIMENSIONS.values():
        value = ANSWER.value(f"{key}@{state}")
        assert any(units.value(value.quantity, value.number) in word for word in words), key
    assert state_text(state) in words


def test_the_dimensions_are_quantities_of_a_state():
    assert set(DIMENSIONS.values()) <= {key for key, quantity in CATALOGUE.items() if quantity.scope == "state"}


def test_a_bare_frame_and_the_build_before_can_be_drawn():
    longer = evaluate(apply(BUILD, read_change("fork=fork-170"), STOCK))
    before = pose_of(ANSWER, "table")
    plain = bike_sheet(longer, "table", None, ShownUnits())
    both = bike_sheet(longer, "table", before, ShownUnits())

    assert len(both.layers) > len(plain.layers) or both != plain
    assert bike_sheet(evaluate(BARE), "table", None, ShownUnits())


@pytest.mark.parametrize("state", ["table", "stated-sag", "both-bottomed"])
def test_the_pose_is_told_with_its_build(state):
    found = pose_json(ANSWER, state)

    assert (found["format"], found["unit"], found["pose"]["state"]) == ("bikewright/pose", "mm", state)
    assert found["build"]["key"] == ANSWER.key

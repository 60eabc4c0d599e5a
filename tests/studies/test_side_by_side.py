"""Builds beside one another: the rows are every felt difference of any pair, with the numbers of the answers."""

import pytest

from bikewright.errors import AddressError
from bikewright.model.addresses import apply, read_change
from bikewright.model.files import read_bike
from bikewright.studies.compare import compare
from bikewright.studies.evaluate import evaluate
from bikewright.studies.side_by_side import side_by_side
from bikewright.studies.verdicts import felt_steps, judge, line_for, rider_of
from tests.interfaces.cli.asked import QUILLBACK

BIKE = read_bike(QUILLBACK)


def changed(*texts):
    build = BIKE.build("stock")
    for text in texts:
        build = apply(build, read_change(text), BIKE.stock, BIKE.riders)
    return build


THREE = (changed(), changed("fork=single-crown-170"), changed("fork=single-crown-170", "linkage.pins.rocker.z_mm+=4"))


@pytest.mark.parametrize("builds", [THREE[:2], THREE], ids=["two", "three"])
def test_every_pair_is_the_same_comparison_as_anywhere_else(builds):
    found = side_by_side(builds, BIKE.brief)
    places = [(0, 1)] if len(builds) == 2 else [(0, 1), (0, 2), (1, 2)]
    assert [(pair.first, pair.second) for pair in found.pairs] == places
    for pair in found.pairs:
        assert pair.comparison == compare(builds[pair.first], builds[pair.second], BIKE.brief)


def test_the_rows_are_what_any_pair_moves_by_a_felt_step_or_turns_in_the_brief():
    found = side_by_side(THREE, BIKE.brief)
    rows = {(row.quantity.key, row.state) for row in found.rows}
    felt = {
        (c.quantity.key, c.after.state)
        for pair in found.pairs
        for c in (*pair.comparison.consequences, *pair.comparison.stopped)
        if c.is_felt or c.verdict_changed or c.change is None
    }
    assert rows == felt
    assert {"head_angle_deg", "leverage_end"} & {key for key, _ in rows}
    assert [row.steps for row in found.rows] == sorted((row.steps for row in found.rows), reverse=True)


def test_each_cell_is_the_value_of_its_build_its_steps_against_the_first_and_its_verdict():
    for row in side_by_side(THREE, BIKE.brief).rows:
        first = None
        for build, told in zip(THREE, row.told, strict=True):
            address = f"{row.quantity.key}@{row.state}" if row.state else row.quantity.key
            value = evaluate(build).value(address)
            assert told.value == value
            line = line_for(BIKE.brief, value, build.size, rider_of(build))
            assert told.judged == (None if line is None else judge(line, value))
            if first is None:
                first = value
                assert (told.change, told.steps) == (None, None)
            elif first.number is not None and value.number is not None:
                assert told.change == value.number - first.number
                assert told.steps == felt_steps(BIKE.brief, row.quantity, first.number, value.number)


def test_a_value_that_one_of_them_has_not_is_a_row_that_says_what_it_waits_for():
    rows = side_by_side((THREE[0], changed("rider=unknown")), BIKE.brief).rows
    lost = [row for row in rows if row.told[1].value.number is None]
    assert lost
    assert all(row.told[1].value.waits and row.told[1].steps is None for row in lost)


def test_equal_builds_have_no_row():
    assert side_by_side((THREE[0], THREE[0]), BIKE.brief).rows == ()


@pytest.mark.parametrize("builds", [THREE[:1], (*THREE, THREE[0])])
def test_one_build_or_four_are_refused(builds):
    with pytest.raises(AddressError, match="two or three"):
        side_by_side(builds)

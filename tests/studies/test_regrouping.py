"""Riders of an old range on a new one."""

from itertools import pairwise

import pytest

from bikewright.model.files import read_bike
from bikewright.model.people_file import people_of
from bikewright.studies.bounds import fit_for
from bikewright.studies.coverage import by_size, coverage
from bikewright.studies.evaluate import evaluate
from bikewright.studies.regrouping import regroup

STOCK = read_bike("examples/quillback").build("stock")


@pytest.fixture(scope="module")
def old():
    return coverage(by_size(STOCK)[1:])


@pytest.fixture(scope="module")
def new():
    """The same without XXL, and L with a longer reach."""
    from bikewright.model.addresses import with_value

    longer = with_value(with_value(STOCK, "sizes.L.reach_mm", 491.0), "sizes.L.wheelbase_mm", 1270.0)
    return coverage(by_size(longer)[1:4])


def test_a_range_on_itself_moves_nobody(old):
    found = regroup(old, old)

    assert found.groups
    for group in found.groups:
        assert group.old == group.new
        assert all(move.steps == 0.0 for move in group.moves)


def test_bands_of_statures_follow_each_other_without_overlap(old, new):
    for column in ("male", "female"):
        groups = [group for group in regroup(old, new).groups if group.column == column]
        for first, second in pairwise(groups):
            assert first.high_mm <= second.low_mm + 1e-9


def test_the_tallest_lose_their_size_where_the_largest_is_gone(old, new):
    lost = [group for group in regroup(old, new).groups if group.loses]

    assert {group.old for group in lost} == {"XXL"}
    tallest = new.size("XL").men.middle.high.stature_mm
    assert min(group.low_mm for group in lost if group.column == "male") == pytest.approx(tallest, abs=0.1)
    assert all(group.moves == () for group in lost)


def test_what_is_gained_is_the_answers_of_both_bikes(old, new):
    group = next(one for one in regroup(old, new).groups if (one.old, one.new) == ("L", "L"))
    moves = {move.address: move for move in group.moves}

    assert moves["reach_mm@table"].after - moves["reach_mm@table"].before == pytest.approx(10.0, abs=1e-3)
    assert moves["reach_mm@table"].steps == pytest.approx(2.0, abs=1e-3)
    for coverage_of, side in ((old, "before"), (new, "after")):
        answer = evaluate(fit_for(coverage_of.size("L").build, group.rider).build)
        for address in ("saddle_to_grip_mm@stated-sag", "wheelbase_mm@table"):
            assert getattr(moves[address], side) == answer.value(address).number


def test_a_list_is_grouped_by_the_size_bought(old, new):
    people = people_of("height,inseam,size\n174 cm,83 cm,M\n175 cm,84 cm,M\n205 cm,98.7 cm,XXL\n")
    groups = {(group.old, group.new): group for group in regroup(old, new, people).groups}

    assert groups[("M", "L")].count == 2 or groups[("M", "M")].count == 2
    assert groups[("XXL", "")].loses
    assert groups[("XXL", "")].people_pct is None

"""Groups are computed once for each content of what they read, and an error stays with its group."""

import pytest

from bikewright.errors import OutsideValidity
from bikewright.model.addresses import with_value
from bikewright.studies.graph import Graph, Group, Memory, Store, field_of
from tests.sample_bike import BUILD


def counting(calls):
    """Two groups, the second on the first, that note when they are computed."""

    def first(ask):
        calls.append("first")
        return ask.build.settings.stem_spacers_mm

    def second(ask):
        calls.append(f"second {ask.state}")
        return ask.of("first") + ask.build.grade_pct

    return Graph(
        (
            Group("first", ("settings.stem_spacers_mm",), first),
            Group("second", ("grade_pct",), second, needs=("first",), by_state=True),
        ),
        Store(8),
    )


def test_a_second_question_costs_nothing():
    calls = []
    graph = counting(calls)

    assert graph.outcome(BUILD, "second", "table", Memory()).result == 20.0
    assert graph.outcome(BUILD, "second", "table", Memory()).result == 20.0
    assert calls == ["second table", "first"]


def test_a_change_costs_the_groups_that_read_it_and_those_after_them():
    calls = []
    graph = counting(calls)
    graph.outcome(BUILD, "second", "table", Memory())
    calls.clear()

    graph.outcome(with_value(BUILD, "saddle_back_mm", 5.0), "second", "table", Memory())
    assert calls == []
    graph.outcome(with_value(BUILD, "grade_pct", 8.0), "second", "table", Memory())
    assert calls == ["second table"]
    calls.clear()
    graph.outcome(with_value(BUILD, "stem_spacers_mm", 5.0), "second", "table", Memory())
    assert sorted(calls) == ["first", "second table"]


def test_a_state_has_a_result_of_its_own():
    calls = []
    graph = counting(calls)

    graph.outcome(BUILD, "second", "table", Memory())
    graph.outcome(BUILD, "second", "stated-sag", Memory())

    assert calls.count("first") == 1
    assert [call for call in calls if call.startswith("second")] == ["second table", "second stated-sag"]


def test_an_error_stays_with_its_group_and_stops_only_who_asks():
    def fails(ask):
        raise OutsideValidity("too steep")

    graph = Graph(
        (
            Group("fails", (), fails),
            Group("asks", (), lambda ask: ask.of("fails"), needs=("fails",)),
            Group("does not", (), lambda ask: 1.0, needs=("fails",)),
        )
    )

    assert str(graph.outcome(BUILD, "asks", "", Memory()).error) == "too steep"
    assert graph.outcome(BUILD, "does not", "", Memory()).result == 1.0


def test_a_fault_of_the_program_itself_is_not_kept_as_an_answer():
    graph = Graph((Group("broken", (), lambda ask: 1 / 0),))

    with pytest.raises(ZeroDivisionError):
        graph.outcome(BUILD, "broken", "", Memory())


def test_the_store_forgets_the_oldest():
    graph = counting([])

    for spacers in range(20):
        graph.outcome(with_value(BUILD, "stem_spacers_mm", float(spacers)), "second", "table", Memory())

    assert len(graph.store) == 8


def test_a_new_version_of_a_group_gives_a_new_key():
    old = Group("first", ("grade_pct",), lambda ask: 1.0)
    new = Group("first", ("grade_pct",), lambda ask: 2.0, version=2)

    keys = [Graph((group,)).key(BUILD, "first", "", Memory()) for group in (old, new)]

    assert keys[0] != keys[1]


def test_a_needed_group_is_not_computed_before_it_is_asked_for():
    calls = []
    graph = Graph(
        (
            Group("dear", (), lambda ask: calls.append("dear")),
            Group("cheap", (), lambda ask: 1.0, needs=("dear",)),
        )
    )

    assert graph.outcome(BUILD, "cheap", "", Memory()).result == 1.0
    assert calls == []


def test_a_group_may_ask_only_for_what_it_declares():
    graph = Graph((Group("first", (), lambda ask: 1.0), Group("second", (), lambda ask: ask.of("first"))))

    with pytest.raises(KeyError, match="does not declare"):
        graph.outcome(BUILD, "second", "", Memory())


def test_a_group_must_come_after_what_it_needs():
    with pytest.raises(ValueError, match="needs"):
        Graph((Group("second", (), lambda ask: None, needs=("first",)),))


def test_an_unknown_on_the_way_is_unknown():
    assert field_of(BUILD, "rider.mass_kg") is None
    with pytest.raises(AttributeError):
        field_of(BUILD, "settings.nothing")

"""Tables for a terminal."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.model.files import Bike
from bikewright.reports.tables import WIDTH, answer_table, columns, paragraph, size_table
from bikewright.reports.wording import BLANK, ShownUnits
from bikewright.studies.evaluate import evaluate
from tests.sample_bike import BARE, BRIEF, BUILD, RIDERS, STOCK

BIKE = Bike(frame=BUILD.frame, stock=STOCK, riders=RIDERS, brief=BRIEF, builds=(BUILD,), files=())
WORD = st.text(st.characters(categories=("Ll", "Nd")), min_size=1, max_size=12)


def test_columns_are_straight_and_a_number_stands_right():
    lines = columns([("reach", "459 mm", "met"), ("head angle", "64.3°", "low by 0.2°")], "lrl")

    assert lines == ["  reach       459 mm  met", "  head angle   64.3°  low by 0.2°"]


@given(st.lists(st.tuples(WORD, WORD, st.lists(WORD, max_size=40).map(" ".join)), min_size=1, max_size=6))
def test_a_long_last_column_is_wrapped_under_itself_and_loses_nothing(rows):
    lines = columns(rows, "lrl")

    assert all(len(line) <= WIDTH for line in lines)
    assert " ".join(lines).split() == [word for row in rows for cell in row for word in cell.split()]


def test_a_last_column_without_room_is_written_below():
    lines = columns([("a" * 60, "b" * 30, "met → low by 0.2°"), ("c", "d", "")], "lll")

    assert lines == ["  " + "a" * 60 + "  " + "b" * 30, "        met → low by 0.2°", "  c" + " " * 61 + "d"]


def test_no_rows_are_no_lines():
    assert columns([], "lr") == []


def test_a_paragraph_keeps_its_indent():
    lines = paragraph("word " * 60, indent=4)

    assert len(lines) > 1
    assert all(line.startswith("    word") and len(line) <= WIDTH for line in lines)


def test_every_value_is_in_the_table_once_and_every_blank_with_its_reason():
    for build in (BUILD, BARE):
        answer = evaluate(build)
        lines = answer_table(answer, BIKE, "table", ShownUnits())
        known, _, blank = "\n".join(lines).partition("\nblank\n")
        for value in answer.values("table"):
            row = f"  {value.quantity.label}  "
            if value.number is not None:
                assert sum(f"{line} ".startswith(row) for line in known.splitlines()) == 1, value.quantity.key
            elif not value.waits.startswith(("does not apply", "has no loads")):
                assert value.quantity.label in " ".join(blank.split())


def test_a_line_of_the_brief_without_a_band_is_not_judged():
    """A line may only override a felt step."""
    from bikewright.model.brief import Brief, BriefLine

    bike = BIKE.__class__(**{**vars_of(BIKE), "brief": Brief(lines=(BriefLine(name="stack_mm", felt_step=2.0),))})
    (line,) = [one for one in answer_table(evaluate(BUILD), bike, "table", ShownUnits()) if one.startswith("  stack ")]
    assert "brief" not in line


def vars_of(bike):
    return {name: getattr(bike, name) for name in bike.__dataclass_fields__}


def test_the_size_table_leaves_out_what_no_size_can_fill():
    answers = [evaluate(BARE), evaluate(BARE.changed(size="L"))]
    rows = size_table(answers, ("reach_mm", "hand_reach_mm", "standover_mm"), "table", ShownUnits())

    assert rows[0] == ["", "M", "L"]
    assert [row[0] for row in rows[1:]] == ["reach", "standover"]
    assert rows[2][2] == BLANK


@pytest.mark.parametrize("state", ["table", "stated-sag"])
def test_a_state_other_than_the_charts_is_named_by_the_heading_not_by_each_row(state):
    rows = size_table([evaluate(BUILD)], ("reach_mm", "fork_travel_mm"), state, ShownUnits())

    assert [row[0] for row in rows[1:]] == ["reach", "fork travel"]

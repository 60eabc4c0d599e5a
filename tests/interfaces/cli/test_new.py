"""`bikewright new`: a bike to start from, that can be shown at once."""

import pytest

from tests.interfaces.cli.asked import ask

TABLE = """\
size,S,M,L
reach_mm,430,455,480
stack_mm,612,621,630
head_angle_deg,64.5,64.5,64.5
rear_centre_mm,435,435,435
bb_drop_mm,30,30,30
"""


def test_a_new_bike_can_be_shown_compared_and_drawn(tmp_path):
    folder = tmp_path / "mine"
    told = ask("new", folder)

    assert told.code == 0, told.err
    assert told.lines[-1] == f"Edit bike.toml, then: bikewright show {folder}"
    shown = ask("show", folder)
    assert (shown.code, shown.lines[0]) == (0, "mine, size M, datum")
    assert ask("compare", folder).code == 0
    assert ask("draw", folder).code == 0


def test_json_lists_the_files_that_are_there(tmp_path):
    found = ask("new", tmp_path / "mine", "--json").document("new-bike")

    laid = sorted(str(file) for file in (tmp_path / "mine").rglob("*.toml"))
    assert sorted(found["files"]) == laid and laid


def test_a_bike_from_a_table_has_the_table(tmp_path):
    (tmp_path / "table.csv").write_text(TABLE)
    held = ("--fork-length", 560, "--fork-offset", 44, "--front-radius", 370, "--rear-radius", 370)
    made = ask("new", tmp_path / "mine", "--table", tmp_path / "table.csv", *held)

    assert made.code == 0, made.err
    found = ask("table", tmp_path / "mine", "--json").document("sizes")
    reach = [value["value"] for size in found["sizes"] for value in size["values"] if value["key"] == "reach_mm"]
    assert reach == pytest.approx([430, 455, 480])


def test_nothing_is_written_over_a_bike(tmp_path):
    ask("new", tmp_path / "mine")
    (tmp_path / "mine" / "bike.toml").write_text("# mine\n")
    told = ask("new", tmp_path / "mine")

    assert told.code == 2
    assert "nothing is written over it" in told.err
    assert (tmp_path / "mine" / "bike.toml").read_text() == "# mine\n"


def test_a_table_that_is_not_there_is_named(tmp_path):
    told = ask("new", tmp_path / "mine", "--table", tmp_path / "table.csv")

    assert told.code == 2
    assert "table.csv" in told.err and "Traceback" not in told.err
    assert not (tmp_path / "mine").exists()

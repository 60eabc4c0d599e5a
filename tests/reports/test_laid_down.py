"""What was laid down, and what to do next."""

from pathlib import Path

from bikewright.model.points import PlacedPin, Points
from bikewright.reports.laid_down import laid_down_lines
from bikewright.reports.tables import WIDTH

FILES = (Path("mine/bike.toml"), Path("mine/brief.toml"))


def test_every_file_is_listed_and_the_next_step_last():
    lines = laid_down_lines(Path("mine"), FILES, None)

    assert lines[0] == "laid down in mine:"
    assert lines[1:3] == ["  mine/bike.toml", "  mine/brief.toml"]
    assert lines[-1] == "Edit bike.toml, then: bikewright show mine"


def test_how_pivots_were_placed_is_told_in_full():
    told = "scaled by 2.5 so that the rear centre is 435 mm, " * 4
    lines = laid_down_lines(Path("mine"), FILES, Points((PlacedPin("axle", -430.0, 25.0),), told))

    assert told.strip() in " ".join(" ".join(lines).split())
    assert all(len(line) <= WIDTH for line in lines)

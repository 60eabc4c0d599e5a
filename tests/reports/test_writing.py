"""Reports into files: whole or not at all."""

import pytest

from bikewright.errors import EnvironmentFault, OutsideValidity
from bikewright.reports.bike_sheet import bike_sheet
from bikewright.reports.wording import ShownUnits
from bikewright.reports.writing import DRAWINGS, check_place, write_drawing, write_text
from bikewright.studies.evaluate import evaluate
from tests.sample_bike import BUILD

SHEET = bike_sheet(evaluate(BUILD), "table", None, ShownUnits())


def test_the_ending_names_the_format(tmp_path):
    for name, start in (("a.svg", b"<svg"), ("a.SVG", b"<svg"), ("a.png", b"\x89PNG")):
        write_drawing(tmp_path / name, SHEET)
        assert (tmp_path / name).read_bytes().startswith(start)
    write_text(tmp_path / "a.csv", "quantity\nréach\n")
    assert (tmp_path / "a.csv").read_bytes() == "quantity\nréach\n".encode()


def test_the_same_build_gives_the_same_bytes(tmp_path):
    for name in ("a.svg", "b.svg", "a.png", "b.png"):
        write_drawing(tmp_path / name, SHEET)
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()


@pytest.mark.parametrize("name", ["a.pdf", "a", "a.svg.bak"])
def test_another_ending_is_refused_and_nothing_is_written(name, tmp_path):
    with pytest.raises(OutsideValidity, match=r"this is written as \.svg or \.png, not as"):
        write_drawing(tmp_path / name, SHEET)
    with pytest.raises(OutsideValidity, match=r"this is written as \.csv"):
        write_text(tmp_path / name, "x")
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_named(tmp_path):
    with pytest.raises(EnvironmentFault, match=r"there is no folder .*nowhere"):
        check_place(tmp_path / "nowhere" / "a.svg", DRAWINGS)


@pytest.mark.fault
def test_a_place_that_is_no_file_is_told_and_leaves_no_crumbs(tmp_path):
    (tmp_path / "a.csv").mkdir()
    (tmp_path / "a.csv" / "inside").touch()
    with pytest.raises(EnvironmentFault, match=r"a\.csv: it cannot be written"):
        write_text(tmp_path / "a.csv", "x")
    assert [file.name for file in tmp_path.iterdir()] == ["a.csv"]

"""Spoilt files end in a bike or in a clear error with a file name: nothing else may come out."""

import random
import re
import zlib

import ezdxf
import pytest

from bikewright.errors import ModelError, ModelFileError, PointsError
from bikewright.model.files import Bike, read_bike
from bikewright.model.points import Points, read_points
from bikewright.model.table_file import Table, bike_text, read_table
from tests.model.mutations import mutated
from tests.model.small_bike import TEXTS, lay

SAMPLE, SOAK = 500, 10_000
"""Spoilt copies of each file in the usual run, and in the long one."""

FOREIGN = re.compile(r"pydantic|Input should|validation error|Traceback|https?:|Value error|object at 0x|__main__")
LONGEST_ERROR = 200_000

CHART = """\
Geometry,S,M,L
Reach (mm),430,455,480
Stack,610,"620","63 cm"
Head tube angle,64.5°,64.5,64.5
Chainstay length,436,n/a,436
Fork length,551,551,551
"""

PIVOTS = """\
name,x (mm),z (mm),joins
bb,100,100,
axle,-334.8,132,swingarm+wheel
main,120,170,frame+swingarm
"""


def text_cases(name, count):
    """Numbered spoilt copies of a text; the same ones each time."""
    content = {**TEXTS, "chart.csv": CHART, "pivots.csv": PIVOTS}[name].encode()
    return spoilt(name, content, count)


def spoilt(name, content, count):
    for number in range(count):
        yield mutated(content, random.Random(zlib.crc32(f"{name} {number}".encode())))


def check_bikes(folder, name, count):
    lay(folder)
    faulty = 0
    for content in text_cases(name, count):
        (folder / name).write_bytes(content)
        try:
            assert isinstance(read_bike(folder), Bike)
        except ModelFileError as error:
            faulty += 1
            told = str(error)
            assert error.faults, content
            assert all(fault.file.startswith(str(folder)) for fault in error.faults), content
            assert all(fault.found or fault.remedy for fault in error.faults), content
            assert not FOREIGN.search(told), told
            assert len(told) < LONGEST_ERROR
            assert all(line.isprintable() for line in told.split("\n")), told
    assert faulty > 0.5 * count  # most of what is done to a file does harm


def check_others(path, read, kind, cases, count):
    refused = 0
    for content in cases:
        path.write_bytes(content)
        try:
            assert isinstance(read(path), kind)
        except ModelError as error:
            assert kind is not Points or isinstance(error, PointsError)
            refused += 1
            assert str(path) in str(error), content
            assert not FOREIGN.search(str(error)), str(error)
            assert len(str(error)) < 2000
    assert refused > 0.2 * count


def a_drawing(folder):
    drawing = ezdxf.new("R12")
    drawing.header["$INSUNITS"] = 4
    for name, x, y in (("bb", 0, 0), ("axle", -434.8, 32), ("main", 20, 70)):
        drawing.modelspace().add_circle((x, y), 10)
        drawing.modelspace().add_text(name, height=3).set_placement((x, y))
    drawing.modelspace().add_point((-60, 280), dxfattribs={"layer": "rocker"})
    drawing.saveas(folder / "whole.dxf")
    return (folder / "whole.dxf").read_bytes()


def read_chart(path):
    """The table, and also the text that is made of it."""
    table = read_table(path)
    try:
        bike_text(table, "fuzz")
    except ModelError as error:
        raise ModelError(f"{path}: {error}") from None
    return table


@pytest.mark.parametrize("name", list(TEXTS))
def test_a_spoilt_file_of_a_bike_gives_a_bike_or_faults_with_a_place(tmp_path, name):
    check_bikes(tmp_path, name, SAMPLE)


def test_a_spoilt_geometry_table_gives_a_table_or_says_why_not(tmp_path):
    check_others(tmp_path / "chart.csv", read_chart, Table, text_cases("chart.csv", SAMPLE), SAMPLE)


def test_a_spoilt_list_of_pivots_gives_points_or_says_why_not(tmp_path):
    check_others(tmp_path / "pivots.csv", read_points, Points, text_cases("pivots.csv", SAMPLE), SAMPLE)


def test_a_spoilt_drawing_gives_points_or_says_why_not(tmp_path):
    cases = spoilt("dxf", a_drawing(tmp_path), SAMPLE)
    check_others(tmp_path / "spoilt.dxf", read_points, Points, cases, SAMPLE)


@pytest.mark.soak
@pytest.mark.parametrize("name", list(TEXTS))
def test_very_many_spoilt_files_of_a_bike(tmp_path, name):
    check_bikes(tmp_path, name, SOAK)


@pytest.mark.soak
@pytest.mark.parametrize("name", ["chart.csv", "pivots.csv", "dxf"])
def test_very_many_spoilt_tables_and_drawings(tmp_path, name):
    cases = spoilt("dxf", a_drawing(tmp_path), SOAK) if name == "dxf" else text_cases(name, SOAK)
    read, kind = (read_chart, Table) if name == "chart.csv" else (read_points, Points)
    check_others(tmp_path / f"spoilt.{name[-3:]}", read, kind, cases, SOAK)

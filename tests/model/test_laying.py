"""A new bike is laid down whole, reads back without a fault, and never writes over one that is there."""

import os
import re
from importlib import resources

import pytest

from bikewright.errors import ModelError, ModelFileError
from bikewright.model.drawing import linkage_drawing
from bikewright.model.files import read_bike
from bikewright.model.laying import lay_down
from bikewright.model.points import read_points
from bikewright.model.table_file import table_of

CHART = "x,S,L\nReach,430,480\nStack,600,620\nHead angle,64,64\nChainstay,436,436\nBB drop,32,32\nFork length,551,551\n"
DRAWING = """\
name,x,z,joins
bb,100,100,
main,120,170,frame+swingarm
axle,-334.8,132,swingarm+wheel
shock_rear,80,345,swingarm+shock
shock_front,289.2,363.3,frame+shock
"""


def uncommented(text):
    """The lines of TOML that the file holds ready behind a #."""
    return re.sub(r"(?m)^#(?=[\[\w])", "", text)


def test_the_blank_bike_reads_back_without_a_fault(tmp_path):
    files = lay_down(tmp_path / "Wherry")
    bike = read_bike(tmp_path / "Wherry")
    assert {path.name for path in files} >= {"bike.toml", "riders.toml", "brief.toml", "builds.toml"}
    assert all(path.is_file() for path in files)
    assert bike.frame.name == "Wherry"
    assert [size.name for size in bike.frame.sizes] == ["S", "M", "L"]
    assert len(bike.builds) == 3
    assert len(bike.brief.lines) >= 3


def test_the_linkage_that_the_blank_bike_holds_ready_is_sound(tmp_path):
    lay_down(tmp_path / "new")
    for name in ("bike.toml", "builds.toml"):
        path = tmp_path / "new" / name
        path.write_text(uncommented(path.read_text(encoding="utf-8")), encoding="utf-8")
    bike = read_bike(tmp_path / "new")
    assert len(bike.frame.linkage.pins) == 4
    assert bike.build().parts.shock.spring.name == "coil-450"
    assert linkage_drawing(bike.frame, "M").drawn_eye_to_eye_mm == pytest.approx(210, abs=0.2)
    assert bike.build("mixed-wheels").chips[0].position == "high"


def test_the_blank_files_explain_themselves():
    blank = resources.files("bikewright.model") / "blank"
    texts = [path.read_text(encoding="utf-8") for path in blank.iterdir() if path.name.endswith(".toml")]
    assert len(texts) == 4
    assert all(text.startswith("# ") for text in texts)


def test_a_folder_with_a_bike_is_left_alone(tmp_path):
    (tmp_path / "bike.toml").write_text("mine", encoding="utf-8")
    with pytest.raises(ModelError, match="is there already"):
        lay_down(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["bike.toml"]


def test_a_folder_with_other_things_gets_a_bike_beside_them(tmp_path):
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
    lay_down(tmp_path, name="Corbel")
    assert read_bike(tmp_path).frame.name == "Corbel"
    assert (tmp_path / "notes.txt").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["a b", "", '"', "-x", "x" * 61, "a\nb"])
def test_a_name_that_cannot_stand_in_a_file_is_refused(tmp_path, name):
    with pytest.raises(ModelError, match="cannot be a name"):
        lay_down(tmp_path / "new", name=name)
    assert not (tmp_path / "new").exists()


def test_a_table_takes_the_place_of_the_example(tmp_path):
    lay_down(tmp_path / "new", table=table_of(CHART), front_radius_mm=372)
    bike = read_bike(tmp_path / "new")
    assert [size.name for size in bike.frame.sizes] == ["S", "L"]
    assert (bike.frame.datum.fork_length_mm, bike.frame.datum.front_radius_mm) == (551, 372)
    assert bike.frame.datum.rear_radius_mm == pytest.approx(371.96)
    assert [build.name for build in bike.builds] == ["datum"]


def test_a_drawing_that_names_the_bodies_gives_the_whole_linkage(tmp_path):
    (tmp_path / "pivots.csv").write_text(DRAWING, encoding="utf-8")
    points = read_points(tmp_path / "pivots.csv")
    lay_down(tmp_path / "both", table=table_of(CHART), points=points)
    linkage = read_bike(tmp_path / "both").frame.linkage
    assert (linkage.brake_on, linkage.pin("axle").x_mm) == ("swingarm", -434.8)
    lay_down(tmp_path / "one", points=points)
    assert read_bike(tmp_path / "one").frame.linkage == linkage


def test_a_drawing_without_bodies_waits_for_them(tmp_path):
    (tmp_path / "pivots.csv").write_text(re.sub(r",[^,]*$", "", DRAWING, flags=re.M), encoding="utf-8")
    lay_down(tmp_path / "new", points=read_points(tmp_path / "pivots.csv"))
    assert read_bike(tmp_path / "new").frame.linkage is None
    text = (tmp_path / "new/bike.toml").read_text(encoding="utf-8")
    assert "#main = { x_mm = 20, z_mm = 70, joins = [] }" in text
    assert text.count("[linkage]") == 1


def test_what_would_be_no_sound_bike_is_not_laid_down(tmp_path):
    with pytest.raises(ModelFileError) as caught:
        lay_down(tmp_path / "new", table=table_of(CHART.replace("430", "43")))
    assert str(tmp_path / "new/bike.toml") in str(caught.value)
    assert "Did you mean 430?" in str(caught.value)
    assert os.listdir(tmp_path) == []  # noqa: PTH208


def test_a_place_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(ModelFileError, match="cannot be laid down here"):
        lay_down(tmp_path / "file" / "new")

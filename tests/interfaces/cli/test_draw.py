"""`bikewright draw`: the bike to scale, in every state, with the build before behind it."""

import xml.etree.ElementTree as ET

import pytest

from bikewright.errors import NotKnown
from bikewright.model.files import read_bike
from bikewright.quantities import STATES
from bikewright.studies.evaluate import evaluate
from bikewright.studies.pose import pose_of
from tests.interfaces.cli.asked import BIKES, QUILLBACK, ask


def waits(build, state):
    """What a build must still be told before it can stand in a state; empty where it stands."""
    try:
        evaluate(build).group("geometry", state)
    except NotKnown as error:
        return str(error)
    return ""


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
def test_every_build_is_drawn_in_every_state_or_says_what_it_waits_for(bike, state):
    builds = read_bike(bike).builds
    for build in builds[:2]:
        told = ask("draw", bike, "--build", build.name, "--state", state)
        missing = waits(build, state)
        if missing:
            assert (told.code, told.out, told.err) == (2, "", f"the state {state} {missing}\n")
        else:
            assert (told.code, told.err) == (0, "")
            assert ET.fromstring(told.out).tag.endswith("svg")
    assert not waits(builds[0], "table") and not waits(builds[0], "both-bottomed")


def test_a_file_is_written_whole(tmp_path):
    for name in ("bike.svg", "bike.PNG"):
        told = ask("draw", QUILLBACK, "--with", "fork=single-crown-170", "--out", tmp_path / name)
        assert (told.code, told.out) == (0, "")
    assert ET.parse(tmp_path / "bike.svg").getroot().tag.endswith("svg")
    assert (tmp_path / "bike.PNG").read_bytes().startswith(b"\x89PNG")
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.parametrize("state", ["table", "stated-sag", "rear-bottomed"])
def test_the_pose_in_json_is_that_of_the_study(state):
    found = ask("draw", QUILLBACK, "--state", state, "--json").document("pose")["pose"]
    pose = pose_of(evaluate(read_bike(QUILLBACK).builds[0]), state)

    for name in ("rear_axle", "front_axle", "bb", "hand", "saddle"):
        assert tuple(found[name]) == getattr(pose, name)
    assert [pin[0] for pin in found["pins"]] == [name for name, _ in pose.pins]


def test_json_and_a_file_can_be_asked_for_together(tmp_path):
    told = ask("draw", QUILLBACK, "--json", "--out", tmp_path / "bike.svg")

    assert told.document("pose")
    assert (tmp_path / "bike.svg").exists()


@pytest.mark.parametrize(("name", "found"), [("bike.pdf", "'.pdf'"), ("bike", "a name without an ending")])
def test_another_ending_is_refused(name, found, tmp_path):
    told = ask("draw", QUILLBACK, "--out", tmp_path / name)

    assert (told.code, told.err) == (2, f"'{name}': this is written as .svg or .png, not as {found}\n")
    assert list(tmp_path.iterdir()) == []


def test_a_state_that_there_is_not_lists_those_that_there_are():
    told = ask("draw", QUILLBACK, "--state", "flying")

    assert told.code == 2
    assert all(state in told.err for state in STATES)


def test_a_refused_bike_is_drawn_and_called_refused():
    told = ask("draw", QUILLBACK, "--with", "rear_tyre.width_mm=80")

    assert told.code == 2
    assert told.err.startswith("Refused\n")
    assert ET.fromstring(told.out).tag.endswith("svg")

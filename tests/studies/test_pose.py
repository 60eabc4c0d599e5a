"""Where the points of a bike stand for whoever draws them: the instant centre, against constructions on the drawing."""

from pathlib import Path

import numpy as np
import pytest

from bikewright.model.files import read_bike
from bikewright.studies.evaluate import evaluate
from bikewright.studies.pose import pose_of, poses_through_travel

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def answer_of(name):
    bike = read_bike(EXAMPLES / name)
    return evaluate(next(build for build in bike.builds if build.rider is not None))


def crossing(a, b, c, d):
    """Where line ab meets line cd."""
    a, b, c, d = (np.array(point) for point in (a, b, c, d))
    return a + np.linalg.solve(np.array([b - a, c - d]).T, c - a)[0] * (b - a)


@pytest.mark.parametrize("state", ["table", "stated-sag", "standing", "rear-bottomed"])
def test_the_instant_centre_of_a_four_bar_is_where_its_two_links_meet_in_the_state_drawn(state):
    """Kennedy's theorem of the three centres, as in any text on mechanisms; on the ground, in millimetres."""
    pose = pose_of(answer_of("quillback"), state)
    pins = dict(pose.pins)
    where = crossing(pins["main"], pins["dropout"], pins["rocker"], pins["stay"])
    assert pose.instant_centre == pytest.approx(tuple(where), abs=1e-6)


def test_the_instant_centre_moves_with_the_travel():
    poses = poses_through_travel(answer_of("quillback"))
    for pose in poses:
        pins = dict(pose.pins)
        where = crossing(pins["main"], pins["dropout"], pins["rocker"], pins["stay"])
        assert pose.instant_centre == pytest.approx(tuple(where), abs=1e-6)
    assert np.hypot(*np.subtract(poses[0].instant_centre, poses[-1].instant_centre)) > 50.0


@pytest.mark.parametrize("state", ["table", "rear-bottomed"])
def test_the_instant_centre_of_a_single_pivot_is_its_pivot(state):
    pose = pose_of(answer_of("corbel"), state)
    assert pose.instant_centre == pytest.approx(dict(pose.pins)["main"], abs=1e-6)


def test_a_hardtail_has_no_instant_centre():
    assert pose_of(answer_of("wherry"), "table").instant_centre is None

"""Hip and knee over a turn of the cranks: the extremes are extremes, and the knee's triangle closes."""

import math

import pytest
from hypothesis import given

from bikewright.physics.body import rider_body
from bikewright.physics.figure import Arms, Contacts, Feet, figure, flexion
from bikewright.physics.posture import SeatedHabit, seated
from bikewright.physics.stroke import bottom_pose, stroke
from bikewright.sources import SOURCES
from bikewright.units import DEG, MM
from tests.physics.sane_riders import riders_on_bikes

MAN = rider_body(80.0, 1.756)
BIKE = Contacts(hand=(0.47, 0.70), crank=0.17, saddle=(-0.21, 0.71), hand_half_width=0.33)
STATURE = 1756.2 * MM


@pytest.mark.parametrize(("bent_deg", "distance_mm"), [(25, 841.85), (30, 832.91), (35, 822.38)])
def test_the_closed_cases_of_the_knee(bent_deg, distance_mm):
    """Thigh 0.245 and shank 0.246 of the stature of the mean man of ANSUR II; the flexion of the cosine rule. The range
    is that of Holmes, Pruitt and Whalen, 1994, from memory. Tolerance: the distances are rounded to 0.01 mm."""
    assert not SOURCES["holmes1994"].seen
    found = flexion(0.245 * STATURE, 0.246 * STATURE, distance_mm * MM)

    assert found / DEG == pytest.approx(bent_deg, abs=0.01)


def brute(body, contacts, habit):
    """Hip angles of every crank angle in fine steps, posed joint by joint."""
    stick = figure(body, contacts, habit.arms, habit.feet)
    level = seated(body, contacts, habit).pose
    hip = stick.to_world(level.hip)
    upper = stick.upper(hip)
    found = []
    for step in range(3600):
        turn = 2.0 * math.pi * step / 3600
        knee = stick.knee(hip, (contacts.crank * math.cos(turn), contacts.crank * math.sin(turn)))
        ways = [(x - hip[0], z - hip[1]) for x, z in (upper.shoulder, knee)]
        (ax, az), (bx, bz) = ways
        found.append(math.acos((ax * bx + az * bz) / (math.hypot(ax, az) * math.hypot(bx, bz))))
    return found


def test_the_extremes_of_the_hip_are_those_of_a_fine_sweep():
    """3600 crank angles, each joint by joint; they miss the extreme by up to 0.0001 degree."""
    swept = brute(MAN, BIKE, SeatedHabit())
    found = stroke(MAN, seated(MAN, BIKE).pose)

    assert found.hip_least / DEG == pytest.approx(min(swept) / DEG, abs=1e-3)
    assert found.hip_most / DEG == pytest.approx(max(swept) / DEG, abs=1e-3)


@given(riders_on_bikes())
def test_level_cranks_lie_between_the_extremes(rider):
    posture = seated(rider.body, rider.contacts)
    found = stroke(rider.body, posture.pose)

    for hip in posture.hips:
        assert found.hip_least - 1e-6 <= hip <= found.hip_most + 1e-6


@given(riders_on_bikes())
def test_the_bottom_pose_has_the_straightest_knee(rider):
    habit = SeatedHabit()
    posture = seated(rider.body, rider.contacts, habit)
    stick = figure(rider.body, rider.contacts, habit.arms, habit.feet)
    pose = bottom_pose(stick, posture.pose.hip)

    away = math.dist(pose.hip, pose.ankles[0])
    found = flexion(rider.body.thigh.length, rider.body.shank.length, away)
    assert found == pytest.approx(posture.knee_least, abs=1e-9)
    assert math.dist(pose.pedals[0], pose.pedals[1]) == pytest.approx(2.0 * rider.contacts.crank, abs=1e-12)


def test_the_knee_is_nearest_to_a_bar_that_it_touches():
    """A bar put at a knee of a level pose has no room; one put 50 mm further along the thigh has at most that."""
    pose = seated(MAN, BIKE).pose
    knee, hip = pose.knees[0], pose.hip
    along = [(k - h) / math.dist(knee, hip) for k, h in zip(knee, hip, strict=True)]
    ahead = knee[0] + 0.05 * along[0], knee[1] + 0.05 * along[1]

    assert stroke(MAN, pose).knee_to_bar is None
    assert stroke(MAN, pose, knee).knee_to_bar == pytest.approx(0.0, abs=1e-3)
    assert 0.0 < stroke(MAN, pose, ahead).knee_to_bar <= 0.05 + 1e-9


def test_a_foot_further_forward_bends_the_knee_more():
    """The ankle goes forward with the foot, nearer to a hip behind it; the sole stays where it was."""
    back, fore = (rider_body(80.0, 1.756, foot_ahead=ahead) for ahead in (0.0, 0.03))
    feet = [figure(body, BIKE, Arms(elbow=0.3), Feet()) for body in (back, fore)]

    assert feet[1].ankle[0] - feet[0].ankle[0] == pytest.approx(0.03, abs=1e-15)
    assert feet[1].ankle[1] == feet[0].ankle[1]
    assert seated(fore, BIKE).knee_least != seated(back, BIKE).knee_least

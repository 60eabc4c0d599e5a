"""Saddle height by the knee, and where a post can hold a saddle: each against the posture or the place it came from."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.physics.body import rider_body
from bikewright.physics.cockpit import Seat, saddle_place
from bikewright.physics.figure import Contacts, figure
from bikewright.physics.geometry import SeatTube
from bikewright.physics.posture import SeatedHabit, seated
from bikewright.physics.saddle import Post, height_at_clamp, post_range, saddle_height_at_knee
from bikewright.units import DEG, MM

TUBE = SeatTube(angle=73.0 * DEG, setback=-0.045)
SEAT = Seat(height=0.0, post_setback=0.004, rail_shift=-0.006, rail_to_top=0.046)
HABIT = SeatedHabit()
POST = Post(drop=0.18, length=0.5, stack=0.042, insertion_max=0.282, insertion_min=0.11)


def seat_at(height):
    return Seat(height=height, post_setback=0.004, rail_shift=-0.006, rail_to_top=0.046)


def on(body, height, pitch=0.0):
    """A rider's contacts with the saddle at this height, the frame pitched."""
    return Contacts(
        hand=(0.48, 0.72),
        crank=0.17,
        saddle=saddle_place(TUBE, seat_at(height)).point,
        up=(-math.sin(pitch), math.cos(pitch)),
    )


@pytest.mark.oracle
@given(st.floats(1.55, 1.95), st.sampled_from(["male", "female"]), st.floats(20.0, 45.0), st.floats(-0.08, 0.08))
def test_the_height_at_a_knee_is_where_a_root_finder_has_that_knee(stature, build, knee, pitch):
    """SciPy's root finder on the posture itself, which knows nothing of the quadratic."""
    from scipy.optimize import brentq

    body = rider_body(75.0, stature, build)
    stick = figure(body, on(body, 0.7, pitch), HABIT.arms, HABIT.feet)
    found = saddle_height_at_knee(stick, TUBE, SEAT, knee * DEG, HABIT)

    def off(height):
        return seated(body, on(body, height, pitch), HABIT).knee_least / DEG - knee

    assume(off(found - 0.02) > 0.0)
    assert brentq(off, found - 0.02, found + 0.003, xtol=1e-12) == pytest.approx(found, abs=1e-7)


def test_a_knee_that_no_height_gives_is_told():
    """On cranks of 600 mm the hips would have to be nearer to the ankles than the seat tube leads."""
    body = rider_body(70.0, 1.6)
    long = Contacts(hand=(0.48, 0.72), crank=0.9)
    stick = figure(body, long, HABIT.arms, HABIT.feet)

    with pytest.raises(
        OutsideValidity, match=r"no saddle height on this seat tube leaves a knee bent 30°.*0 mm is want"
    ):
        saddle_height_at_knee(stick, TUBE, SEAT, 30.0 * DEG, HABIT)


@given(st.floats(0.55, 0.9))
def test_the_height_of_a_clamp_is_the_way_back(height):
    assert height_at_clamp(TUBE, SEAT, saddle_place(TUBE, seat_at(height)).out) == pytest.approx(height, abs=1e-12)


def test_a_seat_tube_that_is_not_known_waits():
    with pytest.raises(NotKnown, match="seat tube's own angle"):
        height_at_clamp(SeatTube(angle=1.3, virtual=True), SEAT, 0.6)


def test_lowest_and_highest_by_hand():
    """Collar 430: pushed in 430 + 42 + 180 = 652; the tube ends 282 - 270 = 12 mm too soon, 664. Pulled out to 110:
    430 + 500 - 110 = 820 mm."""
    deep, short = post_range(POST, 0.43, 0.29), post_range(POST, 0.43, 0.27)

    assert (deep.lowest / MM, deep.highest / MM, deep.stands_out) == pytest.approx((652.0, 820.0, 0.0))
    assert (short.lowest / MM, short.highest / MM, short.stands_out / MM) == pytest.approx((664.0, 820.0, 12.0))


@pytest.mark.parametrize(
    ("post", "collar", "bend", "known"),
    [
        (POST, None, 0.29, (False, False)),
        (POST, 0.43, None, (False, True)),
        (Post(drop=0.18, length=0.5, insertion_min=0.11), 0.43, 0.29, (False, True)),
        (Post(drop=0.18, stack=0.04, insertion_max=0.28), 0.43, 0.29, (True, False)),
    ],
)
def test_what_is_not_known_is_blank(post, collar, bend, known):
    found = post_range(post, collar, bend)

    assert (found.lowest is not None, found.highest is not None) == known

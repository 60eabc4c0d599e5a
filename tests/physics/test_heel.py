"""The heel beside stays and links: exact cases, a fine sweep and a general minimiser."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from bikewright.physics.body import rider_body
from bikewright.physics.figure import ANKLE, BALL, Arms, Contacts, Feet, figure
from bikewright.physics.heel import HALF_WIDTH, HeelPath, Link, heel_path, heel_room, room_beside
from bikewright.units import DEG

MAN = rider_body(80.0, 1.756)
PATH = HeelPath(centre=(0.0, 0.0), crank=0.1, radius=0.03, inner=0.1)
ONE_WEB = np.array([[0, 1]])


def link(*places, edge=0.0, outer=0.05, webs=ONE_WEB):
    return Link(corners=np.array(places, dtype=float), webs=webs, edge=edge, outer=outer)


def test_room_beside_a_stay_by_hand():
    """282/2 - 35 - 72 = 34 mm."""
    assert pytest.approx(0.035) == HALF_WIDTH
    assert room_beside(0.282, 0.072) == pytest.approx(0.034)


def test_the_heel_stands_behind_the_pedal_on_a_flat_foot():
    """Its middle is its own radius over the sole and ahead of the back of the foot."""
    path = heel_path(MAN, 0.17, 0.282, Feet())
    radius = 0.5 * MAN.ankle_height

    assert path.centre == pytest.approx((-BALL * MAN.foot.length + radius, Feet().sole + radius))
    assert (path.crank, path.radius, path.inner) == pytest.approx((0.17, radius, 0.106))


def test_a_heel_that_is_up_turns_with_the_foot_of_the_figure():
    """The back of the foot as the rider's figure has it is a radius from the middle, along the foot."""
    feet = Feet(heel_drop=-15 * DEG)
    stick = figure(MAN, Contacts(hand=(0.47, 0.70), crank=0.17), Arms(elbow=0.3), feet)
    path = heel_path(MAN, 0.17, 0.282, feet)

    assert math.dist(path.centre, stick.heel) == pytest.approx(path.radius, abs=1e-12)
    assert path.centre == pytest.approx(heel_path(MAN, 0.17, 0.282).centre)
    assert ANKLE * MAN.foot.length > path.radius


def test_a_link_above_the_turn_by_hand():
    """A level web 180 mm over the centre: 180 - 100 - 10 - 30 = 40 mm over the heel, and 30 mm beside it: 50 mm.

    The nearest crank points straight up.
    """
    found = heel_room(PATH, link([(-0.05, 0.18), (0.05, 0.18)], edge=0.01, outer=0.07))

    assert (found.around, found.beside, found.room) == pytest.approx((0.04, 0.03, 0.05), abs=1e-15)
    assert (found.place, found.turn) == (0, pytest.approx(0.0, abs=1e-12))


@pytest.mark.parametrize(
    ("height", "outer", "room"),
    [(0.12, 0.07, 0.03), (0.18, 0.13, 0.05), (0.12, 0.105, -0.005), (0.12, 0.2, -0.01), (0.05, 0.115, -0.015)],
)
def test_where_one_of_both_overlaps_the_other_counts(height, outer, room):
    """Over or beside each other; in the same place the shorter way out counts. A web 50 mm up is crossed by the turn:
    the heel's middle meets it, 30 mm deep, and 15 mm out sideways is shorter."""
    found = heel_room(PATH, link([(-0.2, height), (0.2, height)], outer=outer))

    assert found.room == pytest.approx(room, abs=1e-12)


def test_a_link_inside_the_turn_is_nearest_at_its_far_end():
    """From 20 to 60 mm below the centre: 100 - 60 - 30 = 10 mm, the crank straight down."""
    found = heel_room(PATH, link([(0.0, -0.02), (0.0, -0.06)], outer=0.2))

    assert found.room == pytest.approx(0.01, abs=1e-15)
    assert found.turn == pytest.approx(math.pi, abs=1e-12)


def test_the_place_of_the_travel_is_told():
    places = [[(-0.3, height), (-0.2, height)] for height in (0.3, 0.25, 0.2, 0.22)]

    assert heel_room(PATH, link(*places)).place == 2


numbers = st.floats(-0.35, 0.35)


@pytest.mark.oracle
@settings(max_examples=12)
@given(st.lists(st.tuples(numbers, numbers), min_size=3, max_size=3, unique=True), st.floats(0.08, 0.2))
def test_the_room_in_the_side_view_is_that_of_a_sweep_and_of_scipys_minimiser(corners, crank):
    """Oracle: `minimize` over crank angle and place on the web, started from the best of 3600 angles.

    The sweep misses by half a step of the circle at the most.
    """
    webs = np.array([(0, 1), (1, 2), (0, 2)])
    path = HeelPath(centre=(-0.12, 0.06), crank=crank, radius=0.03, inner=0.05)
    found = heel_room(path, link(corners, webs=webs, outer=0.2))
    at = np.array(corners)
    angle = np.linspace(0.0, 2.0 * math.pi, 3600, endpoint=False)
    middles = np.column_stack((path.centre[0] + crank * np.cos(angle), path.centre[1] + crank * np.sin(angle)))
    swept, solved = np.inf, np.inf
    for one, other in webs:
        line = at[other] - at[one]
        shares = np.clip((middles - at[one]) @ line / (line @ line), 0.0, 1.0)
        away = np.linalg.norm(middles - at[one] - shares[:, None] * line, axis=1)
        swept = min(swept, float(away.min()))

        def square(guess, one=one, line=line):
            x, z = at[one] + guess[1] * line
            dx = path.centre[0] + crank * math.cos(guess[0]) - x
            dz = path.centre[1] + crank * math.sin(guess[0]) - z
            return (dx * dx + dz * dz) * 1e4

        best = int(away.argmin())
        start = (float(angle[best]), float(shares[best]))
        solved = min(solved, minimize(square, start, bounds=((None, None), (0, 1)), tol=1e-14).fun)
    away = found.around + path.radius

    assert swept - 0.5 * crank * math.pi / 1800 <= away <= swept + 1e-12
    assert away == pytest.approx(math.sqrt(solved * 1e-4), abs=2e-6)

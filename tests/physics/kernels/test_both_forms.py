"""Springs, rider, gaps and rest: compiled and uncompiled kernels give the same, on good input and on bad."""

import math

import numpy as np
import pytest

from bikewright.errors import OutsideValidity
from bikewright.physics import rest
from bikewright.physics.body import rider_body
from bikewright.physics.figure import Arms, Contacts, Feet, figure
from bikewright.physics.kernels import plumb
from bikewright.physics.kernels import rest as kernel
from bikewright.physics.posture import SeatedHabit, StandingHabit, com_by_up
from bikewright.physics.rest import GRAVITY, Held, Pull, Ridden
from bikewright.physics.springs.air import air_curve
from bikewright.physics.springs.assembly import assemble
from bikewright.physics.springs.bumper import TopOut, bumper
from bikewright.physics.springs.chambers import AirSpring, LowerLegs, Negative, fill
from bikewright.physics.springs.coil import coil_spring
from tests.physics.rest_cases import AIR, RIDER, bike, braking, climb, hardtail
from tests.physics.springs.test_curve import Levels

STROKE = 0.16
PORTED = AirSpring(
    area=8.2e-4,
    volume=2.12e-4,
    negative=Negative(volume=4.0e-5, area=7.3e-4, port=0.006),
    lower=LowerLegs(volume=1.1e-4, area=2.0e-4),
)
CUSHION = bumper(0.145, (0.0, 0.005, 0.01, 0.015), (0.0, 200.0, 700.0, 2500.0))
SPRINGS = {
    "coil": coil_spring(8.2e3, STROKE, preload=0.002, end_rate=9.5e3),
    "slow air": air_curve(PORTED, fill(PORTED, 5.6e5), 1.0, STROKE),
    "fast air": air_curve(PORTED, fill(PORTED, 5.6e5), 1.3, STROKE, settled_at=0.03),
    "all of it": assemble(
        air_curve(PORTED, fill(PORTED, 5.6e5), 1.3, STROKE),
        STROKE,
        bumper=CUSHION,
        top_out=TopOut(topout_rate=9e3, length=0.008),
        others=(coil_spring(500.0, STROKE),),
    ),
    "torn": Levels(-2.0, math.nan, 2.0, slope=1.0),
}


def same(one, other):
    """To a few units of the last digit: both call the same elementary functions, but a root may be a power in one."""
    np.testing.assert_allclose(one, other, rtol=1e-13, atol=1e-15, equal_nan=True)


@pytest.mark.parametrize("name", SPRINGS)
def test_springs_agree_before_within_and_beyond_their_stroke(loaded, name):
    row = SPRINGS[name].row
    strokes = np.array([-0.3, -1e-3, 0.0, 5e-7, 0.006, 0.0059999, 0.03, 0.145, 0.1499, 0.16, 0.2, 0.2585, 0.6, np.nan])
    plain, compiled = loaded["spring.states"]
    found = np.full((2, 3, len(strokes)), -7.0)
    plain(row, strokes, found[0])
    compiled(row, strokes, found[1])
    same(*found)


def test_mixes_of_steps_agree(loaded):
    plain, compiled = loaded["fixed_point.next_guess"]
    random = np.random.default_rng(5)
    for count in (1, 2, 3):
        for wanted in (random.normal(size=(count, 4)), np.zeros((count, 4)), np.ones((count, 4)) * [[np.nan, 1, 1, 1]]):
            put, ours, theirs = random.normal(size=(count, 4)), np.empty(4), np.empty(4)
            for steps in (put, np.ones((count, 4))):
                plain(steps, wanted.copy(), ours)
                compiled(steps, wanted.copy(), theirs)
                same(ours, theirs)


def test_gaps_and_crests_agree(loaded):
    random = np.random.default_rng(6)
    points, corners = random.normal(size=(20, 2)), random.normal(size=(7, 2))
    corners[3] = corners[2]
    ours, theirs = np.empty(20), np.empty(20)
    plain, compiled = loaded["plane.distances"]
    plain(points, corners, ours)
    compiled(points, corners, theirs)
    same(ours, theirs)
    plain, compiled = loaded["plane.least_crest"]
    for ring_z in (0.12, 0.33, 0.5):
        same(*(one(0.08, ring_z, -0.43, 0.37, 0.80, 0.36) for one in (plain, compiled)))


def test_rods_that_turn_past_a_rod_agree(loaded):
    """Far, near, cut, parallel, and of no length."""
    random = np.random.default_rng(7)
    for turn in (0.3, 1.7, math.pi):
        for _ in range(6):
            rods, fixed = random.normal(size=(2, 7)), random.normal(size=7)
            rods[1, 3:6] = rods[1, :3]
            for size in (0.01, 0.4):
                rods[:, 6] = fixed[6] = size
                found = []
                for turned_past in loaded["passing.turned_past"]:
                    out = np.full(6, -7.0)
                    found.append((turned_past(rods, fixed, turn, out), *out))
                same(*found)


def test_links_beside_a_circle_agree(loaded):
    """Outside, inside, across, and webs of no length."""
    random = np.random.default_rng(8)
    webs = np.array([[0, 1], [1, 2], [2, 2]])
    for radius in (0.0, 0.3, 1.0, 3.0):
        corners, found = random.normal(size=(5, 3, 2)), []
        for beside_circle in loaded["passing.beside_circle"]:
            out = np.full(3, -7.0)
            beside_circle(corners, webs, 0.1, -0.2, radius, out)
            found.append(out)
        same(*found)


PULLS = {
    "level": Pull(),
    "climb": climb(0.15),
    "brakes": braking(0.5, 0.65),
    "pitched over": braking(1.6, 1.0),
    "unknown": Pull(z=math.nan),
}
BIKES = {
    "coil": bike("A"),
    "driven": bike("B", "chain"),
    "braked": bike("C", "brake"),
    "hardtail": hardtail(),
    "rigid": hardtail(spring=None, travel=0.0),
    "a spring of no travel": hardtail(spring=AIR, travel=0.0),
    "wheels in one place": hardtail().but(tyres=tuple(rest.TyreSpring(radius=0.8, rate=None) for _ in range(2))),
}


@pytest.mark.parametrize("name", BIKES)
@pytest.mark.parametrize("pull", PULLS)
def test_bikes_come_to_rest_alike(loaded, name, pull):
    made, found = BIKES[name], []
    for solve in loaded["rest.settle"]:
        body = rest._body(made.front, made.rear, made.tyres, PULLS[pull], Held(fork=20.0))
        body[kernel.MASS], body[kernel.CENTRE_X], body[kernel.CENTRE_Z] = RIDER[0], *RIDER[1]
        springs = (rest._row(end.spring) for end in (made.front, made.rear))
        at, out = np.array([0.01, 0.2, 0.0, 0.0]), np.full(kernel.OUT, -7.0)
        found.append((solve(body, rest._path(made.rear), *springs, 60, at, out), at, out))
    (ours, at, out), (theirs, at_too, out_too) = found
    assert ours == theirs
    np.testing.assert_allclose(at, at_too, rtol=1e-12, atol=1e-14, equal_nan=True)
    np.testing.assert_allclose(out, out_too, rtol=1e-11, atol=1e-9, equal_nan=True)


def test_statuses_of_rest_say_what_stopped(loaded):
    """The two that are no question of convergence."""
    for name, status in (("a spring of no travel", kernel.NO_STROKE), ("wheels in one place", kernel.NO_GROUND)):
        made = BIKES[name]
        body = rest._body(made.front, made.rear, made.tyres, Pull(z=-GRAVITY), Held())
        body[kernel.MASS], body[kernel.CENTRE_X], body[kernel.CENTRE_Z] = RIDER[0], *RIDER[1]
        springs = (rest._row(end.spring) for end in (made.front, made.rear))
        for solve in loaded["rest.settle"][1:]:
            assert solve(body, rest._path(made.rear), *springs, 60, np.zeros(4), np.zeros(kernel.OUT))[0] == status


@pytest.mark.parametrize("hand", [(0.5, 0.75), (0.9, 0.6), (0.15, 0.3), (3.0, 1.0)], ids=str)
def test_riders_agree_within_and_beyond_their_reach(loaded, hand):
    body = rider_body(82.0, 1.80, "male", None, None)
    row = figure(body, Contacts(hand=hand, crank=0.170), Arms(elbow=0.9), Feet()).row
    for hip in ((-0.3, 0.8), (-0.1, 0.5), (0.0, 0.0), (0.4, 1.4), hand):
        same(*(one(row, *hip) for one in loaded["figure.upper"]))
        same(*(one(row, *hip, 0.17, 8) for one in loaded["figure.turned_cranks"]))
    for target, ends in ((0.0, (0.3, 2.6)), (0.0, (2.6, 0.3)), (2.0, (0.3, 2.6)), (-2.0, (0.3, 2.6))):
        ours, theirs = (one(row, 0.8, 0.17, target, *ends) for one in loaded["figure.balanced"])
        assert ours[0] == theirs[0]
        np.testing.assert_allclose(ours[1:], theirs[1:], rtol=1e-12, atol=1e-12)


GRIPS = {"near": (0.5, 0.75), "low": (0.9, 0.6), "far": (3.0, 1.0), "unknown": (math.nan, 0.7)}
RIDERS = {
    "stands": (StandingHabit(), None),
    "leans on the hands": (StandingHabit(hand_share=0.1), None),
    "stands on straight legs": (StandingHabit(knee=0.0), None),
    "sits": (SeatedHabit(), (-0.2, 0.68)),
    "sits too high": (SeatedHabit(), (-0.2, 0.98)),
    "sits too low": (SeatedHabit(), (-0.1, 0.2)),
}


@pytest.mark.parametrize("rider", RIDERS)
@pytest.mark.parametrize("pull", PULLS)
def test_riders_settle_alike_on_good_and_bad_bikes(loaded, rider, pull):
    habit, saddle = RIDERS[rider]
    body, contacts = rider_body(82.0, 1.80, "male", None, None), Contacts(hand=(0.5, 0.75), crank=0.17, saddle=saddle)
    by_up = com_by_up(body, contacts, habit)
    for grips in GRIPS.values():
        for made in BIKES.values():
            links = by_up.stick.row
            row = Ridden(mass=14.0, centre=(0.1, 0.1), rider_mass=85.0, rider=by_up, slope=0.1).row()
            row[plumb.AT_HAND_X], row[plumb.AT_HAND_Z] = grips
            found = []
            for solve in loaded["plumb.settle_plumb"]:
                table = rest._body(made.front, made.rear, made.tyres, PULLS[pull], Held(fork=20.0))
                springs = (rest._row(end.spring) for end in (made.front, made.rear))
                at, out = np.array([0.01, 0.02, 0.0, 0.0]), np.full(kernel.OUT, -7.0)
                answer = solve(table, rest._path(made.rear), *springs, links, row, 60, 20, at, out)
                found.append((answer, at, out))
            (ours, at, out), (theirs, at_too, out_too) = found
            assert ours[:2] == theirs[:2]
            np.testing.assert_allclose(ours[2], theirs[2], rtol=1e-12, atol=1e-14, equal_nan=True)
            np.testing.assert_allclose(at, at_too, rtol=1e-12, atol=1e-14, equal_nan=True)
            np.testing.assert_allclose(out, out_too, rtol=1e-11, atol=1e-9, equal_nan=True)


def _ridden(habit, saddle, grips=(0.75, 0.75)):
    contacts = Contacts(hand=grips, crank=0.17, saddle=saddle)
    by_up = com_by_up(rider_body(82.0, 1.80, "male", None, None), contacts, habit)
    return Ridden(mass=14.0, centre=(0.1, 0.1), rider_mass=85.0, rider=by_up, slope=0.1)


@pytest.mark.parametrize("rider", ["stands", "leans on the hands", "sits"])
def test_one_call_settles_where_placing_the_rider_step_by_step_does(loaded, rider):
    """The callable answers by `figure` and `posture`, the row by the kernel `plumb`."""
    ridden, made = _ridden(*RIDERS[rider]), hardtail()
    one = rest.settle(made.front, made.rear, made.tyres, ridden, climb(0.1))
    other = rest.settle(made.front, made.rear, made.tyres, lambda pitch: ridden(pitch), climb(0.1))
    assert (one.steps, one.bottomed, one.topped) == (other.steps, other.bottomed, other.topped)
    for name in ("fork_travel", "front_load", "rear_load", "com_ahead", "com_height", "front_drop"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-13)


@pytest.mark.parametrize("rider", RIDERS)
@pytest.mark.parametrize("grips", ["near", "low", "far"])
def test_a_rider_is_refused_in_the_same_words_either_way(loaded, rider, grips):
    habit, saddle = RIDERS[rider]
    ridden, made = _ridden(habit, saddle, GRIPS[grips]), hardtail()
    told = []
    for sprung in (ridden, lambda pitch: ridden(pitch)):
        try:
            told.append(rest.settle(made.front, made.rear, made.tyres, sprung).com_height)
        except OutsideValidity as error:
            told.append(str(error))
    assert told[0] == told[1] if isinstance(told[0], str) else told[0] == pytest.approx(told[1], rel=1e-13)

"""Rest under load against energy, statics and the drive and brake reactions, each written again here."""

import cmath
import math
import re

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import root

from bikewright.errors import OutsideValidity, SolverDidNotSettle
from bikewright.physics.body import rider_body
from bikewright.physics.drive import reactions
from bikewright.physics.figure import Contacts
from bikewright.physics.linkage.motion import solve_motion
from bikewright.physics.posture import standing
from bikewright.physics.rest import GRAVITY, Held, Pull, Rest, TyreSpring, settle
from bikewright.physics.springs.coil import coil_spring
from tests.physics.drive_cases import CASES
from tests.physics.rest_cases import (
    AXIS,
    COIL,
    FORK,
    HARD,
    RIDER,
    TYRES,
    Bike,
    bike,
    braking,
    climb,
    front_end,
    hardtail,
)

# --- The minimum of the potential energy -----------------------------------------------------------------------------


def axle_by_circles(name):
    """Rear axle of a single pivot over the stroke, by complex numbers: the cosine rule gives the turn."""
    linkage = CASES[name].linkage
    place = {pin.name: complex(*at) for pin, at in zip(linkage.layout.pins, linkage.places, strict=True)}
    pivot = place["pivot"]
    arm, base = place["shock eye"] - pivot, place["shock mount"] - pivot
    full = abs(arm - base)

    def angle(length):
        return math.acos((abs(arm) ** 2 + abs(base) ** 2 - length**2) / (2.0 * abs(arm) * abs(base)))

    # Closing the shock turns the eye towards the mount: the same way as the least turn from eye to mount.
    way = math.copysign(1.0, cmath.phase(base / arm))
    return lambda stroke: pivot + (place["axle"] - pivot) * cmath.exp(1j * way * (angle(full) - angle(full - stroke)))


def axle_by_motion(name):
    """Rear axle of any linkage, solved at the stroke itself."""
    linkage = CASES[name].linkage

    def axle(stroke):
        lengths = linkage.shock_length - np.array([0.0, stroke, 0.06])
        return complex(*solve_motion(linkage.layout, linkage.marks, lengths).axle[1])

    return axle


def fork_axle_by_hand(travel):
    """Front axle by complex numbers."""
    up = cmath.exp(1j * (math.pi - AXIS.angle))
    return complex(*AXIS.crown) - (FORK.axle_to_crown - travel) * up - 1j * FORK.offset * up


def energy(made: Bike, rear_axle, pull=GRAVITY):
    """Potential energy [J] of heave and pitch of the frame, fork travel and shock stroke [m, rad, m, m].

    Frame axes turn about their origin and rise by the heave; the ground is at nought. A tyre is a spring under an axle.
    """

    def of(state):
        heave, pitch, travel, stroke = state
        turn = cmath.exp(1j * pitch)
        masses = [
            (made.sprung[0], complex(*made.sprung[1])),
            (made.rear.mass, rear_axle(stroke)),
            (made.front.mass, fork_axle_by_hand(travel)),
        ]
        heights = [(mass, heave + (turn * at).imag) for mass, at in masses]
        total = sum(mass * pull * height for mass, height in heights)
        for tyre, (_, height) in zip(made.tyres, heights[1:], strict=True):
            total += 0.5 * tyre.rate * (tyre.radius - height) ** 2
        total += made.front.spring.energy(travel) if made.front.spring else 0.0
        return total + (made.rear.spring.energy(stroke) if made.rear.spring else 0.0)

    return of


STEP = 4e-4
STENCIL = ((1, 45.0 / 60.0), (2, -9.0 / 60.0), (3, 1.0 / 60.0))
"""Central differences of sixth order."""


def slope(of, state, free):
    """Gradient with respect to the free coordinates [N, N m]."""
    found = []
    for axis in free:
        step = np.zeros(4)
        step[axis] = STEP
        found.append(sum(w * (of(state + k * step) - of(state - k * step)) for k, w in STENCIL) / STEP)
    return np.array(found)


def as_state(found: Rest):
    return np.array([found.pose.bb_height, found.pose.pitch, found.fork_travel, found.shock_stroke])


def nearest_level_place(of, start, free):
    """Where the gradient is nought, from a start some millimetres away."""

    def at(values):
        state = start.copy()
        state[list(free)] = values
        return state

    away = start[list(free)] + np.resize([0.004, -0.003, 0.002], len(free))
    solved = root(lambda values: slope(of, at(values), free), away, tol=1e-13)
    return at(solved.x)


ENERGY_CASES = {
    "single pivot": (bike("A"), axle_by_circles("A"), (0, 1, 2, 3)),
    "high pivot": (bike("C"), axle_by_circles("C"), (0, 1, 2, 3)),
    "four-bar": (bike("B"), axle_by_motion("B"), (0, 1, 2, 3)),
    "coil fork": (
        bike("A", fork=coil_spring(8.2e3, 0.16)),
        axle_by_circles("A"),
        (0, 1, 2, 3),
    ),
    "hardtail": (hardtail(), lambda stroke: 0.370j, (0, 1, 2)),
    "rigid": (hardtail(spring=None, travel=0.0), lambda stroke: 0.370j, (0, 1)),
}


@pytest.mark.parametrize("name", ENERGY_CASES)
@pytest.mark.parametrize("times", [1.0, 1.6])
def test_rest_is_the_minimum_of_the_potential_energy(name, times):
    made, rear_axle, free = ENERGY_CASES[name]
    found = made.settle(Pull(z=-GRAVITY * times))
    assert not found.bottomed and not found.topped
    of, state = energy(made, rear_axle, GRAVITY * times), as_state(found)

    assert slope(of, state, free) == pytest.approx(np.zeros(len(free)), abs=1e-6)
    assert nearest_level_place(of, state, free) == pytest.approx(state, abs=1e-9)
    bends = np.array([slope(lambda s, a=axis: slope(of, s, (a,))[0], state, free) for axis in free])
    assert np.all(np.linalg.eigvalsh(0.5 * (bends + bends.T)) > 0.0)


def test_a_rider_who_moves_in_the_frame_rests_as_if_fixed_there():
    """The forces at rest know nothing of how the rider got there."""
    made = bike("A")
    found = made.settle()

    def moving(pitch):
        return RIDER[0], (RIDER[1][0] + 0.9 * pitch, RIDER[1][1] - 0.2 * pitch)

    posed = settle(made.front, made.rear, made.tyres, moving)
    still = made.but(sprung=moving(posed.pose.pitch))
    assert as_state(posed) == pytest.approx(as_state(still.settle()), abs=1e-10)
    assert abs(posed.shock_stroke - found.shock_stroke) > 1e-5
    assert slope(energy(still, axle_by_circles("A")), as_state(posed), range(4)) == pytest.approx(np.zeros(4), abs=1e-6)


# --- Statics ---------------------------------------------------------------------------------------------------------

LOCKED = [("A", ""), ("A", "chain"), ("A2", "chain"), ("B", "brake"), ("C", "chain"), ("C", "brake")]
PULLS = {
    "level": Pull(),
    "climb": climb(math.atan(0.15)),
    "downhill": climb(-math.atan(0.2)),
    "both brakes": braking(0.35, 0.65),
    "downhill, both brakes": braking(0.3, 0.7, -math.atan(0.1)),
    "corner": Pull(z=-GRAVITY / math.cos(math.radians(35))),
}


@pytest.mark.parametrize("pull", PULLS.values(), ids=PULLS)
@pytest.mark.parametrize(("name", "locked"), LOCKED)
def test_forces_and_moments_vanish_about_any_point(name, locked, pull):
    made = bike(name, locked)
    found = made.settle(pull)
    weight = made.mass * math.hypot(pull.x, pull.z)
    acting = [
        (0.0, 0.0, found.rear_push, found.rear_load),
        (found.wheelbase, 0.0, found.front_push, found.front_load),
        *((x, z, mass * pull.x, mass * pull.z) for mass, x, z in made.weights(found)),
    ]
    assert found.front_load + found.rear_load == pytest.approx(-made.mass * pull.z, rel=1e-9)
    for px, pz in ((0.0, 0.0), (1.3, 0.0), (0.6, 1.1), (-2.0, 3.0)):
        moment = sum((x - px) * fz - (z - pz) * fx for x, z, fx, fz in acting)
        assert moment == pytest.approx(0.0, abs=1e-9 * weight)
    assert sum(fx for _, _, fx, _ in acting) == pytest.approx(0.0, abs=1e-9 * weight)
    total = sum(mass for mass, _, _ in made.weights(found))
    assert found.com_ahead == pytest.approx(sum(m * x for m, x, _ in made.weights(found)) / total, abs=1e-12)
    assert found.com_height == pytest.approx(sum(m * z for m, _, z in made.weights(found)) / total, abs=1e-12)


@pytest.mark.parametrize("pull", PULLS.values(), ids=PULLS)
def test_springs_and_tyres_carry_what_is_reported(pull):
    made = bike("A")
    found = made.settle(pull)
    assert found.residual < 1e-6
    assert made.front.spring.force(found.fork_travel) == pytest.approx(found.fork_force, abs=1e-6)
    assert made.rear.spring.force(found.shock_stroke) == pytest.approx(found.shock_force, abs=1e-6)
    assert made.tyres[0].rate * found.rear_drop == pytest.approx(found.rear_load, abs=1e-6)
    assert made.tyres[1].rate * found.front_drop == pytest.approx(found.front_load, abs=1e-6)


# --- Shares by the drive and brake reactions -------------------------------------------------------------------------


def reactions_at(name, found: Rest, made: Bike):
    """Leverage along the ground's normal and forward, and the reactions, solved at the stroke of the answer itself."""
    case = CASES[name]
    linkage = case.linkage
    motion = solve_motion(linkage.layout, linkage.marks, linkage.shock_length - np.array([0.0, found.shock_stroke]))
    radius = made.tyres[0].radius - found.rear_drop
    com = found.pose.to_frame((found.com_ahead + found.pose.rear_contact, found.com_height))
    told = reactions(motion, found.pose, radius, com, run=case.run(motion), brake_body=case.brake_body)
    speed = motion.axle_velocity[1]
    rise = speed[0] * found.pose.sine + speed[1] * found.pose.cosine
    ahead = speed[0] * found.pose.cosine - speed[1] * found.pose.sine
    return rise, ahead, told


def unsprung(made: Bike, pull: Pull, rise, ahead):
    """Weight of what moves with the rear axle, as the suspension does not carry it."""
    return -made.rear.mass * (pull.z + pull.x * ahead / rise)


@pytest.mark.parametrize("grade", [0.05, 0.12, 0.25])
@pytest.mark.parametrize("name", ["A", "A2", "B", "C"])
def test_rear_suspension_in_a_steady_climb(name, grade):
    """m g cos(t) a/L + (1 - AS) m g sin(t) h/L, less the unsprung weight; AS from the drive reaction."""
    slope_angle = math.atan(grade)
    pull, made = climb(slope_angle), bike(name, "chain")
    found = made.settle(pull)
    assert not found.bottomed and not found.topped
    rise, ahead, told = reactions_at(name, found, made)
    weight, length = made.mass * GRAVITY, found.wheelbase
    behind_front = length - found.com_ahead
    carried = (
        weight * math.cos(slope_angle) * behind_front / length
        + (1.0 - told.drive[1, 0]) * weight * math.sin(slope_angle) * found.com_height / length
        - unsprung(made, pull, rise, ahead)
    )
    assert found.shock_force / rise == pytest.approx(carried, rel=1e-9)


@pytest.mark.parametrize("front_share", [0.0, 0.35, 0.7])
@pytest.mark.parametrize("name", ["A", "B", "C"])
def test_rear_suspension_under_the_brakes(name, front_share):
    """m g a/L - (1 - AR with both brakes) m b h/L, less the unsprung weight."""
    share = 0.2
    pull, made = braking(share, front_share), bike(name, "brake")
    found = made.settle(pull)
    assert not found.bottomed and not found.topped
    rise, ahead, told = reactions_at(name, found, made)
    weight, length = made.mass * GRAVITY, found.wheelbase
    both = told.brake_with_both(1.0 - front_share)[1]
    carried = (
        weight * (length - found.com_ahead) / length
        - (1.0 - both) * weight * share * found.com_height / length
        - unsprung(made, pull, rise, ahead)
    )
    assert found.shock_force / rise == pytest.approx(carried, rel=1e-9)


@pytest.mark.parametrize("front_share", [0.0, 0.6, 1.0])
def test_fork_carries_along_and_across(front_share):
    """Axial N sin(HA) + B cos(HA), side N cos(HA) - B sin(HA), for lowers that weigh nothing."""
    made = bike("A", "brake", front_mass=0.0)
    found = made.settle(braking(0.3, front_share))
    push, load, angle = -found.front_push, found.front_load, found.head_angle
    assert push == pytest.approx(0.3 * front_share * made.mass * GRAVITY, rel=1e-12)
    assert angle == pytest.approx(AXIS.angle - found.pose.pitch, abs=1e-15)
    assert found.fork_force == pytest.approx(load * math.sin(angle) + push * math.cos(angle), rel=1e-12)
    assert found.fork_side == pytest.approx(load * math.cos(angle) - push * math.sin(angle), rel=1e-12)


def test_a_standing_load_bends_the_fork_forward_and_a_hard_brake_backward():
    """The sign of the side load, by the vector of the ground's force and the way square to the axis, forward."""
    made = bike("A", "brake", front_mass=0.0)
    for pull, way in ((Pull(), 1.0), (braking(0.5, 1.0), -1.0)):
        found = made.settle(pull)
        angle = found.head_angle
        ahead = math.sin(angle), math.cos(angle)
        assert found.fork_side == pytest.approx(found.front_push * ahead[0] + found.front_load * ahead[1], rel=1e-12)
        assert way * found.fork_side > 0.0


def test_fork_does_not_carry_its_lowers():
    made = bike("A", front_mass=4.3)
    found = made.settle()
    sprung = found.front_load - 4.3 * GRAVITY
    assert found.fork_force == pytest.approx(sprung * math.sin(found.head_angle), rel=1e-12)


# --- Hardtail and rigid fork -----------------------------------------------------------------------------------------


def test_rigid_hardtail_on_hard_tyres_is_a_lever():
    made = hardtail(spring=None, travel=0.0, rear_mass=0.0, front_mass=0.0).but(tyres=HARD)
    found = made.settle()
    length = 1.220
    assert found.wheelbase == pytest.approx(length, abs=1e-12)
    assert found.pose.pitch == pytest.approx(0.0, abs=1e-12)
    assert found.front_load == pytest.approx(95.0 * GRAVITY * 0.530 / length, rel=1e-12)
    assert found.front_share == pytest.approx(0.530 / length, rel=1e-12)
    assert (found.fork_travel, found.shock_stroke, found.residual) == (0.0, 0.0, 0.0)


def test_hardtail_tyre_of_known_drop_stands_lower_by_it():
    low = hardtail().but(tyres=(TyreSpring(radius=0.37, rate=None, drop=0.008), TYRES[1])).settle()
    assert low.rear_drop == 0.008
    assert low.pose.height((0.0, 0.370)) == pytest.approx(0.362, abs=1e-12)


def test_hardtail_climbs_without_a_chain_to_tell_of():
    """All of the load transfer goes through tyre and frame: loads as for a block on a slope."""
    angle = math.atan(0.2)
    made = hardtail()
    found = made.settle(climb(angle))
    length, weight = found.wheelbase, made.mass * GRAVITY
    expected = weight * (math.cos(angle) * found.com_ahead - math.sin(angle) * found.com_height) / length
    assert found.front_load == pytest.approx(expected, rel=1e-12)
    assert found.rear_push == pytest.approx(weight * math.sin(angle), rel=1e-12)


# --- Wheels that lift, ends of the travel ----------------------------------------------------------------------------


def test_a_wheel_that_lifts_only_on_the_way_is_no_refusal():
    """With the fork held at full dive the rear wheel lifts; begun there, the bike comes up and stands."""
    made, pull, dived = bike("A", "brake").but(sprung=(95.0, (0.500, 1.130))), braking(0.577, 1.0), (0.160, 0.0)
    with pytest.raises(OutsideValidity, match="the rear wheel leaves the ground"):
        made.but(front=front_end(spring=None)).settle(pull, start=dived)
    found = made.settle(pull, start=dived)
    assert found.rear_load > 0.0 and found.fork_travel < 0.150


@pytest.mark.parametrize(("end", "name"), [(0, "rear"), (1, "front")])
def test_a_tyre_that_would_reach_its_rim_is_refused_by_name(end, name):
    """The tyre gives by load over rate; the last millimetre decides. One so soft that no axle would be left above the
    ground is told in the same words."""
    made = bike("A")
    soft = list(made.tyres)
    soft[end] = TyreSpring(radius=0.370, rate=12e3)
    gives = getattr(made.but(tyres=tuple(soft)).settle(), f"{name}_drop")
    assert gives > 0.030
    soft[end] = TyreSpring(radius=0.370, rate=12e3, room=gives + 1e-6)
    assert getattr(made.but(tyres=tuple(soft)).settle(), f"{name}_drop") == pytest.approx(gives, abs=1e-12)
    for rate, room in ((12e3, gives - 1e-6), (0.5e3, 0.05)):
        soft[end] = TyreSpring(radius=0.370, rate=rate, room=room)
        with pytest.raises(OutsideValidity, match=f"the {name} tyre is pressed to its rim.*more pressure"):
            made.but(tyres=tuple(soft)).settle()


@pytest.mark.parametrize("made", [bike("A"), hardtail(spring=None, travel=0.0)], ids=["sprung", "rigid"])
def test_a_pull_that_is_no_number_gives_no_answer(made):
    with pytest.raises(SolverDidNotSettle, match=r"no number|was not found"):
        made.settle(Pull(x=math.nan))


def answers(made, pull):
    try:
        made.settle(pull)
    except OutsideValidity:
        return False
    return True


@pytest.mark.parametrize(
    ("pull", "told"),
    [(braking(1.0, 0.5), "the rear wheel leaves the ground.*less braking"),
     (climb(math.atan(0.6)), "the front wheel leaves the ground.*a flatter climb")],
)  # fmt: skip
def test_a_wheel_that_leaves_the_ground_is_told(pull, told):
    with pytest.raises(OutsideValidity, match=told):
        bike("A", "chain").settle(pull)


def test_ends_of_the_travel_are_flagged():
    hit = bike("A").settle(Pull(z=-20.0 * GRAVITY))
    assert set(hit.bottomed) == {"fork", "shock"} and hit.topped == ()
    assert (hit.fork_travel, hit.shock_stroke) == (0.160, 0.066)
    assert hit.shock_force > COIL.force(0.066)

    light = bike("A", spring=coil_spring(61e3, 0.066, preload=0.010)).but(sprung=(8.0, RIDER[1])).settle()
    assert "shock" in light.topped and light.bottomed == ()
    assert light.shock_stroke == 0.0
    assert light.shock_force < 610.0

    stood = bike("A").settle()
    assert stood.bottomed == stood.topped == ()


# --- Friction --------------------------------------------------------------------------------------------------------


def test_friction_leaves_a_band_round_the_bounced_bike():
    made = bike("A")
    down, bounced, up = (made.settle(held=Held(fork=f, shock=4.0 * f)) for f in (25.0, 0.0, -25.0))
    assert down.fork_travel < bounced.fork_travel < up.fork_travel
    assert down.shock_stroke < bounced.shock_stroke < up.shock_stroke
    for found, friction in ((down, 25.0), (up, -25.0)):
        assert found.residual < 1e-6
        assert made.front.spring.force(found.fork_travel) + friction == pytest.approx(found.fork_force, abs=1e-6)
        assert made.rear.spring.force(found.shock_stroke) + 4 * friction == pytest.approx(found.shock_force, abs=1e-6)


# --- Any sane bike ---------------------------------------------------------------------------------------------------


@st.composite
def sane_bikes(draw):
    """A rider of 45 to 120 kg with springs for that mass, give or take a half; any tyre."""
    mass = draw(st.floats(45.0, 120.0))
    scale = mass / 95.0
    coil = coil_spring(61e3 * scale * draw(st.floats(0.6, 1.6)), 0.066, preload=draw(st.floats(0.0, 0.004)))
    fork = coil_spring(7.5e3 * scale * draw(st.floats(0.6, 1.6)), 0.160, preload=draw(st.floats(0.0, 0.02)))
    made = bike(
        draw(st.sampled_from(["A", "A2", "B", "C"])),
        draw(st.sampled_from(["", "chain", "brake"])),
        coil,
        fork,
        draw(st.floats(3.0, 8.0)),
        draw(st.floats(2.5, 6.0)),
    )
    place = draw(st.floats(0.42, 0.62)), draw(st.floats(0.95, 1.25))
    tyres = tuple(TyreSpring(radius=draw(st.floats(0.34, 0.38)), rate=draw(st.floats(6e4, 3e5))) for _ in "rf")
    return made.but(sprung=(mass + 8.0, place), tyres=tyres)


pulls = st.one_of(
    st.floats(-0.25, 0.25).map(lambda grade: climb(math.atan(grade))),
    st.builds(braking, st.floats(0.0, 0.6), st.floats(0.0, 1.0), st.floats(-0.15, 0.0)),
    st.floats(1.0, 4.0).map(lambda times: Pull(z=-GRAVITY * times)),
)


@settings(max_examples=300, deadline=None)
@given(sane_bikes(), pulls)
def test_every_sane_bike_settles_or_says_which_wheel_lifts(made, pull):
    try:
        found = made.settle(pull)
    except OutsideValidity as error:
        assert "wheel leaves the ground" in str(error)
        return
    assert found.residual < 1e-6
    assert found.steps < 25
    assert 0.0 <= found.fork_travel <= made.front.travel and 0.0 <= found.shock_stroke <= made.rear.stroke
    assert found.front_load >= 0.0 and found.rear_load >= 0.0


@settings(max_examples=100, deadline=None)
@given(sane_bikes(), pulls, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_where_it_starts_does_not_matter(made, pull, fork, shock):
    assume(answers(made, pull))
    found = made.settle(pull)
    other = made.settle(pull, start=(fork * made.front.travel, shock * made.rear.stroke))
    assert as_state(other) == pytest.approx(as_state(found), abs=1e-9)
    assert (other.front_drop, other.rear_drop) == pytest.approx((found.front_drop, found.rear_drop), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(sane_bikes(), st.floats(45.0, 120.0), st.floats(1.55, 1.95), st.floats(-0.2, 0.2))
def test_a_standing_rider_who_is_posed_again_settles(made, mass, stature, grade):
    """The rider of `posture` in a bike of this shape, plumb over the bottom bracket in the world as it pitches."""
    body, slope_angle, bb = rider_body(mass, stature, "male", None, None), math.atan(grade), (0.435, 0.335)

    def posed(pitch):
        hand = (bb[0] + 0.26 * stature, bb[1] + 0.40 * stature)
        up = math.sin(pitch + slope_angle), math.cos(pitch + slope_angle)
        com = standing(body, Contacts(hand=hand, crank=0.170, bb=bb, hand_half_width=0.33, up=up)).com
        return mass, com

    pull = climb(slope_angle)
    try:
        found = settle(made.front, made.rear, made.tyres, posed, pull)
    except OutsideValidity as error:
        assert re.search("leaves the ground|grips|weight does not get|pedal", str(error)), error
        return
    (x, z), (bx, bz) = found.pose.to_ground(posed(found.pose.pitch)[1]), found.pose.to_ground(bb)
    level = (x - bx) * math.cos(slope_angle) - (z - bz) * math.sin(slope_angle)
    assert level == pytest.approx(0.0, abs=1e-9)
    assert found.residual < 1e-6


def test_a_bike_that_no_spring_holds_up_does_not_settle_in_silence():
    """A rider whose place jumps as the frame pitches finds no rest: the answer is an error, never a number."""
    made = bike("A")
    edge = made.settle().pose.pitch

    def jumps(pitch):
        return RIDER[0], (RIDER[1][0] + (-0.05 if pitch < edge else 0.05), RIDER[1][1])

    with pytest.raises(SolverDidNotSettle, match=r"did not come to rest in \d+ steps: fork at .* mm, shock at"):
        settle(made.front, made.rear, made.tyres, jumps)

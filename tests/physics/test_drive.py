"""Drive and brake reaction against cases worked out beforehand, the classic drawing, and what must not matter."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bikewright.errors import OutsideValidity
from bikewright.physics.chain import idler_on_pin, taut_run
from bikewright.physics.drive import (
    brake_reaction_by_lines,
    chain_held_rate,
    drive_reaction_by_lines,
    ground_through_travel,
    locked_contact,
    reaction,
    reactions,
)
from bikewright.physics.geometry import Attitude
from bikewright.physics.linkage.bodies import body_motion
from bikewright.physics.linkage.motion import solve_motion
from bikewright.physics.linkage.path import axle_path
from bikewright.units import DEG, MM, PCT
from tests.physics.drive_cases import CASES, CENTRE_OF_MASS, PIVOT_AT_RING, RADIUS
from tests.physics.linkage.samples import ALL, FOUR_BAR, Sample, sample

TRAVELS = np.array([0.0, 40.0, 80.0, 120.0, 160.0]) * MM

EXTENDED = {
    # drive, brake [%], dx and chain growth per upward motion of the axle [-], crank [degrees/mm]
    "A": (103.168662, 103.741497, -0.071429, 0.100836, 0.089180),
    "A2": (100.749734, 103.741497, -0.071429, 0.237938, 0.210433),
    "B": (105.865245, -1.824788, -0.073986, 0.103392, 0.091440),
    "C": (127.937323, 141.607143, -0.375, 0.092063, 0.081421),
}
THROUGH_TRAVEL = {
    # drive and brake [%] at 0, 40, 80, 120 and 160 mm
    "A": ([103.16866, 93.94773, 83.45695, 71.49962, 57.79031], [103.74150, 98.65202, 93.61037, 88.53976, 83.35980]),
    "A2": ([100.74973, 93.21932, 85.20657, 76.57497, 67.14842], [103.74150, 98.65202, 93.61037, 88.53976, 83.35980]),
    "B": ([105.86525, 70.02021, 40.49455, 12.80501, -14.94397], [-1.82479, 10.21460, 17.12987, 23.72799, 32.66446]),
    "C": (
        [127.93732, 120.56628, 113.02061, 105.16531, 96.86892],
        [141.60714, 135.30883, 129.44893, 123.88046, 118.48970],
    ),
}
"""Derived for this project (see `tests.physics.drive_cases`)."""


def solved(case, motion):
    ground = case.ground(motion)
    return reactions(motion, ground, RADIUS, CENTRE_OF_MASS, run=case.run(motion), brake_body=case.brake_body)


@pytest.mark.parametrize("name", CASES)
def test_reactions_of_the_extended_bike(name):
    case = CASES[name]
    motion = case.motion(3)
    drive, brake, dx, growth, crank = EXTENDED[name]
    found, run = solved(case, motion), case.run(motion)

    assert found.drive[0, 0] / PCT == pytest.approx(drive, abs=1e-6)
    assert found.brake[0] / PCT == pytest.approx(brake, abs=1e-6)
    assert motion.axle_velocity[0, 0] / motion.leverage_ratio[0] == pytest.approx(dx, abs=1e-6)
    assert run.rate[0, 0] / motion.leverage_ratio[0] == pytest.approx(growth, abs=1e-6)
    assert run.rate[0, 0] / (motion.leverage_ratio[0] * run.ring_radius[0]) * MM / DEG == pytest.approx(crank, abs=1e-6)
    assert found.coasting[0] == pytest.approx(math.atan(-dx), abs=1e-6)


@pytest.mark.parametrize("name", CASES)
def test_reactions_through_the_travel(name):
    """The ground is the common tangent of both wheels at each travel; the centre of mass stays in the frame."""
    case = CASES[name]
    motion = case.motion_at(TRAVELS)
    found = solved(case, motion)

    assert motion.wheel_travel == pytest.approx(TRAVELS, abs=1e-12)
    assert found.drive[:, 0] / PCT == pytest.approx(THROUGH_TRAVEL[name][0], abs=1e-5)
    assert found.brake / PCT == pytest.approx(THROUGH_TRAVEL[name][1], abs=1e-5)


@pytest.mark.parametrize("name", CASES)
def test_the_classic_drawing_agrees_to_rounding(name):
    case = CASES[name]
    motion = case.motion(41)
    ground, cogs = case.ground(motion), (10, 21, 51)
    run = case.run(motion, cogs)
    found = reactions(motion, ground, RADIUS, CENTRE_OF_MASS, run=run, brake_body=case.brake_body)
    body = case.brake_body

    assert drive_reaction_by_lines(motion, run, ground, RADIUS, found.height) == pytest.approx(found.drive, abs=1e-12)
    assert brake_reaction_by_lines(motion, body, ground, RADIUS, found.height) == pytest.approx(found.brake, abs=1e-12)


@pytest.mark.parametrize(
    ("name", "crossing"),
    [("A", (0.42252, 0.40018)), ("A2", (0.43352, 0.40097)), ("B", (0.41208, 0.40049)), ("C", (0.46279, 0.54354))],
)
def test_the_ground_force_points_through_the_crossing_of_chain_and_arm(name, crossing):
    """Crossing points stated beforehand to 0.01 mm, derived for this project."""
    case = CASES[name]
    motion = case.motion(3)
    contact = locked_contact(motion, case.ground(motion), RADIUS, chain_held_rate(case.run(motion)))
    assert contact.slope[0, 0] == pytest.approx(crossing[1] / crossing[0], abs=3e-5)


def parallelogram():
    """Two equal, parallel links: the body on the axle moves without turning."""
    return sample(
        0.030,
        lower_pivot=(0, 40, "frame", "lower link"),
        upper_pivot=(60, 240, "frame", "upper link"),
        shock_mount=(170, 60, "frame", "shock"),
        lower_joint=(-120, 10, "lower link", "triangle"),
        upper_joint=(-60, 210, "upper link", "triangle"),
        shock_eye=(115, 250, "upper link", "shock"),
        axle=(-440, 15, "triangle", "wheel"),
    )


def test_parallel_links_have_a_reaction_and_no_drawing():
    """With no turn of the body, the brake reaction is the axle path alone: (L/h) tan(coasting angle)."""
    one = parallelogram()
    motion = solve_motion(one.layout, one.marks, one.lengths(5))
    ground = ground_through_travel(motion, (0.80, 0.02), 0.36, 0.37)
    run = taut_run(motion, [0.0205, 0.1], 0.065)
    found = reactions(motion, ground, 0.36, (0.1, 0.9), run=run, brake_body="triangle")

    assert found.brake == pytest.approx(ground.wheelbase / found.height * np.tan(found.coasting), rel=1e-12)
    assert np.all(np.isfinite(found.drive))
    with pytest.raises(OutsideValidity, match=r"'triangle' has no instant centre at 0\.0 mm .*moves without turning"):
        drive_reaction_by_lines(motion, run, ground, 0.36, found.height)
    with pytest.raises(OutsideValidity, match="has no instant centre"):
        brake_reaction_by_lines(motion, "triangle", ground, 0.36, found.height)


def test_the_drawing_is_refused_where_an_idler_moves_or_the_caliper_is_elsewhere():
    motion = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(5))
    ground = ground_through_travel(motion, (0.80, 0.02), 0.36, 0.37)
    moving = taut_run(motion, 0.04, 0.065, idlers=(idler_on_pin(motion, "brake", 0.02),))

    assert not moving.idlers_on_frame
    with pytest.raises(OutsideValidity, match="an idler moves with the linkage"):
        drive_reaction_by_lines(motion, moving, ground, 0.36, 1.1)
    with pytest.raises(OutsideValidity, match=r"on the axle \(seatstay\); 'chainstay' is not"):
        brake_reaction_by_lines(motion, "chainstay", ground, 0.36, 1.1)


@pytest.mark.parametrize("name", ALL)
def test_the_drawing_holds_for_any_linkage_with_a_body_on_the_axle(name):
    one = ALL[name]
    motion = solve_motion(one.layout, one.marks, one.lengths(21))
    ground = ground_through_travel(motion, (0.80, 0.02), 0.36, 0.37)
    run = taut_run(motion, [0.0205, 0.05, 0.103], 0.065)
    body = motion.layout.axle_bodies[0]
    found = reactions(motion, ground, 0.36, (0.1, 0.9), run=run, brake_body=body)

    assert drive_reaction_by_lines(motion, run, ground, 0.36, found.height) == pytest.approx(found.drive, abs=1e-10)
    assert brake_reaction_by_lines(motion, body, ground, 0.36, found.height) == pytest.approx(found.brake, abs=1e-10)


@given(st.floats(-12.0, 12.0), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5))
@settings(max_examples=30)
def test_how_the_frame_is_laid_on_the_paper_does_not_matter(degrees, x, z):
    """The whole drawing, turned and shifted: the reactions refer to the ground, not to the axes of the frame."""
    sine, cosine = math.sin(degrees * DEG), math.cos(degrees * DEG)

    def laid(place):
        return np.asarray(place) @ np.array([[cosine, sine], [-sine, cosine]]) + [x, z]

    def answer(one, place):
        motion = solve_motion(one.layout, one.marks, one.lengths(4))
        ground = ground_through_travel(motion, tuple(place((0.80, 0.02))), 0.36, 0.37)
        run = taut_run(motion, [0.0205, 0.05], 0.065, ring_centre=tuple(place((0.0, 0.0))))
        return reactions(motion, ground, 0.36, tuple(place((0.1, 0.9))), run=run, brake_body="seatstay")

    plain = answer(FOUR_BAR, np.asarray)
    turned = answer(Sample(FOUR_BAR.layout, laid(FOUR_BAR.places), FOUR_BAR.stroke), laid)
    assert turned.drive == pytest.approx(plain.drive, abs=1e-10)
    assert turned.brake == pytest.approx(plain.brake, abs=1e-10)
    assert turned.coasting == pytest.approx(plain.coasting, abs=1e-11)


def test_a_hub_that_turns_with_the_arm_is_a_brake():
    """Cog and ring alike, ring round the main pivot: the chain holds the wheel as a caliper on the arm would not."""
    motion = solve_motion(PIVOT_AT_RING.layout, PIVOT_AT_RING.marks, PIVOT_AT_RING.lengths(11))
    ground = ground_through_travel(motion, (0.80, 0.02), 0.36, 0.37)
    alike = reactions(motion, ground, 0.36, (0.1, 0.9), run=taut_run(motion, 0.05, 0.05), brake_body="swingarm")
    # An endless ring against a finite cog makes the wheel follow the arm times (1 - ring/cog); see the theory page.
    ring, cog = 0.08, 0.05
    uneven = taut_run(motion, cog, ring)
    arm = body_motion(motion, "swingarm").rate
    assert alike.drive[:, 0] == pytest.approx(ground.wheelbase / alike.height * np.tan(alike.coasting), rel=1e-9)
    assert chain_held_rate(uneven)[:, 0] == pytest.approx(arm * (1.0 - ring / cog), rel=1e-9)


def test_the_height_to_refer_to_and_both_brakes_only_scale():
    case = CASES["A"]
    motion = case.motion(5)
    found = solved(case, motion)
    other = found.at_height(0.9)

    assert other.drive[:, 0] * 0.9 == pytest.approx(found.drive[:, 0] * found.height, rel=1e-14)
    assert other.brake * 0.9 == pytest.approx(found.brake * found.height, rel=1e-14)
    assert other.coasting is found.coasting
    assert found.brake_with_both(0.3) == pytest.approx(0.3 * found.brake, rel=1e-14)
    with pytest.raises(OutsideValidity, match=r"found -10\.0 mm"):
        found.at_height(-0.01)


def test_one_ground_for_all_positions_and_one_for_each_agree():
    case = CASES["B"]
    motion = case.motion(6)
    each = case.ground(motion)
    run = case.run(motion, (10, 51))
    contact = locked_contact(motion, each, RADIUS, chain_held_rate(run))
    fourth = Attitude(*(float(part[3]) for part in (each.pitch, each.sine, each.cosine, each.bb_height)), 0.0, 1.2)
    single = locked_contact(motion, fourth, RADIUS, chain_held_rate(run))

    assert single.slope[3] == pytest.approx(contact.slope[3], rel=1e-14)
    assert reaction(single, fourth.wheelbase, 1.1)[3] == pytest.approx(contact.slope[3] * 1.2 / 1.1, rel=1e-14)
    assert drive_reaction_by_lines(motion, run, fourth, RADIUS, 1.1) == pytest.approx(
        reaction(single, fourth.wheelbase, 1.1), abs=1e-12
    )


def test_what_is_not_known_is_left_blank():
    case = CASES["A"]
    motion = case.motion(3)
    found = reactions(motion, case.ground(motion), RADIUS, CENTRE_OF_MASS)
    assert found.drive is None
    assert found.brake is None
    assert found.brake_with_both(0.5) is None
    assert found.at_height(1.0).drive is None


def test_coasting_on_level_ground_is_the_angle_of_the_axle_path():
    case = CASES["C"]
    motion = case.motion(7)
    level = Attitude(0.0, 0.0, 1.0, 0.335, 0.0, 1.22)
    assert reactions(motion, level, RADIUS, CENTRE_OF_MASS).coasting == pytest.approx(
        axle_path(motion).angle, abs=1e-14
    )


def test_an_axle_that_does_not_rise_from_the_ground_is_refused():
    case = CASES["A"]
    motion = case.motion(5)
    steep = Attitude(2.0, math.sin(2.0), math.cos(2.0), 0.3, 0.0, 1.2)
    with pytest.raises(OutsideValidity, match="does not move away from the ground"):
        locked_contact(motion, steep, RADIUS, 0.0)
    level = Attitude(0.0, 0.0, 1.0, 0.0, 0.0, 1.2)
    with pytest.raises(OutsideValidity, match="height above the ground; found -200"):
        reactions(motion, level, RADIUS, (0.5, -0.2))


def test_a_caliper_on_a_body_that_turns_freely_is_refused():
    motion = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(5))
    ground = ground_through_travel(motion, (0.80, 0.02), 0.36, 0.37)
    with pytest.raises(OutsideValidity, match="'caliper' hangs on the one pin"):
        reactions(motion, ground, 0.36, (0.1, 0.9), brake_body="caliper")

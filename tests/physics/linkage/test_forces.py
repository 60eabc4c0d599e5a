"""Forces at the pins: virtual work, equilibrium written out, and moments on bodies."""

import numpy as np
import pytest

from bikewright.errors import LinkageError
from bikewright.physics.linkage.bodies import body_motion
from bikewright.physics.linkage.forces import Load, pin_forces
from bikewright.physics.linkage.motion import solve_motion
from tests.physics.linkage.samples import ALL, FOUR_BAR, SINGLE_PIVOT


def solved(one, n=11):
    return solve_motion(one.layout, one.marks, one.lengths(n))


@pytest.mark.parametrize("name", ALL)
def test_the_shock_carries_the_wheel_force_times_the_leverage_ratio(name):
    """Virtual work; the forces come from equilibrium alone."""
    motion = solved(ALL[name])
    assert pin_forces(motion, (0.0, 1.0)).shock == pytest.approx(motion.leverage_ratio, rel=1e-12)
    push = pin_forces(motion, (-250.0, 900.0)).shock
    assert push == pytest.approx(-250.0 * motion.axle_velocity[:, 0] + 900.0 * motion.leverage_ratio, rel=1e-11)


@pytest.mark.parametrize("name", ALL)
def test_the_frame_is_pushed_by_what_pushes_the_wheel(name):
    """The whole bike: forces of all frame pins sum to the wheel force, and so do their moments."""
    one = ALL[name]
    motion = solved(one)
    forces = pin_forces(motion, (30.0, 1000.0))
    total, moment = np.zeros((11, 2)), np.zeros(11)
    for pin in one.layout.pins:
        if "frame" in pin.joins:
            force, at = forces.at(pin.name, "frame"), motion.point(pin.name)
            total += force
            moment += at[:, 0] * force[:, 1] - at[:, 1] * force[:, 0]
    assert total == pytest.approx(np.tile([30.0, 1000.0], (11, 1)), rel=1e-11)
    assert moment == pytest.approx(motion.axle[:, 0] * 1000.0 - motion.axle[:, 1] * 30.0, rel=1e-11)


def test_a_single_pivot_balances_moments_about_its_pivot():
    """Written out: shock force times its arm is wheel force times its arm; the pivot takes the rest."""
    motion = solved(SINGLE_PIVOT)
    forces = pin_forces(motion, (0.0, 1.0))
    pivot, eye, mount = (motion.point(pin) for pin in ("main pivot", "shock eye", "shock mount"))
    line = mount - eye
    line /= np.hypot(*line.T)[:, None]
    arm = (eye - pivot)[:, 0] * line[:, 1] - (eye - pivot)[:, 1] * line[:, 0]
    want = (motion.axle - pivot)[:, 0] / arm
    assert forces.shock == pytest.approx(want, rel=1e-13)
    assert forces.at("main pivot", "swingarm") == pytest.approx(want[:, None] * line - [0.0, 1.0], rel=1e-12)
    assert forces.at("main pivot", "frame") == pytest.approx(-forces.at("main pivot", "swingarm"), rel=1e-12)
    assert forces.size.shape == (11, len(SINGLE_PIVOT.layout.marks))


def test_a_link_of_two_pins_carries_force_along_itself():
    motion = solved(FOUR_BAR)
    force = pin_forces(motion, (0.0, 1.0)).at("dropout", "chainstay")
    line = motion.point("dropout") - motion.point("main pivot")
    assert force[:, 0] * line[:, 1] - force[:, 1] * line[:, 0] == pytest.approx(np.zeros(11), abs=1e-12)


def test_a_brake_moment_on_the_seatstay_does_the_work_of_its_turning():
    """Virtual work again: moment times the seatstay's turning per compression."""
    motion = solved(FOUR_BAR)
    brake = Load(pin="axle", body="seatstay", moment=-120.0)
    shock = pin_forces(motion, (0.0, 0.0), (brake,)).shock
    assert shock == pytest.approx(-120.0 * body_motion(motion, "seatstay").rate, rel=1e-11)


def test_a_force_on_a_hanging_body_goes_through_its_pin():
    motion = solved(FOUR_BAR)
    one = pin_forces(motion, (0.0, 0.0), (Load(pin="brake", body="caliper", force=(200.0, -50.0)),)).shock
    other = pin_forces(motion, (0.0, 0.0), (Load(pin="brake", body="seatstay", force=(200.0, -50.0)),)).shock
    rate = motion.velocity[:, FOUR_BAR.layout.pin("brake")]
    assert one == pytest.approx(other, rel=1e-12)
    assert one == pytest.approx(rate @ [200.0, -50.0], rel=1e-11)


def test_a_load_on_the_frame_goes_nowhere_and_a_moment_on_a_free_body_is_refused():
    motion = solved(FOUR_BAR)
    assert not pin_forces(motion, (0.0, 0.0), (Load(pin="main pivot", body="frame", force=(9.0, 9.0)),)).shock.any()
    with pytest.raises(LinkageError, match="'caliper', which turns freely on 'brake'"):
        pin_forces(motion, (0.0, 0.0), (Load(pin="brake", body="caliper", moment=5.0),))

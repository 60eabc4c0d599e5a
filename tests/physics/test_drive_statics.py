"""Drive and brake reaction against statics, which knows nothing of velocities.

Chain tension, braking torque and the forces of the ground are put on the bodies; every body and pin is then in
equilibrium. With the load transfer that the reaction says the chain or the links balance, the shock must carry nothing.
"""

import numpy as np
import pytest

from bikewright.physics.chain import Idler, idler_on_pin, taut_run
from bikewright.physics.drive import ground_through_travel, reactions
from bikewright.physics.linkage.forces import Load, pin_forces
from bikewright.physics.linkage.layout import FRAME, Layout, PinPlace
from bikewright.physics.linkage.motion import solve_motion
from tests.physics.linkage.samples import ALL, FOUR_BAR, Sample, sample

COG, RING, RADIUS, COM = 0.05, 0.065, 0.36, (0.1, 0.9)
TENSION, BRAKE = 1500.0, 400.0


def with_point(one, name, place, body):
    """The same linkage with an idler's centre on one of its bodies."""
    pins = (*one.layout.pins, PinPlace(name, (body, "free idler")))
    return Sample(Layout(pins), np.vstack([one.places, np.array(place) * 1e-3]), one.stroke)


def laid_out(one, n=9):
    motion = solve_motion(one.layout, one.marks, one.lengths(n))
    ground = ground_through_travel(motion, (0.80, 0.02), RADIUS, 0.37)
    forward = np.column_stack([ground.cosine, -ground.sine])
    up = np.column_stack([ground.sine, ground.cosine])
    return motion, ground, forward, up


def driven_shock(motion, ground, forward, up, run, loads=()):
    """Force of the shock under the drive, with the load transfer that the chain is said to balance. [N]"""
    found = reactions(motion, ground, RADIUS, COM, run=run)
    pull = TENSION * run.direction[:, 0, 0]
    drive = TENSION * COG / RADIUS  # moments of the wheel alone about its axle
    transfer = drive * found.height / ground.wheelbase
    balanced = pull + drive * forward + (found.drive[:, 0] * transfer)[:, None] * up
    without = pull + drive * forward
    return pin_forces(motion, balanced, loads).shock, pin_forces(motion, without, loads).shock


@pytest.mark.parametrize("name", ALL)
def test_a_chain_straight_to_the_ring(name):
    parts = laid_out(ALL[name])
    shock, without = driven_shock(*parts, taut_run(parts[0], COG, RING))
    assert shock == pytest.approx(0.0, abs=1e-8)
    assert np.max(np.abs(without)) > 20.0


@pytest.mark.parametrize("name", ["single pivot", "four-bar", "six-bar"])
def test_an_idler_on_the_frame(name):
    """Its pull stays inside the frame."""
    parts = laid_out(ALL[name])
    idler = Idler(name="high", centre=(0.0, 0.13), radius=0.03)
    shock, without = driven_shock(*parts, taut_run(parts[0], COG, RING, idlers=(idler,)))
    assert shock == pytest.approx(0.0, abs=1e-8)
    assert np.max(np.abs(without)) > 20.0


@pytest.mark.parametrize(
    ("name", "place", "body", "over"),
    [
        ("single pivot", (-60, 120), "swingarm", True),
        ("single pivot", (-120, 60), "swingarm", False),
        ("four-bar", (-100, 130), "chainstay", True),
        ("four-bar", (-150, 140), "seatstay", True),
        ("short links", (-40, 150), "triangle", True),
        ("short links", (-5, 115), "lower link", True),
        ("six-bar", (-60, 150), "rocker", True),
        ("floating links", (-60, 130), "triangle", True),
    ],
)
def test_an_idler_on_a_moving_body(name, place, body, over):
    """Its axle puts tension times the change of direction on the body that carries it."""
    one = with_point(ALL[name], "wheel of the chain", place, body)
    parts = laid_out(one)
    motion = parts[0]
    idler = idler_on_pin(motion, "wheel of the chain", 0.02, over=over)
    run = taut_run(motion, COG, RING, idlers=(idler,))
    bend = TENSION * (run.direction[:, 0, 1] - run.direction[:, 0, 0])
    load = Load(pin="wheel of the chain", body=body, force=bend)
    shock, without = driven_shock(*parts, run, (load,))

    assert not run.idlers_on_frame
    assert shock == pytest.approx(0.0, abs=1e-8)
    assert np.max(np.abs(without)) > 20.0


def test_two_idlers_one_moving_and_one_on_the_frame():
    one = with_point(FOUR_BAR, "rear idler", (-200, 140), "chainstay")
    parts = laid_out(one)
    motion = parts[0]
    idlers = (
        idler_on_pin(motion, "rear idler", 0.02),
        Idler(name="front", centre=(-0.03, 0.14), radius=0.025),
    )
    run = taut_run(motion, COG, RING, idlers=idlers)
    bend = TENSION * (run.direction[:, 0, 1] - run.direction[:, 0, 0])
    shock, without = driven_shock(*parts, run, (Load(pin="rear idler", body="chainstay", force=bend),))
    assert shock == pytest.approx(0.0, abs=1e-8)
    assert np.max(np.abs(without)) > 20.0


FLOATING_CALIPER = sample(
    0.050,
    main_pivot=(15, 45, "frame", "swingarm"),
    shock_mount=(215, 120, "frame", "shock"),
    shock_eye=(20, 165, "swingarm", "shock"),
    axle=(-435, 10, "swingarm", "plate", "wheel"),
    stay_front=(40, 140, "frame", "stay"),
    stay_rear=(-420, 130, "stay", "plate"),
)
"""A caliper on a plate round the axle, held by a stay to the frame."""

CALIPERS = [
    ("single pivot", "swingarm", ALL["single pivot"]),
    ("four-bar, seatstay", "seatstay", FOUR_BAR),
    ("four-bar, chainstay", "chainstay", FOUR_BAR),
    ("short links", "triangle", ALL["short links"]),
    ("six-bar", "seatstay", ALL["six-bar"]),
    ("floating caliper", "plate", FLOATING_CALIPER),
    ("floating caliper, on the arm", "swingarm", FLOATING_CALIPER),
]


@pytest.mark.parametrize(("body", "one"), [row[1:] for row in CALIPERS], ids=[row[0] for row in CALIPERS])
def test_a_braked_wheel(body, one):
    """The ground pulls back; the caliper's torque on the wheel comes back on the body that carries it."""
    motion, ground, forward, up = laid_out(one)
    found = reactions(motion, ground, RADIUS, COM, brake_body=body)
    pin = next(p.name for p in motion.layout.pins if body in p.joins)
    torque = Load(pin=pin, body=body, moment=np.full(len(motion.stroke), -BRAKE * RADIUS))
    transfer = BRAKE * found.height / ground.wheelbase
    back = -BRAKE * forward
    shock = pin_forces(motion, back - (found.brake * transfer)[:, None] * up, (torque,)).shock

    assert shock == pytest.approx(0.0, abs=1e-8)
    assert np.max(np.abs(pin_forces(motion, back, (torque,)).shock)) > 20.0


def test_a_caliper_on_the_frame_leaves_only_the_axle_path():
    """The wheel then does not turn in the frame, so the reaction is that of the axle path alone."""
    motion, ground, _, _ = laid_out(FOUR_BAR)
    found = reactions(motion, ground, RADIUS, COM, brake_body=FRAME)
    assert found.brake == pytest.approx(ground.wheelbase / found.height * np.tan(found.coasting), rel=1e-12)

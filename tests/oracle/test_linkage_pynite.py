"""Pin forces of a four-bar against a hinged truss in PyNite, a linear frame solver.

Each link is a bar, each body with three pins a triangle of bars, all ends hinged. Bars of one body together exert its
pin forces. Such a truss is determinate, so the stiffnesses do not matter, and at a large modulus the geometry does not
change.
"""

import numpy as np
import pytest
from Pynite import FEModel3D

from bikewright.physics.linkage.forces import pin_forces
from bikewright.physics.linkage.motion import solve_motion
from tests.physics.linkage.samples import FOUR_BAR

pytestmark = pytest.mark.oracle

BARS = {
    "chainstay": [("main pivot", "dropout")],
    "seatstay": [("dropout", "upper"), ("upper", "axle"), ("axle", "dropout")],
    "rocker": [("rocker pivot", "upper"), ("upper", "shock eye"), ("shock eye", "rocker pivot")],
    "shock": [("shock eye", "shock mount")],
}


def truss(motion, i, force):
    """Axial force of every bar, tension positive."""
    frame = FEModel3D()
    frame.add_material("stiff", 1e12, 4e11, 0.25, 1.0)
    frame.add_section("bar", 1.0, 1.0, 1.0, 1.0)
    for pin in FOUR_BAR.layout.pins:
        if pin.name == "brake":
            continue
        x, z = motion.point(pin.name)[i]
        frame.add_node(pin.name, x, z, 0.0)
        held = "frame" in pin.joins
        frame.def_support(pin.name, held, held, True, True, True, True)
    for body, bars in BARS.items():
        for tail, tip in bars:
            name = f"{body}: {tail} to {tip}"
            frame.add_member(name, tail, tip, "stiff", "bar")
            frame.def_releases(name, Ryi=True, Rzi=True, Ryj=True, Rzj=True)
    frame.add_node_load("axle", "FX", force[0])
    frame.add_node_load("axle", "FY", force[1])
    frame.analyze_linear()
    # PyNite counts compression positive.
    return {name: -member.axial(0.0) for name, member in frame.members.items()}


@pytest.mark.parametrize("i", [0, 5, 10])
def test_each_pin_puts_the_same_force_on_each_body(i):
    motion = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(11))
    wheel = np.array([-150.0, 1000.0])
    forces, tension = pin_forces(motion, wheel), truss(motion, i, wheel)
    assert -tension["shock: shock eye to shock mount"] == pytest.approx(forces.shock[i], rel=1e-6)
    for body, bars in BARS.items():
        for pin in {pin for bar in bars for pin in bar} - {"axle"}:
            # A bar in tension pulls its end along itself; the pin pulls back on the body.
            total = np.zeros(2)
            for tail, tip in bars:
                if pin in (tail, tip):
                    line = motion.point(tip if pin == tail else tail)[i] - motion.point(pin)[i]
                    total -= tension[f"{body}: {tail} to {tip}"] * line / np.hypot(*line)
            assert forces.at(pin, body)[i] == pytest.approx(total, rel=1e-6, abs=1e-4)

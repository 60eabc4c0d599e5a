"""A four-bar in MuJoCo's kinematics: hinged bodies, loops closed by our own Newton on its site Jacobians.

MuJoCo (Todorov, Erez, Tassa 2012; the library runs here) knows trees of bodies and where their sites are; which sites
must coincide is told to it by nobody but this test. Its joint coordinates are relative angles, unlike ours.
"""

import mujoco
import numpy as np
import pytest

from bikewright.physics.linkage.forces import pin_forces
from bikewright.physics.linkage.motion import solve_motion
from tests.physics.linkage.samples import FOUR_BAR

pytestmark = pytest.mark.oracle

PLACES = dict(zip((pin.name for pin in FOUR_BAR.layout.pins), FOUR_BAR.places, strict=True))


def offset(pin, base=None):
    x, z = PLACES[pin] - (PLACES[base] if base else 0.0)
    return f"{x:.17g} 0 {z:.17g}"


def hinged(name, at, base, inside):
    return f"""<body name="{name}" pos="{offset(at, base)}"><joint name="{name}" type="hinge" axis="0 -1 0"/>
    <inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>{inside}</body>"""


def site(name, pin, base):
    return f'<site name="{name}" pos="{offset(pin, base)}"/>'


def model():
    """Chainstay carries seatstay; the rocker stands apart; the upper pin is a site on each."""
    seatstay = hinged(
        "seatstay",
        "dropout",
        "main pivot",
        site("upper on seatstay", "upper", "dropout") + site("axle", "axle", "dropout"),
    )
    chainstay = hinged("chainstay", "main pivot", None, seatstay)
    rocker = hinged(
        "rocker",
        "rocker pivot",
        None,
        site("upper on rocker", "upper", "rocker pivot") + site("eye", "shock eye", "rocker pivot"),
    )
    xml = f"<mujoco><worldbody>{chainstay}{rocker}</worldbody></mujoco>"
    return mujoco.MjModel.from_xml_string(xml)


class Loop:
    """Positions and site Jacobians at given joint angles."""

    def __init__(self):
        self.model = model()
        self.data = mujoco.MjData(self.model)

    def site(self, name):
        index = mujoco.mj_name2id(self.model, mujoco.mjtObj.mjOBJ_SITE, name)
        jacobian = np.zeros((3, self.model.nv))
        mujoco.mj_jacSite(self.model, self.data, jacobian, None, index)
        return self.data.site_xpos[index][[0, 2]].copy(), jacobian[[0, 2]]

    def equations(self, length):
        mujoco.mj_kinematics(self.model, self.data)
        mujoco.mj_comPos(self.model, self.data)
        (a, ja), (b, jb), (eye, je) = (self.site(s) for s in ("upper on seatstay", "upper on rocker", "eye"))
        line = eye - PLACES["shock mount"]
        value = np.array([*(a - b), 0.5 * (line @ line - length**2)])
        return value, np.vstack([ja - jb, line @ je])

    def close(self, length):
        for _ in range(20):
            value, jacobian = self.equations(length)
            change = np.linalg.solve(jacobian, value)
            self.data.qpos -= change
            if np.max(np.abs(change)) < 1e-14:
                break
        return self.equations(length)[1]


def test_positions_leverage_and_shock_force():
    motion = solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(51))
    forces = pin_forces(motion, (-120.0, 1000.0))
    loop = Loop()
    for i, length in enumerate(motion.shock_length):
        jacobian = loop.close(length)
        for name, pin in (("axle", "axle"), ("eye", "shock eye"), ("upper on rocker", "upper")):
            assert loop.site(name)[0] == pytest.approx(motion.point(pin)[i], abs=1e-12)
        rate = np.linalg.solve(jacobian, [0.0, 0.0, -length])
        assert loop.site("axle")[1] @ rate == pytest.approx(motion.axle_velocity[i], rel=1e-11)
        # Statics in joint coordinates: the multipliers of both loops and of the shock balance the force on the axle.
        push = np.linalg.solve(jacobian.T, -loop.site("axle")[1].T @ [-120.0, 1000.0])
        assert push[2] * length == pytest.approx(forces.shock[i], rel=1e-11)
        # The multipliers of the loop are the force of the upper pin on the seatstay.
        assert push[:2] == pytest.approx(forces.at("upper", "seatstay")[i], rel=1e-10)

"""The same bike let down on its wheels in MuJoCo until it stands still, and what its wheels and springs carry there.

MuJoCo (Todorov, Erez, Tassa 2012; the library runs here) gets the frame free in the plane, the linkage as hinged
bodies, the fork as a slide along the steering axis, the springs as forces by their length at each step, and two balls
as wheels on real contacts. Damping takes the motion out. It knows nothing of equilibrium, virtual work or reactions.

Hard wheels: the ground pushes at the contacts, so stiff that the wheels sink by less than a micrometre. Sprung tyres:
no contacts; each axle stands on a spring as its tyre. The massless links of our bike weigh a gram each here.

A brake is a wheel that cannot turn on what carries its caliper, on ground that slopes down ahead: the bike then hangs
on that wheel as it does when it brakes as hard on the level as the slope pulls. The other wheel turns freely.
"""

import math
from dataclasses import dataclass

import mujoco
import numpy as np
import pytest

from bikewright.physics.rest import GRAVITY, Pull
from tests.oracle.mujoco_bike import ground_at, place, rear_end, site
from tests.physics.drive_cases import CASES
from tests.physics.rest_cases import AXIS, FORK_TRAVEL, HARD, RIDER, TYRES, bike, fork_axle

pytestmark = pytest.mark.oracle

RADIUS, STEP = 0.370, 2e-4


@dataclass(frozen=True)
class Stand:
    """One way to stand: the linkage, how its wheels are held and what pulls."""

    name: str
    brake: str = ""
    """``rear``, ``front`` or none."""
    slope: float = 0.0
    """Down ahead [rad]."""
    times: float = 1.0
    tyres: bool = False
    seconds: float = 4.0

    @property
    def pull(self):
        gravity = GRAVITY * self.times
        share = 1.0 if self.brake == "front" else 0.0
        return Pull(x=gravity * math.sin(self.slope), z=-gravity * math.cos(self.slope), front_share=share)


def body(name, at, parent_at, inside, mass=1e-3):
    x, z = at - parent_at
    return f"""<body name="{name}" pos="{x:.17g} 0 {z:.17g}"><joint name="{name}" type="hinge" axis="0 -1 0"
    damping="0.02"/><inertial pos="0 0 0" mass="{mass}" diaginertia="1e-3 1e-3 1e-3"/>{inside}</body>"""


def wheel(name, at, parent_at, mass, held, solid):
    x, z = at - parent_at
    turn = "" if held else f'<joint name="{name}" type="hinge" axis="0 -1 0" damping="0.02"/>'
    ball = f'<geom name="{name}" type="sphere" size="{RADIUS}" mass="0"/>' if solid else ""
    return f"""<body name="{name}" pos="{x:.17g} 0 {z:.17g}">{turn}
    <inertial pos="0 0 0" mass="{mass}" diaginertia="0.1 0.1 0.1"/>{ball}</body>"""


def model(stand, made):
    origin, (mass, com), front = np.zeros(2), made.sprung, np.array(fork_axle(0.0))
    linkage, held, solid = CASES[stand.name].linkage, stand.brake == "rear" or stand.tyres, not stand.tyres

    def rear(at, parent_at):
        return wheel("rear", at, parent_at, made.rear.mass, held, solid)

    tree, close = rear_end(linkage, body, rear)
    gravity = GRAVITY * stand.times * np.array([math.sin(stand.slope), -math.cos(stand.slope)])
    slides = "".join(f'<joint name="{n}" type="slide" axis="{a}"/>' for n, a in (("x", "1 0 0"), ("z", "0 0 1")))
    lowers = f"""<body name="lowers" pos="{front[0]:.17g} 0 {front[1]:.17g}"><joint name="fork" type="slide"
    axis="{AXIS.up[0]:.17g} 0 {AXIS.up[1]:.17g}" damping="900"/>
    <inertial pos="0 0 0" mass="1e-3" diaginertia="1e-3 1e-3 1e-3"/>
    {wheel("front", front, front, made.front.mass, stand.brake == "front" or stand.tyres, not stand.tyres)}</body>"""
    return mujoco.MjModel.from_xml_string(f"""<mujoco><option timestep="{STEP}" integrator="implicitfast" tolerance="0"
    iterations="60" cone="elliptic" impratio="10" gravity="{gravity[0]:.17g} 0 {gravity[1]:.17g}"/>
    <default><geom condim="3" friction="3 0 0" solref="-2.5e6 -3e3" solimp="0.99 0.99 0.001"/></default>
    <worldbody><geom name="ground" type="plane" size="0 0 1"/><body name="frame">{slides}
    <joint name="pitch" type="hinge" axis="0 -1 0"/>
    <inertial pos="{com[0]} 0 {com[1]}" mass="{mass}" diaginertia="12 12 12"/>
    {site("mount", place(linkage, "shock mount"), origin)}{tree}{lowers}</body></worldbody>
    <tendon><spatial name="shock" damping="4000"><site site="mount"/><site site="eye"/></spatial></tendon>
    <actuator><motor name="fork" joint="fork" gear="-1"/><motor name="shock" tendon="shock"/></actuator>
    {close}</mujoco>""")


class Trial:
    """One model let down until it stands."""

    def __init__(self, stand, made):
        self.stand, self.made, self.model = stand, made, model(stand, made)
        self.data = mujoco.MjData(self.model)
        self.full = CASES[stand.name].linkage.shock_length
        self.number = {name: self.model.body(name).id for name in ("frame", "rear", "front")}
        mujoco.mj_forward(self.model, self.data)
        for _ in range(round(stand.seconds / STEP)):
            self.push()
            mujoco.mj_step(self.model, self.data)
        mujoco.mj_forward(self.model, self.data)

    @property
    def travel(self):
        return float(self.data.joint("fork").qpos[0])

    @property
    def stroke(self):
        return self.full - float(self.data.ten_length[0])

    def height(self, wheel_name):
        return float(self.data.xpos[self.number[wheel_name], 2])

    def push(self):
        """Forces of the springs at their present length."""
        data, made = self.data, self.made
        # The compressed fork pushes its lowers down: against the slide, which counts upwards.
        data.ctrl[0] = made.front.spring.force(min(max(self.travel, 0.0), FORK_TRAVEL))
        data.ctrl[1] = made.rear.spring.force(min(max(self.stroke, 0.0), made.rear.stroke))
        if self.stand.tyres:
            for name, tyre in zip(("rear", "front"), made.tyres, strict=True):
                speed = np.zeros(6)
                mujoco.mj_objectVelocity(self.model, data, mujoco.mjtObj.mjOBJ_BODY, self.number[name], speed, 0)
                squash = tyre.radius - self.height(name)
                data.xfrc_applied[self.number[name], 2] = tyre.rate * squash - 1500.0 * speed[5]


HARD_STANDS = {
    "single pivot": Stand("A"),
    "high pivot": Stand("C"),
    "four-bar": Stand("B"),
    "single pivot, 1.5 times the pull": Stand("A", times=1.5),
    "four-bar, 1.5 times the pull": Stand("B", times=1.5),
    "single pivot, rear brake": Stand("A", "rear", math.atan(0.2)),
    "high pivot, rear brake": Stand("C", "rear", math.atan(0.2)),
    "four-bar, rear brake": Stand("B", "rear", math.atan(0.2)),
    "single pivot, front brake": Stand("A", "front", math.atan(0.2), seconds=9.0),
    "four-bar, front brake": Stand("B", "front", math.atan(0.2), seconds=9.0),
}


@pytest.mark.parametrize("name", HARD_STANDS)
def test_on_hard_wheels(name):
    stand = HARD_STANDS[name]
    made = bike(stand.name, "brake" if stand.brake == "rear" else "").but(tyres=HARD)
    trial = Trial(stand, made)
    assert np.abs(trial.data.qvel).max() < 1e-3
    (_, rear), (_, front) = (ground_at(trial.model, trial.data, name) for name in ("rear", "front"))
    assert trial.height("rear") == pytest.approx(RADIUS, abs=1e-6)
    assert trial.height("front") == pytest.approx(RADIUS, abs=1e-6)
    found = made.settle(stand.pull)

    assert not found.bottomed and not found.topped
    assert found.rear_load == pytest.approx(rear.imag, rel=2e-4)
    assert found.front_load == pytest.approx(front.imag, rel=2e-4)
    weight = made.mass * GRAVITY * stand.times
    assert found.rear_push == pytest.approx(rear.real, abs=1e-4 * weight)
    assert found.front_push == pytest.approx(front.real, abs=1e-4 * weight)
    assert found.fork_travel == pytest.approx(trial.travel, abs=1e-5)
    assert found.shock_stroke == pytest.approx(trial.stroke, abs=5e-6)
    assert found.pose.pitch == pytest.approx(trial.data.joint("pitch").qpos[0], abs=1e-5)


@pytest.mark.parametrize("name", ["A", "B", "C"])
def test_on_sprung_tyres(name):
    stand = Stand(name, tyres=True)
    made = bike(name)
    assert made.tyres == TYRES and made.sprung == RIDER
    trial = Trial(stand, made)
    assert np.abs(trial.data.qvel).max() < 1e-6
    found = made.settle()
    assert found.fork_travel == pytest.approx(trial.travel, abs=2e-6)
    assert found.shock_stroke == pytest.approx(trial.stroke, abs=2e-6)
    assert found.pose.pitch == pytest.approx(trial.data.joint("pitch").qpos[0], abs=2e-6)
    for load, drop, axle, tyre in (
        (found.rear_load, found.rear_drop, "rear", TYRES[0]),
        (found.front_load, found.front_drop, "front", TYRES[1]),
    ):
        squash = tyre.radius - trial.height(axle)
        assert drop == pytest.approx(squash, abs=5e-7)
        assert load == pytest.approx(tyre.rate * squash, rel=1e-4)

"""A bike that accelerates and brakes on its own wheels in MuJoCo, and how much of the load transfer its shock carries.

MuJoCo (Todorov, Erez, Tassa 2012; the library runs here) gets hinged bodies, two wheels that roll by friction, a tendon
as the shock, and the pull of the chain as plain forces where each straight piece begins and ends; the chain's tangents
are found here again, by complex numbers. It knows nothing of contact motion, taut length or instant centres.

When the bike has settled into steady acceleration, the forces of the ground (S forward, N up) and of the shock (F) are
read. The suspension then carries F/LR of N (LR the leverage along the ground's normal), and the chain or the brake the
rest: reaction = (N - weight of wheel and links - F/LR) L/(S h). Wheels and links weigh next to nothing.

Only LR comes from our own linkage; the axle's place and the pitch that it rests on are compared with MuJoCo's.
The contacts are soft, so the light wheels sink by some tenths of a millimetre: the place of each contact is read and
taken as the ground, for the radius, the height and the arm of the force alike.
"""

import cmath
import math
from dataclasses import dataclass

import mujoco
import numpy as np
import pytest

from bikewright.physics.chain import idler_on_pin, taut_run
from bikewright.physics.drive import ground_through_travel, reactions
from bikewright.physics.gearing import pitch_radius
from bikewright.physics.linkage.motion import solve_motion
from tests.oracle.mujoco_bike import ground_at, is_loop, place, rear_end, site
from tests.physics.drive_cases import CASES, CENTRE_OF_MASS, FRONT_AXLE, RADIUS, RING_CENTRE
from tests.physics.linkage.samples import sample

pytestmark = pytest.mark.oracle

MASS, LIGHT, SPRING, STEP = 90.0, 0.02, 60e3, 2e-4
PULL, BRAKE_TORQUE = 1500.0, 60.0

RIDING_IDLER = sample(
    0.066,
    pivot=(400, 520, "frame", "swingarm"),
    shock_mount=(640, 680, "frame", "shock"),
    shock_eye=(380, 680, "swingarm", "shock"),
    axle=(0, 370, "swingarm", "wheel"),
    idler=(330, 490, "swingarm", "idler"),
)


@dataclass(frozen=True)
class Bike:
    """What is built twice: here for MuJoCo, and as a linkage."""

    linkage: object
    carrier: str
    cog: int
    idler_on: str = ""


BIKES = {
    "A": Bike(CASES["A"].linkage, "swingarm", 21),
    "A2": Bike(CASES["A2"].linkage, "swingarm", 51),
    "B": Bike(CASES["B"].linkage, "coupler", 21),
    "C": Bike(CASES["C"].linkage, "swingarm", 21, idler_on="frame"),
    "idler on the swingarm": Bike(RIDING_IDLER, "swingarm", 21, idler_on="swingarm"),
}


def body(name, at, parent_at, inside):
    x, z = at - parent_at
    return f"""<body name="{name}" pos="{x:.17g} 0 {z:.17g}"><joint name="{name}" type="hinge" axis="0 -1 0"/>
    <inertial pos="0 0 0" mass="{LIGHT}" diaginertia="1e-5 1e-5 1e-5"/>{inside}</body>"""


def wheel(name, at, parent_at):
    ball = f'<geom name="{name}" type="sphere" size="{RADIUS}" mass="0" contype="1" conaffinity="1"/>'
    return body(name, at, parent_at, ball)


def model(bike):
    linkage, com, origin = bike.linkage, np.array(CENTRE_OF_MASS), np.zeros(2)
    tree, close = rear_end(linkage, body, lambda at, parent_at: wheel("rear", at, parent_at))
    rest = linkage.shock_length + 0.002
    slides = "".join(f'<joint name="{n}" type="slide" axis="{a}"/>' for n, a in (("x", "1 0 0"), ("z", "0 0 1")))
    return mujoco.MjModel.from_xml_string(f"""<mujoco><option timestep="{STEP}" integrator="implicitfast" tolerance="0"
    iterations="60" cone="elliptic" impratio="10"/><default><geom condim="3" friction="3 0 0" solref="-2.5e6 -3e3"
    solimp="0.99 0.99 0.001"/></default><worldbody><geom name="ground" type="plane" size="0 0 1"/>
    <body name="frame">{slides}<joint name="pitch" type="hinge" axis="0 -1 0"/>
    <inertial pos="{com[0]} 0 {com[1]}" mass="{MASS}" diaginertia="12 12 12"/>
    {site("mount", place(linkage, "shock mount"), origin)}{tree}{wheel("front", np.array(FRONT_AXLE), origin)}</body>
    </worldbody><tendon><spatial name="shock" stiffness="{SPRING}" damping="2500" springlength="{rest}">
    <site site="mount"/><site site="eye"/></spatial></tendon>{close}</mujoco>""")


def tangent(a, b, ra, rb):
    """Touching points of the upper open tangent of two circles, as complex numbers."""
    line = b - a
    normal = line / abs(line) * cmath.exp(1j * (math.pi / 2 - math.asin((ra - rb) / abs(line))))
    return a + ra * normal, b + rb * normal


class Ride:
    """One run of the model."""

    def __init__(self, bike):
        self.bike, self.model = bike, model(bike)
        self.data = mujoco.MjData(self.model)
        self.number = {name: self.model.body(name).id for name in ("frame", bike.carrier, "rear", "front")}
        radii = [bike.cog, *([16] if bike.idler_on else []), 32]
        self.radii = [pitch_radius(teeth) for teeth in radii]

    def world(self, name, point):
        """A point given in the drawing, fixed to a body, in the world as x + iz."""
        base = self.model.body(name)
        drawn = np.zeros(3)
        while base.id:
            drawn += base.pos
            base = self.model.body(int(base.parentid[0]))
        local = np.array([point[0], 0.0, point[1]]) - drawn
        matrix = self.data.xmat[self.number[name]]
        at = self.data.xpos[self.number[name]]
        return complex(
            at[0] + matrix[0] * local[0] + matrix[2] * local[2], at[2] + matrix[6] * local[0] + matrix[8] * local[2]
        )

    def push(self, name, force, at):
        """Add a force (complex) at a place of the world to a body; MuJoCo wants it at the centre of mass."""
        number = self.number[name]
        arm = at - complex(self.data.xipos[number, 0], self.data.xipos[number, 2])
        applied = self.data.xfrc_applied[number]
        applied[0] += force.real
        applied[2] += force.imag
        applied[4] -= (arm.conjugate() * force).imag  # anticlockwise in the drawn view is about -y

    def pull_chain(self, tension):
        centres = [self.world("rear", place(self.bike.linkage, "axle"))]
        bodies = ["rear"]
        if self.bike.idler_on:
            centres.append(self.world(self.bike.idler_on, place(self.bike.linkage, "idler")))
            bodies.append(self.bike.idler_on)
        centres.append(self.world("frame", RING_CENTRE))
        bodies.append("frame")
        for i in range(len(centres) - 1):
            start, end = tangent(centres[i], centres[i + 1], self.radii[i], self.radii[i + 1])
            force = tension * (end - start) / abs(end - start)
            self.push(bodies[i], force, start)
            self.push(bodies[i + 1], -force, end)

    def turn_brake(self, torque):
        self.data.xfrc_applied[self.number["rear"], 4] -= torque
        self.data.xfrc_applied[self.number[self.bike.carrier], 4] += torque

    def settle(self, act, speed, seconds=2.4):
        self.data.qvel[0] = speed
        for wheel_joint in ("rear", "front"):
            self.data.joint(wheel_joint).qvel[0] = -speed / RADIUS
        for step in range(round(seconds / STEP)):
            mujoco.mj_kinematics(self.model, self.data)
            mujoco.mj_comPos(self.model, self.data)
            self.data.xfrc_applied[:] = 0.0
            act(min(1.0, step * STEP / 0.3))
            mujoco.mj_step(self.model, self.data)
        self.data.xfrc_applied[:] = 0.0
        mujoco.mj_kinematics(self.model, self.data)
        mujoco.mj_comPos(self.model, self.data)
        act(1.0)
        mujoco.mj_forward(self.model, self.data)


def answer(bike, stroke, rear_radius, front_radius):
    """What the product says in the settled geometry."""
    one = bike.linkage
    motion = solve_motion(one.layout, one.marks, one.shock_length - np.array([0.0, stroke]))
    ground = ground_through_travel(motion, FRONT_AXLE, rear_radius, front_radius)
    idlers = (idler_on_pin(motion, "idler", pitch_radius(16)),) if bike.idler_on else ()
    run = taut_run(motion, pitch_radius(bike.cog), pitch_radius(32), idlers=idlers, ring_centre=RING_CENTRE)
    found = reactions(motion, ground, rear_radius, CENTRE_OF_MASS, run=run, brake_body=bike.carrier)
    rise = motion.axle_velocity[:, 0] * ground.sine + motion.axle_velocity[:, 1] * ground.cosine
    return motion, ground, found, rise[1]


def recovered(ride):
    """Reaction from the forces, and the answer for the same geometry."""
    data, bike = ride.data, ride.bike
    rear_at, rear = ground_at(ride.model, data, "rear")
    front_at, _ = ground_at(ride.model, data, "front")
    axles = (ride.data.xpos[ride.number[name]] for name in ("rear", "front"))
    radii = [axle[2] - at.imag for axle, at in zip(axles, (rear_at, front_at), strict=True)]
    shock = SPRING * (bike.linkage.shock_length + 0.002 - data.ten_length[0])
    motion, ground, found, rise = answer(bike, bike.linkage.shock_length - data.ten_length[0], *radii)
    tilt = cmath.phase(front_at - rear_at)  # the softer end sinks more
    assert ground.pitch[1] == pytest.approx(data.joint("pitch").qpos[0] - tilt, abs=2e-6)
    assert complex(*motion.axle[1]) == pytest.approx(
        complex(*motion.axle[0]) + _axle_in_frame(ride) - complex(*place(bike.linkage, "axle")), abs=2e-5
    )
    wheelbase = front_at.real - rear_at.real
    height = data.subtree_com[ride.number["frame"]][2] - rear_at.imag
    assert wheelbase == pytest.approx(ground.wheelbase[1], abs=1e-4)
    # Pins at which the weight of moving bodies sits.
    borne = ("axle", "lower joint") if is_loop(bike.linkage) else ("axle",)
    speeds = np.sum([motion.velocity[1, motion.layout.pin(pin)] for pin in borne], axis=0)
    weight = -LIGHT * ride.model.opt.gravity[2]
    unsprung = weight * (speeds[0] * ground.sine[1] + speeds[1] * ground.cosine[1]) / rise
    share = (rear.imag - unsprung - shock / rise) * wheelbase / (rear.real * height)
    assert found.height[1] == pytest.approx(height, abs=1e-3)
    return share, found.at_height(height)  # of all masses, the light ones too


def _axle_in_frame(ride):
    turn = cmath.exp(-1j * ride.data.joint("pitch").qpos[0])
    frame = ride.data.xpos[ride.number["frame"]]
    axle = ride.data.xpos[ride.number["rear"]]
    return complex(axle[0] - frame[0], axle[2] - frame[2]) * turn


@pytest.mark.parametrize("name", BIKES)
def test_drive(name):
    ride = Ride(BIKES[name])
    ride.settle(lambda part: ride.pull_chain(part * PULL), 1.0)
    share, found = recovered(ride)
    assert share == pytest.approx(found.drive[1, 0], abs=2e-4)


@pytest.mark.parametrize("name", ["A", "B", "C"])
def test_rear_brake(name):
    ride = Ride(BIKES[name])
    ride.settle(lambda part: ride.turn_brake(-part * BRAKE_TORQUE), 12.0)
    share, found = recovered(ride)
    assert share == pytest.approx(found.brake[1], abs=2e-4)

"""Bikes for the tests of rest: linkages with known reactions, a fork, springs, tyres and masses, all plain SI.

The linkages are those of `drive_cases` (origin at the rear contact point with the suspension extended); the front axle
comes out within a millimetre of theirs. Masses are round.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from bikewright.physics.drive import chain_held_rate
from bikewright.physics.linkage.bodies import body_motion
from bikewright.physics.rest import GRAVITY, FrontEnd, Held, Pull, RearEnd, Rest, TyreSpring, rear_path, settle
from bikewright.physics.springs.air import air_curve
from bikewright.physics.springs.chambers import AirSpring, Negative, fill
from bikewright.physics.springs.coil import coil_spring
from bikewright.physics.steering import Fork, Headset, HeadTube, front_axle, steering_axis
from tests.physics.drive_cases import CASES

HEAD = 65.0
FORK_TRAVEL = 0.160
FORK = Fork(axle_to_crown=0.560, offset=0.044)
_ANGLE = math.radians(HEAD)
_UP, _AHEAD = np.array([-math.cos(_ANGLE), math.sin(_ANGLE)]), np.array([math.sin(_ANGLE), math.cos(_ANGLE)])
_UPPER_FACE = np.array([1.220, 0.370]) - FORK.offset * _AHEAD + (FORK.axle_to_crown + 0.110) * _UP
AXIS = steering_axis(
    HeadTube(upper_face=(float(_UPPER_FACE[0]), float(_UPPER_FACE[1])), angle=_ANGLE, length=0.110), Headset()
)

_CHAMBERS = AirSpring(
    area=8.2e-4,
    volume=2.12e-4,
    negative=Negative(volume=4.0e-5, area=7.3e-4, port=0.0),
)
AIR = air_curve(_CHAMBERS, fill(_CHAMBERS, 5.6e5), 1.0, FORK_TRAVEL)
"""A fork's air spring at rest."""
COIL = coil_spring(61e3, 0.066, preload=0.001)
"""350 lbf/in, one turn of preload."""
TYRES = TyreSpring(radius=0.370, rate=115e3), TyreSpring(radius=0.370, rate=100e3)
HARD = TyreSpring(radius=0.370, rate=None), TyreSpring(radius=0.370, rate=None)
RIDER = 95.0, (0.530, 1.130)
"""Rider and frame together, fixed in the frame."""


LEVEL, BOUNCED = Pull(), Held()


@dataclass(frozen=True, repr=False)
class Bike:
    """Everything that `settle` takes."""

    front: FrontEnd
    rear: RearEnd
    tyres: tuple = TYRES
    sprung: tuple = RIDER

    def __repr__(self) -> str:
        """Without the hundreds of numbers of a path, which would bury what a failing test says."""
        masses = f"front={self.front.mass}, rear={self.rear.mass}, sprung={self.sprung}"
        return f"Bike({self.front.spring}, {self.rear.spring}, {self.tyres}, {masses})"

    def settle(self, pull=LEVEL, held=BOUNCED, start=(0.0, 0.0)) -> Rest:
        return settle(self.front, self.rear, self.tyres, lambda pitch: self.sprung, pull, held, start)

    @property
    def mass(self) -> float:
        return self.sprung[0] + self.front.mass + self.rear.mass

    def weights(self, found: Rest):
        """Every mass and its place on the ground, origin at the rear contact point."""
        x0 = found.pose.rear_contact
        masses = (self.sprung, (self.rear.mass, found.rear_axle), (self.front.mass, found.front_axle))
        places = [(mass, found.pose.to_ground(place)) for mass, place in masses]
        return [(mass, float(x - x0), float(z)) for mass, (x, z) in places]

    def but(self, **fields) -> "Bike":
        return replace(self, **fields)


def front_end(spring=AIR, mass=4.3, travel=FORK_TRAVEL) -> FrontEnd:
    return FrontEnd(axis=AXIS, fork=FORK, travel=travel, spring=spring, mass=mass)


def turn_of(case, motion, locked=""):
    """Turn of the locked wheel: "chain", "brake" or free."""
    if locked == "chain":
        return chain_held_rate(case.run(motion))[:, 0]
    return body_motion(motion, case.brake_body).rate if locked == "brake" else None


def bike(name="A", locked="", spring=COIL, fork=AIR, rear_mass=5.1, front_mass=4.3) -> Bike:
    """One of the linkages; every shock has 64 mm of stroke at least."""
    case = CASES[name]
    motion = case.motion()
    path = rear_path(
        motion.stroke, motion.axle, motion.axle_velocity, motion.axle_acceleration, turn_of(case, motion, locked)
    )
    rear = RearEnd(path=path, axle=path.start, spring=spring, mass=rear_mass)
    return Bike(front_end(fork, front_mass), rear)


def hardtail(spring=AIR, travel=FORK_TRAVEL, rear_mass=3.6, front_mass=4.3) -> Bike:
    rear = RearEnd(path=None, axle=(0.0, 0.370), spring=None, mass=rear_mass)
    return Bike(front_end(spring, front_mass, travel), rear)


def climb(slope) -> Pull:
    """A steady climb by rear drive; the slope in radians."""
    return Pull(x=-GRAVITY * math.sin(slope), z=-GRAVITY * math.cos(slope))


def braking(share_of_g, front_share, slope=0.0) -> Pull:
    """Braking on a slope; downhill is a negative slope."""
    return Pull(x=GRAVITY * (share_of_g - math.sin(slope)), z=-GRAVITY * math.cos(slope), front_share=front_share)


def fork_axle(travel):
    return front_axle(AXIS, FORK, travel)

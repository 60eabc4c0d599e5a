"""The squat ratio of V. Cossalter, Motorcycle Dynamics, 2nd ed., 2006, chapter on the trim of the motorcycle.

From memory; no numeric example was found. The chain's upper line and the line through the swingarm's pivot and the
wheel's axle meet in a point; the line from the rear contact to it has the angle sigma. The line of load transfer has
the angle tau, tan(tau) = height of the centre of mass over wheelbase. Squat ratio R = tan(tau)/tan(sigma): 1 leaves the
swingarm where it is, more than 1 lets it squat, less than 1 extends it. The drive reaction must be 1/R.
"""

import math

import pytest

from bikewright.physics.drive import reactions
from bikewright.physics.gearing import pitch_radius
from tests.physics.drive_cases import CASES, CENTRE_OF_MASS, FRONT_AXLE, RADIUS, RING_CENTRE

PIVOT, AXLE = (0.420, 0.400), (0.0, 0.370)


def squat_ratio(cog, ring):
    """By slopes of lines alone."""
    dx, dz = RING_CENTRE[0] - AXLE[0], RING_CENTRE[1] - AXLE[1]
    slope = math.tan(math.atan2(dz, dx) + math.asin((ring - cog) / math.hypot(dx, dz)))
    height = AXLE[1] + cog * math.sqrt(1 + slope * slope)  # of the chain's line above the rear contact
    arm = (PIVOT[1] - AXLE[1]) / (PIVOT[0] - AXLE[0])
    x = (height - AXLE[1]) / (arm - slope)
    sigma = math.atan2(AXLE[1] + arm * x, x)
    tau = math.atan2(CENTRE_OF_MASS[1], FRONT_AXLE[0])
    return math.tan(tau) / math.tan(sigma)


@pytest.mark.published
@pytest.mark.parametrize("name", ["A", "A2"])
def test_the_drive_reaction_is_one_over_the_squat_ratio(name):
    case = CASES[name]
    motion = case.motion(3)
    found = reactions(motion, case.ground(motion), RADIUS, CENTRE_OF_MASS, run=case.run(motion))
    ratio = squat_ratio(pitch_radius(case.cog), pitch_radius(case.ring))
    assert found.drive[0, 0] == pytest.approx(1.0 / ratio, rel=1e-12)
    assert ratio < 1.0

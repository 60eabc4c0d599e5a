"""The benchmark bicycle put on the ground.

J. P. Meijaard, J. M. Papadopoulos, A. Ruina and A. L. Schwab, "Linearized dynamics equations for the balance and
steer of a bicycle: a benchmark and review," Proc. R. Soc. A, vol. 463, pp. 1955-1982, 2007, table 1: wheelbase
1.02 m, trail 0.08 m, steering axis tilted pi/10 from the upright, wheels of 0.3 m behind and 0.35 m in front.

The paper gives no frame. One is drawn here from its wheelbase, tilt and trail: the axis through the ground 0.08 m
ahead of the front contact, a head tube anywhere on it, and a fork whose offset is the distance of the wheel centre
from that line. Put on the ground it must show the published numbers. Tolerance 1e-12: rounding alone.
"""

import math

import pytest

from bikewright.physics.geometry import ground_geometry
from bikewright.physics.plane import distance_to_line
from bikewright.physics.steering import PLAIN_HEADSET, Fork, HeadTube

pytestmark = pytest.mark.published

WHEELBASE, TRAIL, TILT, REAR, FRONT = 1.02, 0.08, math.pi / 10, 0.3, 0.35
DOWN = (math.sin(TILT), -math.cos(TILT))
MEETS_GROUND = (WHEELBASE + TRAIL, 0.0)


@pytest.mark.parametrize("bb", [(0.42, 0.28), (0.3, 0.33)])
@pytest.mark.parametrize("up", [0.7, 0.95])
def test_the_published_trail_and_wheelbase_come_back(bb, up):
    """Whatever the place of bottom bracket and head tube, which the paper leaves open."""
    upper = (MEETS_GROUND[0] - up * DOWN[0] - bb[0], -up * DOWN[1] - bb[1])
    offset = distance_to_line((WHEELBASE, FRONT), MEETS_GROUND, DOWN)
    foot = up - math.sqrt(TRAIL**2 + FRONT**2 - offset**2)
    g = ground_geometry(
        HeadTube(upper_face=upper, angle=math.pi / 2 - TILT, length=0.1),
        PLAIN_HEADSET,
        Fork(axle_to_crown=foot - 0.1, offset=offset),
        rear_axle=(-bb[0], REAR - bb[1]),
        rear_radius=REAR,
        front_radius=FRONT,
    )

    assert g.trail == pytest.approx(TRAIL, abs=1e-12)
    assert g.wheelbase == pytest.approx(WHEELBASE, abs=1e-12)
    assert g.head_angle == pytest.approx(math.radians(72), abs=1e-12)
    assert g.pitch == pytest.approx(0.0, abs=1e-12)
    assert g.bb_height == pytest.approx(bb[1], abs=1e-12)


def test_the_offset_follows_the_usual_relation_too():
    """R sin(tilt) - trail cos(tilt) = 0.032071 m."""
    offset = distance_to_line((WHEELBASE, FRONT), MEETS_GROUND, DOWN)

    assert offset == pytest.approx(FRONT * math.sin(TILT) - TRAIL * math.cos(TILT), abs=1e-15)
    assert offset == pytest.approx(0.032071, abs=1e-6)

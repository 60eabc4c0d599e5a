"""Trail of a motorcycle.

V. Cossalter, Motorcycle Dynamics, 2nd ed., 2006, ch. 1 (from memory; the page was not seen): with caster angle e,
fork offset d and front radius R the trail is a = R tan(e) - d/cos(e), the normal trail a_n = a cos(e).

The book counts the angle from the upright, this program from the ground, so the same bike is worked out by other
functions of another angle. Tolerance 1e-12 m: rounding alone.
"""

import math

import pytest
from hypothesis import given

from bikewright.sources import SOURCES
from tests.physics.sane_bikes import bikes

pytestmark = pytest.mark.published


@given(bikes)
def test_trail_and_normal_trail_by_the_caster_angle(bike):
    g = bike.geometry()
    caster = math.pi / 2 - g.head_angle
    trail = bike.front_radius * math.tan(caster) - bike.fork.offset / math.cos(caster)

    assert g.trail == pytest.approx(trail, abs=1e-12)
    assert g.mechanical_trail == pytest.approx(trail * math.cos(caster), abs=1e-12)


def test_the_source_is_named_as_not_seen():
    assert not SOURCES["cossalter"].seen

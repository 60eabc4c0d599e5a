"""When a wheel leaves the ground under brakes and on a climb, for a rigid bike on hard tyres.

D. G. Wilson, Bicycling Science (from memory): about 0.56 g of deceleration tips an upright rider over the front wheel,
told as the distance of the centre of mass behind the front contact over its height. For 0.609 m and 1.143 m, derived
for this project, the quotient is 0.533 g; Wilson's own lengths are not remembered, so his value is held to 0.03 g.

J. Riel, a note on braking downhill, 2005 (looked up): 0.7 g on the level leaves about 0.6 g on a slope of 10 per cent.
The exact value of the formula, (x/h) cos(t) - sin(t), is 0.597 g.

Rear brake alone, and the front wheel's lift on a climb: derived for this project.
"""

import math

import pytest

from bikewright.errors import OutsideValidity
from bikewright.physics.rest import GRAVITY, Pull
from bikewright.sources import SOURCES
from tests.physics.rest_cases import HARD, braking, climb, hardtail

pytestmark = pytest.mark.published

LENGTH = 1.220
NEAR = 1e-9


def rigid(behind_front, height):
    """All mass in one point of a rigid bike on hard tyres; frame axes are those of the ground."""
    made = hardtail(spring=None, travel=0.0, rear_mass=0.0, front_mass=0.0)
    return made.but(tyres=HARD, sprung=(90.0, (LENGTH - behind_front, height)))


def holds(made, pull):
    """Whether both wheels stay down; which one lifts is told."""
    try:
        made.settle(pull)
    except OutsideValidity as error:
        return str(error).split(":")[0]
    return "both wheels stay down"


@pytest.mark.parametrize(
    ("behind_front", "height", "slope", "told", "digits"),
    [
        (0.609, 1.143, 0.0, 0.533, 5e-4),
        (0.609, 1.143, 0.0, 0.56, 0.03),
        (0.700, 1.000, -math.atan(0.10), 0.6, 5e-3),
        (0.700, 1.000, -math.atan(0.10), 0.5970, 5e-5),
    ],
    ids=["derived", "Wilson", "Riel", "Riel, exact"],
)
@pytest.mark.parametrize("front_share", [1.0, 0.6])
def test_pitch_over_the_front_wheel(behind_front, height, slope, told, digits, front_share):
    """a/g = (x/h) cos(t) - sin(t) on a slope of t, down ahead; however the force is shared."""
    made = rigid(behind_front, height)
    tips = behind_front / height * math.cos(slope) - math.sin(-slope)
    assert tips == pytest.approx(told, abs=digits)
    assert holds(made, braking(tips * (1.0 - NEAR), front_share, slope)) == "both wheels stay down"
    assert holds(made, braking(tips * (1.0 + NEAR), front_share, slope)) == "the rear wheel leaves the ground"
    at_the_edge = made.settle(braking(tips * (1.0 - NEAR), front_share, slope))
    assert at_the_edge.rear_load == pytest.approx(0.0, abs=1e-5)


def test_rear_brake_alone_slides_first():
    """a/g = mu x/(L + mu h) with the tyre at its grip mu: 0.24589 for 1.067 m, 0.609 m, 1.143 m and 0.8."""
    length, behind_front, height, grip = 1.067, 0.609, 1.143, 0.8
    slides = grip * behind_front / (length + grip * height)
    assert slides == pytest.approx(0.24589, abs=5e-6)
    # The same bike, stretched to our wheelbase: all lengths by one factor leave the deceleration alone.
    scale = LENGTH / length
    found = rigid(behind_front * scale, height * scale).settle(braking(slides, 0.0))
    assert -found.rear_push / found.rear_load == pytest.approx(grip, rel=1e-9)


def test_what_was_seen_is_told():
    assert SOURCES["riel2005"].seen and not SOURCES["wilson"].seen


@pytest.mark.parametrize(("ahead_of_rear", "height"), [(0.45, 1.10), (0.30, 1.20), (0.62, 0.95)])
def test_front_wheel_lifts_on_a_climb(ahead_of_rear, height):
    """tan(t) = x/h with x the centre of mass ahead of the rear contact: the steepest steady climb."""
    made = rigid(LENGTH - ahead_of_rear, height)
    steepest = math.atan(ahead_of_rear / height)
    assert holds(made, climb(steepest - NEAR)) == "both wheels stay down"
    assert holds(made, climb(steepest + NEAR)) == "the front wheel leaves the ground"


def test_front_wheel_lifts_sooner_while_it_speeds_up():
    """tan(t) + a/(g cos(t)) = x/h."""
    ahead_of_rear, height, slope = 0.45, 1.10, math.atan(0.20)
    made = rigid(LENGTH - ahead_of_rear, height)
    faster = (ahead_of_rear / height - math.tan(slope)) * math.cos(slope) * GRAVITY

    def pull(acceleration):
        return Pull(x=-GRAVITY * math.sin(slope) - acceleration, z=-GRAVITY * math.cos(slope))

    assert holds(made, pull(faster * (1.0 - NEAR))) == "both wheels stay down"
    assert holds(made, pull(faster * (1.0 + NEAR))) == "the front wheel leaves the ground"

"""Pitch diameters of half-inch chain sprockets.

ISO 606 and ISO 9633 (from memory): pitch 12.7 mm, pitch diameter p / sin(180 degrees / N). The values were recomputed
from the stated inputs by somebody else and agree to the digits shown; no printed page was seen.
"""

import pytest

from bikewright.physics.gearing import CHAIN_PITCH, pitch_radius, tip_radius
from bikewright.units import MM

PITCH_DIAMETER_MM = {
    9: 37.1323,
    10: 41.0981,
    11: 45.0782,
    12: 49.0690,
    16: 65.0981,
    18: 73.1364,
    21: 85.2107,
    24: 97.2985,
    28: 113.4288,
    30: 121.4980,
    32: 129.5692,
    34: 137.6420,
    36: 145.7162,
    42: 169.9449,
    50: 202.2598,
    51: 206.2998,
    52: 210.3398,
}


@pytest.mark.published
@pytest.mark.parametrize("teeth", PITCH_DIAMETER_MM)
def test_pitch_diameter(teeth):
    assert 2 * pitch_radius(teeth) / MM == pytest.approx(PITCH_DIAMETER_MM[teeth], abs=6e-5)


def test_links_are_chords_of_the_pitch_circle():
    """Walking N chords of one pitch round the circle comes back to the start."""
    radius, point = pitch_radius(32), complex(pitch_radius(32), 0.0)
    turn = (
        point
        * complex(
            1 - CHAIN_PITCH**2 / (2 * radius**2), CHAIN_PITCH / radius * (1 - CHAIN_PITCH**2 / (4 * radius**2)) ** 0.5
        )
        / radius
    )
    step = turn / abs(turn)

    assert abs(step**32 - 1) < 1e-12


def test_the_tips_stand_outside_the_pins():
    assert tip_radius(30) - pitch_radius(30) == pytest.approx(4.0625 * MM)

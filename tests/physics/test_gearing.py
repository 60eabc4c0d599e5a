"""What a gear does: worked by hand from the definitions."""

import math

import numpy as np
import pytest

from bikewright.physics.gearing import chain_tension, development, pitch_radius, speed_at_cadence
from bikewright.units import KMH, MM

CIRCUMFERENCE = math.pi * 0.744
"""A wheel of 622 mm with a 61 mm tyre, unloaded."""


@pytest.mark.parametrize(("cog", "way", "speed"), [(51, 1.466569, 7.9195), (10, 7.479504, 40.3893)])
def test_way_and_speed(cog, way, speed):
    """32 teeth in front, 90 turns a minute; recomputed from the definition by somebody else."""
    turn = development(32, cog, CIRCUMFERENCE)
    assert turn == pytest.approx(way, abs=1e-6)
    assert speed_at_cadence(turn, 90 / 60 * 2 * math.pi) / KMH == pytest.approx(speed, abs=1e-4)


def test_a_whole_cassette_at_once():
    cogs = np.array([10, 21, 51])
    assert development(32, cogs, CIRCUMFERENCE) == pytest.approx([development(32, int(c), CIRCUMFERENCE) for c in cogs])


def test_pull_of_the_chain():
    """600 N on a crank of 170 mm with 32 teeth; recomputed from the definition by somebody else."""
    assert chain_tension(600.0, 170 * MM, pitch_radius(32)) == pytest.approx(1574.449, abs=1e-3)


def test_power_at_the_pedal_is_power_in_the_chain():
    """Force times speed on both sides, the chain moving at the ring's pitch circle."""
    cadence, ring = 8.0, pitch_radius(30)
    assert chain_tension(400.0, 0.165, ring) * ring * cadence == pytest.approx(400.0 * 0.165 * cadence, rel=1e-14)

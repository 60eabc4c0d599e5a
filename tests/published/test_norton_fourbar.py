"""The crank-driven four-bar of Norton, Design of Machinery: examples 4-1 (place), 6-7 (velocity), 7-1 (acceleration).

From memory, and recomputed from the stated inputs to the digits shown: crank 40, coupler 120, rocker 80, ground 100 mm,
crank at 40 degrees turning at 25 rad/s and 15 rad/s^2. Our kernel is driven by a length, so the crank is driven by the
distance from its pin to the rocker's pivot, and the motion is scaled to the crank's. Tolerance 0.01 degrees on angles
and 1e-4 of each rate, as the printed digits allow.
"""

import math

import numpy as np
import pytest

from bikewright.physics.linkage.layout import Layout, PinPlace
from bikewright.physics.linkage.plan import compile_plan
from bikewright.physics.linkage.run import sweep

pytestmark = pytest.mark.published

CRANK, COUPLER, ROCKER, GROUND = 0.040, 0.120, 0.080, 0.100
LAYOUT = Layout(
    (
        PinPlace("O2", ("frame", "crank")),
        PinPlace("O4", ("frame", "rocker", "shock")),
        PinPlace("A", ("crank", "coupler", "shock")),
        PinPlace("B", ("coupler", "rocker", "wheel")),
    )
)
INPUT = math.radians(40.0)


def distance(angle):
    """From the crank's pin to the rocker's pivot."""
    return math.sqrt(CRANK**2 + GROUND**2 - 2 * CRANK * GROUND * math.cos(angle))


def drawn(angle, side):
    """The same four-bar drawn at another crank angle; side +1 is the open circuit."""
    a = CRANK * np.array([math.cos(angle), math.sin(angle)])
    gap = np.array([GROUND, 0.0]) - a
    g = math.hypot(*gap)
    along = (COUPLER**2 - ROCKER**2 + g * g) / (2 * g)
    b = a + (along * gap + side * math.sqrt(COUPLER**2 - along**2) * np.array([-gap[1], gap[0]])) / g
    return LAYOUT.drawn([(0.0, 0.0), (GROUND, 0.0), a, b])


def solved(side):
    """Angles, rates and accelerations of coupler and rocker, and velocities of A and B, at the example's crank."""
    raw = sweep(
        compile_plan(LAYOUT), drawn(math.radians(65.0), side)[None], [distance(math.radians(65.0)), distance(INPUT)]
    )
    assert not raw.status.any()
    place, first, second = raw.points[0, :, :, :, 1]
    # The shock shortens at -dL/dt, L dL/dt = a d sin(angle) angle'; once more for the second derivative.
    omega, alpha, length = 25.0, 15.0, distance(INPUT)
    rate = CRANK * GROUND * math.sin(INPUT) * omega / length
    bend = (CRANK * GROUND * (math.cos(INPUT) * omega**2 + math.sin(INPUT) * alpha) - rate**2) / length
    velocity = -rate * first
    acceleration = second * rate**2 - first * bend
    found = {}
    for body, (tail, tip) in {"coupler": (2, 3), "rocker": (1, 3)}.items():
        d, v, a = (level[tip] - level[tail] for level in (place, velocity, acceleration))
        turn = (d[0] * v[1] - d[1] * v[0]) / (d @ d)
        found[body] = (
            math.degrees(math.atan2(d[1], d[0])),
            turn,
            (d[0] * a[1] - d[1] * a[0] - 2 * turn * (d @ v)) / (d @ d),
        )
    return found, velocity * 1e3


def test_open_circuit():
    found, velocity = solved(+1)
    assert found["coupler"][0] == pytest.approx(20.298, abs=0.01)
    assert found["rocker"][0] == pytest.approx(57.325, abs=0.01)
    assert found["coupler"][1] == pytest.approx(-4.12091, rel=1e-4)
    assert found["rocker"][1] == pytest.approx(6.99799, rel=1e-4)
    assert found["coupler"][2] == pytest.approx(296.089, rel=1e-4)
    assert found["rocker"][2] == pytest.approx(470.134, rel=1e-4)
    assert velocity[2] == pytest.approx([-642.788, 766.044], rel=1e-4)
    assert velocity[3] == pytest.approx([-471.242, 302.243], rel=1e-4)


def test_crossed_circuit():
    found, _ = solved(-1)
    assert found["coupler"][0] == pytest.approx(-60.978, abs=0.01)
    assert found["rocker"][0] == pytest.approx(-98.005, abs=0.01)
    assert found["coupler"][1] == pytest.approx(-9.25877, rel=1e-4)
    assert found["rocker"][1] == pytest.approx(-20.37767, rel=1e-4)

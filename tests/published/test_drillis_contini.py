"""Lengths of segments as shares of stature.

R. Drillis and R. Contini, Body segment parameters, New York University, 1966, as in D. A. Winter, Biomechanics and
Motor Control of Human Movement, 4th ed., 2009, figure 4.1, looked up in public copies: ankle 0.039, knee 0.285, hip
0.530, shoulder 0.818 high; thigh 0.245, shank 0.246, trunk 0.288, upper arm 0.186, forearm 0.146, foot 0.152, shoulder
width 0.259. The joint heights and the segment lengths of the figure are two ways to the same numbers; both must close.
"""

import pytest

from bikewright.physics.body import rider_body
from bikewright.sources import SOURCES

pytestmark = pytest.mark.published

PRINTED = {"thigh": 0.245, "shank": 0.246, "trunk": 0.288, "upper_arm": 0.186, "forearm": 0.146, "foot": 0.152}


def test_the_pages_were_seen():
    assert SOURCES["drillis1966"].seen


@pytest.mark.parametrize("build", ["male", "female"])
@pytest.mark.parametrize("segment", PRINTED)
def test_the_printed_lengths_come_back(build, segment):
    """Of a rider with neither inseam nor span measured."""
    assert getattr(rider_body(75.0, 1.8, build), segment).length / 1.8 == pytest.approx(PRINTED[segment], abs=1e-12)


@pytest.mark.parametrize("build", ["male", "female"])
def test_the_chain_of_heights_closes(build):
    body = rider_body(75.0, 2.0, build)
    hip = body.ankle_height + body.shank.length + body.thigh.length

    assert hip == pytest.approx(2.0 * 0.530, abs=1e-12)
    assert hip == pytest.approx(body.hip_height, abs=1e-12)
    assert hip + body.trunk.length == pytest.approx(2.0 * 0.818, abs=1e-12)
    assert hip + body.trunk.length + body.neck + body.head.length == pytest.approx(2.0, abs=1e-12)
    assert body.shoulder_half_width == pytest.approx(2.0 * 0.259 / 2, abs=1e-12)

"""Segment masses, centres and radii of gyration.

P. de Leva, "Adjustments to Zatsiorsky-Seluyanov's segment inertia parameters," J. Biomech., vol. 29, pp. 1223-1230,
1996, table 4, looked up in a public copy: mean bodies of 73.0 kg and 1741 mm, 61.9 kg and 1735 mm. The column that the
table calls transverse is about the lateral axis: it is the trunk's smaller one, since a trunk is wider than deep, and
the head's larger one, since a head is longer than wide.
"""

import pytest

from bikewright.physics.body import DE_LEVA, PAIRED, rider_body
from bikewright.sources import SOURCES
from bikewright.units import MM

pytestmark = pytest.mark.published


def test_the_pages_were_seen():
    assert SOURCES["deleva1996"].seen


@pytest.mark.parametrize(("build", "whole"), [("male", 1.0), ("female", 0.9999)])
def test_the_column_of_masses_sums_as_printed(build, whole):
    assert sum(PAIRED[name] * share.mass for name, share in DE_LEVA[build].items()) == pytest.approx(whole, abs=1e-12)


@pytest.mark.parametrize(
    ("build", "mass", "stature", "head", "hand"),
    [("male", 73.0, 1.741, 203.3, 86.2), ("female", 61.9, 1.735, 200.2, 78.0)],
)
def test_head_and_hand_of_the_mean_bodies(build, mass, stature, head, hand):
    """The two lengths that come from this table. Tolerance: rounding."""
    body = rider_body(mass, stature, build)

    assert body.head.length / MM == pytest.approx(head, abs=1e-9)
    assert body.hand.length / MM == pytest.approx(hand, abs=1e-9)


def test_a_row_of_each_column_worked_out():
    """Male thigh 14.16 % of 73 kg; female thigh 14.78/99.99 of 61.9 kg. Gyration 32.9 and 36.4 % of the length."""
    man, woman = rider_body(73.0, 1.741, "male"), rider_body(61.9, 1.735, "female")

    assert man.thigh.mass == pytest.approx(10.3368, abs=1e-12)
    assert woman.thigh.mass == pytest.approx(0.1478 / 0.9999 * 61.9, abs=1e-12)
    assert man.thigh.gyration == pytest.approx(0.329 * 0.245 * 1.741, abs=1e-12)
    assert woman.thigh.gyration == pytest.approx(0.364 * 0.245 * 1.735, abs=1e-12)


@pytest.mark.parametrize("build", ["male", "female"])
def test_the_lateral_axis_is_the_transverse_column(build):
    rows = DE_LEVA[build]

    assert rows["trunk"].transverse < rows["trunk"].sagittal
    assert rows["head"].transverse > rows["head"].sagittal


@pytest.mark.parametrize("build", ["male", "female"])
def test_limbs_turn_easiest_about_their_own_axis(build):
    for name, share in DE_LEVA[build].items():
        assert share.longitudinal < min(share.sagittal, share.transverse), name

"""Riders of any sane size: masses sum, lengths add up to stature, inseam and span scale what they should."""

import pytest
from hypothesis import given

from bikewright.errors import OutsideValidity
from bikewright.physics.body import INSEAM_SHARE, SPAN_SHARE, rider_body
from tests.physics.sane_riders import bodies


@given(bodies())
def test_all_segments_weigh_what_the_rider_weighs(body):
    assert sum(segment.count * segment.mass for segment in body.segments) == pytest.approx(body.mass, rel=1e-14)


@given(bodies())
def test_the_heights_add_up_to_the_stature(body):
    legs = body.ankle_height + body.shank.length + body.thigh.length

    assert legs == pytest.approx(body.hip_height, abs=1e-13)
    assert legs + body.trunk.length + body.neck + body.head.length == pytest.approx(body.stature, abs=1e-13)


@given(bodies())
def test_every_length_is_positive_and_every_centre_inside(body):
    assert body.neck > 0.0
    assert 0.0 < body.hip_above_crotch < 0.1 * body.stature
    for segment in body.segments:
        assert segment.length > 0.0
        assert 0.0 < segment.centre < 1.0
        assert 0.0 < segment.gyration < segment.length


def test_a_longer_inseam_lengthens_the_legs_and_shortens_the_trunk():
    """Five per cent more inseam: five per cent longer legs; the trunk gives 0.288/0.470 of what the hip rises."""
    plain = rider_body(80.0, 1.8)
    long = rider_body(80.0, 1.8, inseam=1.05 * plain.inseam)

    assert long.thigh.length == pytest.approx(1.05 * plain.thigh.length, abs=1e-14)
    assert long.shank.length == pytest.approx(1.05 * plain.shank.length, abs=1e-14)
    assert plain.trunk.length - long.trunk.length == pytest.approx(0.05 * 0.53 * 1.8 * 0.288 / 0.47, abs=1e-14)
    assert long.upper_arm == plain.upper_arm


def test_a_wider_span_lengthens_the_arms_only():
    plain = rider_body(80.0, 1.8)
    wide = rider_body(80.0, 1.8, span=1.03 * plain.span)

    assert wide.upper_arm.length == pytest.approx(1.03 * plain.upper_arm.length, abs=1e-14)
    assert wide.grip == pytest.approx(1.03 * plain.grip, abs=1e-14)
    assert (wide.thigh, wide.trunk) == (plain.thigh, plain.trunk)


@pytest.mark.parametrize("build", ["male", "female"])
def test_measuring_the_mean_changes_nothing(build):
    plain = rider_body(70.0, 1.7, build)

    assert rider_body(70.0, 1.7, build, INSEAM_SHARE[build] * 1.7, SPAN_SHARE[build] * 1.7) == plain


@pytest.mark.parametrize(("mass", "stature"), [(0.0, 1.8), (80.0, -1.0), (float("nan"), 1.8)])
def test_a_rider_of_no_mass_or_stature_is_refused(mass, stature):
    with pytest.raises(OutsideValidity, match="give a mass and a stature above zero"):
        rider_body(mass, stature)


def test_an_inseam_that_does_not_go_with_the_stature_is_refused():
    with pytest.raises(OutsideValidity, match=r"inseam 1100 mm .* allowed: 720 to 1008 mm"):
        rider_body(80.0, 1.8, inseam=1.1)


def test_a_span_that_does_not_go_with_the_stature_is_refused():
    with pytest.raises(OutsideValidity, match=r"span 1000 mm .* allowed: 1530 to 2160 mm"):
        rider_body(80.0, 1.8, span=1.0)

"""How tall, long-legged and heavy people are.

C. C. Gordon and others, 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007, 2014 (ANSUR II), computed
from the public data of 4082 men and 1986 women. The table in the module is the data; here its parts are held against
each other: the printed regression against the printed means, deviations and correlation, and every percentile against
its neighbours and the normal curve.
"""

from statistics import NormalDist

import pytest

from bikewright.physics.body import INSEAM_LIMITS, INSEAM_SHARE, SPAN_SHARE, rider_body
from bikewright.physics.crowd import share_inside, surveyed
from bikewright.physics.population import ANSUR_II, INSEAM_ON_STATURE, PERCENTS, at_percentile, expected_inseam
from bikewright.sources import SOURCES
from bikewright.units import MM

pytestmark = pytest.mark.published

BUILDS = ("male", "female")


def test_the_data_were_seen():
    assert SOURCES["ansur2"].seen


@pytest.mark.parametrize("build", BUILDS)
def test_the_regression_passes_the_means(build):
    """0.58208 1756.21 - 176.3 = 845.95 mm against 845.93; 0.59038 1628.47 - 179.1 = 782.32. Tolerance: the offset is
    printed to 0.1 mm."""
    people = ANSUR_II[build]

    at_mean = expected_inseam(people["stature"].mean, build).mean
    assert at_mean / MM == pytest.approx(people["inseam"].mean / MM, abs=0.06)


@pytest.mark.parametrize("build", BUILDS)
def test_its_slope_is_correlation_times_ratio_of_deviations(build):
    """r s_y/s_x; r is printed to three digits."""
    people, line = ANSUR_II[build], INSEAM_ON_STATURE[build]
    slope = line.correlation * people["inseam"].deviation / people["stature"].deviation

    assert line.slope == pytest.approx(slope, abs=5e-4)


@pytest.mark.parametrize("build", BUILDS)
def test_the_mean_of_shares_is_near_the_share_of_means(build):
    people = ANSUR_II[build]

    assert INSEAM_SHARE[build] == pytest.approx(people["inseam"].mean / people["stature"].mean, abs=3e-4)
    assert SPAN_SHARE[build] * people["stature"].mean == pytest.approx(people["span"].mean, abs=1e-12)


@pytest.mark.parametrize("build", BUILDS)
def test_an_inseam_is_refused_only_beyond_five_deviations_of_its_share(build):
    spread = INSEAM_ON_STATURE[build].share_deviation

    assert INSEAM_LIMITS[0] < INSEAM_SHARE[build] - 5.0 * spread
    assert INSEAM_LIMITS[1] > INSEAM_SHARE[build] + 5.0 * spread


@pytest.mark.parametrize("build", BUILDS)
@pytest.mark.parametrize("measure", ANSUR_II["male"])
def test_percentiles_follow_the_normal_curve(build, measure):
    """Lengths within 0.25 standard deviations, the widest tails; masses are skewed: within 0.45."""
    spread = ANSUR_II[build][measure]
    allowed = 0.45 if measure == "mass" else 0.25

    assert list(spread.percentiles) == sorted(set(spread.percentiles))
    for percent, value in zip(PERCENTS, spread.percentiles, strict=True):
        normal = spread.mean + spread.deviation * NormalDist().inv_cdf(percent / 100.0)
        assert abs(value - normal) < allowed * spread.deviation, percent


@pytest.mark.parametrize("build", BUILDS)
def test_a_mean_body_has_the_inseam_of_the_survey(build):
    people = ANSUR_II[build]
    body = rider_body(people["mass"].mean, people["stature"].mean, build)

    assert body.inseam / MM == pytest.approx(people["inseam"].mean / MM, abs=0.5)


def test_the_table_is_read_at_and_between_its_points():
    """Male stature: 1755 mm at 50 %, 1802 at 75 %, so 1778.5 between."""
    assert at_percentile("male", "stature", 50.0) / MM == pytest.approx(1755.0, abs=1e-9)
    assert at_percentile("male", "stature", 62.5) / MM == pytest.approx(1778.5, abs=1e-9)
    assert at_percentile("female", "mass", 1.0) == pytest.approx(46.7, abs=1e-12)
    assert at_percentile("female", "mass", 99.0) == pytest.approx(97.4, abs=1e-12)


@pytest.mark.parametrize("build", BUILDS)
def test_the_normal_crowd_keeps_the_printed_percentiles_of_the_stature(build):
    """Shares below each printed stature, by the normal curve that coverage sums over. Within 2.5 points:
    the women's median lies 2.5 mm below their mean."""
    people = surveyed(build)

    for percent, stature in zip(PERCENTS, ANSUR_II[build]["stature"].percentiles, strict=True):
        assert 100.0 * people.share_shorter(stature) == pytest.approx(percent, abs=2.5), percent


@pytest.mark.parametrize("build", BUILDS)
def test_the_normal_crowd_keeps_the_printed_percentiles_of_the_inseam(build):
    """The same for the inseam, as a region without ends in stature."""
    people = surveyed(build)

    for percent, inseam in zip(PERCENTS, ANSUR_II[build]["inseam"].percentiles, strict=True):
        below = share_inside(people, [((0.0, 0.0), (4.0, 0.0), (4.0, inseam), (0.0, inseam))], 1)
        assert 100.0 * below == pytest.approx(percent, abs=2.5), percent

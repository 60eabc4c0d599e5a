"""Shares of people inside regions, against SciPy's multivariate normal distribution and against sums by hand."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bikewright.errors import OutsideValidity
from bikewright.physics.crowd import ALIGNED, FEWEST, People, is_inside, measured, share_inside, surveyed


def share_in_any(people, regions):
    return share_inside(people, regions, 1)


def share_in_all(people, regions):
    return share_inside(people, regions, len(regions))


MEN = surveyed("male")
LOW, HIGH = -1.0, 4.0
"""Edges so far away that nobody is beyond them [m]."""


def box(stature, inseam):
    """A rectangle from (low, high) of each."""
    (a, b), (c, d) = stature, inseam
    return ((a, c), (b, c), (b, d), (a, d))


def scipy_box(people, stature, inseam):
    """The same rectangle by SciPy: the distribution function at its corners."""
    from scipy.stats import multivariate_normal

    covariance = people.correlation * people.stature_deviation * people.inseam_deviation
    normal = multivariate_normal(
        [people.stature, people.inseam],
        [[people.stature_deviation**2, covariance], [covariance, people.inseam_deviation**2]],
        abseps=1e-12,
        releps=1e-12,
    )
    (a, b), (c, d) = stature, inseam
    return normal.cdf([b, d]) - normal.cdf([a, d]) - normal.cdf([b, c]) + normal.cdf([a, c])


@pytest.mark.oracle
@settings(max_examples=40)
@given(
    stature=st.tuples(st.floats(1.4, 1.8), st.floats(0.0, 0.4)),
    inseam=st.tuples(st.floats(0.65, 0.9), st.floats(0.0, 0.3)),
)
@pytest.mark.parametrize("build", ["male", "female"])
def test_a_rectangle_holds_what_scipy_says(build, stature, inseam):
    people = surveyed(build)
    across, up = (stature[0], sum(stature)), (inseam[0], sum(inseam))

    assert share_in_any(people, [box(across, up)]) == pytest.approx(scipy_box(people, across, up), abs=1e-7)


@pytest.mark.oracle
def test_a_slanted_triangle_holds_what_scipys_integral_says():
    from scipy.integrate import dblquad

    def density(y, x):
        u = (x - MEN.stature) / MEN.stature_deviation
        v = (y - MEN.inseam) / MEN.inseam_deviation
        r = MEN.correlation
        power = (u * u - 2 * r * u * v + v * v) / (2 * (1 - r * r))
        return math.exp(-power) / (2 * math.pi * MEN.stature_deviation * MEN.inseam_deviation * math.sqrt(1 - r * r))

    triangle = ((1.60, 0.75), (1.90, 0.80), (1.75, 0.93))
    left = dblquad(density, 1.60, 1.75, lambda x: 0.75 + (x - 1.60) / 6, lambda x: 0.75 + (x - 1.60) * 1.2)[0]
    right = dblquad(density, 1.75, 1.90, lambda x: 0.75 + (x - 1.60) / 6, lambda x: 0.93 - (x - 1.75) * 0.13 / 0.15)[0]

    assert share_in_any(MEN, [triangle]) == pytest.approx(left + right, abs=1e-7)


def test_everybody_is_inside_a_region_without_an_end():
    assert share_in_any(MEN, [box((LOW, HIGH), (LOW, HIGH))]) == pytest.approx(1.0, abs=1e-13)


def test_half_of_the_people_are_shorter_than_the_mean():
    assert share_in_any(MEN, [box((LOW, MEN.stature), (LOW, HIGH))]) == pytest.approx(0.5, abs=1e-13)
    assert MEN.share_shorter(MEN.stature) == 0.5


@settings(max_examples=40)
@given(st.lists(st.tuples(st.floats(1.4, 1.9), st.floats(0.01, 0.3), st.floats(0.65, 0.9)), min_size=2, max_size=2))
def test_two_regions_hold_what_each_holds_less_what_both_hold(boxes):
    """Slanted regions, so that their edges cross."""
    first, second = (((x, y), (x + w, y + 0.05), (x + w, y + 0.15), (x, y + 0.2)) for x, w, y in boxes)
    each = share_in_any(MEN, [first]) + share_in_any(MEN, [second])

    assert share_in_any(MEN, [first, second]) + share_in_all(MEN, [first, second]) == pytest.approx(each, abs=1e-9)


def test_a_region_without_corners_holds_nobody():
    assert share_in_any(MEN, [()]) == 0.0
    assert share_in_any(MEN, []) == 0.0
    assert share_in_all(MEN, [box((LOW, HIGH), (LOW, HIGH)), ()]) == 0.0


@pytest.mark.parametrize("share", [0.5, 0.9])
def test_a_contour_holds_its_share(share):
    """A polygon of 720 corners lies inside its ellipse by 1.3e-5 of the area."""
    assert share_in_any(MEN, [MEN.contour(share, 720)[:-1]]) == pytest.approx(share, abs=3e-5)


def test_a_person_is_inside_or_is_not():
    region = ((1.6, 0.7), (1.8, 0.8), (1.8, 0.9), (1.6, 0.8))

    assert is_inside((1.7, 0.8), region)
    assert not is_inside((1.7, 0.86), region)
    assert not is_inside((1.5, 0.75), region)
    assert not is_inside((1.7, 0.8), ())


def test_a_sample_has_its_own_spread():
    """Corners of a rectangle, one of each in turn: means in its middle, no correlation, 1.0172 of the half widths."""
    people = measured([(1.7, 0.8), (1.8, 0.8), (1.7, 0.9), (1.8, 0.9)] * 10)

    assert people.stature == pytest.approx(1.75)
    assert people.inseam == pytest.approx(0.85)
    assert people.correlation == pytest.approx(0.0, abs=1e-12)
    assert people.stature_deviation == pytest.approx(0.05 * math.sqrt(40 / 39))


@pytest.mark.parametrize("correlation", [0.979, 0.99, 0.9999, ALIGNED])
def test_people_who_lie_on_one_line_are_summed_as_well(correlation):
    """A band of inseam that leans as the line of regression does: what is inside is a share of the spread alone, all of
    it for people on the line itself. A second band across it holds those of one range of stature."""
    people = replace(MEN, correlation=correlation)
    ends = (1.2, people.inseam_at(1.2)), (2.3, people.inseam_at(2.3))
    wide = 0.7 * people.spread
    band = (*((x, z - wide) for x, z in ends), *((x, z + wide) for x, z in reversed(ends)))
    assert share_in_any(people, [band]) == pytest.approx(math.erf(0.7 / math.sqrt(2.0)), abs=1e-9)

    level = box((LOW, HIGH), (MEN.inseam - 0.02, MEN.inseam + 0.03))
    within = [0.5 * (1.0 + math.erf(off / MEN.inseam_deviation / math.sqrt(2.0))) for off in (-0.02, 0.03)]
    assert share_in_any(people, [level]) == pytest.approx(within[1] - within[0], abs=1e-7)


def test_a_measured_list_on_a_falling_line_is_still_a_population():
    people = measured([(1.6 + 0.01 * k, 0.9 - 0.004 * k) for k in range(40)])

    assert people.correlation == -ALIGNED
    assert share_in_any(people, [box((LOW, HIGH), (LOW, people.inseam))]) == pytest.approx(0.5, abs=1e-7)


def test_too_few_people_are_refused():
    with pytest.raises(OutsideValidity, match=f"3 people are too few .* at least {FEWEST}"):
        measured([(1.7, 0.8)] * 3)
    with pytest.raises(OutsideValidity, match="one stature or one inseam"):
        measured([(1.7, 0.8)] * FEWEST)


def test_the_inseam_of_a_stature_lies_on_the_regression():
    """Slope r s_y/s_x = 0.858 46.50/68.55 = 0.5820; the survey prints 0.58208."""
    assert (MEN.inseam_at(1.85) - MEN.inseam_at(1.75)) / 0.1 == pytest.approx(0.5820, abs=1e-4)
    assert MEN.inseam_at(MEN.stature) == MEN.inseam


def test_a_crowd_without_correlation_is_the_product_of_two_curves():
    people = People(stature=0.0, stature_deviation=1.0, inseam=0.0, inseam_deviation=1.0, correlation=0.0)

    inner = math.erf(1.0 / math.sqrt(2.0))
    assert share_in_any(people, [box((-1.0, 1.0), (-1.0, 1.0))]) == pytest.approx(inner * inner, abs=1e-12)

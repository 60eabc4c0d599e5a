"""Coverage of the demo range: every edge is one of the fit, shares are those of the regions, lists are counted."""

import pytest

from bikewright.errors import AddressError, NotKnown, OutsideValidity
from bikewright.model.addresses import apply, read_change
from bikewright.model.files import read_bike
from bikewright.model.people_file import people_of
from bikewright.physics import crowd
from bikewright.studies.bounds import bounds_of, fit_for, person, tightest
from bikewright.studies.buying import lay_beside
from bikewright.studies.coverage import (
    BY_TABLE,
    by_size,
    coverage,
    inseam_of,
    listed,
    named_builds,
    own_rider,
    surveyed,
)
from tests.sample_bike import BARE

BIKE = read_bike("examples/quillback")
STOCK = BIKE.build("stock")
POSTS = {"S": "dropper-125", "M": "dropper-150", "XL": "dropper-200", "XXL": "dropper-200"}


def with_post(name):
    return lambda build: apply(build, read_change(f"seatpost={name}"), BIKE.stock)


@pytest.fixture(scope="module")
def found():
    return coverage(named_builds(STOCK, {size: with_post(post) for size, post in POSTS.items()}))


@pytest.fixture(scope="module")
def narrow():
    return coverage(by_size(STOCK)[1:4], ranges={("standing", "shoulder"): (44.0, 50.0)})


@pytest.mark.parametrize("which", ["found", "narrow"])
def test_riders_just_inside_every_edge_fit_and_those_just_outside_do_not(which, request):
    whole = request.getfixturevalue(which)
    for size in whole.sizes:
        for column in ("male", "female"):
            for line in size.band(column).lines:
                for edge, outward in ((line.low, -1.0), (line.high, 1.0)):
                    if edge.bound is None:
                        continue
                    for off, fits in ((-2.0, True), (2.0, False)):
                        stature = edge.stature_mm + outward * off
                        if line.high.stature_mm - line.low.stature_mm < 4.0:
                            continue
                        fit = fit_for(size.build, person(stature, line.share * stature, column))
                        assert (tightest(bounds_of(fit, whole.ranges)).room >= 0.0) is fits, (size.size, column, edge)


def test_corners_lie_on_the_edge_of_the_region(narrow):
    corners = [(size, corner) for size in narrow.sizes for corner in size.men.corners]
    assert corners
    for size, corner in corners:
        fit = fit_for(size.build, person(corner.stature_mm, corner.share * corner.stature_mm, "male"))
        assert abs(tightest(bounds_of(fit, narrow.ranges)).room) < 0.021


def test_shares_are_those_of_a_count_over_the_fits_themselves(narrow):
    """A grid of 24 x 12 men of equal weight, each asked of the fit: an independent sum over the region."""
    from statistics import NormalDist

    men, size = crowd.surveyed("male"), narrow.size("L")
    spread = men.inseam_deviation * (1.0 - men.correlation**2) ** 0.5
    inside = 0
    for i in range(24):
        stature = NormalDist(men.stature, men.stature_deviation).inv_cdf((i + 0.5) / 24)
        for k in range(12):
            inseam = NormalDist(men.inseam_at(stature), spread).inv_cdf((k + 0.5) / 12)
            fit = fit_for(size.build, person(1e3 * stature, 1e3 * inseam, "male"))
            inside += tightest(bounds_of(fit, narrow.ranges)).room >= 0.0
    assert size.shares.men_pct == pytest.approx(100.0 * inside / 288.0, abs=2.5)


def test_any_size_holds_at_least_the_best_and_at_most_all_together(found):
    each = [size.shares.mixed_pct for size in found.sizes]

    assert max(each) <= found.any.mixed_pct <= min(sum(each), 100.0)
    assert found.any.mixed_pct + found.none.mixed_pct == pytest.approx(100.0)
    assert found.several.mixed_pct < found.any.mixed_pct
    for pair in found.neighbours:
        assert pair.both.mixed_pct <= min(found.size(name).shares.mixed_pct for name in (pair.smaller, pair.larger))


def test_overlaps_and_gaps_follow_from_the_bands(found):
    for pair in found.neighbours:
        first, second = (found.size(name).men.middle for name in (pair.smaller, pair.larger))
        assert pair.men.is_gap == (first.high.stature_mm < second.low.stature_mm)
        assert (pair.men.low_mm, pair.men.high_mm) == (second.low.stature_mm, first.high.stature_mm)
    gap = coverage([found.size("S").build, found.size("XXL").build])
    assert gap.neighbours[0].men.is_gap
    assert not gap.is_whole
    assert found.is_whole


def test_a_larger_size_begins_and_ends_at_taller_riders(found):
    middles = [size.men.middle for size in found.sizes]
    for edge in ("low", "high"):
        statures = [getattr(middle, edge).stature_mm for middle in middles]
        assert statures == sorted(statures)


def test_the_own_rider_sits_at_the_tables_saddle_height(found):
    for size in found.sizes:
        assert size.own.chosen == BY_TABLE
        height = fit_for(size.build, size.own.rider).saddle.height_mm
        assert height == pytest.approx(size.build.geometry_row.saddle_height_mm, abs=0.5)


def test_a_named_rider_goes_before_the_tables(found):
    joren = BIKE.rider("joren")
    assert own_rider(found.size("L").build, None, joren).rider is joren


def test_women_and_men_are_mixed_as_asked(found):
    women = coverage([found.size("M").build], surveyed(100.0))
    (size,) = women.sizes
    assert size.shares.mixed_pct == pytest.approx(size.shares.women_pct)
    with pytest.raises(OutsideValidity, match="120 % of women is no share"):
        surveyed(120.0)


def test_a_size_with_a_post_that_fits_no_one_says_by_how_much():
    build = STOCK.changed(size="S")
    whole = coverage([build], ranges={("seated", "trunk"): (48.0, 50.0)})

    middle = whole.sizes[0].men
    assert middle.middle is None
    assert middle.nearest.by > 0.0
    assert whole.sizes[0].shares.men_pct == pytest.approx(0.0, abs=0.5)


def test_without_hands_it_waits():
    with pytest.raises(NotKnown):
        coverage([BARE])


def test_a_size_that_is_not_there_is_told():
    with pytest.raises(AddressError, match="no size is called 'XS'"):
        named_builds(STOCK, {"XS": with_post("dropper-125")})


def test_a_list_is_counted_person_by_person(found):
    text = "height,inseam,build\n" + "176 cm,84.5 cm,male\n" * 25 + "150 cm,70 cm,female\n" * 25
    whole = coverage([found.size("L").build], listed(people_of(text)))

    assert whole.sizes[0].shares.men_pct == 100.0
    assert whole.sizes[0].shares.women_pct == 0.0
    assert whole.sizes[0].shares.mixed_pct == 50.0


def test_a_list_that_is_too_short_for_a_population_is_refused():
    with pytest.raises(OutsideValidity, match=r"few\.csv: 2 people are too few .* at least 30, or lay them beside"):
        listed(people_of("height\n176 cm\n180 cm\n", "few.csv"))


LIST = """height,inseam,size,returned
176 cm,84.5 cm,L,no
176 cm,84.5 cm,S,yes
150 cm,,S,yes
"""


def test_buyers_are_named_the_sizes_that_fit_them(found):
    beside = lay_beside(found, people_of(LIST))
    first, second, short = beside.buyers

    assert first.named == ("M", "L", "XL")
    assert first.first == "L"
    assert (first.bought_fits, second.bought_fits, short.bought_fits) == (True, False, False)
    assert (beside.agree.count, beside.agree.of) == (1, 3)
    assert (beside.returned(True).count, beside.returned(True).of) == (0, 1)
    assert (beside.returned(False).count, beside.returned(False).of) == (2, 2)


def test_a_buyer_whom_no_size_fits_is_told_what_the_nearest_misses(found):
    (short,) = lay_beside(found, people_of(LIST)).unfitted

    assert short.nearest == "S"
    assert short.bound.by > 0.0
    assert short.inseam_mm == inseam_of(short.person) == pytest.approx(0.4815 * 1500.0)

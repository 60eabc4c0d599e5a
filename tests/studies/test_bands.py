"""The search for bands, on bounds whose edges are known in closed form."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bikewright.physics.body import INSEAM_SHARE
from bikewright.studies.bands import SHARE_STEPS, band_from
from bikewright.studies.bounds import Bound
from bikewright.studies.edge_search import ASKED_MM

MEAN = INSEAM_SHARE["male"]


def bounded(low, high, seat=0.0, counts=None, steep=0.01):
    """Statures from low to high, inseams of at least seat."""

    def rooms(share, stature):
        if counts is not None:
            counts.append(stature)
        return (
            Bound("standing", "trunk", steep * (stature - low), low, "low"),
            Bound("standing", "trunk", steep * (high - stature), high, "high"),
            Bound("seatpost", "saddle height", (share * stature - seat) / 30.0, seat, "low"),
        )

    return rooms


@settings(max_examples=60)
@given(st.floats(1350, 2000), st.floats(5, 400), st.floats(0.004, 1.0))
def test_both_edges_are_found_wherever_the_band_lies(low, width, steep):
    high = min(low + width, 2100.0)
    band = band_from(bounded(low, high, steep=steep), "male")

    assert band.middle is not None
    slack = 0.6
    assert band.middle.low.stature_mm == pytest.approx(low, abs=slack)
    assert band.middle.high.stature_mm == pytest.approx(high, abs=slack)
    assert (band.middle.low.bound.side, band.middle.high.bound.side) == ("low", "high")


def test_a_seat_that_is_too_high_cuts_the_short_legs_off_along_one_inseam():
    band = band_from(bounded(1600.0, 1800.0, seat=760.0), "male")

    assert len(band.lines) == 2 * len(SHARE_STEPS) + 1
    for line in band.lines:
        wanted = max(1600.0, 760.0 / line.share)
        assert line.low.stature_mm == pytest.approx(wanted, abs=0.6)
        assert line.low.bound.where == ("seatpost" if wanted > 1600.0 else "standing")


def test_a_refusal_without_a_number_ends_a_band_too():
    def rooms(share, stature):
        if stature < 1650.0:
            return (Bound("standing", "", -math.inf, told="out of reach"),)
        return (Bound("standing", "trunk", 0.01 * (1850.0 - stature), 1850.0, "high"),)

    middle = band_from(rooms, "male").middle
    assert middle.low.stature_mm == pytest.approx(1650.0, abs=0.5)
    assert middle.low.bound.told == "out of reach"


def test_a_size_that_fits_nobody_says_what_the_nearest_misses():
    band = band_from(bounded(1800.0, 1700.0), "male")

    assert band.lines == ()
    assert band.middle is None
    assert band.outline == ()
    assert band.nearest_mm == pytest.approx(1750.0, abs=1.0)
    assert band.nearest.room == pytest.approx(-0.5, abs=0.01)


def test_a_band_without_an_end_is_open_where_the_question_ends():
    middle = band_from(lambda share, stature: (Bound("standing", "trunk", 1.0),), "female").middle

    assert (middle.low.stature_mm, middle.high.stature_mm) == ASKED_MM
    assert middle.low.bound is None and middle.high.bound is None


def test_a_narrow_band_between_two_steps_of_the_search_is_found():
    band = band_from(bounded(1703.0, 1707.0), "male")
    assert band.middle.low.stature_mm == pytest.approx(1703.0, abs=0.6)


def test_a_band_takes_tens_of_riders():
    counts = []
    band_from(bounded(1600.0, 1800.0, seat=760.0, counts=counts), "male", [1700.0])

    assert len(counts) <= 60


def test_the_outline_goes_round_the_region_once():
    outline = band_from(bounded(1600.0, 1800.0), "male").outline

    assert len(outline) == 2 * (2 * len(SHARE_STEPS) + 1)
    assert outline[0] == pytest.approx((1600.0, 1600.0 * (MEAN - 3.0 * 0.0141)), abs=1.0)


def test_the_tip_of_a_region_between_two_proportions_is_not_cut_off():
    """Inseams of at least 810 mm end at a share of 0.45: short legs reach it at 1800 mm, where the band ends."""
    band = band_from(bounded(1600.0, 1800.0, seat=810.0), "male")

    assert 0.45 < band.lines[0].share < 0.4540
    assert band.lines[0].low.stature_mm == pytest.approx(810.0 / band.lines[0].share, abs=0.6)


def test_a_corner_stands_where_one_bound_gives_way_to_another():
    """Inseams of at least 760 mm reach 1600 mm, where the band begins, at a share of 0.475: between two lines."""
    band = band_from(bounded(1600.0, 1800.0, seat=760.0), "male")

    (corner,) = band.corners
    assert corner.side == "low"
    assert (corner.share, corner.stature_mm) == (pytest.approx(0.475, abs=1e-3), pytest.approx(1600.0, abs=3.0))
    assert any(point == pytest.approx((1600.0, 760.0), abs=3.0) for point in band.outline)

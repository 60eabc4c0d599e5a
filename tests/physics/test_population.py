"""What the survey cannot say is refused."""

import pytest

from bikewright.errors import OutsideValidity
from bikewright.physics.population import at_percentile, expected_inseam, percent_below


def test_the_spread_of_the_inseam_at_one_stature():
    """46.50 sqrt(1 - 0.858^2) = 23.88 mm."""
    assert expected_inseam(1.75, "male").deviation == pytest.approx(0.02388, abs=1e-5)


@pytest.mark.parametrize("percent", [0.5, 99.5, float("nan")])
def test_a_percentile_outside_the_table_is_refused(percent):
    with pytest.raises(OutsideValidity, match="outside the table; ask for 1 to 99 %"):
        at_percentile("male", "stature", percent)


def test_an_unknown_measure_is_refused():
    with pytest.raises(OutsideValidity, match="no measure 'shoe size'; take one of stature, inseam"):
        at_percentile("male", "shoe size", 50.0)


@pytest.mark.parametrize("stature", [1.2, 2.1])
def test_a_stature_that_hardly_anybody_has_is_refused(stature):
    with pytest.raises(OutsideValidity, match="measure the inseam"):
        expected_inseam(stature, "male")


@pytest.mark.parametrize("build", ["male", "female"])
@pytest.mark.parametrize("measure", ["stature", "inseam", "span", "mass"])
def test_the_share_below_a_percentile_is_that_percentile(build, measure):
    for percent in (1.0, 3.0, 25.0, 61.5, 99.0):
        found, beyond = percent_below(build, measure, at_percentile(build, measure, percent))
        assert (found, beyond) == (pytest.approx(percent, abs=1e-9), "")


@pytest.mark.parametrize(("stature", "side"), [(1.4, "below"), (2.1, "above")])
def test_who_is_beyond_the_survey_is_told_on_which_side(stature, side):
    assert percent_below("male", "stature", stature) == (None, side)

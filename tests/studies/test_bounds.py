"""What decides a fit, as signed rooms: the same verdict as the fit's own, whoever is asked."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bikewright.errors import AddressError
from bikewright.model.files import read_bike
from bikewright.studies.bounds import (
    SEATPOST,
    bounds_of,
    fit_for,
    person,
    read_bounds,
    tightest,
    without_saddle_height,
)

BUILDS = {
    name: without_saddle_height(read_bike(f"examples/{name}").build("stock"), size)
    for name, size in (("quillback", "M"), ("wherry", "L"))
}


@pytest.mark.parametrize("name", BUILDS)
@settings(max_examples=40)
@given(stature=st.floats(1500, 1950), share=st.floats(0.44, 0.53), column=st.sampled_from(["male", "female"]))
def test_room_is_negative_exactly_where_the_fit_says_no(name, stature, share, column):
    fit = fit_for(BUILDS[name], person(stature, share * stature, column))

    assert (tightest(bounds_of(fit)).room >= 0.0) == fit.fits, fit.reasons


def test_a_bound_of_ones_own_stands_in_place_of_the_fits():
    fit = fit_for(BUILDS["quillback"], person(1780.0, 857.0, "male"))
    shoulder = next(angle.value_deg for angle in fit.postures[0].angles if angle.name == "shoulder")

    bound = tightest(bounds_of(fit, {("standing", "shoulder"): (shoulder + 3.0, None)}))
    assert (bound.what, bound.side, bound.unit) == ("shoulder", "low", "deg")
    assert bound.by == pytest.approx(3.0)


def test_the_saddle_is_where_the_legs_want_it_whatever_the_build_says():
    build = read_bike("examples/quillback").build("stock")
    lowered = build.changed(settings=type(build.settings)(saddle_height_mm=600.0, post_lowered_mm=50.0))

    bare = without_saddle_height(lowered, "M")
    assert (bare.size, bare.settings.saddle_height_mm, bare.settings.post_lowered_mm) == ("M", None, 0.0)


def test_bounds_are_read_as_they_are_typed():
    assert read_bounds(["standing.shoulder=43..52", " seated.trunk = ..45.5 ", "climb.hip=60.."]) == {
        ("standing", "shoulder"): (43.0, 52.0),
        ("seated", "trunk"): (None, 45.5),
        ("climb", "hip"): (60.0, None),
    }


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("shoulder=43..52", "is no bound; write POSTURE.ANGLE=LOW..HIGH"),
        ("standing.shoulder=..", "is no bound"),
        ("lying.shoulder=43..52", "'lying' is no posture. There are: standing"),
        ("standing.toe=43..52", "has no angle 'toe'. There are: knee"),
        ("standing.shoulder=52..43", "no angle lies from 52 to 43"),
    ],
)
def test_what_is_no_bound_is_told(text, told):
    with pytest.raises(AddressError, match=told.replace("(", r"\(")):
        read_bounds([text])


def test_the_post_that_is_too_long_is_told_by_how_much():
    fit = fit_for(BUILDS["quillback"], person(1500.0, 640.0, "female"))
    bound = tightest(bounds_of(fit))

    assert bound.where == SEATPOST
    assert bound.by is not None and bound.by > 0.0

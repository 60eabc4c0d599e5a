"""A rider's fit in words and as a picture: every number is the study's, nothing collides or leaves the sheet."""

import pytest

from bikewright.model.addresses import with_value
from bikewright.model.files import read_bike
from bikewright.reports.fit import fit_json, fit_lines, range_text, verdict_line
from bikewright.reports.fit_sheet import fit_sheet
from bikewright.reports.numbers import number_text
from bikewright.reports.paper import colliding_texts, texts, texts_off_sheet
from bikewright.reports.wording import ShownUnits, shown_units
from bikewright.studies.fit_pose import fit_picture
from bikewright.studies.fitting import Range, fit_of
from tests.interfaces.cli.asked import QUILLBACK
from tests.sample_bike import LOADED

LONGER = with_value(LOADED, "stem.length_mm", 50.0)
FIT = fit_of(with_value(LONGER, "saddle_height_mm", 740.0))
LOW = fit_of(with_value(LONGER, "saddle_height_mm", 700.0))


@pytest.mark.parametrize("fit", [FIT, LOW], ids=["fits", "too low"])
def test_every_angle_stands_with_its_range_and_its_verdict(fit):
    lines = fit_lines(fit, ShownUnits())

    assert all(len(line) <= 100 for line in lines)
    for posture in fit.postures:
        for angle in posture.angles:
            (line,) = [
                line
                for line in lines
                if line.split("  ")[1:2] == [angle.label]
                and range_text(angle.range) in line
                and f" {number_text(angle.value_deg, 0)}°" in line
            ][:1]
            assert ("inside" in line) == (angle.verdict == "inside")


def test_the_verdict_counts_what_is_missed():
    assert verdict_line(FIT).startswith("It fits")
    assert (
        verdict_line(LOW)
        == f"It does not fit: {len(LOW.reasons)} thing{'s are' if len(LOW.reasons) > 1 else ' is'} missed."
    )


def test_a_post_that_is_not_known_is_not_said_to_hold_the_saddle():
    unknown = fit_of(with_value(FIT.build, "seatpost.stack_mm", None))

    assert verdict_line(FIT).endswith("and the post holds the saddle.")
    assert unknown.fits and verdict_line(unknown).endswith("the post waits for seatpost.stack_mm.")


@pytest.mark.parametrize(
    ("low", "high", "told"), [(None, 120, "at most 120°"), (55, None, "at least 55°"), (25, 35, "25° to 35°")]
)
def test_a_range_in_words(low, high, told):
    assert range_text(Range(low=low, high=high, source="practice")) == told


def test_an_angle_outside_its_range_is_marked_in_the_picture():
    knee = LOW.postures[2].angles[0]
    words = [text.text for text in texts(fit_sheet(LOW, fit_picture(LOW, "seated"), ShownUnits()))]

    assert knee.verdict == "high"
    assert f"knee {number_text(knee.value_deg, 0)}°, high" in words


def test_lengths_are_told_in_the_reader_s_units():
    told = "\n".join(fit_lines(FIT, shown_units("in")))

    assert "29.1 in" in told  # 740 mm
    assert fit_json(FIT)["saddle"]["height_mm"] == 740.0


@pytest.mark.parametrize("name", ["standing", "climb", "seated"])
def test_the_picture_holds_every_angle_and_nothing_collides(name):
    picture = fit_picture(FIT, name)
    sheet = fit_sheet(FIT, picture, ShownUnits())
    words = [text.text for text in texts(sheet)]

    for mark in picture.marks:
        number = number_text(mark.angle.value_deg, 0)
        assert any(word.endswith(f" {number}°") for word in words), mark.angle.name
    assert colliding_texts(sheet) == ()
    assert texts_off_sheet(sheet) == ()


@pytest.mark.parametrize("build", ["stock", "coil", "small"])
@pytest.mark.parametrize("name", ["climb", "seated"])
def test_riders_of_the_demo_collide_with_nothing(build, name):
    """A trunk that is nearly plumb brings its number near to that of the shoulder."""
    bike = read_bike(QUILLBACK)
    fit = fit_of(bike.build(build), sag="stated")
    sheet = fit_sheet(fit, fit_picture(fit, name), shown_units("in"))

    assert colliding_texts(sheet) == ()
    assert texts_off_sheet(sheet) == ()

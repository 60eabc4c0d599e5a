"""A rider's fit on paper."""

from bikewright.model.addresses import with_value
from bikewright.reports.sheets.fit_page import fit_page
from bikewright.reports.sheets.page import Alert, Prose, Table
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.wording import ShownUnits
from bikewright.studies.fit_pose import fit_picture
from bikewright.studies.fitting import fit_of
from tests.sample_bike import LOADED

LONGER = with_value(LOADED, "stem.length_mm", 50.0)
FIT = fit_of(with_value(LONGER, "saddle_height_mm", 740.0))
LOW = fit_of(with_value(LONGER, "saddle_height_mm", 700.0))


def page_of(fit):
    return fit_page(fit, fit_picture(fit, "seated"), ShownUnits())


def test_what_is_missed_stands_in_a_box_before_all_else():
    missed = page_of(LOW).blocks[0]

    assert isinstance(missed, Alert)
    assert missed.items == LOW.reasons
    assert isinstance(page_of(FIT).blocks[0], Prose)


def test_every_posture_has_its_table():
    tables = [block for block in page_of(FIT).blocks if isinstance(block, Table)]

    assert [len(table.rows) for table in tables[:3]] == [len(posture.angles) for posture in FIT.postures]
    assert len(tables[3].rows) == len(FIT.saddle.rules)


def test_a_posture_that_cannot_be_taken_says_why():
    fit = fit_of(with_value(LOADED, "saddle_height_mm", 830.0))
    page = fit_page(fit, fit_picture(fit, "standing"), ShownUnits())

    assert any(isinstance(block, Prose) and block.text == fit.postures[1].refusal for block in page.blocks)


def test_the_sheet_is_the_same_bytes_again_and_numbered_by_what_it_shows():
    assert to_pdf(page_of(FIT)) == to_pdf(page_of(FIT))
    assert page_of(FIT).key != page_of(LOW).key


def test_what_is_left_out_is_said_once_below_its_heading():
    told = page_of(FIT).blocks[-1].text

    assert told.startswith("Suppleness") and "Not modelled" not in told

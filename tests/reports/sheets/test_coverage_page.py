"""Whom the sizes fit, on paper."""

from functools import cache

from bikewright.reports.coverage import NOT_MODELLED
from bikewright.reports.sheets.coverage_page import coverage_page
from bikewright.reports.sheets.page import Prose, Table
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.wording import ShownUnits
from bikewright.studies.coverage import coverage, surveyed
from tests.sample_bike import LOADED


@cache
def page(women_pct=50.0, bounds=()):
    return coverage_page(coverage([LOADED], surveyed(women_pct), ranges=dict(bounds)), ShownUnits())


def test_what_is_left_out_keeps_its_sentences():
    told = page().blocks[-1]

    assert isinstance(told, Prose) and told.text[:1].isupper()
    assert told.text[1:] == NOT_MODELLED.removeprefix("Not modelled: ")[1:]


def test_every_size_has_its_band_and_its_ends():
    bands, edges = (block for block in page().blocks if isinstance(block, Table))

    assert [row.cells[0].text for row in bands.rows] == [LOADED.size, "any size", "two or more", "no size"]
    assert [row.cells[0].text for row in edges.rows] == [LOADED.size]


def test_the_sheet_is_the_same_bytes_again_and_numbered_by_what_it_shows():
    assert to_pdf(page()) == to_pdf(page())
    others = page(30.0), page(50.0, ((("seated", "trunk"), (None, 40.0)),))
    assert len({page().key, *(other.key for other in others)}) == 3

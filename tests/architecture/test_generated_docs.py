"""Generated pages say what the catalogue, the commands and the bibliography say."""

import re

from tools.generate_docs import stale, words_page

from bikewright.quantities import CATALOGUE, FAMILIES
from bikewright.sources import SOURCES
from bikewright.studies.bindings import BINDINGS
from bikewright.units import SUFFIXES
from tests.architecture.source_tree import ROOT


def test_no_generated_page_is_stale():
    assert [page.name for page in stale()] == []


def test_the_words_page_has_a_row_for_every_quantity():
    page = words_page()

    assert [key for key in CATALOGUE if f"| `{key}`" not in page] == []


def test_catalogue_and_bindings_are_the_same_set():
    assert set(CATALOGUE) == set(BINDINGS)


def test_every_key_ends_in_its_unit():
    for quantity in CATALOGUE.values():
        if quantity.unit:
            assert quantity.unit in SUFFIXES
            assert quantity.key.endswith("_" + quantity.unit)
        else:
            assert not any(quantity.key.endswith("_" + suffix) for suffix in SUFFIXES)


def test_every_entry_of_the_catalogue_is_whole():
    for quantity in CATALOGUE.values():
        assert quantity.family in FAMILIES
        assert quantity.meaning.endswith(".") and quantity.meaning.count(". ") == 0, quantity.key
        assert (ROOT / "docs" / "theory" / f"{quantity.theory}.md").exists(), quantity.key


def test_every_citation_in_the_source_is_in_the_bibliography():
    """Standards and books that theory pages name by number must be listed with whether the page was seen."""
    cited = {
        number
        for page in (ROOT / "docs" / "theory").glob("*.md")
        for number in re.findall(r"\bISO (\d+)", page.read_text(encoding="utf-8"))
    }
    assert {"606", "2533"} <= cited
    listed = " ".join(source.citation for source in SOURCES.values())
    assert sorted(number for number in cited if number not in listed) == []

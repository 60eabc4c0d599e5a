"""The base tune table, on paper."""

from pathlib import Path

from bikewright.model.files import read_bike
from bikewright.model.tune import BaseTune
from bikewright.reports.setup import pressure_text
from bikewright.reports.sheets.page import Table
from bikewright.reports.sheets.tune_table import tune_page
from bikewright.reports.wording import ShownUnits
from bikewright.studies.tune_table import tune_table

BIKE = read_bike(Path(__file__).resolve().parents[3] / "examples" / "quillback")
STOCK = BIKE.build("stock")


def page(base=None, masses=(50.0, 80.0)):
    return tune_page(tune_table((STOCK,), BIKE.stock, base, masses), ShownUnits())


def test_a_mass_that_is_refused_has_its_reason_below_its_row():
    table = next(block for block in page().blocks if isinstance(block, Table))

    assert [row.cells[0].text for row in table.rows] == ["50 kg", "80 kg"]
    assert "cannot be held" in table.rows[0].notes[0] and table.rows[1].notes == ()


def test_another_base_or_other_masses_are_another_number():
    tune = BaseTune(name="stock", build=STOCK)

    assert page().key == page().key
    assert len({page().key, page(tune).key, page(masses=(50.0, 85.0)).key}) == 3


def test_a_spring_is_told_to_the_psi_and_a_tyre_to_a_tenth():
    assert pressure_text(5.0, ShownUnits()) == "5.00 bar (73 psi)"
    assert pressure_text(1.5, ShownUnits()) == "1.50 bar (21.8 psi)"

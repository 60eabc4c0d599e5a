"""`bikewright table`: the geometry chart, on a terminal and as CSV."""

import csv
import io

import pytest

from bikewright.model.addresses import with_value
from bikewright.model.files import read_bike
from bikewright.quantities import CATALOGUE
from bikewright.studies.evaluate import evaluate
from tests.interfaces.cli.asked import BIKES, QUILLBACK, ask

KEY_OF = {quantity.label: key for key, quantity in CATALOGUE.items()}


def answers(bike):
    build = read_bike(bike).builds[0]
    return [evaluate(with_value(build, "size", size.name)) for size in build.frame.sizes]


@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
@pytest.mark.parametrize("units", ["", "in,psi,lb"])
def test_a_column_a_size(bike, units):
    told = ask("table", bike, "--units", units)

    assert (told.code, told.err, told.too_wide) == (0, "", [])
    assert told.lines[2].split() == [size.name for size in read_bike(bike).frame.sizes]
    assert any(line.startswith("  reach ") for line in told.lines)


@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
@pytest.mark.parametrize("state", ["table", "stated-sag"])
def test_csv_is_the_study_in_the_digits_of_the_catalogue(bike, state, tmp_path):
    out = tmp_path / "chart.csv"
    told = ask("table", bike, "--state", state, "--out", out)
    assert (told.code, told.out) == (0, "")

    heads, *rows = csv.reader(io.StringIO(out.read_text(encoding="utf-8")))
    assert heads == ["quantity", "unit", *(answer.build.size for answer in answers(bike))]
    assert len(rows) > 10
    for label, unit, *cells in rows:
        quantity = CATALOGUE[KEY_OF[label]]
        address = f"{quantity.key}@{state}" if quantity.scope == "state" else quantity.key
        for answer, cell in zip(answers(bike), cells, strict=True):
            number = answer.value(address).number
            half = 0.5 * 10.0 ** -max(quantity.decimals, 1)
            assert (number is None) == (cell == "")
            assert number is None or float(cell) == pytest.approx(number, abs=half * 1.000001), label
        assert unit in ("mm", "°", "%", "")


def test_json_is_the_study_exactly():
    found = ask("table", QUILLBACK, "--json").document("sizes")

    assert found["state"] == "table"
    for told, answer in zip(found["sizes"], answers(QUILLBACK), strict=True):
        assert told["build"]["key"] == answer.key
        assert [value["value"] for value in told["values"]] == [value.number for value in answer.values("table")]


@pytest.mark.parametrize(("name", "found"), [("chart.svg", "'.svg'"), ("chart", "a name without an ending")])
def test_another_ending_is_refused(name, found, tmp_path):
    told = ask("table", QUILLBACK, "--out", tmp_path / name)

    assert told.code == 2
    assert told.err == f"'{name}': this is written as .csv, not as {found}\n"
    assert list(tmp_path.iterdir()) == []


def test_a_chart_with_a_linkage_that_cannot_close_says_so_once_beside_it():
    told = ask("table", QUILLBACK, "--with", "shock.chassis.eye_to_eye_mm=300")

    assert told.code == 2
    assert told.err.count("do not reach each other") == told.err.count("\n") == 1
    assert any(line.startswith("  fork travel ") for line in told.lines)


def test_a_refused_chart_says_so_beside_it():
    told = ask("table", QUILLBACK, "--with", "rear_tyre.width_mm=80")

    assert told.code == 2
    assert told.err.count("the rear tyre's width is 80 mm") == 1
    assert any(line.startswith("  reach ") for line in told.lines)

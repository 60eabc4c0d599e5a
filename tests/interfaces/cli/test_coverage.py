"""`bikewright coverage`: whom the sizes fit, told, drawn and counted."""

import csv
import io

import pytest

from tests.interfaces.cli.asked import CORBEL, QUILLBACK, WHERRY, ask

POSTS = ("--for", "S:seatpost=dropper-125", "--for", "M:seatpost=dropper-150")
STOCK = (QUILLBACK, "--build", "stock", *POSTS)
LIST = QUILLBACK / "buyers.csv"


@pytest.mark.parametrize("units", ["", "in,lb"])
def test_every_size_is_told_with_what_ends_its_band(units):
    told = ask("coverage", *STOCK, "--units", units, "--list", LIST)

    assert told.code == 0
    assert told.too_wide == []
    for size in ("S", "M", "L", "XL", "XXL"):
        assert size in told.lines
    for words in (
        "soldiers of one army, not customers",
        "the lowered saddle meets the tyre",
        "Not modelled",
        "any size",
    ):
        assert words in " ".join(told.out.split())
    assert "The 44 people of" in told.out
    assert "No size fits" in told.out


@pytest.mark.parametrize("bike", [WHERRY, CORBEL], ids=lambda bike: bike.name)
def test_other_bikes_have_a_coverage_too(bike):
    document = ask("coverage", bike, "--build", "stock", "--json").document("coverage")
    assert any(size["men"]["middle"] for size in document["sizes"])


def test_json_holds_the_buyers_too():
    found = ask("coverage", *STOCK, "--list", LIST, "--json", "--bound", "standing.shoulder=41..55")
    document = found.document("coverage")

    assert [size["size"] for size in document["sizes"]] == ["S", "M", "L", "XL", "XXL"]
    assert len(document["buyers"]["people"]) == 44
    assert document["bounds"] == [{"posture": "standing", "angle": "shoulder", "low_deg": 41.0, "high_deg": 55.0}]
    assert document["people"]["source"] == "ansur2"


def test_a_list_stands_in_place_of_the_survey():
    document = ask("coverage", *STOCK, "--population", LIST, "--json").document("coverage")
    assert document["people"]["count"] == 44


@pytest.mark.parametrize("ending", ["svg", "png", "pdf"])
def test_the_chart_and_the_sheet_are_written(ending, tmp_path):
    out = tmp_path / f"chart.{ending}"
    told = ask("coverage", *STOCK, "--out", out, "--draw", "women")

    assert (told.code, told.out) == (0, "")
    start = {"svg": b"<svg", "png": b"\x89PNG", "pdf": b"%PDF"}[ending]
    assert start in out.read_bytes()[:200]


def test_csv_has_every_edge(tmp_path):
    out = tmp_path / "edges.csv"
    assert ask("coverage", *STOCK, "--out", out).code == 0
    rows = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8"))))

    assert {row["size"] for row in rows} == {"S", "M", "L", "XL", "XXL"}
    assert {row["people"] for row in rows} == {"men", "women"}
    for row in rows:
        assert float(row["low_stature_mm"]) < float(row["high_stature_mm"])


def test_a_size_that_fits_nobody_is_exit_code_1():
    told = ask("coverage", QUILLBACK, "--build", "stock", "--bound", "standing.shoulder=44..50")

    assert told.code == 1
    assert "fits no one of mean proportions; the nearest, at" in told.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--for", "XS:seatpost=dropper-125"), "no size is called 'XS'"),
        (("--for", "seatpost=dropper-125"), "is not of the form SIZE:ADDRESS=VALUE"),
        (("--own", "L=nobody"), "no rider is called 'nobody'"),
        (("--bound", "standing.toe=1..2"), "has no angle 'toe'"),
        (("--women-pct", "130"), "130 % of women is no share"),
        (("--population", "nowhere.csv"), "nowhere.csv: It cannot be read"),
        (("--out", "chart.gif"), "not as '.gif'"),
    ],
)
def test_bad_input_is_exit_code_2(words, said):
    told = ask("coverage", QUILLBACK, *words)

    assert told.code == 2
    assert said in told.err


def test_a_list_with_wrong_units_names_line_and_column(tmp_path):
    path = tmp_path / "buyers.csv"
    path.write_text("height,size\n178 cm,L\n178 kg,L\n178 cm,Q\n", encoding="utf-8")
    told = ask("coverage", QUILLBACK, "--list", path)

    assert told.code == 2
    assert 'line 3, column 1: height: found "178 kg"' in told.err
    assert 'line 4, column 2: size: found "Q"; allowed: S or M or L or XL or XXL' in told.err


def test_a_population_of_too_few_is_refused(tmp_path):
    path = tmp_path / "few.csv"
    path.write_text("height\n178 cm\n", encoding="utf-8")
    told = ask("coverage", QUILLBACK, "--population", path)

    assert told.code == 2
    assert "1 people are too few for a population; give at least 30" in told.err

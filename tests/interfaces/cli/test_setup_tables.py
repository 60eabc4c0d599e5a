"""`bikewright tyres`, `damping` and `damper`: on a terminal, as JSON and as files."""

import csv
import io
import shutil

import pytest

from bikewright.model.files import read_bike
from bikewright.studies.tyre_setup import pressures_for
from tests.interfaces.cli.asked import CORBEL, QUILLBACK, ask


@pytest.mark.parametrize("units", ["", "in,psi,lb"])
@pytest.mark.parametrize("base", [(), ("--base", "home-trail")])
def test_tyres_tells_both_ends_with_limits_and_cautions(units, base):
    told = ask("tyres", QUILLBACK, "--build", "stock", "--units", units, *base)

    assert (told.code, told.err, told.too_wide) == (0, "", [])
    assert any(line.startswith("  pressure to begin with") for line in told.lines)
    assert "Not modelled:" in told.out and "printed on tyre, rim or insert comes first" in " ".join(told.lines)


def test_tyres_as_json_is_the_study():
    found = ask("tyres", QUILLBACK, "--build", "stock", "--with", "terrain=rough", "--json").document("tyres")
    build = read_bike(QUILLBACK).build("stock")
    setup = pressures_for(build.changed(settings=type(build.settings)(**{**vars(build.settings), "terrain": "rough"})))

    assert found["terrain"] == "rough"
    assert found["front"]["recommended_bar"] == pytest.approx(setup.front.recommended_bar, rel=1e-12)


@pytest.mark.parametrize("ending", ["svg", "png", "csv"])
@pytest.mark.parametrize("command", ["tyres", "damping"])
def test_charts_and_tables_are_written(command, ending, tmp_path):
    out = tmp_path / f"told.{ending}"
    told = ask(command, QUILLBACK, "--build", "stock", "--out", out)

    assert (told.code, told.out, told.err) == (0, "", "")
    assert out.stat().st_size > 300


def test_a_pressure_above_the_rims_limit_is_refused_by_how_much():
    told = ask("tyres", QUILLBACK, "--build", "stock", "--with", "rear_wheel.pressure_max_bar=1.1")

    assert told.code == 2
    assert "allows 1.10 bar" in told.err and "bar less" in told.err


@pytest.mark.parametrize("base", ["home-trail", "long-fork-trail", ""])
@pytest.mark.parametrize("build", ["stock", "long-fork", "coil"])
def test_damping_tells_frequencies_and_dials(build, base):
    told = ask("damping", QUILLBACK, "--build", build, *(("--base", base) if base else ()))

    assert (told.code, told.err, told.too_wide) == (0, "", [])
    assert "heave frequency" in told.out and "Turn no dial past its stop" in told.out
    assert "150 mm/s" in told.out


@pytest.mark.parametrize("base", [(), ("--base", "home-trail")])
def test_damping_as_json_has_every_dial(base):
    found = ask("damping", QUILLBACK, "--build", "stock", *base, "--json").document("damping")

    assert [(dial["end"], dial["circuit"]) for dial in found["dials"]] == [
        ("fork", "rebound"), ("fork", "compression"), ("shock", "rebound"), ("shock", "compression")
    ]  # fmt: skip
    assert found["speed_mm_s"] == 150.0
    assert all(value["value"] is not None for value in found["values"])


def test_the_other_demo_bike_waits_for_tables_and_says_so():
    told = ask("damping", CORBEL, "--build", "stock")

    assert told.code == 0
    assert "measured force-speed tables" in " ".join(told.out.split())


def test_a_tune_that_is_not_there_is_told():
    told = ask("damping", QUILLBACK, "--build", "stock", "--base", "home-trial")

    assert told.code == 2
    assert "Did you mean home-trail" in told.err


def test_a_measured_table_goes_round_from_file_to_part(tmp_path):
    folder = tmp_path / "bike"
    shutil.copytree(QUILLBACK, folder)
    bench = tmp_path / "bench.csv"
    assert ask("damping", folder, "--build", "stock", "--dial", "fork.rebound", "--out", bench).code == 0
    told = ask("damper", folder, "fork.single-crown-170", "rebound", bench, "--json")
    again = tmp_path / "again.csv"
    ask("damping", folder, "--build", "long-fork", "--dial", "fork.rebound", "--out", again)

    assert [file.endswith("forks.toml") for file in told.document("written")["files"]] == [True]
    rows = [list(csv.reader(io.StringIO(path.read_text(encoding="utf-8")))) for path in (bench, again)]
    assert rows[0] == rows[1] and len(rows[0]) > 30
    assert (
        (folder / "parts" / "forks.toml")
        .read_text(encoding="utf-8")
        .startswith((QUILLBACK / "parts" / "forks.toml").read_text(encoding="utf-8")[:400])
    )


def test_a_table_with_a_gap_is_refused_with_its_line(tmp_path):
    folder, bench = tmp_path / "bike", tmp_path / "bench.csv"
    shutil.copytree(QUILLBACK, folder)
    bench.write_text("clicks,speed (mm/s),force (N)\n0,50,100\n0,900,300\n16,50,30\n16,900,90\n", encoding="utf-8")
    told = ask("damper", folder, "fork.single-crown-170", "rebound", bench)

    assert told.code == 2
    assert "bench.csv, line" in told.err
    assert ask("damper", folder, "stem.none", "rebound", bench).code == 2


@pytest.mark.parametrize(
    ("command", "told"),
    [
        ("tyres", "the loads on the tyres wait for the pressure of the fork. `bikewright setup` finds springs and"),
        ("damping", "how 'stock-changed' swings waits for the pressure of the fork"),
    ],
)
def test_a_bike_that_is_not_pumped_is_told_what_waits(command, told):
    """Not "waits for the pressure of the fork" alone, without a word on what waits."""
    found = ask(command, QUILLBACK, "--build", "stock", "--with", "fork_pressure_bar=unknown")

    assert found.code == 2
    assert found.err.startswith(told)

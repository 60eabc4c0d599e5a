"""Whatever is typed wrongly: one clear sentence, exit code 2, no traceback; the same as JSON."""

from itertools import product

import pytest

from bikewright.errors import SolverDidNotSettle
from bikewright.interfaces.cli.main import COMMANDS, error_as_json
from tests.interfaces.cli.asked import QUILLBACK, ask
from tests.model.small_bike import lay, with_change

WRONG = [
    (("show", "nowhere"), "nowhere/bike.toml: found no file."),
    (("show", QUILLBACK, "--build", "stcok"), "no build is called 'stcok'. Did you mean stock?"),
    (("show", QUILLBACK, "--size", "XXXL"), "no size is called 'XXXL'. Did you mean XXL or XL?"),
    (("show", QUILLBACK, "--with", "fork=single-crown-165"), "Did you mean single-crown-1"),
    (("show", QUILLBACK, "--with", "frok=single-crown-170"), "'frok' is not known. Did you mean fork?"),
    (("show", QUILLBACK, "--with", "fork.lenght_mm=500"), "'lenght_mm' is not known here."),
    (("show", QUILLBACK, "--with", "linkage.pins.roker.z_mm=1"), "there is no 'roker'. Did you mean rocker"),
    (("show", QUILLBACK, "--with", "fork"), "'fork' is not a change; write ADDRESS=VALUE"),
    (("show", QUILLBACK, "--with", "chips.shock_mount=middle"), "has no position 'middle'"),
    (("show", QUILLBACK, "--with", "rider=nobody"), "no rider is called 'nobody'"),
    (("show", QUILLBACK, "--with", 'shock.spring="470 lbf/in"'), "no coil in stock has"),
    (("show", QUILLBACK, "--with", 'stem.length_mm="50 furlongs"'), "stem.length_mm"),
    (("show", QUILLBACK, "--with", "stem.length_mm=1500"), "found 1500; allowed: -20 to 150 mm. Did you mean 15?"),
    (("show", QUILLBACK, "--units", "furlong"), "'furlong' is no unit to show; there are: mm"),
    (("show", QUILLBACK, "--units", "in,mm"), "both in and mm measure a length; pick one"),
    (("compare", QUILLBACK, "--to", "nothing"), "no build is called 'nothing'"),
    (("compare", QUILLBACK, "--against", "nowhere"), "nowhere/bike.toml: found no file."),
    (("curve", QUILLBACK, "nonsense"), "'nonsense' is no quantity of the catalogue."),
    (("draw", QUILLBACK, "--out", "nowhere/bike.svg"), "there is no folder nowhere. Make it first"),
]
IDS = [" ".join(str(word) for word in words[:1] + words[2:]) for words, _ in WRONG]


@pytest.mark.parametrize(("words", "told"), WRONG, ids=IDS)
def test_a_wrong_word_is_one_sentence(words, told):
    answer = ask(*words)

    assert (answer.code, answer.out) == (2, "")
    assert told in answer.err
    assert answer.err.endswith("\n") and answer.err.count("\n") == 1


@pytest.mark.parametrize(("words", "told"), WRONG, ids=IDS)
def test_the_same_as_json(words, told):
    answer = ask(*words, "--json")
    found = answer.document("error")

    assert (answer.code, answer.err) == (2, "")
    assert told in found["error"]


@pytest.mark.parametrize(
    ("address", "number"),
    list(
        product(
            ("fork.chassis.offset_mm", "linkage.pins.rocker.z_mm", "sag_rear_pct", "sizes.M.reach_mm"),
            ("=nan", "=inf", "=-inf", "+=nan", "+=inf", "=1e400"),
        )
    ),
)
def test_what_is_no_finite_number_is_refused_by_its_address(address, number):
    told = ask("show", QUILLBACK, "--with", f"{address}{number}")

    assert (told.code, told.out) == (2, "")
    assert told.err.startswith(f"{address}: ") and "; allowed: " in told.err


@pytest.mark.parametrize("command", [name for name in COMMANDS if name not in ("doctor", "words")])
def test_a_command_without_its_words_shows_how_to_use_it(command):
    told = ask(command)

    assert (told.code, told.out) == (2, "")
    assert told.err.startswith(f"Usage: bikewright {command}") and "Missing argument" in told.err


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_is_an_answer(command):
    told = ask(*filter(None, (command,)), "--help")

    assert (told.code, told.err, told.too_wide) == (0, "", [])
    assert told.out.startswith("Usage: bikewright")


@pytest.mark.parametrize("port", ["-1", "65536", "http"])
def test_a_port_that_there_is_not_is_said(port):
    told = ask("serve", QUILLBACK, "--port", port)

    assert (told.code, told.out) == (2, "")
    assert "Invalid value for '--port'" in told.err and "Traceback" not in told.err


def test_no_such_command_is_said():
    told = ask("nonsense")

    assert told.code == 2
    assert "No such command 'nonsense'" in told.err


def test_every_fault_of_a_broken_folder_is_told_with_its_place(tmp_path):
    broken = with_change("bike.toml", "reach_mm = 455", "reach_mm = 4555")
    broken["bike.toml"] = broken["bike.toml"].replace("reach_mm = 430 ", "raech_mm = 430 ")
    broken |= with_change("riders.toml", "mass_kg = 82", "mass_kg = 820")
    lay(tmp_path, broken)
    told = ask("show", tmp_path)
    at = broken["bike.toml"].splitlines().index("reach_mm = 4555") + 1

    assert (told.code, told.out) == (2, "")
    lines = told.err.splitlines()
    assert any("sizes.M.reach_mm" in line and "4555" in line and f", line {at}," in line for line in lines)
    assert any("raech_mm" in line and "reach_mm" in line for line in lines)
    faults = ask("show", tmp_path, "--json").document("error")["faults"]
    assert len(faults) == len(lines) >= 3
    assert {"sizes.M.reach_mm", "sizes.S.raech_mm", "tall.mass_kg"} <= {fault["key"] for fault in faults}
    assert all(fault["line"] for fault in faults)


def test_every_file_that_is_broken_is_told(tmp_path):
    broken = with_change("riders.toml", "mass_kg = 82", "mass_kg = -82")
    broken |= with_change("brief.toml", "low = 64", 'low = "steep"')
    broken |= with_change("parts/rest.toml", "lower_stack_mm = 12", "lower_stak_mm = 12")
    lay(tmp_path, broken)
    told = ask("compare", tmp_path)

    assert told.code == 2
    for name in ("riders.toml", "brief.toml", "rest.toml"):
        assert name in told.err


def test_a_solver_that_did_not_settle_is_exit_code_3(monkeypatch):
    """No demo bike stops a solver, so the error is raised where the study would raise it."""
    from bikewright.interfaces.cli import show

    def stopped(build):
        raise SolverDidNotSettle("the sag did not settle: 0.3 mm left after 50 steps")

    monkeypatch.setattr(show, "evaluate", stopped)
    assert ask("show", QUILLBACK).code == 3
    assert error_as_json(SolverDidNotSettle("no"))["kind"] == "SolverDidNotSettle"

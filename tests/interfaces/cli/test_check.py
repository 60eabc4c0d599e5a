"""`bikewright check`: the brief's lines over all sizes; its exit code tells a script."""

import pytest

from bikewright.model.addresses import with_value
from bikewright.model.files import read_bike
from bikewright.physics import rest
from bikewright.studies.evaluate import evaluate
from tests.interfaces.cli.asked import BIKES, QUILLBACK, ask
from tests.model.small_bike import lay


@pytest.mark.parametrize("units", ["", "in,psi,lb"])
@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
def test_every_line_of_the_brief_is_judged_in_words_and_as_json(bike, units):
    told = ask("check", bike, "--units", units)
    found = ask("check", bike, "--json").document("check")

    assert told.too_wide == []
    assert told.code == (0 if found["met"] else 1)
    lines = [line for line in read_bike(bike).brief.lines if line.low is not None or line.high is not None]
    assert len(found["lines"]) == len(lines)


def test_the_numbers_in_json_are_those_of_the_study():
    bike = read_bike(QUILLBACK)
    found = ask("check", QUILLBACK, "--json").document("check")

    told = 0
    for line in found["lines"]:
        if line["gear"] or line["rider"]:
            continue
        address = f"{line['key']}@{line['state']}" if line["state"] else line["key"]
        for one in line["sizes"]:
            build = with_value(bike.builds[0], "size", one["size"])
            assert one["value"] == evaluate(build).value(address).number
            told += 1
    assert told > 20


def test_a_missed_line_is_exit_code_1_and_a_refusal_2():
    assert ask("check", QUILLBACK, "--with", "sizes.M.head_angle_deg=60").code == 1
    told = ask("check", QUILLBACK, "--with", "rear_tyre.width_mm=80")
    assert told.code == 2
    assert "the rear tyre's width is 80 mm" in " ".join(told.out.split())
    assert ask("check", QUILLBACK, "--with", "rear_tyre.width_mm=80", "--json").document("check")["refusals"]


def test_one_size_and_all_sizes_together_is_no_question():
    told = ask("check", QUILLBACK, "--size", "M", "--sizes")

    assert (told.code, told.out) == (2, "")
    assert "give one of the two" in told.err


def test_the_demo_builds_meet_their_brief_and_that_is_exit_code_0():
    for bike in BIKES:
        assert ask("check", bike, "--build", "stock").code == 0


def test_a_line_that_waits_is_exit_code_1_and_one_that_an_error_stopped_2():
    waiting = ask("check", QUILLBACK)  # nobody rides the datum build
    assert waiting.code == 1
    assert "Open: cannot be answered yet" in waiting.out

    locked = ask("check", QUILLBACK, "--build", "stock", "--with", "shock.chassis.eye_to_eye_mm=300")
    assert locked.code == 2
    assert "do not reach each other" in " ".join(locked.out.split())


def test_a_line_that_does_not_converge_is_exit_code_3(monkeypatch):
    """The solver itself, allowed one step; the pressure makes a build that nothing else remembers the answer of."""
    monkeypatch.setattr(rest, "STEPS_MAX", 1)
    told = ask("check", QUILLBACK, "--build", "stock", "--with", "settings.fork_pressure_bar=5.9371", "--size", "M")

    assert told.code == 3
    assert "the bike did not come to rest in 1 steps" in " ".join(told.out.split())


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('quantity = "head_angel_deg"\nlow = 1', "Did you mean head_angle_deg?"),
        ('quantity = "reach_mm"\nlow = 1\nrider = "tal"', "Did you mean tall?"),
        ('quantity = "reach_mm"\nlow = 470\nhigh = 460', "lies above it"),
        ('quantity = "reach_mm"\nlow = 460.2\nhigh = 460.4', "no value can lie between"),
    ],
)
def test_a_brief_that_cannot_be_meant_or_met_is_exit_code_2_with_its_line(tmp_path, line, says):
    told = ask("check", lay(tmp_path, {"brief.toml": f"format = 1\n\n[[line]]\n{line}\n"}))

    assert (told.code, told.out) == (2, "")
    assert says in told.err
    assert "brief.toml, line " in told.err


def test_no_brief_is_no_answer(tmp_path):
    told = ask("check", lay(tmp_path, {"brief.toml": "format = 1\n"}))

    assert told.code == 2
    assert "has no line to judge" in told.err


def test_a_size_that_is_not_there_is_named():
    told = ask("check", QUILLBACK, "--size", "Q")

    assert (told.code, told.out) == (2, "")
    assert "no size is called 'Q'" in told.err

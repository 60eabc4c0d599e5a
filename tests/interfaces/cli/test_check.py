"""`bikewright check`: the brief's lines over all sizes; its exit code tells a script."""

import pytest

from bikewright.model.addresses import with_value
from bikewright.model.files import read_bike
from bikewright.studies.evaluate import evaluate
from tests.interfaces.cli.asked import BIKES, QUILLBACK, ask


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

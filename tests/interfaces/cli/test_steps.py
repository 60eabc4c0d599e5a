"""`bikewright steps`: sizes stepped by a rule; what it prints is what `set` writes."""

import csv
import io
import shutil

import pytest

from bikewright.model.files import read_bike
from tests.interfaces.cli.asked import CORBEL, QUILLBACK, WHERRY, ask


@pytest.mark.parametrize(
    ("bike", "rule", "units"),
    [(QUILLBACK, "equal", "in"), (QUILLBACK, "posture", ""), (WHERRY, "share", ""), (CORBEL, "equal", "")],
    ids=lambda word: getattr(word, "name", word),
)
def test_each_rule_is_told_with_what_it_costs(bike, rule, units):
    told = ask("steps", bike, "--build", "stock", "--rule", rule, "--units", units, "--consequences")

    assert told.code in (0, 1)
    assert told.too_wide == []
    for words in ("What each rule costs", "as drawn", "equal steps", "equal posture", "equal share", "Not modelled"):
        assert words in told.out
    assert ("The rule is not met" in told.out) == (told.code == 1)
    assert "All sizes, the worst first" in told.out


def test_what_is_printed_is_what_set_writes(tmp_path):
    folder = tmp_path / "bike"
    shutil.copytree(QUILLBACK, folder)
    document = ask("steps", folder, "--build", "stock", "--rule", "posture", "--json").document("steps")
    changes = [f"{change['address']}={change['value']}" for change in document["changes"]]
    written = ask("set", folder, *changes)
    again = ask("steps", folder, "--build", "stock", "--rule", "posture", "--json").document("steps")

    assert written.code == 0
    assert read_bike(folder).frame.size("S").reach_mm == document["sizes"][0]["after"]["reach_mm"]
    for before, after in zip(document["sizes"], again["sizes"], strict=True):
        assert after["before"]["trunk_deg"] == pytest.approx(before["after"]["trunk_deg"], abs=0.05)


def test_a_cap_that_is_hit_is_exit_code_1_and_told():
    told = ask("steps", QUILLBACK, "--build", "stock", "--rule", "share", "--cap", "434..446")

    assert told.code == 1
    assert "the rear centre is at its cap of 434 mm, and the share stays" in told.out


def test_csv_has_a_row_a_size(tmp_path):
    out = tmp_path / "steps.csv"
    words = ("--rule", "equal", "--step", "reach=25 mm", "--keep", "M")
    assert ask("steps", QUILLBACK, *words, "--out", out).code == 0
    rows = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8"))))

    assert [float(row["after_reach_mm"]) for row in rows] == [434.0, 459.0, 484.0, 509.0, 534.0]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--keep", "Q"), "no size is called 'Q'"),
        (("--step", "reach"), "is not of the form NAME=MM"),
        (("--step", "reach=far"), '"far" is not a number with a unit'),
        (("--step", "wheel=5"), "'wheel' is not stepped"),
        (("--cap", "430"), "is not of the form LOW..HIGH"),
        (("--cap", "450..430"), "450 to 430 mm holds no rear centre"),
        (("--within", "-1"), "a tolerance of -1 cannot be met"),
        (("--own", "Q=joren"), "no size is called 'Q'"),
    ],
)
def test_bad_input_is_exit_code_2(words, said):
    told = ask("steps", QUILLBACK, "--rule", "share", *words)

    assert told.code == 2
    assert said in told.err


@pytest.mark.parametrize(("rule", "units"), [("posture", "in"), ("equal", "")])
def test_bar_parts_are_told_with_what_is_left_over(rule, units):
    told = ask(
        "steps", QUILLBACK, "--build", "stock", "--of", "bar", "--rule", rule, "--units", units, "--consequences"
    )

    assert told.code == 1
    assert told.too_wide == []
    for words in ("bar parts", "left over", "common practice", "The stock does not meet the rule", "by_size.S.bar="):
        assert words in told.out


def test_bar_parts_that_are_printed_are_what_set_writes(tmp_path):
    folder = tmp_path / "bike"
    shutil.copytree(QUILLBACK, folder)
    out = tmp_path / "bars.csv"
    asked = ("steps", folder, "--build", "stock", "--of", "bar", "--rule", "posture", "--keep", "L")
    document = ask(*asked, "--out", out, "--json").document("bar-steps")
    changes = [f"{change['address']}={change['value']}" for change in document["changes"]]
    assert ask("set", folder, "--build", "stock", *changes).code == 0
    build = read_bike(folder).build("stock")

    for one in document["sizes"]:
        there = build.in_size(one["size"])
        assert (there.parts.stem.name, there.parts.bar.name) == (one["after"]["stem"], one["after"]["bar"])
        assert there.settings.stem_spacers_mm == one["after"]["spacers_mm"]
    assert [row["size"] for row in csv.DictReader(io.StringIO(out.read_text()))] == ["S", "M", "L", "XL", "XXL"]
    again = ask(*asked, "--json").document("bar-steps")
    assert again["sizes"][1]["before"]["trunk_deg"] == pytest.approx(
        document["sizes"][1]["after"]["trunk_deg"], abs=0.05
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--rule", "share"), "moves the rear centre"),
        (("--rule", "equal", "--cap", "430..440"), "a cap of the rear centre means nothing"),
        (("--rule", "equal", "--step", "reach=20"), "There are: bar_width, grip_reach, grip_height"),
    ],
)
def test_bar_parts_that_cannot_be_asked_for_are_exit_code_2(words, said):
    told = ask("steps", QUILLBACK, "--build", "stock", "--of", "bar", *words)

    assert told.code == 2
    assert said in told.err


def test_a_size_that_even_steps_move_is_not_called_kept():
    """Lines through the end sizes pass beside the seat tube of size L; by posture it stays as it is."""
    even, posture = (
        ask("steps", QUILLBACK, "--build", "stock", "--rule", rule).lines[0] for rule in ("equal", "posture")
    )

    assert even == "Quillback, stock: equal steps, stated ones from size L, others even from S to XXL"
    assert posture.endswith("size L kept")

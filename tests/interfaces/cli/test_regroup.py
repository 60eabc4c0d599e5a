"""`bikewright regroup`: riders of an old range on a new one."""

import shutil

import pytest

from bikewright.model.files import read_bike
from bikewright.model.versions import keep
from tests.interfaces.cli.asked import QUILLBACK, WHERRY, ask

LIST = QUILLBACK / "buyers.csv"


@pytest.mark.parametrize("words", [(), ("--list", LIST)], ids=["survey", "list"])
def test_who_loses_their_size_is_told_first(words):
    told = ask("regroup", QUILLBACK, QUILLBACK, "--build", "stock", *words)

    assert told.too_wide == []
    assert told.lines[0] == "From Quillback, revision C, stock to Quillback, revision C, stock"
    assert told.code == (1 if words else 0)
    assert ("Lose their size" in told.out) == bool(words)


def test_moves_are_told_in_felt_steps():
    told = ask("regroup", WHERRY, QUILLBACK, "--build", "stock", "--for", "M:seatpost=dropper-150")

    assert "steps" in told.out
    assert "wheelbase" in told.out
    assert "share of weight on the front wheel" in told.out
    assert told.too_wide == []


@pytest.mark.parametrize("words", [(), ("--list", LIST)], ids=["survey", "list"])
def test_json_holds_the_groups(words):
    document = ask("regroup", QUILLBACK, QUILLBACK, "--build", "stock", "--json", *words).document("regroup")

    assert document["groups"]
    assert document["file"] == (str(LIST) if words else None)


def test_a_kept_version_is_an_old_range(tmp_path):
    folder = tmp_path / "bike"
    shutil.copytree(QUILLBACK, folder)
    kept = keep(folder, read_bike(folder).build("stock"), "as sold")
    ask("set", folder, "sizes.L.reach_mm=491", "sizes.L.wheelbase_mm=1270")
    told = ask("regroup", folder, folder, "--build", "stock", "--old-version", kept.label)

    assert "+10 mm  2.0 steps" in told.out


def test_a_list_whose_size_the_old_range_has_not_is_refused():
    told = ask("regroup", WHERRY, QUILLBACK, "--build", "stock", "--list", LIST)

    assert told.code == 2
    assert 'found "XXL"; allowed: S or M or L or XL' in told.err

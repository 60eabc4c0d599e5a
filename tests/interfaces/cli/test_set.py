"""`bikewright set`: a change goes into the files, and everything else stays as it was written."""

import pytest

from tests.interfaces.cli.asked import ask
from tests.model.small_bike import BIKE, lay


@pytest.fixture
def bike(tmp_path):
    return lay(tmp_path)


def test_comments_order_and_units_stay(bike):
    told = ask("set", bike, "sizes.S.reach_mm+=5", "sizes.M.stack_mm=625")

    assert (told.code, told.lines) == (0, [f"wrote {bike / 'bike.toml'}"])
    wanted = BIKE.replace("reach_mm = 430 ", "reach_mm = 435 ").replace('"62 cm"', '"62.5 cm"')
    assert (bike / "bike.toml").read_text() == wanted
    shown = ask("show", bike, "--size", "S")
    assert "  reach " in shown.out and "435 mm" in shown.out


def test_a_setting_goes_into_the_named_build(bike):
    found = ask("set", bike, "sag_rear_pct=33", "--build", "race", "--json").document("written")

    assert found["files"] == [str(bike / "builds.toml")]
    assert "settings.sag_rear_pct = 33" in (bike / "builds.toml").read_text()


def test_a_build_is_copied_and_changed_in_one_command(bike):
    told = ask("set", bike, "copy builds.race to trail", "builds.trail.settings.sag_rear_pct=29", "remove builds.mid")

    assert told.code == 0
    assert "[trail]" in (bike / "builds.toml").read_text()
    assert "[mid]" not in (bike / "builds.toml").read_text()
    shown = ask("show", bike, "--build", "trail", "--with", "copy sizes.S to XS", "--with", "size=XS")
    assert "size XS, trail-changed" in shown.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("sizes.M.reach_mm=9000",), "sizes.M.reach_mm"),
        (("sizes.M.reahc_mm=460",), "Did you mean reach_mm?"),
        (("fork=nothing", "--build", "race"), "allowed: the name of a fork"),
        (("fork=long",), "belongs to a build; say which"),
        (("sizes.M.reach_mm=nan",), "sizes.M.reach_mm"),
        (("sizes.M.reach_mm",), "is not a change; write ADDRESS=VALUE"),
    ],
)
def test_what_makes_no_sound_bike_changes_no_file(bike, words, told):
    before = {file: file.read_bytes() for file in bike.rglob("*.toml")}
    answer = ask("set", bike, *words)

    assert (answer.code, answer.out) == (2, "")
    assert told in answer.err and "Traceback" not in answer.err
    assert {file: file.read_bytes() for file in bike.rglob("*.toml")} == before

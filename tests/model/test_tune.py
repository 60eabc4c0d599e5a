"""Base tunes: builds as they were ridden, from ``tunes.toml``."""

import pytest

from bikewright.errors import AddressError, ModelFileError
from bikewright.model.files import read_bike
from bikewright.model.writing import write_changes
from tests.model.small_bike import lay

TUNE = """format = 1

[trail]
build = "race"
rider = "RIDER"
date = "2026-05-30"
note = "dry"

[trail.settings]
front_tyre_bar = "21 psi"
sag_front_pct = 22
"""


def with_tune(tmp_path, text=TUNE):
    folder = lay(tmp_path)
    rider = read_bike(folder).riders[0].name
    (folder / "tunes.toml").write_text(text.replace("RIDER", rider), encoding="utf-8")
    return folder, rider


def test_a_tune_is_its_build_with_its_settings_laid_over(tmp_path):
    folder, rider = with_tune(tmp_path)
    bike = read_bike(folder)
    tune, build = bike.tune("trail"), bike.build("race")

    assert tune.build.rider.name == rider
    assert tune.build.settings.front_tyre_bar == pytest.approx(1.448, abs=1e-3)
    assert tune.build.settings.sag_front_pct == 22
    assert tune.build.settings.sag_rear_pct == build.settings.sag_rear_pct
    assert tune.build.parts == build.parts
    assert (tune.date, tune.note) == ("2026-05-30", "dry")


def test_a_folder_without_tunes_has_none_and_a_name_that_is_not_there_is_told(tmp_path):
    bike = read_bike(lay(tmp_path / "bare"))
    assert bike.tunes == ()
    folder, _ = with_tune(tmp_path / "tuned")
    with pytest.raises(AddressError, match="Did you mean trail"):
        read_bike(folder).tune("trial")


@pytest.mark.parametrize(
    ("old", "new", "line", "told"),
    [
        ('build = "race"', 'build = "rice"', 4, "Did you mean race"),
        ('build = "race"\n', "", 3, "the name of a build"),
        ('rider = "RIDER"', 'rider = "nobody"', 5, "the name of a rider"),
        ('date = "2026-05-30"', 'date = "May"', 6, "a day, as in 2026-05-30"),
        ("note =", "notes =", 7, "Did you mean note"),
        ("sag_front_pct = 22", "sag_front = 22", 11, "sag_front_pct"),
        ("sag_front_pct = 22", "sag_front_pct = 99", 11, "60"),
        ("sag_front_pct = 22", "fork_rebound_clicks = 4.5", 11, "found 4.5"),
        ("[trail.settings]", "[trail]\nsettings = 1\n[other]", None, ""),
    ],
)
def test_a_fault_of_a_tune_is_told_where_it_stands(tmp_path, old, new, line, told):
    assert old in TUNE
    folder, _ = with_tune(tmp_path, TUNE.replace(old, new))
    with pytest.raises(ModelFileError) as caught:
        read_bike(folder)

    fault = caught.value.faults[0]
    assert fault.file.endswith("tunes.toml")
    assert line is None or fault.line == line
    assert told in str(caught.value)


def test_clicks_counted_from_the_other_end_are_turned_round(tmp_path):
    folder, _ = with_tune(tmp_path, TUNE + "fork_rebound_clicks = 5\n")
    path = next(p for p in (folder / "parts").glob("*.toml") if "[fork.long" in p.read_text(encoding="utf-8"))
    counted = "".join(f"\n[fork.{name}.damper]\nrebound_clicks = 16\n" for name in ("single-crown-150", "long"))
    path.write_text(path.read_text(encoding="utf-8") + counted, encoding="utf-8")

    assert read_bike(folder).tune("trail").build.settings.fork_rebound_clicks == 5
    tunes = folder / "tunes.toml"
    tunes.write_text(
        tunes.read_text(encoding="utf-8").replace("note =", 'fork_counted_from = "open"\nnote ='), encoding="utf-8"
    )
    assert read_bike(folder).tune("trail").build.settings.fork_rebound_clicks == 11


def test_clicks_from_the_other_end_of_an_uncounted_dial_are_refused(tmp_path):
    text = TUNE.replace("note =", 'fork_counted_from = "open"\nnote =') + "fork_rebound_clicks = 5\n"
    folder, _ = with_tune(tmp_path, text)
    with pytest.raises(ModelFileError, match="the fork's total of rebound clicks is not known"):
        read_bike(folder)


def test_a_tune_is_written_back_with_its_comments(tmp_path):
    folder, _ = with_tune(tmp_path, TUNE.replace('note = "dry"', 'note = "dry"  # that day'))
    write_changes(folder, ["tunes.trail.settings.sag_front_pct=24"], bike=read_bike(folder))

    assert read_bike(folder).tune("trail").build.settings.sag_front_pct == 24
    assert "# that day" in (folder / "tunes.toml").read_text(encoding="utf-8")


def test_a_tune_on_a_build_with_faults_of_its_own_tells_nothing_more(tmp_path):
    folder, _ = with_tune(tmp_path)
    builds = folder / "builds.toml"
    builds.write_text(
        builds.read_text(encoding="utf-8").replace("[race]\n", "[race]\ngrade_pct = 400\n"), encoding="utf-8"
    )
    with pytest.raises(ModelFileError) as caught:
        read_bike(folder)
    assert [fault.key for fault in caught.value.faults] == ["race.grade_pct"]

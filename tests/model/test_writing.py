"""A change edits its key and nothing else; a change that cannot be meant leaves every file as it was."""

import random
import stat
import tomllib

import pytest

from bikewright.errors import AddressError, ModelFileError
from bikewright.model.back_to_files import changes_for_files
from bikewright.model.drafting import read_edit
from bikewright.model.files import read_bike
from bikewright.model.writing import save_text, write_changes
from tests.model.small_bike import TEXTS, lay


def lines_changed(folder, name):
    """Lines that a file has now and had not, and had and has not."""
    now, before = (folder / name).read_text(encoding="utf-8").split("\n"), TEXTS[name].split("\n")
    return [line for line in now if line not in before], [line for line in before if line not in now]


def test_a_number_is_exchanged_and_its_comment_stays(tmp_path):
    lay(tmp_path)
    assert write_changes(tmp_path, ["sizes.S.reach_mm=433"]) == (tmp_path / "bike.toml",)
    assert lines_changed(tmp_path, "bike.toml") == (
        ["reach_mm = 433   # to the steering axis"],
        ["reach_mm = 430   # to the steering axis"],
    )


@pytest.mark.parametrize(
    ("change", "name", "written"),
    [
        ("sizes.M.stack_mm=625", "bike.toml", 'stack_mm = "62.5 cm"'),
        ("sizes.M.stack_mm+=5", "bike.toml", 'stack_mm = "62.5 cm"'),
        ("sizes.M.stack_mm+=1 in", "bike.toml", 'stack_mm = "64.54 cm"'),
        (("parts.tyre.trail-29.width_mm", 63.5), "parts/rest.toml", 'width_mm = "2.5 in"'),
        (("parts.coil.coil-500.rate_n_per_mm", 88.4390520), "parts/suspension.toml", 'rate_n_per_mm = "505 lbf/in"'),
        ("riders.tall.stature_mm=190 cm", "riders.toml", 'stature_mm = "190 cm"'),
        ("riders.tall.mass_kg=82.5", "riders.toml", "mass_kg = 82.5"),
        ("limits.fork_travel_max_mm-=5", "bike.toml", "fork_travel_max_mm = 155"),
        ("reason=first sample", "bike.toml", 'reason = "first sample"'),
    ],
)
def test_a_value_is_written_in_the_unit_that_the_file_has(tmp_path, change, name, written):
    lay(tmp_path, {"parts/suspension.toml": TEXTS["parts/suspension.toml"].replace('= "500 lbf/in"\n\n[wh', "")})
    if "coil" in str(change):  # so that the shock finds its coil by name
        text = TEXTS["parts/suspension.toml"].replace('spring = "500 lbf/in"', 'spring = "coil-500"')
        (tmp_path / "parts/suspension.toml").write_text(text, encoding="utf-8")
    write_changes(tmp_path, [change])
    new, _ = lines_changed(tmp_path, name)
    assert written in new
    assert len([line for line in new if "coil-500" not in line]) == 1
    read_bike(tmp_path)


def test_a_pin_in_an_inline_table_is_moved_in_place(tmp_path):
    lay(tmp_path)
    write_changes(tmp_path, ["linkage.pins.main.z_mm+=2.5"])
    new, old = lines_changed(tmp_path, "bike.toml")
    assert new == ['main = { x_mm = 10, z_mm = 62.5, joins = ["frame", "chainstay"] }']
    assert len(old) == 1


def test_tables_that_are_missing_are_made_beside_their_kin(tmp_path):
    lay(tmp_path)
    write_changes(
        tmp_path,
        [
            ("sizes.S.linkage.own_links", ["chainstay"]),
            "sizes.S.linkage.pins.main.z_mm=61",
            "builds.trail.size=S",
            "builds.trail.settings.sag_rear_pct=31",
        ],
    )
    bike = read_bike(tmp_path)
    assert bike.frame.size("S").linkage.pins[0].z_mm == 61
    assert (bike.build("trail").size, bike.build("trail").settings.sag_rear_pct) == ("S", 31)
    text = (tmp_path / "bike.toml").read_text(encoding="utf-8")
    assert text.index("[sizes.S.linkage") < text.index("[sizes.M]")
    assert lines_changed(tmp_path, "bike.toml")[1] == []


def test_addresses_of_a_build_find_their_file(tmp_path):
    lay(tmp_path)
    changes = ["size=S", "fork=single-crown-150", "sag_rear_pct=33", "chips.dropout=low", "rider.mass_kg=80"]
    write_changes(tmp_path, [*changes, "shock.chassis.stroke_mm=55"], build="race")
    race = read_bike(tmp_path).build("race")
    assert (race.size, race.settings.sag_rear_pct, race.chips[0].position) == ("S", 33, "low")
    assert (race.rider.mass_kg, race.parts.shock.chassis.stroke_mm) == (80, 55)
    assert "settings.sag_rear_pct = 33" in (tmp_path / "builds.toml").read_text(encoding="utf-8")


def test_a_part_of_the_datum_build_is_named_in_the_datum(tmp_path):
    lay(tmp_path)
    write_changes(tmp_path, ["headset=slacker"], build="datum")
    assert lines_changed(tmp_path, "bike.toml")[0] == ['headset = "slacker"']


@pytest.mark.parametrize(
    ("change", "build", "words"),
    [
        ("fork=long", None, "belongs to a build"),
        ("fork=long", "rase", "Did you mean race"),
        ("brief.x=3", None, "names nothing that can be written"),
        ("parts.frok.x.y=3", None, "Did you mean fork"),
        ("stem.length_mm=40", "race", "has no stem"),
        ("rider.mass_kg=40", "mid", "has no rider"),
        ("sizes.S.reach_mm.x=4", None, "not a table"),
        ("sizes.S.wheelbase_mm+=4", None, "found|is nothing"),
        ("maker+=4", None, "cannot be stepped"),
        ("sizes.S.reach_mm+=4 kg", None, "is a mass"),
        ("reach", None, "is not a change"),
    ],
)
def test_an_address_that_names_nothing_is_refused(tmp_path, change, build, words):
    lay(tmp_path)
    with pytest.raises(AddressError, match=words):
        write_changes(tmp_path, [change], build=build)
    assert all((tmp_path / name).read_text(encoding="utf-8") == text for name, text in TEXTS.items())


@pytest.mark.parametrize(
    "changes",
    [
        ["sizes.S.reach_mm=4330"],
        ["sizes.S.raech_mm=433"],
        ["riders.tall.mass_kg=80", "builds.race.rider=nobody"],
        ["linkage.pins.shock_front.x_mm+=1"],
        ["builds.mid.fork=long"],
        ["sizes.S.linkage.pins.upper.z_mm=310"],
    ],
)
def test_a_change_that_cannot_be_meant_leaves_every_file_as_it_was(tmp_path, changes):
    lay(tmp_path)
    with pytest.raises(ModelFileError):
        write_changes(tmp_path, changes)
    assert all((tmp_path / name).read_text(encoding="utf-8") == text for name, text in TEXTS.items())
    assert {str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*.*")} == set(TEXTS)


def test_a_file_that_somebody_else_changed_is_not_touched(tmp_path):
    bike = read_bike(lay(tmp_path))
    theirs = TEXTS["bike.toml"].replace("430", "431")
    (tmp_path / "bike.toml").write_text(theirs, encoding="utf-8")
    with pytest.raises(ModelFileError, match="changed since it was read"):
        write_changes(tmp_path, ["sizes.S.reach_mm=433"], bike=bike)
    assert (tmp_path / "bike.toml").read_text(encoding="utf-8") == theirs

    write_changes(tmp_path, ["riders.tall.mass_kg=80"], bike=bike)  # their change is in another file
    (tmp_path / "parts/stem.toml").write_text("format = 1\n", encoding="utf-8")
    with pytest.raises(ModelFileError, match="was made since"):
        write_changes(tmp_path, ["parts.stem.short.length_mm=35"], bike=bike)


def test_a_bike_that_was_read_under_another_path_is_the_same_bike(tmp_path, monkeypatch):
    bike = read_bike(lay(tmp_path / "bike"))
    monkeypatch.chdir(tmp_path)
    write_changes("bike", ["sizes.S.reach_mm=433"], bike=bike)
    with pytest.raises(ModelFileError, match="changed since it was read"):
        write_changes("bike", ["sizes.S.reach_mm=434"], bike=bike)


def test_an_inherited_or_new_part_gets_a_file_of_its_kind(tmp_path):
    lay(tmp_path)
    write_changes(tmp_path, ["parts.stem.short.length_mm=35"])
    text = (tmp_path / "parts/stem.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text) == {"format": 1, "stem": {"short": {"length_mm": 35}}}


def test_mode_line_ends_and_mark_of_a_file_are_kept(tmp_path):
    lay(tmp_path)
    path = tmp_path / "bike.toml"
    path.write_bytes(("\ufeff" + TEXTS["bike.toml"]).replace("\n", "\r\n").encode())
    path.chmod(0o640)
    write_changes(tmp_path, ["sizes.S.reach_mm=433", "sizes.S.linkage.shift_x_mm=1"])
    content = path.read_bytes()
    assert content.startswith("\ufeffformat".encode())
    assert content.count(b"\n") == content.count(b"\r\n") > 50
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_file_behind_a_link_is_changed_and_the_link_stays(tmp_path):
    lay(tmp_path / "bike")
    real = tmp_path / "shared-riders.toml"
    (tmp_path / "bike/riders.toml").rename(real)
    (tmp_path / "bike/riders.toml").symlink_to(real)
    write_changes(tmp_path / "bike", ["riders.tall.mass_kg=80"])
    assert (tmp_path / "bike/riders.toml").is_symlink()
    assert "mass_kg = 80" in real.read_text(encoding="utf-8")


def test_a_place_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(ModelFileError, match="cannot be written"):
        save_text(tmp_path / "file" / "below.toml", "x")


def test_nothing_is_left_behind_when_the_disk_refuses(tmp_path):
    target = tmp_path / "folder.toml"
    target.mkdir()
    with pytest.raises(ModelFileError, match="The old file is as it was"):
        save_text(target, "x")
    assert list(tmp_path.iterdir()) == [target]


def test_sixty_random_changes_change_what_they_say_and_nothing_else(tmp_path):
    """The data afterwards is the data before with the changed keys, as tomllib reads both."""
    rng = random.Random(11)
    for _ in range(60):
        lay(tmp_path)
        (tmp_path / "builds.toml").unlink()
        size, pin = rng.choice("SML"), rng.choice(["main", "horst", "rocker"])
        offers = {
            f"sizes.{size}.reach_mm": rng.randrange(400, 500),
            f"sizes.{size}.stack_mm": round(rng.uniform(600, 650), 1),
            f"sizes.{size}.wheelbase_mm": rng.randrange(1150, 1300),
            f"linkage.pins.{pin}.x_mm": rng.randrange(-400, 20),
            f"sizes.{size}.linkage.shift_z_mm": rng.randrange(-9, 9),
            "limits.ring_teeth_max": rng.randrange(30, 38),
            "outlines.stay.near": "rear_tyre",
            "revision": f"r{rng.randrange(99)}",
        }
        changes = {key: offers[key] for key in rng.sample(list(offers), rng.randrange(1, 5))}
        if "outlines.stay.near" in changes:
            changes["outlines.stay.points_mm"] = [[0, 0], [1, 1]]
        wanted = tomllib.loads(TEXTS["bike.toml"])
        for address, value in changes.items():
            *path, last = address.split(".")
            table = wanted
            for step in path:
                table = table.setdefault(step, {})
            table[last] = f"{value / 10:g} cm" if address == "sizes.M.stack_mm" else value
        write_changes(tmp_path, changes.items())
        text = (tmp_path / "bike.toml").read_text(encoding="utf-8")
        assert tomllib.loads(text) == wanted
        assert "# to the steering axis" in text
        lay(tmp_path)


@pytest.mark.parametrize("number", ["9" * 400, "1e999", "nan", "-inf"])
@pytest.mark.parametrize("operator", ["=", "+="])
def test_a_number_without_an_end_is_refused(tmp_path, operator, number):
    lay(tmp_path)
    with pytest.raises(AddressError, match=r"sizes\.S\.reach_mm: found -?(inf|nan); allowed: a number with an end"):
        write_changes(tmp_path, [f"sizes.S.reach_mm{operator}{number}"])
    assert (tmp_path / "bike.toml").read_text(encoding="utf-8") == TEXTS["bike.toml"]


@pytest.mark.parametrize("change", ["revision=2", "frame.revision=2", ("revision", "2")])
def test_digits_are_a_text_where_a_text_belongs(tmp_path, change):
    lay(tmp_path)
    write_changes(tmp_path, [change])
    assert read_bike(tmp_path).frame.revision == "2"


def test_a_size_may_be_called_by_a_number(tmp_path):
    lay(tmp_path, {"bike.toml": TEXTS["bike.toml"].replace("sizes.S]", "sizes.52]")})
    write_changes(tmp_path, [("builds.race.size", "52")])
    bike = read_bike(tmp_path)
    assert bike.build("race").size == "52"
    assert read_edit(bike, "mid", "size=52")[1].build("mid").size == "52"


@pytest.mark.parametrize("key", ["mass_g", "rear_share_pct", "mass_ahead_mm", "mass_above_mm"])
def test_what_a_draft_says_of_the_frames_mass_is_written(tmp_path, key):
    lay(tmp_path)
    bike = read_bike(tmp_path)
    _, draft = read_edit(bike, "race", f"{key}=31")
    changes = changes_for_files(bike, draft)
    assert changes == ((key, 31.0),)
    write_changes(tmp_path, changes, bike=bike)
    assert read_bike(tmp_path).frame == draft.frame


def test_a_new_line_of_the_brief_says_what_it_is_called(tmp_path):
    lay(tmp_path)
    write_changes(tmp_path, ["brief.trail_mm@table/S.low=110", "brief.trail_mm@table/S.high=125"])
    line = read_bike(tmp_path).brief.lines[-1]
    assert (line.name, line.size, line.low, line.high) == ("trail_mm@table", "S", 110, 125)


def test_a_text_that_is_no_unicode_is_told(tmp_path):
    lay(tmp_path)
    with pytest.raises(ModelFileError, match="not UTF-8"):
        write_changes(tmp_path, ["maker=a\udcff"])
    assert (tmp_path / "bike.toml").read_text(encoding="utf-8") == TEXTS["bike.toml"]


def test_lines_that_a_change_does_not_touch_keep_their_own_ends(tmp_path):
    lay(tmp_path)
    before = TEXTS["bike.toml"].encode().replace(b"\n", b"\r\n", 3)
    (tmp_path / "bike.toml").write_bytes(before)
    write_changes(tmp_path, ["sizes.S.reach_mm=433"])
    assert (tmp_path / "bike.toml").read_bytes() == before.replace(b"reach_mm = 430 ", b"reach_mm = 433 ")

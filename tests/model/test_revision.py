"""A revision holds what differs; the rest comes from the folder that it is based on, and so do the places."""

import pytest

from bikewright.errors import ModelFileError
from bikewright.model.files import read_bike
from bikewright.model.revision import merged
from bikewright.model.writing import write_changes
from tests.model.small_bike import lay

REVISION = """\
format = 1
based_on = "../quillback"
reason = "rocker cracked at the weld"
revision = "B"

[linkage.pins.horst]
z_mm = 42

[sizes.L]
reach_mm = 485
"""


@pytest.fixture
def bikes(tmp_path):
    lay(tmp_path / "quillback")
    (tmp_path / "second").mkdir()
    (tmp_path / "second/bike.toml").write_text(REVISION, encoding="utf-8")
    return tmp_path


def test_a_revision_is_the_old_bike_with_what_differs(bikes):
    old, new = read_bike(bikes / "quillback"), read_bike(bikes / "second")
    assert (new.frame.revision, new.frame.reason, new.frame.name) == ("B", "rocker cracked at the weld", "Quillback")
    assert (old.frame.linkage.pin("horst").z_mm, new.frame.linkage.pin("horst").z_mm) == (40, 42)
    assert new.frame.linkage.pin("horst").x_mm == -380
    assert [pin.name for pin in new.frame.linkage.pins] == [pin.name for pin in old.frame.linkage.pins]
    assert (new.frame.size("L").reach_mm, new.frame.size("S")) == (485, old.frame.size("S"))
    assert (new.stock, new.riders, new.brief) == (old.stock, old.riders, old.brief)
    assert [build.name for build in new.builds] == ["datum", "race", "mid"]


def test_parts_and_builds_are_added_to_and_changed(bikes):
    (bikes / "second/parts").mkdir()
    (bikes / "second/parts/more.toml").write_text(
        'format = 1\n[tyre.trail-29]\nwidth_mm = "2.5 in"\n[stem.short]\nlength_mm = 35\n', encoding="utf-8"
    )
    (bikes / "second/builds.toml").write_text(
        'format = 1\n[mid]\nstem = "short"\n[big]\nsize = "L"\n', encoding="utf-8"
    )
    bike = read_bike(bikes / "second")
    assert bike.frame.datum.front_radius_mm == pytest.approx(311 + 63.5)
    assert bike.stock.part("tyre", "trail-29").bead_seat_mm == 622
    assert bike.build("mid").parts.stem.length_mm == 35
    assert (bike.build("mid").size, bike.build("big").size) == ("M", "L")


def test_a_revision_can_be_revised(bikes):
    (bikes / "third").mkdir()
    (bikes / "third/bike.toml").write_text(
        'format = 1\nbased_on = "../second"\nreason = "shorter"\n[sizes.L]\nreach_mm = 475\n', encoding="utf-8"
    )
    frame = read_bike(bikes / "third").frame
    assert (frame.size("L").reach_mm, frame.linkage.pin("horst").z_mm, frame.revision) == (475, 42, "B")


def test_something_can_be_taken_out(bikes):
    text = REVISION.replace('revision = "B"', 'remove = ["linkage.chips", "limits", "sizes.S.rear_centre_mm"]')
    (bikes / "second/bike.toml").write_text(text, encoding="utf-8")
    (bikes / "second/builds.toml").write_text("format = 1\n[race]\nchips = 3\n", encoding="utf-8")
    with pytest.raises(ModelFileError, match=r"second/builds\.toml, line 3.*race\.chips"):
        read_bike(bikes / "second")
    (bikes / "quillback/builds.toml").unlink()
    (bikes / "second/builds.toml").unlink()
    frame = read_bike(bikes / "second").frame
    assert (frame.linkage.chips, frame.limits.fork_travel_max_mm, frame.size("S").rear_centre_mm) == ((), None, None)
    assert read_bike(bikes / "quillback").frame.linkage.chips != ()


@pytest.mark.parametrize(
    ("remove", "words"),
    [('["linkage.chip"]', "Nothing of that name"), ('"limits"', "a list of keys"), ("[3]", "a list of keys")],
)
def test_what_cannot_be_taken_out_is_told(bikes, remove, words):
    text = REVISION.replace('revision = "B"', f"remove = {remove}")
    (bikes / "second/bike.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ModelFileError, match=words):
        read_bike(bikes / "second")


def test_a_fault_names_the_file_that_the_value_is_in(bikes):
    base, second = bikes / "quillback/bike.toml", bikes / "second/bike.toml"
    base.write_text(base.read_text(encoding="utf-8").replace("reach_mm = 455", "reach_mm = 45"), encoding="utf-8")
    second.write_text(REVISION.replace("z_mm = 42", 'z_mm = "x"'), encoding="utf-8")
    with pytest.raises(ModelFileError) as caught:
        read_bike(bikes / "second")
    told = {fault.key: (fault.file, fault.line) for fault in caught.value.faults}
    assert told == {"sizes.M.reach_mm": (str(base), 21), "linkage.pins.horst.z_mm": (str(second), 7)}


@pytest.mark.parametrize(
    ("based_on", "words"),
    [
        ('"../nowhere"', r"line 2, column 1: based_on: found \"\.\./nowhere\".*no bike\.toml"),
        ("3", "a folder, as in"),
        ('"."', "neither has a start"),
        ('"../second/../second"', "neither has a start"),
        ('"a\\u0000b"', "no bike"),
    ],
)
def test_a_base_that_is_none_is_told(bikes, based_on, words):
    text = REVISION.replace('"../quillback"', based_on)
    (bikes / "second/bike.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ModelFileError, match=words):
        read_bike(bikes / "second")


def test_two_bikes_based_on_each_other_are_told(bikes):
    base = bikes / "quillback/bike.toml"
    base.write_text('based_on = "../second"\n' + base.read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(ModelFileError, match="based on this one"):
        read_bike(bikes / "second")


def test_a_chain_without_end_is_told(tmp_path):
    for number in range(30):
        folder = tmp_path / f"r{number}"
        folder.mkdir()
        (folder / "bike.toml").write_text(
            f'format = 1\nreason = "x"\nbased_on = "../r{number + 1}"\n', encoding="utf-8"
        )
    with pytest.raises(ModelFileError, match="more than 20 revisions"):
        read_bike(tmp_path / "r0")


def test_a_revision_says_why(bikes):
    (bikes / "second/bike.toml").write_text(REVISION.replace("reason", "maker"), encoding="utf-8")
    with pytest.raises(ModelFileError, match="Say why this revision differs"):
        read_bike(bikes / "second")


def test_a_change_to_a_revision_leaves_its_base_alone(bikes):
    before = (bikes / "quillback/bike.toml").read_text(encoding="utf-8")
    write_changes(bikes / "second", ["sizes.M.stack_mm=625", "linkage.pins.horst.x_mm-=1", "sizes.L.reach_mm+=5"])
    assert (bikes / "quillback/bike.toml").read_text(encoding="utf-8") == before
    frame = read_bike(bikes / "second").frame
    assert (frame.size("M").stack_mm, frame.linkage.pin("horst").x_mm, frame.size("L").reach_mm) == (625, -381, 490)
    assert 'stack_mm = "62.5 cm"' in (bikes / "second/bike.toml").read_text(encoding="utf-8")  # as the base writes it


def test_a_change_to_an_inherited_part_is_written_beside_the_revision(bikes):
    write_changes(bikes / "second", ["parts.tyre.trail-29.width_mm=2.6 in"])
    assert read_bike(bikes / "second").stock.part("tyre", "trail-29").width_mm == pytest.approx(66.04)
    assert read_bike(bikes / "quillback").stock.part("tyre", "trail-29").width_mm == pytest.approx(60.96)


def test_merging_keeps_the_older_order_and_touches_neither():
    old, new = {"a": {"x": 1, "y": 2}, "b": [1, 2]}, {"b": [3], "a": {"y": 5, "z": 6}, "c": 7}
    assert merged(old, new) == {"a": {"x": 1, "y": 5, "z": 6}, "b": [3], "c": 7}
    assert list(merged(old, new)) == ["a", "b", "c"]
    assert old == {"a": {"x": 1, "y": 2}, "b": [1, 2]}


def test_a_revision_is_read_through_a_link_to_its_folder(bikes, tmp_path):
    link = tmp_path / "elsewhere" / "link"
    link.parent.mkdir()
    link.symlink_to(bikes / "second", target_is_directory=True)
    assert read_bike(link).frame == read_bike(bikes / "second").frame


def test_hidden_files_among_the_parts_are_an_editors_own(bikes):
    parts = bikes / "quillback/parts"
    (parts / ".#rest.toml").symlink_to("somebody@somewhere.123")
    (parts / "._rest.toml").write_bytes(b"\0\5")
    assert read_bike(bikes / "quillback").builds

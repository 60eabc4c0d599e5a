"""Kept versions: written once, whole, and read back equal."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from bikewright.errors import AddressError, ModelError, ModelFileError
from bikewright.model.build import Parts
from bikewright.model.digest import digest
from bikewright.model.files import read_bike
from bikewright.model.parts import Stem
from bikewright.model.versions import keep, labels, plain_name, read_version
from bikewright.model.versions import plain as plain_tables
from tests.model.small_bike import lay

EXAMPLES = Path(__file__).parents[2] / "examples"
DEMO_BUILDS = [(folder, build.name) for folder in sorted(p for p in EXAMPLES.iterdir() if p.is_dir())
               for build in read_bike(folder).builds]  # fmt: skip


@pytest.fixture
def bike(tmp_path):
    lay(tmp_path)
    return read_bike(tmp_path)


@pytest.mark.parametrize(("folder", "name"), DEMO_BUILDS, ids=lambda value: getattr(value, "name", value))
def test_a_build_reads_back_equal(tmp_path, folder, name):
    build = read_bike(folder).build(name)
    kept = keep(tmp_path, build, "As it is", note="first", parent="0003-before")
    found = read_version(tmp_path, kept.label)
    assert found == kept
    assert found.build == build
    assert digest(found.build) == digest(build) == found.key


def test_a_value_that_is_unknown_where_the_default_is_not_reads_back_unknown(tmp_path, bike):
    build = bike.builds[0]
    build = build.changed(parts=Parts(stem=Stem(name="odd", length_mm=40.0, rise_deg=None)))
    assert read_version(tmp_path, keep(tmp_path, build, "x").label).build.parts.stem.rise_deg is None


def test_a_version_says_every_known_value_with_its_unit(tmp_path, bike):
    build = bike.builds[0]
    text = (tmp_path / "versions" / f"{keep(tmp_path, build, 'x').label}.toml").read_text(encoding="utf-8")
    assert "reach_mm = " in text
    assert "sag_front_pct = " in text  # a default is written out too, since a later release may have another
    numbers = re.findall(r"^(\w+) = -?[\d.]+$", text, flags=re.MULTILINE)
    bare = {
        key for key in numbers if not re.search(r"_(mm|deg|pct|kg|g|bar|cm2|cm3|n|mm_per_turn|turns|clicks|mm_s)$", key)
    }
    assert bare <= {"number", "format", "teeth", "braking_g", "g_out", "fork_spacers", "shock_spacers", "spacers_max",
                    "rate_n_per_mm", "ring_teeth_max"}  # fmt: skip


def test_numbers_are_unique_whoever_keeps_at_the_same_time(tmp_path, bike):
    code = (
        "import sys\nfrom bikewright.model.files import read_bike\nfrom bikewright.model.versions import keep\n"
        "build = read_bike(sys.argv[1]).builds[0]\nfor i in range(10): keep(sys.argv[1], build, sys.argv[2])"
    )
    writers = [subprocess.Popen([sys.executable, "-c", code, str(tmp_path), f"by-{who}"]) for who in range(3)]
    assert [writer.wait(60) for writer in writers] == [0, 0, 0]
    assert [int(label[:4]) for label in labels(tmp_path)] == list(range(1, 31))
    assert not list((tmp_path / "versions").glob("*.new"))


def test_a_request_that_is_sent_twice_keeps_one_version(tmp_path, bike):
    first = keep(tmp_path, bike.builds[0], "x", request="w:1")
    assert keep(tmp_path, bike.builds[0], "x", request="w:1") == first
    assert keep(tmp_path, bike.builds[0], "x", request="w:2").number == 2


def test_a_version_is_never_written_over(tmp_path, bike):
    label = keep(tmp_path, bike.builds[0], "x").label
    path = tmp_path / "versions" / f"{label}.toml"
    before = path.read_bytes()
    keep(tmp_path, bike.builds[-1], "x")
    assert path.read_bytes() == before
    assert path.stat().st_mode & 0o222 == 0


@pytest.mark.parametrize(
    ("name", "plain"),
    [("Longer stays", "longer-stays"), ("../../etc/passwd", "etc-passwd"), ("<img src=x>", "img-src-x"),
     ("", "version"), ("a" * 300, "a" * 60), ("Größer", "größer"), ("x\n\0y", "x-y"), ("...", "version")],
)  # fmt: skip
def test_a_name_becomes_one_that_a_file_can_have(tmp_path, bike, name, plain):
    assert plain_name(name) == plain
    version = keep(tmp_path, bike.builds[0], name)
    assert [path.name for path in (tmp_path / "versions").glob("*.toml")] == [f"0001-{plain}.toml"]
    assert read_version(tmp_path, "1") == version


def test_a_note_is_kept_as_it_was_typed(tmp_path, bike):
    note = 'two lines\n"quoted" = [x]\n\n[build]\n<b>\u2028'
    assert read_version(tmp_path, keep(tmp_path, bike.builds[0], "x", note=note).label).note == note


def test_a_version_that_was_changed_by_hand_is_refused(tmp_path, bike):
    label = keep(tmp_path, bike.builds[0], "x").label
    path = tmp_path / "versions" / f"{label}.toml"
    path.chmod(0o644)
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("grade_pct = 10.0", "grade_pct = 11.0"), encoding="utf-8")
    with pytest.raises(ModelFileError, match="changed after it was kept"):
        read_version(tmp_path, label)


@pytest.mark.parametrize(
    ("text", "told"),
    [("", "format"), ("format = 9", "format"), ("format = 1", r"\[version\]"), ("\0", "binary"),
     ("format = 1\n[version]\nnumber = 1\n[build]\n", r"build\.frame: found nothing")],
)  # fmt: skip
def test_a_file_that_is_no_version_is_told(tmp_path, bike, text, told):
    (tmp_path / "versions").mkdir()
    (tmp_path / "versions" / "0001-x.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ModelFileError, match=f"(?i){told}"):
        read_version(tmp_path, "0001-x")


def test_a_version_that_version_control_laid_down_with_other_line_ends_is_the_same(tmp_path, bike):
    kept = keep(tmp_path, bike.builds[0], "x")
    path = tmp_path / "versions" / f"{kept.label}.toml"
    path.chmod(0o644)
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    assert read_version(tmp_path, kept.label) == kept


@pytest.mark.parametrize("note", ["x" * 3000, "\ud800"], ids=["too long", "half a character"])
def test_a_note_that_no_file_can_hold_is_told_and_nothing_is_written(tmp_path, bike, note):
    with pytest.raises(ModelError, match=r"^note: found .*allowed"):
        keep(tmp_path, bike.builds[0], "x", note=note)
    assert labels(tmp_path) == ()


@pytest.mark.parametrize("label", ["9" * 5000, "0009-none", "../bike", "", "7", "0001-x/../../bike"])
def test_a_label_that_names_nothing_is_told(tmp_path, bike, label):
    keep(tmp_path, bike.builds[0], "x")
    with pytest.raises(AddressError, match="no version"):
        read_version(tmp_path, label)


def test_tables_hold_the_named_under_their_names(bike):
    tables = plain_tables(bike.builds[0])
    assert set(tables["frame"]["sizes"]) == {size.name for size in bike.frame.sizes}
    assert "name" not in tables["frame"]["sizes"][bike.frame.sizes[0].name]

"""What goes with the size: the size brings its own parts, a change made for a part holds in every size."""

import pytest

from bikewright.errors import AddressError, ModelFileError
from bikewright.model.addresses import apply, read_change, value_at, with_value
from bikewright.model.back_to_files import changes_for_files, typed_changes
from bikewright.model.build import remade
from bikewright.model.drafting import read_edit, with_version
from bikewright.model.files import read_bike
from bikewright.model.versions import keep, read_version
from bikewright.model.writing import write_changes
from tests.model.small_bike import TEXTS, lay

PARTS = """\
format = 1
[seatpost.short]
drop_mm = 125
length_mm = 390
[seatpost.middle]
drop_mm = 150
length_mm = 440
[seatpost.long]
drop_mm = 180
length_mm = 500
"""
BUILDS = """\
format = 1
[sold]
size = "L"
seatpost = "long"  # a remark

[sold.by_size.S]
seatpost = "short"  # legs

[sold.by_size.S.settings]
stem_spacers_mm = 5

[sold.by_size.M]
seatpost = "middle"
"""


def texts(builds=BUILDS):
    return {"parts/posts.toml": PARTS, "builds.toml": builds}


@pytest.fixture
def folder(tmp_path):
    return lay(tmp_path, {**TEXTS, **texts()})


def told(build):
    """Post and spacers of every size."""
    sizes = [build.in_size(size.name) for size in build.frame.sizes]
    return [f"{one.parts.seatpost.name} {one.settings.stem_spacers_mm:g}" for one in sizes]


def sold(folder, *changes):
    bike = read_bike(folder)
    build = bike.build("sold")
    for text in changes:
        build = apply(build, read_change(text), bike.stock, bike.riders)
    return build


def test_a_size_brings_its_own_parts_and_settings(folder):
    build = sold(folder)

    assert told(build) == ["short 5", "middle 10", "long 10"]
    assert with_value(build, "size", "S").parts == build.changed(size="S").parts == build.in_size("S").parts
    assert build.in_size("S").in_size("M").in_size("L") == build


@pytest.mark.parametrize(
    ("changes", "sizes"),
    [
        (["seatpost=middle"], ["middle 5", "middle 10", "middle 10"]),
        (["seatpost=middle", "size=S"], ["middle 5", "middle 10", "middle 10"]),
        (["size=S", "seatpost=short"], ["short 5", "short 10", "short 10"]),
        (["size=S", "stem_spacers_mm+=5"], ["short 10", "middle 10", "long 10"]),
        (["by_size.M.seatpost=short"], ["short 5", "short 10", "long 10"]),
        (["otherwise.seatpost=middle"], ["short 5", "middle 10", "middle 10"]),
        (["by_size.M.stem_spacers_mm=20", "otherwise.stem_spacers_mm=0"], ["short 5", "middle 20", "long 0"]),
        (["seatpost=middle", "by_size.S.seatpost=long"], ["long 5", "middle 10", "middle 10"]),
    ],
)
def test_a_change_of_a_part_holds_in_every_size_and_one_by_size_in_one(folder, changes, sizes):
    assert told(sold(folder, *changes)) == sizes


def test_a_change_inside_a_part_is_of_that_part_in_the_sizes_that_have_it(folder):
    build = sold(folder, "size=S", "seatpost.drop_mm=120")

    assert [build.in_size(size).parts.seatpost.drop_mm for size in "SML"] == [120, 150, 180]


def test_values_by_size_are_read_by_their_address(folder):
    build = sold(folder)

    assert value_at(build, "by_size.S.seatpost").name == "short"
    assert value_at(build, "by_size.S.settings.stem_spacers_mm") == 5
    assert value_at(build, "otherwise.seatpost").name == "long"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("by_size.XS.seatpost=short", "no size is called 'XS'"),
        ("by_size.S.seatpots=short", "Did you mean seatpost"),
        ("by_size.S.seatpost=shrot", "Did you mean short"),
        ("by_size.S.seatpost.drop_mm=120", r"parts\.seatpost\.NAME\.drop_mm"),
        ("by_size.S.stem_spacers_mm=900", "stem_spacers_mm"),
    ],
)
def test_what_cannot_be_meant_by_size_is_refused(folder, change, words):
    with pytest.raises(AddressError, match=words):
        sold(folder, change)


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ("by_size.M]", "by_size.N]", "sold.by_size.N", "a size"),
        ('seatpost = "short"', 'seatpots = "short"', "sold.by_size.S.seatpots", "Did you mean seatpost"),
        ('seatpost = "short"', 'seatpost = "shrot"', "sold.by_size.S.seatpost", "Did you mean short"),
        ("stem_spacers_mm = 5", "stem_spacer_mm = 5", "sold.by_size.S.settings.stem_spacer_mm", "stem_spacers_mm"),
        ("stem_spacers_mm = 5", "stem_spacers_mm = 500", "sold.by_size.S.settings.stem_spacers_mm", "80"),
        ("stem_spacers_mm = 5", "post_lowered_mm = 150", "sold.by_size.S.settings.post_lowered_mm", "drops 125 mm"),
        ('seatpost = "short"', 'rider = "tall"', "sold.by_size.S.rider", "parts and settings"),
        ('seatpost = "short"', 'size = "M"', "sold.by_size.S.size", "It stands in the build's own table."),
        ("sold", "datum", "datum.by_size.S.seatpost", "in another build"),
    ],
)
def test_a_fault_by_size_names_file_line_key_and_what_is_near(tmp_path, old, new, key, words):
    builds = BUILDS.replace(old, new)
    lay(tmp_path, {**TEXTS, **texts(builds)})
    with pytest.raises(ModelFileError) as caught:
        read_bike(tmp_path)

    fault = next(one for one in caught.value.faults if one.key == key)
    assert fault.file.endswith("builds.toml")
    line = builds.splitlines()[fault.line - 1]
    assert key.rsplit(".", maxsplit=1)[-1] in line
    assert words in str(fault)


@pytest.mark.parametrize(
    "edits",
    [
        ["seatpost=middle"],
        ["by_size.L.seatpost=short"],
        ["otherwise.seatpost=short", "size=S"],
        ["remove by_size.S.seatpost"],
        ["remove by_size.S.seatpost", "remove by_size.S.stem_spacers_mm"],
        ["remove by_size.S.seatpost", "remove by_size.M.seatpost"],
        ["by_size.S.seatpost=unknown"],
        ["stem_spacers_mm=20"],
        ["copy builds.sold to wet", "builds.wet.by_size.S.seatpost=long"],
        ["fork=unknown", "copy builds.sold to wet"],
        ["by_size.S.fork=unknown", "otherwise.fork=unknown", "copy builds.sold to wet"],
        ["parts.seatpost.short.drop_mm=100"],
    ],
)
def test_a_draft_is_written_so_that_the_files_say_what_it_said(folder, edits):
    before = draft = read_bike(folder)
    for text in edits:
        _, draft = read_edit(draft, "sold", text)
    write_changes(folder, changes_for_files(before, draft), bike=before)

    assert read_bike(folder).builds == draft.builds
    assert "# a remark" in (folder / "builds.toml").read_text() or edits == ["seatpost=middle"]


def written_and_read(folder, *edits):
    """The bike that the files say after a draft with these changes was written into them; it is the draft."""
    before = draft = read_bike(folder)
    for text in edits:
        _, draft = read_edit(draft, "sold", text)
    write_changes(folder, changes_for_files(before, draft), bike=before)
    after = read_bike(folder)
    assert (after.frame, after.builds) == (draft.frame, draft.builds)
    return after


def test_a_size_that_is_taken_out_takes_along_what_builds_had_for_it(folder):
    after = written_and_read(folder, "remove sizes.S").build("sold")

    assert told(after) == ["middle 10", "long 10"]
    assert after.sizes_of("seatpost") == ("M",)
    assert after.sizes_of("stem_spacers_mm") == ()
    assert after.otherwise.said == ("seatpost",)
    assert "by_size.S" not in (folder / "builds.toml").read_text()


def test_the_last_size_with_a_part_of_its_own_leaves_the_part_that_the_others_have(folder):
    after = written_and_read(folder, "remove by_size.M.seatpost", "remove sizes.S").build("sold")

    assert told(after) == ["long 10", "long 10"]
    assert (after.by_size, after.otherwise.said) == ((), ())
    assert "by_size" not in (folder / "builds.toml").read_text()


def test_a_copied_size_has_what_builds_have_for_the_one_that_was_copied(folder):
    after = written_and_read(folder, "copy sizes.S to XS", "copy sizes.L to XL").build("sold")

    assert told(after) == ["short 5", "middle 10", "long 10", "short 5", "long 10"]
    assert after.sizes_of("stem_spacers_mm") == ("S", "XS")
    again = written_and_read(folder, "by_size.XS.seatpost=middle", "remove sizes.S").build("sold")
    assert told(again) == ["middle 10", "long 10", "middle 5", "long 10"]


def test_a_frame_without_a_size_keeps_what_builds_have_for_the_others(folder):
    build = read_bike(folder).build("sold")
    fewer = remade(build.frame, {"sizes": tuple(size for size in build.frame.sizes if size.name != "M")})

    assert build.with_sizes_of(build.frame) == build
    assert build.with_sizes_of(fewer).sizes_of("seatpost") == ("S",)
    assert told(build.with_sizes_of(fewer)) == ["short 5", "long 10", "long 10"]
    assert build.with_size_like("L", "M") == build
    assert told(build.with_size_like("S", "M")) == ["short 5", "short 5", "long 10"]


def test_a_version_without_a_size_leaves_other_builds_without_what_was_for_it(folder):
    bike = written_and_read(folder, "copy builds.sold to wet")
    _, fewer = read_edit(bike, "sold", "remove sizes.S")
    back = with_version(bike, fewer.build("sold"))

    assert [told(back.build(name)) for name in ("sold", "wet")] == [["middle 10", "long 10"]] * 2
    write_changes(folder, changes_for_files(bike, back), bike=bike)
    assert read_bike(folder).builds == back.builds


@pytest.mark.parametrize(
    ("texts", "sizes"),
    [
        (["remove by_size.S.seatpost"], ["long 5", "middle 10", "long 10"]),
        (["remove by_size.S.stem_spacers_mm"], ["short 10", "middle 10", "long 10"]),
        (["remove by_size.S.settings.stem_spacers_mm"], ["short 10", "middle 10", "long 10"]),
        (["remove by_size.S.seatpost", "by_size.M.seatpost=short"], ["long 5", "short 10", "long 10"]),
        (
            ["remove builds.sold.by_size.S.seatpost", "otherwise.seatpost=middle"],
            ["middle 5", "middle 10", "middle 10"],
        ),
        (["remove sizes.S", "by_size.M.stem_spacers_mm=20"], ["middle 20", "long 10"]),
        (["copy sizes.S to XS", "by_size.XS.stem_spacers_mm=0"], ["short 5", "middle 10", "long 10", "short 0"]),
    ],
)
def test_set_takes_out_and_copies_what_goes_with_the_size_beside_values(folder, texts, sizes):
    before = read_bike(folder)
    write_changes(folder, typed_changes(before, "sold", texts), build="sold", bike=before)

    assert told(read_bike(folder).build("sold")) == sizes


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("by_size.L.seatpost", "size L has no seatpost of its own"),
        ("by_size.S.saddle", "size S has no saddle of its own"),
        ("by_size.XS.seatpost", "no size is called 'XS'"),
        ("by_size.S.shock.seatpost", "reaches into a part"),
        ("by_size.S.seatpst", "Did you mean seatpost"),
    ],
)
def test_what_a_size_does_not_have_is_not_taken_out(folder, address, words):
    with pytest.raises(AddressError, match=words):
        typed_changes(read_bike(folder), "sold", [f"remove {address}"])


def test_set_takes_what_sizes_had_out_of_the_file(folder):
    write_changes(folder, ["seatpost=middle"], build="sold")

    text = (folder / "builds.toml").read_text()
    assert told(read_bike(folder).build("sold")) == ["middle 5", "middle 10", "middle 10"]
    assert "by_size.M" not in text
    assert 'seatpost = "middle"  # a remark' in text


def test_set_leaves_it_in_for_otherwise_and_writes_one_size_alone(folder):
    write_changes(folder, ["otherwise.seatpost=middle", "by_size.M.stem_spacers_mm=15"], build="sold")

    assert told(read_bike(folder).build("sold")) == ["short 5", "middle 15", "middle 10"]


def test_a_change_made_in_the_size_that_is_looked_at_is_of_its_part(folder):
    bike = read_bike(folder)
    edit, draft = read_edit(bike, "sold", "seatpost.drop_mm-=5", size="S")

    assert (edit.part, edit.text, edit.size) == ("short", "120", "S")
    assert [part.drop_mm for part in draft.build("sold").fitted("seatpost")] == [180, 120, 150]


def test_a_kept_version_keeps_what_goes_with_the_size(folder):
    bike = read_bike(folder)
    version = read_version(folder, keep(folder, bike.build("sold").in_size("S"), "by size").label)

    assert told(version.build) == ["short 5", "middle 10", "long 10"]
    assert told(with_version(bike, version.build).build("sold")) == ["short 5", "middle 10", "long 10"]


def test_a_revision_lays_what_goes_with_the_size_over_the_earlier_one(folder):
    later = folder.parent / f"{folder.name}-later"
    later.mkdir()
    (later / "bike.toml").write_text(f'format = 1\nbased_on = "../{folder.name}"\nreason = "longer"\nrevision = "B"\n')
    (later / "builds.toml").write_text('format = 1\n[sold.by_size.M]\nseatpost = "long"\n')
    assert told(read_bike(later).build("sold")) == ["short 5", "long 10", "long 10"]

    # What the earlier revision says cannot be taken out here, so that every size is told the same.
    write_changes(later, ["seatpost=middle"], build="sold")
    assert told(read_bike(later).build("sold")) == ["middle 5", "middle 10", "middle 10"]
    assert told(read_bike(folder).build("sold")) == ["short 5", "middle 10", "long 10"]

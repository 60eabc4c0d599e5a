"""Changes made on a whole bike, and the changes of the files that say the same."""

import shutil
from dataclasses import replace

import pytest

from bikewright.errors import AddressError, ModelFileError
from bikewright.model.back_to_files import changes_for_files
from bikewright.model.drafting import made, read_edit, tried, value_in, value_text, with_version
from bikewright.model.files import read_bike
from bikewright.model.rider import Load
from bikewright.model.versions import keep, read_version
from bikewright.model.writing import REMOVED, write_changes
from tests.model.test_versions import EXAMPLES

QUILLBACK = EXAMPLES / "quillback"


@pytest.fixture
def bike():
    return read_bike(QUILLBACK)


@pytest.fixture
def folder(tmp_path):
    for path in [*QUILLBACK.glob("*.toml"), *QUILLBACK.glob("parts/*.toml")]:
        target = tmp_path / path.relative_to(QUILLBACK)
        target.parent.mkdir(exist_ok=True)
        target.write_bytes(path.read_bytes())
    return tmp_path


EDITS = [
    "linkage.pins.rocker.z_mm+=1.5",
    "sizes.M.reach_mm=462.5",
    "sizes.L.linkage.shift_x_mm=-3",
    "fork=single-crown-170",
    "fork.chassis.offset_mm=43",
    "shock=coil-230x57",
    "sag_rear_pct=31",
    "chips.shock_mount=high",
    "rider=tamsin",
    "rider.mass_kg=81.5",
    "posture=seated",
    "grade_pct=12",
    "riders.adebo.mass_kg-=2",
    "parts.fork.single-crown-170.chassis.bottomed_length_mm+=1",
    "brief.head_angle_deg@table.low=63.9",
    "brief.trail_mm@climbing.high=140",
    "brief.reach_mm@table/M/joren.low=440",
    "builds.coil.sag_rear_pct=27",
    "frame.revision=D",
    "frame.name=quillback-long",
]


@pytest.mark.parametrize("text", EDITS)
def test_a_draft_written_into_the_files_reads_back_as_the_draft(folder, text):
    bike = read_bike(folder)
    _, draft = read_edit(bike, "stock", text)
    assert draft != bike
    changes = changes_for_files(bike, draft)
    assert changes
    write_changes(folder, changes, bike=bike)
    written = read_bike(folder)
    assert written.builds == draft.builds
    assert written.riders == draft.riders
    assert written.brief == draft.brief
    assert changes_for_files(written, draft) == ()


def test_many_changes_are_written_together(folder):
    bike = draft = read_bike(folder)
    for text in EDITS:
        _, draft = read_edit(draft, "stock", text)
    write_changes(folder, changes_for_files(bike, draft), bike=bike)
    assert read_bike(folder).builds == draft.builds
    write_changes(folder, changes_for_files(read_bike(folder), bike))
    back = read_bike(folder).build("stock")  # and back again; a chip that was not set is set as it is drawn
    assert back.changed(chips=()) == bike.build("stock")
    assert [(chip.name, chip.position) for chip in back.chips] == [("shock_mount", "low")]


def test_a_step_is_journalled_as_what_it_came_to(bike):
    old = value_in(bike, "stock", "linkage.pins.rocker.z_mm")
    edit, draft = read_edit(bike, "stock", "linkage.pins.rocker.z_mm+=1.23456")
    assert edit.text == repr(round(old + 1.23456, 6))
    assert made(bike, edit) == draft
    assert made(draft, edit) == draft


@pytest.mark.parametrize(
    ("text", "value"),
    [("linkage.pins.rocker.z_mm=263.456789", "263.46"), ("sizes.M.head_angle_deg=64.31234", "64.31"),
     ("grade_pct=9.99999", "10.0"), ("linkage.pins.rocker.z_mm=10.3 in", "261.62"), ("fork_spacers=2", "2"),
     ("fork=single-crown-170", "single-crown-170")],
)  # fmt: skip
def test_a_drag_is_rounded_to_what_a_workshop_can_make(bike, text, value):
    assert read_edit(bike, "stock", text, rounded=True)[0].text == value


def test_a_typed_value_is_not_rounded(bike):
    assert read_edit(bike, "stock", "linkage.pins.rocker.z_mm=263.456789")[0].text == "263.456789"


def test_a_change_of_the_frame_concerns_every_build(bike):
    _, draft = read_edit(bike, "stock", "sizes.M.reach_mm=470")
    assert {build.frame.size("M").reach_mm for build in draft.builds} == {470.0} == {draft.frame.size("M").reach_mm}


def test_a_change_inside_a_part_concerns_every_build_that_carries_it(bike):
    _, draft = read_edit(bike, "stock", "fork.chassis.offset_mm=40")
    name = bike.build("stock").parts.fork.name
    for old, new in zip(bike.builds, draft.builds, strict=True):
        if old.parts.fork.name == name:
            assert new.parts.fork.chassis.offset_mm == 40
        else:
            assert new == old
    assert draft.stock.part("fork", name).chassis.offset_mm == 40


def test_a_change_inside_a_part_is_not_made_on_another_one(bike):
    edit, _ = read_edit(bike, "stock", "fork.chassis.offset_mm=40")
    _, other = read_edit(bike, "stock", "fork=single-crown-170")
    with pytest.raises(AddressError, match="was meant for"):
        made(other, edit)


def test_what_is_tried_is_what_would_be_made(bike):
    for text in EDITS:
        if not text.startswith(("builds", "brief", "riders.", "parts.")):
            assert tried(bike, bike.build("stock"), [text]) == read_edit(bike, "stock", text)[1].build("stock")


@pytest.mark.parametrize(
    "text",
    ["linkage.pins.nobody.z_mm=3", "nothing=3", "brief.nothing.low=3", "brief.head_angle_deg.none=3",
     "riders.nobody.mass_kg=80", "riders.adebo.mass_kg=heavy", "riders.adebo.name=x", "parts.fork.nobody.mass_g=3",
     "riders.adebo.mass_kg=8000", "builds.nobody.fork=x", "brief.head_angle_deg@table.low=89",
     "brief.head_angle_deg@nowhere.low=8", "brief.reach_mm/XS.low=4", "brief.reach_mm//nobody.low=4",
     "brief.reach_mm.size=M", "riders.adebo=x", "brief.head_angle_deg@table=60", "rider.mass_kg=-4",
     "fork.chassis.offset_mm=oval"],
)  # fmt: skip
def test_a_change_that_cannot_be_meant_is_told(bike, text):
    with pytest.raises(AddressError):
        read_edit(bike, "stock", text)


def test_a_kept_version_comes_back_with_its_frame_and_parts(tmp_path, bike):
    _, changed = read_edit(bike, "stock", "linkage.pins.rocker.z_mm+=1")
    _, changed = read_edit(changed, "stock", "fork.chassis.offset_mm=41")
    label = keep(tmp_path, changed.build("stock"), "x").label
    opened = with_version(bike, read_version(tmp_path, label).build)
    assert opened.build("stock") == changed.build("stock")
    assert [build.name for build in opened.builds] == [build.name for build in bike.builds]
    assert opened.build("coil").frame == changed.frame


def test_a_kept_version_can_be_written_back(folder, bike):
    _, changed = read_edit(bike, "stock", "linkage.pins.rocker.z_mm+=1")
    _, changed = read_edit(changed, "stock", "fork.chassis.offset_mm=41")
    _, changed = read_edit(changed, "stock", "sizes.L.linkage.shift_x_mm=-3")
    opened = with_version(read_bike(folder), changed.build("stock"))
    write_changes(folder, changes_for_files(read_bike(folder), opened))
    assert read_bike(folder).build("stock") == changed.build("stock")


@pytest.mark.parametrize("name", ["stock", "a-new-one"])
def test_what_a_kept_version_carries_is_written_back_too(folder, bike, name):
    build = bike.build("stock")
    kept = build.changed(name=name, loads=(*build.loads, Load(name="pack", mass_kg=5, on="rider", x_mm=-100)))
    write_changes(folder, changes_for_files(bike, with_version(bike, kept)))
    assert read_bike(folder).build(name).loads == kept.loads
    now = read_bike(folder)
    write_changes(folder, changes_for_files(now, with_version(now, now.build(name).changed(loads=()))), bike=now)
    assert read_bike(folder).build(name).loads == ()


def test_a_size_that_a_kept_version_has_not_is_taken_out_where_nothing_names_it(tmp_path, bike):
    build = bike.build("stock").changed(frame=replace(bike.frame, sizes=bike.frame.sizes[:-1]))
    draft = with_version(bike, build)
    changes = changes_for_files(bike, draft)
    assert ("sizes.XXL", REMOVED) in changes
    shutil.copytree(EXAMPLES / "quillback", tmp_path / "bike")
    with pytest.raises(ModelFileError, match=r'outlines\.seat_tube_rear_xxl\.sizes\[1\]: found "XXL"; allowed: a size'):
        write_changes(tmp_path / "bike", changes)


@pytest.mark.parametrize(
    ("thing", "text"),
    [
        (None, "unknown"),
        (True, "true"),
        (1.5, "1.5"),
        (32.0, "32"),
        (-0.0, "0"),
        (3, "3"),
        ("x", "x"),
        ((1, 2), "1, 2"),
    ],
)
def test_values_are_worded_as_addresses_take_them(thing, text):
    assert value_text(thing) == text

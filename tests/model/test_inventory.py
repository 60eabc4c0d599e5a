"""Things taken out and copied: what the draft says, what the files say afterwards, and what is refused."""

import pytest

from bikewright.errors import AddressError, ModelFileError
from bikewright.model.back_to_files import changes_for_files, typed_changes
from bikewright.model.brief import line_key, read_line_key
from bikewright.model.build import remade
from bikewright.model.drafting import made, read_edit, tried
from bikewright.model.drafts import Draft
from bikewright.model.files import read_bike
from bikewright.model.parts import KINDS
from bikewright.model.taking_out import taken_out
from bikewright.model.writing import REMOVED, write_changes
from tests.model.small_bike import lay
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


def comments(folder):
    return [
        line.strip()
        for file in sorted(folder.rglob("*.toml"))
        for line in file.read_text(encoding="utf-8").splitlines()
        if line.lstrip().startswith("#")
    ]


def add_marker(folder):
    """A pin that marks a place on the rocker, and its own place in one size: what is added by mistake."""
    file = folder / "bike.toml"
    text = file.read_text(encoding="utf-8")
    text = text.replace(
        "[limits]\n",
        '# A mark for the bolt.\n[linkage.pins.mark]\nx_mm = 10\nz_mm = 300\njoins = ["rocker"]\n\n[limits]\n',
    )
    text = text.replace(
        "# Four-bar,",
        '[sizes.M.linkage.pins.mark]\nx_mm = 12\n\n[sizes.M.linkage]\nown_links = ["rocker"]\n\n# Four-bar,',
    )
    file.write_text(text, encoding="utf-8")


GONE = [
    "remove brief.head_angle_deg@table",
    "remove brief.reach_mm@table/M",
    "remove loads.shifting",
    "remove builds.coil.loads.chain",
    "remove builds.mixed",
    "remove parts.fork.single-crown-150",
]


@pytest.mark.parametrize("text", GONE)
def test_what_is_taken_out_is_gone_from_the_files_and_the_other_comments_stay(folder, text):
    before, said = read_bike(folder), comments(folder)
    edit, draft = read_edit(before, "stock", text)
    assert draft != before
    assert made(before, edit) == draft
    write_changes(folder, changes_for_files(before, draft), bike=before)
    after = read_bike(folder)
    assert (after.builds, after.brief, after.stock, after.riders) == (
        draft.builds,
        draft.brief,
        draft.stock,
        draft.riders,
    )
    assert changes_for_files(after, draft) == ()
    own = ["# 27.5 in behind: the shock mount goes high to win back half of the bottom-bracket height."]
    assert [line for line in said if line not in comments(folder)] == (own if text == "remove builds.mixed" else [])


def test_a_pin_added_by_mistake_goes_with_its_places_in_single_sizes(folder):
    add_marker(folder)
    before = read_bike(folder)
    assert any(pin.name == "mark" for pin in before.frame.size("M").linkage.pins)
    _, draft = read_edit(before, "stock", "remove linkage.pins.mark")
    assert {build.frame for build in draft.builds} == {draft.frame}
    write_changes(folder, changes_for_files(before, draft), bike=before)
    assert read_bike(folder).builds == draft.builds
    text = (folder / "bike.toml").read_text(encoding="utf-8")
    assert "mark" not in text
    assert "# Four-bar, axle on the seatstay." in text


@pytest.mark.parametrize(
    ("address", "why"),
    [("linkage.pins.axle", "the axle"), ("linkage.pins.shock_upper", "the shock ends on it"),
     ("linkage.pins.shock_lower", "chip 'shock_mount'"), ("linkage.pins.nobody", "no pin"),
     ("parts.fork.single-crown-160", "carr"), ("parts.fork.nobody", "no fork"), ("riders.joren", "joren"),
     ("riders.nobody", "no rider"), ("builds.datum", "datum"), ("builds.nobody", "no build"),
     ("brief.trail_mm@climbing", "no line"), ("loads.nobody", "no load"), ("sizes.N", "no size"),
     ("sizes.L", "builds come in it; give them another first: stock"), ("sizes.XXL", "outlines name it"),
     ("builds.long-fork", "ridden with the tune long-fork-trail"),
     ("linkage", "can be is"), ("parts.fork", "can be is"), ("fork", "can be is")],
)  # fmt: skip
def test_what_is_needed_or_not_there_is_refused_in_a_sentence(bike, address, why):
    with pytest.raises(AddressError, match=why):
        read_edit(bike, "stock", f"remove {address}")


def test_a_rider_whom_the_brief_names_stays(bike):
    _, draft = read_edit(bike, "stock", "copy riders.joren to mira")
    _, named = read_edit(draft, "stock", "brief.reach_mm@table/M/mira.low=440")
    with pytest.raises(AddressError, match="the brief names mira"):
        read_edit(named, "stock", "remove riders.mira")
    assert [rider.name for rider in read_edit(draft, "stock", "remove riders.mira")[1].riders] == [
        rider.name for rider in bike.riders
    ]


@pytest.mark.parametrize("example", ["quillback", "corbel", "wherry"])
def test_a_copy_of_every_part_is_written_and_reads_back_as_the_copy(tmp_path, example):
    home = EXAMPLES / example
    for path in [*home.glob("*.toml"), *home.glob("parts/*.toml")]:
        target = tmp_path / path.relative_to(home)
        target.parent.mkdir(exist_ok=True)
        target.write_bytes(path.read_bytes())
    before, said = read_bike(tmp_path), comments(tmp_path)
    draft = before
    for kind in KINDS:
        for part in before.stock.shelf(kind):
            _, draft = read_edit(draft, "datum", f"copy parts.{kind}.{part.name} to {part.name}-b")
    write_changes(tmp_path, changes_for_files(before, draft), bike=before)
    after = read_bike(tmp_path)
    for kind in KINDS:
        assert set(after.stock.shelf(kind)) == set(draft.stock.shelf(kind))
        assert len(after.stock.shelf(kind)) == 2 * len(before.stock.shelf(kind))
    assert changes_for_files(after, draft) == ()
    assert [line for line in said if line not in comments(tmp_path)] == []


def test_a_copied_part_is_changed_without_the_first(folder):
    before = draft = read_bike(folder)
    for text in (
        "copy parts.fork.single-crown-170 to long",
        "parts.fork.long.chassis.offset_mm=40",
        "fork=long",
        "copy riders.joren to mira",
        "riders.mira.mass_kg=58",
        "copy builds.stock to wet",
        "builds.wet.front_tyre_bar=1.4",
        "builds.wet.rider=mira",
        "copy loads.chain to bottle",
        "loads.bottle.mass_kg=0.75",
    ):
        _, draft = read_edit(draft, "stock", text)
    assert draft.stock.part("fork", "single-crown-170") == before.stock.part("fork", "single-crown-170")
    assert draft.build("wet").rider.mass_kg == 58
    write_changes(folder, changes_for_files(before, draft), bike=before)
    after = read_bike(folder)
    assert after.builds == draft.builds
    assert after.riders == draft.riders
    assert after.build("stock").parts.fork.chassis.offset_mm == 40
    assert changes_for_files(after, draft) == ()


@pytest.mark.parametrize(
    ("text", "why"),
    [("copy riders.joren to tamsin", "already"), ("copy builds.stock to coil", "already"),
     ("copy parts.fork.single-crown-160 to single-crown-170", "already"), ("copy riders.joren to a.b", "name"),
     ("copy linkage.pins.main to other", "copied"), ("copy loads.nobody to other", "no load")],
)  # fmt: skip
def test_a_copy_that_cannot_be_made_is_told(bike, text, why):
    with pytest.raises(AddressError, match=why):
        read_edit(bike, "stock", text)


def test_what_is_tried_is_what_would_be_made(bike):
    text = "remove loads.chain"
    assert tried(bike, bike.build("stock"), [text]) == read_edit(bike, "stock", text)[1].build("stock")


def test_taking_out_and_copying_come_back_from_the_journal(tmp_path, bike):
    draft = Draft(tmp_path)
    edits = [read_edit(bike, "stock", text)[0] for text in ("remove loads.chain", "copy riders.joren to mira")]
    draft.make("a", edits)
    again = Draft(tmp_path).standing().edits
    assert [edit for _, edit in again] == edits
    assert [str(edit) for edit in edits] == ["remove loads.chain", "copy riders.joren to mira"]


def test_a_felt_step_of_its_own_is_taken_out_again(folder):
    before = read_bike(folder)
    _, draft = read_edit(before, "stock", "brief.head_angle_deg@table.felt_step=0.2")
    write_changes(folder, changes_for_files(before, draft), bike=before)
    now = read_bike(folder)
    assert "felt_step = 0.2" in (folder / "brief.toml").read_text(encoding="utf-8")
    _, back = read_edit(now, "stock", "brief.head_angle_deg@table.felt_step=unknown")
    write_changes(folder, changes_for_files(now, back), bike=now)
    assert (folder / "brief.toml").read_bytes() == (QUILLBACK / "brief.toml").read_bytes()


def test_the_brief_without_any_line_is_written(folder):
    before = draft = read_bike(folder)
    for line in before.brief.lines:
        _, draft = read_edit(draft, "stock", f"remove brief.{line_key(line)}")
    write_changes(folder, changes_for_files(before, draft), bike=before)
    assert read_bike(folder).brief.lines == ()
    assert "[[line]]" not in (folder / "brief.toml").read_text(encoding="utf-8")
    assert "# What the bike is meant to be" in (folder / "brief.toml").read_text(encoding="utf-8")


def test_what_an_earlier_revision_holds_is_not_taken_out_of_this_one(folder, tmp_path):
    new = tmp_path / "next"
    new.mkdir()
    (new / "bike.toml").write_text(
        'format = 1\nbased_on = "../"\nrevision = "D"\nreason = "another"\n', encoding="utf-8"
    )
    bike = read_bike(new)
    _, draft = read_edit(bike, "stock", "remove builds.mixed")
    with pytest.raises(AddressError, match="based on"):
        write_changes(new, changes_for_files(bike, draft), bike=bike)


@pytest.mark.parametrize(
    ("key", "parts"),
    [("reach_mm@table", ("reach_mm@table", "", "")), ("reach_mm@table/M", ("reach_mm@table", "M", "")),
     ("reach_mm@table/M/joren", ("reach_mm@table", "M", "joren")), ("reach_mm//joren", ("reach_mm", "", "joren")),
     ("anti_squat_at_sag_pct@climbing/32x51", ("anti_squat_at_sag_pct@climbing/32x51", "", "")),
     ("anti_squat_at_sag_pct/32x51/M", ("anti_squat_at_sag_pct/32x51", "M", ""))],
)  # fmt: skip
def test_the_key_of_a_line_is_read_with_its_gear(key, parts):
    assert read_line_key(key) == parts


def test_a_line_for_one_gear_is_added_and_taken_out(folder):
    before = read_bike(folder)
    _, draft = read_edit(before, "stock", "brief.anti_squat_at_sag_pct/32x51.low=90")
    write_changes(folder, changes_for_files(before, draft), bike=before)
    now = read_bike(folder)
    assert now.brief == draft.brief
    _, back = read_edit(now, "stock", "remove brief.anti_squat_at_sag_pct/32x51")
    write_changes(folder, changes_for_files(now, back), bike=now)
    assert read_bike(folder).brief == before.brief


INLINE = """# head
[pins]
main = { x_mm = 1, z_mm = 2 } # the first
# of the other
other = { x_mm = 3, z_mm = 4 }
"""
HEADED = """format = 1
text = '''
[b]
'''

# about a
[a]
x = 1
# note inside a

# about b
[b] # heading of b
y = 2

[b.inner]
z = 3

# note before c

[c]
w = 4
"""


def test_a_table_on_one_line_is_taken_out(tmp_path):
    told = taken_out(tmp_path / "x.toml", INLINE, ("pins", "main"))
    assert told == "# head\n[pins]\n# of the other\nother = { x_mm = 3, z_mm = 4 }\n"


def test_a_table_goes_with_its_inner_ones_and_the_comment_on_top_of_it(tmp_path):
    told = taken_out(tmp_path / "x.toml", HEADED, ("a",))
    assert told == HEADED.replace("# about a\n[a]\nx = 1\n", "")
    assert "# note inside a" in told


def test_a_heading_inside_of_a_text_is_not_mistaken(folder):
    """The text is read again and compared, so that no more is lost than was meant."""
    file = folder / "riders.toml"
    file.write_text(
        file.read_text(encoding="utf-8").replace(
            'note = "Rides a coil; asks for a steep seat angle."', "note = '''\n[tamsin]\n'''"
        ),
        encoding="utf-8",
    )
    before = file.read_bytes()
    with pytest.raises((ModelFileError, AddressError)):
        write_changes(folder, [("riders.tamsin", REMOVED)])
    assert file.read_bytes() == before


def test_what_is_not_in_the_files_cannot_be_taken_out(folder):
    with pytest.raises(AddressError, match="not there"):
        write_changes(folder, [("riders.nobody", REMOVED)])
    with pytest.raises(AddressError, match="not there"):
        write_changes(folder, [("brief.trail_mm@climbing", REMOVED)])


def test_a_size_is_taken_out_of_the_files_and_the_datum_build_keeps_its_own(tmp_path):
    """It comes in the middle size, which is another one afterwards."""
    before = read_bike(lay(tmp_path))
    assert before.build("datum").size == "M"
    _, draft = read_edit(before, "race", "size=S")
    _, draft = read_edit(draft, "race", "remove sizes.L")
    write_changes(tmp_path, changes_for_files(before, draft), bike=before)
    after = read_bike(tmp_path)
    assert [size.name for size in after.frame.sizes] == ["S", "M"]
    assert after.builds == draft.builds
    assert after.build("datum").size == "M"
    assert "sizes.L" not in (tmp_path / "bike.toml").read_text(encoding="utf-8")


def test_a_copy_of_a_size_is_written_with_all_that_it_says(folder):
    before = read_bike(folder)
    _, draft = read_edit(before, "stock", "copy sizes.XL to XXXL")
    write_changes(folder, changes_for_files(before, draft), bike=before)
    after = read_bike(folder)
    assert (after.frame, after.builds) == (draft.frame, draft.builds)
    assert after.frame.size("XXXL").reach_mm == after.frame.size("XL").reach_mm


def test_the_last_size_stays(tmp_path):
    bike = read_bike(lay(tmp_path))
    one = bike.with_frame(remade(bike.frame, {"sizes": bike.frame.sizes[:1]}))
    with pytest.raises(AddressError, match="it is the only one"):
        read_edit(one, "race", f"remove sizes.{one.frame.sizes[0].name}")


def test_removals_and_copies_may_be_typed_beside_values(folder):
    before = read_bike(folder)
    texts = ["copy builds.stock to race", "copy parts.fork.single-crown-150 to mine", "remove builds.mixed",
             "builds.race.fork=mine", "parts.fork.mine.chassis.offset_mm=1.7 in"]  # fmt: skip
    write_changes(folder, typed_changes(before, "", texts), bike=before)
    after = read_bike(folder)
    assert after.build("race").parts.fork.name == "mine"
    assert after.stock.part("fork", "mine").chassis.offset_mm == pytest.approx(43.18)
    assert "mixed" not in [build.name for build in after.builds]
    assert 'offset_mm = "1.7 in"' in (folder / "parts/forks.toml").read_text(encoding="utf-8")
    with pytest.raises(AddressError, match=r"say which, or write builds\.NAME\.loads\.chain"):
        typed_changes(before, "", ["remove loads.chain"])


def test_what_is_tried_may_use_what_was_copied_before(bike):
    texts = ["copy parts.fork.single-crown-150 to mine", "parts.fork.mine.chassis.offset_mm=44", "fork=mine"]
    build = tried(bike, bike.build("stock"), ["sizes.L.reach_mm=488", *texts, "remove loads.chain"])
    assert (build.parts.fork.chassis.offset_mm, build.geometry_row.reach_mm) == (44, 488)
    assert "chain" not in [load.name for load in build.loads]


def test_a_pin_without_which_a_link_of_known_width_hangs_on_one_stays():
    """The file would not be read again: a link that the heel passes has two pins at least."""
    bike = read_bike(EXAMPLES / "corbel")
    with pytest.raises(AddressError, match="'link', whose width is given, would hang on one pin"):
        read_edit(bike, "stock", "remove linkage.pins.link_rear")

"""The journal of a draft: in order, once each, back and forth, and whole after whatever ends the process."""

import json
import os

import pytest

from bikewright.errors import ModelFileError
from bikewright.model.drafting import Edit
from bikewright.model.drafts import JOURNAL, PLACE, Draft


def edit(number):
    return Edit("stock", "sizes.M.reach_mm", f"{number}", was="455.0")


def texts(draft):
    return [step.text for _, step in draft.standing().edits]


@pytest.fixture
def draft(tmp_path):
    return Draft(tmp_path)


def test_a_new_draft_says_what_the_files_say_and_writes_nothing(draft, tmp_path):
    standing = draft.standing()
    assert (standing.version, standing.texts, standing.edits) == ("", {}, ())
    assert not draft.can_undo
    assert not draft.can_redo
    assert list(tmp_path.iterdir()) == []


def test_undo_and_redo_walk_the_journal_without_limit(draft, tmp_path):
    for number in range(300):
        draft.make(f"w:{number}", [edit(number)])
    for number in reversed(range(300)):
        assert texts(draft) == [str(one) for one in range(number + 1)]
        draft.undo(f"u:{number}")
    draft.undo("too far")
    assert texts(draft) == []
    for _ in range(300):
        draft.redo()
    draft.redo()
    assert len(texts(draft)) == 300
    assert texts(Draft(tmp_path)) == texts(draft)


def test_a_change_after_undo_leaves_what_was_undone_behind(draft, tmp_path):
    draft.make("a", [edit(1)])
    draft.make("b", [edit(2)])
    draft.undo()
    draft.make("c", [edit(3)])
    assert texts(draft) == texts(Draft(tmp_path)) == ["1", "3"]
    assert not draft.can_redo
    assert '"text":"2"' in (tmp_path / PLACE / JOURNAL).read_text(encoding="utf-8")  # it is still in the journal


@pytest.mark.parametrize("what", ["make", "undo", "redo", "open", "pin"])
def test_the_same_identity_does_a_thing_once(draft, tmp_path, what):
    draft.make("a", [edit(1)])
    draft.make("b", [edit(2)])
    draft.undo("z")
    deed = {
        "make": lambda: draft.make("x", [edit(3)]),
        "undo": lambda: draft.undo("x"),
        "redo": lambda: draft.redo("x"),
        "open": lambda: draft.open("x", "0001-one"),
        "pin": lambda: draft.pin("x", {"to": "draft"}),
    }[what]
    deed()
    once, length = draft.standing(), (tmp_path / PLACE / JOURNAL).stat().st_size
    deed()
    assert draft.standing() == once
    again = Draft(tmp_path)
    again.make("x", [edit(9)])
    assert again.standing() == once
    assert (tmp_path / PLACE / JOURNAL).stat().st_size == length


def test_opening_a_version_is_a_step_that_can_be_undone(draft, tmp_path):
    draft.make("a", [edit(1)])
    draft.open("b", "0003-other")
    draft.make("c", [edit(2)])
    assert draft.standing().version == "0003-other"
    assert texts(draft) == ["2"]
    draft.undo()
    draft.undo()
    assert draft.standing().version == ""
    assert texts(Draft(tmp_path)) == ["1"]


def test_after_a_write_the_files_hold_the_changes_and_undo_knows_what_they_said_before(draft, tmp_path):
    draft.make("a", [edit(1)])
    draft.wrote("w", {"bike.toml": "old"})
    assert draft.standing() == Draft(tmp_path).standing()
    assert (texts(draft), draft.standing().texts) == ([], {})
    draft.undo()
    assert (texts(draft), draft.standing().texts) == (["1"], {"bike.toml": "old"})
    draft.undo()
    assert (texts(draft), draft.standing().texts) == ([], {"bike.toml": "old"})


def test_a_change_after_undoing_a_write_still_stands_on_the_old_texts(draft, tmp_path):
    draft.make("a", [edit(1)])
    draft.wrote("w", {"bike.toml": "old"})
    draft.undo()
    draft.make("b", [edit(2)])
    for one in (draft, Draft(tmp_path)):
        assert (texts(one), one.standing().texts) == (["1", "2"], {"bike.toml": "old"})
    draft.wrote("w2", {"bike.toml": "written", "parts/fork.toml": None})
    assert draft.standing().texts == {}
    draft.undo()
    for one in (draft, Draft(tmp_path)):
        assert one.standing().texts == {"bike.toml": "old", "parts/fork.toml": None}
        assert texts(one) == ["1", "2"]


def test_what_a_file_said_before_a_write_is_past_once_somebody_else_wrote_it(draft, tmp_path):
    draft.wrote("w", {"bike.toml": "old", "riders.toml": "old"})
    draft.undo()
    draft.disk_changed(["bike.toml"])
    assert draft.standing().texts == Draft(tmp_path).standing().texts == {"riders.toml": "old"}


def test_a_parked_step_stays_in_the_journal_and_out_of_the_draft(draft, tmp_path):
    draft.make("a", [edit(1)])
    draft.make("b", [edit(2)])
    draft.park("a", "there is no such pin")
    assert texts(draft) == texts(Draft(tmp_path)) == ["2"]
    assert Draft(tmp_path).parked == {"a": "there is no such pin"}
    draft.park("a", "")
    assert texts(Draft(tmp_path)) == ["1", "2"]


@pytest.mark.fault
def test_wherever_the_last_line_is_torn_it_alone_is_dropped(draft, tmp_path):
    draft.make("a", [edit(1)])
    path = tmp_path / PLACE / JOURNAL
    sound = path.read_bytes()
    draft.make("b", [Edit("stock", "frame.reason", "größer", was="")])
    whole = path.read_bytes()
    for cut in range(len(sound), len(whole)):
        path.write_bytes(whole[:cut])
        torn = Draft(tmp_path)
        assert texts(torn) == ["1"]
        assert torn.told == ""
        assert path.read_bytes() == sound
        torn.make("c", [edit(3)])
        assert texts(Draft(tmp_path)) == ["1", "3"]
    path.write_bytes(whole)
    assert texts(Draft(tmp_path)) == ["1", "größer"]


@pytest.mark.fault
@pytest.mark.parametrize("line", ["no json", "[]", "{}", '{"event":"make"}', '{"event":"make","id":"x","edits":[{}]}',
                                  '{"event":"park"}', "\x00\x00", "null"])  # fmt: skip
def test_a_damaged_line_is_kept_aside_and_told(draft, tmp_path, line):
    draft.make("a", [edit(1)])
    path = tmp_path / PLACE / JOURNAL
    with path.open("a", encoding="utf-8") as file:
        file.write(line + "\n")
        file.write(json.dumps({"event": "undo", "id": ""}) + "\n")
    damaged = path.read_bytes()
    again = Draft(tmp_path)
    assert texts(again) == ["1"]
    assert "draft-damaged-1.jsonl" in again.told
    assert path.with_name("draft-damaged-1.jsonl").read_bytes() == damaged
    assert Draft(tmp_path).told == ""


@pytest.mark.fault
def test_a_journal_kept_aside_takes_no_name_that_stands(draft, tmp_path):
    place = tmp_path / PLACE
    draft.make("a", [edit(1)])
    (place / "draft-damaged-2.jsonl").write_text("kept", encoding="utf-8")
    for number in (1, 3):
        with (place / JOURNAL).open("a", encoding="utf-8") as file:
            file.write("no json\n")
        assert f"draft-damaged-{number}.jsonl" in Draft(tmp_path).told
    assert (place / "draft-damaged-2.jsonl").read_text(encoding="utf-8") == "kept"
    assert texts(Draft(tmp_path)) == ["1"]


@pytest.mark.fault
def test_the_first_line_is_on_the_disk_with_the_names_that_lead_to_it(draft, tmp_path, monkeypatch):
    synced, sync = [], os.fsync
    monkeypatch.setattr(os, "fsync", lambda handle: (synced.append(os.fstat(handle).st_ino), sync(handle)))
    draft.make("a", [edit(1)])
    way = (tmp_path, tmp_path / PLACE, tmp_path / PLACE / JOURNAL)
    assert {path.stat().st_ino for path in way} <= set(synced)


@pytest.mark.fault
def test_a_journal_of_a_newer_release_is_left_alone(draft, tmp_path):
    (tmp_path / PLACE).mkdir()
    path = tmp_path / PLACE / JOURNAL
    path.write_text('{"event":"draft","format":2}\n', encoding="utf-8")
    with pytest.raises(ModelFileError, match="newer release"):
        Draft(tmp_path)
    assert path.read_text(encoding="utf-8") == '{"event":"draft","format":2}\n'


@pytest.mark.fault
def test_what_cannot_be_kept_is_not_done(draft, tmp_path, monkeypatch):
    draft.make("a", [edit(1)])
    path, sync = tmp_path / PLACE / JOURNAL, os.fsync
    before = path.read_bytes()

    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ModelFileError, match="No space left"):
        draft.make("b", [edit(2)])
    monkeypatch.setattr(os, "fsync", sync)
    assert texts(draft) == ["1"]
    assert path.read_bytes() == before
    draft.make("b", [edit(2)])
    assert texts(Draft(tmp_path)) == ["1", "2"]


def test_half_of_a_character_is_journaled_like_any_other_text(tmp_path):
    """A browser may send one; the draft must neither stop nor be set aside for it."""
    Draft(tmp_path).make("w:1", [Edit("stock", "rider.note", "\ud800")])
    again = Draft(tmp_path)
    assert (again.told, again.standing().edits[0][1].text) == ("", "\ud800")


def test_an_event_that_is_none_leaves_the_steps_as_they_were(tmp_path):
    draft = Draft(tmp_path)
    draft.make("w:1", [Edit("stock", "grade_pct", "4")])
    draft.undo("w:2")
    with (tmp_path / PLACE / JOURNAL).open("a", encoding="utf-8") as file:
        file.write('{"event":"make"}\n')
    again = Draft(tmp_path)
    assert "draft-damaged-1" in again.told
    assert again.can_redo

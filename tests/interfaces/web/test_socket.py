"""What windows say and hear: each answer holds the numbers of the library, and windows on one folder agree."""

import json
import time

import pytest

from bikewright.model.addresses import apply, read_change
from bikewright.model.files import read_bike
from bikewright.model.versions import labels
from bikewright.studies.compare import compare
from bikewright.studies.evaluate import evaluate
from tests.interfaces.web.rooms import PIN, copy_of, served, window


@pytest.fixture
def folder(tmp_path):
    return copy_of("quillback", tmp_path / "bike")


@pytest.fixture
def asked(folder):
    with served(folder) as asked:
        yield asked


def test_a_window_is_welcomed_with_what_may_be_chosen(asked, folder):
    bike = read_bike(folder)
    with window(asked) as line:
        assert line.welcome["bike"]["name"] == "Quillback"
        assert [build["name"] for build in line.welcome["builds"]] == [build.name for build in bike.builds]
        assert line.welcome["sizes"] == [size.name for size in bike.frame.sizes]
        assert {part["name"] for part in line.welcome["stock"]["fork"]} == {p.name for p in bike.stock.shelf("fork")}
        assert line.welcome["draft"]["position"] == 0


def test_a_try_shows_the_numbers_of_the_library_and_journals_nothing(asked, folder):
    bike = read_bike(folder)
    before = bike.build("stock")
    after = apply(before, read_change(f"{PIN}+=1"), bike.stock, bike.riders)
    with window(asked, build="stock", curves=["leverage_ratio", "anti_squat_pct"]) as line:
        line.say(**{"try": {"n": 5, "changes": [f"{PIN}+=1"]}})
        screen = line.wait_for("screen", n=5)
        told = line.wait_for("consequences", n=5)["comparison"]
    curve, answer = screen["curves"][0], evaluate(after)
    assert curve["now"]["y"] == pytest.approx(list(answer.curve("leverage_ratio").y), abs=1e-6)
    assert curve["before"]["y"] == pytest.approx(list(evaluate(before).curve("leverage_ratio").y), abs=1e-6)
    lead = told["causes"][0]["headlines"][0]["lead"]
    found = compare(before, after, bike.brief).causes[0].headlines[0].lead
    assert (lead["key"], lead["after"]) == (found.quantity.key, pytest.approx(found.after.number))
    assert not (folder / ".bikewright" / "draft.jsonl").exists()


def test_a_pinned_build_that_a_window_has_drawn_is_not_sent_again(asked, folder):
    with window(asked, build="stock", curves=["leverage_ratio", "anti_squat_pct"]) as line:
        line.say(**{"try": {"n": 5, "changes": [f"{PIN}+=1"]}})
        whole = line.wait_for("screen", n=5)
        line.say(**{"try": {"n": 6, "changes": [f"{PIN}+=1"], "have": whole["baseline"]}})
        short = line.wait_for("screen", n=6)
        assert (short["before"], [curve["before"] for curve in short["curves"]]) == ("held", [None, None])
        assert len(json.dumps(short)) < 0.6 * len(json.dumps(whole))
        same = ("pose", "build", "baseline", "state", "pin_places")
        assert {key: short[key] for key in same} == {key: whole[key] for key in same}
        assert [_places(short, curve) for curve in short["curves"]] == [
            _places(whole, curve) for curve in whole["curves"]
        ]
        # in another state, with other curves or when something else is pinned it is another one
        line.say(**{"try": {"n": 7, "view": {"state": "standing"}, "have": whole["baseline"]}})
        assert line.wait_for("screen", n=7)["before"]["title"] == "stock"
        line.say(make={"n": 8, "id": "1", "changes": [f"{PIN}+=1"], "view": {"state": "table"}})
        line.say(pin={"n": 9, "id": "2"})
        line.wait_for("screen", n=9)
        line.say(**{"try": {"n": 10, "changes": [f"{PIN}+=1"], "have": whole["baseline"]}})
        again = line.wait_for("screen", n=10)
    assert again["baseline"] != whole["baseline"]
    assert again["curves"][0]["before"]["y"] == whole["curves"][0]["now"]["y"]


def _places(screen, curve):
    """Travels and values of a curve; travels are sent once for all curves that share them."""
    return screen["xs"][curve["now"]["x"]], curve["now"]["y"]


def test_pins_come_with_the_addresses_that_move_them(asked, folder):
    pin = next(pin for pin in read_bike(folder).frame.linkage.pins if pin.name == "rocker")
    with window(asked, build="stock") as line:
        line.say(show={"n": 1})
        place = next(row for row in line.wait_for("screen", n=1)["pin_places"] if row["name"] == "rocker")
    assert (place["x"], place["z"], place["z_address"]) == (pin.x_mm, pin.z_mm, PIN)


def test_a_change_is_made_once_and_told_to_every_window(asked, folder):
    old = next(pin.z_mm for pin in read_bike(folder).frame.linkage.pins if pin.name == "rocker")
    with window(asked, "a", build="stock") as one, window(asked, "b", build="stock") as two:
        make = {"n": 1, "id": "a:1", "changes": [f"{PIN}+=1.23456"], "rounded": True}
        one.say(make=make)
        done = one.wait_for("done", n=1)["draft"]
        one.say(make=make)
        assert one.wait_for("done", n=1)["draft"] == done
        assert two.wait_for("changed") == {"by": "window", "draft": done}
        key = one.wait_for("screen", n=1)["build"]["key"]
        assert two.wait_for("screen")["build"]["key"] == key
        assert len(done["changes"]) == 1
        assert done["changes"][0]["text"] == f"{round(old + 1.23456, 2)}"


def test_undo_redo_keep_open_pin_and_write(asked, folder):
    steps = [
        ("make", {"id": "1", "changes": [f"{PIN}=264.4"]}),
        ("keep", {"id": "2", "name": "Rocker up", "note": "a note"}),
        ("undo", {"id": "3"}),
        ("redo", {"id": "4"}),
        ("pin", {"id": "5"}),
        ("open", {"id": "6", "version": "0001-rocker-up"}),
        ("open", {"id": "7", "version": ""}),
        ("make", {"id": "8", "changes": ["riders.adebo.mass_kg=99"]}),
        ("write", {"id": "9"}),
    ]
    told = {}
    with window(asked, build="stock") as line:
        for n, (kind, content) in enumerate(steps, 1):
            line.say(**{kind: {"n": n, **content}})
            told[n] = line.wait_for("done", n=n)
            line.wait_for("screen", n=n)
    assert told[2]["version"] == "0001-rocker-up"
    assert told[3]["draft"]["changes"] == []
    assert told[4]["draft"]["changes"][0]["text"] == "264.4"
    assert told[5]["draft"]["pinned"] == "draft"
    assert told[6]["draft"]["base"] == "0001-rocker-up"
    assert told[7]["draft"]["base"] == ""
    assert told[9]["files"] == ["riders.toml"]
    assert read_bike(folder).rider("adebo").mass_kg == 99
    assert labels(folder) == ("0001-rocker-up",)


def test_the_pinned_baseline_is_what_a_draft_is_compared_with_also_in_the_next_run(asked, folder):
    with window(asked, build="stock") as line:
        line.say(make={"n": 1, "id": "1", "changes": [f"{PIN}=264.4"]})
        line.say(pin={"n": 2, "id": "2"})
        line.wait_for("done", n=2)
        assert line.wait_for("consequences", n=2)["comparison"]["causes"] == []
    asked.__exit__()
    with served(folder) as again, window(again, build="stock") as line:
        line.say(show={"n": 1})
        line.wait_for("screen", n=1)
        assert line.wait_for("consequences", n=1)["comparison"]["causes"] == []
        line.say(undo={"n": 2, "id": "3"})
        assert line.wait_for("consequences", n=2)["comparison"]["causes"][0]["address"] == "linkage.pins.rocker"
        line.say(pin={"n": 3, "id": "4", "to": "files"})
        assert line.wait_for("consequences", n=3)["comparison"]["causes"] == []


def test_all_sizes_follow_where_they_are_asked_for(asked, folder):
    with window(asked, build="stock", sizes=True) as line:
        line.say(**{"try": {"n": 1, "changes": [f"{PIN}+=1"]}})
        rows = line.wait_for("sizes", n=1)["rows"]
    assert sorted(row["size"] for row in rows) == sorted(size.name for size in read_bike(folder).frame.sizes)


def test_values_and_travel_come_where_they_are_asked_for(asked):
    with window(asked, build="stock", values=True, travel=True) as line:
        line.say(show={"n": 1})
        assert len(line.wait_for("screen", n=1)["travel"]) == 21
        assert any(row["key"] == "reach_mm" for row in line.wait_for("consequences", n=1)["values"])


def test_a_linkage_that_cannot_close_is_told_with_its_place_and_nothing_is_lost(asked):
    with window(asked, build="stock") as line:
        line.say(make={"n": 1, "id": "1", "changes": [f"{PIN}+=1"]})
        kept = line.wait_for("screen", n=1)
        line.say(**{"try": {"n": 2, "changes": [f"{PIN}+=80"]}})
        trouble = line.wait_for("trouble", n=2)
        assert trouble["kind"] == "LinkageDoesNotClose"
        assert f"after {trouble['place']['stroke_mm']:.2f} mm of shock stroke" in trouble["text"]
        assert trouble["place"]["pin"] in trouble["pose"]["pins"]
        line.say(show={"n": 3})
        assert line.wait_for("screen", n=3)["build"]["key"] == kept["build"]["key"]


@pytest.mark.parametrize("change", [f"{PIN}=zero", "nothing=3", "fork=no-such-fork", f"{PIN}=99999", "no change"])
def test_a_change_that_cannot_be_meant_is_a_sentence_and_nothing_is_made(asked, change):
    with window(asked, build="stock") as line:
        line.say(make={"n": 1, "id": "1", "changes": [f"{PIN}+=1", change]})
        assert line.wait_for("trouble", n=1)["kind"] == "AddressError"
        line.say(show={"n": 2})
        assert line.wait_for("screen", n=2)["draft"]["changes"] == []


def test_an_edit_in_a_text_editor_appears_at_once_and_the_draft_is_made_on_it(asked, folder):
    with window(asked, build="stock") as line:
        line.say(make={"n": 1, "id": "1", "changes": ["sizes.L.stack_mm=640"]})
        line.wait_for("screen", n=1)
        write(folder, "reach_mm = 481", "reach_mm = 488")
        begun = time.monotonic()
        assert line.wait_for("changed")["by"] == "disk"
        assert time.monotonic() - begun < 3
        row = line.wait_for("screen")["model"]["frame"]["sizes"]["L"]
        assert (row["reach_mm"], row["stack_mm"]) == (488, 640)


def test_what_screen_and_disk_both_changed_is_kept_and_told(asked, folder):
    with window(asked, build="stock") as line:
        line.say(make={"n": 1, "id": "1", "changes": ["sizes.L.reach_mm=485"]})
        line.wait_for("screen", n=1)
        write(folder, "reach_mm = 481", "reach_mm = 488")
        conflict = line.wait_for("changed")["draft"]["conflicts"]
        assert conflict == [
            {"build": "stock", "address": "sizes.L.reach_mm", "disk": "488", "screen": "485", "was": "481"}
        ]
        assert line.wait_for("screen")["model"]["frame"]["sizes"]["L"]["reach_mm"] == 485
        line.say(undo={"n": 2, "id": "2"})  # the disk's
        assert line.wait_for("done", n=2)["draft"]["conflicts"] == []
        line.say(redo={"n": 3, "id": "3"})
        line.say(write={"n": 4, "id": "4"})  # the screen's
        assert line.wait_for("done", n=4)["draft"]["conflicts"] == []
    assert read_bike(folder).frame.size("L").reach_mm == 485


def test_a_change_that_the_files_do_not_take_any_more_is_parked_and_comes_back(asked, folder):
    text = (folder / "riders.toml").read_text(encoding="utf-8")
    with window(asked, build="datum") as line:
        line.say(make={"n": 1, "id": "1", "changes": ["riders.adebo.mass_kg=99"]})
        line.wait_for("screen", n=1)
        builds = (folder / "builds.toml").read_text(encoding="utf-8")
        (folder / "builds.toml").write_text(builds.replace('"adebo"', '"joren"'), encoding="utf-8")
        (folder / "riders.toml").write_text(text.replace("[adebo]", "[other]"), encoding="utf-8")
        draft = waited_draft(line, lambda draft: draft["parked"])
        assert draft["parked"][0]["changes"] == ["riders.adebo.mass_kg=99"]
        assert "adebo" in draft["parked"][0]["why"]
        (folder / "riders.toml").write_text(text, encoding="utf-8")
        draft = waited_draft(line, lambda draft: not draft["parked"])
        assert draft["changes"][0]["text"] == "99"


def test_files_that_cannot_be_read_are_told_and_the_last_sound_ones_stay(asked, folder):
    with window(asked, build="stock") as line:
        write(folder, "reach_mm = 481", "reach_mm = ")
        assert "bike.toml, line" in line.wait_for("changed")["draft"]["trouble"]
        line.say(show={"n": 2})
        assert line.wait_for("screen", n=2)["model"]["frame"]["sizes"]["L"]["reach_mm"] == 481
        write(folder, "reach_mm = \n", "reach_mm = 482\n")
        assert line.wait_for("changed")["draft"]["trouble"] == ""


def test_nothing_is_written_over_a_file_that_was_changed_meanwhile(asked, folder):
    asked.bench.answerer._idle_every_s = 1e9  # nobody looks at the disk in this test
    with window(asked, build="stock") as line:
        line.say(make={"n": 1, "id": "1", "changes": ["sizes.L.stack_mm=640"]})
        line.wait_for("screen", n=1)
        time.sleep(0.5)
        write(folder, "reach_mm = 481", "reach_mm = 488")
        line.say(write={"n": 2, "id": "2"})
        assert "changed since it was read" in line.wait_for("trouble", n=2)["text"]
    assert read_bike(folder).frame.size("L").stack_mm != 640


HOSTILE = "<img src=x onerror=alert(1)>\"'\\ \u202e"


def test_hostile_names_travel_as_text(folder):
    riders = folder / "riders.toml"
    text = riders.read_text(encoding="utf-8")
    note = json.dumps(HOSTILE, ensure_ascii=False)
    riders.write_text(text.replace("[joren]", f"[joren]\nnote = {note}"), encoding="utf-8")
    write(folder, 'maker = "Ravelin Frame Works"', f"maker = {note}")
    with served(folder) as asked, window(asked, build="coil") as line:
        assert line.welcome["bike"]["maker"] == HOSTILE
        line.say(keep={"n": 1, "id": "1", "name": HOSTILE, "note": HOSTILE})
        label = line.wait_for("done", n=1)["version"]
        assert label == "0001-img-src-x-onerror-alert-1"
        document = asked.get("/versions.json").json()
        assert document["versions"][0]["note"] == HOSTILE


def write(folder, old, new):
    path = folder / "bike.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    # in one stroke, as the server may look at any moment: half a file is told as one that cannot be read
    beside = path.with_suffix(".new")
    beside.write_text(text.replace(old, new), encoding="utf-8")
    beside.replace(path)


def waited_draft(line, is_so):
    for _ in range(20):
        draft = line.wait_for("changed")["draft"]
        if is_so(draft):
            return draft
    raise AssertionError("it never came")


def test_a_pin_that_the_linkage_needs_stays_and_one_made_by_mistake_goes(folder):
    """Without the pin between stay and rocker the axle would move as it pleases; a mark on the rocker holds nothing."""
    file = folder / "bike.toml"
    mark = '[linkage.pins.mark]\nx_mm = 10\nz_mm = 300\njoins = ["rocker"]\n\n[limits]\n'
    file.write_text(file.read_text(encoding="utf-8").replace("[limits]\n", mark), encoding="utf-8")
    with served(folder) as asked, window(asked, build="stock") as line:
        line.say(make={"n": 1, "id": "1", "changes": ["remove linkage.pins.stay"]})
        told = line.wait_for("trouble", n=1)["text"]
        assert told.startswith("the pin 'stay' cannot be taken out: the linkage needs it to move. Without it: ")
        line.say(make={"n": 2, "id": "2", "changes": ["remove linkage.pins.mark"]})
        assert line.wait_for("done", n=2)["draft"]["position"] == 1
        line.say(write={"n": 3, "id": "3"})
        line.wait_for("done", n=3)
        assert "mark" not in file.read_text(encoding="utf-8")
        line.say(undo={"n": 4, "id": "4"})
        line.wait_for("done", n=4)
        line.say(undo={"n": 5, "id": "5"})
        line.wait_for("done", n=5)
        line.say(show={"n": 6})
        pins = [pin["name"] for pin in line.wait_for("screen", n=6)["pin_places"]]
    assert "mark" in pins


def test_the_draft_says_which_builds_riders_and_parts_there_are_now(asked):
    with window(asked, build="stock") as line:
        changes = ["copy builds.stock to wet", "copy riders.joren to mira", "copy parts.fork.single-crown-170 to long"]
        line.say(make={"n": 1, "id": "1", "changes": changes})
        draft = line.wait_for("done", n=1)["draft"]
        assert draft["builds"][-1] == "wet"
        assert draft["riders"][-1] == "mira"
        assert draft["stock"]["fork"][-1]["name"] == "long"
        line.say(undo={"n": 2, "id": "2"})
        draft = line.wait_for("done", n=2)["draft"]
    assert "wet" not in draft["builds"]


@pytest.mark.fault
@pytest.mark.parametrize("kind, broken", [("make", "make"), ("show", "look"), ("write", "write")])
def test_an_error_that_nobody_foresaw_is_told_and_the_window_does_not_wait(asked, monkeypatch, kind, broken):
    def breaks(*_, **__):
        raise ZeroDivisionError("of a test")

    with window(asked) as line:
        with monkeypatch.context() as broke:
            broke.setattr(asked.bench.desk, broken, breaks)
            line.say(**{kind: {"n": 4, "id": "1", "changes": ["stem_spacers_mm=5"]}})
            assert "ZeroDivisionError: of a test" in line.wait_for("trouble", n=4)["text"]
        line.say(show={"n": 5})
        assert line.wait_for("screen", n=5)["draft"]["position"] == 0


@pytest.mark.fault
def test_a_message_that_is_refused_leaves_what_the_window_looks_at(asked):
    with window(asked, state="table") as line:
        line.say(make={"n": 1, "changes": ["stem_spacers_mm=5"], "view": {"state": "standing"}})
        assert "id" in line.wait_for("trouble", n=1)["text"]
        line.say(show={"n": 2})
        assert line.wait_for("screen", n=2)["state"] == "table"

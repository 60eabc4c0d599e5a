"""A server whose plug is pulled while it works: all that it answered is there, and every file is whole."""

import contextlib
import json
import random
import time
import tomllib
from threading import Thread

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus

from bikewright.model.drafts import Draft
from bikewright.model.files import read_bike
from bikewright.model.versions import labels, read_version
from tests.interfaces.web.rooms import PIN, Process, copy_of, received

LONGEST_S = 1.0
STEPS = ("make", "keep", "write")
PLACES = ("", "/versions/", "/.bike.toml.")
"""Where the plug is pulled, in turns: at any moment, inside a version, and inside the bike's own file."""

SLOW_DISK = """
import os, sys, time
from pathlib import Path
from bikewright.interfaces.cli.main import main
sync, stops = os.fsync, Path(sys.argv[2] + "-stops")
def slow(handle):
    file = os.readlink(f"/proc/self/fd/{handle}")
    stop = stops.read_text() if stops.exists() else ""
    if stop and stop in file and file.endswith(".new"):
        time.sleep(600)
    time.sleep(0.03)
    sync(handle)
os.fsync = slow
main()
"""
"""The same server on a disk that takes its time, and that stops inside the next file of the kind asked for."""


def worth(run, number):
    """Height of the pin after a change [mm]; never twice the same within a run or from one run to the next."""
    return round(260 + (run * 37 + number) % 400 / 100, 2)


def busy(server, run, answered):
    """Change, keep and write as fast as the server answers, and note what it has answered, until the line breaks."""
    with contextlib.suppress(ConnectionClosed), server.connect(name="w") as line:
        received(line, "welcome")
        for number in range(1000):
            change = f"{PIN}={worth(run, number)}"
            requests = zip(STEPS, ({"changes": [change]}, {"name": f"run {run}", "note": "x" * 2000}, {}), strict=True)
            for kind, content in requests:
                id = f"w:{run}:{number}:{kind}"
                line.send(json.dumps({kind: {"n": number, "id": id, **content}}))
                done = received(line, "done", n=number)
                while done["what"] != kind:
                    done = received(line, "done", n=number)
                answered.append((kind, id, done.get("version", ""), number))


def until(true, worker):
    """Wait for something that the busy window brings about; a slow machine may take its time."""
    latest = time.monotonic() + 120
    while not true():
        assert worker.is_alive(), "the line broke before the plug was pulled"
        assert time.monotonic() < latest
        time.sleep(0.002)


def pulled(folder, run, place, pause):
    """Start a server and pull its plug while it is busy, in the place named or after a pause; what it answered."""
    answered, stops = [], folder.with_name(f"{folder.name}-stops")
    server = Process(folder, "--port", "0", code=SLOW_DISK)
    worker = Thread(target=busy, args=(server, run, answered))
    worker.start()
    try:
        until(lambda: len(answered) >= len(STEPS), worker)
        if place:
            stops.write_text(place)
            until(lambda: any(place in str(half) for half in folder.rglob("*.new")), worker)
        else:
            time.sleep(pause)
    finally:
        server.kill()
        worker.join(30)
        stops.unlink(missing_ok=True)
    return answered


@pytest.mark.fault
@pytest.mark.parametrize("kills", [6, pytest.param(100, marks=pytest.mark.soak)])
def test_a_killed_server_has_kept_all_that_it_answered_and_every_file_is_whole(tmp_path, kills):
    folder = copy_of("quillback", tmp_path / "bike")
    rng, answered = random.Random(20), []
    halves = 0
    for run in range(kills):
        place = PLACES[run % len(PLACES)]
        answers = pulled(folder, run, place, rng.uniform(0.0, LONGEST_S))
        answered += answers
        left = list(folder.rglob("*.new"))
        halves += bool(left)
        assert not place or any(place in str(half) for half in left)
        for half in left:
            half.unlink()
        written = max(number for kind, _, _, number in answers if kind == "write")
        (pin,) = (pin for pin in read_bike(folder).frame.linkage.pins if pin.name == "rocker")
        assert pin.z_mm in (worth(run, written), worth(run, written + 1))  # the last one may not have been answered
        kept = labels(folder)
        assert [int(label[:4]) for label in kept] == list(range(1, len(kept) + 1))
        for label in kept:
            assert read_version(folder, label).label == label
        assert {version for kind, _, version, _ in answered if kind == "keep"} <= set(kept)
        draft = Draft(folder)
        assert draft.told == ""
        assert all(draft.knows(id) for kind, id, _, _ in answered if kind != "write")
        requests = [read_version(folder, label).request for label in kept]
        assert len(set(requests)) == len(requests)
    assert len(answered) > 2 * kills
    assert halves >= kills * 2 // 3
    print(f"{len(answered)} answers, {len(labels(folder))} versions, {halves} of {kills} kills inside a file")


@pytest.mark.fault
def test_a_page_that_comes_back_and_sends_again_changes_nothing_twice(tmp_path):
    folder = copy_of("quillback", tmp_path / "bike")
    make = {"make": {"n": 1, "id": "w:1", "changes": [f"{PIN}+=1"]}}
    keep = {"keep": {"n": 2, "id": "w:2", "name": "kept"}}
    drafts = []
    for _ in range(3):
        server = Process(folder, "--port", "0")
        with server.connect() as line:
            received(line, "welcome")
            for message in (make, keep, make):
                line.send(json.dumps(message))
            received(line, "done", n=1)
            assert received(line, "done", n=2)["version"] == "0001-kept"
            drafts.append(received(line, "done", n=1)["draft"])
        server.kill()
    assert drafts[0] == drafts[1] == drafts[2]
    assert len(drafts[0]["changes"]) == 1
    assert labels(folder) == ("0001-kept",)


@pytest.mark.fault
def test_a_torn_journal_is_served_from_its_last_whole_line(tmp_path):
    folder = copy_of("quillback", tmp_path / "bike")
    server = Process(folder, "--port", "0")
    with server.connect() as line:
        for number in (1, 2):
            line.send(json.dumps({"make": {"n": number, "id": f"w:{number}", "changes": [f"{PIN}={263 + number}"]}}))
            received(line, "done", n=number)
    server.kill()
    journal = folder / ".bikewright" / "draft.jsonl"
    journal.write_bytes(journal.read_bytes()[:-7])
    server = Process(folder, "--port", "0")
    with server.connect() as line:
        assert [change["text"] for change in received(line, "welcome")["draft"]["changes"]] == ["264"]
    server.end()


@pytest.mark.fault
def test_a_real_line_refuses_strangers_and_what_is_too_large(tmp_path):
    folder = copy_of("wherry", tmp_path / "bike")
    server = Process(folder, "--port", "0")
    try:
        with pytest.raises(InvalidStatus) as refused, server.connect(origin="http://evil.example"):
            pass
        assert refused.value.response.status_code == 403
        with server.connect(token="wrong") as line:
            assert "token" in received(line, "trouble")["text"]
            with pytest.raises(ConnectionClosed) as closed:
                line.recv(timeout=10)
            assert closed.value.rcvd.code == 1008
        with server.connect() as line:
            received(line, "welcome")
            with pytest.raises(ConnectionClosed) as closed:
                line.send(json.dumps({"try": {"changes": ["x" * 300_000]}}))
                while True:
                    line.recv(timeout=10)
            assert closed.value.rcvd.code == 1009
    finally:
        server.end()


@pytest.mark.fault
def test_a_second_server_on_the_folder_says_so_and_a_taken_port_too(tmp_path):
    folder = copy_of("wherry", tmp_path / "bike")
    other = copy_of("wherry", tmp_path / "other")
    server = Process(folder, "--port", "0")
    try:
        with pytest.raises(AssertionError, match="being served already"):
            Process(folder, "--port", "0")
        with pytest.raises(AssertionError, match=f"port {server.port} cannot be used"):
            Process(other, "--port", str(server.port))
    finally:
        printed, told = server.end()
    assert (printed, told) == ("", "")
    tomllib.loads((folder / "bike.toml").read_text(encoding="utf-8"))

"""A server whose plug is pulled while it works: all that it answered is there, and every file is whole."""

import contextlib
import json
import random
import time
import tomllib

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus

from bikewright.model.drafts import Draft
from bikewright.model.files import read_bike
from bikewright.model.versions import labels, read_version
from tests.interfaces.web.rooms import PIN, Process, copy_of, received

LONGEST_S = 1.0

SLOW_DISK = """
import os, time
from bikewright.interfaces.cli.main import main
sync = os.fsync
def slow(handle):
    time.sleep(0.03)
    sync(handle)
os.fsync = slow
main()
"""
"""The same server on a disk that takes its time, so that kills fall into the middle of a file."""


def busy(server, run, answered):
    """Change, keep and write as fast as the server answers, and note what it has answered, until the line breaks."""
    with contextlib.suppress(ConnectionClosed), server.connect(name="w") as line:
        received(line, "welcome")
        for number in range(1000):
            change = f"{PIN}={260 + (run * 37 + number) % 400 / 100:.2f}"
            requests = (
                ("make", {"changes": [change]}),
                ("keep", {"name": f"run {run}", "note": "x" * 2000}),
                ("write", {}),
            )
            for kind, content in requests:
                id = f"w:{run}:{number}:{kind}"
                line.send(json.dumps({kind: {"n": number, "id": id, **content}}))
                done = received(line, "done", n=number)
                while done["what"] != kind:
                    done = received(line, "done", n=number)
                answered.append((kind, id, done.get("version", ""), change))


@pytest.mark.fault
@pytest.mark.parametrize("kills", [6, pytest.param(100, marks=pytest.mark.soak)])
def test_a_killed_server_has_kept_all_that_it_answered_and_every_file_is_whole(tmp_path, kills):
    from threading import Thread

    folder = copy_of("quillback", tmp_path / "bike")
    rng, answered = random.Random(20), []
    halves = 0
    for run in range(kills):
        server = Process(folder, "--port", "0", code=SLOW_DISK)
        count, worker = len(answered), Thread(target=busy, args=(server, run, answered))
        worker.start()
        until = time.monotonic() + 60
        while len(answered) == count and worker.is_alive() and time.monotonic() < until:
            time.sleep(0.005)  # the first answer may take as long as the machine is slow
        time.sleep(rng.uniform(0.0, LONGEST_S))
        server.kill()
        worker.join(30)
        halves += len(list(folder.rglob("*.new")))
        for half in folder.rglob("*.new"):
            half.unlink()
        read_bike(folder)
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
    assert len(answered) >= kills // 2  # a slow machine may be killed before it has answered
    assert halves > 0 or kills < 50  # a few kills may all miss
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

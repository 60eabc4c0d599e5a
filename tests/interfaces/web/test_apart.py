"""Long questions: answered by another process, given up when nobody wants them, asked again after a crash."""

import asyncio
import os
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager

import pytest

from bikewright.interfaces.web import apart as module
from bikewright.interfaces.web.apart import Apart
from tests.interfaces.web.long_ones import Broken, Refused, Slow
from tests.interfaces.web.rooms import copy_of, served, window


@asynccontextmanager
async def opened():
    apart = Apart()
    try:
        yield apart
    finally:
        await apart.end()


def run(body):
    """A test's own body on an event loop."""

    async def whole():
        async with opened() as apart:
            return await body(apart)

    return on_a_loop(whole)


def on_a_loop(whole):
    """On a thread of its own: where a browser was driven before, this one has its loop already."""
    with ThreadPoolExecutor(1) as own:
        return own.submit(lambda: asyncio.run(whole())).result()


def alive(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_another_process_answers_and_is_kept_for_the_next():
    async def body(apart):
        first = (await apart.ask(Slow("a"))).answer["twin"]["pid"]
        second = (await apart.ask(Slow("b"))).answer["twin"]["pid"]
        return first, second

    first, second = run(body)
    assert first == second != os.getpid()
    assert not alive(first), "it ends with the server"


def test_it_is_told_how_far_it_is_and_the_answer_is_kept():
    async def body(apart):
        heard = []
        while (job := await apart.ask(Slow("a", parts=4, pause_s=0.15), wait_s=0.1)).answer is None:
            heard.append((job.done, job.of))
        begun = time.monotonic()
        assert (await apart.ask(Slow("a", parts=4, pause_s=0.15))).answer is job.answer
        assert time.monotonic() - begun < 0.1
        return heard

    heard = run(body)
    assert (1, 4) in heard or (2, 4) in heard
    assert heard == sorted(heard)


@pytest.mark.fault
def test_what_nobody_wants_any_more_gives_way(monkeypatch):
    monkeypatch.setattr(module, "WANTED_S", 0.4)

    async def body(apart):
        await apart.ask(Slow("warm", parts=1))
        job = await apart.ask(Slow("long", parts=600, pause_s=0.1), wait_s=0.5)
        assert job.answer is None
        begun = time.monotonic()
        assert (await apart.ask(Slow("next"))).answer is not None
        return time.monotonic() - begun

    assert run(body) < 20.0


@pytest.mark.fault
def test_a_refusal_is_an_answer_and_a_crash_can_be_asked_again():
    async def body(apart):
        refused = (await apart.ask(Refused())).answer["error"]
        assert (refused["kind"], refused["error"]) == ("OutsideValidity", "120 % is no share")
        assert "ask again" in (await apart.ask(Broken())).answer["error"]["error"]
        assert "ask again" in (await apart.ask(Broken())).answer["error"]["error"]
        return (await apart.ask(Slow("after"))).answer

    assert run(body)["twin"]["pid"]


@pytest.mark.fault
def test_the_end_of_the_server_lets_nobody_wait():
    async def whole():
        apart = Apart()
        waiting = asyncio.create_task(apart.ask(Slow("long", parts=600, pause_s=0.1)))
        await asyncio.sleep(0.3)
        await apart.end()
        return (await asyncio.wait_for(waiting, 10.0)).answer

    assert "server ends" in on_a_loop(whole)["error"]["error"]


def test_a_window_is_answered_while_coverage_is_worked_out(tmp_path):
    """The thread that answers windows has nothing to do with it: the first screens come before the coverage does."""
    with served(copy_of("quillback", tmp_path / "bike")) as asked:
        path = "/shown/coverage.json?build=stock"
        told = asked.get(path)
        assert told.status_code == 202
        assert {"done", "of", "told"} == told.json().keys()
        with window(asked, build="stock") as line:
            for n in range(1, 6):
                line.say(**{"try": {"n": n, "changes": [f"fork_spacers={n % 3}"]}})
                assert line.wait_for("screen", n=n)
        while (told := asked.get(path)).status_code == 202:
            pass
        assert [row[0] for row in told.json()["bands"]][:2] == ["S", "M"]

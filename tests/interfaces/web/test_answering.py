"""Whose turn it is: deeds in order, the latest glance of each window, followers in between and cancelled."""

import threading
import time
from itertools import pairwise

import pytest

from bikewright.interfaces.web.answering import OVERDUE_S, PACE_S, SHARE, Answerer


@pytest.fixture
def answerer():
    answerer = Answerer(lambda: None, 1e6)
    yield answerer
    answerer.stop()


class Held:
    """A deed that keeps the thread until it is let go."""

    def __init__(self, answerer):
        self.begun, self.free = threading.Event(), threading.Event()
        answerer.do(self._wait)
        answerer.start()
        assert self.begun.wait(5)

    def _wait(self):
        self.begun.set()
        self.free.wait(5)


def settled(answerer):
    done = threading.Event()
    for _ in range(200):
        done.clear()
        answerer.do(done.set)
        done.wait(5)
        if not (answerer._glances or answerer._following):
            return
        time.sleep(0.01)


def test_every_deed_is_done_in_order(answerer):
    held, seen = Held(answerer), []
    for number in range(50):
        answerer.do(lambda number=number: seen.append(number))
    held.free.set()
    settled(answerer)
    assert seen == list(range(50))


def test_only_the_latest_glance_of_each_window_is_answered_and_windows_take_turns(answerer):
    held, seen = Held(answerer), []
    for number in range(10):
        for window in "abc":
            answerer.glance(window, lambda key=(window, number): seen.append(key))
    held.free.set()
    settled(answerer)
    assert seen == [("a", 9), ("b", 9), ("c", 9)]


def test_what_follows_waits_for_glances_but_not_for_ever(answerer):
    held, seen = Held(answerer), []

    def pieces():
        for number in range(3):
            seen.append(("piece", number))
            yield

    answerer.follow("w", pieces)
    for number in range(3 * SHARE):
        answerer.glance(f"w{number}", lambda number=number: seen.append(("glance", number)))
    held.free.set()
    settled(answerer)
    first = seen.index(("piece", 0))
    assert 1 <= first <= SHARE
    assert [what for what, _ in seen].count("piece") == 3
    assert seen.index(("piece", 1)) - first == SHARE


def test_a_newer_request_cancels_what_follows_for_its_window(answerer):
    held, seen = Held(answerer), []
    step = threading.Event()

    def work(name):
        def pieces():
            for number in range(4):
                seen.append((name, number))
                step.set()
                time.sleep(0.02)
                yield

        return pieces

    answerer.follow("w", work("told"))
    held.free.set()
    settled(answerer)
    step.clear()
    answerer.follow("w", work("old"))
    step.wait(5)
    answerer.follow("w", work("new"))
    settled(answerer)
    assert ("old", 3) not in seen
    assert ("new", 3) in seen


def test_a_window_that_has_not_been_told_for_long_hears_the_end_of_what_is_worked_out(answerer):
    held, seen = Held(answerer), []

    def work(name):
        def pieces():
            for number in range(3):
                seen.append((name, number))
                time.sleep(0.02)
                yield

        return pieces

    answerer.follow("w", work(0))
    held.free.set()
    begun = time.monotonic()
    for name in range(1, 60):
        answerer.follow("w", work(name))
        time.sleep(0.01)
    settled(answerer)
    ended = [name for name, number in seen if number == 2]
    assert ended[-1] == 59
    assert len(ended) >= (time.monotonic() - begun) / (OVERDUE_S + 0.5)


def test_what_follows_is_begun_at_a_pace_that_can_be_read_and_the_last_is_never_left_out(answerer):
    held, begun = Held(answerer), []

    def work(name):
        def pieces():
            begun.append((name, time.monotonic()))
            yield

        return pieces

    held.free.set()
    for name in range(40):
        answerer.follow("w", work(name))
        time.sleep(0.01)
    settled(answerer)
    names, times = zip(*begun, strict=True)
    assert (names[0], names[-1]) == (0, 39)
    assert all(b - a > 0.95 * PACE_S for a, b in pairwise(times))


def test_a_window_that_left_is_forgotten(answerer):
    held, seen = Held(answerer), []
    answerer.glance("w", lambda: seen.append(1))
    answerer.follow("w", lambda: iter([seen.append(2)]))
    answerer.forget("w")
    held.free.set()
    settled(answerer)
    assert seen == []


@pytest.mark.fault
def test_an_answer_that_goes_wrong_is_logged_and_the_next_is_given(answerer, caplog):
    def wrong():
        raise RuntimeError("a fault of ours")

    def wrong_pieces():
        raise RuntimeError("another fault of ours")
        yield

    seen = []
    answerer.start()
    answerer.do(wrong)
    answerer.follow("w", wrong_pieces)
    answerer.do(lambda: seen.append(1))
    settled(answerer)
    assert seen == [1]
    assert "a fault of ours" in caplog.text
    assert "another fault of ours" in caplog.text


def test_what_waits_is_done_before_the_end():
    seen = []
    answerer = Answerer(lambda: None, 1e6)
    held = Held(answerer)
    for number in range(5):
        answerer.do(lambda number=number: seen.append(number))
    held.free.set()
    answerer.stop()
    assert seen == [0, 1, 2, 3, 4]

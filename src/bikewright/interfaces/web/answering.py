"""The one thread that answers: what must be done in order, what a window wants now, and what may follow.

Question answered   Whose turn is it?
Method              Three lanes. Deeds (a change, undo, a page) are done first, each one, in order. Of glances (what a
                    drag shows) only the latest of each window counts, and windows take turns. What follows (the list of
                    consequences, all sizes) is cut into pieces; a piece is worked on when nobody waits, and every
                    tenth time even then, so that it cannot starve. A follower gives way to a newer one of its window,
                    unless its window has not heard of one for a while, and is begun at most ten times a second.
Left out            Computing: the event loop and this module compute nothing.
"""

import logging
import threading
import time
from collections import OrderedDict, deque
from collections.abc import Callable, Iterator

Deed = Callable[[], None]
Follower = Callable[[], Iterator[None]]

OVERDUE_S = 0.25
"""A window that has not been told for so long hears the end of what is worked out, though it is not the newest."""
PACE_S = 0.1
"""From the beginning of one that follows to that of the next of its window: a list in a drag is read, not watched."""
SHARE = 10
"""One piece of what follows after so many other turns, at the least."""

_log = logging.getLogger(__name__)


class _Following:
    """What follows for one window."""

    def __init__(self) -> None:
        self.now: Iterator[None] | None = None
        self.next: Follower | None = None


class Answerer:
    """A thread with its three lanes."""

    def __init__(self, idle: Deed, idle_every_s: float):
        self._idle, self._idle_every_s = idle, idle_every_s
        self._deeds: deque[Deed] = deque()
        self._glances: OrderedDict[str, Deed] = OrderedDict()
        self._following: OrderedDict[str, _Following] = OrderedDict()
        self._told_at: dict[str, float] = {}
        self._begun_at: dict[str, float] = {}
        self._turns = 0
        self._stopped = False
        self._waker = threading.Condition()
        self._thread = threading.Thread(target=self._run, name="answerer", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End after the deed in hand; deeds that wait are done first."""
        with self._waker:
            self._stopped = True
            self._waker.notify()
        self._thread.join(timeout=30)

    def do(self, deed: Deed) -> None:
        """Do something in its turn; never left out."""
        with self._waker:
            self._deeds.append(deed)
            self._waker.notify()

    def glance(self, window: str, deed: Deed) -> None:
        """Answer what a window wants now; the one before is left out if it still waits. Its place in the row stays."""
        with self._waker:
            self._glances[window] = deed
            self._waker.notify()

    def follow(self, window: str, follower: Follower) -> None:
        """Work something out in pieces, in place of what was to be worked out for this window before."""
        with self._waker:
            following = self._following.setdefault(window, _Following())
            following.next = follower
            if time.monotonic() - self._told_at.get(window, 0.0) < OVERDUE_S:
                following.now = None
            self._waker.notify()

    def forget(self, window: str) -> None:
        """A window has gone."""
        with self._waker:
            self._glances.pop(window, None)
            self._following.pop(window, None)
            self._told_at.pop(window, None)
            self._begun_at.pop(window, None)

    def _run(self) -> None:
        due = time.monotonic() + self._idle_every_s
        while True:
            with self._waker:
                while not (self._stopped or self._deeds or self._glances or self._ready()):
                    next_at = min([due, *(self._from(window) for window in self._following)])
                    self._waker.wait(max(next_at - time.monotonic(), 0.0))
                    if time.monotonic() >= due:
                        break
                if self._stopped and not self._deeds:
                    return
                turn = self._next_turn()
            if turn is not None:
                _guarded(turn)
            if time.monotonic() >= due:
                _guarded(self._idle)
                due = time.monotonic() + self._idle_every_s

    def _next_turn(self) -> Deed | None:
        self._turns += 1
        if self._deeds:
            return self._deeds.popleft()
        ready = self._ready()
        if self._glances and not (ready and self._turns % SHARE == 0):
            return self._glances.popitem(last=False)[1]
        if ready:
            following = self._following[ready]
            self._following.move_to_end(ready)
            return lambda: self._piece(ready, following)
        return None

    def _ready(self) -> str:
        """The first window for which something may be worked out now; empty where there is none."""
        now = time.monotonic()
        return next((window for window in self._following if self._from(window) <= now), "")

    def _from(self, window: str) -> float:
        """When the next piece for a window may be worked out: at once, where it is begun."""
        begun = self._following[window].now is not None
        return 0.0 if begun else self._begun_at.get(window, -PACE_S) + PACE_S

    def _piece(self, window: str, following: _Following) -> None:
        """One piece of what follows for a window."""
        with self._waker:
            if following.now is None and following.next is not None:
                following.now, following.next = following.next(), None
                self._begun_at[window] = time.monotonic()
            working = following.now
        ended = working is None or _ended(working)
        with self._waker:
            if not ended:
                return
            if following.now is working:
                following.now = None
                self._told_at[window] = time.monotonic()
            if following.now is None and following.next is None and self._following.get(window) is following:
                del self._following[window]


def _ended(working: Iterator[None]) -> bool:
    try:
        next(working)
    except StopIteration:
        return True
    except Exception:
        _log.exception("what follows was not worked out")
        return True
    return False


def _guarded(deed: Deed) -> None:
    """Nothing that goes wrong in one answer may end the thread that gives all of them."""
    try:
        deed()
    except Exception:
        _log.exception("an answer was not given")

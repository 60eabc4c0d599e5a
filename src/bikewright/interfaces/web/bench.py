"""The workbench that a server runs: one desk, one thread that answers, and the windows that look at it."""

import asyncio
import gc
import json
import logging
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from threading import Thread
from typing import Any, TypeVar

from bikewright.errors import BikewrightError, EnvironmentFault, ModelError
from bikewright.interfaces.web import answers
from bikewright.interfaces.web.answering import Answerer
from bikewright.interfaces.web.desk import Desk
from bikewright.interfaces.web.views import BadMessage, Looking, changes_of, looking, number_of, text_of

T = TypeVar("T")

DISK_LOOKED_AT_S = 0.4
MOST_WAITING = 200
"""Messages that wait for one window; one that takes none for so long is sent away."""
DEEDS = ("make", "undo", "redo", "pin", "keep", "open", "write")

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a window asked last."""

    number: int = 0
    looking: Looking = field(default_factory=Looking)
    changes: tuple[str, ...] = ()
    have: str = ""
    """Mark of the pinned build that the window has drawn."""


class Window:
    """One browser window: what it looks at, and what waits to be sent to it."""

    def __init__(self, name: str, loop: asyncio.AbstractEventLoop):
        self.name = name
        self.asked = Asked()
        """Replaced as a whole: the event loop writes it while the answering thread reads it."""
        self._loop = loop
        self._waiting: OrderedDict[str, str] = OrderedDict()
        self._count = 0
        self._some = asyncio.Event()
        self.is_gone = False

    def post(self, kind: str, text: str) -> None:
        """Send a message; from any thread. A screen that still waits gives way to a newer one."""
        if not self.is_gone:
            try:
                self._loop.call_soon_threadsafe(self._put, kind, text)
            except RuntimeError:  # the loop has ended, and the window with it
                self.is_gone = True

    def _put(self, kind: str, text: str) -> None:
        self._count += 1
        key = kind if kind in ("screen", "consequences", "sizes") else f"{kind}{self._count}"
        self._waiting.pop(key, None)
        self._waiting[key] = text
        if len(self._waiting) > MOST_WAITING:
            self.is_gone = True
        self._some.set()

    async def next(self) -> str | None:
        """The next message; None once the window is to be sent away."""
        while not self._waiting and not self.is_gone:
            self._some.clear()
            await self._some.wait()
        return None if self.is_gone else self._waiting.popitem(last=False)[1]


class Workbench:
    """What all windows share. Its methods are called from the event loop; the work is done on the answering thread."""

    def __init__(self, folder: Path):
        self.desk = Desk(folder)
        self.windows: dict[int, Window] = {}
        self.answerer = Answerer(self._meanwhile, DISK_LOOKED_AT_S)
        self.loading: Thread | None = None
        """What loads libraries beside the first answers, while it may still be at it."""

    def start(self) -> None:
        """Begin to answer."""
        self.answerer.start()

    def stop(self) -> None:
        """Finish what was begun and let the folder go."""
        self.answerer.stop()
        self.desk.close()

    def enter(self, window: Window) -> None:
        """A window has come: it is welcomed."""
        self.windows[id(window)] = window
        self.answerer.do(lambda: window.post("welcome", answers.welcome(self.desk, window.name)))

    def leave(self, window: Window) -> None:
        """A window has gone."""
        window.is_gone = True
        self.windows.pop(id(window), None)
        self.answerer.forget(str(id(window)))

    def take(self, window: Window, message: dict[str, Any]) -> None:
        """A message of a window.

        Raises
        ------
        BadMessage
            If it is none that is known, or something in it is of the wrong kind.
        """
        if len(message) != 1:
            raise BadMessage("a message has one key, which says what it is")
        kind, content = next(iter(message.items()))
        if not isinstance(content, dict):
            raise BadMessage(f"what {kind} holds is a table")
        if kind not in ("show", "try", *DEEDS):
            raise BadMessage(f"'{kind[:40]}' is no message; there are: hello, show, try, {', '.join(DEEDS)}")
        asked = Asked(
            number=number_of(content),
            looking=looking(content, window.asked.looking),
            changes=changes_of(content) if kind == "try" else (),
            have=text_of(content, "have"),
        )
        deed = self._deed(kind, content, asked.looking) if kind in DEEDS else None
        window.asked = asked
        if deed is None:
            self._answer(window, forms=kind == "show")
        else:
            self.answerer.do(partial(self._done, window, kind, asked.number, deed))

    async def ask(self, question: Callable[[Desk], T]) -> T:
        """Have something worked out on the answering thread, in its turn."""
        future: Future[T] = Future()

        def answer() -> None:
            if not future.set_running_or_notify_cancel():
                return  # who asked has gone
            try:
                told = question(self.desk)
            except Exception as error:
                future.set_exception(error)
            else:
                future.set_result(told)

        self.answerer.do(answer)
        return await asyncio.wrap_future(future)

    def _answer(self, window: Window, *, forms: bool) -> None:
        """A screen for a window, in two parts; from any thread."""
        asked, desk, key = window.asked, self.desk, str(id(window))
        n, view, changes = asked.number, asked.looking, asked.changes

        def first() -> None:
            try:
                answers.glance(desk, n, view, changes, window.post, forms=forms, have=asked.have)
            except Exception as error:
                self._broken(window, n, error)
                return
            if not window.is_gone:
                self.answerer.follow(key, lambda: answers.consequences(desk, n, view, changes, window.post))

        self.answerer.glance(key, first)

    def _deed(self, kind: str, content: dict[str, Any], view: Looking) -> Callable[[], dict[str, Any]]:
        """What a message asks to be done, as a function for the answering thread."""
        id, desk = text_of(content, "id"), self.desk
        if kind == "make":
            changes, rounded = changes_of(content), content.get("rounded") is True
            if not id:
                raise BadMessage("a change has an id, so that it is not made twice")
            return _silent(partial(desk.make, id, view, changes, rounded=rounded))
        if kind == "pin":
            to = text_of(content, "to", "current")
            return _silent(partial(desk.pin, id, to))
        if kind == "keep":
            name, note = text_of(content, "name"), text_of(content, "note")
            return lambda: {"version": desk.keep(id, view, name, note)}
        if kind == "open":
            label = text_of(content, "version")
            return _silent(partial(desk.open, id, label))
        if kind == "write":
            return lambda: {"files": list(desk.write(id))}
        return _silent(partial(desk.undo if kind == "undo" else desk.redo, id))

    def _done(self, window: Window, kind: str, n: int, deed: Callable[[], dict[str, Any]]) -> None:
        """Do it, tell who asked, and let every window see what came of it. On the answering thread."""
        try:
            result = deed()
        except (BikewrightError, OSError) as error:
            window.post("trouble", answers.trouble(n, error))
            return
        except Exception as error:
            self._broken(window, n, error)
            return
        done = {"n": n, "what": kind, **result, "draft": self.desk.told()}
        window.post("done", answers.text({"done": done}))
        self._answer(window, forms=True)
        self._tell("window", apart=window)

    def _broken(self, window: Window, n: int, error: Exception) -> None:
        """Tell a window of an error that nobody foresaw: one that hears nothing would wait for ever."""
        _log.error("message %d of a window was not answered", n, exc_info=error)
        what = f"{type(error).__name__}: {error}"
        told = f"This was not done: the server itself went wrong ({what}). What was made before stays."
        window.post("trouble", answers.trouble(n, EnvironmentFault(told)))

    def _tell(self, by: str, apart: Window | None = None) -> None:
        """Tell windows that the draft has changed, and show it to them."""
        text = answers.text({"changed": {"by": by, "draft": self.desk.told()}})
        for window in tuple(self.windows.values()):
            if window is not apart:
                window.post("changed", text)
                self._answer(window, forms=True)

    def _meanwhile(self) -> None:
        """What is seen to now and then: the files, and once that which was loaded for good."""
        if self.desk.look_at_disk():
            self._tell("disk")
        if self.loading is not None and not self.loading.is_alive():
            self.loading = None
            # The collector would walk through every loaded library time and again, a tenth of a second in a drag.
            gc.collect()
            gc.freeze()


def read_message(text: str | bytes) -> dict[str, Any]:
    """A message from its text.

    Raises
    ------
    BadMessage
        If it is no JSON, or no table.
    """
    try:
        message = json.loads(text, parse_constant=_no_constant)
        # Half of a surrogate pair can be written as \ud800, but neither sent back nor kept in a file.
        json.dumps(message, ensure_ascii=False).encode()
    except (ValueError, RecursionError):
        raise BadMessage("that is no JSON") from None
    if not isinstance(message, dict):
        raise BadMessage("a message is a table with one key")
    return message


def _no_constant(name: str) -> float:
    raise ModelError(f"{name} is no number")


def _silent(deed: Callable[[], None]) -> Callable[[], dict[str, Any]]:
    """A deed that has nothing to tell of itself."""

    def done() -> dict[str, Any]:
        deed()
        return {}

    return done

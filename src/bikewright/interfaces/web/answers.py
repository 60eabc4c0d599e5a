"""What is sent to windows: messages as text, built on the answering thread from the desk, studies and reports."""

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from time import monotonic
from typing import Any

from bikewright import __version__
from bikewright.errors import BikewrightError, LinkageError, NotKnown, SolverDidNotSettle
from bikewright.interfaces.web.desk import Desk
from bikewright.interfaces.web.views import Looking
from bikewright.model.addresses import with_value
from bikewright.model.build import Build
from bikewright.model.digest import digest
from bikewright.reports.as_json import catalogue_json
from bikewright.reports.pins import pins_data
from bikewright.reports.screen import comparison_data, screen_json, sizes_data, state_words
from bikewright.reports.wording import ShownUnits
from bikewright.studies.compare import STATES_COMPARED, TOLD_AT, compare, worst_first
from bikewright.studies.evaluate import evaluate
from bikewright.studies.workbench import Screen, View, screen

PROTOCOL = 1
HELD = "held"
"""What stands in a screen in place of the pinned build that the window has."""
BASELINE_LETTERS = 16
PIECE_S = 0.0015
"""A piece of what follows is ended after so long, where the group of quantities in hand is: a move may be waiting."""
UNITS = ShownUnits()

Send = Callable[[str, str], None]
"""Takes what a message is, so that a newer one of the same replaces it on a slow line, and its text."""


def text(message: dict[str, Any]) -> str:
    """A message as it goes over the line."""
    return json.dumps(message, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def welcome(desk: Desk, window: str) -> str:
    """The first message to a window: the bike, what may be chosen, and the draft."""
    bike = desk.bike
    return text(
        {
            "welcome": {
                "protocol": PROTOCOL,
                "release": __version__,
                "window": window,
                "bike": {"name": bike.frame.name, "revision": bike.frame.revision, "maker": bike.frame.maker},
                "builds": [{"name": build.name, "size": build.size} for build in bike.builds],
                "sizes": [size.name for size in bike.frame.sizes],
                "states": state_words(),
                "stock": {
                    shelf.kind: [{"name": part.name, "describe": part.describe} for part in shelf.parts]
                    for shelf in bike.stock.shelves
                },
                "riders": [rider.name for rider in bike.riders],
                "catalogue": catalogue_json(),
                "draft": desk.told(),
            }
        }
    )


def glance(
    desk: Desk, n: int, view: Looking, changes: tuple[str, ...], send: Send, *, forms: bool, have: str = ""
) -> None:
    """The first part of a screen: the bike and its curves, or what keeps them from being drawn.

    ``have`` is the mark of a pinned build that the window has drawn already: then it is not sent again.
    """
    try:
        before, after = desk.look(view, changes)
        wanted = View(state=view.state, curves=view.curves, travel=view.travel, comparison=False)
        baseline = digest((before, view.state, view.curves))[:BASELINE_LETTERS]
        shown = _packed(screen(before, after, desk.bike.brief, wanted), baseline, held=have == baseline)
        stop = stopped(after, view.state) if shown["trouble"] else None
    except BikewrightError as error:
        send("trouble", trouble(n, error))
        return
    if stop is not None:
        send("trouble", trouble(n, stop, pose=shown["pose"]))
        return
    shown["pin_places"] = pins_data(after)
    if forms:
        shown["model"] = desk.model(view)
        shown["draft"] = desk.told()
    send("screen", text({"screen": {"n": n, **shown}}))


def _packed(shown: Screen, baseline: str, *, held: bool) -> dict[str, Any]:
    """A screen for the line: places that curves share once, and no pinned build where the window has it."""
    if held:
        curves = tuple(one if one.now is None else replace(one, before=None) for one in shown.curves)
        shown = replace(shown, before=None, curves=curves)
    message = screen_json(shown, UNITS)
    places: dict[tuple[float, ...], int] = {}
    for curve in message["curves"]:
        for one in (curve["now"], curve["before"]):
            if one is not None:
                one["x"] = places.setdefault(tuple(one["x"]), len(places))
    message["xs"], message["baseline"] = [list(xs) for xs in places], baseline
    if held:
        message["before"] = HELD
    return message


def consequences(desk: Desk, n: int, view: Looking, changes: tuple[str, ...], send: Send) -> Iterator[None]:
    """What may follow a screen: the list of consequences, the values, all sizes; in pieces."""
    try:
        before, after = desk.look(view, changes)
    except BikewrightError:
        return  # it was told with the first part
    brief = desk.bike.brief
    yield from _prepared(after, view.state if view.values else "")
    own = compare(before, after, brief)
    message: dict[str, Any] = {"n": n, "comparison": comparison_data(own, UNITS)}
    if view.values:
        shown = screen(before, after, brief, View(state=view.state, curves=(), values=True, comparison=False))
        message["values"] = screen_json(shown, UNITS)["values"]
    send("consequences", text({"consequences": message}))
    if not view.sizes:
        return
    yield
    shared = {size.name for size in before.frame.sizes}
    compared = []
    for size in after.frame.sizes:
        if size.name in shared:
            if size.name == after.size == before.size:
                compared.append(own)
                continue
            one = with_value(after, "size", size.name)
            yield from _prepared(one, "")
            compared.append(compare(with_value(before, "size", size.name), one, brief))
            yield
    send("sizes", text({"sizes": {"n": n, "rows": sizes_data(worst_first(compared), UNITS)}}))


def trouble(n: int, error: BaseException, *, pose: Any = None) -> str:
    """An error as a message: its sentence, its kind, and where in the travel it stops the linkage."""
    place = None
    if isinstance(error, LinkageError) and error.stroke_mm is not None:
        place = {"stroke_mm": error.stroke_mm, "travel_mm": error.wheel_travel_mm, "pin": error.pin}
    message = {"n": n, "text": str(error), "kind": type(error).__name__, "place": place, "pose": pose}
    return text({"trouble": message})


def stopped(build: Build, state: str) -> BikewrightError | None:
    """The error that keeps a linkage from moving as it must; None where only something waits to be known."""
    answer = evaluate(build)
    for group in ("linkage", "geometry"):
        try:
            answer.group(group, state)
        except NotKnown:
            continue
        except (LinkageError, SolverDidNotSettle) as error:
            return error
        except BikewrightError:
            continue
    return None


def _prepared(build: Build, state: str) -> Iterator[None]:
    """Work out group by group what a comparison reads, so that somebody else can have a turn in between."""
    answer = evaluate(build)
    for one in (*STATES_COMPARED, *([state] if state and state not in STATES_COMPARED else [])):
        until = monotonic() + PIECE_S
        for _ in answer.values(one):
            if monotonic() > until:
                yield
                until = monotonic() + PIECE_S
        yield
    for key, states in TOLD_AT.items():
        for one in states:
            answer.value(f"{key}@{one}")
        yield

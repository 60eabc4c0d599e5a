"""Every page's twin in JSON: the documents that the commands print with ``--json``. They change nothing.

``?build=&size=&with=ADDRESS=VALUE`` picks the build, as the commands' options do; without ``with`` it is the draft's.
"""

import json
from collections.abc import Callable
from typing import Any

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from bikewright.errors import BikewrightError
from bikewright.interfaces.cli.main import error_as_json
from bikewright.interfaces.cli.ranging import OF_BAR, OF_FRAME
from bikewright.interfaces.web import riding
from bikewright.interfaces.web.answers import UNITS
from bikewright.interfaces.web.apart import Apart
from bikewright.interfaces.web.bench import Workbench
from bikewright.interfaces.web.desk import Desk
from bikewright.interfaces.web.guard import client_is_here
from bikewright.interfaces.web.keys import Keys
from bikewright.interfaces.web.lists import LARGEST_LIST
from bikewright.interfaces.web.long_questions import LongQuestion, tunes_question
from bikewright.interfaces.web.queries import Document, Query
from bikewright.interfaces.web.queries import builds_of as _builds
from bikewright.interfaces.web.queries import looking_of as _looking
from bikewright.interfaces.web.queries import one as _one
from bikewright.interfaces.web.range_questions import (
    cockpit_by_one,
    cockpit_question,
    coverage_question,
    refuse_other_folders,
    regroup_question,
    steps_question,
)
from bikewright.interfaces.web.views import MOST_CURVES, BadMessage, state_of
from bikewright.model.addresses import with_value
from bikewright.model.versions import labels, plain
from bikewright.quantities import STATES
from bikewright.reports.as_json import (
    answer_json,
    brief_json,
    catalogue_json,
    comparison_json,
    curves_json,
    side_by_side_json,
    sizes_json,
)
from bikewright.reports.fit_room import rules_data
from bikewright.reports.progress import left_text
from bikewright.reports.range_room import bounds_data, bounds_note
from bikewright.reports.rooms import brief_data, side_by_side_data
from bikewright.studies import workbench
from bikewright.studies.check import brief_rows
from bikewright.studies.compare import compare, compare_sizes
from bikewright.studies.evaluate import evaluate
from bikewright.studies.side_by_side import LEAST, MOST, side_by_side
from bikewright.studies.workbench import View

WAITED_S = 0.7
"""How long the page is kept waiting for a long answer before it hears how far it is."""


def answer(desk: Desk, query: Query) -> Document:
    """Every value and curve of a build, in one state or in all."""
    state = _one(query, "state")
    return answer_json(evaluate(_builds(desk, query)[1]), (state_of(state),) if state else tuple(STATES))


def comparison(desk: Desk, query: Query) -> Document:
    """What follows from the draft against the pinned build; ``sizes=1`` for all sizes, ``to=VERSION`` for a version."""
    before, after = _builds(desk, query)
    if (label := _one(query, "to")) != "":
        after = desk.version(label).build
    if (label := _one(query, "from")) != "":
        before = desk.version(label).build
    if _one(query, "sizes") in ("1", "true"):
        return comparison_json(compare_sizes(before, after, desk.bike.brief))
    return comparison_json((compare(before, after, desk.bike.brief),))


def curves(desk: Desk, query: Query) -> Document:
    """The curves of every ``key``."""
    keys = [value for name, value in query if name == "key"]
    if not keys or len(keys) > MOST_CURVES:
        raise BadMessage(f"name one to {MOST_CURVES} curves, as in ?key=leverage_ratio")
    build = _builds(desk, query)[1]
    return curves_json(build, [evaluate(build).curve(key) for key in keys])


def sizes(desk: Desk, query: Query) -> Document:
    """The geometry chart over all sizes."""
    build = _builds(desk, query)[1]
    answers = [evaluate(with_value(build, "size", size.name)) for size in build.frame.sizes]
    return sizes_json(answers, state_of(_one(query, "state") or "table"))


def beside(desk: Desk, query: Query) -> Document:
    """Two or three of the files, the draft and kept versions beside one another: ``of=files&of=draft&of=LABEL``."""
    names = _compared(query)
    builds = [desk.named(name, _looking(query)) for name in names]
    return side_by_side_json(side_by_side(builds, desk.bike.brief), names)


def beside_shown(desk: Desk, query: Query) -> Document:
    """The same with the texts, poses and curves that the page shows; for the page alone."""
    names = _compared(query)
    builds = [desk.named(name, _looking(query)) for name in names]
    keys = tuple(value for name, value in query if name == "key")[:MOST_CURVES]
    view = View(state=state_of(_one(query, "state") or "table"), curves=keys)
    told, poses, curves = workbench.beside(builds, desk.bike.brief, view)
    return side_by_side_data(told, names, poses, curves, UNITS)


def brief(desk: Desk, query: Query) -> Document:
    """The brief, line by line, with what each line says of the build."""
    told = brief_json(brief_rows(_builds(desk, query)[1], desk.bike.brief, desk.bike.riders))
    lines = zip(desk.bike.brief.lines, told, strict=True)
    return _document("brief", lines=[{**plain(line), **row} for line, row in lines])


def brief_shown(desk: Desk, query: Query) -> Document:
    """The same with the texts that the page shows; for the page alone."""
    build = _builds(desk, query)[1]
    return {"lines": brief_data(brief_rows(build, desk.bike.brief, desk.bike.riders), UNITS)}


def parts(desk: Desk, query: Query) -> Document:
    """The stock and the riders, as the draft has them."""
    shelves = {shelf.kind: [plain(part) for part in shelf.parts] for shelf in desk.bike.stock.shelves}
    return _document("parts", shelves=shelves, riders=[plain(rider) for rider in desk.bike.riders])


def versions(desk: Desk, query: Query) -> Document:
    """All kept versions; with ``label`` one of them in full."""
    if (label := _one(query, "label")) != "":
        return _document("version", **plain(desk.version(label)))
    found = []
    for label in labels(desk.folder):
        try:
            one = desk.version(label)
        except BikewrightError as error:
            found.append({"label": label, "trouble": str(error)})
            continue
        head = {name: getattr(one, name) for name in ("number", "name", "note", "parent", "key", "kept")}
        found.append({"label": label, **head, "build": one.build.name, "size": one.build.size})
    return _document("versions", versions=found)


def words(desk: Desk, query: Query) -> Document:
    """The catalogue and the states."""
    return catalogue_json()


def bounds_shown(desk: Desk, query: Query) -> Document:
    """Every angle whose range may be stated anew; for the page alone."""
    return {"bounds": bounds_data(), "note": bounds_note()}


def rules_shown(desk: Desk, query: Query) -> Document:
    """What can be stepped and by which rules; for the page alone."""
    return {"stepped": [{"of": of, **one} for of, one in zip((OF_FRAME, OF_BAR), rules_data(), strict=True)]}


def lists_shown(desk: Desk, query: Query) -> Document:
    """Lists of people that may be chosen; for the page alone."""
    return {"lists": desk.lists.names(), "largest": LARGEST_LIST}


TWINS: dict[str, Callable[[Desk, Query], Document]] = {
    "/answer.json": answer,
    "/comparison.json": comparison,
    "/curves.json": curves,
    "/sizes.json": sizes,
    "/brief.json": brief,
    "/side-by-side.json": beside,
    "/parts.json": parts,
    "/versions.json": versions,
    "/words.json": words,
    "/fit.json": riding.fit,
    "/setup.json": riding.setup,
    "/coil.json": riding.coil,
    "/shown/brief.json": brief_shown,
    "/shown/side-by-side.json": beside_shown,
    "/shown/fit.json": riding.fit_shown,
    "/shown/setup.json": riding.setup_shown,
    "/shown/coil.json": riding.coil_shown,
    "/shown/bases.json": riding.bases,
    "/shown/bounds.json": bounds_shown,
    "/shown/rules.json": rules_shown,
    "/shown/lists.json": lists_shown,
}
"""What stands under ``/shown`` is worded for the page and may change with it."""

LONG_TWINS: dict[str, Callable[[Desk, Query], LongQuestion]] = {
    "/coverage.json": coverage_question,
    "/steps.json": steps_question,
    "/regroup.json": regroup_question,
    "/cockpit.json": cockpit_by_one,
    "/tunes.json": tunes_question,
    "/shown/coverage.json": coverage_question,
    "/shown/steps.json": steps_question,
    "/shown/regroup.json": regroup_question,
    "/shown/cockpit.json": cockpit_question,
    "/shown/tunes.json": tunes_question,
}
"""The same for what takes seconds: under ``/shown`` the status is 202 while it is being worked out."""


async def twin(request: Request) -> Response:
    """One of the documents above."""
    refused = refused_here(request)
    if refused is not None:
        return refused
    bench: Workbench = request.app.state.bench
    made, query = TWINS[request.url.path], request.query_params.multi_items()
    try:
        document = await bench.ask(lambda desk: _text(made(desk, query)))
    except BikewrightError as error:
        return Response(_text(error_as_json(error)), status_code=400, media_type="application/json")
    return Response(document, media_type="application/json", headers={"cache-control": "no-store"})


async def long_twin(request: Request) -> Response:
    """One of the documents that take seconds. A program waits for it; the page hears how far it is and asks again."""
    refused = refused_here(request)
    if refused is not None:
        return refused
    bench: Workbench = request.app.state.bench
    apart: Apart = request.app.state.apart
    path, query = request.url.path, request.query_params.multi_items()
    is_shown = path.startswith("/shown/")
    try:
        if not client_is_here(request.scope):
            refuse_other_folders(query)
        question = await bench.ask(lambda desk: LONG_TWINS[path](desk, query))
    except BikewrightError as error:
        at = {"at": error.at} if is_shown else {}
        return Response(_text({**error_as_json(error), **at}), status_code=400, media_type="application/json")
    job = await apart.ask(question, WAITED_S if is_shown else None)
    status, document = 200, job.answer
    if document is None:
        told = left_text(job.done, job.of, job.taken_s)
        status, document = 202, {"done": job.done, "of": job.of, "told": told}
    elif "error" in document:
        at = {"at": document.get("at", "")} if is_shown else {}
        status, document = 400, {**document["error"], **at}
    elif "refused" in document and not is_shown:
        status, document = 400, document["refused"]
    else:
        document = document["shown" if is_shown else "twin"]
    head = {"cache-control": "no-store"}
    return Response(_text(document), status_code=status, media_type="application/json", headers=head)


def refused_here(request: Request) -> Response | None:
    """An answer for another machine that shows no key; this machine may read without one."""
    keys: Keys = request.app.state.keys
    here = client_is_here(request.scope)
    if here or keys.may_change(request.headers.get("x-bikewright-token", ""), here=False):
        return None
    return PlainTextResponse("This needs the key that the invitation is exchanged for.\n", status_code=403)


def _compared(query: Query) -> list[str]:
    """What is laid beside one another."""
    names = [value for name, value in query if name == "of"]
    if not LEAST <= len(names) <= MOST or len(set(names)) < len(names):
        raise BadMessage("name two or three different ones of files, draft and kept versions: ?of=files&of=draft")
    return names


def _document(kind: str, **content: Any) -> Document:
    return {"format": f"bikewright/{kind}", "version": 1, **content}


def _text(document: Document) -> str:
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)

"""Lists of people handed over by the page, and what an old range may be.

A list is held in memory; it is written into the folder only when somebody asks for that. Both need the key of the
window, as every change does.
"""

from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response

from bikewright.errors import BikewrightError
from bikewright.interfaces.web import range_questions
from bikewright.interfaces.web.bench import Workbench
from bikewright.interfaces.web.guard import client_is_here
from bikewright.interfaces.web.keys import Keys
from bikewright.interfaces.web.twins import refused_here


async def hold_list(request: Request) -> Response:
    """Hold the bytes of a list, for ``?name=`` of its file; answers by what it is asked for."""
    refused = _refused(request)
    if refused is not None:
        return refused
    bench: Workbench = request.app.state.bench
    name, content = request.query_params.get("name", ""), await request.body()
    return _json({"list": await bench.ask(lambda desk: desk.lists.hold(name, content))})


async def keep_list(request: Request) -> Response:
    """Write the list ``?list=`` that is held into the folder as ``?name=``."""
    refused = _refused(request)
    if refused is not None:
        return refused
    bench: Workbench = request.app.state.bench
    key, name = (request.query_params.get(what, "") for what in ("list", "name"))
    try:
        return _json({"list": await bench.ask(lambda desk: desk.lists.keep(key, name))})
    except BikewrightError as error:
        return PlainTextResponse(f"{error}\n", status_code=400)


async def olds(request: Request) -> Response:
    """What an old range may be, for the machine that asks."""
    refused = refused_here(request)
    if refused is not None:
        return refused
    bench: Workbench = request.app.state.bench
    here = client_is_here(request.scope)
    return _json(await bench.ask(lambda desk: range_questions.olds(desk, others=here)))


def _refused(request: Request) -> Response | None:
    """An answer for whoever shows no key."""
    keys: Keys = request.app.state.keys
    here = client_is_here(request.scope)
    if keys.may_change(request.headers.get("x-bikewright-token", ""), here=here):
        return None
    return PlainTextResponse("This needs the key of a window.\n", status_code=403)


def _json(document: dict[str, object]) -> Response:
    return JSONResponse(document, headers={"cache-control": "no-store"})

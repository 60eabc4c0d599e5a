"""Sheets on paper that the page hands over: the set-up card and the base tune table, as PDF to be saved."""

import base64

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from bikewright.errors import BikewrightError
from bikewright.interfaces.web import riding
from bikewright.interfaces.web.apart import Apart
from bikewright.interfaces.web.bench import Workbench
from bikewright.interfaces.web.guard import FILE_POLICY
from bikewright.interfaces.web.long_questions import tunes_question
from bikewright.interfaces.web.twins import refused_here


async def card(request: Request) -> Response:
    """The set-up card, for the query of ``/setup.json`` and ``card=a6`` or ``phone``."""
    refused = refused_here(request)
    if refused is not None:
        return refused
    bench: Workbench = request.app.state.bench
    query = request.query_params.multi_items()
    try:
        return _handed_over(await bench.ask(lambda desk: riding.card(desk, query)), "set-up-card.pdf")
    except BikewrightError as error:
        return _refused(str(error))


async def tunes(request: Request) -> Response:
    """The base tune table, for the query of ``/tunes.json``."""
    refused = refused_here(request)
    if refused is not None:
        return refused
    bench: Workbench = request.app.state.bench
    apart: Apart = request.app.state.apart
    query = request.query_params.multi_items()
    try:
        question = await bench.ask(lambda desk: tunes_question(desk, query))
    except BikewrightError as error:
        return _refused(str(error))
    answer = (await apart.ask(question)).answer
    assert answer is not None  # it was waited for
    if "pdf" not in answer:
        return _refused(answer.get("no_pdf") or answer["error"]["error"])
    return _handed_over(base64.b64decode(answer["pdf"]), "base-tunes.pdf")


def _handed_over(content: bytes, name: str) -> Response:
    head = {
        "content-disposition": f'attachment; filename="{name}"',
        "content-security-policy": FILE_POLICY.decode(),
        "cache-control": "no-store",
    }
    return Response(content, media_type="application/pdf", headers=head)


def _refused(told: str) -> Response:
    return PlainTextResponse(f"{told}\n", status_code=400)

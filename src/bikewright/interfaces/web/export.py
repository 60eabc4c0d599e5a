"""The bike as one file that opens from disk without a server: drawing, curves and a scrubber."""

import re

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from bikewright.errors import BikewrightError
from bikewright.interfaces.web.answers import UNITS, text
from bikewright.interfaces.web.bench import Workbench
from bikewright.interfaces.web.desk import Desk
from bikewright.interfaces.web.guard import FILE_POLICY
from bikewright.interfaces.web.pages import page_content
from bikewright.interfaces.web.twins import refused_here
from bikewright.interfaces.web.views import Looking, looking
from bikewright.reports.screen import screen_json
from bikewright.studies.evaluate import curve_keys
from bikewright.studies.workbench import View, screen

TEMPLATE = "export.html"
_PUT_IN = re.compile(r"<!-- put in (style|script|data): ?([\w./ -]*?) ?-->")
"""``<!-- put in style: page.css -->``, ``<!-- put in script: pen.js export.js -->`` and ``<!-- put in data: -->``."""
_BINDS = re.compile(r"^import .*$|^export \{.*$|^export (?=\w)", re.MULTILINE)
"""What binds modules together; scripts that are put in as one, in the order of their needs, have no use for it."""


async def export(request: Request) -> Response:
    """The file, for ``?build=&size=&state=&key=``; every curve where no key is named."""
    refused = refused_here(request)
    if refused is not None:
        return refused
    template = page_content(TEMPLATE)
    if template is None:
        told = "This installation has no template for a file of its own."
        return PlainTextResponse(f"{told}\n", status_code=404)
    query = request.query_params
    asked = {name: query[name] for name in ("build", "size", "state") if name in query}
    curves = query.getlist("key") or list(curve_keys())
    bench: Workbench = request.app.state.bench
    try:
        view = looking({"view": {**asked, "curves": curves}}, Looking())
        data = await bench.ask(lambda desk: _data(desk, view))
    except BikewrightError as error:
        return PlainTextResponse(f"{error}\n", status_code=400)
    head = {"content-disposition": 'attachment; filename="bike.html"', "content-security-policy": FILE_POLICY.decode()}
    return Response(put_in(template.decode(), data), media_type="text/html; charset=utf-8", headers=head)


def put_in(template: str, data: str) -> str:
    """The template with its styles, its scripts and the data inside it."""

    def content(found: re.Match[str]) -> str:
        kind, names = found[1], found[2].split()
        if kind == "data":
            return f'<script type="application/json" id="data">{for_html(data)}</script>'
        said = "\n".join((page_content(name) or b"").decode() for name in names)
        if kind == "script":
            said = _BINDS.sub("", said)
        # A closing tag inside would end the element: in a script it can only stand in a text, where \/ means /.
        said = re.sub(r"</(script|style)", r"<\\/\1", said, flags=re.IGNORECASE)
        return f"<style>{said}</style>" if kind == "style" else f'<script type="module">{said}</script>'

    return _PUT_IN.sub(content, template)


def for_html(text: str) -> str:
    """JSON that can stand inside an HTML file, whatever names a bike's files hold."""
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e").replace("\u2028", "\\u2028")


def _data(desk: Desk, view: Looking) -> str:
    before, after = desk.look(view)
    wanted = View(state=view.state, curves=view.curves, values=True, travel=True)
    shown = screen_json(screen(before, after, desk.bike.brief, wanted), UNITS)
    shown["bike"] = {"name": after.frame.name, "revision": after.frame.revision, "maker": after.frame.maker}
    return text(shown)

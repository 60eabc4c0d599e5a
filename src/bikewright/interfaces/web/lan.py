"""Letting another machine of the network in: an invitation as a QR code, exchanged once for a key."""

import io
import socket
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response

from bikewright.errors import BikewrightError
from bikewright.interfaces.web.bench import read_message
from bikewright.interfaces.web.guard import client_is_here
from bikewright.interfaces.web.keys import Keys
from bikewright.interfaces.web.socket import end_foreign
from bikewright.interfaces.web.views import text_of

WARNING = (
    "Anybody on this network who sees the code first can change this bike, and what is sent is not encrypted. "
    "Use it on a network that you trust, and end it when you are done."
)
_NOWHERE = ("192.0.2.1", 9)
"""An address kept for documents (RFC 5737): asking for the way to it sends nothing."""


@dataclass(frozen=True, slots=True)
class Lan:
    """How this machine is reached from the network."""

    host: str
    """Address and port, as ``192.168.1.20:8722``."""

    def address(self, invitation: str) -> str:
        """The address that lets another machine in once."""
        return f"http://{self.host}/#join={invitation}"


def lan_of(port: int) -> Lan:
    """How a port of this machine is reached."""
    return Lan(f"{own_address()}:{port}")


def own_address() -> str:
    """This machine's address on the network; 127.0.0.1 where it is on none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
        try:
            line.connect(_NOWHERE)
        except OSError:
            return "127.0.0.1"
        return str(line.getsockname()[0])


def qr_lines(address: str) -> str:
    """A QR code for a terminal."""
    import segno

    out = io.StringIO()
    segno.make(address, micro=False, error="m").terminal(out, compact=True)
    return out.getvalue()


def qr_svg(address: str) -> str:
    """A QR code for a page, dark on light whatever the page's colours are."""
    import segno

    svg: str = segno.make(address, micro=False, error="m").svg_inline(scale=4, light="white", dark="black")
    return svg


async def join(request: Request) -> Response:
    """Exchange an invitation for a key, once."""
    keys: Keys = request.app.state.keys
    try:
        key = keys.join(text_of(read_message(await request.body()), "token"))
    except BikewrightError:
        key = None
    if key is None:
        told = "This invitation is not known, was used already or is too old. Ask for a new code."
        return PlainTextResponse(f"{told}\n", status_code=403)
    return _json({"key": key})


async def invite(request: Request) -> Response:
    """A new invitation, for the window on this machine."""
    keys: Keys = request.app.state.keys
    lan: Lan | None = request.app.state.lan
    if not _is_owner(request):
        return PlainTextResponse("Only a window on this machine may do this.\n", status_code=403)
    if lan is None:
        return PlainTextResponse("This server answers this machine only; start it with --lan.\n", status_code=409)
    address = lan.address(keys.invite())
    return _json({"address": address, "svg": qr_svg(address), "warning": WARNING})


async def revoke(request: Request) -> Response:
    """Take every key back and close the lines of other machines."""
    if not _is_owner(request):
        return PlainTextResponse("Only a window on this machine may do this.\n", status_code=403)
    count = request.app.state.keys.revoke()
    end_foreign(request.app.state.lines)
    return _json({"revoked": count})


def _is_owner(request: Request) -> bool:
    keys: Keys = request.app.state.keys
    here = client_is_here(request.scope)
    return here and keys.may_change(request.headers.get("x-bikewright-token", ""), here=True)


def _json(document: dict[str, object]) -> Response:
    return JSONResponse(document, headers={"cache-control": "no-store"})

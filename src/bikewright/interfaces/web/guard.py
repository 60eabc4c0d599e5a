"""What stands in front of every route: who may ask, from where, how much, and what a browser may do with the answer.

Question answered   Is this request one of the workbench's own?
Method              The Host must be one that this server was started under, so that a foreign name that leads here is
                    refused. A socket and anything that changes must come from a page of the same origin. What a page
                    of another origin puts into itself is not worked out for it; a link may lead here. Bodies are
                    counted as they are received, whatever their header says, and waited for a while only. No cookie is
                    set or read.
"""

import asyncio
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from bikewright.interfaces.web.lists import LARGEST_LIST

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

BODY_LIMITS = {"/join": 1_000, "/lan/invite": 1_000, "/lan/revoke": 1_000, "/list": LARGEST_LIST, "/list/keep": 1_000}
"""Bytes of a body by route; a route that is not named takes none."""
BODY_WITHIN_S = 10.0
CLOSE_REFUSED = 1008

HEADERS = (
    (b"content-security-policy", b"default-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"x-frame-options", b"DENY"),
)

FILE_POLICY = b"default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; sandbox"
"""For a file that is only handed over to be saved: it may run nothing here."""


class Guard:
    """The outermost layer of the server."""

    def __init__(self, app: App, hosts: frozenset[str]):
        self.app = app
        self.hosts = hosts
        """Host headers that are answered, as ``127.0.0.1:8722``."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        refused = self._refused(scope)
        if scope["type"] == "websocket":
            if refused:
                await receive()
                await send({"type": "websocket.close", "code": CLOSE_REFUSED, "reason": refused})
                return
            await self.app(scope, receive, send)
            return
        if refused:
            await _sentence(send, 403, refused)
            return
        await self._http(scope, receive, send)

    def _refused(self, scope: Scope) -> str:
        """Why a request is refused; empty where it is not."""
        hosts, origins = _header(scope, b"host"), _header(scope, b"origin")
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            return "This server answers under its own address only."
        own = f"http://{hosts[0].lower()}"
        changes = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD")
        if any(origin.lower() != own for origin in origins) and changes:
            return "This request comes from another page."
        if scope["type"] == "websocket" and len(origins) != 1:
            return "A socket is opened by a page of this server only."
        if {*_header(scope, b"sec-fetch-site")} & {"cross-site", "same-site"} and not _is_followed(scope):
            return "This request comes from another page."
        return ""

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                names = {name.lower() for name, _ in message["headers"]}
                message["headers"] = [*message["headers"], *(pair for pair in HEADERS if pair[0] not in names)]
            await send(message)

        if scope["method"] in ("GET", "HEAD"):
            await self.app(scope, receive, dressed)
        elif scope["path"] not in BODY_LIMITS:
            await _sentence(send, 405, "There is nothing here to be changed.")
        else:
            limit = BODY_LIMITS[scope["path"]]
            try:
                async with asyncio.timeout(BODY_WITHIN_S):
                    body = await _body(receive, limit)
            except TimeoutError:
                await _sentence(send, 408, f"This was not sent to its end within {BODY_WITHIN_S:.0f} s.")
                return
            except _Gone:
                return
            if body is None:
                await _sentence(send, 413, f"That is more than the {limit} bytes that are taken here.")
                return
            await self.app(scope, _given(body, receive), dressed)


class _Gone(Exception):
    """Who asked went before the question was whole."""


async def _body(receive: Receive, limit: int) -> bytes | None:
    """A body, counted as it comes; None as soon as it is more than the limit."""
    body = bytearray()
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise _Gone
        body += message.get("body", b"")
        if len(body) > limit:
            return None
        if not message.get("more_body", False):
            return bytes(body)


def _given(body: bytes, receive: Receive) -> Receive:
    """What the application receives: the body in one piece, then whatever comes."""
    waiting: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def given() -> Message:
        return waiting.pop() if waiting else await receive()

    return given


def client_is_here(scope: Scope) -> bool:
    """Whether a request comes from this machine."""
    client = scope.get("client")
    return client is not None and client[0] in ("127.0.0.1", "::1")


def _is_followed(scope: Scope) -> bool:
    """Whether a request opens a page of its own, as a link does that somebody follows."""
    return scope["type"] == "http" and scope["method"] == "GET" and _header(scope, b"sec-fetch-dest") == ["document"]


def _header(scope: Scope, name: bytes) -> list[str]:
    return [value.decode("latin-1") for key, value in scope["headers"] if key.lower() == name]


async def _sentence(send: Send, status: int, told: str) -> None:
    body = f"{told}\n".encode()
    head = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": status, "headers": [*head, *HEADERS]})
    await send({"type": "http.response.body", "body": body})

"""The line to one window: its messages in, screens out. See docs/guide/workbench-files.md for what is kept of them."""

import asyncio
from contextlib import suppress

import anyio
from starlette.websockets import WebSocket, WebSocketDisconnect

from bikewright.errors import BikewrightError
from bikewright.interfaces.web import answers
from bikewright.interfaces.web.bench import Window, Workbench, read_message
from bikewright.interfaces.web.guard import client_is_here
from bikewright.interfaces.web.keys import Keys
from bikewright.interfaces.web.views import BadMessage, text_of

LARGEST_MESSAGE = 256_000
"""Bytes."""
HELLO_WITHIN_S = 10.0
TAKEN_WITHIN_S = 30.0
"""A window that takes a message no sooner is sent away."""
CLOSED_WITHIN_S = 2.0
"""A line whose other end reads nothing is left to the system after so long."""
MOST_WINDOWS = 64
CLOSE_STRANGER, CLOSE_TOO_LARGE, CLOSE_TOO_MANY = 1008, 1009, 1013

Lines = dict[WebSocket, anyio.CancelScope]
"""Lines that stand, each with what ends it."""


async def serve_socket(socket: WebSocket) -> None:
    """One window from its first message to its end."""
    bench: Workbench = socket.app.state.bench
    await socket.accept()
    try:
        with anyio.fail_after(HELLO_WITHIN_S):
            name = await _greeted(socket)
    except (TimeoutError, WebSocketDisconnect, _End):
        await _close(socket, CLOSE_STRANGER)
        return
    except BikewrightError as error:
        with suppress(RuntimeError, WebSocketDisconnect):
            await socket.send_text(answers.trouble(0, error))
        await _close(socket, CLOSE_STRANGER)
        return
    if len(bench.windows) >= MOST_WINDOWS:
        await _close(socket, CLOSE_TOO_MANY)
        return
    window = Window(name, asyncio.get_running_loop())
    bench.enter(window)
    lines: Lines = socket.app.state.lines
    code = CLOSE_STRANGER  # where it is ended from outside, by `end_foreign`
    try:
        async with anyio.create_task_group() as both:
            lines[socket] = both.cancel_scope

            async def send() -> None:
                nonlocal code
                code = await _send(socket, window)
                both.cancel_scope.cancel()

            both.start_soon(send)
            code = await _listen(socket, window, bench)
            both.cancel_scope.cancel()
    finally:
        lines.pop(socket, None)
        bench.leave(window)
    await _close(socket, code)


def end_foreign(lines: Lines) -> None:
    """End the lines of other machines: nothing that they send is heard from now on, whether they read on or not."""
    for socket, standing in lines.items():
        if not client_is_here(socket.scope):
            standing.cancel()


class _End(Exception):
    """The line has ended, or must."""

    def __init__(self, code: int):
        super().__init__(code)
        self.code = code


async def _greeted(socket: WebSocket) -> str:
    """The window's name, once its first message has shown the token."""
    keys: Keys = socket.app.state.keys
    message = read_message(await _text(socket))
    hello = message.get("hello")
    if not isinstance(hello, dict):
        raise BadMessage("the first message is hello, with the token")
    if not keys.may_change(text_of(hello, "token"), here=client_is_here(socket.scope)):
        raise BadMessage("This token is not the one of this run. Open the address that the server printed.")
    return text_of(hello, "window", "window")


async def _listen(socket: WebSocket, window: Window, bench: Workbench) -> int:
    """Take what the window sends until it goes; returns the code to close the line with."""
    while True:
        try:
            text = await _text(socket)
        except WebSocketDisconnect:
            return 1000
        except _End as end:
            return end.code
        number = 0
        try:
            message = read_message(text)
            number = _number(message)
            bench.take(window, message)
        except BikewrightError as error:
            window.post("trouble", answers.trouble(number, error))


async def _send(socket: WebSocket, window: Window) -> int:
    """Send what waits until the window takes nothing any more; returns the code to close the line with."""
    try:
        while (text := await window.next()) is not None:
            with anyio.fail_after(TAKEN_WITHIN_S):
                await socket.send_text(text)
    except (WebSocketDisconnect, RuntimeError, TimeoutError):
        pass  # it went while it was being told, or does not listen
    return 1000


async def _text(socket: WebSocket) -> str:
    message = await socket.receive()
    if message["type"] == "websocket.disconnect":
        raise WebSocketDisconnect(message.get("code", 1000))
    text: str | None = message.get("text")
    if text is None:
        raise _End(1003)
    if len(text) > LARGEST_MESSAGE or len(text.encode()) > LARGEST_MESSAGE:
        raise _End(CLOSE_TOO_LARGE)
    return text


async def _close(socket: WebSocket, code: int) -> None:
    """End a line, whether it stands or not, and whether anybody reads at its other end or not."""
    with anyio.move_on_after(CLOSED_WITHIN_S), suppress(RuntimeError, WebSocketDisconnect):  # closed already
        await socket.close(code)


def _number(message: dict[str, object]) -> int:
    """The number to answer a faulty message with, as far as it has one."""
    for content in message.values():
        if isinstance(content, dict):
            number = content.get("n")
            if isinstance(number, int) and not isinstance(number, bool):
                return number
    return 0

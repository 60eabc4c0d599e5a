"""The line to one window: its messages in, screens out. See docs/guide/workbench-files.md for what is kept of them."""

import asyncio

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
MOST_WINDOWS = 64
CLOSE_STRANGER, CLOSE_TOO_LARGE, CLOSE_TOO_MANY = 1008, 1009, 1013


async def serve_socket(socket: WebSocket) -> None:
    """One window from its first message to its end."""
    bench: Workbench = socket.app.state.bench
    await socket.accept()
    try:
        with anyio.fail_after(HELLO_WITHIN_S):
            name = await _greeted(socket)
    except (TimeoutError, WebSocketDisconnect, _End):
        await close(socket, CLOSE_STRANGER)
        return
    except BikewrightError as error:
        await socket.send_text(answers.trouble(0, error))
        await close(socket, CLOSE_STRANGER)
        return
    if len(bench.windows) >= MOST_WINDOWS:
        await close(socket, CLOSE_TOO_MANY)
        return
    window = Window(name, asyncio.get_running_loop())
    bench.enter(window)
    lines: set[WebSocket] = socket.app.state.lines
    lines.add(socket)
    code = 1000
    try:
        async with anyio.create_task_group() as both:

            async def send() -> None:
                await _send(socket, window)
                both.cancel_scope.cancel()

            both.start_soon(send)
            code = await _listen(socket, window, bench)
            both.cancel_scope.cancel()
    finally:
        lines.discard(socket)
        bench.leave(window)
    await close(socket, code)


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


async def _send(socket: WebSocket, window: Window) -> None:
    """Send what waits until the window takes nothing any more."""
    try:
        while (text := await window.next()) is not None:
            await socket.send_text(text)
    except (WebSocketDisconnect, RuntimeError):
        return  # it went while it was being told


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


async def close(socket: WebSocket, code: int) -> None:
    """End a line, whether it stands or not."""
    try:
        await socket.close(code)
    except (RuntimeError, WebSocketDisconnect):
        return  # it is closed already


def _number(message: dict[str, object]) -> int:
    """The number to answer a faulty message with, as far as it has one."""
    for content in message.values():
        if isinstance(content, dict):
            number = content.get("n")
            if isinstance(number, int) and not isinstance(number, bool):
                return number
    return 0

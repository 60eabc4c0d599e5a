"""The server of the workbench: its routes, and how it is started.

It answers 127.0.0.1 only, unless it is told to answer the network. One thread computes
(`bikewright.interfaces.web.answering`); the event loop only carries messages.
"""

import socket
import sys
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from pathlib import Path

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.routing import Route, WebSocketRoute

from bikewright.errors import EnvironmentFault
from bikewright.interfaces.web import papers
from bikewright.interfaces.web.apart import Apart
from bikewright.interfaces.web.bench import Workbench
from bikewright.interfaces.web.export import export
from bikewright.interfaces.web.guard import Guard
from bikewright.interfaces.web.keys import Keys
from bikewright.interfaces.web.lan import Lan, invite, join, revoke
from bikewright.interfaces.web.pages import index, page_file
from bikewright.interfaces.web.range_routes import hold_list, keep_list, olds
from bikewright.interfaces.web.socket import LARGEST_MESSAGE, serve_socket
from bikewright.interfaces.web.twins import LONG_TWINS, TWINS, long_twin, twin
from bikewright.physics.kernels.compile import load_in_background
from bikewright.studies.evaluate import GRAPH

HERE = "127.0.0.1"
FEWEST_BYTES_PACKED = 1000
SWITCH_S = 0.0005
"""How soon the thread that computes lets the line have a turn; the usual 5 ms would be added to a drag twice."""
M_ARENA_MAX = -8
"""What ``mallopt`` calls the number of heaps: malloc.h of the GNU C library."""
RESULTS_KEPT = 300
"""Some ten builds with their groups and states: what ten windows look at, with the one pinned."""


def create_app(
    bench: Workbench,
    keys: Keys,
    hosts: frozenset[str],
    *,
    lan: Lan | None = None,
    ready: Callable[[], None] | None = None,
) -> Guard:
    """The application.

    Parameters
    ----------
    bench : Workbench
        The open folder and its answering thread, which is started and stopped with the application.
    keys : Keys
        Who may change the bike.
    hosts : frozenset of str
        Host headers that are answered.
    lan : Lan, optional
        How the machine is reached from the network, where it may be.
    ready : callable, optional
        Called once requests are taken.

    Returns
    -------
    Guard
        An ASGI application, with the guard outermost.
    """

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        GRAPH.store.keep_at_most(RESULTS_KEPT)
        bench.start()
        if ready is not None:
            ready()
        try:
            yield
        finally:
            await apart.end()
            bench.stop()

    apart = Apart()
    app = Starlette(
        routes=[
            Route("/", index),
            Route("/page/{name:path}", page_file),
            *(Route(path, twin) for path in TWINS),
            *(Route(path, long_twin) for path in LONG_TWINS),
            Route("/export.html", export),
            Route("/card.pdf", papers.card),
            Route("/tunes.pdf", papers.tunes),
            Route("/list", hold_list, methods=["POST"]),
            Route("/list/keep", keep_list, methods=["POST"]),
            Route("/shown/olds.json", olds),
            Route("/join", join, methods=["POST"]),
            Route("/lan/invite", invite, methods=["POST"]),
            Route("/lan/revoke", revoke, methods=["POST"]),
            WebSocketRoute("/socket", serve_socket),
        ],
        middleware=[Middleware(GZipMiddleware, minimum_size=FEWEST_BYTES_PACKED, compresslevel=5)],
        lifespan=lifespan,
    )
    app.state.apart = apart
    app.state.bench, app.state.keys, app.state.lan, app.state.lines = bench, keys, lan, {}
    return Guard(app, hosts)


def open_port(port: int, *, on_lan: bool = False) -> socket.socket:
    """A listening socket; port 0 takes any free one.

    Raises
    ------
    EnvironmentFault
        If the port is taken or may not be used.
    """
    # The protocol is named because asyncio sends small messages at once only on a socket that names it. Else a screen
    # waits until the window has said something again, which in a drag is a whole frame.
    line = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        line.bind(("0.0.0.0" if on_lan else HERE, port))
        line.listen(128)
    except OSError as error:
        line.close()
        told = f"port {port} cannot be used: {error.strerror or error}. Name another with --port, or 0 for any."
        raise EnvironmentFault(told) from None
    return line


def run(
    folder: Path, line: socket.socket, keys: Keys, *, lan: Lan | None = None, ready: Callable[[], None] | None = None
) -> None:
    """Serve a folder until the process is told to end.

    Parameters
    ----------
    folder : Path
        The bike's folder.
    line : socket
        From `open_port`.
    keys : Keys
        Who may change the bike.
    lan : Lan, optional
        How the machine is reached from the network, where others may come in by invitation.
    ready : callable, optional
        Called once requests are taken.
    """
    import uvicorn

    sys.setswitchinterval(SWITCH_S)
    _share_one_heap()

    bench = Workbench(folder)

    def begun() -> None:
        bench.loading = load_in_background()
        if ready is not None:
            ready()

    app = create_app(bench, keys, hosts(line.getsockname()[1], lan), lan=lan, ready=begun)
    settings = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        ws="websockets-sansio",
        ws_max_size=LARGEST_MESSAGE,
        ws_per_message_deflate=False,
        proxy_headers=False,
        server_header=False,
        timeout_graceful_shutdown=3,
        lifespan="on",
    )
    uvicorn.Server(settings).run([line])


def _share_one_heap() -> None:
    """Let all threads take their memory from one heap, where the C library would give each its own to be fast.

    Only one thread computes, so nothing waits for it; it saves some 6 MB. Elsewhere than under the GNU C library, whose
    word this is, nothing happens.
    """
    if sys.platform == "linux":
        import ctypes

        with suppress(OSError, AttributeError):
            ctypes.CDLL(None).mallopt(M_ARENA_MAX, 1)


def hosts(port: int, lan: Lan | None) -> frozenset[str]:
    """Host headers that a server on a port answers."""
    own = {f"{name}:{port}" for name in (HERE, "localhost")}
    return frozenset(own if lan is None else own | {lan.host})

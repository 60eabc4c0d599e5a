"""A real server on a copy of a demo bike, and a real browser that looks at it."""

import importlib.util
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, sync_playwright
from playwright.sync_api import TimeoutError as PlaywrightTimeout

ROOT = Path(__file__).resolve().parents[2]
TOKEN = "a-token-of-the-tests"
SETTLED_WITHIN_MS = 20_000
WIDE, PHONE = (1440, 900), (390, 844)
LOOKS = pytest.mark.parametrize(
    ("size", "scheme"),
    [
        pytest.param(WIDE, "light", id="wide-light"),
        pytest.param(PHONE, "dark", id="phone-dark"),
        pytest.param(WIDE, "dark", id="wide-dark", marks=pytest.mark.soak),
        pytest.param(PHONE, "light", id="phone-light", marks=pytest.mark.soak),
    ],
)
"""Both sizes and both tones; each with the other of both is left to the soak tests."""
PROGRAM = """
import sys
from pathlib import Path
from bikewright.interfaces.web.keys import Keys
from bikewright.interfaces.web.server import open_port, run
if not sys.argv[1:]:
    print("waiting", flush=True)
folder, port, token = sys.argv[1:] or sys.stdin.readline().rstrip("\\n").split("\\t")
run(Path(folder), open_port(int(port)), Keys(token), ready=lambda: print("ready", flush=True))
"""
"""A server; without arguments it waits for them on a line, with all that it needs in memory."""


def _vendor_tool() -> Any:
    spec = importlib.util.spec_from_file_location("vendor_page", ROOT / "tools" / "vendor_page.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def axe() -> str:
    """Source of axe-core; the page's own libraries are brought at the same time, for a run from the checkout."""
    _vendor_tool().vendor(for_tests=True)
    return (ROOT / "node_modules" / "axe-core" / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture(scope="session", autouse=True)
def none_is_left_waiting() -> Iterator[None]:
    """The process that no test needs any more ends with the last one."""
    yield
    for process in _next:
        process.kill()
        process.communicate()


@pytest.fixture(scope="session", autouse=True)
def vendored() -> None:
    """The page's libraries, where the source tree itself is under test."""
    import bikewright

    if Path(bikewright.__file__).is_relative_to(ROOT / "src"):
        _vendor_tool().vendor()


@dataclass
class Server:
    """A server process on one folder."""

    folder: Path
    port: int
    process: subprocess.Popen[str]

    @property
    def address(self) -> str:
        """The address of the page."""
        return f"http://127.0.0.1:{self.port}/"

    def kill(self) -> None:
        """End it at once, as a power cut would."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(timeout=20)

    def start(self) -> None:
        """Start it on the same folder and port."""
        if self.process.stdout is not None:
            self.process.stdout.close()
        self.process = _started(self.folder, self.port)


_next: list[subprocess.Popen[str]] = []
"""The process of the next server: it gets ready while a test still runs."""
_ready: list[subprocess.Popen[str]] = []
"""The same, once it has said so."""


def _waiting() -> subprocess.Popen[str]:
    command = [sys.executable, "-c", PROGRAM]
    return subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1, env=dict(os.environ)
    )


def nothing_else_runs() -> None:
    """Wait until the process of the next server waits as well: until then it takes time from what is counted."""
    for process in _next:
        if process not in _ready:
            assert process.stdout is not None and process.stdout.readline() == "waiting\n"
            _ready.append(process)


def _started(folder: Path, port: int) -> subprocess.Popen[str]:
    if not _next:
        _next.append(_waiting())
    nothing_else_runs()
    process = _next.pop()
    _ready.remove(process)
    _next.append(_waiting())
    assert process.stdin is not None and process.stdout is not None
    begun = time.monotonic()
    with process.stdin as line:
        line.write(f"{folder}\t{port}\t{TOKEN}\n")
    line = process.stdout.readline()
    assert line.strip() == "ready", f"the server did not start in {time.monotonic() - begun:.1f} s: {line!r}"
    return process


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as line:
        line.bind(("127.0.0.1", 0))
        return int(line.getsockname()[1])


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Callable[..., Server]]:
    """Start a server on a copy of a demo bike; ``change`` may edit the copy's files first."""
    started: list[Server] = []

    def one(bike: str = "quillback", change: Callable[[Path], None] | None = None) -> Server:
        folder = tmp_path / f"{bike}{len(started)}"
        shutil.copytree(ROOT / "examples" / bike, folder, ignore=shutil.ignore_patterns(".bikewright", "versions"))
        if change is not None:
            change(folder)
        port = free_port()
        started.append(Server(folder, port, _started(folder, port)))
        return started[-1]

    yield one
    for server in started:
        if server.process.poll() is None:
            server.process.terminate()
            try:
                server.process.wait(timeout=20)
            except subprocess.TimeoutExpired:
                server.kill()
        if server.process.stdout is not None:
            server.process.stdout.close()


@pytest.fixture(scope="session")
def chromium_browser() -> Iterator[Browser]:
    """The real browser, with nothing of its own that would go to a network."""
    from tests.conftest import CHROMIUM

    flags = ["--no-sandbox", "--disable-background-networking", "--disable-component-update", "--no-first-run"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=flags)
        yield browser
        browser.close()


@dataclass
class Desk:
    """A window on a server, and everything that went wrong in it."""

    page: Page
    server: Server
    wrong: list[str] = field(default_factory=list)

    def state(self, expression: str) -> Any:
        """Something that the page knows."""
        return self.page.evaluate(f"() => globalThis.bikewright.state.{expression}")

    def settled(self) -> None:
        """Wait until the list of consequences, and that of all sizes where it is shown, belongs to the draft shown."""
        try:
            self.page.wait_for_function(
                """() => { const { busy, state } = globalThis.bikewright; const { screen, sizes, view } = state;
                return !busy() && screen && screen.told >= screen.n
                    && (!view.sizes || sizes && sizes.n >= screen.n); }""",
                timeout=SETTLED_WITHIN_MS,
            )
        except PlaywrightTimeout:
            told = self.page.evaluate(
                """() => { const { busy, state } = globalThis.bikewright; const { screen } = state;
                return { busy: busy(), line: state.line, trouble: state.trouble,
                    n: screen?.n, told: screen?.told, sizes: state.sizes?.n }; }"""
            )
            pytest.fail(f"the window did not come to rest: {told}")

    def look(self, room: str, **view: str) -> None:
        """Open a room by its deep link."""
        asked = "&".join(f"{name}={value}" for name, value in view.items())
        self.page.goto(f"{self.server.address}#/{room}?{asked}")
        # the browser tells the page of its new address a moment later: until then the old room is there, at rest
        self.page.wait_for_function(
            """([room, view]) => { const { state } = globalThis.bikewright;
            const shown = { ...state.ride, ...state.view };
            return state.room === room && Object.keys(view)
                .every(name => !(name in shown) || shown[name] === view[name]); }""",
            arg=[room, view],
        )
        self.settled()
        self.page.wait_for_selector("main h1, main .stage svg")
        self.settled()

    def texts(self, selector: str, wanted: list[str]) -> None:
        """Wait until elements say this, as in a window that was told and did not ask, or a room that is fetched."""
        try:
            self.page.wait_for_function(
                """([selector, wanted]) => {
                const said = [...document.querySelectorAll(selector)].map(node => node.innerText ?? node.textContent);
                return JSON.stringify(said) === JSON.stringify(wanted); }""",
                arg=[selector, wanted],
                timeout=SETTLED_WITHIN_MS,
            )
        except PlaywrightTimeout:
            assert self.page.locator(selector).all_text_contents() == wanted
            raise

    def stands_at(self, position: int) -> None:
        """Wait until so many steps of the journal are made, and all that follows is shown."""
        self.page.wait_for_function(f"() => globalThis.bikewright.state.draft.position === {position}")
        self.settled()

    def travels(self) -> None:
        """Wait for the poses through the travel of the draft that is shown, and until nothing else is on its way."""
        self.page.wait_for_function(
            """() => { const { screen, travel } = globalThis.bikewright.state;
            return travel.poses.length && travel.key === screen.build.key; }"""
        )
        self.settled()

    def make(self, change: str) -> None:
        """Type a change into the field."""
        self.page.fill("#change-field", change)
        before = self.state("draft.position")
        self.page.keyboard.press("Enter")
        self.stands_at(before + 1)


@pytest.fixture
def window(chromium_browser: Browser) -> Iterator[Callable[..., Desk]]:
    """Open a window on a server."""
    opened: list[Page] = []

    def one(server: Server, size: tuple[int, int] = WIDE, scheme: Any = "light", touch: bool = False) -> Desk:
        context = chromium_browser.new_context(
            viewport={"width": size[0], "height": size[1]}, color_scheme=scheme, has_touch=touch, accept_downloads=True
        )
        page = context.new_page()
        opened.append(page)
        desk = Desk(page, server)
        page.on("pageerror", lambda error: desk.wrong.append(f"error: {error}"))
        page.on("dialog", lambda dialog: (desk.wrong.append(f"dialog: {dialog.message}"), dialog.dismiss()))
        page.on("request", lambda sent: _watch(desk, sent.url))
        page.on("console", lambda message: desk.wrong.append(f"console: {message.text}"))
        page.goto(f"{server.address}#token={TOKEN}")
        page.wait_for_selector(".stage svg")
        desk.settled()
        return desk

    yield one
    for page in opened:
        page.context.close()


def _watch(desk: Desk, url: str) -> None:
    """Only this server may be asked; a file that the page makes for saving is its own."""
    if not url.startswith((desk.server.address, "blob:" + desk.server.address)):
        desk.wrong.append(f"request: {url}")

"""How soon a dragged pin is painted with all its consequences, in a real browser on a real server.

Usage: python -m benchmarks.page      (from the environment of the tests: it has the browser's driver)

The rocker's pin of the demo bike is moved sixty times a second with the default curves in view. From the moment that a
move is handed to the page until the frame after the answer to it, or to a later one, was drawn: what a hand feels.
The same with the processor slowed four times, which stands for an older laptop.
"""

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).resolve().parents[1]
MOVES = 120
FRAME_MS = 1000 / 60
TARGETS = {1: (FRAME_MS, 34.0), 4: (51.0, 84.0)}
"""Median and 95th percentile wanted, by how much the processor is slowed [ms]."""
WATCH = """
() => {
  const seen = [];
  window.seenByTheClock = seen;
  let moved = [];
  addEventListener("pointermove", () => moved.push(performance.now()), true);
  const Line = WebSocket;
  window.WebSocket = class extends Line {
    constructor(...all) {
      super(...all);
      this.addEventListener("message", (event) => {
        if (!String(event.data).startsWith('{"screen"')) return;
        const asked = moved;
        moved = [];
        requestAnimationFrame(() => setTimeout(() => {
          const now = performance.now();
          for (const at of asked) seen.push(now - at);
        }));
      });
    }
  };
}
"""
PROGRAM = """
import sys
from pathlib import Path
from bikewright.interfaces.web.keys import Keys
from bikewright.interfaces.web.server import open_port, run
port = open_port(0)
run(Path(sys.argv[1]), port, Keys("a-token-of-the-benchmark"), ready=lambda: print(port.getsockname()[1], flush=True))
"""


def main() -> int:
    """Measure and print; exit code 1 when a target is missed."""
    missed = 0
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "quillback"
        shutil.copytree(ROOT / "examples" / "quillback", folder)
        server = subprocess.Popen([sys.executable, "-c", PROGRAM, str(folder)], stdout=subprocess.PIPE, text=True)
        try:
            assert server.stdout is not None
            address = f"http://127.0.0.1:{server.stdout.readline().strip()}/#token=a-token-of-the-benchmark"
            time.sleep(5.0)  # the kernels are loaded in the background
            for slowed, wanted in TARGETS.items():
                found = _measured(address, slowed)
                middle, late = statistics.median(found), statistics.quantiles(found, n=20)[-1]
                met = middle <= wanted[0] + FRAME_MS / 2 and late <= wanted[1]
                missed += not met
                print(
                    f"drag to painted, processor slowed {slowed}x: median {middle:.0f} ms, 95 % within {late:.0f} ms "
                    f"({len(found)} moves); wanted {wanted[0]:.0f} and {wanted[1]:.0f}: {'met' if met else 'missed'}"
                )
        finally:
            server.terminate()
            server.wait(timeout=20)
    return 1 if missed else 0


def _measured(address: str, slowed: int) -> list[float]:
    """Milliseconds from each move to the frame that shows its answer."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium",
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"],
        )
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.add_init_script(f"({WATCH})()")
        page.goto(address)
        page.wait_for_selector(".handle[data-name='pin rocker'] .ring", state="attached")
        page.wait_for_timeout(1500)
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slowed})
        _drag(page)
        found: list[float] = page.evaluate("() => window.seenByTheClock")
        browser.close()
    return found


def _drag(page: Page) -> None:
    box = page.locator(".handle[data-name='pin rocker'] .ring").bounding_box()
    assert box is not None
    x, z = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, z)
    page.mouse.down()
    begun = time.perf_counter()
    for step in range(1, MOVES + 1):
        page.mouse.move(x + 2.0 * (step % 20) / 20, z - 3.0 * (step % 30) / 30)
        time.sleep(max(0.0, begun + step * FRAME_MS / 1000 - time.perf_counter()))
    page.wait_for_timeout(500)
    page.mouse.up()


if __name__ == "__main__":
    sys.exit(main())

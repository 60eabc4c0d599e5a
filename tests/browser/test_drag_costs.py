"""What a drag costs, counted: bytes over the line, attributes written, layouts; times are for the benchmark alone."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.browser.conftest import Desk, Server, nothing_else_runs
from tests.browser.test_workbench_hands import middle

pytestmark = pytest.mark.browser

MOVES = 24
COUNT = """
() => {
  const counted = { screens: [], writes: 0 };
  window.counted = counted;
  const Line = WebSocket;
  window.WebSocket = class extends Line {
    constructor(...all) {
      super(...all);
      this.addEventListener("message", (event) => {
        if (String(event.data).startsWith('{"screen"')) counted.screens.push(String(event.data));
      });
    }
  };
  for (const name of ["setAttribute", "removeAttribute"]) {
    const plain = Element.prototype[name];
    Element.prototype[name] = function (...all) {
      counted.writes += 1;
      return plain.apply(this, all);
    };
  }
}
"""


def layouts(line: Any) -> float:
    return float(
        next(one["value"] for one in line.send("Performance.getMetrics")["metrics"] if one["name"] == "LayoutCount")
    )


def test_a_move_is_answered_by_what_moved_and_the_page_writes_little_more(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    desk = window(serve())
    desk.page.add_init_script(f"({COUNT})()")
    desk.page.reload()
    desk.page.wait_for_selector(".stage svg")
    desk.settled()
    desk.travels()
    line = desk.page.context.new_cdp_session(desk.page)
    line.send("Performance.enable")
    x, y = middle(desk, "pin rocker")
    desk.page.mouse.move(x, y)
    desk.page.mouse.down()
    desk.page.mouse.move(x + 2, y - 2)
    desk.settled()
    nothing_else_runs()
    desk.page.evaluate("() => { Object.assign(window.counted, { screens: [], writes: 0 }); }")
    before = layouts(line)
    for step in range(MOVES):
        desk.page.mouse.move(x + 2.3 + 0.3 * (step % 7), y - 2.3 - 0.3 * (step % 5))
        # a hand that waits for each answer: of a faster one several moves are one question
        desk.page.wait_for_function(
            "told => window.counted.screens.length > told && !globalThis.bikewright.busy()", arg=step
        )
    desk.settled()
    laid_out = layouts(line) - before
    counted: dict[str, Any] = desk.page.evaluate("() => window.counted")
    screens: list[str] = counted["screens"]
    # one question a move
    assert len(screens) == MOVES
    assert max(len(screen.encode()) for screen in screens) < 9_000
    assert all('"before":"held"' in screen for screen in screens)
    assert counted["writes"] / len(screens) < 90
    # the drawing, and now and then the list that follows it
    assert laid_out / len(screens) < 4
    # what was not sent again is drawn all the same
    kept = desk.state(
        "screen.curves.every(curve => curve.before.y.length === curve.before.x.length && curve.now.x.length)"
    )
    assert kept is True
    assert desk.page.locator("svg.bike .ghost path").count() > 5
    desk.page.keyboard.press("Escape")
    desk.page.mouse.up()
    desk.settled()
    assert desk.wrong == []


def test_a_move_that_changes_nothing_asks_nothing(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.travels()
    x, y = middle(desk, "pin rocker")
    desk.page.mouse.move(x, y)
    desk.page.mouse.down()
    desk.page.mouse.move(x + 5, y - 5)
    desk.settled()
    number = desk.state("screen.n")
    for _ in range(5):
        desk.page.mouse.move(x + 5, y - 5)
    desk.settled()
    assert desk.state("screen.n") == number
    desk.page.mouse.move(x + 7, y - 5)
    desk.page.wait_for_function(f"() => globalThis.bikewright.state.screen.n === {number + 1}")
    desk.page.keyboard.press("Escape")
    desk.page.mouse.up()

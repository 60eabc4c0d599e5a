"""Hands on the drawing: points dragged, nudged and typed, views zoomed, changes undone, a linkage that cannot close."""

import math
from collections.abc import Callable
from typing import Any

import pytest

from bikewright.model.addresses import apply, read_change
from bikewright.reports.screen import comparison_data
from bikewright.reports.wording import ShownUnits
from bikewright.studies.compare import compare
from bikewright.studies.evaluate import evaluate
from tests.browser.conftest import PHONE, Desk, Server
from tests.browser.test_workbench_numbers import bike_of

pytestmark = pytest.mark.browser

ROCKER = ("linkage.pins.rocker.x_mm", "linkage.pins.rocker.z_mm")
DRAWN = "() => document.querySelector('svg.bike .bike').innerHTML"


def middle(desk: Desk, name: str) -> tuple[float, float]:
    box = desk.page.locator(f".handle[data-name='{name}'] .ring").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def scale(desk: Desk) -> float:
    found: float = desk.page.evaluate("() => document.querySelector('.stage').drawing.scale")
    return found


def drag(desk: Desk, name: str, x_mm: float, z_mm: float, release: bool = True) -> None:
    """Take a point, zoomed in so that a dot of the screen is less than a millimetre, and carry it over the ground."""
    desk.page.mouse.move(*middle(desk, name))
    desk.page.mouse.wheel(0, -1400)
    desk.page.wait_for_function("() => document.querySelector('.stage').drawing.scale > 2")
    x, y = middle(desk, name)
    times = scale(desk)
    desk.page.mouse.move(x, y)
    desk.page.mouse.down()
    for step in range(1, 6):
        desk.page.mouse.move(x + times * x_mm * step / 5, y - times * z_mm * step / 5)
        desk.page.wait_for_function("() => !globalThis.bikewright.busy()")
    if release:
        desk.page.mouse.up()


def changes(desk: Desk) -> dict[str, float]:
    found: list[dict[str, Any]] = desk.state("draft.changes")
    return {one["address"]: float(one["text"]) for one in found}


def list_of(desk: Desk) -> list[str]:
    found: list[str] = desk.page.locator(".cause > .line .to").all_inner_texts()
    return found


def wanted(*made: str) -> list[str]:
    bike = bike_of()
    before = after = bike.build("stock")
    for text in made:
        after = apply(after, read_change(text), bike.stock, bike.riders)
    told = comparison_data(compare(before, after, bike.brief), ShownUnits())
    return [line["lead"]["after_text"] for cause in told["causes"] for line in cause["headlines"]]


def drawn(pin: str) -> tuple[float, float]:
    """Where the files draw a pin [mm]."""
    linkage = bike_of().frame.linkage
    assert linkage is not None
    one = next(one for one in linkage.pins if one.name == pin)
    return one.x_mm, one.z_mm


@pytest.fixture
def desk(serve: Callable[..., Server], window: Callable[..., Desk]) -> Desk:
    """The stock build of the Quillback, extended."""
    one = window(serve())
    one.look("bike", build="stock", size="L", state="table")
    return one


def test_a_pin_dragged(desk: Desk) -> None:
    still = desk.page.evaluate(DRAWN)
    drag(desk, "pin rocker", 1.0, 2.0, release=False)
    desk.settled()
    # while it is held everything is shown, and nothing is kept
    assert desk.page.evaluate(DRAWN) != still
    assert list_of(desk)
    assert changes(desk) == {}
    held = list_of(desk)
    desk.page.mouse.up()
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 1")
    desk.settled()
    made = changes(desk)
    x, z = (made[address] for address in ROCKER)
    was = drawn("rocker")
    # the bike stands level as drawn; a drag goes in tenths of a millimetre
    assert (x, z) == pytest.approx((was[0] + 1.0, was[1] + 2.0), abs=0.11)
    assert list_of(desk) == held == wanted(f"{ROCKER[0]}={x}", f"{ROCKER[1]}={z}")
    assert desk.page.locator("svg.bike .ghost path").count() > 5
    assert desk.wrong == []


def test_a_drag_is_meant_in_the_frame(desk: Desk) -> None:
    """A bike that stands nose up or down is dragged over the ground, and changed in the axes of its frame."""
    desk.look("bike", build="stock", size="L", state="both-bottomed")
    told = evaluate(bike_of().build("stock")).value("pitch_deg@both-bottomed").number
    assert told is not None and abs(told) > 0.2
    pitch = math.radians(told)
    drag(desk, "pin main", 6.0, 0.0)
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 1")
    made = changes(desk)
    x, z = drawn("main")
    assert made["linkage.pins.main.x_mm"] == pytest.approx(x + 6.0 * math.cos(pitch), abs=0.11)
    assert made.get("linkage.pins.main.z_mm", z) == pytest.approx(z - 6.0 * math.sin(pitch), abs=0.11)


def test_a_pin_nudged_and_typed(desk: Desk) -> None:
    point = desk.page.locator(".handle[data-name='pin rocker']")
    point.focus()
    for keys in ("ArrowUp", "Shift+ArrowUp", "Alt+ArrowUp", "ArrowRight"):
        desk.page.keyboard.press(keys)
    x, z = drawn("rocker")
    # keys that follow each other add up to one step; on a slow machine they may have become more
    desk.page.wait_for_function(
        """wanted => JSON.stringify(Object.entries(wanted)) === JSON.stringify(globalThis.bikewright.state.draft.changes
            .map(one => [one.address, Number(one.text)])
            .filter(([address], place, all) => place === all.findLastIndex(other => other[0] === address))
            .sort((a, b) => a[0] < b[0] ? -1 : 1))""",
        arg={ROCKER[0]: round(x + 0.1, 2), ROCKER[1]: round(z + 6.1, 2)},
    )
    desk.settled()
    made: int = desk.state("draft.position")
    assert changes(desk) == pytest.approx({ROCKER[0]: x + 0.1, ROCKER[1]: z + 6.1})
    assert list_of(desk) == wanted(f"{ROCKER[0]}={x + 0.1:.2f}", f"{ROCKER[1]}={z + 6.1:.2f}")
    field = desk.page.get_by_label(f"z, {ROCKER[1]}")
    assert float(field.input_value()) == pytest.approx(z + 6.1)
    field.fill(f"{z + 1:.1f}")
    field.press("Enter")
    desk.stands_at(made + 1)
    assert changes(desk)[ROCKER[1]] == pytest.approx(z + 1)
    assert list_of(desk) == wanted(f"{ROCKER[0]}={x + 0.1:.2f}", f"{ROCKER[1]}={z + 1:.1f}")


def test_undo_and_redo(desk: Desk) -> None:
    for change in ("fork=single-crown-170", "sag_rear_pct=28", "linkage.pins.rocker.z_mm+=1"):
        desk.make(change)
    full = list_of(desk)
    assert full == wanted("fork=single-crown-170", "sag_rear_pct=28", "linkage.pins.rocker.z_mm+=1")
    desk.page.locator("svg.bike").focus()
    for position in (2, 1, 0):
        desk.page.keyboard.press("Control+z")
        desk.page.wait_for_function(f"() => globalThis.bikewright.state.draft.position === {position}")
    desk.settled()
    assert list_of(desk) == []
    desk.page.get_by_text("Nothing differs between the two builds.").wait_for()
    for position in (1, 2, 3):
        desk.page.get_by_role("button", name="redo").click()
        desk.page.wait_for_function(f"() => globalThis.bikewright.state.draft.position === {position}")
    desk.settled()
    assert list_of(desk) == full


def test_a_linkage_that_cannot_close(desk: Desk) -> None:
    drag(desk, "pin rocker", 0.5, 1.0, release=False)
    desk.settled()
    last = desk.page.evaluate(DRAWN)
    listed = list_of(desk)
    x, y = middle(desk, "pin rocker")
    desk.page.mouse.move(x - 500, y - 300)
    desk.page.wait_for_selector(".notice .trouble")
    sentence = desk.page.locator(".notice .trouble").inner_text()
    assert len(sentence) > 20 and "Traceback" not in sentence
    assert desk.page.evaluate(DRAWN) == last
    assert list_of(desk) == listed
    assert desk.page.locator(".faults .fault").count() >= 3
    # back inside, the drawing goes on; given up, nothing was changed
    desk.page.mouse.move(x, y)
    desk.page.wait_for_selector(".notice .trouble", state="detached")
    desk.page.keyboard.press("Escape")
    desk.page.mouse.up()
    desk.page.wait_for_function("() => !globalThis.bikewright.busy()")
    assert desk.state("draft.position") == 0
    assert desk.wrong == []


def test_the_head_tube_and_the_saddle(desk: Desk) -> None:
    drag(desk, "head tube", 5.0, 3.0)
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 1")
    made = changes(desk)
    size = bike_of().frame.size("L")
    assert made["sizes.L.reach_mm"] == pytest.approx(size.reach_mm + 5.0, abs=0.11)
    assert made["sizes.L.stack_mm"] == pytest.approx(size.stack_mm + 3.0, abs=0.11)


def test_a_hardtail(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve("wherry"))
    assert desk.page.locator(".handle[data-name='bottom bracket']").count() == 1
    assert desk.page.locator(".scrubber").count() == 0
    still = desk.page.evaluate(DRAWN)
    desk.page.locator(".handle[data-name='bottom bracket']").focus()
    desk.page.keyboard.press("Alt+ArrowDown")
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 1")
    desk.settled()
    assert desk.page.evaluate(DRAWN) != still
    assert desk.wrong == []


def test_zoom_and_pan(desk: Desk) -> None:
    whole = scale(desk)
    drawing = desk.page.locator("svg.bike")
    drawing.focus()
    desk.page.keyboard.press("+")
    assert scale(desk) == pytest.approx(1.2 * whole)
    desk.page.keyboard.press("ArrowRight")
    box = drawing.bounding_box()
    assert box is not None
    x, y = middle(desk, "pin rocker")
    desk.page.mouse.move(x, y)
    desk.page.mouse.wheel(0, -300)
    desk.page.wait_for_function(f"() => document.querySelector('.stage').drawing.scale > {1.5 * whole}")
    # what is under the pointer stays there
    assert middle(desk, "pin rocker") == pytest.approx((x, y), abs=1.0)
    desk.page.mouse.move(box["x"] + 30, box["y"] + 30)
    desk.page.mouse.down()
    desk.page.mouse.move(box["x"] + 90, box["y"] + 70, steps=4)
    desk.page.mouse.up()
    assert middle(desk, "pin rocker") == pytest.approx((x + 60, y + 40), abs=1.0)
    drawing.focus()
    desk.page.keyboard.press("0")
    assert scale(desk) == pytest.approx(whole)
    assert desk.state("draft.position") == 0


def test_hovering_a_curve_moves_the_bike(desk: Desk) -> None:
    desk.page.wait_for_function("() => globalThis.bikewright.state.travel.poses.length")
    still = desk.page.evaluate(DRAWN)
    plot = desk.page.locator(".chart .plot").first
    plot.hover(position={"x": 150, "y": 60})
    desk.page.wait_for_function("() => globalThis.bikewright.state.scrub !== null")
    assert desk.page.evaluate(DRAWN) != still
    desk.page.mouse.move(5, 5)
    desk.page.wait_for_function("() => globalThis.bikewright.state.scrub === null")
    assert desk.page.evaluate(DRAWN) == still


def test_the_travel_runs(desk: Desk) -> None:
    desk.page.wait_for_selector(".scrubber")
    desk.page.get_by_role("button", name="move").click()
    # looked at in every frame until it has been at nine places, however few frames a slow machine draws
    desk.page.wait_for_function(
        "() => (globalThis.seenAt ??= new Set()).add(globalThis.bikewright.state.scrub).size > 8"
    )
    desk.page.get_by_role("button", name="stop").click()
    desk.page.get_by_role("button", name="as it stands").click()
    assert desk.state("scrub") is None


def test_a_thumb_moves_a_point(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve(), PHONE, touch=True)
    desk.look("bike", build="stock", size="L")
    x, y = middle(desk, "pin rocker")
    touch = desk.page.context.new_cdp_session(desk.page)

    def send(kind: str, *points: tuple[float, float]) -> None:
        touch.send(
            "Input.dispatchTouchEvent",
            {"type": kind, "touchPoints": [{"x": px, "y": py, "id": n} for n, (px, py) in enumerate(points)]},
        )

    send("touchStart", (x, y))
    for step in range(1, 6):
        send("touchMove", (x + 0.1 * step, y - 0.2 * step))
        desk.page.wait_for_timeout(30)
    for step in range(1, 4):
        send("touchMove", (x + 0.5, y - 1 - step))
        desk.page.wait_for_timeout(30)
    send("touchEnd")
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 1")
    assert changes(desk)[ROCKER[1]] > drawn("rocker")[1] + 5
    # two fingers zoom, and one beside the points scrolls the page
    whole = scale(desk)
    box = desk.page.locator("svg.bike").bounding_box()
    assert box is not None
    a, b = (box["x"] + 60, box["y"] + 30), (box["x"] + 120, box["y"] + 30)
    send("touchStart", a, b)
    for step in range(1, 8):
        send("touchMove", (a[0] - 5 * step, a[1]), (b[0] + 5 * step, b[1]))
        desk.page.wait_for_timeout(20)
    send("touchEnd")
    desk.page.wait_for_function(f"() => document.querySelector('.stage').drawing.scale > {1.4 * whole}")
    assert desk.wrong == []

"""Ten tasks of a working day, each done in the browser as the engineer does it, each number asked of the library."""

import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from bikewright.errors import LinkageError
from bikewright.interfaces.web.answers import stopped
from bikewright.model.addresses import with_value
from bikewright.model.brief import Brief
from bikewright.model.build import Build
from bikewright.model.drafting import read_edit
from bikewright.model.files import Bike, read_bike
from bikewright.model.versions import read_version
from bikewright.quantities import CATALOGUE, Quantity
from bikewright.reports.screen import comparison_data, sizes_data
from bikewright.studies.compare import compare, compare_sizes
from bikewright.studies.curves import Curve
from bikewright.studies.evaluate import curve_keys, evaluate
from bikewright.studies.pose import poses_through_travel
from tests.browser.conftest import PHONE, Desk, Server
from tests.browser.test_workbench_hands import DRAWN, ROCKER, changes, drag, drawn, list_of, wanted
from tests.browser.test_workbench_numbers import UNITS, bike_of, changed, rows_of

pytestmark = pytest.mark.browser

LIST = ".cause > .line .to"


@pytest.fixture
def desk(serve: Callable[..., Server], window: Callable[..., Desk]) -> Desk:
    """The stock build of the Quillback, extended."""
    one = window(serve())
    one.look("bike", build="stock", size="L", state="table")
    return one


def told(before: Build, after: Build, brief: Brief) -> dict[str, Any]:
    return comparison_data(compare(before, after, brief), UNITS)


def headlines(comparison: dict[str, Any]) -> list[str]:
    return [line["lead"]["after_text"] for cause in comparison["causes"] for line in cause["headlines"]]


def turned(comparison: dict[str, Any]) -> list[list[str]]:
    return [[one["label"], one["band"], one["was"], one["is"], one["after_text"]] for one in comparison["verdicts"]]


def verdicts(desk: Desk, within: str = "") -> list[list[str]]:
    found: list[list[str]] = desk.page.eval_on_selector_all(
        f"{within} .verdict".strip(),
        """all => all.map(one => ['.label', '.band', '.turn s', '.turn b', '.to']
            .map(part => one.querySelector(part).textContent))""",
    )
    return found


def near(curve: Curve, x_mm: float) -> int:
    return min(range(len(curve.x_mm)), key=lambda row: abs(float(curve.x_mm[row]) - x_mm))


def read_at(quantity: Quantity, curve: Curve, x_mm: float) -> str:
    return UNITS.value(quantity, float(curve.y[near(curve, x_mm)]))


def number_of(bike: Bike, address: str, *made: str) -> float:
    found = evaluate(changed(bike, "stock", *made)[1]).value(address).number
    assert found is not None
    return float(found)


def test_a_longer_fork_and_the_high_mount_turn_a_verdict_and_stand_on_the_drawing(desk: Desk) -> None:
    bike = bike_of()
    made = ("fork=single-crown-170", "chips.shock_mount=high")
    comparison = told(*changed(bike, "stock", *made), bike.brief)
    assert turned(comparison), "a task in which no verdict turns shows nothing"
    desk.page.get_by_label("dimensions").check()
    desk.settled()
    # both in one stroke, as one step that one undo takes back
    desk.make("; ".join(made))
    assert verdicts(desk) == turned(comparison)
    assert desk.page.locator(".cause h3").all_inner_texts() == [cause["text"] for cause in comparison["causes"]]
    assert list_of(desk) == headlines(comparison)
    for key, word in (("head_angle_deg", "head angle"), ("bb_height_mm", "BB")):
        before, after = number_of(bike, f"{key}@table"), number_of(bike, f"{key}@table", *made)
        value, by = UNITS.value(CATALOGUE[key], after), UNITS.change(CATALOGUE[key], before, after)
        texts = desk.page.locator(".dims text.moved").all_text_contents()
        # the change in brackets is left out where the line has no room for it
        assert {f"{word} {value} ({by})", f"{word} {value}"} & set(texts), texts
    desk.page.get_by_role("button", name="undo").click()
    desk.stands_at(0)
    assert list_of(desk) == [] and verdicts(desk) == []
    assert desk.page.locator(".dims text.moved").count() == 0
    assert desk.wrong == []


def test_the_rocker_pin_is_dragged_nudged_and_typed_and_the_leverage_read_at_one_travel(desk: Desk) -> None:
    x, z = drawn("rocker")
    drag(desk, "pin rocker", 0.0, 4.0)
    desk.stands_at(1)
    assert changes(desk)[ROCKER[1]] == pytest.approx(z + 4.0, abs=0.11)
    point = desk.page.locator(".handle[data-name='pin rocker']")
    for position, (keys, x_mm, z_mm) in enumerate(
        [("ArrowUp", 0.0, 0.1), ("Shift+ArrowLeft", -1.0, 0.0), ("Alt+ArrowDown", 0.0, -5.0)], start=2
    ):
        at = {ROCKER[0]: x, ROCKER[1]: z} | changes(desk)
        point.focus()
        desk.page.keyboard.press(keys)
        desk.stands_at(position)
        now = {ROCKER[0]: x, ROCKER[1]: z} | changes(desk)
        assert now == pytest.approx({ROCKER[0]: at[ROCKER[0]] + x_mm, ROCKER[1]: at[ROCKER[1]] + z_mm})
    for position, (word, address, value) in enumerate([("x", ROCKER[0], x + 1.5), ("z", ROCKER[1], z + 4.0)], start=5):
        field = desk.page.get_by_label(f"{word}, {address}")
        field.fill(f"{value:.2f}")
        field.press("Enter")
        desk.stands_at(position)
    made = (f"{ROCKER[0]}={x + 1.5:.2f}", f"{ROCKER[1]}={z + 4.0:.2f}")
    assert changes(desk) == pytest.approx({ROCKER[0]: x + 1.5, ROCKER[1]: z + 4.0})
    assert list_of(desk) == wanted(*made)
    desk.travels()
    desk.page.locator(".chart[data-address='leverage_ratio'] .plot").focus()
    # to the first place, ten on, and one on
    for keys in ("ArrowRight", "Shift+ArrowRight", "Shift+ArrowRight", "ArrowRight"):
        desk.page.keyboard.press(keys)
    quantity = CATALOGUE["leverage_ratio"]
    before, after = (evaluate(build).curve("leverage_ratio") for build in changed(bike_of(), "stock", *made))
    at = float(after.x_mm[21])
    now, pinned = read_at(quantity, after, at), read_at(quantity, before, at)
    said = desk.page.locator(".chart[data-address='leverage_ratio'] .said").inner_text()
    assert said == f"{now} at {at:.0f} mm, pinned {pinned}"
    assert desk.wrong == []


def test_a_coil_in_place_of_air_is_judged_in_all_sizes_the_worst_first(desk: Desk) -> None:
    bike = bike_of()
    desk.look("parts", build="stock", size="L")
    desk.page.locator("select[name=shock]").select_option("coil-230x57")
    desk.stands_at(1)
    desk.page.get_by_label("for all sizes").check()
    desk.settled()
    rows = sizes_data(compare_sizes(*changed(bike, "stock", "shock=coil-230x57"), bike.brief), UNITS)
    names = [row["size"] for row in rows]
    assert names != [size.name for size in bike.frame.sizes], "the worst first is not the order of the files"
    assert desk.page.locator(".onesize h2.size").all_inner_texts() == [f"Size {name}" for name in names]
    for place, row in enumerate(rows):
        within = f".onesize:nth-of-type({place + 1})"
        assert verdicts(desk, within) == turned(row)
        assert desk.page.locator(f"{within} {LIST}").all_inner_texts() == headlines(row)
    desk.page.get_by_label("for all sizes").uncheck()
    desk.settled()
    assert desk.page.locator(".onesize").count() == 0
    assert list_of(desk) == wanted("shock=coil-230x57")
    assert desk.wrong == []


def test_the_travel_is_scrubbed_to_its_end_and_every_curve_read_there(desk: Desk) -> None:
    bike = bike_of()
    answer = evaluate(bike.build("stock"))
    last = poses_through_travel(answer)[-1]
    at = float(last.state)
    # in the easiest gear, asked for by its address: what it reads at the end is the figure that is judged
    desk.page.get_by_text("choose curves").click()
    desk.page.get_by_label("of one gear or pin").fill("kickback_deg/32x51")
    desk.page.get_by_role("button", name="add", exact=True).click()
    desk.page.wait_for_selector(".chart[data-address='kickback_deg/32x51'] canvas")
    desk.travels()
    slide(desk)
    assert desk.page.locator(".scrubber output").inner_text() == f"{at:.0f} mm"
    value = UNITS.value(CATALOGUE["kickback_deg"], number_of(bike, "kickback_from_sag_deg"))
    said = desk.page.locator(".chart[data-address='kickback_deg/32x51'] .said").inner_text()
    assert said == f"{value} at {at:.0f} mm, pinned {value}"
    # and the bike stands there, bottomed out
    wheel = desk.page.locator("svg.bike .bike circle").first
    drawn_at = tuple(float(wheel.get_attribute(name) or "nan") for name in ("cx", "cy"))
    assert drawn_at == pytest.approx(last.rear_axle, abs=0.006)
    desk.page.get_by_role("button", name="as it stands").click()
    desk.settled()
    assert desk.state("scrub") is None
    assert desk.page.locator(".scrubber output").inner_text() == ""
    # the room of curves reads all of them in one table
    desk.look("curves", build="stock", size="L", state="table")
    desk.travels()
    slide(desk)
    desk.page.wait_for_selector(".readings table")
    shown = [row[1] for row in rows_of(desk, ".readings")]
    keys = [key for key in curve_keys() if key != "pin_force"]
    assert shown == [read_at(CATALOGUE[key], answer.curve(key), at) for key in keys]
    assert desk.wrong == []


def slide(desk: Desk) -> None:
    """Put the travel to its end, by the key that does so."""
    slider = desk.page.get_by_role("slider", name="travel")
    slider.focus()
    slider.press("End")
    desk.settled()


def test_an_editor_and_the_screen_change_one_value_and_both_are_kept(desk: Desk) -> None:
    desk.make("sag_rear_pct=28")
    builds, frame = desk.server.folder / "builds.toml", desk.server.folder / "bike.toml"
    said = builds.read_text(encoding="utf-8")
    head, stock = said.split("[stock.settings]")
    builds.write_text(head + "[stock.settings]" + stock.replace("sag_rear_pct = 30", "sag_rear_pct = 32", 1), "utf-8")
    both = re.compile(r"sag_rear_pct: the files say 32(\.0)?, the screen 28(\.0)?; both are kept\.")
    desk.page.get_by_text(both).wait_for()
    desk.texts(LIST, wanted("sag_rear_pct=28"))
    # what only the editor changed comes in beneath what the screen changed
    frame.write_text(frame.read_text("utf-8").replace("reach_mm = 481", "reach_mm = 487"), "utf-8")
    desk.texts(LIST, wanted("sizes.L.reach_mm=487", "sag_rear_pct=28"))
    assert changes(desk) == {"sag_rear_pct": 28.0}
    desk.page.get_by_role("button", name="undo").click()
    desk.stands_at(0)
    assert list_of(desk) == wanted("sizes.L.reach_mm=487", "sag_rear_pct=32")
    assert desk.page.get_by_text("both are kept").count() == 0
    desk.page.get_by_role("button", name="redo").click()
    desk.stands_at(1)
    assert list_of(desk) == wanted("sizes.L.reach_mm=487", "sag_rear_pct=28")
    assert read_bike(desk.server.folder).build("stock").settings.sag_rear_pct == 32
    assert desk.wrong == []


def test_a_band_of_the_brief_is_moved_its_verdict_turns_and_the_file_keeps_its_comments(desk: Desk) -> None:
    bike = bike_of()
    made = ("fork=single-crown-170", "chips.shock_mount=high")
    before, after = changed(bike, "stock", *made)
    wider = read_edit(bike, "stock", "brief.bb_height_mm@table.high=355")[1]
    narrower = read_edit(wider, "stock", "brief.wheelbase_mm@table.high=1250")[1]
    three = [told(before, after, one.brief) for one in (bike, wider, narrower)]
    assert [[one["key"] for one in comparison["verdicts"]] for comparison in three[:2]] == [["bb_height_mm"], []]
    desk.make("; ".join(made))
    desk.look("brief", build="stock", size="L", state="table")
    assert verdicts(desk) == turned(three[0])
    for position, (label, value) in enumerate(
        [("high of bottom-bracket height", "355"), ("high of wheelbase", "1250")], start=2
    ):
        field = desk.page.get_by_label(label, exact=True)
        field.fill(value)
        field.press("Enter")
        desk.stands_at(position)
        assert verdicts(desk) == turned(three[position - 1])
    file = desk.server.folder / "brief.toml"
    was = file.read_text(encoding="utf-8").splitlines()
    desk.page.get_by_role("button", name="write to files").click()
    desk.page.get_by_text("Written: ").wait_for()
    now = file.read_text(encoding="utf-8").splitlines()
    other = [(old, new) for old, new in zip(was, now, strict=True) if old != new]
    assert other == [("high = 350", "high = 355"), ("high = 1325", "high = 1250")]
    assert read_bike(desk.server.folder).brief == narrower.brief
    assert desk.wrong == []


def test_a_version_is_kept_passed_by_gone_back_to_compared_and_written(desk: Desk) -> None:
    bike = bike_of()
    stock, kept = changed(bike, "stock", "fork=single-crown-170")
    on = changed(bike, "stock", "fork=single-crown-170", "headset=reach-plus-5", "sag_rear_pct=28")[1]
    desk.make("fork=single-crown-170")
    desk.page.get_by_role("button", name="keep", exact=True).click()
    desk.page.get_by_label("name").fill("long-fork")
    desk.page.get_by_label("note").fill("quiet on the test loop")
    desk.page.get_by_role("button", name="keep this version").click()
    desk.page.get_by_text("Kept as 0001-long-fork.").wait_for()
    version = read_version(desk.server.folder, "0001-long-fork")
    assert (version.build, version.note) == (kept, "quiet on the test loop")
    desk.make("headset=reach-plus-5")
    desk.make("sag_rear_pct=28")
    desk.look("versions", build="stock", size="L")
    desk.page.get_by_role("button", name="compare with 0001-long-fork").click()
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.pinned === '0001-long-fork'")
    desk.settled()
    assert list_of(desk) == headlines(told(kept, on, bike.brief))
    # back by the journal and back by the version are the same bike
    for position in (2, 1):
        desk.page.get_by_role("button", name="undo").click()
        desk.stands_at(position)
    assert list_of(desk) == []
    for position in (2, 3):
        desk.page.get_by_role("button", name="redo").click()
        desk.stands_at(position)
    desk.page.get_by_role("button", name="open 0001-long-fork").click()
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.base === '0001-long-fork'")
    desk.settled()
    assert list_of(desk) == []
    desk.page.get_by_role("button", name="compare with the files").click()
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.pinned === 'files'")
    desk.settled()
    assert list_of(desk) == headlines(told(stock, kept, bike.brief))
    desk.page.get_by_role("button", name="write to files").click()
    desk.page.get_by_text("Written: builds.toml").wait_for()
    written = read_bike(desk.server.folder).build("stock")
    assert evaluate(written).key == evaluate(kept).key
    assert told(kept, written, bike.brief)["causes"] == []
    assert desk.wrong == []


def test_sizes_stand_side_by_side_and_their_steps_are_copied(desk: Desk) -> None:
    desk.page.context.grant_permissions(["clipboard-read", "clipboard-write"], origin=desk.server.address)
    # the grading made uneven, so that a step is not the same everywhere
    desk.make("sizes.M.reach_mm+=4; sizes.XL.head_angle_deg-=0.3")
    desk.look("sizes", build="stock", state="table")
    desk.page.wait_for_selector("table")
    desk.page.get_by_role("button", name="copy as CSV").click()
    desk.page.get_by_role("status").get_by_text("copied", exact=True).wait_for()
    lines = [line.split(",") for line in desk.page.evaluate("() => navigator.clipboard.readText()").splitlines()]
    names = [size.name for size in bike_of().frame.sizes]
    assert lines[0] == ["", "unit", names[0], *(cell for name in names[1:] for cell in ("step", name))]
    after = changed(bike_of(), "stock", "sizes.M.reach_mm+=4", "sizes.XL.head_angle_deg-=0.3")[1]
    answers = [evaluate(with_value(after, "size", name)) for name in names]
    rows = {line[0]: line[2:] for line in lines[1:]}
    assert len(rows) > 30
    for key in ("reach_mm", "stack_mm", "head_angle_deg", "wheelbase_mm", "trail_mm", "front_centre_mm"):
        quantity = CATALOGUE[key]
        numbers = [float(answer.value(f"{key}@table").number or "nan") for answer in answers]
        half = 0.5 * 10**-quantity.decimals * (1 + 1e-9)
        cells = rows[quantity.label]
        assert [float(cell) for cell in cells[::2]] == pytest.approx(numbers, abs=half)
        steps = [b - a for a, b in pairwise(numbers)]
        # a step that rounds to nothing is a blank
        assert [float(cell or 0.0) for cell in cells[1::2]] == pytest.approx(steps, abs=half)
    assert rows[CATALOGUE["reach_mm"].label][1::2] == ["+26", "+18", "+22", "+22"]
    assert desk.wrong == []


def test_a_pin_dragged_to_where_the_linkage_cannot_close_costs_nothing(desk: Desk) -> None:
    desk.make("fork=single-crown-170")
    still, listed = desk.page.evaluate(DRAWN), list_of(desk)
    drag(desk, "pin rocker", 0.0, 150.0, release=False)
    desk.page.wait_for_selector(".faults text")
    desk.page.wait_for_function("() => !globalThis.bikewright.busy()")
    held = desk.page.locator(".faults text").text_content()
    cross, shock = middle_of(desk, ".faults circle"), middle_of(desk, ".handle[data-name='pin shock_upper'] .ring")
    assert list_of(desk), "the list of the last state that closed stays"
    # let go of there, it is told and may be taken back, as every step
    desk.page.mouse.up()
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 2")
    desk.page.wait_for_function("() => !globalThis.bikewright.busy()")
    moved = [f"{one['address']}={one['text']}" for one in desk.state("draft.changes") if one["address"] in ROCKER]
    error = stopped(changed(bike_of(), "stock", "fork=single-crown-170", *moved)[1], "table")
    assert isinstance(error, LinkageError) and error.wheel_travel_mm is not None
    assert desk.page.locator(".notice .trouble").inner_text() == str(error)
    assert held == f"stops at {error.wheel_travel_mm:.0f} mm of travel"
    # where it stops was crossed out, at the pin that the library names
    assert error.pin == "shock_upper"
    assert cross == pytest.approx(shock, abs=1.0)
    assert desk.page.locator("svg.bike .bike path").count() > 20
    desk.page.get_by_role("button", name="undo").click()
    desk.stands_at(1)
    assert desk.page.locator(".faults circle").count() == 0
    assert desk.page.locator(".notice .trouble").count() == 0
    assert desk.page.evaluate(DRAWN) == still
    assert list_of(desk) == listed == wanted("fork=single-crown-170")
    assert desk.wrong == []


def middle_of(desk: Desk, selector: str) -> tuple[float, float]:
    box = desk.page.locator(selector).bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_on_the_phone_the_rider_is_changed_sag_read_the_bike_saved_and_printed(
    serve: Callable[..., Server], window: Callable[..., Desk], chromium_browser: Browser, tmp_path: Path
) -> None:
    bike = bike_of()
    after = changed(bike, "stock", "rider=adebo")[1]
    desk = window(serve(), PHONE, touch=True)
    desk.look("parts", build="stock", size="L", state="standing")
    desk.page.locator("select[name=rider]").select_option("adebo")
    desk.stands_at(1)
    assert list_of(desk) == wanted("rider=adebo")
    desk.page.get_by_role("link", name="Figures").tap()
    desk.page.wait_for_function("() => globalThis.bikewright.state.room === 'figures'")
    desk.settled()
    values = {
        value.quantity.label: UNITS.value(value.quantity, value.number) for value in evaluate(after).values("standing")
    }
    known = {name: text for name, text in values.items() if any(letter.isdigit() for letter in text)}
    shown = {row[0]: row[1] for row in rows_of(desk, "main")}
    for key in ("sag_rear_pct", "sag_front_pct"):
        label = CATALOGUE[key].label
        assert shown[label] == known[label]
    assert desk.page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    # on paper: what is read stays, what is pressed goes
    desk.look("bike", build="stock", size="L", state="standing")
    desk.page.emulate_media(media="print")
    for hidden in (".title nav", ".orders", ".field", "footer", ".handle"):
        assert not desk.page.locator(hidden).first.is_visible(), hidden
    assert desk.page.locator("svg.bike").first.is_visible()
    assert list_of(desk) == wanted("rider=adebo")
    paper = desk.page.pdf(format="A4")
    assert 1 <= len(re.findall(rb"/Type\s*/Page\b(?!s)", paper)) <= 4
    desk.page.emulate_media(media="screen")
    with desk.page.expect_download() as waiting:
        desk.page.get_by_role("button", name="save as one HTML file").tap()
    file = tmp_path / "bike.html"
    waiting.value.save_as(file)
    assert desk.wrong == []
    # opened from disk while no server runs: the same numbers, and nothing is asked of anybody
    desk.server.kill()
    context = chromium_browser.new_context(viewport={"width": PHONE[0], "height": PHONE[1]}, has_touch=True)
    try:
        alone = context.new_page()
        wrong: list[str] = []
        alone.on("pageerror", lambda error: wrong.append(str(error)))
        alone.on("request", lambda sent: None if sent.url == file.as_uri() else wrong.append(sent.url))
        alone.goto(file.as_uri())
        alone.wait_for_selector(".chart .uplot canvas")
        rows: list[list[str]] = alone.eval_on_selector_all(
            "#figures tr", "rows => rows.map(row => [...row.cells].map(cell => cell.textContent))"
        )
        saved = {row[0]: row[1] for row in rows}
        assert {name: saved[name] for name in known} == known
        assert wrong == []
    finally:
        context.close()

"""What stands on the screen is what the library answers: figures, list of consequences, curves, sizes, brief."""

from collections.abc import Callable
from pathlib import Path

import pytest

from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.build import Build
from bikewright.model.files import Bike, read_bike
from bikewright.quantities import CATALOGUE
from bikewright.reports.numbers import number_text
from bikewright.reports.screen import comparison_data, sizes_data
from bikewright.reports.wording import ShownUnits
from bikewright.studies.compare import compare, compare_sizes
from bikewright.studies.evaluate import evaluate
from tests.browser.conftest import ROOT, Desk, Server

pytestmark = pytest.mark.browser

UNITS = ShownUnits()


def bike_of(name: str = "quillback") -> Bike:
    return read_bike(ROOT / "examples" / name)


def changed(bike: Bike, build: str, *changes: str) -> tuple[Build, Build]:
    """A build of the files, and the same with changes made."""
    before = after = bike.build(build)
    for text in changes:
        after = apply(after, read_change(text), bike.stock, bike.riders)
    return before, after


def rows_of(desk: Desk, selector: str) -> list[list[str]]:
    found: list[list[str]] = desk.page.eval_on_selector_all(
        f"{selector} tbody tr", "rows => rows.map(row => [...row.cells].map(cell => cell.textContent.trim()))"
    )
    return found


def test_all_figures(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("figures", build="stock", size="L", state="standing")
    desk.page.wait_for_selector("table")
    shown = {row[0]: row[1] for row in rows_of(desk, "main")}
    values = evaluate(bike_of().build("stock")).values("standing")
    assert len(shown) == len({value.quantity.label for value in values}) > 60
    for value in values:
        wanted = UNITS.value(value.quantity, value.number) if value.number is not None else value.waits
        assert shown[value.quantity.label] == wanted


CHANGES = ("fork=single-crown-170", "linkage.pins.rocker.z_mm+=2", "shock=coil-230x57")


@pytest.mark.parametrize("change", CHANGES)
def test_the_list_of_consequences(serve: Callable[..., Server], window: Callable[..., Desk], change: str) -> None:
    desk = window(serve())
    desk.look("bike", build="stock", size="L")
    desk.make(change)
    bike = bike_of()
    wanted = comparison_data(compare(*changed(bike, "stock", change), bike.brief), UNITS)
    assert desk.page.locator(".cause h3").all_inner_texts() == [cause["text"] for cause in wanted["causes"]]
    lines = desk.page.eval_on_selector_all(
        ".cause > .line", "nodes => nodes.map(node => [...node.children].map(child => child.textContent))"
    )
    leads = [headline["lead"] for cause in wanted["causes"] for headline in cause["headlines"]]
    assert lines == [
        [lead["label"], lead["before_text"], "→", lead["after_text"], lead["change_text"], lead["steps_text"]]
        for lead in leads
    ]
    assert lines
    echoes = desk.page.eval_on_selector_all(".echoes li", "nodes => nodes.map(node => node.textContent)")
    assert echoes == [echo for cause in wanted["causes"] for one in cause["headlines"] for echo in one["echoes"]]
    verdicts = desk.page.eval_on_selector_all(".verdict", "nodes => nodes.map(node => node.dataset.key)")
    assert verdicts == [verdict["key"] for verdict in wanted["verdicts"]]
    refused = desk.page.eval_on_selector_all(".refusals li", "nodes => nodes.map(node => node.textContent)")
    assert refused == [f"{refusal['place']} {refusal['text']}" for refusal in wanted["refusals"]]


def test_the_list_for_all_sizes(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("bike", build="stock", size="L")
    desk.make("fork=single-crown-170")
    desk.page.get_by_label("for all sizes").check()
    desk.settled()
    bike = bike_of()
    wanted = sizes_data(compare_sizes(*changed(bike, "stock", "fork=single-crown-170"), bike.brief), UNITS)
    assert desk.page.locator(".size").all_inner_texts() == [f"Size {one['size']}" for one in wanted]
    for place, one in enumerate(wanted):
        texts = desk.page.locator(".onesize").nth(place).locator(".cause > .line .to").all_inner_texts()
        assert texts == [line["lead"]["after_text"] for cause in one["causes"] for line in cause["headlines"]]


@pytest.mark.parametrize("key", ["leverage_ratio", "anti_squat_pct", "rear_force_n"])
def test_a_curve_read_by_keys(serve: Callable[..., Server], window: Callable[..., Desk], key: str) -> None:
    desk = window(serve())
    desk.look("bike", build="stock", size="L")
    desk.page.wait_for_function("() => globalThis.bikewright.state.travel.poses.length")
    plot = desk.page.locator(f".chart[data-address='{key}'] .plot")
    plot.focus()
    for _ in range(4):
        desk.page.keyboard.press("Shift+ArrowRight")
    answer = evaluate(bike_of().build("stock"))
    curve = answer.curve(key)
    # the first step goes to the first place, each further one ten on
    row = 9 + 30
    said = desk.page.locator(f".chart[data-address='{key}'] .said").inner_text()
    assert said.startswith(number_text(float(curve.y[row]), CATALOGUE[key].decimals))
    assert f" at {curve.x_mm[row]:.0f} mm" in said
    # the bike stands at the nearest of the positions that were worked out
    shown = float(desk.state("travel.poses[globalThis.bikewright.state.scrub].state"))
    assert abs(shown - curve.x_mm[row]) <= 5.0
    # and all other curves are read at the same travel
    others = desk.page.locator(".chart .said").all_inner_texts()
    assert all(f" at {curve.x_mm[row]:.0f} mm" in text for text in others)


def test_the_figures_of_a_curve(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("bike", build="stock", size="L")
    chart = desk.page.locator(".chart[data-address='leverage_ratio']")
    chart.get_by_text("figures").click()
    chart.locator("table").wait_for()
    curve = evaluate(bike_of().build("stock")).curve("leverage_ratio")
    wanted = [[f"{x:.1f}", f"{y:.2f}"] for x, y in list(zip(curve.x_mm, curve.y, strict=True))[::5]]
    assert [row[:2] for row in rows_of(desk, ".chart[data-address='leverage_ratio']")] == wanted


def test_sizes_with_steps(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("sizes", build="stock", state="table")
    desk.page.wait_for_selector("table")
    shown = {row[0]: row[2:] for row in rows_of(desk, "main")}
    build = bike_of().build("stock")
    sizes = [evaluate(with_value(build, "size", name)) for name in ("S", "M", "L", "XL", "XXL")]
    for key in ("reach_mm", "head_angle_deg", "wheelbase_mm", "standover_mm"):
        numbers = [answer.value(f"{key}@table").number for answer in sizes]
        assert None not in numbers
        quantity = CATALOGUE[key]
        assert shown[quantity.label][::2] == [number_text(float(n or 0), quantity.decimals) for n in numbers]
    # all sizes are drawn over one another, each in a line of its own
    for place in range(4):
        desk.page.wait_for_selector(f"svg.bike .others .o{place}", state="attached")
    reach = shown[CATALOGUE["reach_mm"].label]
    assert reach[1::2] == ["+22", "+22", "+22", "+22"]


def test_csv_of_a_table(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    """Where the browser hands out no clipboard, as on plain http from another machine, the text is shown and marked."""
    desk = window(serve())
    desk.look("sizes", build="stock", state="table")
    desk.page.wait_for_selector("table")
    desk.page.evaluate("() => Object.defineProperty(navigator, 'clipboard', { value: undefined })")
    desk.page.get_by_role("button", name="copy as CSV").click()
    text = desk.page.locator(".copy textarea").input_value()
    lines = text.splitlines()
    assert lines[0] == ",unit,S,step,M,step,L,step,XL,step,XXL"
    build = bike_of().build("stock")
    answers = [evaluate(with_value(build, "size", name)) for name in ("S", "M", "L", "XL", "XXL")]
    for key in ("reach_mm", "saddle_to_grip_drop_mm"):
        numbers = [float(answer.value(f"{key}@table").number or 0.0) for answer in answers]
        row = next(line for line in lines if line.startswith(f"{CATALOGUE[key].label},")).split(",")
        # a program reads a hyphen as a sign, not the minus of a printed table
        assert [float(cell) for cell in row[2::2]] == [round(number) for number in numbers]
    # it is marked a moment after it is shown
    desk.page.wait_for_function("() => (getSelection().toString().length || document.activeElement.selectionEnd) > 100")


def test_dimensions(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("bike", build="stock", size="L", state="table")
    desk.page.get_by_label("dimensions").check()
    desk.page.wait_for_selector(".dims text")
    desk.settled()
    answer = evaluate(bike_of().build("stock"))
    words = {"wheelbase_mm": "wheelbase", "bb_height_mm": "BB", "reach_mm": "reach", "head_angle_deg": "head angle"}
    texts = desk.page.locator(".dims text").all_text_contents()
    for key, word in words.items():
        assert f"{word} {UNITS.value(CATALOGUE[key], answer.value(f'{key}@table').number)}" in texts


def test_the_file_of_its_own(serve: Callable[..., Server], window: Callable[..., Desk], tmp_path: Path) -> None:
    desk = window(serve())
    desk.look("bike", build="stock", size="L")
    with desk.page.expect_download() as waiting:
        desk.page.get_by_role("button", name="save as one HTML file").click()
    file = tmp_path / "bike.html"
    waiting.value.save_as(file)
    assert file.stat().st_size < 600_000
    alone = desk.page.context.new_page()
    wrong: list[str] = []
    alone.on("pageerror", lambda error: wrong.append(str(error)))
    alone.on("console", lambda message: wrong.append(message.text))
    alone.on("request", lambda sent: None if sent.url == file.as_uri() else wrong.append(sent.url))
    alone.goto(file.as_uri())
    alone.wait_for_selector(".chart .uplot canvas")
    assert alone.title() == "Quillback, stock, size L"
    still = alone.locator("svg.bike .bike").inner_html()
    slider = alone.locator("#travel")
    slider.focus()
    for _ in range(8):
        alone.keyboard.press("ArrowRight")
    assert alone.locator("svg.bike .bike").inner_html() != still
    curve = evaluate(bike_of().build("stock")).curve("leverage_ratio")
    at = float(alone.locator("#at").inner_text().split()[0])
    near = min(range(len(curve.x_mm)), key=lambda row: abs(curve.x_mm[row] - at))
    said = alone.locator(".chart .said").first.inner_text()
    assert said.startswith(f"{curve.y[near]:.2f} at ")
    alone.set_viewport_size({"width": 390, "height": 844})
    assert alone.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    assert wrong == []

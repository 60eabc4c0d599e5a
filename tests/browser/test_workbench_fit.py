"""The room of fit: the screen says what the library answers; rider by deep link, post and steps taken by a press."""

from collections.abc import Callable

import pytest

from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.build import Build
from bikewright.model.files import read_bike
from bikewright.model.parts import Seatpost
from bikewright.reports.coverage import band_rows, neighbours_text
from bikewright.reports.fit import angle_row, cockpit_rows, rule_row, shelf_rows, verdict_line
from bikewright.reports.stepping import dimension_rows
from bikewright.reports.wording import ShownUnits
from bikewright.studies.coverage import by_size, coverage
from bikewright.studies.evaluate import evaluate
from bikewright.studies.fitting import Fit, fit_of
from bikewright.studies.step_rules import Asked, step_sizes
from tests.browser.conftest import PHONE, ROOT, Desk, Server

pytestmark = pytest.mark.browser

UNITS = ShownUnits()
BIKE = read_bike(ROOT / "examples" / "quillback")
LONG_MS = 90_000
"""Coverage on a machine that does much else."""


def build_of(name: str, size: str, *changes: str) -> Build:
    """A build of the files in a size, with changes."""
    build = with_value(BIKE.build(name), "size", size)
    for text in changes:
        build = apply(build, read_change(text), BIKE.stock, BIKE.riders)
    return build


def fit(build: Build) -> Fit:
    """As the page asks for it."""
    return fit_of(build, shelf=tuple(post for post in BIKE.stock.shelf("seatpost") if isinstance(post, Seatpost)))


def table(desk: Desk, name: str, timeout: float = 20_000) -> list[list[str]]:
    """A table by its name."""
    region = desk.page.get_by_role("region", name=name, exact=True)
    region.wait_for(timeout=timeout)
    rows: list[list[str]] = region.locator("tbody tr").evaluate_all(
        "rows => rows.map(row => [...row.cells].map(cell => cell.textContent.trim()))"
    )
    return rows


def listed(rows: list[tuple[str, ...]]) -> list[list[str]]:
    """Rows as the page has them."""
    return [[cell.strip() for cell in row] for row in rows]


def test_angles_saddle_post_and_cockpit(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("fit", build="stock", size="S", rider="adebo")
    found = fit(build_of("stock", "S", "rider=adebo"))
    desk.texts("main .verdict-line", [verdict_line(found)])
    assert not found.fits
    assert desk.page.locator("main .reasons").first.locator("li").all_text_contents() == list(found.reasons)
    for posture in found.postures:
        name = desk.page.locator("h2", has_text=posture.label.capitalize()).first.inner_text()
        assert table(desk, name) == listed([angle_row(angle, UNITS) for angle in posture.angles])
    assert table(desk, "saddle height by each rule") == listed([rule_row(rule, UNITS) for rule in found.saddle.rules])
    assert table(desk, "hands and feet") == listed([tuple(row) for row in cockpit_rows(found, UNITS)])
    posts = table(desk, "posts of the shelf")
    assert [row[:3] for row in posts] == listed(shelf_rows(found, UNITS))
    assert desk.wrong == []


def test_each_posture_is_drawn_with_its_angles(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("fit", build="stock", size="L", rider="tamsin")
    found = fit(build_of("stock", "L", "rider=tamsin"))
    for posture in found.postures:
        desk.page.get_by_label("drawn").select_option(posture.name)
        wanted = {
            f"{angle.name.removesuffix('_most')} {angle.value_deg:.0f}°"
            for angle in posture.angles
            if angle.name != "hip" or posture.name == "standing"
        }
        desk.page.wait_for_function(
            """wanted => { const said = [...document.querySelectorAll('.posed .dims text')].map(n => n.textContent);
            return wanted.length === new Set(said).size && wanted.every(w => said.includes(w)); }""",
            arg=sorted(wanted),
        )


def test_the_rider_stands_in_the_address(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("fit", build="stock", size="L")
    desk.page.locator("select[name=rider]").select_option("tamsin")
    verdict = verdict_line(fit(build_of("stock", "L", "rider=tamsin")))
    desk.texts("main .verdict-line", [verdict])
    assert "rider=tamsin" in desk.page.evaluate("() => location.hash")
    assert "rider=tamsin" in (desk.page.get_by_role("link", name="this as JSON").get_attribute("href") or "")
    desk.page.reload()
    desk.page.wait_for_selector("main .verdict-line")
    assert desk.page.locator("select[name=rider]").input_value() == "tamsin"


def test_a_post_of_the_shelf_is_put_in(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("fit", build="stock", size="L")
    assert desk.page.get_by_role("button", name="put it in: dropper-200").is_disabled()
    desk.page.get_by_role("button", name="put it in: dropper-150").click()
    desk.stands_at(1)
    desk.page.get_by_role("heading", name="Post: dropper-150, drop 150 mm").wait_for()
    desk.page.get_by_role("button", name="undo").click()
    desk.page.get_by_role("heading", name="Post: dropper-180, drop 180 mm").wait_for()


def test_whom_the_sizes_fit(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve(), PHONE)
    desk.look("fit", build="stock", size="M")
    found = coverage(by_size(BIKE.build("stock")))
    assert table(desk, "bands and shares", LONG_MS) == listed(band_rows(found, UNITS))
    told = desk.page.get_by_role("region", name="coverage").locator(".reasons li").all_text_contents()
    assert told == [neighbours_text(pair, UNITS) for pair in found.neighbours]
    assert "soldiers of one army, not customers" in desk.page.get_by_role("region", name="coverage").inner_text()
    # an outline a size that fits somebody, and ellipses of 50 and 90 % of men and of women
    chart = desk.page.get_by_role("figure", name="whom the sizes fit")
    outlines = sum(bool(size.men.outline) for size in found.sizes)
    assert chart.locator(".plain svg path").count() >= outlines + 4
    assert [text for text in chart.locator(".plain > g:last-of-type text").all_text_contents() if text] == [
        size.size for size in found.sizes if size.own is not None
    ]
    assert desk.page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")


def test_steps_are_taken_into_the_draft(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("fit", build="stock", size="L")
    desk.page.locator("select[name=rule]").select_option("equal")
    desk.page.get_by_label("reach step").fill("25")
    # what is being typed stays when the page is drawn anew meanwhile, as by an answer that comes in
    desk.page.emulate_media(color_scheme="dark")
    desk.page.wait_for_function("() => getComputedStyle(document.body).backgroundColor === 'rgb(26, 31, 35)'")
    desk.page.evaluate("() => new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(drawn)))")
    assert desk.page.get_by_label("reach step").input_value() == "25"
    desk.page.keyboard.press("Tab")
    asked = Asked(keep="L", own={}, steps_mm={"reach": 25.0})
    found = step_sizes(BIKE.build("stock"), "equal", asked, BIKE.brief)
    wanted = listed(dimension_rows(found, UNITS))
    desk.page.wait_for_function(
        """wanted => [...document.querySelectorAll('main td')].some(cell => cell.textContent.trim() === wanted)""",
        arg=wanted[0][1],
        timeout=LONG_MS,
    )
    assert table(desk, "dimensions before and after") == wanted
    desk.page.locator("button[name=take-steps]").click()
    desk.stands_at(1)
    # the consequences stand beside for all sizes
    assert desk.state("view.sizes") is True
    assert desk.page.locator(".change .size").count() == len(BIKE.frame.sizes)
    after = evaluate(with_value(found.after, "size", "S")).value("reach_mm").number
    desk.look("sizes", build="stock", size="L", state="table")
    row = next(row for row in table(desk, "sizes with the steps between them") if row[0] == "reach")
    assert after is not None
    assert float(row[2]) == pytest.approx(after, abs=0.5)
    assert row[3::2] == ["+25", "+25", "+25", "+25"]
    desk.page.evaluate("() => document.activeElement.blur()")
    desk.page.keyboard.press("Control+z")
    desk.stands_at(0)

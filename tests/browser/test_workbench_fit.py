"""The room of fit: the screen says what the library answers; rider by deep link, post and hands taken by a press."""

from collections.abc import Callable

import pytest

from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.build import Build
from bikewright.model.files import read_bike
from bikewright.model.parts import Seatpost
from bikewright.reports.fit import angle_row, cockpit_rows, rule_row, shelf_rows, solution_cells, verdict_line
from bikewright.reports.wording import ShownUnits
from bikewright.studies.cockpit_solve import solve_cockpit
from bikewright.studies.fitting import Fit, fit_of
from tests.browser.conftest import PHONE, ROOT, Desk, Server

pytestmark = pytest.mark.browser

UNITS = ShownUnits()
BIKE = read_bike(ROOT / "examples" / "quillback")
LONG_MS = 90_000
"""A long question on a machine that does much else."""


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


def test_the_hands_are_put_where_they_are_wanted(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve(), PHONE)
    desk.look("fit", build="stock", size="L")
    fields = desk.page.get_by_role("region", name="hands")
    build = build_of("stock", "L")
    asked = fit(build)
    cells = dict(cockpit_rows(asked, UNITS))
    shown = [cells[label] for label in ("saddle to grip, seated on the flat", "saddle over the grips",
                                        "grips over the ground, standing")]  # fmt: skip
    assert fields.locator("form b").all_inner_texts() == shown
    desk.page.locator("input[name=want-seated-length]").fill("615")
    desk.page.keyboard.press("Tab")
    rows = table(desk, "what each dimension must become", LONG_MS)
    found = {by: solve_cockpit(build, "seated-length", 615.0, by) for by in ("reach", "stem", "rise")}
    for name, by in (("reach of the frame", "reach"), ("stem, length", "stem"), ("bar, rise", "rise")):
        assert next(row for row in rows if row[0] == name)[1:4] == list(solution_cells(found[by], UNITS))
    cup = next(row for row in rows if row[0] == "upper headset cup, height")
    assert "6.8 mm short" in cup[1]
    assert "want=seated-length%3D615" in desk.page.evaluate("() => location.hash")
    assert desk.page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    desk.page.locator("button[name=take-reach]").click()
    desk.stands_at(1)
    assert desk.state("draft.changes[0].text") == f"{found['reach'].value:g}"
    # as it is now is what was wanted, and the wanted value stays in the address
    desk.page.wait_for_function(
        "() => document.querySelector('section[aria-label=hands] form b').innerText === '615 mm'"
    )
    assert desk.wrong == []


def test_a_hand_that_cannot_be_meant_is_said_at_its_field(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    desk = window(serve())
    desk.look("fit", build="stock", size="L")
    desk.page.locator("input[name=want-hand-height]").fill("<b>high</b>")
    desk.page.keyboard.press("Tab")
    said = desk.page.locator("section[aria-label=hands] form strong.said")
    said.wait_for()
    assert "<b>high</b>" in said.inner_text()
    assert desk.page.locator("input[name=want-hand-height]").get_attribute("aria-invalid") == "true"

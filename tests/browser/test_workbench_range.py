"""The room of the range: coverage with its fields, the firm's own list, steps, an old range to this one."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.people_file import read_people
from bikewright.model.versions import keep
from bikewright.reports.buying import buyers_heading
from bikewright.reports.coverage import band_rows, neighbours_text
from bikewright.reports.regrouping import end_text, move_heading, move_row
from bikewright.reports.stepping import dimension_rows
from bikewright.studies.bounds import read_bounds
from bikewright.studies.buying import lay_beside
from bikewright.studies.coverage import by_size, coverage, surveyed
from bikewright.studies.evaluate import evaluate
from bikewright.studies.regrouping import regroup
from bikewright.studies.step_rules import Asked, step_sizes
from tests.browser.conftest import PHONE, ROOT, Desk, Server
from tests.browser.test_workbench_fit import BIKE, LONG_MS, UNITS, listed, table

pytestmark = pytest.mark.browser

HOSTILE = "<img src=x onerror=alert(1)>"


def test_whom_the_sizes_fit(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve(), PHONE)
    desk.look("range", build="stock", size="M")
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
    desk.look("range", build="stock", size="L")
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


def test_bounds_and_shares_are_typed_and_stand_in_the_address(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    desk = window(serve(), PHONE)
    desk.look("range", build="stock", size="M")
    desk.page.locator("input[name=women_pct]").fill("30")
    desk.page.get_by_text("bounds of your own").click()
    desk.page.locator("input[name='standing.shoulder.high']").fill("30")
    desk.page.keyboard.press("Tab")
    said = desk.page.locator(".bounds strong.said")
    said.wait_for()
    assert "no angle lies from 38 to 30°" in said.inner_text()
    desk.page.locator("input[name='standing.shoulder.high']").fill("54")
    desk.page.keyboard.press("Tab")
    ranges = read_bounds(["standing.shoulder=38..54"])
    found = coverage(by_size(BIKE.build("stock")), surveyed(30.0), ranges=ranges)
    wanted = listed(band_rows(found, UNITS))
    _wait_for_cell(desk, wanted[-1][5])
    assert table(desk, "bands and shares") == wanted
    assert "women_pct=30" in desk.page.evaluate("() => location.hash")
    desk.page.reload()
    _wait_for_cell(desk, wanted[-1][5])
    assert desk.page.locator("input[name='standing.shoulder.high']").input_value() == "54"
    twin = desk.page.get_by_role("link", name="coverage as JSON").get_attribute("href")
    told = desk.page.evaluate("async address => (await fetch(address)).json()", twin)
    assert told["bounds"] == [{"posture": "standing", "angle": "shoulder", "low_deg": 38, "high_deg": 54}]
    assert told["people"]["women_pct"] == 30
    assert desk.page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")


def test_the_firms_own_list_of_the_folder(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("range", build="stock", size="M")
    desk.page.locator("select[name=list]").select_option("buyers.csv")
    sizes = tuple(size.name for size in BIKE.frame.sizes)
    people = read_people(ROOT / "examples" / "quillback" / "buyers.csv", sizes)
    found = lay_beside(coverage(by_size(BIKE.build("stock"))), people)
    rows = table(desk, "the list beside the sizes", LONG_MS)
    parts = (found.agree, found.agree_first, found.returned(True), found.returned(False))
    assert [row[2] for row in rows] == [f"{part.count} of {part.of}" for part in parts]
    heading = desk.page.locator(".buyers h2").inner_text()
    assert heading == buyers_heading(found).replace(str(ROOT / "examples" / "quillback") + "/", "")
    men = sum(one.build != "female" for one in people.people)
    assert f"the {men} men of buyers.csv" in desk.page.locator(".buyers").inner_text()
    assert desk.page.locator(".plain svg path[class^=mark-]").count() >= 2
    assert desk.wrong == []


def test_a_list_that_is_handed_over_is_stored_only_by_a_press(
    serve: Callable[..., Server], window: Callable[..., Desk], tmp_path: Path
) -> None:
    server = serve()
    desk = window(server)
    desk.look("range", build="stock", size="M")
    before = sorted(path.name for path in server.folder.iterdir())
    bad = tmp_path / f"{HOSTILE}.csv".replace("/", "")
    bad.write_text("height,size,returned\n178,L,no\n181 cm,Q,perhaps\n", encoding="utf-8")
    desk.page.locator("input[name=list-file]").set_input_files(bad)
    said = desk.page.locator(".list strong.said")
    said.wait_for(timeout=LONG_MS)
    told = said.inner_text()
    assert f"{bad.name}, line 2, column 1" in told
    assert "line 3, column 2" in told
    assert "line 3, column 3" in told
    # the sizes are told all the same, and the name is text
    assert len(table(desk, "bands and shares", LONG_MS)) == len(BIKE.frame.sizes) + 3
    assert desk.page.locator("main img").count() == 0
    good = tmp_path / "own.csv"
    good.write_text("height,size,returned\n178 cm,L,no\n181 cm,XL,yes\n", encoding="utf-8")
    desk.page.locator("input[name=list-file]").set_input_files(good)
    desk.page.get_by_role("heading", name="The 2 people of own.csv").wait_for(timeout=LONG_MS)
    desk.page.get_by_text("it is stored nowhere").wait_for()
    assert sorted(path.name for path in server.folder.iterdir()) == before
    desk.page.locator("button[name=keep-list]").click()
    desk.page.wait_for_function("() => globalThis.bikewright.state.ride.list === 'own.csv'")
    assert (server.folder / "own.csv").read_bytes() == good.read_bytes()
    assert "list=own.csv" in desk.page.evaluate("() => location.hash")
    large = tmp_path / "large.csv"
    large.write_text("height\n" + "178 cm\n" * 80_000, encoding="utf-8")
    desk.page.locator("input[name=list-file]").set_input_files(large)
    desk.page.locator(".list strong.said", has_text="are taken here").wait_for()
    assert [one for one in desk.wrong if "400" not in one] == []


def test_an_old_range_to_this_one(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    server = serve()
    build = BIKE.build("stock")
    old = build
    for size in BIKE.frame.sizes:
        old = apply(old, read_change(f"sizes.{size.name}.reach_mm-=14"), BIKE.stock)
    label = keep(server.folder, old, "as-sold").label
    desk = window(server, PHONE)
    desk.look("range", build="stock", size="M")
    desk.page.locator("select[name=old]").select_option(f"version:{label}")
    desk.page.locator("svg.bands").wait_for(timeout=LONG_MS)
    found = regroup(coverage(by_size(old)), coverage(by_size(build)), None, BIKE.brief)
    section = desk.page.get_by_role("region", name="old to new")
    both = [group for group in found.groups if group.old and group.new]
    assert section.locator(".moves h2").all_inner_texts() == [move_heading(group) for group in both]
    rows = (
        section.locator(".moves section")
        .first.locator("tbody tr")
        .evaluate_all("rows => rows.map(row => [...row.cells].map(cell => cell.textContent.trim()))")
    )
    assert rows == listed([move_row(move, UNITS) for move in both[0].moves])
    said = section.locator("ul.reasons li").all_inner_texts()
    assert said == [end_text(group, UNITS) for group in [*(g for g in found.groups if g.loses),
                                                         *(g for g in found.groups if g.wins)]]  # fmt: skip
    drawn = set(section.locator("svg.bands text.size").all_text_contents())
    men = [size for one in (found.old, found.new) for size in one.sizes if size.men.middle is not None]
    assert drawn == {size.size for size in men}
    assert label in desk.page.evaluate("() => decodeURIComponent(location.hash)")
    assert desk.page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    assert desk.wrong == []


def test_an_old_folder_that_lies_elsewhere_is_refused_at_its_field(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    desk = window(serve())
    desk.look("range", build="stock", old="folder:../../etc")
    said = desk.page.get_by_role("region", name="old to new").locator("strong.said")
    said.wait_for(timeout=LONG_MS)
    assert "does not lie beside this bike's folder" in said.inner_text()


def test_cap_and_tolerance_of_steps(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("range", build="stock", size="L", rule="share", within="0")
    said = desk.page.get_by_role("region", name="steps").locator("strong.said")
    said.wait_for(timeout=LONG_MS)
    assert "a tolerance of 0 cannot be met" in said.inner_text()
    desk.page.locator("input[name=within]").fill("0.4")
    desk.page.locator("input[name=cap-low]").fill("430")
    desk.page.locator("input[name=cap-high]").fill("450")
    desk.page.keyboard.press("Tab")
    asked = Asked(keep="L", own={}, steps_mm={}, within=0.4, cap_mm=(430.0, 450.0))
    wanted = listed(dimension_rows(step_sizes(BIKE.build("stock"), "share", asked, BIKE.brief), UNITS))
    changed = next(cell for row in wanted for cell in row if "→" in cell)
    _wait_for_cell(desk, changed)
    assert table(desk, "dimensions before and after") == wanted
    asked_for = desk.page.evaluate("() => decodeURIComponent(location.hash)")
    assert "cap=430..450" in asked_for
    assert "within=0.4" in asked_for


def _wait_for_cell(desk: Desk, text: str) -> None:
    desk.page.wait_for_function(
        f"() => [...document.querySelectorAll('main td')].some(cell => cell.textContent.trim() === {json.dumps(text)})",
        timeout=LONG_MS,
    )

"""Drawings in a real browser: they show, fetch nothing, need no inline style, and no label lies on another."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from bikewright.reports.lettering import text_width_mm
from bikewright.reports.paper import overlap, texts
from bikewright.reports.shapes import Sheet
from bikewright.reports.svg import to_svg
from tests.reports.sample_drawings import HOSTILE, leverage_sheet, side_view

pytestmark = pytest.mark.browser

SHEETS = {
    "chart": leverage_sheet(),
    "side view": side_view(),
    "chart with a hostile name": leverage_sheet(HOSTILE),
    "side view with a hostile name": side_view(HOSTILE),
}
POLICY = "default-src 'none'"
"""Stricter than the product's own: no script, no style, nothing fetched."""
BOXES = """svg => [...svg.querySelectorAll('text')].map(text => {
    const box = text.getBBox();
    const matrix = svg.getScreenCTM().inverse().multiply(text.getScreenCTM());
    const own = svg.viewBox.baseVal;
    const corner = (x, y) => {
        const p = new DOMPoint(x, y).matrixTransform(matrix);
        return [p.x, p.y];
    };
    return {
        text: text.textContent,
        width: box.width,
        size: parseFloat(text.getAttribute('font-size')),
        weight: text.getAttribute('font-weight') ? 'semibold' : 'regular',
        figures: getComputedStyle(text).fontVariantNumeric,
        sheet: [own.width, own.height],
        corners: [
            corner(box.x, box.y), corner(box.x + box.width, box.y),
            corner(box.x + box.width, box.y + box.height), corner(box.x, box.y + box.height),
        ],
    };
})"""


@pytest.fixture(scope="module")
def browser_page(chromium_browser: Browser) -> Iterator[tuple[Page, list[str]]]:
    """A page, and everything that went wrong in it."""
    page = chromium_browser.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(f"error: {error}"))
    page.on("console", lambda message: wrong.append(f"console: {message.text}"))
    page.on("dialog", lambda dialog: (wrong.append(f"dialog: {dialog.message}"), dialog.dismiss()))
    page.on("request", lambda sent: wrong.append(f"request: {sent.url}"))
    yield page, wrong
    page.close()


def enlarged(sheet: Sheet, times: int) -> str:
    """The drawing as a page may show it, larger than on paper."""
    document = to_svg(sheet)
    size = f'width="{sheet.width_mm:g}mm" height="{sheet.height_mm:g}mm"'
    assert size in document
    return document.replace(size, f'width="{times * sheet.width_mm:g}mm" height="{times * sheet.height_mm:g}mm"')


@pytest.mark.parametrize("times", [1, 8])
@pytest.mark.parametrize("name", SHEETS)
def test_a_drawing_in_a_page(browser_page: tuple[Page, list[str]], name: str, times: int) -> None:
    page, wrong = browser_page
    sheet: Sheet = SHEETS[name]
    wrong.clear()
    page.set_content(
        f'<!doctype html><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        f"<title>drawing</title>{enlarged(sheet, times)}"
    )
    boxes = page.eval_on_selector("svg", BOXES)

    assert wrong == []
    assert len(boxes) == len(texts(sheet)) > 20
    for box in boxes:
        width, height = box["sheet"]
        assert all(0 <= x <= width and 0 <= y <= height for x, y in box["corners"]), box["text"]
        # letters are fitted to the dots of the screen, 96 to the inch, and may grow by a dot each
        rounding = 25.4 / 96 / times * len(box["text"]) + 0.01
        assert box["width"] <= text_width_mm(box["text"], box["size"], box["weight"]) + rounding, box["text"]
        assert box["figures"] == "tabular-nums"
    for number, first in enumerate(boxes):
        for second in boxes[number + 1 :]:
            assert not overlap(tuple(tuple(c) for c in first["corners"]), tuple(tuple(c) for c in second["corners"])), (
                f"{first['text']} lies on {second['text']}"
            )


def test_a_drawing_as_a_file(browser_page: tuple[Page, list[str]], tmp_path: Path) -> None:
    page, wrong = browser_page
    file = tmp_path / "side-view.svg"
    file.write_text(to_svg(SHEETS["side view"]), encoding="utf-8")
    wrong.clear()
    page.goto(file.as_uri())

    assert wrong == [f"request: {file.as_uri()}"]
    said = page.evaluate("() => [document.documentElement.tagName, document.title]")
    assert said == ["svg", "side view, Ravelin Quillback, single-crown air fork, 160 mm, M"]


def test_a_screen_reader_is_told_what_it_is(browser_page: tuple[Page, list[str]]) -> None:
    page, _ = browser_page
    page.goto("about:blank")
    page.set_content(f"<!doctype html>{to_svg(SHEETS['chart'])}")
    picture = page.get_by_role("img", name="Leverage ratio, Quillback M, standing")
    assert picture.count() == 1

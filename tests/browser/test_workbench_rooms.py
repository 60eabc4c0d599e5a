"""Every room at both sizes, on paper and at dusk: it shows, fetches nothing from elsewhere, and can be read by all."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.browser.conftest import LOOKS, PHONE, Desk, Server

pytestmark = pytest.mark.browser

ROOMS = ("bike", "curves", "figures", "sizes", "range", "fit", "setup", "brief", "parts", "versions")
LIMIT_BYTES = 200_000


@LOOKS
def test_every_room(
    serve: Callable[..., Server], window: Callable[..., Desk], axe: str, size: tuple[int, int], scheme: str
) -> None:
    desk = window(serve(), size, scheme)
    desk.make("fork=single-crown-170")
    for room in ROOMS:
        desk.look(room, build="stock", size="L", state="standing")
        desk.page.wait_for_function("() => !document.querySelector('main').innerText.includes('On its way')")
        wide, shown = desk.page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
        assert wide <= shown, room
        # evaluated by the browser's own tools, so that the page's policy need not allow it
        desk.page.evaluate(axe)
        found = desk.page.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
        serious = [
            (fault["id"], fault["impact"], [node["html"][:160] for node in fault["nodes"]][:4])
            for fault in found["violations"]
            if fault["impact"] in ("serious", "critical")
        ]
        assert serious == [], f"{room}: {json.dumps(serious, indent=1)}"
    assert desk.wrong == []


def test_a_thumb_can_hit_everything(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve(), PHONE, touch=True)
    for room in ("bike", "curves"):
        desk.look(room)
        small = desk.page.evaluate(
            """() => [...document.querySelectorAll('button, nav a, select, input')]
                .filter(node => node.type !== 'checkbox' && node.type !== 'range')
                .filter(node => node.getClientRects().length && node.getBoundingClientRect().height < 44)
                .map(node => node.outerHTML.slice(0, 80))"""
        )
        assert small == [], room


def test_room_names_stand_in_two_whole_rows_on_a_phone(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    desk = window(serve(), PHONE, touch=True)
    for room in ("bike", "parts", "versions"):
        desk.look(room)
        names = desk.page.eval_on_selector_all(
            ".title nav a",
            "all => all.map(a => [a.getBoundingClientRect().top, a.scrollWidth <= a.clientWidth])",
        )
        tops = [top for top, _ in names]
        assert [tops.count(top) for top in sorted(set(tops))] == [5, 5], room
        assert all(whole for _, whole in names), room


def test_the_page_is_small(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    got = desk.page.evaluate(
        """() => performance.getEntriesByType('resource').concat(performance.getEntriesByType('navigation'))
            .map(entry => [entry.name, entry.transferSize])"""
    )
    assert len(got) > 10
    assert all(size > 0 for _, size in got), "nothing may come from a cache, or it is not counted"
    assert sum(size for _, size in got) < LIMIT_BYTES


def test_paper_and_dusk_by_word(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    ground = "() => getComputedStyle(document.body).backgroundColor"
    assert desk.page.evaluate(ground) == "rgb(253, 252, 249)"
    desk.page.get_by_role("button", name="dusk").click()
    assert desk.page.evaluate(ground) == "rgb(26, 31, 35)"
    desk.page.reload()
    desk.page.wait_for_selector(".stage svg")
    assert desk.page.evaluate(ground) == "rgb(26, 31, 35)"


def test_all_by_keys(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    """The tab key reaches title, rooms, drawing, every point, the field and the list, and shows where it is."""
    desk = window(serve())
    desk.page.evaluate("() => document.activeElement.blur()")
    seen = []
    for _ in range(60):
        desk.page.keyboard.press("Tab")
        seen.append(
            desk.page.evaluate(
                """() => { const n = document.activeElement;
                if (n === document.body) return ['', false];
                const s = getComputedStyle(n.matches('.handle') ? n.querySelector('.ring') : n);
                return [n.dataset.name || n.id || n.name || n.getAttribute('class') || n.textContent,
                        s.outlineStyle !== 'none' || parseFloat(s.strokeWidth) >= 3]; }"""
            )
        )
    reached = {name for name, _ in seen}
    assert {"build", "size", "state", "bike", "pin rocker", "head tube", "saddle", "change-field", "plot"} <= reached
    assert all(visible for name, visible in seen if name), [name for name, visible in seen if not visible]


def test_hostile_names_are_text(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    hostile = "<img src=x onerror=alert(1)><script>alert(2)</script>"

    def change(folder: Path) -> None:
        for name, old in (("bike.toml", "Ravelin Frame Works"), ("brief.toml", "What the rider rides.")):
            file = folder / name
            said = file.read_text(encoding="utf-8")
            assert old in said
            file.write_text(said.replace(old, hostile), encoding="utf-8")
        forks = folder / "parts" / "forks.toml"
        said = forks.read_text(encoding="utf-8")
        head, _, tail = said.partition('describe = "')
        forks.write_text(head + 'describe = "' + hostile + tail[tail.index('"') :], encoding="utf-8")

    desk = window(serve(change=change))
    for room in ROOMS:
        desk.look(room, build="stock")
        desk.page.wait_for_timeout(150)
        assert desk.page.locator("main img, main script").count() == 0
    assert hostile in desk.page.locator(".title").inner_text()
    desk.look("brief")
    desk.page.get_by_text(hostile).first.wait_for()
    assert [one for one in desk.wrong if not one.startswith("console: Refused")] == []

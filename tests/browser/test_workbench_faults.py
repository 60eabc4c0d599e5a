"""What is lost when a line, a server or a file goes: nothing."""

import json
import tomllib
from collections.abc import Callable

import pytest

from tests.browser.conftest import Desk, Server
from tests.browser.test_workbench_hands import list_of, wanted

pytestmark = [pytest.mark.browser, pytest.mark.fault]


def comes_to(desk: Desk, texts: list[str]) -> None:
    """Wait for a list that nobody at this window asked for."""
    desk.page.wait_for_function(
        """texts => texts ===
        JSON.stringify([...document.querySelectorAll('.cause > .line .to')].map(node => node.textContent))""",
        arg=json.dumps(texts, ensure_ascii=False, separators=(",", ":")),
        timeout=15_000,
    )


def test_a_line_that_is_lost(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    """The server is killed; what is made meanwhile waits, and is made once when it is back."""
    server = serve()
    desk = window(server)
    desk.look("bike", build="stock", size="L")
    desk.make("sag_rear_pct=28")
    server.kill()
    desk.page.wait_for_selector(".notice .lost")
    # half typed: it stays
    desk.page.fill("#change-field", "fork=single-crown-170")
    assert "The server does not answer." in desk.page.locator(".notice").inner_text()
    desk.page.keyboard.press("Enter")
    desk.page.wait_for_function("() => globalThis.bikewright.state.unsent === 1")
    desk.page.fill("#change-field", "stem=stem")
    desk.page.wait_for_timeout(1500)
    assert desk.page.input_value("#change-field") == "stem=stem"
    server.start()
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 2", timeout=20_000)
    desk.settled()
    assert desk.state("unsent") == 0
    assert desk.page.input_value("#change-field") == "stem=stem"
    assert list_of(desk) == wanted("sag_rear_pct=28", "fork=single-crown-170")
    assert desk.page.locator(".notice .lost").count() == 0
    assert [one for one in desk.wrong if "WebSocket" not in one] == []


def test_a_page_loaded_anew_sends_what_waits(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("bike", build="stock", size="L")
    desk.page.evaluate("() => { WebSocket.prototype.send = () => {}; }")
    desk.page.fill("#change-field", "fork=single-crown-170")
    desk.page.keyboard.press("Enter")
    assert desk.state("unsent") == 1
    desk.page.reload()
    desk.page.wait_for_function("() => globalThis.bikewright && globalThis.bikewright.state.draft?.position === 1")
    assert desk.state("unsent") == 0
    # sent once more, as after an answer that was lost on its way, it is not made again
    desk.page.evaluate(
        """() => { const id = bikewright.state.draft.changes[0].id;
        const made = ['make', { id, changes: ['fork=single-crown-170'] }];
        sessionStorage.setItem('bikewright.unsent', JSON.stringify([made])); }"""
    )
    desk.page.reload()
    desk.page.wait_for_function("() => globalThis.bikewright && globalThis.bikewright.state.draft")
    desk.settled()
    desk.page.wait_for_function("() => globalThis.bikewright.state.unsent === 0")
    assert desk.state("draft.position") == 1


def test_a_file_edited_beside(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    server = serve()
    desk = window(server)
    desk.look("bike", build="stock", size="L")
    file = server.folder / "bike.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("reach_mm = 481", "reach_mm = 485"), encoding="utf-8")
    desk.page.get_by_text("The files were changed on disk.").wait_for()
    comes_to(desk, wanted("sizes.L.reach_mm=485"))
    # now both change the same value: both are told
    desk.make("sizes.L.reach_mm=490")
    file.write_text(file.read_text(encoding="utf-8").replace("reach_mm = 485", "reach_mm = 487"), encoding="utf-8")
    desk.page.get_by_text("the files say 487").wait_for()
    assert "490" in desk.page.locator(".notice").inner_text()
    # and a file that cannot be read is told, while the bike stays
    whole = file.read_text(encoding="utf-8")
    file.write_text(whole.replace("reach_mm = 487", "reach_mm = reach"), encoding="utf-8")
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.trouble")
    assert desk.page.locator(".notice .trouble").count() >= 1
    assert desk.page.locator("svg.bike .bike path").count() > 20


def test_two_windows_agree(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    server = serve()
    one, two = window(server), window(server)
    for desk in (one, two):
        desk.look("bike", build="stock", size="L")
    one.make("fork=single-crown-170")
    two.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 1")
    assert list_of(one)
    comes_to(two, list_of(one))
    two.page.get_by_role("button", name="undo").click()
    one.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 0")
    comes_to(one, [])


def test_a_message_at_the_field(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    desk = window(serve())
    desk.look("parts", build="stock", size="L")
    field = desk.page.get_by_label("stem spacers", exact=True)
    field.fill("900")
    field.press("Enter")
    said = desk.page.locator(".value strong.said")
    said.wait_for()
    assert "80" in said.inner_text()
    assert desk.state("draft.position") == 0
    desk.page.locator("select[name=fork]").select_option("single-crown-170")
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 1")
    desk.settled()
    assert list_of(desk) == wanted("fork=single-crown-170")
    assert desk.wrong == []


def test_kept_written_opened_compared(serve: Callable[..., Server], window: Callable[..., Desk]) -> None:
    server = serve()
    desk = window(server)
    desk.look("bike", build="stock", size="L")
    desk.make("fork=single-crown-170")
    desk.page.get_by_role("button", name="keep", exact=True).click()
    desk.page.get_by_label("name").fill("long-fork")
    desk.page.get_by_label("note").fill("to try on the test loop")
    desk.page.get_by_role("button", name="keep this version").click()
    desk.page.get_by_text("Kept as 0001-long-fork.").wait_for()
    assert (server.folder / "versions" / "0001-long-fork.toml").exists()
    desk.make("fork=single-crown-160")
    desk.look("versions", build="stock", size="L")
    desk.page.get_by_role("button", name="compare with 0001-long-fork").click()
    desk.page.get_by_text("single-crown air fork, 170 mm").first.wait_for()
    desk.page.get_by_role("button", name="open 0001-long-fork").click()
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.base === '0001-long-fork'")
    desk.page.get_by_role("button", name="compare with the files").click()
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.pinned === 'files'")
    desk.settled()
    assert list_of(desk) == wanted("fork=single-crown-170")
    desk.page.get_by_role("button", name="write to files").click()
    desk.page.get_by_text("Written: ").wait_for()
    builds = tomllib.loads((server.folder / "builds.toml").read_text(encoding="utf-8"))
    assert builds["stock"]["fork"] == "single-crown-170"
    assert desk.wrong == []

"""What the page does with an answer: refused, late, or about something else than what is shown."""

import re

import pytest

pytestmark = pytest.mark.browser
NAMED = "select[name='{}']"


def refused(desk):
    """Wait until the page says why the last change was not taken, and stands as before."""
    desk.page.wait_for_function("() => globalThis.bikewright.state.trouble?.deed")
    desk.settled()


def test_a_refused_change_comes_back_to_be_mended(serve, window):
    desk = window(serve())
    desk.page.fill("#change-field", "stem_spacers_mm=5; fork=nothing-of-the-kind")
    desk.page.keyboard.press("Enter")
    refused(desk)
    assert desk.page.input_value("#change-field") == "stem_spacers_mm=5; fork=nothing-of-the-kind"
    assert desk.state("draft.position") == 0
    desk.make("stem_spacers_mm=5")
    assert desk.page.input_value("#change-field") == ""


def test_what_is_typed_after_a_refused_change_stays(serve, window):
    desk = window(serve())
    field = desk.page.locator("#change-field")
    # both in one turn of the page, before any answer can come
    field.evaluate(
        """node => {
        const say = text => { node.value = text; node.dispatchEvent(new Event("input", {bubbles: true})); };
        say("fork=nothing"); return new Promise(done => setTimeout(() => {
            node.form.requestSubmit(); setTimeout(() => { say("stem_spacers_mm=5"); done(); }, 0); }, 50)); }"""
    )
    refused(desk)
    assert field.input_value() == "stem_spacers_mm=5"


def test_a_note_that_cannot_be_kept_comes_back(serve, window):
    desk = window(serve())
    # a folder where versions would go makes keeping impossible
    (desk.server.folder / "versions").write_text("in the way", encoding="utf-8")
    desk.page.click("button:text-is('keep')")
    desk.page.fill(".keep label:has-text('name') input", "first")
    desk.page.fill(".keep label:has-text('note') input", "a note of some length")
    desk.page.click("button:text-is('keep this version')")
    refused(desk)
    assert desk.page.input_value(".keep label:has-text('note') input") == "a note of some length"
    assert desk.page.input_value(".keep label:has-text('name') input") == "first"


def test_ends_of_a_line_that_is_refused_come_back(serve, window):
    desk = window(serve())
    desk.look("brief")
    desk.page.select_option(NAMED.format("new-quantity"), "wheelbase_mm")
    desk.page.fill("input[name='new-low']", "1290")
    desk.page.fill("input[name='new-high']", "much")
    desk.page.click("text=add the line")
    refused(desk)
    assert desk.page.input_value("input[name='new-low']") == "1290"
    assert desk.page.input_value("input[name='new-high']") == "much"


def test_a_part_that_is_refused_is_not_shown_as_chosen(serve, window):
    desk = window(serve())
    desk.look("parts", build="stock")
    place = desk.page.locator(NAMED.format("fork"))
    now = place.input_value()
    other = place.locator(f"option:not([value='{now}'])").first
    other.evaluate("option => { option.value = 'nothing-of-the-kind'; }")
    place.select_option("nothing-of-the-kind")
    refused(desk)
    desk.page.wait_for_function(
        "([name, now]) => document.querySelector(`select[name='${name}']`).value === now", arg=["fork", now]
    )
    assert desk.state("draft.position") == 0


def test_the_brief_is_told_anew_when_its_file_is_written(serve, window):
    desk = window(serve())
    desk.look("brief")
    lines = desk.page.locator(".brief tbody tr")
    count = lines.count()
    brief = desk.server.folder / "brief.toml"
    with brief.open("a", encoding="utf-8") as file:
        file.write('\n[[line]]\nquantity = "wheelbase_mm@standing"\nhigh = 1400\n')
    desk.page.wait_for_function(
        "(count) => document.querySelectorAll('.brief tbody tr').length === count + 1", arg=count, timeout=10_000
    )


def test_a_button_keeps_the_focus_while_the_page_is_told_of_other_things(serve, window):
    server = serve()
    desk, other = window(server), window(server)
    desk.page.click("button:text-is('keep')")
    desk.page.fill(".keep input >> nth=0", "first")
    desk.page.click("button:text-is('keep this version')")
    desk.look("versions")
    button = desk.page.get_by_role("button", name=re.compile("pin, to compare with .*first"))
    button.focus()
    other.make("stem_spacers_mm=5")
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 1")
    desk.settled()
    assert button.evaluate("node => node === document.activeElement")


def test_a_window_that_looked_at_all_sizes_is_shown_its_own_again(serve, window):
    server = serve()
    desk, other = window(server), window(server)
    own = desk.state("screen.build.size")
    # the room is left while it still asks for the other sizes
    desk.page.evaluate(
        """() => { location.hash = location.hash.replace(/^#.[a-z]+/, "#/sizes");
        return new Promise(done => setTimeout(() => {
            location.hash = location.hash.replace("sizes", "bike"); done(); }, 40)); }"""
    )
    desk.page.wait_for_function("() => globalThis.bikewright.state.room === 'bike'")
    desk.settled()
    other.make("stem_spacers_mm=5")
    desk.page.wait_for_function("() => globalThis.bikewright.state.draft.position === 1")
    desk.settled()
    assert desk.state("screen.build.size") == own
    assert desk.state("screen.curves.length") > 0


def test_a_text_that_begins_like_a_formula_is_none_in_a_spreadsheet(serve, window):
    server = serve(change=lambda folder: _why(folder, "-2+3+cmd"))
    desk = window(server)
    desk.page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    desk.look("brief")
    desk.page.click("text=copy as CSV")
    desk.page.wait_for_selector("text=copied")
    copied = desk.page.evaluate("navigator.clipboard.readText()")
    assert "'-2+3+cmd" in copied
    assert ",-2+3+cmd" not in copied


def _why(folder, text):
    brief = folder / "brief.toml"
    lines = brief.read_text(encoding="utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("why"))
    lines[at] = f'why = "{text}"'
    brief.write_text("\n".join(lines) + "\n", encoding="utf-8")


@pytest.mark.fault
def test_an_invitation_is_not_lost_where_the_server_does_not_answer(serve, window):
    desk = window(serve())
    page = desk.page.context.new_page()
    page.route("**/join", lambda route: route.abort())
    page.goto(f"{desk.server.address}#join=an-invitation")
    page.wait_for_selector("text=Load this page again")
    assert page.evaluate("location.hash").startswith("#join=an-invitation")


@pytest.mark.fault
def test_what_cannot_be_handed_over_is_a_sentence(serve, window):
    desk = window(serve())
    desk.page.route("**/lan/invite", lambda route: route.abort())
    desk.page.route("**/export.html*", lambda route: route.abort())
    for button in ("another machine", "save as one HTML file"):
        desk.page.click(f"button:text-is('{button}')")
        desk.page.wait_for_selector(".notice >> text=The server does not answer.")
        desk.page.click("button:text-is('write to files')")
        desk.page.wait_for_selector(".notice >> text=The files say this already.")
    assert not [wrong for wrong in desk.wrong if wrong.startswith("error")]


@pytest.mark.fault
def test_a_document_that_is_refused_says_why(serve, window):
    desk = window(serve())
    desk.page.route(
        "**/shown/brief.json*", lambda route: route.fulfill(status=403, content_type="text/plain", body="No key.\n")
    )
    desk.page.goto(f"{desk.server.address}#/brief")
    desk.page.wait_for_selector("main >> text=No key.")

"""The brief judged and edited, things copied and taken out, versions side by side: on screen as in the library."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.drafting import read_edit
from bikewright.model.files import read_bike
from bikewright.model.versions import keep
from bikewright.reports.rooms import brief_data
from bikewright.reports.wording import ShownUnits, label
from bikewright.studies.check import brief_rows
from bikewright.studies.evaluate import evaluate
from bikewright.studies.pose import pose_of
from bikewright.studies.side_by_side import side_by_side
from tests.browser.conftest import LOOKS, Desk, Server
from tests.browser.test_workbench_numbers import bike_of, rows_of

pytestmark = pytest.mark.browser

UNITS = ShownUnits()


def position(desk: Desk, number: int) -> None:
    desk.page.wait_for_function(f"() => globalThis.bikewright.state.draft.position === {number}")
    desk.settled()


def text_in(folder: Path, name: str) -> str:
    return (folder / name).read_text(encoding="utf-8")


def shown_brief(desk: Desk) -> list[tuple[str, str, str]]:
    """Quantity, verdict and value of every line on screen."""
    return [(row[0], row[1], row[2]) for row in rows_of(desk, ".brief")]


def wanted_brief(build, brief, riders) -> list[tuple[str, str, str]]:
    return [
        (line["label"], line["verdict_text"], line["value_text"])
        for line in brief_data(brief_rows(build, brief, riders), UNITS)
    ]


def test_the_instant_centre_is_marked_on_screen_where_the_linkage_has_it(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    desk = window(serve())
    for state in ("table", "rear-bottomed"):
        desk.look("bike", build="stock", size="L", state=state)
        pose = pose_of(evaluate(bike_of().build("stock")), state)
        assert pose.instant_centre is not None
        told = desk.state("screen.pose.instant_centre")
        assert told == [pytest.approx(value, abs=0.001) for value in pose.instant_centre]
        corner = [pytest.approx(value - 12.0, abs=0.02) for value in pose.instant_centre]
        strokes = desk.page.locator("svg.bike .bike path.path").evaluate_all("all => all.map(p => p.getAttribute('d'))")
        assert any([float(word) for word in stroke[1:].split("L")[0].split()] == corner for stroke in strokes)
        assert "instant centre" in desk.page.locator(".key").inner_text()
    other = window(serve("wherry"))
    assert "instant centre" not in other.page.locator(".key").inner_text()


def test_every_line_of_the_brief_says_its_verdict_in_its_own_state(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    desk = window(serve())
    bike = bike_of()
    for build, size in (("stock", "L"), ("small", "M"), ("datum", "M")):
        desk.look("brief", build=build, size=size, state="climbing")
        meant = with_value(bike.build(build), "size", size)
        wanted = wanted_brief(meant, bike.brief, bike.riders)
        desk.page.wait_for_function(
            "wanted => JSON.stringify([...document.querySelectorAll('.brief tbody tr')].map(row =>"
            " [0, 1, 2].map(i => row.cells[i].textContent.trim()))) === wanted",
            arg=json.dumps(wanted, ensure_ascii=False, separators=(",", ":")),
        )
    assert any(verdict.startswith("waits for") for _, verdict, _ in wanted), "without a rider something waits"
    assert desk.wrong == []


def test_lines_are_removed_added_and_given_a_felt_step_and_the_file_keeps_its_comments(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    server = serve()
    desk = window(server)
    bike = bike_of()
    build = bike.build("stock")
    desk.look("brief", build="stock", size="L", state="table")
    before = text_in(server.folder, "brief.toml")
    felt = desk.page.get_by_label("felt step of head angle", exact=True)
    assert (felt.input_value(), felt.get_attribute("placeholder")) == ("", "0.3°")
    desk.page.get_by_role("button", name="remove the line trail", exact=True).click()
    position(desk, 1)
    felt.fill("0.2")
    felt.press("Enter")
    position(desk, 2)
    desk.page.locator("[name=new-quantity]").select_option("trail_mm")
    desk.page.locator("[name=new-state]").select_option("climbing")
    desk.page.locator("[name=new-size]").select_option("L")
    desk.page.locator("[name=new-low]").fill("90")
    desk.page.locator("[name=new-high]").fill("100")
    desk.page.get_by_role("button", name="add the line").click()
    position(desk, 3)
    draft = bike
    for text in (
        "remove brief.trail_mm@table",
        "brief.head_angle_deg@table.felt_step=0.2",
        "brief.trail_mm@climbing/L.low=90",
        "brief.trail_mm@climbing/L.high=100",
    ):
        _, draft = read_edit(draft, "stock", text)
    desk.page.wait_for_function("() => document.querySelector('.brief tbody').innerText.includes('trail, climbing')")
    assert shown_brief(desk) == wanted_brief(build, draft.brief, bike.riders)
    desk.page.get_by_role("button", name="write to files").click()
    desk.page.get_by_text("Written: brief.toml").wait_for()
    assert read_bike(server.folder).brief == draft.brief
    after = text_in(server.folder, "brief.toml")
    assert 'quantity = "trail_mm@table"' not in after
    assert [line for line in before.splitlines() if line.startswith("#") and line not in after.splitlines()] == []
    # an emptied felt step is the default again, and everything is taken back
    felt.fill("")
    felt.press("Enter")
    position(desk, 5)
    assert felt.get_attribute("placeholder") == "0.3°"
    for number in range(4, -1, -1):
        desk.page.get_by_role("button", name="undo").click()
        position(desk, number)
    desk.page.get_by_role("button", name="remove the line trail", exact=True).wait_for()
    assert shown_brief(desk) == wanted_brief(build, bike.brief, bike.riders)
    assert desk.wrong == []


def test_a_felt_step_of_the_brief_moves_the_steps_of_what_follows(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    desk = window(serve())
    desk.look("brief", build="stock", size="L", state="table")
    desk.make("fork=single-crown-170")
    felt = desk.page.get_by_label("felt step of head angle", exact=True)
    felt.fill("0.05")
    felt.press("Enter")
    position(desk, 2)
    desk.page.locator(".line[data-key=head_angle_deg]").wait_for()
    steps = desk.page.locator(".line[data-key=head_angle_deg] .steps").inner_text()
    assert float(steps.split()[0]) > 5.0


def test_a_part_a_rider_and_a_build_are_copied_changed_and_written(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    server = serve()
    desk = window(server)
    desk.look("parts", build="stock", size="L")
    done = 0

    def copied(address: str, name: str) -> None:
        nonlocal done
        desk.page.locator("[name=thing]").select_option(address)
        desk.page.locator("[name=copy-name]").fill(name)
        desk.page.keyboard.press("Enter")
        done += 1
        position(desk, done)

    def typed(label: str, value: str) -> None:
        nonlocal done
        field = desk.page.locator(".shelf").get_by_label(label, exact=True)
        field.fill(value)
        field.press("Enter")
        done += 1
        position(desk, done)

    copied("parts.fork.single-crown-170", "long")
    assert desk.page.locator("[name=thing]").input_value() == "parts.fork.long"
    typed("long, chassis offset", "41")
    copied("riders.joren", "mira")
    typed("mira, mass", "58")
    copied("builds.stock", "wet")
    desk.page.locator("select[name=fork]").select_option("long")
    done += 1
    position(desk, done)
    desk.page.locator("select[name=build]").select_option("wet")
    desk.settled()
    desk.page.locator("select[name=rider]").select_option("mira")
    done += 1
    position(desk, done)
    desk.page.get_by_role("button", name="write to files").click()
    desk.page.get_by_text("Written: ").wait_for()
    bike = read_bike(server.folder)
    assert bike.stock.part("fork", "long").chassis.offset_mm == 41
    assert bike.stock.part("fork", "single-crown-170") == bike_of().stock.part("fork", "single-crown-170")
    assert bike.build("wet").rider.mass_kg == 58
    assert bike.build("stock").parts.fork.name == "long"
    # undo takes the build that is looked at away, and the first one is shown in its place
    for number in range(done, 4, -1):
        desk.page.get_by_role("button", name="undo").click()
        position(desk, number)
    desk.page.get_by_role("button", name="undo").click()
    desk.page.wait_for_function("() => globalThis.bikewright.state.view.build === 'datum'")
    desk.settled()
    assert desk.page.locator("select[name=build] option").all_inner_texts() == [b.name for b in bike_of().builds]
    assert desk.wrong == []


def test_a_load_and_a_pin_are_taken_out_and_what_is_needed_stays(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    mark = '[linkage.pins.mark]\nx_mm = 10\nz_mm = 300\njoins = ["rocker"]\n\n[limits]\n'

    def change(folder: Path) -> None:
        (folder / "bike.toml").write_text(text_in(folder, "bike.toml").replace("[limits]\n", mark), encoding="utf-8")

    server = serve(change=change)
    desk = window(server)
    desk.look("parts", build="stock", size="L")
    thing, remove = desk.page.locator("[name=thing]"), desk.page.get_by_role("button", name="take out")
    for address, why in (
        ("linkage.pins.stay", "the linkage needs it to move"),
        ("parts.fork.single-crown-160", "carr"),
        ("riders.joren", "carr"),
    ):
        thing.select_option(address)
        remove.click()
        desk.page.locator(".shelf .said").filter(has_text=why).wait_for()
        assert desk.state("draft.position") == 0
        desk.settled()
    for number, address in enumerate(("loads.chain", "linkage.pins.mark"), start=1):
        thing.select_option(address)
        remove.click()
        position(desk, number)
        assert thing.locator(f"option[value='{address}']").count() == 0
    desk.page.get_by_role("button", name="write to files").click()
    desk.page.get_by_text("Written: ").wait_for()
    bike = read_bike(server.folder)
    assert [load.name for load in bike.build("stock").loads] == ["brakes", "shifting"]
    assert bike.frame == bike_of().frame
    assert desk.wrong == []


@pytest.fixture
def three(serve: Callable[..., Server]) -> Server:
    """A server whose folder keeps two versions."""

    def change(folder: Path) -> None:
        bike = read_bike(folder)
        build = apply(bike.build("stock"), read_change("fork=single-crown-170"), bike.stock)
        keep(folder, build, "long-fork")
        keep(folder, apply(build, read_change("linkage.pins.rocker.z_mm+=4"), bike.stock), "rocker-up")

    return serve(change=change)


def test_versions_side_by_side(three: Server, window: Callable[..., Desk]) -> None:
    desk = window(three)
    bike = bike_of()
    stock = bike.build("stock")
    desk.look("versions", build="stock", size="L", state="table")
    for place, name in enumerate(("files", "0001-long-fork", "0002-rocker-up"), start=1):
        desk.page.locator(f"[name=beside-{place}]").select_option(name)
    assert desk.page.url.endswith("compare=files,0001-long-fork,0002-rocker-up")
    desk.page.wait_for_function("() => document.querySelectorAll('.pairs > section').length === 3")
    long = apply(stock, read_change("fork=single-crown-170"), bike.stock)
    up = apply(long, read_change("linkage.pins.rocker.z_mm+=4"), bike.stock)
    found = side_by_side((stock, long, up), bike.brief)
    rows = rows_of(desk, ".found > .tablebox")
    assert [row[0] for row in rows] == [label(row.told[0].value) for row in found.rows]
    for shown, row in zip(rows, found.rows, strict=True):
        values = [told.value.waits or UNITS.value(row.quantity, told.value.number) for told in row.told]
        assert [shown[2], shown[4], shown[8]] == values
        steps = ["" if told.steps is None else f"{told.steps:.1f}" for told in row.told[1:]]
        assert [shown[6], shown[10]] == steps
    # the drawings and the curves are told apart by their lines
    for place in range(2):
        assert desk.page.locator(f".found svg.bike .others .o{place}").count() > 3
    assert desk.page.locator(".found .chart canvas").count() == 3
    plot = desk.page.locator(".found .chart[data-address=leverage_ratio] .plot")
    plot.focus()
    plot.press("End")
    said = desk.page.locator(".found .chart[data-address=leverage_ratio] .said").inner_text()
    ends = next(row.told for row in found.rows if row.quantity.key == "leverage_end")
    assert said.split(": ")[1] == ", ".join(UNITS.value(ends[0].value.quantity, told.value.number) for told in ends)
    # a link brings it back, as numbers too
    address = desk.page.get_by_role("link", name="this as JSON").get_attribute("href")
    assert address is not None and address.startswith("/side-by-side.json?")
    told = desk.page.evaluate("address => fetch(address).then(answer => answer.json())", address)
    assert [row["key"] for row in told["rows"]] == [row.quantity.key for row in found.rows]
    desk.page.reload()
    desk.page.wait_for_function("() => document.querySelectorAll('.pairs > section').length === 3")
    assert rows_of(desk, ".found > .tablebox") == rows
    desk.page.evaluate("() => Object.defineProperty(navigator, 'clipboard', { value: undefined })")
    desk.page.get_by_role("button", name="copy as CSV: what differs").click()
    lines = desk.page.locator(".copy textarea").first.input_value().splitlines()
    assert len(lines) == 1 + len(rows)
    assert lines[0].startswith("quantity,brief,the files,verdict,0001-long-fork,change in 0001-long-fork,felt steps")
    desk.page.get_by_role("button", name="none of these").click()
    desk.page.wait_for_function("() => !document.querySelector('.found')")
    assert "compare" not in desk.page.url
    assert desk.wrong == []


@LOOKS
def test_these_rooms_can_be_read_by_all(
    three: Server, window: Callable[..., Desk], axe: str, size: tuple[int, int], scheme: str
) -> None:
    desk = window(three, size, scheme)
    desk.make("remove loads.chain")

    def looked_at(what: str) -> None:
        wide, shown = desk.page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
        assert wide <= shown, what
        small = desk.page.evaluate(
            """() => innerWidth > 800 ? [] : [...document.querySelectorAll('button, select, input')]
                .filter(node => node.type !== 'checkbox' && node.type !== 'range' && node.getClientRects().length)
                .filter(node => node.getBoundingClientRect().height < 44)
                .map(node => node.outerHTML.slice(0, 80))"""
        )
        assert small == [], what
        desk.page.evaluate(axe)
        found = desk.page.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
        serious = [
            (fault["id"], [node["html"][:160] for node in fault["nodes"]][:4])
            for fault in found["violations"]
            if fault["impact"] in ("serious", "critical")
        ]
        assert serious == [], f"{what}: {json.dumps(serious, indent=1)}"

    desk.look("versions", build="stock", size="L", compare="files,0001-long-fork,draft")
    desk.page.wait_for_function("() => document.querySelectorAll('.pairs > section').length === 3")
    looked_at("versions")
    desk.look("parts", build="stock", size="L")
    desk.page.locator("[name=thing]").select_option("parts.shock.air-230x57")
    desk.page.locator(".shelf .value").first.wait_for()
    looked_at("shelf")
    desk.page.locator("[name=thing]").select_option("riders.joren")
    desk.page.get_by_role("button", name="take out").click()
    desk.page.locator(".shelf .said").wait_for()
    looked_at("shelf, refused")
    desk.look("brief", build="stock", size="L")
    desk.page.locator("[name=new-quantity]").select_option("trail_mm")
    looked_at("brief")
    assert desk.wrong == []


def test_the_new_controls_are_reached_by_keys_and_show_it(three: Server, window: Callable[..., Desk]) -> None:
    desk = window(three)
    wanted = {
        "versions": {"beside-1", "beside-2"},
        "brief": {"new-quantity", "new-low", "remove"},
        "parts": {"thing"},
    }
    for room, names in wanted.items():
        desk.look(room, build="stock", size="L")
        seen = {}
        for _ in range(220):
            desk.page.keyboard.press("Tab")
            name, visible = desk.page.evaluate(
                """() => { const n = document.activeElement;
                return [n.name || n.textContent.trim(), getComputedStyle(n).outlineStyle !== 'none']; }"""
            )
            seen[name] = visible
            if names <= seen.keys():
                break
        assert names <= seen.keys(), (room, names - seen.keys())
        assert all(seen[name] for name in names), room

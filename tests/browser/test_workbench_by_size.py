"""What goes with the size: marked in the rooms of parts and of sizes, changed for one size, for all, and by steps."""

from collections.abc import Callable

import pytest

from bikewright.model.files import read_bike
from bikewright.reports.bar_stepping import PART_ROWS, part_cells
from bikewright.reports.wording import ShownUnits
from bikewright.studies.bar_steps import step_bars
from bikewright.studies.step_rules import Asked
from tests.browser.conftest import ROOT, Desk, Server

pytestmark = pytest.mark.browser

BIKE = read_bike(ROOT / "examples" / "quillback")
LONG_MS = 90_000
"""Steps on a machine that does much else."""


def rows(desk: Desk, name: str) -> list[list[str]]:
    """A table by its name."""
    region = desk.page.get_by_role("region", name=name, exact=True)
    region.wait_for(timeout=LONG_MS)
    found: list[list[str]] = region.locator("tbody tr").evaluate_all(
        "rows => rows.map(row => [...row.cells].map(cell => cell.textContent.trim()))"
    )
    return found


def test_parts_of_the_size_shown_are_marked_and_changed_for_one_or_for_all(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    server = serve()
    desk = window(server)
    desk.look("parts", build="stock", size="S")
    post = desk.page.locator("select[name=seatpost]")
    assert post.input_value() == "dropper-125"
    assert desk.page.get_by_text("size S has its own").count() == 2  # post and cranks

    # inside the part that is shown, which is not the one of the build's own size
    desk.look("sizes", build="stock", size="S", state="table")
    shown = {row[0]: row[2:] for row in rows(desk, "sizes with the steps between them")}
    assert shown["seatpost"][::2] == [
        "dropper-125 by size",
        "dropper-150 by size",
        "dropper-180",
        "dropper-180",
        "dropper-200 by size",
    ]

    desk.look("parts", build="stock", size="S")
    desk.page.locator("[name=alone]").check()
    desk.page.locator("select[name=stem]").select_option("stem-35")
    desk.stands_at(1)
    desk.page.locator("[name=alone]").uncheck()
    desk.page.locator("button[name=other-sizes-crank]").click()
    desk.stands_at(2)
    desk.page.locator("select[name=bar]").select_option("riser-20")
    desk.stands_at(3)
    desk.page.get_by_role("button", name="write to files").click()
    desk.page.get_by_text("Written: ").wait_for()
    build = read_bike(server.folder).build("stock")
    found = [build.in_size(size).parts for size in ("S", "M", "L")]
    assert [parts.stem.name for parts in found if parts.stem] == ["stem-35", "stem-40", "stem-40"]
    assert [parts.crank.name for parts in found if parts.crank] == ["crank-170"] * 3
    assert [parts.bar.name for parts in found if parts.bar] == ["riser-20"] * 3
    assert [parts.seatpost.name for parts in found if parts.seatpost] == ["dropper-125", "dropper-150", "dropper-180"]


def test_bar_parts_by_a_rule_are_taken_into_the_draft(
    serve: Callable[..., Server], window: Callable[..., Desk]
) -> None:
    desk = window(serve())
    desk.look("range", build="stock", size="L")
    desk.page.locator("select[name=of]").select_option("bar")
    assert desk.page.locator("select[name=rule] option[value=share]").count() == 0
    desk.page.locator("select[name=rule]").select_option("equal")
    found = step_bars(BIKE.build("stock"), BIKE.stock, "equal", Asked(keep="L", own={}, steps_mm={}))
    cells = zip(*part_cells(found, ShownUnits()), strict=True)
    wanted = [[head, *texts] for head, texts in zip(PART_ROWS, cells, strict=True)]
    desk.page.locator("button[name=take-steps]:enabled").wait_for(timeout=LONG_MS)
    assert rows(desk, "dimensions before and after") == wanted
    desk.page.locator("button[name=take-steps]").click()
    desk.stands_at(1)
    desk.look("parts", build="stock", size="S")
    small = found.after.in_size("S").parts
    assert small.bar is not None
    assert desk.page.locator("select[name=bar]").input_value() == small.bar.name

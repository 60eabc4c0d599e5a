"""The geometry chart: all sizes side by side, on a terminal or as CSV.

Question answered   What are the dimensions of each size, in the words and units of the trade?
Method              The quantities of `CHART` in one state; a row that no size can fill is left out. Below stand the
                    parts and settings that go with the size.
Left out            Steps between sizes.
"""

import csv
import io
from collections.abc import Sequence

from bikewright.quantities import CATALOGUE
from bikewright.reports.by_size import by_size_rows
from bikewright.reports.numbers import number_text
from bikewright.reports.tables import columns, in_state, size_table
from bikewright.reports.wording import ShownUnits, state_text
from bikewright.studies.evaluate import Answer
from bikewright.units import UNITS

CHART = (
    "reach_mm",
    "stack_mm",
    "head_angle_deg",
    "seat_angle_deg",
    "seat_tube_angle_deg",
    "effective_top_tube_mm",
    "rear_centre_mm",
    "front_centre_mm",
    "wheelbase_mm",
    "bb_drop_rear_mm",
    "bb_height_mm",
    "trail_mm",
    "standover_mm",
    "hand_reach_mm",
    "bar_height_mm",
    "saddle_to_grip_mm",
    "fork_travel_mm",
    "rear_travel_mm",
    "table_closing_mm",
    "table_wheelbase_gap_mm",
    "table_rear_centre_gap_mm",
    "table_bb_drop_gap_mm",
    "table_bb_height_gap_mm",
    "table_seat_angle_gap_deg",
)
"""Rows of the chart, in the order in which the trade prints them; last, what of the table does not close."""


def chart_lines(answers: Sequence[Answer], state: str, units: ShownUnits) -> list[str]:
    """The chart as lines of text."""
    first = answers[0].build
    heading = f"{first.frame.name}, {first.name}, {state_text(state)}"
    rows = size_table(answers, CHART, state, units)
    rows += [[f"{what}, by size", *cells] for what, *cells in by_size_rows([one.build for one in answers], units)]
    return [heading, "", *columns(rows, "l" + "r" * len(answers))]


def chart_csv(answers: Sequence[Answer], state: str) -> str:
    """The chart as CSV, in the catalogue's units and decimals."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["quantity", "unit", *(answer.build.size for answer in answers)])
    for key in CHART:
        quantity = CATALOGUE[key]
        numbers = [answer.value(in_state(key, state)).number for answer in answers]
        if any(number is not None for number in numbers):
            cells = ["" if n is None else _plain(n, max(quantity.decimals, 1)) for n in numbers]
            writer.writerow([quantity.label, UNITS[quantity.unit].symbol if quantity.unit else "", *cells])
    for what, *cells in by_size_rows([answer.build for answer in answers], ShownUnits()):
        writer.writerow([f"{what}, by size", "", *cells])
    return out.getvalue()


def _plain(number: float, decimals: int) -> str:
    """A number that a spreadsheet reads: with a hyphen for a minus."""
    return number_text(number, decimals).replace("\u2212", "-")

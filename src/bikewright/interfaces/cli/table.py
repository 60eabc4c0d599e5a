"""`bikewright table`: the geometry chart over all sizes."""

import sys
from pathlib import Path

import click

from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    OUT,
    STATE,
    UNITS,
    WITH,
    asked_build,
    options,
    print_json,
    print_lines,
    refused_code,
    told_stopped_code,
)
from bikewright.model.addresses import with_value
from bikewright.reports.as_json import sizes_json
from bikewright.reports.chart_of_sizes import chart_csv, chart_lines
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import TABLES, check_place, write_text
from bikewright.studies.evaluate import evaluate


@click.command()
@options(BIKE, BUILD, WITH)
@options(STATE, OUT, UNITS, JSON)
def table(
    bike: Path, build_name: str, changes: tuple[str, ...], state: str, out: Path | None, units: str, as_json: bool
) -> None:
    """Show the geometry chart of all sizes.

    With --out FILE.csv the chart is written as CSV.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, TABLES)
    _, build = asked_build(bike, build_name, "", changes)
    answers = [evaluate(with_value(build, "size", size.name)) for size in build.frame.sizes]
    if out is not None:
        write_text(out, chart_csv(answers, state))
    if as_json:
        print_json(sizes_json(answers, state))
    elif out is None:
        print_lines(chart_lines(answers, state, shown))
    refused = refused_code(answer.build for answer in answers)
    stopped = told_stopped_code((answer, answer.values(state)) for answer in answers)
    sys.exit(refused or stopped)

"""`bikewright show`: every value of one build."""

import sys
from pathlib import Path

import click

from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    SIZE,
    STATE,
    UNITS,
    WITH,
    asked_build,
    options,
    print_json,
    print_lines,
    stopped_code,
)
from bikewright.interfaces.cli.main import EXIT_BAD_INPUT
from bikewright.model.limits import refusals
from bikewright.reports.as_json import answer_json
from bikewright.reports.tables import answer_table
from bikewright.reports.wording import shown_units
from bikewright.studies.evaluate import evaluate


@click.command()
@options(BIKE, BUILD, WITH, SIZE, STATE, UNITS, JSON)
def show(
    bike: Path, build_name: str, changes: tuple[str, ...], size: str, state: str, units: str, as_json: bool
) -> None:
    """Show everything that is known about a build.

    What cannot be told yet is listed with what it waits for. Exit code 2 if the build is refused or an error
    stopped a value.
    """
    shown = shown_units(units)
    folder, build = asked_build(bike, build_name, size, changes)
    answer = evaluate(build)
    if as_json:
        print_json(answer_json(answer))
    else:
        print_lines(answer_table(answer, folder, state, shown))
    if refusals(build):
        sys.exit(EXIT_BAD_INPUT)
    sys.exit(stopped_code(answer, answer.values(state)))

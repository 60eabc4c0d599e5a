"""`bikewright cockpit`: which dimension puts the hands where they are wanted, and what follows from it?"""

import sys
from pathlib import Path

import click

from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    SIZE,
    UNITS,
    WITH,
    asked_build,
    options,
    print_json,
    print_lines,
    stopped_code,
)
from bikewright.interfaces.cli.main import EXIT_BAD_INPUT, EXIT_FELT
from bikewright.reports.comparison import comparison_lines
from bikewright.reports.fit import solution_json, solution_lines
from bikewright.reports.wording import shown_units
from bikewright.studies.cockpit_solve import SHORT_NAMES, WANTS, read_want, solve_cockpit
from bikewright.studies.compare import compare
from bikewright.studies.evaluate import evaluate


@click.command()
@options(BIKE, BUILD, WITH, SIZE)
@click.option("--want", required=True, metavar="NAME=VALUE", help=f"What is wanted: {', '.join(WANTS)}.")
@click.option(
    "--by",
    required=True,
    metavar="DIMENSION",
    help=f"What may change: {', '.join(SHORT_NAMES)}, or the address of any number.",
)
@options(UNITS, JSON)
def cockpit(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    size: str,
    want: str,
    by: str,
    units: str,
    as_json: bool,
) -> None:
    """Solve one dimension for a wanted place of the hands, at the rider's own saddle height.

    Then what else follows, as the command compare tells it. Exit code 1 if a rider would feel it, 0 if not, 2 if
    it cannot be had: the answer then says by how much it falls short.
    """
    shown = shown_units(units)
    name, wanted_mm = read_want(want)
    folder, build = asked_build(bike, build_name, size, changes)
    found = solve_cockpit(build, name, wanted_mm, by)
    compared = compare(found.build, found.changed, folder.brief)
    if as_json:
        print_json(solution_json(found, compared))
    else:
        print_lines([*solution_lines(found, shown), *comparison_lines(compared, shown)])
    if compared.refusals:
        sys.exit(EXIT_BAD_INPUT)
    stopped = stopped_code(evaluate(compared.after), (lost.after for lost in compared.stopped))
    sys.exit(stopped or (EXIT_FELT if compared.is_felt else 0))

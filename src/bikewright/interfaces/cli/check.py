"""`bikewright check`: does a build meet its brief, in every size?"""

import sys
from pathlib import Path

import click

from bikewright.errors import AddressError
from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    UNITS,
    WITH,
    asked_build,
    options,
    print_json,
    print_lines,
    stopped_code,
)
from bikewright.interfaces.cli.main import EXIT_BAD_INPUT, EXIT_MISSED
from bikewright.reports.as_json import check_json
from bikewright.reports.check import check_lines
from bikewright.reports.wording import shown_units
from bikewright.studies.check import check_brief
from bikewright.studies.evaluate import evaluate


@click.command()
@options(BIKE, BUILD, WITH)
@click.option("--size", default="", help="Judge this size alone.")
@click.option("--sizes", "all_sizes", is_flag=True, help="Judge every size; so it is without --size.")
@options(UNITS, JSON)
def check(
    bike: Path, build_name: str, changes: tuple[str, ...], size: str, all_sizes: bool, units: str, as_json: bool
) -> None:
    """Judge a build by every line of its brief.

    Exit code 0 if every line is met in every size, 1 if a line is missed or waits for something, 2 if the build
    is refused or an error stopped a line, 3 if a line did not converge.
    """
    if size and all_sizes:
        raise AddressError("--size judges one size and --sizes all of them; give one of the two")
    shown = shown_units(units)
    folder, build = asked_build(bike, build_name, "", changes)
    found = check_brief(build, folder.brief, folder.riders, (size,) if size else ())
    if as_json:
        print_json(check_json(found))
    else:
        print_lines(check_lines(found, shown))
    if found.refused:
        sys.exit(EXIT_BAD_INPUT)
    judged = [checked for line in found.lines for checked in line.sizes]
    stopped = max(stopped_code(evaluate(checked.build), (checked.value,)) for checked in judged)
    sys.exit(stopped or (0 if found.is_met else EXIT_MISSED))

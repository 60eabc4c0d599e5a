"""`bikewright compare`: what follows when a build changes."""

import sys
from pathlib import Path

import click

from bikewright.errors import BikewrightError
from bikewright.interfaces.cli.asking import (
    AGAINST,
    BIKE,
    BUILD,
    JSON,
    SIZE,
    TO,
    UNITS,
    WITH,
    asked_change,
    options,
    print_json,
    print_lines,
    stopped_code,
)
from bikewright.interfaces.cli.main import EXIT_BAD_INPUT, EXIT_FELT
from bikewright.model.build import Build
from bikewright.reports.as_json import comparison_json
from bikewright.reports.bike_sheet import bike_sheet
from bikewright.reports.comparison import comparison_lines, sizes_lines
from bikewright.reports.wording import ShownUnits, shown_units
from bikewright.reports.writing import DRAWINGS, check_place, write_drawing
from bikewright.studies.compare import compare as compare_builds
from bikewright.studies.compare import compare_sizes
from bikewright.studies.evaluate import evaluate
from bikewright.studies.pose import pose_of


@click.command()
@options(BIKE, BUILD, WITH)
@options(TO, AGAINST, SIZE)
@click.option("--sizes", "all_sizes", is_flag=True, help="For every size, the worst first.")
@click.option("--all", "everything", is_flag=True, help="Also what nobody would feel.")
@click.option(
    "--drawing", type=click.Path(path_type=Path, dir_okay=False), help="Also draw both, the build before dashed."
)
@options(UNITS, JSON)
def compare(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    other: str,
    against: Path | None,
    size: str,
    all_sizes: bool,
    everything: bool,
    drawing: Path | None,
    units: str,
    as_json: bool,
) -> None:
    """Compare a build with itself changed, or with another build.

    Refusals come first, then what the brief judges otherwise, then one headline a cause with its echoes.
    Exit code 2 if the build after is refused or an error stopped a value, 1 if a rider would feel the change,
    0 if not.
    """
    shown = shown_units(units)
    if drawing is not None:
        check_place(drawing, DRAWINGS)
    folder, before, after = asked_change(bike, build_name, changes, other, against, size)
    comparisons = (
        compare_sizes(before, after, folder.brief) if all_sizes else (compare_builds(before, after, folder.brief),)
    )
    undrawn = _undrawn(drawing, before, after, shown)
    if as_json:
        print_json(comparison_json(comparisons))
    else:
        if all_sizes:
            print_lines(sizes_lines(comparisons, shown))
        print_lines(comparison_lines(comparisons[0], shown, everything=everything))
    if undrawn is not None:
        click.echo(f"no drawing: {undrawn}", err=True)
    if undrawn is not None or any(comparison.refusals for comparison in comparisons):
        sys.exit(EXIT_BAD_INPUT)
    stopped = max(stopped_code(evaluate(one.after), (lost.after for lost in one.stopped)) for one in comparisons)
    sys.exit(stopped or (EXIT_FELT if any(comparison.is_felt for comparison in comparisons) else 0))


def _undrawn(drawing: Path | None, before: Build, after: Build, shown: ShownUnits) -> BikewrightError | None:
    """Draw both builds where that is asked for; what stopped it must not cost the reader the answer in words."""
    if drawing is None:
        return None
    try:
        pose_before = pose_of(evaluate(before), "table")
        write_drawing(drawing, bike_sheet(evaluate(after), "table", pose_before, shown))
    except BikewrightError as error:
        return error
    return None

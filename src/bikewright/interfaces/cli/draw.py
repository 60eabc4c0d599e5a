"""`bikewright draw`: the bike to scale from the side."""

import sys
from pathlib import Path

import click

from bikewright.errors import NotKnown
from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    OUT,
    SIZE,
    STATE,
    UNITS,
    WITH,
    asked_build,
    changed_build,
    named_build,
    options,
    print_json,
    refused_code,
)
from bikewright.reports.bike_sheet import bike_sheet, pose_json
from bikewright.reports.svg import to_svg
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import DRAWINGS, check_place, write_drawing
from bikewright.studies.evaluate import evaluate
from bikewright.studies.pose import pose_of


@click.command()
@options(BIKE, BUILD, WITH, SIZE, STATE, OUT, UNITS, JSON)
def draw(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    size: str,
    state: str,
    out: Path | None,
    units: str,
    as_json: bool,
) -> None:
    """Draw a build to scale from the side.

    With --with the build before lies behind it, dashed. Without --out the SVG goes to standard output.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, DRAWINGS)
    folder, build = asked_build(bike, build_name, size, changes)
    start = changed_build(folder, named_build(folder, build_name), size or build.size, ()) if changes else None
    answer = evaluate(build)
    try:
        sheet = bike_sheet(answer, state, None if start is None else pose_of(evaluate(start), state), shown)
        told = pose_json(answer, state) if as_json else {}
    except NotKnown as error:
        raise NotKnown(f"the state {state} {error}") from None
    if out is not None:
        write_drawing(out, sheet)
    if as_json:
        print_json(told)
    elif out is None:
        click.echo(to_svg(sheet))
    sys.exit(refused_code((build,)))

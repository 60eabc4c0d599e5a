"""`bikewright curve`: a curve through the rear travel, as figures, drawing or table."""

import sys
from pathlib import Path

import click

from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    OUT,
    SIZE,
    UNITS,
    WITH,
    asked_build,
    changed_build,
    named_build,
    options,
    print_json,
    print_lines,
    refused_code,
)
from bikewright.reports.as_json import curves_json
from bikewright.reports.curves import curve_chart, curve_csv, curve_lines
from bikewright.reports.shapes import Sheet
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import DRAWINGS, TABLES, check_place, write_chart
from bikewright.studies.evaluate import evaluate


@click.command()
@options(BIKE)
@click.argument("keys", nargs=-1, required=True)
@options(BUILD, WITH, SIZE)
@click.option("--from", "start", default="", help="Build to lay beside it, dashed; with --with: the build unchanged.")
@options(OUT, UNITS, JSON)
def curve(
    bike: Path,
    keys: tuple[str, ...],
    build_name: str,
    changes: tuple[str, ...],
    size: str,
    start: str,
    out: Path | None,
    units: str,
    as_json: bool,
) -> None:
    """Show a quantity through the rear travel.

    KEYS are curves such as leverage_ratio, axle_x_mm or pin_force/rocker. With --out the curve is written as
    .svg, .png or .csv; the build before a change lies beside it, dashed.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, (*DRAWINGS, *TABLES))
    folder, build = asked_build(bike, build_name, size, changes)
    curves = [evaluate(build).curve(key) for key in keys]
    first = changed_build(folder, named_build(folder, start or build_name), size or build.size, ())
    if out is not None:

        def drawing() -> Sheet:
            before = [evaluate(first).curve(key) for key in keys] if start or changes else []
            return curve_chart(build, curves, before, folder.brief, shown)

        write_chart(out, table=lambda: curve_csv(curves), drawing=drawing)
    if as_json:
        print_json(curves_json(build, curves))
    elif out is None:
        print_lines(curve_lines(curves, shown))
    sys.exit(refused_code((build,)))

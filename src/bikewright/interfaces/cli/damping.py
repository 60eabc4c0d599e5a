"""`bikewright damping`: how rider and bike swing, and where the dials should stand."""

import sys
from pathlib import Path

import click

from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    OUT,
    SIZE,
    TUNE,
    UNITS,
    WITH,
    asked_build,
    options,
    print_json,
    print_lines,
    refused_code,
)
from bikewright.reports.damping import damping_json, damping_lines, force_speed_chart, force_speed_csv
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import DRAWINGS, TABLES, check_place, write_chart
from bikewright.studies.damping_setup import clicks_for, dial_curves
from bikewright.studies.evaluate import evaluate


@click.command()
@options(BIKE, BUILD, WITH, SIZE, TUNE)
@click.option("--dial", default="", metavar="fork.rebound", help="Dial to draw; the first measured one if not given.")
@options(OUT, UNITS, JSON)
def damping(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    size: str,
    base: str,
    dial: str,
    out: Path | None,
    units: str,
    as_json: bool,
) -> None:
    """Tell frequencies, damping ratios and clicks.

    Without a measured table the clicks are an offset from the base tune, with its range. With --out the force over
    shaft speed of one dial is written as .svg, .png or .csv.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, (*DRAWINGS, *TABLES))
    folder, build = asked_build(bike, build_name, size, changes)
    if out is not None:
        curves = dial_curves(build, dial)
        write_chart(out, table=lambda: force_speed_csv(curves), drawing=lambda: force_speed_chart(build, curves, shown))
        if not as_json:
            sys.exit(refused_code((build,)))
    setup = clicks_for(build, folder.tune(base) if base else None)
    if as_json:
        print_json(damping_json(evaluate(build), setup))
    else:
        print_lines(damping_lines(evaluate(build), setup, shown))
    sys.exit(refused_code((build,)))

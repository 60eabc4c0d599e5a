"""`bikewright tyres`: pressures for the rider of a build, and what they give."""

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
from bikewright.reports.tyres import tyre_chart, tyre_csv, tyre_lines, tyres_json
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import DRAWINGS, TABLES, check_place, write_chart
from bikewright.studies.tyre_setup import over_pressure, pressures_for


@click.command()
@options(BIKE, BUILD, WITH, SIZE, TUNE, OUT, UNITS, JSON)
def tyres(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    size: str,
    base: str,
    out: Path | None,
    units: str,
    as_json: bool,
) -> None:
    """Tell tyre pressures for the rider of a build.

    The ground is a setting: --with terrain=rough (smooth, mixed or rough). With --out the reserve over pressure is
    written as .svg, .png or .csv.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, (*DRAWINGS, *TABLES))
    folder, build = asked_build(bike, build_name, size, changes)
    setup = pressures_for(build, folder.tune(base) if base else None)
    if out is not None:
        sweeps = over_pressure(build)
        write_chart(out, table=lambda: tyre_csv(sweeps), drawing=lambda: tyre_chart(build, setup, sweeps, shown))
    if as_json:
        print_json(tyres_json(build, setup))
    elif out is None:
        print_lines(tyre_lines(build, setup, shown))
    sys.exit(refused_code((build,)))

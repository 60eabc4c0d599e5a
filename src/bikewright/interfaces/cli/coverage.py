"""`bikewright coverage`: whom the sizes fit."""

import sys
from pathlib import Path

import click

from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    OUT,
    UNITS,
    WITH,
    asked_build,
    options,
    print_json,
    print_lines,
    refused_code,
)
from bikewright.interfaces.cli.main import EXIT_MISSED
from bikewright.interfaces.cli.ranging import (
    BOUNDS,
    FOR,
    OWN,
    POPULATION,
    WOMEN,
    asked_people,
    builds_by_size,
    own_riders,
    progress,
)
from bikewright.model.people_file import read_people
from bikewright.reports.buying import buyers_lines
from bikewright.reports.coverage import coverage_csv, coverage_json, coverage_lines
from bikewright.reports.coverage_chart import coverage_chart
from bikewright.reports.sheets.coverage_page import coverage_page
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import DRAWINGS, SHEETS, TABLES, check_place, write_chart, write_sheet
from bikewright.studies.bounds import read_bounds
from bikewright.studies.buying import lay_beside
from bikewright.studies.coverage import coverage as coverage_of


@click.command()
@options(BIKE, BUILD, WITH, FOR, POPULATION, WOMEN)
@click.option(
    "--list",
    "people",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The firm's own list (CSV: height, inseam, size, returned), laid beside the sizes.",
)
@options(BOUNDS, OWN)
@click.option(
    "--draw",
    type=click.Choice(["men", "women"]),
    default="men",
    show_default=True,
    help="Whose outlines the chart draws.",
)
@options(OUT, UNITS, JSON)
def coverage(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    by_size: tuple[str, ...],
    population: str,
    women_pct: float,
    people: Path | None,
    bounds: tuple[str, ...],
    own: tuple[str, ...],
    draw: str,
    out: Path | None,
    units: str,
    as_json: bool,
) -> None:
    """Tell whom each size fits: bands of stature and inseam, overlaps, gaps, and the share of people reached.

    With --out the chart is written as .svg or .png, the sheet as .pdf, the edges of the bands as .csv. Exit code 0 if
    every size fits somebody and no two neighbours leave a gap, else 1; 2 if a build is refused or something is missing.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, (*DRAWINGS, *SHEETS, *TABLES))
    folder, build = asked_build(bike, build_name, "", changes)
    builds = builds_by_size(folder, build, by_size)
    crowd, ranges, riders = asked_people(population, women_pct), read_bounds(bounds), own_riders(folder, own)
    names = tuple(size.name for size in build.frame.sizes)
    buyers = None if people is None else read_people(people, names)
    found = coverage_of(builds, crowd, ranges=ranges, riders=riders, tell=progress())
    beside = None if buyers is None else lay_beside(found, buyers)
    if out is not None:
        if out.suffix.lower() in SHEETS:
            write_sheet(out, to_pdf(coverage_page(found, shown)))
        else:
            write_chart(
                out,
                table=lambda: coverage_csv(found),
                drawing=lambda: coverage_chart(found, shown, "male" if draw == "men" else "female"),
            )
    if as_json:
        print_json(coverage_json(found, beside))
    elif out is None or beside is not None:
        print_lines([*coverage_lines(found, shown), *([] if beside is None else buyers_lines(beside, shown))])
    refused = refused_code(builds)
    sys.exit(refused or (0 if found.is_whole else EXIT_MISSED))

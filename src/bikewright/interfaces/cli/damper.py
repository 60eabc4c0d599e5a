"""`bikewright damper`: a measured force-speed table from a CSV file into the part that it was measured on."""

from pathlib import Path

import click

from bikewright.interfaces.cli.asking import BIKE, JSON, options, print_json, print_lines
from bikewright.model.damper_table import CIRCUITS, table_changes
from bikewright.model.files import read_bike
from bikewright.model.writing import write_changes
from bikewright.reports.as_json import written_json


@click.command()
@options(BIKE)
@click.argument("part", metavar="fork.NAME|shock.NAME")
@click.argument("circuit", type=click.Choice(list(CIRCUITS)))
@click.argument("table", metavar="FILE.csv", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--total", type=click.IntRange(1, 60), help="Clicks from end to end, counted on this unit.")
@click.option("--other", type=click.IntRange(0, 60), help="Where the other compression dial stood meanwhile.")
@options(JSON)
def damper(
    bike: Path, part: str, circuit: str, table: Path, total: int | None, other: int | None, as_json: bool
) -> None:
    """Bring a measured damper table into a part's file.

    The CSV file has the columns clicks, speed and force, each with its unit in the heading: speed (mm/s), (m/s) or
    (in/s), force (N) or (lbf). One row is one point; comments and order of the part's file stay.
    """
    folder = read_bike(bike)
    changes = table_changes(folder.stock, part, circuit, table, total, other)
    files = write_changes(bike, changes, bike=folder)
    if as_json:
        print_json(written_json(bike, files))
    else:
        print_lines(f"wrote {file}" for file in files)

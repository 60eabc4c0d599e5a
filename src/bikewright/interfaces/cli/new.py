"""`bikewright new`: lay down the files of a bike."""

from pathlib import Path

import click

from bikewright.interfaces.cli.asking import JSON, options, print_json, print_lines
from bikewright.model.laying import lay_down
from bikewright.model.points import read_points
from bikewright.model.table_file import read_table
from bikewright.reports.as_json import new_bike_json
from bikewright.reports.laid_down import laid_down_lines

FILE = click.Path(path_type=Path, dir_okay=False)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", help="Name of the bike; the folder's if not given.")
@click.option("--table", type=FILE, help="Geometry table (CSV) to start from.")
@click.option("--pins", type=FILE, help="Pivots (CSV or DXF) to start from; 'bb' and 'axle' must be among them.")
@click.option("--fork-length", "fork_length_mm", type=float, metavar="MM", help="Axle to crown the table holds at.")
@click.option("--fork-offset", "fork_offset_mm", type=float, metavar="MM", help="Offset of that fork, if known.")
@click.option("--front-radius", "front_radius_mm", type=float, metavar="MM", help="Radius of the front tyre.")
@click.option("--rear-radius", "rear_radius_mm", type=float, metavar="MM", help="Radius of the rear tyre.")
@click.option("--rear-centre", "rear_centre_mm", type=float, metavar="MM", help="Checks the scale of the pivots.")
@click.option("--unit", type=click.Choice(["mm", "cm", "m", "in"]), help="Unit of the pivots, where nothing tells it.")
@click.option("--turn", "turn_deg", type=int, default=0, metavar="DEG", help="Quarter turns to set it upright.")
@click.option("--upside-down", is_flag=True, help="The drawing counts downwards, as pixels do.")
@options(JSON)
def new(
    folder: Path,
    name: str | None,
    table: Path | None,
    pins: Path | None,
    fork_length_mm: float | None,
    fork_offset_mm: float | None,
    front_radius_mm: float | None,
    rear_radius_mm: float | None,
    rear_centre_mm: float | None,
    unit: str | None,
    turn_deg: int,
    upside_down: bool,
    as_json: bool,
) -> None:
    """Lay down a new bike in FOLDER.

    Without --table and --pins the files hold a commented example to write over.
    """
    points = None
    if pins is not None:
        points = read_points(pins, rear_centre_mm=rear_centre_mm, unit=unit, turn_deg=turn_deg, upside_down=upside_down)
    files = lay_down(
        folder,
        name=name,
        table=None if table is None else read_table(table),
        points=points,
        fork_length_mm=fork_length_mm,
        fork_offset_mm=fork_offset_mm,
        front_radius_mm=front_radius_mm,
        rear_radius_mm=rear_radius_mm,
    )
    if as_json:
        print_json(new_bike_json(folder, files, points))
    else:
        print_lines(laid_down_lines(folder, files, points))

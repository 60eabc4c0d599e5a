"""`bikewright set`: write changes into the files of a bike."""

from pathlib import Path

import click

from bikewright.interfaces.cli.asking import BIKE, BUILD, JSON, options, print_json, print_lines
from bikewright.model.back_to_files import typed_changes
from bikewright.model.files import read_bike
from bikewright.model.writing import write_changes
from bikewright.reports.as_json import written_json


@click.command("set")
@options(BIKE)
@click.argument("changes", nargs=-1, required=True, metavar="ADDRESS=VALUE...")
@options(BUILD, JSON)
def write(bike: Path, changes: tuple[str, ...], build_name: str, as_json: bool) -> None:
    """Write changes into the files.

    Only the keys named are touched: comments, order and units stay as they were written. Nothing is written
    unless all of it makes a sound bike. Beside ADDRESS=VALUE there are "remove ADDRESS", as in "remove sizes.XL",
    and "copy ADDRESS to NAME", as in "copy builds.stock to race"; they are done first.
    """
    before = read_bike(bike)
    files = write_changes(bike, typed_changes(before, build_name, changes), build=build_name or None, bike=before)
    if as_json:
        print_json(written_json(bike, files))
    else:
        print_lines(f"wrote {file}" for file in files)

"""`bikewright regroup`: riders of an old range on a new one."""

import sys
from pathlib import Path

import click

from bikewright.errors import AddressError
from bikewright.interfaces.cli.asking import (
    BUILD,
    JSON,
    UNITS,
    named_build,
    options,
    print_json,
    print_lines,
    refused_code,
)
from bikewright.interfaces.cli.main import EXIT_MISSED
from bikewright.interfaces.cli.ranging import BOUNDS, WOMEN, builds_by_size, old_build, progress
from bikewright.model.build import Build
from bikewright.model.files import read_bike
from bikewright.model.people_file import read_people
from bikewright.model.versions import read_version
from bikewright.reports.regrouping import regroup_json, regroup_lines
from bikewright.reports.wording import shown_units
from bikewright.studies.bounds import read_bounds
from bikewright.studies.coverage import by_size, coverage, surveyed
from bikewright.studies.regrouping import regroup as regroup_riders


@click.command()
@click.argument("old", type=click.Path(path_type=Path))
@click.argument("new", type=click.Path(path_type=Path))
@options(BUILD)
@click.option(
    "--old-build",
    "old_name",
    default="",
    help="Build of the old range; that of the new one if it has it, else its first.",
)
@click.option(
    "--old-version", default="", metavar="LABEL", help="A kept version of the folder OLD in place of its files."
)
@click.option("--for-old", multiple=True, metavar="SIZE:ADDRESS=VALUE", help="Change one size of the old range.")
@click.option("--for", "for_new", multiple=True, metavar="SIZE:ADDRESS=VALUE", help="Change one size of the new range.")
@click.option(
    "--list",
    "people",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The firm's own list: its size bought is the old size.",
)
@options(WOMEN, BOUNDS, UNITS, JSON)
def regroup(
    old: Path,
    new: Path,
    build_name: str,
    old_name: str,
    old_version: str,
    for_old: tuple[str, ...],
    for_new: tuple[str, ...],
    people: Path | None,
    women_pct: float,
    bounds: tuple[str, ...],
    units: str,
    as_json: bool,
) -> None:
    """Map the riders of an old range of sizes to a new one, with what each gains and loses in felt steps.

    OLD and NEW are bike folders. Exit code 0 if nobody loses a size, 1 if a group does, 2 if a build is refused or
    something is missing.
    """
    shown = shown_units(units)
    before, after = read_bike(old), read_bike(new)
    build = named_build(after, build_name)
    first: Build
    if old_version:
        first = read_version(old, old_version).build
        if for_old:
            raise AddressError("--for-old changes a folder's files; a kept version stays as it was kept")
        earlier = by_size(first)
    else:
        first = old_build(before, old_name, build)
        earlier = builds_by_size(before, first, for_old)
    later = builds_by_size(after, build, for_new)
    listed = None if people is None else read_people(people, tuple(size.name for size in first.frame.sizes))
    crowd, ranges = surveyed(women_pct), read_bounds(bounds)
    ranges_of = [coverage(builds, crowd, ranges=ranges, tell=progress()) for builds in (earlier, later)]
    found = regroup_riders(ranges_of[0], ranges_of[1], listed, after.brief)
    if as_json:
        print_json(regroup_json(found))
    else:
        print_lines(regroup_lines(found, shown))
    lost = any(group.loses for group in found.groups)
    sys.exit(refused_code((*earlier, *later)) or (EXIT_MISSED if lost else 0))

"""`bikewright tunes`: the base tune table."""

from pathlib import Path

import click

from bikewright.errors import AddressError
from bikewright.interfaces.cli.asking import BIKE, JSON, UNITS, options, print_json, print_lines
from bikewright.interfaces.cli.ranging import progress
from bikewright.interfaces.cli.setting_up import BASE, SAGS, asked_base, end_if_refused, sag_changes, with_asked
from bikewright.model.files import read_bike
from bikewright.reports.setup_json import setups_of, tunes_json
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.sheets.tune_table import tune_lines, tune_page
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import SHEETS, check_place, write_sheet
from bikewright.studies.tune_table import tune_table


@click.command()
@options(BIKE)
@click.option("--builds", default="", metavar="NAMES", help="Builds, by commas; all that have a rider if not given.")
@options(*SAGS, BASE)
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Write the table on A4: .pdf.")
@options(UNITS, JSON)
def tunes(
    bike: Path,
    builds: str,
    sag_front: float | None,
    sag_rear: float | None,
    base_name: str,
    out: Path | None,
    units: str,
    as_json: bool,
) -> None:
    """Set every build up for riders of 45 to 120 kg: the table that goes to customers.

    Each build keeps its own rider's posture, with another mass. Exit code 0; 2 if a build has no rider or a part of
    it is refused.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, SHEETS)
    folder = read_bike(bike)
    names = [name for name in (part.strip() for part in builds.split(",")) if name]
    chosen = [folder.build(name) for name in names] or [one for one in folder.builds if one.rider is not None]
    if not chosen:
        raise AddressError("no build of this bike has a rider; give one a rider, or name builds with --builds")
    asked = sag_changes(sag_front, sag_rear)
    table = tune_table(
        [with_asked(folder, one, asked) for one in chosen],
        folder.stock,
        asked_base(folder, base_name),
        told=progress(),
    )
    if out is not None:
        write_sheet(out, to_pdf(tune_page(table, shown)))
        click.echo(f"base tune table written to {out}", err=as_json)
    if as_json:
        print_json(tunes_json(table))
    elif out is None:
        print_lines(tune_lines(table, shown))
    end_if_refused(setups_of(table))

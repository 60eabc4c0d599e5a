"""`bikewright setup`: the set-up of one rider on one build, and its card."""

from pathlib import Path
from typing import Literal

import click

from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    SIZE,
    UNITS,
    WITH,
    options,
    print_json,
    print_lines,
)
from bikewright.interfaces.cli.setting_up import BASE, RIDER, SAGS, asked_base, asked_rider, end_if_refused, with_asked
from bikewright.reports.setup import against_lines, setup_lines
from bikewright.reports.setup_json import setup_json
from bikewright.reports.sheets.setup_card import CARDS, setup_card, write_card
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import check_place
from bikewright.studies.compare import compare
from bikewright.studies.setup import setup_for


@click.command()
@options(BIKE, BUILD, WITH, SIZE, RIDER, *SAGS, BASE)
@click.option("--against", default="", metavar="RIDER", help="Another rider: lay both set-ups beside each other.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the card: .pdf, or .svg for a picture on a phone.",
)
@click.option(
    "--card",
    type=click.Choice(["a6", "phone"]),
    default="a6",
    show_default=True,
    help="Size of the card; an .svg has the phone's.",
)
@click.option(
    "--address", default="", help="Address that the card's code leads to; without it the code holds the settings."
)
@options(UNITS, JSON)
def setup(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    size: str,
    rider: str,
    sag_front: float | None,
    sag_rear: float | None,
    base_name: str,
    against: str,
    out: Path | None,
    card: Literal["a6", "phone"],
    address: str,
    units: str,
    as_json: bool,
) -> None:
    """Set a build up for a rider: tyres, springs, spacers, preload and clicks, in the order in which they are set.

    Exit code 0 if it can be set up; 2 if no spring, coil or tyre pressure inside its limits serves, which says by how
    much, or if a part of the build is refused.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, CARDS)
    folder, build = asked_rider(bike, build_name, size, changes, rider, sag_front, sag_rear)
    base = asked_base(folder, base_name)
    found = setup_for(build, folder.stock, base)
    other = compared = None
    if against:
        other = setup_for(with_asked(folder, build, [f"rider={against}"]), folder.stock, base)
        compared = compare(found.build, other.build, folder.brief)
    if out is not None:
        write_card(
            out, setup_card(found, shown, card="phone" if out.suffix.lower() == ".svg" else card, address=address)
        )
        click.echo(f"card written to {out}", err=as_json)
    if as_json:
        print_json(setup_json(found, other, compared))
    elif other is not None and compared is not None:
        print_lines(against_lines(found, other, compared, shown))
    elif out is None:
        print_lines(setup_lines(found, shown))
    end_if_refused([one for one in (found, other) if one is not None])

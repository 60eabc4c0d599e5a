"""`bikewright coil`: may this frame take a coil, and what would its rider feel?"""

import sys
from pathlib import Path

import click

from bikewright.errors import NotKnown
from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    OUT,
    SIZE,
    UNITS,
    WITH,
    options,
    print_json,
    print_lines,
)
from bikewright.interfaces.cli.main import EXIT_MISSED
from bikewright.interfaces.cli.setting_up import RIDER, SAGS, asked_rider
from bikewright.reports.coil import coil_chart, coil_lines
from bikewright.reports.setup_json import coil_json
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import DRAWINGS, check_place, write_drawing
from bikewright.studies.coil_study import PROGRESSION_MIN_PCT, coil_study


@click.command()
@options(BIKE, BUILD, WITH, SIZE, RIDER, *SAGS)
@click.option(
    "--progression-min",
    type=click.FloatRange(-50.0, 80.0),
    default=PROGRESSION_MIN_PCT,
    show_default=True,
    metavar="PCT",
    help="Least progression for a linear coil.",
)
@options(OUT, UNITS, JSON)
def coil(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    size: str,
    rider: str,
    sag_front: float | None,
    sag_rear: float | None,
    progression_min: float,
    out: Path | None,
    units: str,
    as_json: bool,
) -> None:
    """Say whether the frame may take a coil, each reason, and lay the coil over the air spring.

    With --out the curves of both springs at the wheel are written as .svg or .png. Exit code 0 if it may, 1 if it may
    not or something is not known, 2 for bad input.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, DRAWINGS)
    folder, build = asked_rider(bike, build_name, size, changes, rider, sag_front, sag_rear)
    found = coil_study(build, folder.stock, progression_min)
    if out is not None:
        if found.laid is None:
            raise NotKnown(f"there are no curves to draw: {found.laid_waits}")
        write_drawing(out, coil_chart(found, found.laid, shown))
    if as_json:
        print_json(coil_json(found))
    else:
        print_lines(coil_lines(found, shown))
    sys.exit(0 if found.may == "yes" else EXIT_MISSED)

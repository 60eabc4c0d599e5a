"""`bikewright fit`: does this size fit this rider?"""

import sys
from pathlib import Path

import click

from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    SIZE,
    UNITS,
    WITH,
    asked_build,
    options,
    print_json,
    print_lines,
    refused_code,
)
from bikewright.interfaces.cli.main import EXIT_BAD_INPUT, EXIT_MISSED
from bikewright.model.parts import Seatpost
from bikewright.reports.fit import fit_json, fit_lines
from bikewright.reports.fit_sheet import fit_sheet
from bikewright.reports.sheets.fit_page import fit_page
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import DRAWINGS, SHEETS, check_place, write_drawing, write_sheet
from bikewright.studies.fit_pose import fit_picture
from bikewright.studies.fitting import fit_of


@click.command()
@options(BIKE, BUILD, WITH, SIZE)
@click.option("--rider", "rider", default="", help="Rider of the folder; the build's own if not given.")
@click.option("--stated-sag", is_flag=True, help="Stand the bike at its stated sag, not where its springs settle.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Also draw the rider with the joint angles; .svg or .png, or .pdf for a sheet.",
)
@click.option(
    "--posture",
    type=click.Choice(["standing", "climb", "seated"]),
    default="seated",
    show_default=True,
    help="Posture that is drawn.",
)
@options(UNITS, JSON)
def fit(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    size: str,
    rider: str,
    stated_sag: bool,
    out: Path | None,
    posture: str,
    units: str,
    as_json: bool,
) -> None:
    """Judge how a rider stands and sits on a build: joint angles, saddle height, post, cockpit.

    Exit code 0 if it fits, 1 if an angle is outside its range or there is no room, 2 if the post cannot hold the
    saddle so, a posture cannot be taken, the build is refused, or something is missing.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, (*DRAWINGS, *SHEETS))
    asked = ([f"rider={rider}"] if rider else []) + list(changes)
    folder, build = asked_build(bike, build_name, size, asked)
    if rider and not changes:
        build = build.changed(name=build.name.removesuffix("-changed"))
    posts = tuple(post for post in folder.stock.shelf("seatpost") if isinstance(post, Seatpost))
    found = fit_of(build, sag="stated" if stated_sag else "settled", shelf=posts)
    if out is not None:
        picture = fit_picture(found, posture)
        if out.suffix.lower() in SHEETS:
            write_sheet(out, to_pdf(fit_page(found, picture, shown)))
        else:
            write_drawing(out, fit_sheet(found, picture, shown))
    if as_json:
        print_json(fit_json(found))
    else:
        print_lines(fit_lines(found, shown))
    refused = refused_code((build,))
    if found.dropper.refusal or any(one.refusal for one in found.postures):
        refused = EXIT_BAD_INPUT
    sys.exit(refused or (0 if found.fits else EXIT_MISSED))

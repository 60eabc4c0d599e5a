"""`bikewright note`: the change note, on paper."""

import sys
from datetime import datetime
from pathlib import Path
from typing import Literal

import click

from bikewright.interfaces.cli.asking import (
    AGAINST,
    BIKE,
    BUILD,
    SIZE,
    TO,
    UNITS,
    WITH,
    asked_change,
    options,
    refused_code,
    told_stopped_code,
)
from bikewright.reports.sheets.change_note import Note, change_note
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import SHEETS, check_place, write_sheet
from bikewright.studies.compare import compare, compare_sizes
from bikewright.studies.evaluate import evaluate


@click.command()
@options(BIKE, BUILD, WITH, TO, AGAINST, SIZE)
@click.option("--sizes", "all_sizes", is_flag=True, help="Add a table over all sizes.")
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), required=True, help="File to write, ending in .pdf."
)
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper, upright.")
@click.option(
    "--date",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="YYYY-MM-DD",
    help="Date in the title block; without it the same change gives the same bytes on any day.",
)
@options(UNITS)
def note(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    other: str,
    against: Path | None,
    size: str,
    all_sizes: bool,
    out: Path,
    paper: Literal["a4", "letter"],
    date: datetime | None,
    units: str,
) -> None:
    """Write a change note as PDF: what changed, and what follows from it.

    Exit code 0 if it was written; 2 if the build after is refused or an error stopped a value, which the note
    then says first; 3 if a value did not converge.
    """
    shown = shown_units(units)
    check_place(out, SHEETS)
    folder, before, after = asked_change(bike, build_name, changes, other, against, size)
    compared = compare(before, after, folder.brief)
    sizes = compare_sizes(before, after, folder.brief) if all_sizes else ()
    written = Note(
        comparison=compared,
        sizes=sizes,
        units=shown,
        paper=paper,
        date="" if date is None else date.date().isoformat(),
    )
    write_sheet(out, to_pdf(change_note(written)))
    click.echo(f"change note {written.key} written to {out}")
    every = sizes or (compared,)
    refused = refused_code(one.after for one in every)
    stopped = told_stopped_code((evaluate(one.after), (lost.after for lost in one.stopped)) for one in every)
    sys.exit(refused or stopped)

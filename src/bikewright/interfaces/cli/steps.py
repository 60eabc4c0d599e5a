"""`bikewright steps`: dimensions over the sizes by a rule."""

import sys
from pathlib import Path

import click

from bikewright.interfaces.cli.asking import (
    BIKE,
    BUILD,
    JSON,
    UNITS,
    WITH,
    asked_build,
    options,
    print_json,
    print_lines,
    refused_code,
)
from bikewright.interfaces.cli.main import EXIT_MISSED
from bikewright.interfaces.cli.ranging import OF_BAR, OF_FRAME, OWN, own_riders, progress, read_cap, read_steps
from bikewright.reports.bar_stepping import bar_csv, bar_json, bar_lines
from bikewright.reports.comparison import sizes_lines
from bikewright.reports.stepping import steps_csv, steps_json, steps_lines
from bikewright.reports.wording import shown_units
from bikewright.reports.writing import TABLES, check_place, write_text
from bikewright.studies.bar_steps import BarStepped, bar_rule, bars_and_costs
from bikewright.studies.compare import compare_sizes
from bikewright.studies.step_rules import RULES, Asked, Rule, Stepped, sizes_and_costs


@click.command()
@options(BIKE, BUILD, WITH)
@click.option("--rule", type=click.Choice(RULES), required=True, help="What is to be alike from size to size.")
@click.option("--keep", default="", help="Size that stays as it is; the build's own if not given.")
@click.option(
    "--of",
    "what",
    type=click.Choice((OF_FRAME, OF_BAR)),
    default=OF_FRAME,
    show_default=True,
    help="What is stepped: dimensions of the frame, or stem, bar and spacers of the stock.",
)
@options(OWN)
@click.option(
    "--step",
    "steps",
    multiple=True,
    metavar="NAME=MM",
    help="Stated step of reach, stack, seat_tube or rear_centre for the rule equal, of bar_width, grip_reach or "
    "grip_height with --of bar; may be repeated.",
)
@click.option(
    "--within", type=float, help="Points (share), degrees (posture) or mm (bar) by which the rule may be missed."
)
@click.option(
    "--cap", default="", metavar="LOW..HIGH", help="Least and most rear centre; the brief's if not given, else 10 mm."
)
@click.option("--consequences", is_flag=True, help="Also what follows in every size, most felt first.")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Also write the dimensions as .csv.")
@options(UNITS, JSON)
def steps(
    bike: Path,
    build_name: str,
    changes: tuple[str, ...],
    rule: Rule,
    keep: str,
    what: str,
    own: tuple[str, ...],
    steps: tuple[str, ...],
    within: float | None,
    cap: str,
    consequences: bool,
    out: Path | None,
    units: str,
    as_json: bool,
) -> None:
    """Step dimensions or bar parts over the sizes by a rule, and tell what each rule costs.

    The frame: reach, stack, head tube, seat tube and rear centre. With --of bar: stem, bar and spacers from the stock.
    Nothing is written into the bike: the changes are printed as the command set takes them. Exit code 0 if the rule
    is met in every size, 1 if it is not, 2 if it cannot be asked or the build is refused.
    """
    shown = shown_units(units)
    if out is not None:
        check_place(out, TABLES)
    folder, build = asked_build(bike, build_name, "", changes)
    asked = Asked(
        keep=keep or build.size,
        own=own_riders(folder, own),
        steps_mm=read_steps(steps),
        within=within,
        cap_mm=read_cap(cap),
    )
    found: Stepped | BarStepped
    if what == OF_BAR:
        bars, sides = bars_and_costs(build, folder.stock, bar_rule(rule, asked), asked, progress())
        found = bars
        table, document, lines = bar_csv(bars), bar_json(bars, sides), bar_lines(bars, sides, shown, str(bike))
    else:
        sizes, rules = sizes_and_costs(build, rule, asked, folder.brief, progress())
        found = sizes
        table, document, lines = steps_csv(sizes), steps_json(sizes, rules), steps_lines(sizes, rules, shown, str(bike))
    if out is not None:
        write_text(out, table)
    if as_json:
        print_json(document)
    else:
        print_lines(lines)
        if consequences:
            print_lines(["", *sizes_lines(compare_sizes(found.before, found.after, folder.brief), shown)])
    sys.exit(refused_code((build,)) or (0 if found.met else EXIT_MISSED))

"""What all commands share: the bike, the build, its changes, and how the answer is printed."""

import json
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, TypeVar

import click

from bikewright.errors import BikewrightError, NotKnown
from bikewright.interfaces.cli.main import EXIT_BAD_INPUT
from bikewright.model.build import Build
from bikewright.model.drafting import tried
from bikewright.model.files import Bike, read_bike
from bikewright.model.limits import refusals
from bikewright.quantities import STATES
from bikewright.reports.tables import refusal_lines
from bikewright.studies.bindings import BINDINGS
from bikewright.studies.evaluate import Answer, Value

F = TypeVar("F", bound=Callable[..., Any])

BIKE = click.argument("bike", type=click.Path(path_type=Path))
BUILD = click.option("--build", "build_name", default="", help="Build to start from; the first one if not given.")
WITH = click.option(
    "--with", "changes", multiple=True, metavar="ADDRESS=VALUE", help="Change the build; may be repeated."
)
SIZE = click.option("--size", default="", help="Size; the build's own if not given.")
STATE = click.option(
    "--state",
    type=click.Choice(list(STATES)),
    default="table",
    show_default=True,
    metavar="STATE",
    help="How the bike stands; the command words lists the states.",
)
UNITS = click.option("--units", default="", metavar="in,psi,lb", help="Units to show instead of the catalogue's.")
JSON = click.option("--json", "as_json", is_flag=True, help="Print the same answer as JSON, in fixed units.")
TO = click.option("--to", "other", default="", help="Compare with this build instead of the same one changed.")
AGAINST = click.option("--against", type=click.Path(path_type=Path), help="Another bike folder, as a later revision.")
TUNE = click.option("--base", default="", metavar="TUNE", help="Base tune of tunes.toml to tell it against.")
OUT = click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), help="File to write; its ending says the format."
)


def options(*decorators: Callable[[F], F]) -> Callable[[F], F]:
    """Several of the options above at once, in the order in which help lists them."""

    def decorate(function: F) -> F:
        for decorator in reversed(decorators):
            function = decorator(function)
        return function

    return decorate


def asked_build(folder: Path, name: str, size: str, changes: Iterable[str]) -> tuple[Bike, Build]:
    """The bike of a folder and the build that the options ask for."""
    bike = read_bike(folder)
    return bike, changed_build(bike, named_build(bike, name), size, changes)


def named_build(bike: Bike, name: str) -> Build:
    """The build of a name; the first one where none is given."""
    return bike.build(name) if name else bike.builds[0]


def changed_build(bike: Bike, build: Build, size: str, changes: Iterable[str]) -> Build:
    """A build with a size and changes applied, in the order given; changes show in its name."""
    changes = list(changes)
    build = tried(bike, build, ([f"size={size}"] if size else []) + changes)
    return build.changed(name=f"{build.name}-changed") if changes else build


def asked_change(
    folder: Path, name: str, changes: Iterable[str], other: str, against: Path | None, size: str
) -> tuple[Bike, Build, Build]:
    """The bike, the build before and the build after: changed, another build, or that of another folder."""
    bike = read_bike(folder)
    before = changed_build(bike, named_build(bike, name), size, ())
    target = bike if against is None else read_bike(against)
    chosen = other or (before.name if against is not None else "")
    start = changed_build(target, target.build(chosen), before.size, ()) if chosen else before
    return bike, before, changed_build(target, start, "", changes)


def stops(answer: Answer, values: Iterable[Value]) -> list[BikewrightError]:
    """What stopped values of an answer; what only waits for something that nobody has given yet is no error."""
    found = []
    for value in values:
        try:
            answer.group(BINDINGS[value.quantity.key].group, value.state)
        except NotKnown:
            continue
        except BikewrightError as error:
            found.append(error)
    return found


def stopped_code(answer: Answer, values: Iterable[Value]) -> int:
    """Exit code for values of an answer: that of the error that stopped one, 0 where none was stopped."""
    return max((error.exit_code for error in stops(answer, values)), default=0)


def told_stopped_code(asked: Iterable[tuple[Answer, Iterable[Value]]]) -> int:
    """The same for several answers, after each error was told once beside them."""
    found = [error for answer, values in asked for error in stops(answer, values)]
    for told in dict.fromkeys(map(str, found)):
        click.echo(told, err=True)
    return max((error.exit_code for error in found), default=0)


def refused_code(builds: Iterable[Build]) -> int:
    """Exit code for builds, after their refusals were told beside the answer; 0 where nothing is refused."""
    found = dict.fromkeys(refusal for build in builds for refusal in refusals(build))
    if found:
        click.echo("\n".join(refusal_lines(tuple(found))), err=True)
    return EXIT_BAD_INPUT if found else 0


def print_lines(lines: Iterable[str]) -> None:
    """Print a report."""
    click.echo("\n".join(lines))


def print_json(answer: dict[str, Any]) -> None:
    """Print an answer as JSON."""
    click.echo(json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False))

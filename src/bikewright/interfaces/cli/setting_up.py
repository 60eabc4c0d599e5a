"""What the commands about set-up share: the rider, the wanted sags, the base tune, and what is refused."""

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from bikewright.errors import AddressError
from bikewright.interfaces.cli.asking import asked_build, changed_build
from bikewright.interfaces.cli.main import EXIT_BAD_INPUT
from bikewright.model.addresses import read_change
from bikewright.model.build import Build
from bikewright.model.files import Bike
from bikewright.model.tune import BaseTune
from bikewright.reports.setup import refusals_told
from bikewright.studies.setup import Setup

REAR_SAG = "sag_rear_pct"
RIDER = click.option("--rider", default="", help="Rider; the build's own if not given.")
SAGS = (
    click.option(
        "--sag-front", type=float, metavar="PCT", help="Wanted sag, of fork travel; the build's own if not given."
    ),
    click.option(
        "--sag-rear", type=float, metavar="PCT", help="Wanted sag, of shock stroke; the build's own if not given."
    ),
)
BASE = click.option(
    "--base",
    "base_name",
    default="",
    metavar="NAME",
    help="A base tune, or a build that was ridden or tested: reserves and clicks are told against it.",
)


def asked_rider(
    folder: Path,
    name: str,
    size: str,
    changes: tuple[str, ...],
    rider: str,
    sag_front: float | None,
    sag_rear: float | None,
) -> tuple[Bike, Build]:
    """The bike, and the build with the rider and the sags that the options ask for; its name stays."""
    bike, build = asked_build(folder, name, size, changes)
    asked = [f"rider={rider}"] if rider else []
    return bike, with_asked(bike, build, [*asked, *sag_changes(sag_front, sag_rear)])


def with_asked(bike: Bike, build: Build, asked: list[str]) -> Build:
    """A build with changes by address, under its old name.

    Raises
    ------
    AddressError
        If a sag of the rear is wanted of a frame without rear suspension.
    """
    if build.frame.linkage is None and any(read_change(text).address == REAR_SAG for text in asked):
        raise AddressError(f"{build.frame.name} has no rear suspension, so no sag of it can be wanted; leave it out")
    return changed_build(bike, build, "", asked).changed(name=build.name) if asked else build


def asked_base(bike: Bike, name: str) -> BaseTune | None:
    """The base tune of a name, or a build of that name as it stands in the files.

    Raises
    ------
    AddressError
        If there is neither.
    """
    if not name:
        return None
    found = next((tune for tune in bike.tunes if tune.name == name), None)
    if found is not None:
        return found
    build = next((build for build in bike.builds if build.name == name), None)
    if build is None:
        there = ", ".join([*(tune.name for tune in bike.tunes), *(build.name for build in bike.builds)])
        raise AddressError(f"no base tune and no build is called '{name}'; there are: {there}")
    return BaseTune(name=name, build=build)


def sag_changes(front_pct: float | None, rear_pct: float | None) -> list[str]:
    """Changes that give a build the sags that are wanted; none for an end whose own sag stays."""
    wanted = {"sag_front_pct": front_pct, REAR_SAG: rear_pct}
    return [f"{address}={pct!r}" for address, pct in wanted.items() if pct is not None]


def end_if_refused(setups: Sequence[Setup]) -> None:
    """Where finished builds are refused, tell why beside the answer and end with the code for bad input."""
    told = refusals_told(setups)
    if told:
        click.echo("\n".join(told), err=True)
        sys.exit(EXIT_BAD_INPUT)

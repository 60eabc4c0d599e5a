"""What the commands about set-up share: the rider, the wanted sags, the base tune, and progress."""

import sys
import time
from pathlib import Path

import click

from bikewright.errors import AddressError
from bikewright.interfaces.cli.asking import asked_build, changed_build
from bikewright.model.build import Build
from bikewright.model.files import Bike
from bikewright.model.tune import BaseTune

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
    asked += [
        f"{key}={sag!r}" for key, sag in (("sag_front_pct", sag_front), ("sag_rear_pct", sag_rear)) if sag is not None
    ]
    return bike, with_asked(bike, build, asked)


def with_asked(bike: Bike, build: Build, asked: list[str]) -> Build:
    """A build with changes by address, under its old name."""
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


class Progress:
    """How far a long study is, on standard error, once it has taken two seconds; with the time left."""

    def __init__(self, what: str):
        self._what = what
        self._begun = self._last = time.monotonic()
        self._shown = False

    def __call__(self, done: int, of: int) -> None:
        """Tell it, at most twice a second; the line ends with the last one."""
        now = time.monotonic()
        if now - self._begun >= 2.0 and (now - self._last >= 0.5 or done == of):
            self._last, self._shown = now, True
            left = (now - self._begun) / done * (of - done)
            print(f"\r{self._what}: {done} of {of}, {left:.0f} s left ", end="", file=sys.stderr, flush=True)
        if done == of and self._shown:
            print(file=sys.stderr)

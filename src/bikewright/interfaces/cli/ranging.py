"""What the commands about sizes and riders share: builds by size, riders by size, bounds, people, progress."""

import time
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path

import click

from bikewright.errors import AddressError, UnitError
from bikewright.model.addresses import read_scalar
from bikewright.model.build import Build
from bikewright.model.drafting import tried
from bikewright.model.files import Bike
from bikewright.model.people_file import read_people
from bikewright.model.rider import Rider
from bikewright.reports.progress import left_text
from bikewright.studies.coverage import WOMEN_PCT, Crowd, listed, named_builds, surveyed
from bikewright.units import read_quantity

FOR = click.option(
    "--for", "by_size", multiple=True, metavar="SIZE:ADDRESS=VALUE", help="Change one size's build; may be repeated."
)
OWN = click.option(
    "--own", "own", multiple=True, metavar="SIZE=RIDER", help="Rider that a size is made for; may be repeated."
)
SURVEY = "ansur"
"""What the population is called where no list stands in its place."""
POPULATION = click.option(
    "--population",
    default=SURVEY,
    show_default=True,
    metavar="ansur|FILE.csv",
    help="People that shares are told of: the survey, or a list of at least 30.",
)
WOMEN = click.option(
    "--women-pct", default=WOMEN_PCT, show_default=True, help="Share of women among the mixed of the survey."
)
BOUNDS = click.option(
    "--bound",
    "bounds",
    multiple=True,
    metavar="POSTURE.ANGLE=LOW..HIGH",
    help="Bound in degrees in place of the fit's own, as in standing.shoulder=43..52; may be repeated.",
)
OF_FRAME, OF_BAR = "frame", "bar"
"""What is stepped: dimensions of the frame, or stem, bar and spacers."""
TOLD_AFTER_S = 2.0
TOLD_EVERY_S = 1.0


def split(text: str, mark: str, form: str) -> tuple[str, str]:
    """Two parts of an option."""
    first, found, second = text.partition(mark)
    if not found or not first or not second:
        raise AddressError(f"'{text}' is not of the form {form}")
    return first.strip(), second.strip()


def builds_by_size(bike: Bike, build: Build, asked: Iterable[str]) -> list[Build]:
    """A build in every size, with the changes that are asked for some of them."""
    changes: dict[str, list[str]] = {}
    for text in asked:
        size, change = split(text, ":", "SIZE:ADDRESS=VALUE, as in S:seatpost=dropper-125")
        changes.setdefault(size, []).append(change)
    return named_builds(build, {size: partial(tried, bike, texts=texts) for size, texts in changes.items()})


def old_build(bike: Bike, name: str, like: Build) -> Build:
    """The build of an old range: the one that is named, else the one called as the new one is, else the first."""
    known = [build.name for build in bike.builds]
    return bike.build(name or (like.name if like.name in known else known[0]))


def own_riders(bike: Bike, asked: Iterable[str]) -> dict[str, Rider]:
    """Riders of the folder by the size that is made for them."""
    pairs = (split(text, "=", "SIZE=RIDER") for text in asked)
    return {size: bike.rider(name) for size, name in pairs}


def asked_people(population: str, women_pct: float) -> Crowd:
    """The survey, or a list in its place."""
    return surveyed(women_pct) if population == SURVEY else listed(read_people(Path(population)))


def progress() -> Callable[[int, int], None]:
    """Tells on standard error how far a study is and how long it may take, once it takes longer than two seconds.

    At most one line a second, so that a study in many small parts does not fill the screen.
    """
    start = time.monotonic()
    told = start

    def tell(done: int, of: int) -> None:
        nonlocal told
        now = time.monotonic()
        if now - start > TOLD_AFTER_S and now - told >= TOLD_EVERY_S and done < of:
            told = now
            click.echo(left_text(done, of, now - start), err=True)

    return tell


def read_steps(asked: Iterable[str]) -> dict[str, float]:
    """Stated steps by what is stepped [mm]."""
    found = {}
    for text in asked:
        name, step = split(text, "=", "NAME=MM, as in reach=22")
        found[name.removesuffix("_mm")] = read_mm(step, text)
    return found


def read_cap(text: str) -> tuple[float, float] | None:
    """Least and most rear centre [mm]; None where none is stated."""
    if not text:
        return None
    low, high = split(text, "..", "LOW..HIGH, as in 430..450")
    return read_mm(low, text), read_mm(high, text)


def read_mm(text: str, whole: str) -> float:
    """A length as it is typed, bare in mm or with its unit."""
    value = read_scalar(text)
    try:
        return read_quantity(text, "mm") if isinstance(value, str) else float(value)
    except UnitError as error:
        raise AddressError(f"'{whole}': {error}") from None

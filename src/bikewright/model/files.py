"""A bike is a folder of TOML files; this reads it.

``bike.toml`` holds the frame, ``parts/*.toml`` what it may be built with, ``riders.toml``, ``brief.toml``,
``builds.toml`` and ``tunes.toml`` the rest. Reading gives frozen values, or one error that names every fault with file,
line and column. Nothing is guessed and nothing is half loaded. Guide: docs/guide/model-files.md
"""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from bikewright.errors import AddressError, Fault, ModelFileError
from bikewright.model.brief import Brief
from bikewright.model.build import Build
from bikewright.model.build_file import DATUM, Around, read_builds
from bikewright.model.faults import near
from bikewright.model.frame import Frame
from bikewright.model.frame_file import frame_faults, read_frame
from bikewright.model.readers import read_brief, read_riders, read_stock
from bikewright.model.revision import Sheets, read_sheets
from bikewright.model.rider import Rider
from bikewright.model.stock import Stock
from bikewright.model.tune import BaseTune, read_tunes
from bikewright.model.values import Text, value

MOST_FAULTS = 200
"""More are not told."""


@value
class FileRead:
    """One file that a bike was read from, and what it said then."""

    file: Text
    """Its path as it was named."""
    sha256: Text


@value
class Bike:
    """Everything that a folder says about a bike."""

    frame: Frame
    stock: Stock = Stock()
    riders: tuple[Rider, ...] = ()
    brief: Brief = Brief()
    builds: tuple[Build, ...] = ()
    """The datum build first, then the others as they are written."""
    tunes: tuple[BaseTune, ...] = ()
    """Set-ups that were ridden."""
    files: tuple[FileRead, ...] = ()
    """What was read; `write_changes` uses it to see that nothing was changed by somebody else."""

    def build(self, name: str = DATUM) -> Build:
        """One build.

        Raises
        ------
        AddressError
            If there is none of that name: names the nearest.
        """
        builds = {build.name: build for build in self.builds}
        if name not in builds:
            raise AddressError(f"no build is called '{name}'. {near(name, builds)}")
        return builds[name]

    def with_build(self, build: Build) -> "Bike":
        """The bike with a build in place of the one of its name."""
        return replace(self, builds=tuple(build if held.name == build.name else held for held in self.builds))

    def with_frame(self, frame: Frame) -> "Bike":
        """The bike with another frame, on which every build stands; what was for a size that it lacks is gone."""
        builds = tuple(build.with_sizes_of(frame).changed(frame=frame) for build in self.builds)
        return replace(self, frame=frame, builds=builds)

    def rider(self, name: str) -> Rider:
        """One rider.

        Raises
        ------
        AddressError
            If there is none of that name: names the nearest.
        """
        riders = {rider.name: rider for rider in self.riders}
        if name not in riders:
            raise AddressError(f"no rider is called '{name}'. {near(name, riders)}")
        return riders[name]

    def tune(self, name: str) -> BaseTune:
        """One base tune.

        Raises
        ------
        AddressError
            If there is none of that name: names the nearest.
        """
        tunes = {tune.name: tune for tune in self.tunes}
        if name not in tunes:
            raise AddressError(f"no base tune is called '{name}'. {near(name, tunes)}")
        return tunes[name]


def read_bike(folder: str | Path, texts: Mapping[Path, str] | None = None) -> Bike:
    """Read the bike of a folder.

    Parameters
    ----------
    folder : str or Path
        A folder with a ``bike.toml``.
    texts : mapping of Path to str, optional
        What some of its files are about to say, in place of what they say on disk.

    Returns
    -------
    Bike
        Frame, stock, riders, brief and builds, all checked.

    Raises
    ------
    ModelFileError
        With every fault of every file.
    """
    faults: list[Fault] = []
    sheets = read_sheets(Path(folder), texts or {}, faults)
    bike = _bike(sheets, faults)
    if faults or bike is None:
        raise ModelFileError(*_told(faults, [file.shown for file in sheets.files]))
    return bike


def _bike(sheets: Sheets, faults: list[Fault]) -> Bike | None:
    """The bike, as far as its faults allow."""
    stock = read_stock(sheets.parts, faults)
    riders = read_riders(sheets.riders, faults)
    frame, datum = read_frame(sheets.bike, stock, sheets.parts, faults)
    sizes = [] if frame is None else [size.name for size in frame.sizes]
    brief = read_brief(sheets.brief, sizes, tuple(sheets.riders.data), faults)
    if frame is None:
        return None
    disagreements = list(frame_faults(frame, datum, sheets.bike))
    faults.extend(disagreements)
    if disagreements:
        return None  # a build on such a frame would tell the same again
    builds = read_builds(Around(sheets, frame, datum, stock, riders), faults)
    tunes = read_tunes(sheets, builds, riders, faults)
    files = tuple(FileRead(file=file.shown, sha256=file.sha256) for file in sheets.files)
    return Bike(frame=frame, stock=stock, riders=riders, brief=brief, builds=builds, tunes=tunes, files=files)


def _told(faults: list[Fault], files: list[str]) -> list[Fault]:
    """Each fault once, in the order of files and lines, and not more than a person can use."""
    order = {name: rank for rank, name in enumerate(dict.fromkeys((*files, *(fault.file for fault in faults))))}
    once = list(dict.fromkeys(faults))
    once.sort(key=lambda fault: (order[fault.file], fault.line or 0, fault.column or 0))
    if len(once) <= MOST_FAULTS:
        return once
    more = Fault(file=once[MOST_FAULTS].file, remedy="There are more faults; mend these first.")
    return [*once[:MOST_FAULTS], more]

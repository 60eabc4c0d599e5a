"""What this machine has, and what it lacks: `bikewright doctor`.

Question answered   Will the commands work here, and if not, what is to be done?
Method              Each part is tried as the commands would use it: a file is written, a port is bound, a text is set.
Left out            Speed. Nothing is installed or repaired.

A part that only some task needs (a browser, npm) is a note when it is missing, and changes no exit code.
"""

import json
import os
import platform
import shutil
import socket
import sys
import tempfile
from collections.abc import Callable
from dataclasses import asdict, dataclass
from importlib import metadata
from pathlib import Path

import click

from bikewright.errors import BikewrightError

OLDEST_PYTHON = (3, 11)
OLDEST_SQLITE = (3, 37)
"""The first release with strict tables."""

BROWSERS = ("chromium", "chromium-browser")
DRAWING = '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><rect width="9" height="9"/></svg>'
"""The smallest drawing that goes the whole way through typst."""

OK, MISSING = "ok", "missing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One part of the machine, looked at."""

    what: str
    """The part, in a word or two."""
    found: str
    """What was found, with its version or place."""
    state: str
    """``"ok"`` or ``"missing"``."""
    needed: bool = True
    """Whether the commands fail without it; else it is only a note."""
    needed_for: str = ""
    """What does not work without it."""
    remedy: str = ""
    """What to do, as a sentence."""

    def __str__(self) -> str:
        line = f"{self.what:<15} {self.found}: {self.state}"
        if self.state == OK:
            return line
        note = "" if self.needed else "only "
        return f"{line}\n{'':<15} {note}needed for {self.needed_for}. {self.remedy}"


def look_at(what: str, trial: Callable[[], str], *, needed_for: str, remedy: str, needed: bool = True) -> Finding:
    """Try one part of the machine.

    Parameters
    ----------
    what : str
        The part, in a word or two.
    trial : callable
        Uses the part and says what it found. It raises `BikewrightError`, `OSError` or `ImportError` where it cannot.
    needed_for, remedy : str
        What does not work without the part, and what to do.
    needed : bool
        Whether the commands fail without it.

    Returns
    -------
    Finding
        What came of it; nothing is raised.
    """
    try:
        found, state = trial(), OK
    except (BikewrightError, OSError, ImportError) as fault:
        found, state = str(fault) or type(fault).__name__, MISSING
    return Finding(what=what, found=found, state=state, needed=needed, needed_for=needed_for, remedy=remedy)


def python_here(version: tuple[int, ...] = sys.version_info[:3]) -> str:
    """Release of Python and where it lies."""
    if version < OLDEST_PYTHON:
        raise OSError(f"{_dotted(version)}, {_dotted(OLDEST_PYTHON)} is the oldest that will do")
    return f"{platform.python_version()}, {sys.executable}"


def sqlite_here(version: tuple[int, ...] | None = None) -> str:
    """Release of the SQLite that Python was built with."""
    import sqlite3

    if (version or sqlite3.sqlite_version_info) < OLDEST_SQLITE:
        raise OSError(f"{_dotted(version or sqlite3.sqlite_version_info)} is older than {_dotted(OLDEST_SQLITE)}")
    return sqlite3.sqlite_version


def folder_written(folder: Path) -> str:
    """The folder, once a file was written in it and taken away again."""
    with tempfile.NamedTemporaryFile(dir=folder, prefix=".bikewright-doctor-") as file:
        file.write(b"x")
        file.flush()
        os.fsync(file.fileno())
    return str(folder)


def port_bound(port: int = 0) -> str:
    """A port of this machine only, once it was bound; 0 takes any free one."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listener:
        listener.bind(("127.0.0.1", port))
        listener.listen(1)
        return f"127.0.0.1:{listener.getsockname()[1]} can be bound"


def program_found(*names: str) -> str:
    """Path of the first of these programs that is on the path."""
    for name in names:
        if path := shutil.which(name):
            return path
    raise OSError(f"no {' or '.join(names)} on the path")


def font_found() -> str:
    """Folder of the face that sheets are set in."""
    from bikewright.reports.raster import font_folder

    return f"font-source-sans-pro {metadata.version('font-source-sans-pro')}, {font_folder()}"


def typst_draws() -> str:
    """Release of typst, once it drew something."""
    from bikewright.reports.raster import to_png

    to_png(DRAWING)
    return metadata.version("typst")


def kernel_cache() -> str:
    """Folder of the compiled kernels, and whether they are there."""
    from bikewright.physics.kernels import compile as kernels

    folder = kernels.cache_folder()
    existing = next(path for path in (folder, *folder.parents) if path.exists())
    folder_written(existing)
    compiled = any(folder.glob("**/*.nbi"))
    return f"{folder} ({'compiled' if compiled else 'not compiled yet, plain Python answers until they are'})"


def examine(folder: Path) -> tuple[Finding, ...]:
    """Look at every part of this machine.

    Parameters
    ----------
    folder : Path
        Where the commands would write.

    Returns
    -------
    tuple of Finding
        In the order in which they are shown.
    """
    return (
        look_at("Python", python_here, needed_for="everything", remedy="Install Python 3.11 or newer."),
        look_at(
            "this folder",
            lambda: folder_written(folder),
            needed_for="saving a bike and writing sheets",
            remedy="Go to a folder that you may write in, or free some space.",
        ),
        look_at(
            "kernel cache",
            kernel_cache,
            needed_for="keeping compiled kernels, without which studies are slow",
            remedy="Name a folder that can be written in BIKEWRIGHT_CACHE, then run: python -m "
            "bikewright.physics.kernels.compile",
        ),
        look_at(
            "font",
            font_found,
            needed_for="sheets, drawings and pictures",
            remedy="Install the Python package font-source-sans-pro into the same environment.",
        ),
        look_at(
            "typst",
            typst_draws,
            needed_for="sheets and pictures",
            remedy="Install the Python package typst into the same environment.",
        ),
        look_at(
            "SQLite",
            sqlite_here,
            needed_for="records of test days",
            remedy="Use a Python that was built with a newer SQLite.",
        ),
        look_at(
            "local port",
            port_bound,
            needed_for="showing a bike in the browser",
            remedy="Allow programs to listen on 127.0.0.1.",
        ),
        look_at(
            "browser",
            lambda: program_found(*BROWSERS),
            needed=False,
            needed_for="the browser tests; any browser shows a page",
            remedy="On Debian: apt-get install chromium.",
        ),
        look_at(
            "Node.js",
            lambda: program_found("node"),
            needed=False,
            needed_for="checks of the page's scripts",
            remedy="On Debian: apt-get install nodejs.",
        ),
        look_at(
            "npm",
            lambda: program_found("npm"),
            needed=False,
            needed_for="building the page from a checkout",
            remedy="On Debian: apt-get install npm.",
        ),
    )


def is_sound(findings: tuple[Finding, ...]) -> bool:
    """Whether every needed part is there."""
    return all(finding.state == OK or not finding.needed for finding in findings)


@click.command()
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
def doctor(as_json: bool) -> None:
    """Say what this machine has and lacks, and what to do.

    Exit code 0 when every needed part is fine, 2 when one is missing. A missing part that only some task needs is a
    note and changes nothing.
    """
    findings = examine(Path.cwd())
    sound = is_sound(findings)
    if as_json:
        report = {
            "format": "bikewright/doctor",
            "version": 1,
            "ok": sound,
            "findings": [asdict(finding) for finding in findings],
        }
        click.echo(json.dumps(report, indent=2))
    else:
        for finding in findings:
            click.echo(str(finding))
        missing = [finding.what for finding in findings if finding.needed and finding.state != OK]
        click.echo(f"missing: {', '.join(missing)}" if missing else "all needed parts are fine")
    raise SystemExit(0 if sound else 2)


def _dotted(version: tuple[int, ...]) -> str:
    return ".".join(str(number) for number in version)

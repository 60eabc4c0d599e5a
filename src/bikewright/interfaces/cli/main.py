"""The `bikewright` command: reads files, asks a study, prints its report. No arithmetic, no wording of results.

Commands are imported when they are called, so that one answer does not pay for the others' libraries.
"""

import importlib
import json
import os
import sys
from pathlib import Path
from typing import Any

import click

from bikewright import __version__
from bikewright.errors import BikewrightError, EnvironmentFault, ModelFileError

COMMANDS = {
    "check": "check",
    "cockpit": "cockpit",
    "coil": "coil",
    "compare": "compare",
    "coverage": "coverage",
    "curve": "curve",
    "damper": "damper",
    "damping": "damping",
    "doctor": "doctor",
    "draw": "draw",
    "fit": "fit",
    "new": "new",
    "note": "note",
    "regroup": "regroup",
    "serve": "serve",
    "set": "write",
    "setup": "setup",
    "show": "show",
    "steps": "steps",
    "table": "table",
    "tunes": "tunes",
    "tyres": "tyres",
    "words": "words",
}
"""Each command and the module of this folder that holds it."""

EXIT_FELT = EXIT_MISSED = 1
EXIT_BAD_INPUT = 2
"""Exit codes besides 0 (fine) and 3 (not converged): see the guide."""


class LazyGroup(click.Group):
    """A group that imports a command when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names, in the order of the alphabet."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command, imported now; None where there is none of that name."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"bikewright.interfaces.cli.{COMMANDS[cmd_name]}")
        command: click.Command = getattr(module, COMMANDS[cmd_name])
        return command

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; a reader of a pipe that went away, as `head` does, is no fault and no felt change."""
        try:
            return super().invoke(ctx)
        except BrokenPipeError:
            sys.stdout = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 (open until the process ends)
            sys.exit(0)


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, message="bikewright %(version)s")
def cli() -> None:
    """Develop a mountain bike: one model of it, and one whole-bike answer to any change.

    A bike is a folder of text files. BIKE is that folder; a build of it is picked with --build and changed
    with --with ADDRESS=VALUE. Exit codes: 0 fine, 1 brief missed or a felt change found, 2 bad input,
    3 not converged.
    """


def main() -> None:
    """Run a command; a deliberate error is printed as the sentence that it is."""
    try:
        cli.main(prog_name="bikewright", standalone_mode=False)
    except click.ClickException as fault:
        fault.show()
        sys.exit(fault.exit_code)
    except click.Abort:
        click.echo("stopped", err=True)
        sys.exit(130)
    except BikewrightError as error:
        tell(error)
        sys.exit(error.exit_code)
    except OSError as error:
        place = f"{error.filename}: " if error.filename else ""
        tell(EnvironmentFault(f"{place}{error.strerror or error}. Check the path and that it may be read or written."))
        sys.exit(EXIT_BAD_INPUT)


def tell(error: BikewrightError) -> None:
    """Print an error: as JSON on standard output where the command was asked for JSON, else as a sentence."""
    if "--json" in sys.argv:
        click.echo(json.dumps(error_as_json(error), indent=2, ensure_ascii=False))
    else:
        click.echo(str(error), err=True)


def error_as_json(error: BikewrightError) -> dict[str, Any]:
    """The one shape that errors have in JSON."""
    faults = error.faults if isinstance(error, ModelFileError) else ()
    return {
        "format": "bikewright/error",
        "version": 1,
        "kind": type(error).__name__,
        "error": str(error),
        "faults": [
            {
                "file": fault.file,
                "line": fault.line,
                "column": fault.column,
                "key": fault.key,
                "found": fault.found,
                "allowed": fault.allowed,
                "remedy": fault.remedy,
            }
            for fault in faults
        ],
    }


if __name__ == "__main__":
    main()

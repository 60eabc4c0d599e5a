"""Asking the command line in this process, as the installed command would: the answer with its exit code."""

import io
import json
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jsonschema

from bikewright.interfaces.cli.main import main
from tests.interfaces.cli.schemas import SCHEMAS

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
QUILLBACK, WHERRY, CORBEL = (EXAMPLES / name for name in ("quillback", "wherry", "corbel"))
BIKES = (QUILLBACK, WHERRY, CORBEL)
WIDTH = 100


@dataclass(frozen=True)
class Told:
    """What a command said."""

    code: int
    out: str
    err: str

    @property
    def lines(self) -> list[str]:
        """Lines of standard output."""
        return self.out.splitlines()

    @property
    def too_wide(self) -> list[str]:
        """Lines that a terminal would wrap."""
        return [line for line in (self.out + self.err).splitlines() if len(line) > WIDTH]

    def document(self, kind: str) -> Any:
        """Standard output as JSON, held against the schema of its kind."""
        found = json.loads(self.out, parse_constant=_no_number)
        jsonschema.validate(found, SCHEMAS[kind], cls=jsonschema.Draft202012Validator)
        return found


def ask(*words: object) -> Told:
    """Run a command and say what it told."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    before, sys.argv = sys.argv, ["bikewright", *map(str, words)]
    code = 0
    try:
        with redirect_stdout(out), redirect_stderr(err):
            main()
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else 0
    finally:
        sys.argv = before
    return Told(code, *(_text(stream) for stream in (out, err)))


def _text(stream: io.TextIOWrapper) -> str:
    stream.flush()
    return stream.buffer.getvalue().decode()  # type: ignore[attr-defined]


def _no_number(word: str) -> Any:
    raise ValueError(f"{word} is no JSON")

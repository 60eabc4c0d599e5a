"""The process that answers long questions: reads one after the other from its input, tells how far it is, and answers.

It is started by `bikewright.interfaces.web.apart` and ends when its input does.
"""

import json
import pickle
import struct
import sys
from typing import Any, BinaryIO

from bikewright.errors import BikewrightError
from bikewright.interfaces.cli.main import error_as_json

HEAD = struct.Struct(">Q")


def main() -> None:
    """Answer until there are no more questions."""
    asked, out = sys.stdin.buffer, sys.stdout.buffer
    sys.stdout = sys.stderr  # nothing but answers goes over the line

    while True:
        head = asked.read(HEAD.size)
        if len(head) < HEAD.size:
            return
        question = pickle.loads(asked.read(HEAD.unpack(head)[0]))
        try:
            _say(out, question.answer(lambda done, of: _say(out, {"done": done, "of": of})))
        except BikewrightError as error:
            _say(out, {"error": error_as_json(error), "at": error.at})


def _say(out: BinaryIO, told: dict[str, Any]) -> None:
    out.write(json.dumps(told, ensure_ascii=False, allow_nan=False).encode() + b"\n")
    out.flush()


if __name__ == "__main__":
    main()

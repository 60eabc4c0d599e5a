"""Long questions of the tests' own, in a module that the other process can import."""

import os
import time
from dataclasses import dataclass

from bikewright.errors import OutsideValidity


@dataclass(frozen=True, slots=True)
class Slow:
    """Takes its time, part by part."""

    key: str
    parts: int = 3
    pause_s: float = 0.05

    def answer(self, tell):
        """The process that answered."""
        for part in range(self.parts):
            time.sleep(self.pause_s)
            tell(part + 1, self.parts)
        return {"twin": {"pid": os.getpid()}}


@dataclass(frozen=True, slots=True)
class Refused:
    """Cannot be answered."""

    key: str = "refused"

    def answer(self, tell):
        """A deliberate error."""
        raise OutsideValidity("120 % is no share")


@dataclass(frozen=True, slots=True)
class Broken:
    """Takes its process with it."""

    key: str = "broken"

    def answer(self, tell):
        """Nothing any more."""
        os._exit(3)

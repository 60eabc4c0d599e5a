"""Every exception the package raises on purpose.

BikewrightError
├── ModelError                something that describes a bike cannot be meant
│   ├── ModelFileError        a file on disk is wrong: file, line, column, key, found, allowed, what to do
│   ├── AddressError          an address such as ``fork.travel_mm`` names nothing, or cannot take that value
│   ├── UnitError             a text is not a quantity of the wanted kind
│   ├── PointsError           a file of pivots cannot be placed on the bike
│   └── LimitExceeded         a part or a state is outside what the frame or the part allows
├── LinkageError
│   ├── LinkageNotMobile      bodies and pins do not leave exactly one freedom for the shock to drive
│   ├── LinkageDoesNotClose   two links do not reach each other at some travel
│   └── LinkageAtDeadPoint    the shock, or the wheel, stops or turns round inside the travel
├── NotKnown                  the answer waits for a value that nobody has given yet
├── OutsideValidity           the question is outside what the method can answer
├── SolverDidNotSettle        an iteration stopped short of its tolerance
└── EnvironmentFault          this machine lacks something: a font, a folder that can be written

Only the interfaces catch `BikewrightError`. Everything below lets it pass.
"""

from dataclasses import dataclass


class BikewrightError(Exception):
    """Base of all deliberate errors; its text is fit to show to a user as it stands."""

    exit_code = 2
    """What a command returns when this ends it: 2 bad input, 3 not converged."""
    at = ""
    """Field of the question at which it is refused, where whoever asked has several and said which."""


class ModelError(BikewrightError, ValueError):
    """Something that describes a bike cannot be meant."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that is wrong in one file."""

    file: str
    """The file as the user named it."""
    line: int | None = None
    """Line in the file, from 1; None where the fault has no place (an absent file)."""
    column: int | None = None
    """Column in that line, from 1."""
    key: str = ""
    """Dotted key, as in ``sizes.M.reach_mm``."""
    found: str = ""
    """What stands there."""
    allowed: str = ""
    """What may stand there."""
    remedy: str = ""
    """What to do, as a sentence."""

    def __str__(self) -> str:
        place = self.file
        if self.line is not None:
            place += f", line {self.line}"
            if self.column is not None:
                place += f", column {self.column}"
        parts = [f"{place}:"]
        if self.key:
            parts.append(f"{self.key}:")
        if self.found:
            parts.append(f"found {self.found}{';' if self.allowed else '.'}")
        if self.allowed:
            parts.append(f"allowed: {self.allowed}.")
        if self.remedy:
            parts.append(self.remedy)
        return " ".join(parts)


class ModelFileError(ModelError):
    """One or more files of a bike are wrong; all faults of a file are told at once."""

    def __init__(self, *faults: Fault):
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


class AddressError(ModelError):
    """An address names nothing in the bike, or cannot take the value."""


class UnitError(ModelError):
    """A text is not a quantity of the wanted kind."""


class PointsError(ModelError):
    """A file of pivots cannot be placed on the bike."""


class LimitExceeded(ModelError):
    """A part or a state is outside what the frame or the part allows."""


class LinkageError(BikewrightError):
    """A linkage cannot do what was asked of it."""

    stroke_mm: float | None = None
    """Shock stroke at which it stops; None where that is not known."""
    wheel_travel_mm: float | None = None
    """Wheel travel there."""
    pin: str = ""
    """Pin at which it stops; empty where it is not one pin."""


class LinkageNotMobile(LinkageError):
    """Bodies and pins do not leave exactly one freedom for the shock to drive."""


class LinkageDoesNotClose(LinkageError):
    """Two links do not reach each other at some travel."""


class LinkageAtDeadPoint(LinkageError):
    """The shock, or the wheel, stops or turns round inside the travel."""


class NotKnown(BikewrightError):
    """The answer waits for a value that nobody has given yet."""


class OutsideValidity(BikewrightError, ValueError):
    """The question is outside what the method can answer."""


class SolverDidNotSettle(BikewrightError):
    """An iteration stopped short of its tolerance."""

    exit_code = 3


class EnvironmentFault(BikewrightError):
    """This machine lacks something that the command needs."""

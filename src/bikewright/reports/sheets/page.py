"""A sheet on paper as data: its title block and the blocks that follow each other down the page.

Question answered   What stands on the sheet, in which order?
Method              Frozen blocks that hold texts ready to print and drawings as SVG. `frame.typ` lays them out;
                    everything reaches it as one JSON document, so that no text can become source.
Axes and signs      Millimetres of paper.
Left out            Anything computed; the look, which `frame.typ` alone decides.
"""

import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import bikewright
from bikewright.model.digest import digest
from bikewright.reports.comparison import CAUTION

Paper = Literal["a4", "letter"]
Tone = Literal["ink", "accent", "muted"]

MARGIN_MM = 14.0
"""Free rim to the left and right of everything [mm]."""
WIDTHS_MM: dict[Paper, float] = {"a4": 210.0, "letter": 215.9}
"""Width of a paper held upright [mm]: ISO 216 A4, and 8.5 by 11 in."""
LONGEST_WORD, PIECE = 28, 14
"""A word longer than the first may be broken after every so many characters as the second says."""
STAMP = f"bikewright {bikewright.__version__}"
"""Which version made a sheet."""
ZERO_WIDTH_SPACE = "\u200b"
CELL_AT_MOST = 64
"""Longest text in a cell of the title block, in characters."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of a table."""

    text: str
    below: str = ""
    """Second line, small."""
    tone: Tone = "ink"


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table."""

    head: str
    align: Literal["left", "right"] = "left"
    share: float = 1.0
    """Width, as a share of the width of the table over the sum of all shares."""


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table, with lines below it that go over all columns."""

    cells: tuple[Cell, ...]
    notes: tuple[str, ...] = ()
    steps: float | None = None
    """Length of the bar in the last column, in felt steps; None for no bar."""


@dataclass(frozen=True, slots=True)
class Heading:
    """Heading of a part of the sheet."""

    text: str
    beside: str = ""
    """What stands small beside it."""
    kind: Literal["heading"] = "heading"


@dataclass(frozen=True, slots=True)
class Prose:
    """A paragraph."""

    text: str
    tone: Tone = "ink"
    kind: Literal["prose"] = "prose"


@dataclass(frozen=True, slots=True)
class Alert:
    """What must not be overlooked, in a box of the accent's colour."""

    heading: str
    items: tuple[str, ...]
    kind: Literal["alert"] = "alert"


@dataclass(frozen=True, slots=True)
class Numbered:
    """Numbered lines."""

    items: tuple[str, ...]
    kind: Literal["numbered"] = "numbered"


@dataclass(frozen=True, slots=True)
class Table:
    """A table; each row stays in one piece, and its head comes again on the next page."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    bars: bool = False
    """Whether a bar stands at the end of each row."""
    head: bool = True
    """Whether the heads of the columns are told; not where the table above has told them."""
    kind: Literal["table"] = "table"


@dataclass(frozen=True, slots=True)
class Part:
    """A heading inside a table of several parts: number and text."""

    number: str
    text: str
    kind: Literal["part"] = "part"


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing in its own size."""

    svg: str
    width_mm: float
    told: str
    """What it shows, for those who do not see it."""
    scale: str = ""
    """As in ``1:10``, where it has one."""


@dataclass(frozen=True, slots=True)
class Pictures:
    """Drawings beside each other."""

    pictures: tuple[Picture, ...]
    below: str = ""
    """What is said of them."""
    kind: Literal["pictures"] = "pictures"


@dataclass(frozen=True, slots=True)
class Break:
    """What follows begins on a new page."""

    kind: Literal["break"] = "break"


Block = Heading | Prose | Alert | Numbered | Table | Part | Pictures | Break


@dataclass(frozen=True, slots=True)
class Field:
    """A cell of the title block."""

    caption: str
    text: str
    share: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A whole sheet, over as many pages as it takes."""

    title: str
    """What kind of sheet it is: ``change note``."""
    subject: str
    """What it is about, in a line: it heads the pages after the first, and names the document."""
    key: str
    """What tells it from every other sheet of its kind."""
    fields: tuple[tuple[Field, ...], ...]
    """Rows of the title block."""
    blocks: tuple[Block, ...]
    maker: str = ""
    paper: Paper = "a4"
    stamp: str = STAMP
    """Which version made it."""
    caution: str = CAUTION


def room_mm(paper: Paper) -> float:
    """Width between the margins [mm]."""
    return WIDTHS_MM[paper] - 2 * MARGIN_MM


def left_out(told: str) -> str:
    """What is not modelled, as it stands below a heading that says so."""
    text = told.removeprefix("Not modelled: ")
    return f"{text[:1].upper()}{text[1:]}"


def sheet_number(content: Any) -> str:
    """The number of a sheet: the first twelve characters of the digest of what it tells of."""
    return digest(content)[:12]


def cut(text: str, most: int = CELL_AT_MOST) -> str:
    """A text for the title block: cut where it would push everything else off the page."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def printable(text: str, is_held: Callable[[str], bool]) -> str:
    """A text as it can be set and read on paper.

    Runs of white space become one space. What cannot be seen or would turn the direction of writing becomes its
    number, as in ``[U+202E]``, so that a name cannot hide or reorder text; so does a character that the typeface does
    not hold. A word too long for a line may be broken.

    Parameters
    ----------
    text : str
        Any text.
    is_held : callable
        Whether the typeface holds a character.

    Returns
    -------
    str
        One line.
    """
    words = "".join(" " if character.isspace() else _shown(character, is_held) for character in text)
    return " ".join(_breakable(word) for word in words.split())


def _shown(character: str, is_held: Callable[[str], bool]) -> str:
    if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Cn", "Co") or not is_held(character):
        return f"[U+{ord(character):04X}]"
    return character


def _breakable(word: str) -> str:
    if len(word) <= LONGEST_WORD:
        return word
    return ZERO_WIDTH_SPACE.join(word[at : at + PIECE] for at in range(0, len(word), PIECE))

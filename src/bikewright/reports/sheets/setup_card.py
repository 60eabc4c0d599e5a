"""The set-up card: one rider's settings of one build, to take along.

Question answered   What does the rider, or the mechanic of the shop, turn and measure, in which order?
Method              The steps of `bikewright.reports.setup`, laid out by `card.typ` on A6 or as wide as a phone, with a
                    code that leads back to the card, or holds the settings where no address is given.
Axes and signs      Millimetres of paper.
Left out            A date: the same set-up gives the same bytes on any day.
"""

import io
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Literal

from bikewright.errors import OutsideValidity
from bikewright.reports.comparison import CAUTION
from bikewright.reports.setup import (
    NOT_MODELLED,
    PRESSURE_CAUTION,
    Step,
    compact_text,
    reference_text,
    rider_text,
    setup_steps,
)
from bikewright.reports.sheets.page import STAMP, cut, sheet_number
from bikewright.reports.sheets.pdf import data_for
from bikewright.reports.typesetting import typeset
from bikewright.reports.wording import ShownUnits, place_text
from bikewright.reports.writing import write_bytes
from bikewright.studies.setup import Setup

CARDS = (".pdf", ".svg")
CODE_MM = {"a6": 24.0, "phone": 24.0}
"""Side of the code [mm]."""
MOST_IN_CODE = 900
"""Characters that a code of this size can hold and still be read by a phone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What stands on a card."""

    card: Literal["a6", "phone"]
    title: str
    subject: str
    rider: str
    heads: tuple[str, ...]
    key: str
    refused: tuple[str, ...]
    steps: tuple[Step, ...]
    cautions: tuple[str, ...]
    foot: tuple[str, ...]
    code: str
    """What the code holds."""
    code_svg: str
    code_told: str
    code_mm: float
    stamp: str = STAMP


def setup_card(setup: Setup, units: ShownUnits, *, card: Literal["a6", "phone"] = "a6", address: str = "") -> Card:
    """Lay a set-up card out.

    Parameters
    ----------
    setup : Setup
        The set-up.
    units : ShownUnits
        Units of the reader.
    card : str
        ``a6`` or ``phone``.
    address : str
        That the code leads to; empty: the code holds the settings.

    Raises
    ------
    OutsideValidity
        If the code would hold more than a phone can read.
    """
    build = setup.build
    code = address or compact_text(setup)
    heads = [f"wanted sag: {_wanted(setup)}"]
    if setup.springs.reference:
        heads.append(f"told against '{setup.springs.reference}'")
    return Card(
        card=card,
        title="Set-up",
        subject=cut(f"{build.frame.name}, size {build.size}, {build.name}", 60),
        rider=cut(rider_text(build.rider, units), 60),
        heads=tuple(heads),
        key=sheet_number((build, setup.springs.reference)),
        refused=tuple(f"{place_text(one.address)}: {one.text}" for one in setup.refused),
        steps=setup_steps(setup, units),
        cautions=(PRESSURE_CAUTION, CAUTION),
        foot=(reference_text(setup, ""), NOT_MODELLED),
        code=code,
        code_svg=_code(code),
        code_told="back to this card" if address else "these settings as text",
        code_mm=CODE_MM[card],
    )


def _wanted(setup: Setup) -> str:
    return ", ".join(f"{end.end} {end.wanted_sag_pct:g} %" for end in setup.springs.ends) or "none: nothing is sprung"


def _code(content: str) -> str:
    """A QR code (ISO/IEC 18004) as SVG."""
    import segno

    if len(content) > MOST_IN_CODE:
        raise OutsideValidity(
            f"the code would hold {len(content)} characters, {len(content) - MOST_IN_CODE} more than a phone reads at "
            "this size; give a shorter --address"
        )
    out = io.BytesIO()
    segno.make(content, micro=False, error="m").save(out, kind="svg", border=2, svgclass=None, lineclass=None)
    return out.getvalue().decode()


def card_bytes(card: Card, kind: Literal["pdf", "svg"]) -> bytes:
    """The card as a file; the same bytes for the same set-up.

    Raises
    ------
    EnvironmentFault
        If typst or the font is missing on this machine.
    OutsideValidity
        If it cannot be set.
    """
    source, data = data_for("card.typ", asdict(card))
    return typeset(source, kind, data)


def write_card(path: Path, card: Card) -> None:
    """Write a card in the format that the file's ending names.

    Raises
    ------
    OutsideValidity
        If the ending names no format of a card.
    EnvironmentFault
        If this machine lacks what it needs, or the folder is not there or cannot be written.
    """
    write_bytes(path, card_bytes(card, "svg" if path.suffix.lower() == ".svg" else "pdf"), CARDS)

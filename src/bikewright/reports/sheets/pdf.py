"""A sheet on paper as PDF.

Question answered   How does a sheet become a file that can be handed over, the same bytes for the same answer?
Method              `frame.typ`, which is part of this package, lays out one JSON document that holds every text and
                    every drawing. No date goes into the file but one that stands on the sheet.
Left out            Nothing is fetched.
"""

import json
from dataclasses import asdict, replace
from functools import cache
from importlib.resources import files
from typing import Any

from bikewright.reports.sheets.page import MARGIN_MM, Page, printable
from bikewright.reports.svg import FONT_FAMILY, PAPER
from bikewright.reports.typesetting import is_held, typeset

PRINT = replace(PAPER, paper="#ffffff")
"""The theme of drawings on paper: nothing is printed where nothing is drawn."""
_NOT_PROSE = ("svg", "code_svg", "code", "card", "kind", "align", "tone", "paper")
"""Fields that hold no text to read."""


@cache
def _source(name: str) -> bytes:
    return files("bikewright.reports.sheets").joinpath(name).read_bytes()


def to_pdf(page: Page) -> bytes:
    """Lay a sheet out and write it as PDF.

    Parameters
    ----------
    page : Page
        What stands on it.

    Returns
    -------
    bytes
        The PDF file; the same bytes for the same sheet.

    Raises
    ------
    EnvironmentFault
        If typst or the font is missing on this machine, or typst warns.
    OutsideValidity
        If it cannot be set.
    """
    source, data = data_for("frame.typ", {**asdict(page), "margin_mm": MARGIN_MM})
    return typeset(source, "pdf", data)


def data_for(source: str, document: dict[str, Any]) -> tuple[bytes, dict[str, str]]:
    """Source of a layout of this package, and what it reads: the document with every text printable, face, colours.

    Parameters
    ----------
    source : str
        Name of the layout's file.
    document : dict
        Fields of the sheet.

    Returns
    -------
    bytes, dict of str to str
        For `bikewright.reports.typesetting.typeset`.
    """
    whole = {
        **_clean("", document),
        "face": FONT_FAMILY,
        "theme": {"ink": PRINT.ink, "accent": PRINT.accent, "muted": PRINT.muted, "pale": PRINT.pale},
    }
    return _source(source), {"sheet": json.dumps(whole, ensure_ascii=False, allow_nan=False)}


def _clean(name: str, thing: Any) -> Any:
    """The document with every text made printable."""
    if isinstance(thing, dict):
        return {key: _clean(key, value) for key, value in thing.items()}
    if isinstance(thing, list | tuple):
        return [_clean(name, item) for item in thing]
    if isinstance(thing, str) and name not in _NOT_PROSE:
        return printable(thing, is_held)
    return thing

"""The words: every quantity and state with what it means.

Question answered   What does this word in a table mean, in which unit, and how small a change of it is felt?
Method              The catalogue, family by family.
Left out            How a quantity is computed: each names its theory page.
"""

from bikewright.quantities import CATALOGUE, FAMILIES, STATES, Quantity
from bikewright.reports.tables import columns
from bikewright.reports.wording import ShownUnits, felt_step_text

SCOPES = {"build": "", "state": "@state", "travel": "curve", "fork": "curve"}


def glossary_lines(word: str = "") -> list[str]:
    """The catalogue as text; with a word, only the entries that hold it."""
    found = [quantity for quantity in CATALOGUE.values() if _holds(quantity, word.lower())]
    if not found:
        return [f"no quantity holds '{word}'"]
    lines = []
    for family, heading in FAMILIES.items():
        rows = [
            (quantity.key, SCOPES[quantity.scope], f"{quantity.label}. {quantity.meaning}{_step(quantity)}")
            for quantity in found
            if quantity.family == family
        ]
        if rows:
            lines += [heading, *columns(rows, "lll"), ""]
    if not word:
        lines += ["states", *columns(list(STATES.items()), "ll"), ""]
        lines.append("Felt steps are common practice with no source; the brief overrides each of them.")
    return lines


def _holds(quantity: Quantity, word: str) -> bool:
    return any(word in text.lower() for text in (quantity.key, quantity.label, quantity.meaning))


def _step(quantity: Quantity) -> str:
    if quantity.felt_step is None:
        return ""
    return f" Felt from {felt_step_text(quantity, quantity.felt_step, ShownUnits())}."

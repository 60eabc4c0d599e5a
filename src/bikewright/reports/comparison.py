"""What follows from a change, as a page of text: refusals, verdicts, then the causes with their headlines.

Question answered   How does the answer to a change read on a terminal?
Method              Refusals first, then what the brief judges otherwise, then one block a cause, the most felt
                    first; in it a headline a family, and the family's other quantities as its echoes.
Axes and signs      None.
Left out            Changes that nobody feels, unless everything is asked for.
"""

import textwrap
from collections.abc import Sequence

from bikewright.quantities import FAMILIES
from bikewright.reports.tables import WIDTH, columns, paragraph, refusal_lines
from bikewright.reports.wording import (
    ARROW,
    ShownUnits,
    band_text,
    cause_text,
    change_of,
    consequence_text,
    label,
    lost_by_reason,
    place_text,
    pulls_texts,
    steps_text,
    verdict_text,
)
from bikewright.studies.compare import FELT, Cause, Comparison, Consequence, Headline

HEADLINES_AT_MOST = 12
"""More headlines than this are not read; the rest are counted."""


def comparison_lines(comparison: Comparison, units: ShownUnits, *, everything: bool = False) -> list[str]:
    """A comparison of one size, as lines of text.

    Parameters
    ----------
    comparison : Comparison
        The answer.
    units : ShownUnits
        Units that the reader picked.
    everything : bool
        Also tell what nobody feels.

    Returns
    -------
    list of str
        Lines of at most 100 columns.
    """
    after = comparison.after
    lines = [f"{after.frame.name}, size {after.size}: from {comparison.before.name}, what follows, most felt first", ""]
    lines += refusal_lines(comparison.refusals) + _verdicts(comparison, units)
    left = HEADLINES_AT_MOST
    quiet = [cause for cause in comparison.causes if cause.steps < FELT and not cause.pulls and not everything]
    loud = [cause for cause in comparison.causes if cause not in quiet]
    for number, cause in enumerate(loud, start=1):
        block, used = _cause(number, cause, units, everything, left)
        left -= used
        lines += block
    if quiet:
        told = "; ".join(cause_text(cause, units) for cause in quiet)
        lines += [*paragraph(f"Changed as well, and nobody feels it: {told}"), ""]
    lines += _stopped(comparison)
    if not comparison.causes:
        lines += ["Nothing differs between the two builds.", ""]
    return lines + _not_felt(comparison, everything) + paragraph(NOT_MODELLED) + paragraph(CAUTION)


NOT_MODELLED = (
    "Not modelled: flex of frame, fork and wheels, play in pivots, damping away from rest, air drag. "
    "A standing rider is taken on level cranks with light hands."
)
CAUTION = (
    "Limits printed on a part come first. Standards testing by an accredited lab comes before sale, a qualified "
    "mechanic before riding; local rules hold."
)


def sizes_lines(comparisons: Sequence[Comparison], units: ShownUnits) -> list[str]:
    """The same change over all sizes, the worst first, one line a headline."""
    rows = []
    for comparison in comparisons:
        word = f"{len(comparison.refusals)} refused" if comparison.refusals else "allowed"
        first = True
        for cause in comparison.causes:
            for headline in cause.headlines:
                if headline.lead.is_felt:
                    rows.append(
                        (
                            comparison.size if first else "",
                            word if first else "",
                            place_text(cause.address),
                            consequence_text(headline.lead, units),
                            steps_text(headline.steps),
                        )
                    )
                    first = False
        if first:
            rows.append((comparison.size, word, "", "nothing felt", ""))
    return ["All sizes, the worst first", *columns(rows, "llllr"), ""]


def _verdicts(comparison: Comparison, units: ShownUnits) -> list[str]:
    rows = []
    for consequence in comparison.verdicts:
        before, after = consequence.judged_before, consequence.judged_after
        if before is not None and after is not None:
            quantity = consequence.quantity
            told = f"{verdict_text(before, quantity, units)} {ARROW} {verdict_text(after, quantity, units)}"
            band = f"brief {band_text(after, quantity, units)}"
            rows.append((label(consequence.after), _both(consequence, units), told, band))
    return ["Brief", *columns(rows, "lrll"), ""] if rows else []


def _stopped(comparison: Comparison) -> list[str]:
    """Values that were lost, by the reason."""
    lines = []
    for reason, labels in lost_by_reason(comparison).items():
        lines += [*paragraph(f"No value any more: {reason}"), *paragraph(f"lost: {'; '.join(labels)}", indent=5), ""]
    return lines


def _cause(number: int, cause: Cause, units: ShownUnits, everything: bool, left: int) -> tuple[list[str], int]:
    """One cause with at most so many headlines as are left; the lines, and how many headlines they tell."""
    felt = [headline for headline in cause.headlines if headline.lead.is_felt or everything]
    lines = textwrap.wrap(f"{number}  {cause_text(cause, units)}", WIDTH, subsequent_indent="     ")
    shown = felt if everything else felt[: max(left, 0)]
    for headline in shown:
        lines += _headline(headline, units, everything)
    if len(felt) > len(shown):
        lines.append(f"     and {len(felt) - len(shown)} more; --all tells them")
    if cause.pulls:
        lines += paragraph(f"pulls as well, alone: {'; '.join(pulls_texts(cause, units))}", indent=5)
    return [*lines, ""], len(shown)


def _headline(headline: Headline, units: ShownUnits, everything: bool) -> list[str]:
    lead = headline.lead
    change = change_of(lead, units)
    head = f"{label(lead.after):<38}  {_both(lead, units):>19}  {change:>9}  {steps_text(lead.steps):>9}"
    line, share = f"     {head}".rstrip(), share_text(lead, units)
    lines = [f"{line}  {share}" if share and len(line) + 2 + len(share) <= WIDTH else line]
    if share and len(lines[0]) == len(line):
        lines.append(f"        {share}")
    echoes = [echo for echo in headline.echoes if everything or is_shown(echo)]
    if echoes:
        lines += paragraph(
            f"with it: {'; '.join(consequence_text(echo, units, lead.after.state) for echo in echoes)}", indent=8
        )
    return lines


def _both(consequence: Consequence, units: ShownUnits) -> str:
    quantity, before, after = consequence.quantity, consequence.before.number, consequence.after.number
    return f"{units.value(quantity, before)} {ARROW} {units.value(quantity, after)}"


def share_text(consequence: Consequence, units: ShownUnits) -> str:
    """What the cause changes alone, where other causes pull the same quantity by as much as can be seen."""
    share, change = consequence.own_share, consequence.change
    if share is None or change is None:
        return ""
    alone, together = (units.change(consequence.quantity, 0.0, number) for number in (share, change))
    return "" if alone == together else f"alone {alone}"


def is_shown(echo: Consequence) -> bool:
    """An echo that rounds to no change in the digits shown is not told."""
    change = echo.change
    return change is None or abs(change) >= 0.5 * 10.0**-echo.quantity.decimals


def _not_felt(comparison: Comparison, everything: bool) -> list[str]:
    quiet = [
        headline
        for cause in comparison.causes
        for headline in cause.headlines
        if headline.steps < FELT and cause.steps >= FELT
    ]
    if everything or not quiet:
        return []
    families = sorted({FAMILIES[headline.family] for headline in quiet})
    return [*paragraph(f"Changed, but less than a rider feels: {', '.join(families)}; --all tells them."), ""]

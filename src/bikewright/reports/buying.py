"""A firm's list of buyers beside the coverage, as text, as rows for a screen, and as marks in the chart.

Question answered   How many bought a size that fits by the bounds, how many came back on either side, and whom does no
                    size fit?
Method              The counts first; then buyers whose size does not fit; then those whom none fits.
Axes and signs      Marks lie in the axes of the coverage's chart: stature across, inseam up, in the reader's unit.
Left out            Anything computed.
"""

from typing import Any

from bikewright.reports.chart import Chart
from bikewright.reports.coverage import LENGTH, WHO, miss_text
from bikewright.reports.numbers import number_text
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import BLANK, ShownUnits, text_of
from bikewright.studies.buying import FEW, Buyer, Buyers, Part
from bikewright.studies.coverage import Column, column_of
from bikewright.units import convert

HEADS = ("", "share", "count")
OTHER_HEADS = ("line", "stature", "inseam", "bought", "fits", "returned")
MOST_ROWS = 30
"""Buyers whose size does not fit and who are told one by one."""
MOST_MARKS = 1500
"""Marks that a chart can hold; of a longer list every so manieth is drawn, and the note says so."""
ANSWERS = {True: "yes", False: "no", None: BLANK}
STYLES = {False: "kept", True: "returned", None: "unsaid"}
STYLE_WORDS = {"kept": "kept", "returned": "came back", "unsaid": "not said whether it came back"}


def buyers_lines(found: Buyers, units: ShownUnits) -> list[str]:
    """A list of buyers beside the coverage, as lines of text."""
    rows = [("", "share", "of"), *((word, _part_text(part), str(part.of)) for word, part in _parts(found))]
    lines = ["", *paragraph(buyers_heading(found)), *columns(rows, "lrr")]
    for note in buyers_notes(found):
        lines += paragraph(note, 2)
    others, more = other_rows(found, units)
    if others:
        table = columns([OTHER_HEADS, *others], "rrrlll")
        lines += ["", "Bought a size that does not fit", *table, *([f"  and {more} more"] if more else [])]
    if found.unfitted:
        lines += ["", f"No size fits {len(found.unfitted)} of them"]
        for told in unfitted_texts(found, units):
            lines += paragraph(told, 2)
    return lines


def buyers_data(found: Buyers, charts: dict[Column, Chart], units: ShownUnits) -> dict[str, Any]:
    """A list of buyers beside the coverage, ready to show.

    Parameters
    ----------
    found : Buyers
        The list.
    charts : dict
        The coverage's charts of men and of women, in whose axes the marks lie.
    units : ShownUnits
        Units that the reader picked.

    Returns
    -------
    dict
        Heading, counts, notes, who bought a size that does not fit, whom none fits, and ``marks`` of men and of women.
    """
    others, more = other_rows(found, units)
    return {
        "heading": buyers_heading(found),
        "heads": HEADS,
        "rows": [(word, _part_text(part), f"{part.count} of {part.of}") for word, part in _parts(found)],
        "notes": buyers_notes(found),
        "other_heads": OTHER_HEADS,
        "others": others,
        "others_more": f"and {more} more" if more else "",
        "unfitted_heading": f"No size fits {len(found.unfitted)} of them" if found.unfitted else "",
        "unfitted": unfitted_texts(found, units),
        "marks": {WHO[column]: _marks(found, column, chart, units) for column, chart in charts.items()},
    }


def buyers_heading(found: Buyers) -> str:
    """Whose list it is."""
    return f"The {len(found.buyers)} people of {found.file}, by stature and inseam"


def buyers_notes(found: Buyers) -> list[str]:
    """What is to be known of the counts."""
    notes = []
    if min(found.returned(True).of, found.returned(False).of) < FEW:
        notes.append(
            f"Fewer than {FEW} stand on one side: a difference of these shares may be chance. That a bike came back is "
            "not to say that its size was why."
        )
    unsaid = sum(buyer.person.inseam_mm is None for buyer in found.buyers)
    if unsaid:
        notes.append(f"{unsaid} without an inseam: taken by the mean share of the stature.")
    return notes


def other_rows(found: Buyers, units: ShownUnits) -> tuple[list[tuple[str, ...]], int]:
    """Buyers whose size does not fit, with the sizes that would, under `OTHER_HEADS`; and how many more there are."""
    wrong = [buyer for buyer in found.buyers if buyer.bought_fits is False and buyer.named]
    rows: list[tuple[str, ...]] = [
        (
            str(buyer.person.line),
            *_lengths(buyer, units),
            buyer.person.size,
            ", ".join(buyer.named),
            ANSWERS[buyer.person.returned],
        )
        for buyer in wrong[:MOST_ROWS]
    ]
    return rows, max(len(wrong) - MOST_ROWS, 0)


def unfitted_texts(found: Buyers, units: ShownUnits) -> list[str]:
    """A sentence for each buyer whom no size fits, as far as they are told: what the nearest size misses."""
    told = []
    for buyer in found.unfitted:
        if buyer.nearest:
            stature, inseam = _lengths(buyer, units)
            told.append(
                f"line {buyer.person.line}, {stature}, inseam {inseam}: nearest {buyer.nearest}; "
                f"{miss_text(buyer.bound, units)}"
            )
    return told


def _parts(found: Buyers) -> tuple[tuple[str, Part], ...]:
    return (
        ("bought a size that fits by these bounds", found.agree),
        ("bought the size that is named first", found.agree_first),
        ("came back, of those that fit", found.returned(True)),
        ("came back, of those that do not fit", found.returned(False)),
    )


def _part_text(part: Part) -> str:
    return BLANK if part.pct is None else f"{number_text(part.pct, 0)} %"


def _lengths(buyer: Buyer, units: ShownUnits) -> tuple[str, str]:
    return text_of(buyer.person.height_mm, LENGTH, units), text_of(buyer.inseam_mm, LENGTH, units)


def _marks(found: Buyers, column: Column, chart: Chart, units: ShownUnits) -> dict[str, Any]:
    """Where buyers stand in the chart of men or of women, and what of them is not drawn."""
    unit = units.of("mm")
    own = [buyer for buyer in found.buyers if column_of(buyer.person) == column]
    inside = []
    for buyer in own:
        x, y = (convert(value, "mm", unit) for value in (buyer.person.height_mm, buyer.inseam_mm))
        if _within(x, chart.x.low, chart.x.high) and _within(y, chart.y.low, chart.y.high):
            inside.append({"x": round(x, 2), "y": round(y, 2), "style": STYLES[buyer.person.returned]})
    every = -(-len(inside) // MOST_MARKS) or 1
    notes = [f"marks: the {len(own)} {WHO[column]} of {found.file}" if own else f"no {WHO[column]} in {found.file}"]
    if len(own) > len(inside):
        notes.append(f"{len(own) - len(inside)} of them lie outside of the chart")
    if every > 1:
        notes.append(f"one in {every} is drawn")
    counts = {style: sum(one["style"] == style for one in inside) for style in STYLE_WORDS}
    return {
        "points": inside[::every],
        "key": [(style, f"{STYLE_WORDS[style]}, {count}") for style, count in counts.items() if count],
        "note": "; ".join(notes),
    }


def _within(value: float, low: float | None, high: float | None) -> bool:
    return (low is None or value >= low) and (high is None or value <= high)

"""Whom the sizes fit, as a page of text, as CSV and as JSON; in the JSON a firm's list of buyers beside it.

Question answered   Whom does each size fit, what ends its band, where do sizes overlap or leave a gap, and how many
                    people is that?
Method              First the bands of people of mean proportions and the shares; then size by size what begins and ends
                    the band; then neighbours.
Axes and signs      None.
Left out            Anything computed; the list as text: `bikewright.reports.buying`.
"""

import csv
import io
from typing import Any

from bikewright.reports.as_json import VERSION, build_json
from bikewright.reports.by_size import by_size_json, by_size_rows
from bikewright.reports.numbers import number_text
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import BLANK, Shown, ShownUnits, text_of
from bikewright.sources import SOURCES
from bikewright.studies.bands import Band, Edge, Line
from bikewright.studies.bounds import HEEL_TO_LINK, HEEL_TO_STAY, Bound
from bikewright.studies.buying import Buyers, Part
from bikewright.studies.coverage import COLUMNS, SOURCE, Coverage, Crowd, Neighbours, Shares, SizeCoverage, Span

WHO = {"male": "men", "female": "women"}
SOLDIERS = "soldiers of one army, not customers"
NOT_MODELLED = (
    "Not modelled: what a rider likes, suppleness, arms longer or shorter than their stature's; statures and inseams "
    "that are not normal. The bike stands at its stated sag, as it will when it is set up for the rider. A size that "
    "fits by these bounds is one to try first; the bounds are defaults."
)


LENGTH, ANGLE, SHARE, SHARE_FINE = Shown("mm", 0), Shown("deg", 0), Shown("pct", 0), Shown("pct", 1)


def crowd_text(crowd: Crowd) -> str:
    """Which people the shares are of, as a sentence."""
    if crowd.listed:
        told = f"Shares are those of the {len(crowd.listed)} people of {crowd.file}, counted."
        if crowd.unsaid:
            told += f" {crowd.unsaid} of them are taken as men, since the list does not say."
        return told
    return (
        f"Shares are those of a survey: {SOURCES[SOURCE]} These are {SOLDIERS}. Mixed: {crowd.women_pct:g} % women, "
        f"{'a default' if crowd.women_pct == 50.0 else 'as asked'}."
    )


def bound_text(bound: Bound | None, units: ShownUnits, low: str = "at least", high: str = "at most") -> str:
    """What ends a band, in words."""
    if bound is None:
        return "goes on beyond the statures asked about"
    if bound.told or bound.limit is None:
        return ": ".join(part for part in (bound.where, bound.told) if part)
    if bound.limit == 0.0 and bound.unit == "mm":
        return {HEEL_TO_STAY: "the heel meets the stay", HEEL_TO_LINK: "the heel meets the rocker or a link"}.get(
            bound.what, "the lowered saddle meets the tyre at full travel"
        )
    limit = text_of(bound.limit, ANGLE if bound.unit == "deg" else LENGTH, units)
    return f"{bound.where}: {bound.what} {low if bound.side == 'low' else high} {limit}"


def miss_text(bound: Bound | None, units: ShownUnits) -> str:
    """What somebody misses, with by how much."""
    if bound is None:
        return ""
    if bound.by is None:
        return bound_text(bound, units)
    shown = Shown(bound.unit, 1)
    by = text_of(bound.by, shown, units)
    if by == text_of(0.0, shown, units):
        by = "a hair"
    return f"{bound_text(bound, units)}, missed by {by}"


def coverage_lines(found: Coverage, units: ShownUnits) -> list[str]:
    """A coverage as lines of text of at most 100 columns."""
    heading = f"{found.build.frame.name}, {found.build.name}: whom the sizes fit"
    return [
        *paragraph(heading),
        *paragraph(crowd_text(found.crowd)),
        "",
        *_table(found, units),
        "",
        *_by_size(found, units),
        *(line for size in found.sizes for line in _size_lines(size, units)),
        "",
        "Sizes that follow each other, at the mean inseam",
        *(line for pair in found.neighbours for line in paragraph(neighbours_text(pair, units), 2)),
        "",
        *_ranges(found),
        *paragraph(NOT_MODELLED),
    ]


HEADS = ("size", "men of mean legs", "women of mean legs", "men", "women", "mixed")


def _table(found: Coverage, units: ShownUnits) -> list[str]:
    return columns([HEADS, *band_rows(found, units)], "lrrrrr")


def band_rows(found: Coverage, units: ShownUnits) -> list[tuple[str, ...]]:
    """Bands and shares as cells, under `HEADS`."""
    rows: list[tuple[str, ...]] = []
    rows += [
        (size.size, _band_text(size.men, units), _band_text(size.women, units), *share_texts(size.shares))
        for size in found.sizes
    ]
    rows += [
        (word, "", "", *share_texts(shares))
        for word, shares in (("any size", found.any), ("two or more", found.several), ("no size", found.none))
    ]
    return rows


def sold_rows(found: Coverage, units: ShownUnits) -> list[tuple[str, ...]]:
    """What goes with the size as cells: what, then size by size."""
    return by_size_rows([size.build for size in found.sizes], units)


def _by_size(found: Coverage, units: ShownUnits) -> list[str]:
    rows = sold_rows(found, units)
    heads = ("what goes with the size", *(size.size for size in found.sizes))
    return [*columns([heads, *rows], "l" * len(heads)), ""] if rows else []


def _band_text(band: Band, units: ShownUnits) -> str:
    if band.middle is None:
        return "nobody"
    return span_text(band.middle.low.stature_mm, band.middle.high.stature_mm, units)


def span_text(low_mm: float, high_mm: float, units: ShownUnits) -> str:
    """A span of statures: ``1734 mm to 1903 mm``."""
    return f"{text_of(low_mm, LENGTH, units)} to {text_of(high_mm, LENGTH, units)}"


def share_texts(shares: Shares) -> tuple[str, str, str]:
    """Shares of men, of women and of the mixed, as texts."""
    texts = [BLANK if pct is None else f"{number_text(pct, 1)} %" for pct in _three(shares)]
    return texts[0], texts[1], texts[2]


def _three(shares: Shares) -> tuple[float | None, float | None, float]:
    return shares.men_pct, shares.women_pct, shares.mixed_pct


def _size_lines(size: SizeCoverage, units: ShownUnits) -> list[str]:
    lines = [size.size]
    middle = size.men.middle
    if middle is None:
        lines += paragraph(nobody_text(size.men, units), 2)
    else:
        lines += paragraph(
            f"begins at {text_of(middle.low.stature_mm, LENGTH, units)}, men: {edge_text(middle.low, units)}", 2
        )
        lines += paragraph(
            f"ends at {text_of(middle.high.stature_mm, LENGTH, units)}, men: {edge_text(middle.high, units)}", 2
        )
    told = []
    if size.seat_low_mm is not None and size.seat_high_mm is not None:
        seat = f"{text_of(size.seat_low_mm, LENGTH, units)} to {text_of(size.seat_high_mm, LENGTH, units)}"
        told.append(f"saddle height {seat}")
    if size.hand_reach_mm is not None and size.hand_height_mm is not None:
        hands = (
            f"{text_of(size.hand_reach_mm, LENGTH, units)} ahead of and {text_of(size.hand_height_mm, LENGTH, units)}"
        )
        told.append(f"hands {hands} above the bottom bracket at sag")
    lines += paragraph("; ".join(told), 2) if told else []
    return lines + (paragraph(own_text(size, units), 2) if size.own is not None else [])


def edge_text(edge: Edge, units: ShownUnits) -> str:
    """What ends a band at one side."""
    return bound_text(edge.bound, units)


def nobody_text(band: Band, units: ShownUnits) -> str:
    """Why a size fits nobody of mean proportions: by how much the nearest misses what."""
    nearest = text_of(band.nearest_mm, LENGTH, units)
    return f"fits no one of mean proportions; the nearest, at {nearest}: {miss_text(band.nearest, units)}"


def own_text(size: SizeCoverage, units: ShownUnits) -> str:
    """The rider that a size is made for, and whether it fits them."""
    if size.own is None:
        return ""
    stature = size.own.rider.stature_mm
    told = f"made for {text_of(stature, LENGTH, units)} ({size.own.chosen})"
    if size.own_outside_mm is not None:
        told += f": outside its own band by {text_of(size.own_outside_mm, LENGTH, units)}"
    elif size.seated_length_mm is not None:
        told += f": seated, saddle to grip {text_of(size.seated_length_mm, LENGTH, units)}"
    return told


def neighbours_text(pair: Neighbours, units: ShownUnits) -> str:
    """Overlap or gap of two sizes, as a sentence."""
    parts = []
    for who, span in (("men", pair.men), ("women", pair.women)):
        if span is None:
            parts.append(f"{who}: one of them fits nobody")
        elif span.is_gap:
            parts.append(f"{who}: a gap from {_ends(span, units)}, {text_of(span.width_mm, LENGTH, units)}")
        else:
            parts.append(f"{who}: both fit {_ends(span, units)}, {text_of(span.width_mm, LENGTH, units)}")
    both = number_text(pair.both.mixed_pct, 1)
    return f"{pair.smaller} and {pair.larger}: {'; '.join(parts)}; both fit {both} % of the people"


def _ends(span: Span, units: ShownUnits) -> str:
    return span_text(span.low_mm, span.high_mm, units)


def _ranges(found: Coverage) -> list[str]:
    told = ranges_text(found)
    return paragraph(told) if told else []


def ranges_text(found: Coverage) -> str:
    """The bounds that stood in place of the fit's own, as a sentence; empty where none did."""
    told = []
    for (posture, angle), (low, high) in found.ranges.items():
        ends = [f"{word} {value:g}°" for word, value in (("at least", low), ("at most", high)) if value is not None]
        told.append(f"{posture} {angle} {' and '.join(ends)}")
    return f"Bounds as asked: {'; '.join(told)}." if told else ""


def coverage_csv(found: Coverage) -> str:
    """Every edge of every band as CSV: one row a size, men or women, and proportion of the legs."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(
        ["size", "people", "inseam_over_stature", "low_stature_mm", "low_inseam_mm", "high_stature_mm",
         "high_inseam_mm", "low_bound", "high_bound"]
    )  # fmt: skip
    plain = ShownUnits()
    for size in found.sizes:
        for column in COLUMNS:
            for line in size.band(column).lines:
                low, high = line.low, line.high
                numbers = (low.stature_mm, low.inseam_mm, high.stature_mm, high.inseam_mm)
                texts = [edge_text(edge, plain).replace("\u2212", "-") for edge in (low, high)]
                writer.writerow(
                    [size.size, WHO[column], f"{line.share:.4f}", *(f"{value:.1f}" for value in numbers), *texts]
                )
    return out.getvalue()


# JSON


def coverage_json(found: Coverage, buyers: Buyers | None = None) -> dict[str, Any]:
    """A coverage for programs, with the list of buyers where one was laid beside it."""
    document: dict[str, Any] = {
        "format": "bikewright/coverage",
        "version": VERSION,
        "build": build_json(found.build),
        "people": {
            "source": found.crowd.file or SOURCE,
            "count": len(found.crowd.listed) or None,
            "women_pct": found.crowd.women_pct,
            "note": crowd_text(found.crowd),
        },
        "bounds": [
            {"posture": posture, "angle": angle, "low_deg": low, "high_deg": high}
            for (posture, angle), (low, high) in found.ranges.items()
        ],
        "by_size": by_size_json([size.build for size in found.sizes]),
        "sizes": [_size_json(size) for size in found.sizes],
        "neighbours": [
            {
                "smaller": pair.smaller,
                "larger": pair.larger,
                "men": _span_json(pair.men),
                "women": _span_json(pair.women),
                "both": shares_json(pair.both),
            }
            for pair in found.neighbours
        ],
        "any": shares_json(found.any),
        "none": shares_json(found.none),
        "several": shares_json(found.several),
        "not_modelled": NOT_MODELLED,
    }
    if buyers is not None:
        document["buyers"] = _buyers_json(buyers)
    return document


def shares_json(shares: Shares) -> dict[str, float | None]:
    """Shares of men, of women and of the mixed."""
    return {"men_pct": shares.men_pct, "women_pct": shares.women_pct, "mixed_pct": shares.mixed_pct}


def _span_json(span: Span | None) -> dict[str, Any] | None:
    return None if span is None else {"low_mm": span.low_mm, "high_mm": span.high_mm, "gap": span.is_gap}


def _size_json(size: SizeCoverage) -> dict[str, Any]:
    own = size.own
    return {
        "size": size.size,
        "key": build_json(size.build)["key"],
        "men": _band_json(size.men),
        "women": _band_json(size.women),
        "shares": shares_json(size.shares),
        "own_rider": None
        if own is None
        else {"stature_mm": own.rider.stature_mm, "inseam_mm": own.rider.inseam_mm, "chosen": own.chosen},
        "seat_low_mm": size.seat_low_mm,
        "seat_high_mm": size.seat_high_mm,
        "hand_reach_mm": size.hand_reach_mm,
        "hand_height_mm": size.hand_height_mm,
        "seated_length_mm": size.seated_length_mm,
    }


def _band_json(band: Band) -> dict[str, Any]:
    return {
        "middle": None if band.middle is None else _line_json(band.middle),
        "lines": [_line_json(line) for line in band.lines],
        "outline": [list(point) for point in band.outline],
        "nearest": None
        if band.nearest is None
        else {"stature_mm": band.nearest_mm, "misses": miss_text(band.nearest, ShownUnits())},
    }


def _line_json(line: Line) -> dict[str, Any]:
    def edge(one: Edge) -> dict[str, Any]:
        return {
            "stature_mm": one.stature_mm,
            "inseam_mm": one.inseam_mm,
            "bound": None if one.bound is None else edge_text(one, ShownUnits()),
        }

    return {"inseam_over_stature": line.share, "low": edge(line.low), "high": edge(line.high)}


def _buyers_json(found: Buyers) -> dict[str, Any]:
    def part(one: Part) -> dict[str, Any]:
        return {"count": one.count, "of": one.of, "pct": one.pct}

    return {
        "file": found.file,
        "agree": part(found.agree),
        "agree_first": part(found.agree_first),
        "returned_of_fits": part(found.returned(True)),
        "returned_of_misfits": part(found.returned(False)),
        "people": [
            {
                "line": buyer.person.line,
                "height_mm": buyer.person.height_mm,
                "inseam_mm": buyer.inseam_mm,
                "size": buyer.person.size or None,
                "returned": buyer.person.returned,
                "named": list(buyer.named),
                "first": buyer.first or None,
                "nearest": buyer.nearest or None,
                "misses": miss_text(buyer.bound, ShownUnits()) or None,
            }
            for buyer in found.buyers
        ],
    }

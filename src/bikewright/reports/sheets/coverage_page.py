"""Whom the sizes fit, on paper: the chart, the bands, what ends them, and neighbours.

Question answered   What is handed over about the coverage of a range of sizes?
Method              The coverage of the study, block by block.
Axes and signs      As in `bikewright.reports.coverage`.
Left out            A date: the same coverage gives the same sheet. The list of buyers, who are nobody's business.
"""

from collections.abc import Sequence

from bikewright.reports.coverage import (
    HEADS,
    NOT_MODELLED,
    band_rows,
    bound_text,
    crowd_text,
    neighbours_text,
    nobody_text,
    own_text,
    sold_rows,
)
from bikewright.reports.coverage_chart import coverage_chart
from bikewright.reports.sheets.page import (
    STAMP,
    Block,
    Cell,
    Column,
    Field,
    Heading,
    Page,
    Paper,
    Picture,
    Pictures,
    Prose,
    Row,
    Table,
    cut,
    left_out,
    room_mm,
    sheet_number,
)
from bikewright.reports.sheets.pdf import PRINT
from bikewright.reports.svg import to_svg
from bikewright.reports.wording import ShownUnits
from bikewright.studies.coverage import Coverage


def coverage_page(found: Coverage, units: ShownUnits, paper: Paper = "a4") -> Page:
    """Lay a coverage out.

    Parameters
    ----------
    found : Coverage
        The answer.
    units : ShownUnits
        Units that the reader picked.
    paper : str
        ``"a4"`` or ``"letter"``.

    Returns
    -------
    Page
        For `bikewright.reports.sheets.pdf.to_pdf`.
    """
    frame = found.build.frame
    chart = coverage_chart(found, units)
    blocks: list[Block] = [
        Prose(crowd_text(found.crowd)),
        Pictures((Picture(to_svg(chart, PRINT), room_mm(paper), chart.description),)),
        Heading("Bands and shares"),
        _bands(found, units),
        *_sold(found, units),
        Heading("What begins and ends each band", "men of mean proportions"),
        _edges(found, units),
        Heading("Sizes that follow each other"),
        *(Prose(neighbours_text(pair, units)) for pair in found.neighbours),
        Heading("Not modelled"),
        Prose(left_out(NOT_MODELLED), "muted"),
    ]
    return Page(
        title="coverage",
        subject=cut(f"{frame.name}, {found.build.name}: whom the sizes fit", 90),
        key=_number(found),
        fields=(
            (
                Field("bike", cut(frame.name), 1.2),
                Field("revision", cut(frame.revision), 0.6),
                Field("build", cut(found.build.name), 1.0),
                Field("made by", STAMP, 1.0),
            ),
        ),
        blocks=tuple(blocks),
        maker=cut(frame.maker),
        paper=paper,
    )


def _number(found: Coverage) -> str:
    """Other bounds or other people are another sheet."""
    bounds = tuple((*where, *ends) for where, ends in found.ranges.items())
    people = found.crowd.women_pct, tuple((one.height_mm, one.inseam_mm, one.build) for one in found.crowd.listed)
    return sheet_number((tuple(size.build for size in found.sizes), bounds, people))


def _bands(found: Coverage, units: ShownUnits) -> Table:
    shares = (0.8, 1.6, 1.6, 0.7, 0.7, 0.7)
    columns = (
        Column(head, "right" if place else "left", share)
        for place, (head, share) in enumerate(zip(HEADS, shares, strict=True))
    )
    return Table(tuple(columns), _rows(band_rows(found, units)))


def _sold(found: Coverage, units: ShownUnits) -> list[Block]:
    """What goes with the size, where anything does."""
    rows = sold_rows(found, units)
    heads = (("", 1.4), *((size.size, 1.0) for size in found.sizes))
    return [Heading("What goes with the size"), _table(heads, rows)] if rows else []


def _edges(found: Coverage, units: ShownUnits) -> Table:
    rows: list[tuple[str, ...]] = []
    for size in found.sizes:
        middle = size.men.middle
        if middle is None:
            rows.append((size.size, nobody_text(size.men, units), "", own_text(size, units)))
        else:
            ends = (bound_text(edge.bound, units) for edge in (middle.low, middle.high))
            rows.append((size.size, *ends, own_text(size, units)))
    return _table((("size", 0.5), ("begins", 1.7), ("ends", 1.7), ("rider", 1.9)), rows)


def _table(heads: tuple[tuple[str, float], ...], rows: Sequence[tuple[str, ...]]) -> Table:
    return Table(tuple(Column(text, "left", share) for text, share in heads), _rows(rows))


def _rows(rows: Sequence[tuple[str, ...]]) -> tuple[Row, ...]:
    return tuple(Row(tuple(Cell(text) for text in row)) for row in rows)

"""Whom the sizes fit, on paper: the chart, the bands, what ends them, and neighbours.

Question answered   What is handed over about the coverage of a range of sizes?
Method              The coverage of the study, block by block.
Axes and signs      As in `bikewright.reports.coverage`.
Left out            A date: the same coverage gives the same sheet. The list of buyers, who are nobody's business.
"""

from collections.abc import Sequence

from bikewright.reports.coverage import (
    NOT_MODELLED,
    bound_text,
    crowd_text,
    neighbours_text,
    nobody_text,
    own_text,
    share_texts,
    sold_rows,
    span_text,
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
    room_mm,
    sheet_number,
)
from bikewright.reports.sheets.pdf import PRINT
from bikewright.reports.svg import to_svg
from bikewright.reports.wording import ShownUnits
from bikewright.studies.bands import Band
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
        Heading("Bands and shares", "people of mean proportions"),
        _bands(found, units),
        *_sold(found, units),
        Heading("What begins and ends each band", "men of mean proportions"),
        _edges(found, units),
        Heading("Sizes that follow each other"),
        *(Prose(neighbours_text(pair, units)) for pair in found.neighbours),
        Heading("Not modelled"),
        Prose(NOT_MODELLED.removeprefix("Not modelled: ").capitalize(), "muted"),
    ]
    return Page(
        title="coverage",
        subject=cut(f"{frame.name}, {found.build.name}: whom the sizes fit", 90),
        key=sheet_number(tuple(size.build for size in found.sizes)),
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


def _bands(found: Coverage, units: ShownUnits) -> Table:
    heads = (("size", 0.8), ("men", 1.6), ("women", 1.6), ("men", 0.7), ("women", 0.7), ("mixed", 0.7))
    rows = [
        (size.size, _band(size.men, units), _band(size.women, units), *share_texts(size.shares)) for size in found.sizes
    ]
    rows += [
        (word, "", "", *share_texts(shares))
        for word, shares in (("any size", found.any), ("two or more", found.several), ("no size", found.none))
    ]
    return _table(heads, rows)


def _sold(found: Coverage, units: ShownUnits) -> list[Block]:
    """What goes with the size, where anything does."""
    rows = sold_rows(found, units)
    heads = (("", 1.4), *((size.size, 1.0) for size in found.sizes))
    return [Heading("What goes with the size"), _table(heads, rows)] if rows else []


def _band(band: Band, units: ShownUnits) -> str:
    middle = band.middle
    return "nobody" if middle is None else span_text(middle.low.stature_mm, middle.high.stature_mm, units)


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
    columns = tuple(Column(text, "left", share) for text, share in heads)
    return Table(columns, tuple(Row(tuple(Cell(text) for text in row)) for row in rows))

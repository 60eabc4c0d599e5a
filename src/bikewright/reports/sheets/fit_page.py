"""A rider's fit on paper: what is missed, the rider on the bike, every angle beside its range, saddle, post, cockpit.

Question answered   What is handed over about how this rider fits this build?
Method              The fit of the study, block by block; the picture in one posture.
Axes and signs      As in `bikewright.reports.fit`.
Left out            A date: the same fit gives the same sheet.
"""

from collections.abc import Sequence

from bikewright.reports.fit import (
    NOT_MODELLED,
    POPULATION_NOTE,
    RANGES_NOTE,
    angle_row,
    cockpit_rows,
    load_texts,
    percentile_text,
    post_rows,
    reach_texts,
    rider_text,
    rule_row,
    verdict_line,
)
from bikewright.reports.sheets.figures import fit_view
from bikewright.reports.sheets.page import (
    STAMP,
    Alert,
    Block,
    Cell,
    Column,
    Field,
    Heading,
    Page,
    Paper,
    Pictures,
    Prose,
    Row,
    Table,
    cut,
    left_out,
    room_mm,
    sheet_number,
)
from bikewright.reports.wording import ShownUnits
from bikewright.studies.fit_pose import FitPicture
from bikewright.studies.fitting import Fit


def fit_page(fit: Fit, picture: FitPicture, units: ShownUnits, paper: Paper = "a4") -> Page:
    """Lay a rider's fit out.

    Parameters
    ----------
    fit : Fit
        The answer.
    picture : FitPicture
        Its points in the posture that is drawn.
    units : ShownUnits
        Units that the reader picked.
    paper : str
        ``"a4"`` or ``"letter"``.

    Returns
    -------
    Page
        For `bikewright.reports.sheets.pdf.to_pdf`.
    """
    build, rider = fit.build, fit.rider
    blocks: list[Block] = []
    if fit.fits:
        blocks.append(Prose(verdict_line(fit)))
    else:
        blocks.append(Alert(verdict_line(fit), fit.reasons))
    view = fit_view(fit, picture, room_mm(paper), units)
    blocks += [Pictures((view,), f"{rider.name}, {picture.posture.label}, {view.scale}"), *_postures(fit, units)]
    blocks += [
        Prose(RANGES_NOTE, "muted"),
        Heading("Saddle height", f"{fit.saddle.chosen}"),
        _table((("rule", 2.2), ("asks for", 0.8), ("against it", 1.4), ("source", 1.8)),
               [rule_row(rule, units) for rule in fit.saddle.rules]),
        Heading("Post", fit.dropper.post or "none"),
        _table((("", 1.6), ("", 1.4)), post_rows(fit, units), head=False),
    ]  # fmt: skip
    told = [text for text in (fit.dropper.refusal, fit.dropper.waits and f"waits for {fit.dropper.waits}") if text]
    blocks += [Prose(text) for text in told]
    blocks += [
        Heading("Hands and feet"),
        _table((("", 1.6), ("", 1.4)), cockpit_rows(fit, units), head=False),
        *(Prose(text) for text in (*reach_texts(fit, units), *fit.cockpit.waits)),
        Heading("The rider among people"),
        Prose(", ".join(f"{one.measure}: {percentile_text(fit, one.measure)}" for one in fit.percentiles)
              + f" {POPULATION_NOTE}"),
        Heading("Not modelled"),
        Prose(left_out(NOT_MODELLED), "muted"),
    ]  # fmt: skip
    return Page(
        title="rider's fit",
        subject=cut(f"{build.frame.name}, size {build.size}: {rider.name}", 90),
        key=sheet_number((build, picture.posture.name)),
        fields=(
            (
                Field("bike", cut(build.frame.name), 1.2),
                Field("revision", cut(build.frame.revision), 0.6),
                Field("size", build.size, 0.5),
                Field("build", cut(build.name), 1.0),
            ),
            (Field("rider", cut(rider_text(fit, units)), 2.0), Field("made by", STAMP, 1.0)),
        ),
        blocks=tuple(blocks),
        maker=cut(build.frame.maker),
        paper=paper,
    )


def _postures(fit: Fit, units: ShownUnits) -> list[Block]:
    blocks: list[Block] = []
    for posture in fit.postures:
        blocks.append(Heading(posture.label[:1].upper() + posture.label[1:], "; ".join(load_texts(posture, units))))
        if posture.refusal:
            blocks.append(Prose(posture.refusal))
            continue
        rows = [angle_row(angle, units) for angle in posture.angles]
        heads = (("joint", 2.0), ("angle", 0.6), ("range", 1.0), ("verdict", 0.9), ("source", 1.7))
        blocks.append(_table(heads, rows))
    return blocks


def _table(heads: tuple[tuple[str, float], ...], rows: Sequence[tuple[str, ...]], head: bool = True) -> Table:
    """A table of plain texts."""
    columns = tuple(Column(text, "left", share) for text, share in heads)
    return Table(columns, tuple(Row(tuple(Cell(text) for text in row)) for row in rows), head=head)

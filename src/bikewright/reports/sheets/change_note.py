"""The change note: what was changed on a bike and what follows from it, to be handed over.

Question answered   What changed, what does the brief say of it, what would a rider notice, and how does the bike look
                    before and after?
Method              One comparison, in the order in which it has to be read: refusals, changes, the brief, then what
                    follows, by cause. Below it the side view with the build before dashed, the curves of the rear
                    suspension, and a table over all sizes where that is asked for. Every number is one of the
                    comparison or of the two answers that it compares.
Axes and signs      Changes are after less before.
Left out            A date, unless one is given: the same change gives the same sheet.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from bikewright.errors import BikewrightError
from bikewright.quantities import CATALOGUE, FAMILIES
from bikewright.reports.comparison import NOT_MODELLED, is_shown, share_text
from bikewright.reports.sheets.figures import curve_pictures, side_view
from bikewright.reports.sheets.page import (
    STAMP,
    Alert,
    Block,
    Cell,
    Column,
    Field,
    Heading,
    Numbered,
    Page,
    Paper,
    Part,
    Pictures,
    Prose,
    Row,
    Table,
    Tone,
    cut,
    left_out,
    room_mm,
    sheet_number,
)
from bikewright.reports.wording import (
    ARROW,
    BLANK,
    ShownUnits,
    band_text,
    cause_text,
    change_of,
    consequence_text,
    label,
    lost_by_reason,
    place_text,
    pulls_texts,
    state_text,
    steps_text,
    verdict_text,
)
from bikewright.studies.compare import FELT, Cause, Comparison, Consequence, Headline
from bikewright.studies.evaluate import evaluate
from bikewright.studies.verdicts import rider_of

MOST_SIZE_ROWS, ABREAST = 16, 7
"""Rows of the table over sizes, the rest is counted; and sizes that stand beside each other in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What a change note is made from."""

    comparison: Comparison
    """Of the size that the note is about."""
    sizes: tuple[Comparison, ...] = ()
    """The same change in every size; empty: the note is about one size."""
    units: ShownUnits = ShownUnits()
    paper: Paper = "a4"
    date: str = ""
    """Stands in the title block where it is given."""

    @property
    def key(self) -> str:
        """Number of the note: it depends on nothing but the two builds."""
        return sheet_number((self.comparison.before, self.comparison.after))


def change_note(note: Note) -> Page:
    """Lay a change note out.

    Parameters
    ----------
    note : Note
        The comparison and how it is to be shown.

    Returns
    -------
    Page
        For `bikewright.reports.sheets.pdf.to_pdf`.
    """
    comparison, units = note.comparison, note.units
    before, after = comparison.before, comparison.after
    blocks: list[Block] = [
        *_refused(note),
        *_lost(comparison),
        *_changed(comparison, units),
        *_brief(comparison, units),
        *_follows(comparison, units),
        *_over_sizes(note),
        *_pictures(note),
        Heading("Not modelled"),
        Prose(left_out(NOT_MODELLED), "muted"),
    ]
    builds = f"{before.name} {ARROW} {after.name}"
    return Page(
        title="change note",
        subject=cut(f"{after.frame.name}, size {after.size}: {builds}", 90),
        key=note.key,
        fields=_fields(note),
        blocks=tuple(blocks),
        maker=cut(after.frame.maker),
        paper=note.paper,
    )


def _fields(note: Note) -> tuple[tuple[Field, ...], ...]:
    before, after = note.comparison.before, note.comparison.after
    revision = after.frame.revision
    if before.frame.revision != revision:
        revision = f"{cut(before.frame.revision, 24) or BLANK} {ARROW} {cut(revision, 24) or BLANK}"
    rider = rider_of(after)
    if rider_of(before) != rider:
        rider = f"{rider_of(before) or BLANK} {ARROW} {rider or BLANK}"
    sizes = sorted((one.size for one in note.sizes), key=[size.name for size in after.frame.sizes].index)
    upper = (
        Field("bike", cut(after.frame.name), 1.2),
        Field("revision", cut(revision), 0.8),
        Field("size", after.size, 0.5),
        Field("table over sizes", cut(", ".join(sizes)), 1.1),
        Field("rider", cut(rider), 0.9),
    )
    lower = [
        Field("build before", before.name, 1.5),
        Field("build after", after.name, 1.5),
        Field("made by", STAMP, 1.0),
    ]
    if note.date:
        lower.insert(2, Field("date", note.date, 0.7))
    return upper, tuple(lower)


def _refused(note: Note) -> list[Block]:
    """Refusals of the size that the note is about, and of others where they differ."""
    told: dict[str, list[str]] = {}
    for one in note.sizes or (note.comparison,):
        for refusal in one.refusals:
            told.setdefault(f"{place_text(refusal.address)}: {refusal.text}", []).append(one.size)
    if not told:
        return []
    everywhere = len(note.sizes or (note.comparison,))
    items = (text if len(sizes) == everywhere else f"size {', '.join(sizes)}: {text}" for text, sizes in told.items())
    return [Alert("Refused: the build after may not be built", tuple(items))]


def _changed(comparison: Comparison, units: ShownUnits) -> list[Block]:
    if not comparison.causes:
        return [Heading("Changed"), Prose("Nothing differs between the two builds.")]
    blocks: list[Block] = [Heading("Changed", "in the order in which a rider would notice it")]
    blocks.append(Numbered(tuple(cause_text(cause, units) for cause in comparison.causes)))
    before, after = comparison.before.frame, comparison.after.frame
    if after.reason and after.reason != before.reason:
        blocks.append(Prose(f"Reason for revision {after.revision or BLANK}: {after.reason}"))
    return blocks


def _brief(comparison: Comparison, units: ShownUnits) -> list[Block]:
    rows = []
    for one in comparison.verdicts:
        before, after = one.judged_before, one.judged_after
        if before is None or after is None or after.verdict == "unknown":
            continue  # a lost value is told as lost
        tone: Tone = "accent" if after.verdict in ("low", "high") else "ink"
        told = f"{verdict_text(before, one.quantity, units)} {ARROW} {verdict_text(after, one.quantity, units)}"
        rows.append(
            Row(
                (
                    Cell(label(one.after)),
                    Cell(units.value(one.quantity, one.before.number)),
                    Cell(units.value(one.quantity, one.after.number)),
                    Cell(band_text(after, one.quantity, units)),
                    Cell(told, tone=tone),
                ),
                (after.line.why,) if after.line.why else (),
            )
        )
    lost = [label(one.after) for one in comparison.verdicts if one.after.number is None]
    open_ = [Prose(f"Cannot be judged any more: {'; '.join(lost)}.", "muted")] if lost else []
    if not rows:
        return [Heading("Judged otherwise by the brief"), *open_] if open_ else []
    columns = (
        Column("quantity", share=1.6),
        Column("before", "right", 0.7),
        Column("after", "right", 0.7),
        Column("brief", "right", 1.3),
        Column("verdict", share=1.4),
    )
    return [Heading("Judged otherwise by the brief"), Table(columns, tuple(rows)), *open_]


_FOLLOWING = (
    Column("quantity", share=2.0),
    Column("before", "right", 0.85),
    Column("after", "right", 0.85),
    Column("change", "right", 0.8),
    Column("felt steps", "right", 0.7),
)


def _follows(comparison: Comparison, units: ShownUnits) -> list[Block]:
    """One part a cause that is felt, then what changed without being felt."""
    loud = [(number, cause) for number, cause in enumerate(comparison.causes, 1) if _is_loud(cause)]
    blocks: list[Block] = []
    for number, cause in loud:
        blocks.append(Part(str(number), place_text(cause.address)))
        rows = tuple(_row(headline, units) for headline in cause.headlines if headline.lead.is_felt)
        if rows:
            headed = not any(isinstance(block, Table) for block in blocks)
            blocks.append(Table(_FOLLOWING, rows, bars=True, head=headed))
        if cause.pulls:
            blocks.append(Prose(f"Pulls as well, alone: {'; '.join(pulls_texts(cause, units))}", "muted"))
    if not blocks and (comparison.stopped or not comparison.causes):
        return []
    if not blocks:
        blocks.append(Prose("Nothing that a rider would notice."))
    quiet = [str(number) for number, cause in enumerate(comparison.causes, 1) if not _is_loud(cause)]
    if quiet and loud:
        told = quiet[0] if len(quiet) == 1 else f"{', '.join(quiet[:-1])} and {quiet[-1]}"
        blocks.append(Prose(f"Not noticed by a rider: change {told}.", "muted"))
    families = dict.fromkeys(
        FAMILIES[headline.family]
        for cause in comparison.causes
        for headline in cause.headlines
        if not headline.lead.is_felt
    )
    if families and loud:
        blocks.append(Prose(f"Changed, but less than a rider feels: {', '.join(families)}.", "muted"))
    return [Heading("What follows", "felt steps: how many times the smallest change that a rider notices"), *blocks]


def _is_loud(cause: Cause) -> bool:
    return cause.steps >= FELT or bool(cause.pulls)


def _row(headline: Headline, units: ShownUnits) -> Row:
    lead = headline.lead
    echoes = [consequence_text(echo, units, lead.after.state) for echo in headline.echoes if is_shown(echo)]
    return Row(
        (
            Cell(label(lead.after)),
            Cell(units.value(lead.quantity, lead.before.number)),
            Cell(units.value(lead.quantity, lead.after.number)),
            Cell(change_of(lead, units), share_text(lead, units)),
            Cell(steps_text(lead.steps).removesuffix(" steps")),
        ),
        (f"with it: {'; '.join(echoes)}",) if echoes else (),
        lead.steps,
    )


def _lost(comparison: Comparison) -> list[Block]:
    lost = lost_by_reason(comparison)
    items = tuple(
        f"{reason[:1].upper()}{reason[1:].rstrip('.')}. Lost: {'; '.join(labels)}" for reason, labels in lost.items()
    )
    return [Alert("No value any more", items)] if items else []


def _over_sizes(note: Note) -> list[Block]:
    """Every quantity that is felt or judged otherwise in one of the sizes, in all of them."""
    if not note.sizes:
        return []
    order = [size.name for size in note.comparison.after.frame.sizes]
    sizes = sorted(note.sizes, key=lambda one: order.index(one.size))
    addresses = _told_addresses(sizes)
    heading = Heading("All sizes", "after the change, and below it the change")
    if not addresses:
        return [heading, Prose("Nothing that a rider would notice in any size.")]
    tables = []
    for start in range(0, len(sizes), ABREAST):
        beside = sizes[start : start + ABREAST]
        columns = (Column("quantity", share=2.0), *(Column(one.size, "right") for one in beside))
        rows = tuple(
            Row((Cell(_label_of(address)), *(_size_cell(one, address, note.units) for one in beside)))
            for address in addresses[:MOST_SIZE_ROWS]
        )
        tables.append(Table(columns, rows))
    over = len(addresses) - MOST_SIZE_ROWS
    more = [Prose(f"and {over} more that are felt in one size or another", "muted")] if over > 0 else []
    return [heading, *tables, *more]


def _told_addresses(sizes: Sequence[Comparison]) -> list[str]:
    """Addresses of what is felt or judged otherwise, the most felt first; of a family under a cause, the strongest.

    Which member of a family leads may differ from size to size by a rounding, and one row for it is enough.
    """
    strongest: dict[tuple[str, str], Consequence] = {}
    for one in sizes:
        told = [
            ((cause.address, headline.family), headline.lead) for cause in one.causes for headline in cause.headlines
        ]
        judged = [((verdict.quantity.key, "judged"), verdict) for verdict in one.verdicts]
        for place, consequence in (*((place, lead) for place, lead in told if lead.is_felt), *judged):
            kept = strongest.get(place)
            if kept is None or (consequence.steps or 0.0) > (kept.steps or 0.0):
                strongest[place] = consequence
    found = sorted(strongest.values(), key=lambda consequence: -(consequence.steps or 0.0))
    return list(dict.fromkeys(consequence.after.address for consequence in found))


def _label_of(address: str) -> str:
    key, _, state = address.partition("@")
    told = CATALOGUE[key].label
    return told if state in ("", "table") else f"{told}, {state_text(state)}"


def _size_cell(one: Comparison, address: str, units: ShownUnits) -> Cell:
    before, after = evaluate(one.before).value(address), evaluate(one.after).value(address)
    if after.number is None:
        return Cell(BLANK)
    told = "" if before.number is None else units.change(after.quantity, before.number, after.number)
    judged = next((c.judged_after for c in one.consequences if c.after.address == address), None)
    if judged is not None and judged.verdict in ("low", "high"):
        return Cell(units.value(after.quantity, after.number), f"{told}, {judged.verdict}".removeprefix(", "), "accent")
    return Cell(units.value(after.quantity, after.number), told)


def _pictures(note: Note) -> list[Block]:
    """Side view and curves; what cannot be drawn says why instead."""
    before, after = evaluate(note.comparison.before), evaluate(note.comparison.after)
    blocks: list[Block] = []
    try:
        picture = side_view(after, before, room_mm(note.paper), note.units)
        told = f"extended, nobody on the bike; the build before is dashed; scale {picture.scale}"
        blocks += [Heading("Side view", told), Pictures((picture,))]
    except BikewrightError as error:
        blocks += [Heading("Side view"), Prose(f"Not drawn: {error}", "muted")]
    curves = curve_pictures(after, before, room_mm(note.paper), note.units)
    if curves:
        heading = Heading("Rear suspension", "through the travel of the rear wheel; the build before is dashed")
        blocks += [heading, Pictures(curves)]
    return blocks

"""The base tune table: one page a build, one row a mass.

Question answered   What does a customer of this mass begin with, on this build?
Method              A row is one set-up, told with the same words as the card; what no build tells has no column. A mass
                    that is refused says by how much.
Left out            A date: the same table gives the same bytes on any day.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import groupby

from bikewright.model.parts import Coil
from bikewright.reports.comparison import CAUTION
from bikewright.reports.numbers import number_text
from bikewright.reports.setup import (
    CIRCUITS,
    NOT_MODELLED,
    PRESSURE_CAUTION,
    measure_text,
    pressure_text,
    rate_text,
    rider_text,
    turns_text,
)
from bikewright.reports.sheets.page import (
    STAMP,
    Block,
    Break,
    Cell,
    Column,
    Field,
    Heading,
    Page,
    Prose,
    Row,
    Table,
    cut,
    sheet_number,
)
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import BLANK, ShownUnits
from bikewright.studies.setup import Setup
from bikewright.studies.spring_setup import EndSetup
from bikewright.studies.tune_table import Tune, TuneColumn, TuneTable

SHORT = {"rebound": "reb.", "compression": "compr.", "high-speed compression": "high"}
"""Dials in a narrow column."""
RULE = (
    "Each build keeps its own rider's stature, inseam and posture; only the mass changes. Clicks are counted from "
    "closed. A start, to be ridden and corrected: no absolute."
)


@dataclass(frozen=True, slots=True)
class _Shown:
    """A column of the table."""

    head: str
    told: Callable[[Setup], Cell]
    share: float = 1.0
    """Of the width on paper, as of `Column`."""


def _columns(column: TuneColumn, units: ShownUnits) -> tuple[_Shown, ...]:
    """Everything that a row may tell."""
    found = []
    parts = column.build.parts
    for name, part in (("fork", parts.fork), ("shock", parts.shock)):
        inside = "preload" if part is not None and isinstance(part.spring, Coil) else "spacers"
        found += [
            _Shown(name, partial(_spring, name, units), 1.3),
            _Shown(f"{name}: {inside}", partial(_inside, name)),
            _Shown(f"{name}: sag", partial(_sag, name, units)),
        ]
    found += [_Shown(f"tyre: {end}", partial(_tyre, end, units)) for end in ("front", "rear")]
    found += [
        _Shown(f"{name}: {CIRCUITS[circuit]}", partial(_clicks, name, circuit), 1.1)
        for name in ("fork", "shock")
        for circuit in CIRCUITS
    ]
    return tuple(found)


def _end(setup: Setup, name: str) -> EndSetup | None:
    return setup.springs.front if name == "fork" else setup.springs.rear


def _both(text: str) -> Cell:
    """A text with its other unit below it."""
    first, _, other = text.partition(" (")
    return Cell(first, other.removesuffix(")"))


def _spring(name: str, units: ShownUnits, setup: Setup) -> Cell:
    end = _end(setup, name)
    if end is None:
        return Cell(BLANK)
    return _both(pressure_text(end.pressure_bar, units) if end.coil is None else rate_text(end.coil, units))


def _inside(name: str, setup: Setup) -> Cell:
    end = _end(setup, name)
    if end is None:
        return Cell(BLANK)
    return Cell(str(end.spacers) if end.coil is None else turns_text(end.turns))


def _sag(name: str, units: ShownUnits, setup: Setup) -> Cell:
    end = _end(setup, name)
    if end is None:
        return Cell(BLANK)
    return Cell(measure_text(end.sag_mm, "mm", units), f"{number_text(end.sag_pct, 0)} %")


def _tyre(name: str, units: ShownUnits, setup: Setup) -> Cell:
    if setup.tyres is None:
        return Cell(BLANK)
    found = setup.tyres.front if name == "front" else setup.tyres.rear
    return _both(pressure_text(found.recommended_bar, units))


def _clicks(name: str, circuit: str, setup: Setup) -> Cell:
    if setup.damping is None:
        return Cell(BLANK)
    found = next((one for one in setup.damping.circuits if one.end == name and one.circuit == circuit), None)
    return Cell(BLANK if found is None or found.from_closed is None else number_text(found.from_closed, 0))


def _rows(column: TuneColumn, units: ShownUnits) -> tuple[list[_Shown], list[tuple[Tune, list[Cell]]]]:
    """Columns that have something to tell, and each mass with its cells."""
    shown = [
        one
        for one in _columns(column, units)
        if any(tune.setup is not None and one.told(tune.setup).text != BLANK for tune in column.tunes)
    ]
    rows = [
        (tune, [Cell(BLANK) if tune.setup is None else one.told(tune.setup) for one in shown]) for tune in column.tunes
    ]
    return shown, rows


def column_waits(column: TuneColumn) -> list[str]:
    """What is not told of a build, each sentence once."""
    setups = [tune.setup for tune in column.tunes if tune.setup is not None]
    told = [f"Tyres not told: {one.tyres_wait.rstrip('.')}." for one in setups if one.tyres_wait]
    told += [f"Clicks not told: {one.damping_waits.rstrip('.')}." for one in setups if one.damping_waits]
    dials: dict[str, list[str]] = {}
    for one in setups:
        for dial in () if one.damping is None else one.damping.circuits:
            if dial.from_closed is None and dial.waits:
                named = dials.setdefault(dial.waits, [])
                if (name := f"{dial.end} {CIRCUITS[dial.circuit]}") not in named:
                    named.append(name)
    told += [f"{', '.join(names)}: waits for {waits.rstrip('.')}." for waits, names in dials.items()]
    return list(dict.fromkeys(told))


def _refused(column: TuneColumn) -> list[tuple[str, list[Tune]]]:
    """Why masses that follow each other have no set-up, each reason once."""
    runs = groupby(column.tunes, key=lambda tune: tune.refusal)
    return [(refusal, list(tunes)) for refusal, tunes in runs if refusal]


def _heading(column: TuneColumn) -> str:
    settings = column.build.settings
    sags = [f"front {settings.sag_front_pct:g} %"] if column.build.parts.fork is not None else []
    sags += [f"rear {settings.sag_rear_pct:g} %"] if column.build.parts.shock is not None else []
    return f"size {column.build.size}; sag {', '.join(sags)}"


def tune_cells(column: TuneColumn, units: ShownUnits) -> tuple[tuple[str, ...], list[tuple[Cell, ...]]]:
    """One build as heads and rows of cells, one for each mass that is not refused."""
    shown, rows = _rows(column, units)
    told = []
    for tune, cells in rows:
        if tune.setup is not None:
            told.append((Cell(measure_text(tune.mass_kg, "kg", units)), *cells))
    return ("rider in kit", *(one.head for one in shown)), told


def tune_refusals(column: TuneColumn, units: ShownUnits) -> list[str]:
    """Masses that are refused, each reason once for those that follow each other."""
    told = []
    for refusal, tunes in _refused(column):
        masses = dict.fromkeys(measure_text(tune.mass_kg, "kg", units) for tune in (tunes[0], tunes[-1]))
        told.append(f"{' to '.join(masses)}: {refusal}")
    return told


def column_heading(column: TuneColumn, units: ShownUnits) -> str:
    """Size, wanted sags and whose posture a build's table has."""
    return f"{column.build.name}, {_heading(column)}, posture of {rider_text(column.build.rider, units)}"


def tune_page(table: TuneTable, units: ShownUnits) -> Page:
    """Lay the table out, one page a build.

    Parameters
    ----------
    table : TuneTable
        The set-ups.
    units : ShownUnits
        Units of the reader.
    """
    blocks: list[Block] = []
    for column in table.columns:
        if blocks:
            blocks.append(Break())
        blocks += _build_blocks(column, units)
    frame = table.columns[0].build.frame
    builds = ", ".join(column.build.name for column in table.columns)
    fields = (
        Field("bike", cut(frame.name), 1.0),
        Field("revision", cut(frame.revision), 0.6),
        Field("builds", cut(builds), 1.6),
        Field("told against", cut(table.base), 0.8),
        Field("made by", STAMP, 1.0),
    )
    return Page(
        title="base tunes",
        subject=cut(f"{frame.name}: {builds}", 90),
        key=_number(table),
        fields=(fields,),
        blocks=tuple(blocks),
        maker=cut(frame.maker),
    )


def _number(table: TuneTable) -> str:
    """Another base or other masses are another table."""
    found = (
        (column.build, *(None if tune.setup is None else tune.setup.build for tune in column.tunes))
        for column in table.columns
    )
    return sheet_number((table.base, table.masses_kg, *found))


def _build_blocks(column: TuneColumn, units: ShownUnits) -> list[Block]:
    shown, rows = _rows(column, units)
    heads = (Column("rider in kit", "right", 0.9), *(Column(one.head, "right", one.share) for one in shown))
    told = {tunes[0].mass_kg: refusal for refusal, tunes in _refused(column)}
    body = tuple(
        Row(
            (Cell(measure_text(tune.mass_kg, "kg", units)), *cells),
            (told[tune.mass_kg],) if tune.mass_kg in told else (),
        )
        for tune, cells in rows
    )
    return [
        Heading(column.build.name, _heading(column)),
        Prose(f"Posture of {rider_text(column.build.rider, units)}. {RULE}", "muted"),
        Table(heads, body),
        *(Prose(text, "muted") for text in (*column_waits(column), PRESSURE_CAUTION, NOT_MODELLED)),
    ]


def tune_lines(table: TuneTable, units: ShownUnits) -> list[str]:
    """The table as lines."""
    lines = [f"{table.columns[0].build.frame.name}: base tunes", ""]
    lines += [*paragraph(RULE), ""]
    for column in table.columns:
        shown, rows = _rows(column, units)
        lines.append(column_heading(column, units))
        narrow = [at for at, one in enumerate(shown) if not one.head.endswith(": sag")]
        heads = [(SHORT.get(shown[at].head.partition(": ")[2], ""), shown[at].head.split(": ")) for at in narrow]
        told = [
            ("rider", *(head[0] for _, head in heads)),
            ("", *(short or head[-1] if head[1:] else "" for short, head in heads)),
        ]
        told += [
            (measure_text(tune.mass_kg, "kg", units), *(cells[at].text for at in narrow))
            for tune, cells in rows
            if tune.setup is not None
        ]
        lines += columns(told, "r" * (len(narrow) + 1), gap=1) if narrow else []
        for text in tune_refusals(column, units):
            lines += paragraph(text, indent=2)
        for text in column_waits(column):
            lines += paragraph(text, indent=2)
        lines.append("")
    return [*lines, *paragraph(NOT_MODELLED), *paragraph(PRESSURE_CAUTION), *paragraph(CAUTION)]

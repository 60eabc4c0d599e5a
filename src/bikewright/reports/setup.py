"""A set-up told: as steps in the order in which things are set, as lines, and beside another rider's.

Question answered   What is turned, pumped and measured, in which order, and how far may it be off?
Method              One list of steps, which the terminal, the card and the tune table read, so that they cannot differ.
Axes and signs      Clicks are told from closed and from open; preload in turns from where the collar touches the coil.
Left out            Whatever the model does not hold, which is said.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from bikewright.model.parts import Coil
from bikewright.model.rider import Rider
from bikewright.reports.comparison import CAUTION, comparison_lines
from bikewright.reports.numbers import number_text, unit_text
from bikewright.reports.tables import columns, paragraph, refusal_lines
from bikewright.reports.wording import BLANK, SETTING_DECIMALS, ShownUnits
from bikewright.studies.compare import Comparison
from bikewright.studies.damping_setup import CircuitSetup
from bikewright.studies.reserve import STEP_MM
from bikewright.studies.setup import Setup
from bikewright.studies.spring_setup import EndSetup
from bikewright.studies.tyre_setup import TyreEnd
from bikewright.units import convert

NOT_MODELLED = (
    "Not modelled: friction in the springs chosen (the sag is the one after a bounce), temperature and altitude, flex, "
    "wear, the rider's arms and legs, grip."
)
PRESSURE_CAUTION = (
    "Never above or below the pressure printed on fork, shock, tyre or rim, whatever stands here. A shock pump takes "
    "air when it is screwed on: read before it is taken off. Bolts by torque wrench."
)
MEASURING = (
    "Compression dials open. Full kit, as it is ridden.",
    "Push both rings down to their seals. Mount without bouncing them away; let somebody hold the bar.",
    "Stand on level cranks, heavy feet, light hands, eyes ahead. Bounce twice and let it settle.",
    "Push the rings to the seals, step off without a jolt, and measure. Twice; take the mean.",
)
"""How sag is measured."""

OTHER_UNIT = {"bar": "psi", "psi": "bar", "n_per_mm": "lbf_in", "lbf_in": "n_per_mm"}
"""What pumps and coils are printed in besides."""

SPRING_BAR = 3.0
"""From here on a pressure is that of a spring, which a pump tells to the psi; a tyre's is told to a tenth [bar]."""

WHY = {
    "reserve": "fewest that reach the reference's drop",
    "short": "nearest to the reference's drop, still short of it",
    "as set": "as the build has it, for want of a reference",
    "nearest": "nearest to the build's own that the limits allow",
    "only one": "the only count that is known or allowed",
}
SADDLE_FROM = {"settings": "set in the build", "rider": "the rider's own", "size": "the size's usual one", "": ""}
CIRCUITS = {"rebound": "rebound", "compression": "compression", "high_compression": "high-speed compression"}


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to set."""

    what: str
    value: str
    beside: str = ""
    """Its range, limits or reason."""


@dataclass(frozen=True, slots=True)
class Step:
    """What is done at one go."""

    title: str
    lines: tuple[Line, ...]
    told: tuple[str, ...] = ()
    """Sentences below."""


def pressure_text(bar: float | None, units: ShownUnits, both: bool = True) -> str:
    """A pressure in the reader's unit, and in the other one that pumps show."""
    if bar is None:
        return BLANK
    shown = units.of("bar")
    decimals = SETTING_DECIMALS | ({"psi": 0} if bar >= SPRING_BAR else {})
    texts = [
        f"{number_text(convert(bar, 'bar', unit), decimals[unit])}{unit_text(unit)}"
        for unit in (shown, OTHER_UNIT[shown])
    ]
    return f"{texts[0]} ({texts[1]})" if both else texts[0]


def rate_text(coil: Coil, units: ShownUnits) -> str:
    """The rate printed on a coil, in both units."""
    shown = units.of("n_per_mm")
    digits = {"n_per_mm": 1, "lbf_in": 0}
    texts = [
        f"{number_text(convert(coil.rate_n_per_mm, 'n_per_mm', unit), digits[unit])}{unit_text(unit)}"
        for unit in (shown, OTHER_UNIT[shown])
    ]
    return f"{texts[0]} ({texts[1]})"


def measure_text(value: float | None, suffix: str, units: ShownUnits, decimals: int = 0) -> str:
    """A number of a study in the reader's unit."""
    if value is None:
        return BLANK
    shown = units.of(suffix)
    more = {"in": 2, "lb": 0}.get(shown, decimals) if shown != suffix else decimals
    return f"{number_text(convert(value, suffix, shown), more)}{unit_text(shown)}"


def turns_text(turns: float | None) -> str:
    """Turns of a collar or dial, in quarters."""
    if turns is None:
        return BLANK
    text = number_text(turns, 2)
    return f"{text.rstrip('0').rstrip('.')} turn{'' if turns == 1.0 else 's'}"


def spacers_text(count: int | None) -> str:
    """How many volume spacers."""
    return BLANK if count is None else f"{count} spacer{'' if count == 1 else 's'}"


def rider_text(rider: Rider | None, units: ShownUnits) -> str:
    """Who rides: name, mass in kit, stature."""
    if rider is None:
        return ""
    mass, stature = (
        measure_text(rider.mass_kg, "kg", units, 1 if rider.mass_kg % 1 else 0),
        measure_text(rider.stature_mm, "mm", units),
    )
    return f"{rider.name}, {mass} in kit, {stature}"


def sag_text(end: EndSetup, units: ShownUnits) -> str:
    """Sag in per cent and at the ring."""
    return f"{number_text(end.sag_pct, 0)} % = {measure_text(end.sag_mm, 'mm', units)} at the ring"


def band_text(end: EndSetup) -> str:
    """Between which sags friction may leave the bike standing; empty where friction is not known."""
    if end.least_sag_pct is None or end.most_sag_pct is None:
        return ""
    least, most = (number_text(sag, 0) for sag in (end.least_sag_pct, end.most_sag_pct))
    if least == most:
        return "friction moves it by less than a point"
    return f"friction leaves it anywhere from {least} % to {most} %"


TYRES_UNRIDDEN = "Tyres: a start, no absolute; at the upper end of the range until they were ridden."
"""Where no ridden pressure stands beside a calculated one: too high rides harshly, too low cuts tyres and rims."""


def setup_steps(setup: Setup, units: ShownUnits) -> tuple[Step, ...]:
    """The steps of a set-up, first things first."""
    damped = _damping(setup)
    return (
        _tyres(setup, units),
        _cockpit(setup, units),
        *(_spring(end, units) for end in setup.springs.ends),
        Step("Measure the sag", (), MEASURING),
        *damped,
    )


def _tyres(setup: Setup, units: ShownUnits) -> Step:
    if setup.tyres is None:
        return Step("Tyres, cold", (), (f"Not told: {_waits(setup.tyres_wait)}.",))
    ends = (setup.tyres.front, setup.tyres.rear)
    base = setup.tyres.base
    lines = tuple(
        Line(end.end, pressure_text(end.recommended_bar, units), _tyre_beside(end, base, units)) for end in ends
    )
    is_ridden = all(end.base_bar is not None for end in ends)
    return Step("Tyres, cold", lines, () if is_ridden else (TYRES_UNRIDDEN,))


def _tyre_beside(end: TyreEnd, base: str, units: ShownUnits) -> str:
    told = [f"{pressure_text(end.least_bar, units, both=False)} to {pressure_text(end.most_bar, units, both=False)}"]
    if end.limit_bar is None:
        told.append("no limit is known")
    else:
        told.append(f"at most {pressure_text(end.limit_bar, units, both=False)} ({end.limit_from})")
    if end.base_bar is not None:
        told.append(f"'{base}' has {pressure_text(end.base_bar, units, both=False)}")
    return "; ".join(told)


def _cockpit(setup: Setup, units: ShownUnits) -> Step:
    found = setup.cockpit
    lines = [
        Line(
            "saddle height",
            measure_text(found.saddle_height_mm, "mm", units),
            SADDLE_FROM[found.saddle_from] or "waits for a saddle height",
        ),
        Line("saddle on its rails", _shifted(found.saddle_back_mm, units), ""),
        Line("spacers below the stem", measure_text(found.stem_spacers_mm, "mm", units), ""),
    ]
    levers = (
        ("lever reach", found.lever_reach_mm, "mm", "grip to lever at rest"),
        ("lever bites at", found.lever_bite_mm, "mm", "grip to lever"),
        ("lever angle", found.lever_angle_deg, "deg", "below level"),
    )
    lines += [
        Line(what, measure_text(value, unit, units), beside)
        for what, value, unit, beside in levers
        if value is not None
    ]
    open_ = [what for what, value, _, _ in levers if value is None]
    told = (f"Set by hand before the sag is measured, as nothing is given: {', '.join(open_)}.",) if open_ else ()
    return Step("Saddle and bar", tuple(lines), told)


def _shifted(back_mm: float, units: ShownUnits) -> str:
    if back_mm == 0.0:
        return "middle"
    return f"{measure_text(abs(back_mm), 'mm', units)} {'back' if back_mm > 0.0 else 'forward'}"


def _spring(end: EndSetup, units: ShownUnits) -> Step:
    lines = []
    if end.kind == "air":
        limits = (
            f"allowed {pressure_text(end.limit_low_bar, units, both=False)} to "
            f"{pressure_text(end.limit_high_bar, units, both=False)}"
        )
        lines.append(Line("pressure", pressure_text(end.pressure_bar, units), limits))
        lines.append(Line("volume spacers", str(end.spacers), WHY[end.chosen_by or "as set"]))
    elif end.coil is not None:
        lines.append(Line("coil", rate_text(end.coil, units), end.coil.name))
        lines.append(Line("preload", turns_text(end.turns), "from where the collar touches the coil"))
    lines.append(Line("sag", sag_text(end, units), band_text(end)))
    if end.drop_ratio is not None or end.step_ratio is not None:
        lines.append(Line("reserve at the end", reserve_text(end), "of the reference's"))
    told = tuple(f"Not checked, since it is not known: {key}." for key in end.unknown)
    return Step("Fork" if end.end == "front" else "Shock", tuple(lines), told)


def reserve_text(end: EndSetup) -> str:
    """Drop and step that use all travel, as shares of the reference's."""
    drop, step = (BLANK if one is None else number_text(one, 2) for one in (end.drop_ratio, end.step_ratio))
    return f"drop {drop}, step speed {step}"


def _damping(setup: Setup) -> tuple[Step, ...]:
    if setup.damping is None:
        return (Step("Dampers", (), (f"Not told: {_waits(setup.damping_waits)}.",)),)
    if not setup.damping.circuits:
        return (Step("Dampers", (), ("Neither fork nor shock has a dial that is described.",)),)
    steps = []
    for order, title in ((("rebound",), "Rebound"), (("compression", "high_compression"), "Compression")):
        dials = [one for one in setup.damping.circuits if one.circuit in order]
        lines = tuple(
            Line(
                one.end if one.circuit != "high_compression" else f"{one.end}, {CIRCUITS[one.circuit]}",
                clicks_text(one),
                _clicks_beside(one),
            )
            for one in dials
        )
        if lines:
            steps.append(Step(title, lines, tuple(dict.fromkeys(one.assumption for one in dials if one.assumption))))
    return tuple(steps)


def clicks_text(one: CircuitSetup) -> str:
    """Clicks from closed and from open, or turns, or the offset from the base tune."""
    if one.from_closed is None:
        return BLANK if one.offset_clicks is None else f"base tune, {offset_text(one.offset_clicks)}"
    texts = [f"{one.from_closed} from closed"]
    if one.from_open is not None:
        texts.append(f"{one.from_open} from open")
    if one.turns_from_closed is not None:
        texts.append(f"{turns_text(one.turns_from_closed)} from closed")
    return ", ".join(texts)


def offset_text(clicks: int) -> str:
    """Clicks from the base tune, and towards which end."""
    if clicks == 0:
        return "as it is"
    return f"{abs(clicks)} click{'' if abs(clicks) == 1 else 's'} to {'closed' if clicks > 0 else 'open'}"


def _clicks_beside(one: CircuitSetup) -> str:
    texts = [one.refusal.rstrip(".")] if one.refusal else []
    if one.waits:
        texts.append(f"waits for {_waits(one.waits)}")
    least, most = one.least_from_closed, one.most_from_closed
    if least is not None and most is not None and least != most:
        texts.append(f"{least} to {most} from closed")
    told = {
        "measured": "from the measured damper",
        "offset": "an offset from the base tune, no absolute",
        "set": "as it is set",
        "unknown": "",
    }[one.how]
    return "; ".join(part for part in (*texts, told) if part)


def _waits(text: str) -> str:
    return text.rstrip(".")


def setup_lines(setup: Setup, units: ShownUnits) -> list[str]:
    """A set-up as lines for a terminal."""
    build = setup.build
    lines = [
        f"{build.frame.name}, size {build.size}, {build.name}: set-up",
        f"for {rider_text(build.rider, units)}",
        "",
    ]
    lines += refusal_lines(setup.refused)
    for number, step in enumerate(setup_steps(setup, units), 1):
        lines.append(f"{number}  {step.title}")
        lines += columns([(line.what, line.value, line.beside) for line in step.lines], "lll", indent=5)
        for told in step.told:
            lines += paragraph(told, indent=5)
        lines.append("")
    lines += _choices(setup, units)
    lines += paragraph(reference_text(setup))
    return [*lines, *paragraph(NOT_MODELLED), *paragraph(PRESSURE_CAUTION), *paragraph(CAUTION)]


def reference_text(setup: Setup, how: str = "name one with --base") -> str:
    """What reserves are told against, or that they are not told, and how a reference is picked; empty on paper."""
    told = (
        f"A drop, and the speed over a square step of {STEP_MM:.0f} mm, that use all travel, without damping and with "
        "a rigid rider: "
    )
    if setup.springs.reference:
        return f"Reserve: {told}as shares of those of '{setup.springs.reference}' with its own rider."
    told += "they mean something only against a ridden or tested build"
    return f"Reserve: not told. {told}; {how}." if how else f"Reserve: not told. {told}."


@dataclass(frozen=True, slots=True)
class Choice:
    """What else would give the same sag at one end."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str


def _choices(setup: Setup, units: ShownUnits) -> list[str]:
    """Spacer counts with their pressures, and the nearest coils."""
    return [
        line
        for one in setup_choices(setup, units)
        for line in (one.name, *columns([one.heads, *one.rows], one.align), "")
    ]


def setup_choices(setup: Setup, units: ShownUnits) -> list[Choice]:
    """Spacer counts with their pressures, and the nearest coils, as tables; what is refused says by how much."""
    found: list[Choice] = []
    for end in setup.springs.ends:
        name = "fork" if end.end == "front" else "shock"
        if len(end.air) > 1:
            rows: list[tuple[str, ...]] = []
            for one in end.air:
                rows.append(
                    (
                        str(one.spacers),
                        pressure_text(one.pressure_bar, units),
                        BLANK if one.drop_ratio is None else number_text(one.drop_ratio, 2),
                        BLANK if one.step_ratio is None else number_text(one.step_ratio, 2),
                        one.refusal or ("chosen" if one.spacers == end.spacers else ""),
                    )
                )
            heads: tuple[str, ...] = ("spacers", "pressure", "drop", "step", "")
            found.append(Choice(f"{name}: the same sag with other volume spacers", heads, tuple(rows), "rrrrl"))
        if end.coils:
            rows = []
            for near in end.coils:
                sag = (
                    BLANK
                    if near.base_sag_pct is None
                    else f"{number_text(near.base_sag_pct, 1)} % at {turns_text(near.base_turns)}"
                )
                rows.append((rate_text(near.coil, units), turns_text(near.exact_turns), sag, near.refusal))
            heads = ("coil", "preload for the sag", "sag", "")
            found.append(Choice(f"{name}: the nearest coils of the shelf", heads, tuple(rows), "lrrl"))
    return found


def rows_beside(first: Setup, second: Setup, units: ShownUnits) -> list[tuple[str, str, str, bool]]:
    """Two set-ups as rows: what, of the first, of the second, and whether they differ.

    A line that only one of them has, as a coil's, stands with a blank beside it.
    """
    told = [
        {f"{step.title.lower()}, {line.what}": line.value for step in setup_steps(one, units) for line in step.lines}
        for one in (first, second)
    ]
    keys = list(dict.fromkeys([*told[0], *told[1]]))
    return [
        (key, told[0].get(key, BLANK), told[1].get(key, BLANK), told[0].get(key) != told[1].get(key)) for key in keys
    ]


def against_lines(first: Setup, second: Setup, comparison: Comparison, units: ShownUnits) -> list[str]:
    """What changes between two riders on one build: what is set otherwise, and what follows on the bike."""
    build = first.build
    told = rows_beside(first, second, units)
    rows = [("", _name(first, units), _name(second, units))]
    rows += [(what, one, two) for what, one, two, differs in told if differs]
    same = [f"{what} {one}" for what, one, _, differs in told if not differs]
    lines = [f"{build.frame.name}, size {build.size}, {build.name}: two riders", "", "set otherwise"]
    lines += [*columns(rows, "lll"), ""]
    if same:
        lines += ["the same", *paragraph("; ".join(same), indent=2), ""]
    waits = dict.fromkeys(text for one in (first, second) for text in (one.tyres_wait, one.damping_waits) if text)
    for text in waits:
        lines += paragraph(f"Not told: {_waits(text)}.")
    lines += paragraph(PRESSURE_CAUTION)
    return [*lines, "", *comparison_lines(comparison, units)]


def _name(setup: Setup, units: ShownUnits) -> str:
    rider = setup.build.rider
    return "" if rider is None else f"{rider.name}, {measure_text(rider.mass_kg, 'kg', units)}"


def compact_text(setup: Setup) -> str:
    """The settings in one short line: for a code that a phone reads, and for a label."""
    build, rider = setup.build, setup.build.rider
    texts = [f"{build.frame.name} {build.size} {build.name}"]
    if rider is not None:
        texts.append(f"{rider.name} {rider.mass_kg:g} kg")
    if setup.tyres is not None:
        texts.append(
            "tyres "
            + " ".join(f"{one.end} {one.recommended_bar:.2f} bar" for one in (setup.tyres.front, setup.tyres.rear))
        )
    for end in setup.springs.ends:
        name = "fork" if end.end == "front" else "shock"
        if end.kind == "air":
            texts.append(f"{name} {end.pressure_bar:.2f} bar, {spacers_text(end.spacers)}, sag {end.sag_pct:.0f} %")
        elif end.coil is not None:
            texts.append(f"{name} {end.coil.name}, preload {turns_text(end.turns)}, sag {end.sag_pct:.0f} %")
    if setup.damping is not None:
        texts += [
            f"{one.end} {CIRCUITS[one.circuit]} {one.from_closed} from closed"
            for one in setup.damping.circuits
            if one.from_closed is not None
        ]
    return "; ".join(texts)


def refusals_told(setups: Sequence[Setup]) -> list[str]:
    """Refusals of finished builds, each once."""
    return refusal_lines(tuple(dict.fromkeys(refusal for one in setups for refusal in one.refused)))

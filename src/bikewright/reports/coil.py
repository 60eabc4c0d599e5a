"""The coil question told: each reason, both springs beside each other, and their curves.

Question answered   May this frame take a coil, why not, and what would its rider feel?
Method              One line a reason; one a thing felt. The chart shows what a bump meets: the air spring fast, from
                    sag.
Left out            Dampers, friction through the travel.
"""

from bikewright.model.parts import Coil
from bikewright.reports.chart import Axis, Chart, Marker, Series, draw_chart
from bikewright.reports.comparison import CAUTION
from bikewright.reports.numbers import number_text, unit_text
from bikewright.reports.setup import (
    PRESSURE_CAUTION,
    measure_text,
    pressure_text,
    rate_text,
    rider_text,
    spacers_text,
    turns_text,
)
from bikewright.reports.shapes import Sheet
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import BLANK, ShownUnits
from bikewright.studies.coil_study import SUPPORT_MM_S, CoilStudy, Laid, Reason
from bikewright.units import MM, convert

ANSWERS = {
    "yes": "Yes: this frame may take a coil.",
    "no": "No: this frame may not take a coil.",
    "waits": "Not answered yet: nothing speaks against it, but not all is known.",
}
QUESTIONS = {
    "progression": "progression of the linkage",
    "room": "room for the coil's diameter",
    "coil bind": "stroke with preload before the coil binds",
    "eyes": "turn at the shock's eyes",
    "permission": "the shock maker's permission",
}
NOT_MODELLED = (
    "Not modelled: heat of the damper, a coil that rubs on its body, a frame that flexes, friction through the travel. "
    "The least progression is common practice and has no source."
)


def coil_lines(study: CoilStudy, units: ShownUnits) -> list[str]:
    """The whole answer as lines."""
    build = study.build
    lines = [f"{build.frame.name}, size {build.size}, {build.name}: a coil?", "", ANSWERS[study.may], ""]
    lines += columns([(QUESTIONS[one.question], one.may, reason_text(one, units)) for one in study.reasons], "lll")
    lines.append("")
    if study.laid is None:
        lines += paragraph(f"The springs are not laid over each other: {study.laid_waits}")
    else:
        lines += _laid_lines(study, study.laid, units)
    return [*lines, "", *paragraph(NOT_MODELLED), *paragraph(PRESSURE_CAUTION), *paragraph(CAUTION)]


def reason_text(reason: Reason, units: ShownUnits) -> str:
    """What was found, what is allowed, or what is not known."""
    decimals = 0 if reason.unit == "deg" else 1
    parts = []
    if reason.found is not None:
        parts.append(measure_text(reason.found, reason.unit, units, decimals))
    if reason.allowed is not None:
        word = "at least" if reason.question == "progression" else "at most"
        parts.append(f"{word} {measure_text(reason.allowed, reason.unit, units, decimals)}")
    if reason.part:
        parts.append(f"'{reason.part}'")
    if reason.waits:
        parts.append(f"waits for {reason.waits}")
    return ", ".join(parts)


def laid_heading(study: CoilStudy, laid: Laid, units: ShownUnits) -> tuple[str, str, str]:
    """At which sag and for whom the springs are laid over each other; the air spring; the coil."""
    spring = laid.coil.spring
    settings = laid.air_build.settings
    held = f"{pressure_text(settings.shock_pressure_bar, units)}, {spacers_text(settings.shock_spacers)}"
    wound = f"{rate_text(spring, units)}, preload {turns_text(laid.turns)}" if isinstance(spring, Coil) else BLANK
    return (
        f"Both at {number_text(laid.sag_pct, 0)} % sag for {rider_text(study.build.rider, units)}",
        f"{laid.air.name}: {held}",
        f"{laid.coil.name}: {wound}",
    )


def feel_rows(laid: Laid, units: ShownUnits) -> list[tuple[str, str, str]]:
    """What is felt at the wheel as cells: what, of air, of the coil."""
    air, coil = laid.over.first, laid.over.second
    pairs = (
        ("breakaway at the wheel", air.breakaway, coil.breakaway, "n", 0),
        ("at the sag", air.sag_force, coil.sag_force, "n", 0),
        ("at half travel, fast", air.mid_force, coil.mid_force, "n", 0),
        ("at full travel, fast", air.end_force, coil.end_force, "n", 0),
        ("end ramp: full travel over sag", air.end_ramp, coil.end_ramp, "", 1),
        ("energy from sag to the end", air.energy, coil.energy, "j", 0),
    )
    return [
        (what, _number(one, unit, units, digits), _number(two, unit, units, digits))
        for what, one, two, unit, digits in pairs
    ]


def support_text(laid: Laid, units: ShownUnits) -> str:
    """The compression damping that makes up for the other support at half travel."""
    force = units.of("n")
    offset = number_text(abs(convert(laid.support_n, "n", force)), 0) + unit_text(force)
    way = "more" if laid.support_n >= 0.0 else "less"
    return (
        f"Low-speed compression for the same support at half travel: {offset} {way} with the coil, at the shaft, "
        f"at {SUPPORT_MM_S:.0f} mm/s. {_clicks(laid)}"
    )


def _laid_lines(study: CoilStudy, laid: Laid, units: ShownUnits) -> list[str]:
    heading, air, coil = laid_heading(study, laid, units)
    return [
        heading,
        f"  air   {air}",
        f"  coil  {coil}",
        "",
        *columns([("at the wheel", "air", "coil"), *feel_rows(laid, units)], "lrr"),
        "",
        *paragraph(support_text(laid, units)),
    ]


def _clicks(laid: Laid) -> str:
    if laid.support_from_closed is None:
        return f"In clicks: waits for {laid.support_waits}."
    return f"In clicks of '{laid.coil.name}': {laid.support_from_closed} from closed."


def _number(value: float, unit: str, units: ShownUnits, digits: int) -> str:
    return measure_text(value, unit, units, digits) if unit else number_text(value, digits)


def coil_chart(study: CoilStudy, laid: Laid, units: ShownUnits) -> Sheet:
    """Both springs at the wheel."""
    return draw_chart(coil_plot(study, laid, units))


def coil_plot(study: CoilStudy, laid: Laid, units: ShownUnits) -> Chart:
    """What the chart of both springs shows, before anything draws it."""
    length, force = units.of("mm"), units.of("n")
    travel = [convert(float(x) / MM, "mm", length) for x in laid.travel]
    air, coil = ([convert(float(f), "n", force) for f in forces] for forces in (laid.air_force, laid.coil_force))
    sag = convert(laid.over.sag / MM, "mm", length)
    return Chart(
        title=f"{study.build.frame.name}, size {study.build.size}: coil and air at the same sag",
        x=Axis("wheel travel", length),
        y=Axis("force at the wheel", force, low=0.0),
        series=(Series("air", travel, air, "before"), Series("coil", travel, coil)),
        markers=(Marker(sag, convert(laid.over.second.sag_force, "n", force), "sag"),),
        not_modelled="dampers, friction; air as in a fast stroke from the sag",
    )

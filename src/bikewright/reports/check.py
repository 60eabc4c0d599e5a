"""The brief check as a page of text: what is refused, what is missed, what is open, what is met.

Question answered   Does this build meet its brief, where not, by how much, and why was it asked for?
Method              Lines that are missed come first, each with the sizes that miss it; then those that cannot be
                    answered, with what they wait for; then those that are met, with their range over the sizes.
Axes and signs      None.
Left out            Anything that the brief has no line for.
"""

from bikewright.reports.comparison import CAUTION, NOT_MODELLED
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import ShownUnits, band_text, label, place_text, verdict_text
from bikewright.studies.check import Check, CheckedLine


def check_lines(check: Check, units: ShownUnits) -> list[str]:
    """A brief check as lines of text.

    Parameters
    ----------
    check : Check
        The answer.
    units : ShownUnits
        Units that the reader picked.

    Returns
    -------
    list of str
        Lines of at most 100 columns.
    """
    build = check.build
    sizes = f"size {check.sizes[0]}" if len(check.sizes) == 1 else f"sizes {', '.join(check.sizes)}"
    lines = [*paragraph(f"{build.frame.name}, {build.name}, {sizes}: the brief"), ""]
    lines += _refused(check)
    lines += _missed(check.standing("missed"), units)
    lines += _open(check.standing("open"), units)
    lines += _met(check.standing("met"), units)
    return [*lines, count_text(check), "", *paragraph(NOT_MODELLED), *paragraph(CAUTION)]


def count_text(check: Check) -> str:
    """How many lines stand how, as a sentence."""
    missed, open_, met = (len(check.standing(stands)) for stands in ("missed", "open", "met"))
    told = [f"{met} of {len(check.lines)} lines met in every size"]
    if missed:
        told.append(f"{missed} missed")
    if open_:
        told.append(f"{open_} open")
    if check.refused:
        told.append("the build is refused")
    return f"{', '.join(told)}."


def line_label(line: CheckedLine) -> str:
    """What a line is about: the quantity with its state, gear and rider."""
    told = label(line.sizes[0].value)
    if line.gear:
        told += f", gear {line.gear}"
    return f"{told}, rider {line.line.rider}" if line.line.rider else told


def _refused(check: Check) -> list[str]:
    lines = []
    for refused in check.refused:
        where = "" if len(refused.sizes) == len(check.sizes) else f" ({', '.join(refused.sizes)})"
        lines += paragraph(f"{place_text(refused.refusal.address)}{where}: {refused.refusal.text}", indent=2)
    return ["Refused", *lines, ""] if lines else []


def _missed(found: tuple[CheckedLine, ...], units: ShownUnits) -> list[str]:
    """Lines that are missed, each with its sizes and the reason why it was asked for."""
    lines = []
    for line in found:
        lines += paragraph(_asked(line, units), 2)
        lines += paragraph("; ".join(_sizes(line, units)), 5)
        if line.line.why:
            lines += paragraph(f"asked for because: {line.line.why}", 5)
    return ["Missed", *lines, ""] if lines else []


def _open(found: tuple[CheckedLine, ...], units: ShownUnits) -> list[str]:
    """Lines that cannot be answered, by what they wait for: one linkage that locks stops a dozen of them."""
    together: dict[str, list[str]] = {}
    for line in found:
        together.setdefault("; ".join(_sizes(line, units)), []).append(_asked(line, units))
    lines = []
    for reason, asked in together.items():
        lines += paragraph(reason, 2)
        for text in asked:
            lines += paragraph(text, 5)
    return ["Open: cannot be answered yet", *lines, ""] if lines else []


def _asked(line: CheckedLine, units: ShownUnits) -> str:
    return f"{line_label(line)}: brief {band_text(line.sizes[0].judged, line.quantity, units)}"


def _sizes(line: CheckedLine, units: ShownUnits) -> list[str]:
    """Each size that is not met, those with one verdict together, then the others in a word."""
    together: dict[str, list[str]] = {}
    for checked in line.sizes:
        if checked.value.number is None:
            told = checked.value.waits
        elif checked.judged.verdict == "met":
            told = "met"
        else:
            verdict = verdict_text(checked.judged, line.quantity, units)
            told = f"{units.value(line.quantity, checked.value.number)}, {verdict}"
        together.setdefault(told, []).append(checked.size)
    met = together.pop("met", [])
    told_sizes = [f"{', '.join(sizes)}: {told}" for told, sizes in together.items()]
    return [*told_sizes, f"met in {', '.join(met)}"] if met else told_sizes


def _met(found: tuple[CheckedLine, ...], units: ShownUnits) -> list[str]:
    rows = [
        (line_label(line), _range(line, units), f"brief {band_text(line.sizes[0].judged, line.quantity, units)}")
        for line in found
    ]
    return ["Met", *columns(rows, "lrl"), ""] if rows else []


def _range(line: CheckedLine, units: ShownUnits) -> str:
    """The values over the sizes: one, or the least and the most with their sizes."""
    known = [(checked.value.number, checked.size) for checked in line.sizes if checked.value.number is not None]
    (least, first), (most, last) = min(known), max(known)
    low, high = units.value(line.quantity, least), units.value(line.quantity, most)
    named = f" ({first})" if line.line.size else ""
    return f"{low}{named}" if low == high else f"{low} ({first}) to {high} ({last})"

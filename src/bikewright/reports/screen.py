"""One screen of the workbench as JSON-ready data: raw numbers, and beside each the text that a reader sees.

Question answered   What does the page draw and write for this draft?
Method              Points and curves as numbers; values, changes, causes and verdicts also as ready text, so that the
                    page words nothing and rounds nothing.
Axes and signs      Points in millimetres in ground axes, x forward, z up.
Left out            Layout and colour: the page's own.
"""

from typing import Any

import numpy as np

from bikewright.model.brief import BriefLine
from bikewright.quantities import FAMILIES, STATES
from bikewright.reports.as_json import build_json
from bikewright.reports.numbers import unit_text
from bikewright.reports.wording import (
    ShownUnits,
    band_text,
    cause_text,
    change_of,
    consequence_text,
    label,
    place_text,
    pulls_texts,
    state_text,
    steps_text,
    verdict_text,
)
from bikewright.studies.compare import Cause, Comparison, Consequence, Headline
from bikewright.studies.curves import Curve
from bikewright.studies.evaluate import Value, read_address
from bikewright.studies.pose import BikePose
from bikewright.studies.workbench import Screen, ShownCurve


def screen_json(screen: Screen, units: ShownUnits) -> dict[str, Any]:
    """A whole screen."""
    return {
        "build": build_json(screen.build),
        "state": screen.view.state,
        "trouble": screen.trouble,
        "pose": pose_data(screen.pose),
        "before": pose_data(screen.before),
        "travel": [pose_data(pose) for pose in screen.travel],
        "curves": [_curve(shown) for shown in screen.curves],
        "values": [_row(before, after, units) for before, after in screen.values],
        "comparison": None if screen.comparison is None else comparison_data(screen.comparison, units),
    }


def pose_data(pose: BikePose | None) -> dict[str, Any] | None:
    """A pose as plain lists, rounded to a thousandth of a millimetre: what a screen can show."""
    if pose is None:
        return None
    fields = {name: _rounded(getattr(pose, name)) for name in pose.__dataclass_fields__}
    fields["bodies"] = [{"name": body.name, "kind": body.kind, "points": _rounded(body.points)} for body in pose.bodies]
    fields["pins"] = {name: _rounded(point) for name, point in pose.pins}
    return fields


def _rounded(thing: Any) -> Any:
    if isinstance(thing, float):
        return round(thing, 3)
    if isinstance(thing, tuple):
        return [_rounded(item) for item in thing]
    return thing


def _curve(shown: ShownCurve) -> dict[str, Any]:
    quantity = read_address(shown.address)[0]
    unit = unit_text(quantity.unit).strip()
    curve = shown.now or shown.before
    return {
        "address": shown.address,
        "label": quantity.label if curve is None or not curve.qualifier else f"{quantity.label}, {curve.qualifier}",
        "unit": unit,
        "decimals": quantity.decimals,
        "along": "fork travel" if quantity.scope == "fork" else "wheel travel",
        "now": curve_points(shown.now),
        "before": curve_points(shown.before),
        "band": _band(shown.band),
        "trouble": shown.trouble,
    }


def curve_points(curve: Curve | None) -> dict[str, Any] | None:
    """A curve as plain lists, rounded to what a screen can show."""
    if curve is None:
        return None
    y: list[float | None] = np.round(curve.y, min(curve.quantity.decimals + 4, 6)).tolist()
    if not np.isfinite(curve.y).all():
        y = [value if known else None for value, known in zip(y, np.isfinite(curve.y).tolist(), strict=True)]
    return {"x": np.round(curve.x_mm, 4).tolist(), "y": y, "gap": curve.gap}


def _band(line: BriefLine | None) -> dict[str, float | None] | None:
    return None if line is None else {"low": line.low, "high": line.high}


def _row(before: Value, after: Value, units: ShownUnits) -> dict[str, Any]:
    quantity = after.quantity
    both = before.number is not None and after.number is not None
    return {
        "key": quantity.key,
        "label": quantity.label,
        "family": quantity.family,
        "heading": FAMILIES[quantity.family],
        "meaning": quantity.meaning,
        "number": after.number,
        "text": units.value(quantity, after.number),
        "before": before.number,
        "before_text": units.value(quantity, before.number),
        "change_text": units.change(quantity, before.number or 0.0, after.number or 0.0) if both else "",
        "waits": after.waits,
    }


def comparison_data(comparison: Comparison, units: ShownUnits) -> dict[str, Any]:
    """What follows from the change, ready to show: refusals, verdicts, causes."""
    return {
        "size": comparison.size,
        "felt": comparison.is_felt,
        "refusals": [
            {"place": place_text(refusal.address), "address": refusal.address, "text": refusal.text}
            for refusal in comparison.refusals
        ],
        "verdicts": [_verdict(consequence, units) for consequence in comparison.verdicts],
        "causes": [_cause(cause, units) for cause in comparison.causes],
        "lost": [{"label": label(c.after), "reason": c.after.waits} for c in comparison.stopped],
    }


def _verdict(consequence: Consequence, units: ShownUnits) -> dict[str, Any]:
    before, after = consequence.judged_before, consequence.judged_after
    row = _consequence(consequence, units)
    if before is not None and after is not None:
        row["was"] = verdict_text(before, consequence.quantity, units)
        row["is"] = verdict_text(after, consequence.quantity, units)
        row["band"] = band_text(after, consequence.quantity, units)
    return row


def _cause(cause: Cause, units: ShownUnits) -> dict[str, Any]:
    return {
        "address": cause.address,
        "text": cause_text(cause, units),
        "steps": cause.steps,
        "headlines": [_headline(headline, units) for headline in cause.headlines],
        "pulls": pulls_texts(cause, units),
    }


def _headline(headline: Headline, units: ShownUnits) -> dict[str, Any]:
    home = headline.lead.after.state
    return {
        "family": headline.family,
        "lead": _consequence(headline.lead, units),
        "felt": headline.lead.is_felt,
        "echoes": [consequence_text(echo, units, home) for echo in headline.echoes],
    }


def _consequence(consequence: Consequence, units: ShownUnits) -> dict[str, Any]:
    quantity, before, after = consequence.quantity, consequence.before.number, consequence.after.number
    return {
        "key": quantity.key,
        "state": consequence.after.state,
        "label": label(consequence.after),
        "before": before,
        "after": after,
        "before_text": units.value(quantity, before),
        "after_text": units.value(quantity, after),
        "change_text": change_of(consequence, units),
        "steps": consequence.steps,
        "steps_text": steps_text(consequence.steps),
    }


def sizes_data(comparisons: tuple[Comparison, ...], units: ShownUnits) -> list[dict[str, Any]]:
    """The same change over all sizes."""
    return [comparison_data(comparison, units) for comparison in comparisons]


def state_words() -> dict[str, str]:
    """States in the order of the catalogue, in the words of a page."""
    return {state: state_text(state) for state in STATES}

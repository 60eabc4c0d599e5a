"""Answers as JSON: fixed units whatever the screen shows, and null with a reason where there is no number.

Question answered   What does a program read?
Method              Every document says its format and version. Keys are the catalogue's, so the unit is in the name.
Left out            Wording: labels are in the catalogue's own document.
"""

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from bikewright.errors import BikewrightError
from bikewright.model.addresses import Difference
from bikewright.model.build import Build
from bikewright.model.digest import digest
from bikewright.model.limits import Refusal, refusals
from bikewright.model.points import Points
from bikewright.quantities import CATALOGUE, FAMILIES, STATES
from bikewright.reports.by_size import by_size_json, own_keys
from bikewright.studies.check import BriefRow, Check, Checked, CheckedLine
from bikewright.studies.compare import Cause, Comparison, Consequence
from bikewright.studies.curves import Curve
from bikewright.studies.evaluate import Answer, Value, curve_keys
from bikewright.studies.side_by_side import Row, SideBySide
from bikewright.studies.verdicts import Judged

VERSION = 1


def _document(kind: str, **content: Any) -> dict[str, Any]:
    return {"format": f"bikewright/{kind}", "version": VERSION, **content}


def build_json(build: Build) -> dict[str, Any]:
    """Which build an answer is about."""
    return {
        "bike": build.frame.name,
        "revision": build.frame.revision,
        "build": build.name,
        "size": build.size,
        "by_size": own_keys(build),
        "key": digest(build),
    }


def value_json(value: Value) -> dict[str, Any]:
    """One value, or null and what it waits for."""
    found: dict[str, Any] = {"key": value.quantity.key, "state": value.state or None, "value": value.number}
    if value.number is None:
        found["waits"] = value.waits
    return found


def answer_json(answer: Answer, states: Iterable[str] = tuple(STATES), curves: bool = True) -> dict[str, Any]:
    """Every value of one build in the states asked for, and every curve."""
    states = tuple(states)
    single = [value_json(value) for value in answer.values() if not value.state]
    by_state = [value_json(value) for state in states for value in answer.values(state) if value.state]
    return _document(
        "answer",
        build=build_json(answer.build),
        refusals=[_refusal(refusal) for refusal in refusals(answer.build)],
        values=single + by_state,
        curves=[curve_json(curve) for curve in all_curves(answer)] if curves else [],
    )


def all_curves(answer: Answer) -> list[Curve]:
    """Every curve that a build has; none for a hardtail, while the shock is not known, or past an error.

    Why there is none is told by the values that come from the same group.
    """
    found = []
    for key in curve_keys():
        try:
            forces = answer.group("forces") if key == "pin_force" else None
            qualifiers = ("",) if forces is None else tuple(forces.by_pin)
            found += [answer.curve(f"{key}/{qualifier}".rstrip("/")) for qualifier in qualifiers]
        except BikewrightError:
            continue
    return found


def curve_json(curve: Curve) -> dict[str, Any]:
    """One curve; a point without a value is null, and the reason stands beside."""
    found: dict[str, Any] = {
        "key": curve.quantity.key,
        "at": curve.qualifier or None,
        ("fork_travel_mm" if curve.quantity.scope == "fork" else "wheel_travel_mm"): [float(x) for x in curve.x_mm],
        "values": [float(y) if np.isfinite(y) else None for y in curve.y],
    }
    if curve.gap:
        found["gap"] = curve.gap
    return found


def curves_json(build: Build, curves: Sequence[Curve]) -> dict[str, Any]:
    """Curves of one build."""
    return _document("curves", build=build_json(build), curves=[curve_json(curve) for curve in curves])


def sizes_json(answers: Sequence[Answer], state: str) -> dict[str, Any]:
    """The geometry chart over all sizes."""
    return _document(
        "sizes",
        state=state,
        by_size=by_size_json([answer.build for answer in answers]),
        sizes=[
            {"build": build_json(answer.build), "values": [value_json(value) for value in answer.values(state)]}
            for answer in answers
        ],
    )


def comparison_json(comparisons: Sequence[Comparison]) -> dict[str, Any]:
    """What follows from a change, for one size or for all, the worst first."""
    return _document("comparison", sizes=[_comparison(comparison) for comparison in comparisons])


def _comparison(comparison: Comparison) -> dict[str, Any]:
    return {
        "before": build_json(comparison.before),
        "after": build_json(comparison.after),
        "felt": comparison.is_felt,
        "refusals": [_refusal(refusal) for refusal in comparison.refusals],
        "verdicts": [_consequence(consequence) for consequence in comparison.verdicts],
        "causes": [_cause(cause) for cause in comparison.causes],
        "stopped": [{"address": c.after.address, "reason": c.after.waits} for c in comparison.stopped],
    }


def _refusal(refusal: Refusal) -> dict[str, Any]:
    return {"address": refusal.address, "text": refusal.text}


def _cause(cause: Cause) -> dict[str, Any]:
    return {
        "address": cause.address,
        "differences": [_difference(difference) for difference in cause.differences],
        "steps": cause.steps,
        "pulls": [{"key": pull.quantity.key, "alone": pull.alone} for pull in cause.pulls],
        "headlines": [
            {
                "family": headline.family,
                "lead": _consequence(headline.lead),
                "echoes": [_consequence(echo) for echo in headline.echoes],
            }
            for headline in cause.headlines
        ],
    }


def _difference(difference: Difference) -> dict[str, Any]:
    return {
        "address": difference.address,
        "before": _plain(difference.before),
        "after": _plain(difference.after),
    }


def _plain(thing: Any) -> Any:
    """A model value as JSON: scalars as they are, a part by its name."""
    if thing is None or isinstance(thing, bool | int | float | str):
        return thing
    if isinstance(thing, tuple):
        return [_plain(item) for item in thing]
    return getattr(thing, "name", type(thing).__name__)


def _consequence(consequence: Consequence) -> dict[str, Any]:
    found: dict[str, Any] = {
        "key": consequence.quantity.key,
        "state": consequence.after.state or None,
        "before": consequence.before.number,
        "after": consequence.after.number,
        "change": consequence.change,
        "steps": consequence.steps,
    }
    if consequence.shares:
        found["alone"] = list(consequence.shares)
    if consequence.judged_before is not None and consequence.judged_after is not None:
        found["verdict"] = {"before": _judged(consequence.judged_before), "after": _judged(consequence.judged_after)}
    return found


def _judged(judged: Judged) -> dict[str, Any]:
    return {
        "verdict": judged.verdict,
        "low": judged.line.low,
        "high": judged.line.high,
        "short_by": judged.short_by,
    }


def side_by_side_json(beside: SideBySide, names: Sequence[str]) -> dict[str, Any]:
    """Builds beside one another; ``names`` is what each was asked for by."""
    return _document(
        "side-by-side",
        builds=[{"of": name, **build_json(build)} for name, build in zip(names, beside.builds, strict=True)],
        rows=[_beside_row(row) for row in beside.rows],
        pairs=[{"from": pair.first, "to": pair.second, **_comparison(pair.comparison)} for pair in beside.pairs],
    )


def _beside_row(row: Row) -> dict[str, Any]:
    return {
        "key": row.quantity.key,
        "state": row.state or None,
        "builds": [
            {
                "value": told.value.number,
                "change": told.change,
                "steps": told.steps,
                **({} if told.judged is None else {"verdict": _judged(told.judged)}),
                **({"waits": told.value.waits} if told.value.number is None else {}),
            }
            for told in row.told
        ],
    }


def brief_json(rows: Sequence[BriefRow]) -> list[dict[str, Any]]:
    """Lines of the brief as they stand for one build, in the order of the brief."""
    return [_brief_row(row) for row in rows]


def _brief_row(row: BriefRow) -> dict[str, Any]:
    value = row.value
    return {
        "key": row.quantity.key,
        "state": row.state or None,
        "gear": row.gear or None,
        "value": None if value is None else value.number,
        "verdict": None if row.judged is None else row.judged.verdict,
        "short_by": 0.0 if row.judged is None else row.judged.short_by,
        "apart": row.apart,
        "waits": "" if value is None or value.number is not None else value.waits,
        "felt_step_used": row.felt_step,
        "felt_from": row.felt_from,
    }


def check_json(check: Check) -> dict[str, Any]:
    """Every line of the brief with its verdict in every size that it holds for."""
    return _document(
        "check",
        build=build_json(check.build),
        sizes=list(check.sizes),
        met=check.is_met,
        refusals=[{"sizes": list(refused.sizes), **_refusal(refused.refusal)} for refused in check.refused],
        lines=[_checked_line(line) for line in check.lines],
    )


def _checked_line(line: CheckedLine) -> dict[str, Any]:
    return {
        "key": line.quantity.key,
        "state": line.state or None,
        "gear": line.gear or None,
        "rider": line.line.rider or None,
        "low": line.line.low,
        "high": line.line.high,
        "why": line.line.why,
        "stands": line.stands,
        "sizes": [_checked(checked) for checked in line.sizes],
    }


def _checked(checked: Checked) -> dict[str, Any]:
    found: dict[str, Any] = {
        "size": checked.size,
        "value": checked.value.number,
        "verdict": checked.judged.verdict,
        "short_by": checked.judged.short_by,
    }
    if checked.value.number is None:
        found["waits"] = checked.value.waits
    return found


def new_bike_json(folder: Path, files: Sequence[Path], points: Points | None) -> dict[str, Any]:
    """Files of a new bike, and its pins in frame axes where they were read from a drawing."""
    return _document(
        "new-bike",
        folder=str(folder),
        files=[str(file) for file in files],
        pins=None if points is None else [asdict(pin) for pin in points.pins],
        done="" if points is None else points.told,
    )


def written_json(folder: Path, files: Sequence[Path]) -> dict[str, Any]:
    """Files that changes were written into."""
    return _document("written", folder=str(folder), files=[str(file) for file in files])


def catalogue_json() -> dict[str, Any]:
    """The catalogue and the states."""
    return _document(
        "catalogue",
        families=FAMILIES,
        states=STATES,
        quantities=[
            {
                "key": quantity.key,
                "label": quantity.label,
                "unit": quantity.unit,
                "decimals": quantity.decimals,
                "meaning": quantity.meaning,
                "family": quantity.family,
                "theory": quantity.theory,
                "felt_step": quantity.felt_step,
                "felt_as": quantity.felt_as,
                "scope": quantity.scope,
            }
            for quantity in CATALOGUE.values()
        ],
    )

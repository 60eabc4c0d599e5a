"""What the rooms of the workbench show beside the bike: the brief line by line, and builds beside one another.

Question answered   What does a reader see of each line of the brief, and of two or three builds side by side?
Method              Numbers as they were worked out, and beside each the text that is shown, as in
                    `bikewright.reports.screen`.
Axes and signs      Points in millimetres in ground axes, x forward, z up.
Left out            Layout and colour: the page's own.
"""

from collections.abc import Sequence
from typing import Any

from bikewright.model.brief import line_key
from bikewright.reports.numbers import unit_text
from bikewright.reports.screen import comparison_data, curve_points, pose_data
from bikewright.reports.wording import (
    ShownUnits,
    band_text,
    felt_step_text,
    label,
    state_text,
    steps_text,
    verdict_text,
)
from bikewright.studies.check import BriefRow
from bikewright.studies.compare import FELT
from bikewright.studies.curves import Curve
from bikewright.studies.evaluate import read_address
from bikewright.studies.pose import BikePose
from bikewright.studies.side_by_side import Row, SideBySide, Told


def brief_data(rows: Sequence[BriefRow], units: ShownUnits) -> list[dict[str, Any]]:
    """Every line of the brief, ready to show.

    Parameters
    ----------
    rows : sequence of BriefRow
        From `bikewright.studies.check.brief_rows`.
    units : ShownUnits
        Units that the reader picked.

    Returns
    -------
    list of dict
        In the order of the brief.
    """
    return [_brief_line(row, units) for row in rows]


def _brief_line(row: BriefRow, units: ShownUnits) -> dict[str, Any]:
    line, quantity = row.line, row.quantity
    told = [quantity.label, state_text(row.state) if row.state else "", f"gear {row.gear}" if row.gear else ""]
    spoken = [quantity.label, state_text(row.state) if row.state not in ("", "table") else "", *told[2:]]
    spoken += [f"size {line.size}" if line.size else "", f"rider {line.rider}" if line.rider else ""]
    who = [line.size or "all", f"rider {line.rider}" if line.rider else ""]
    return {
        "line": line_key(line),
        "label": ", ".join(filter(None, told)),
        "spoken": ", ".join(filter(None, spoken)),
        "for": ", ".join(filter(None, who)),
        "unit": unit_text(quantity.unit).strip(),
        "low": line.low,
        "high": line.high,
        "value_text": "" if row.value is None else units.value(quantity, row.value.number),
        "verdict": "" if row.judged is None else row.judged.verdict,
        "verdict_text": _verdict(row, units),
        "felt_own": line.felt_step,
        "felt_text": felt_step_text(quantity, row.felt_step, units),
        "felt_from": {"line": "", "other": "as another line says", "catalogue": "default"}[row.felt_from],
        "felt_unit": "of the value" if quantity.felt_as == "relative" else unit_text(quantity.unit).strip(),
        "why": line.why,
    }


def _verdict(row: BriefRow, units: ShownUnits) -> str:
    """What a line says, or why it says nothing here."""
    if row.apart:
        apart = {"size": f"for size {row.line.size} only", "other line": "another line says more", "no band": "no band"}
        return apart[row.apart]
    if row.value is not None and row.value.number is None:
        return row.value.waits
    return "" if row.judged is None else verdict_text(row.judged, row.quantity, units)


def side_by_side_data(
    beside: SideBySide,
    names: Sequence[str],
    poses: Sequence[BikePose | None],
    curves: Sequence[tuple[str, Sequence[Curve | None]]],
    units: ShownUnits,
) -> dict[str, Any]:
    """Builds beside one another, ready to show.

    Parameters
    ----------
    beside : SideBySide
        The answer.
    names : sequence of str
        What each build is called: the files, the draft, or the label of a version.
    poses : sequence of BikePose or None
        Where each stands in the state that is looked at.
    curves : sequence of (str, sequence of Curve or None)
        Addresses of curves, each with that of every build.
    units : ShownUnits
        Units that the reader picked.

    Returns
    -------
    dict
        ``builds``, ``rows``, ``pairs``, ``poses`` and ``curves``.
    """
    return {
        "builds": [
            {"of": name, "build": build.name, "size": build.size}
            for name, build in zip(names, beside.builds, strict=True)
        ],
        "rows": [_row(row, units) for row in beside.rows],
        "pairs": [
            {
                "first": names[pair.first],
                "second": names[pair.second],
                "comparison": comparison_data(pair.comparison, units),
            }
            for pair in beside.pairs
        ],
        "poses": [pose_data(pose) for pose in poses],
        "curves": [_curves(address, lines) for address, lines in curves],
    }


def _row(row: Row, units: ShownUnits) -> dict[str, Any]:
    judged = next((told.judged for told in row.told if told.judged is not None), None)
    return {
        "key": row.quantity.key,
        "state": row.state,
        "label": label(row.told[0].value),
        "band": "" if judged is None else band_text(judged, row.quantity, units),
        "builds": [_told(told, row, units) for told in row.told],
    }


def _told(told: Told, row: Row, units: ShownUnits) -> dict[str, Any]:
    quantity, first = row.quantity, row.told[0].value.number
    known = first is not None and told.change is not None
    return {
        "text": units.value(quantity, told.value.number),
        "change_text": units.change(quantity, first or 0.0, told.value.number or 0.0) if known else "",
        "steps_text": steps_text(told.steps),
        "felt": told.steps is not None and told.steps >= FELT,
        "verdict": "" if told.judged is None else verdict_text(told.judged, quantity, units),
        "waits": told.value.waits if told.value.number is None else "",
    }


def _curves(address: str, lines: Sequence[Curve | None]) -> dict[str, Any]:
    quantity = read_address(address)[0]
    known = next((line for line in lines if line is not None), None)
    return {
        "address": address,
        "label": f"{quantity.label}, {known.qualifier}" if known is not None and known.qualifier else quantity.label,
        "unit": unit_text(quantity.unit).strip(),
        "decimals": quantity.decimals,
        "along": "fork travel" if quantity.scope == "fork" else "wheel travel",
        "lines": [curve_points(line) for line in lines],
    }

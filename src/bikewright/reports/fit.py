"""A rider's fit as a page of text and as JSON.

Question answered   Does this size fit this rider, where not, by how much, and what does each rule and part say?
Method              What is missed comes first. Then posture by posture every angle beside its range and the range's
                    source, the saddle height beside each rule, the post, the cockpit.
Axes and signs      Angles as the study has them: flexion is 0 for a straight joint, the trunk's lean is from plumb.
Left out            Anything computed.
"""

from dataclasses import asdict
from typing import Any

from bikewright.model.parts import SLOTS
from bikewright.reports.as_json import VERSION, build_json, comparison_json, value_json
from bikewright.reports.comparison import CAUTION
from bikewright.reports.numbers import change_text, number_text
from bikewright.reports.tables import columns, paragraph
from bikewright.reports.wording import Shown, ShownUnits, label, place_text, text_of
from bikewright.studies.cockpit_solve import Solution
from bikewright.studies.compare import Comparison
from bikewright.studies.fitting import (
    KNEE_ROOM_MM,
    SHORT,
    Angle,
    Fit,
    PostureFit,
    Range,
    SaddleRule,
)
from bikewright.units import suffix_of

NOT_MODELLED = (
    "Not modelled: suppleness, strength and old injuries; a bent back, rocking hips, ankling; soft tissue and clothes; "
    "the saddle's shape; hoses, shifters and curved tubes beside a turned bar. A rider who hurts is to see a doctor, "
    "whatever the numbers say."
)
RANGES_NOTE = "Ranges are defaults, to place a rider to begin with; a posture outside one may still be right."
POPULATION_NOTE = "of the surveyed are smaller (ANSUR II: soldiers of one army, not customers)"


LENGTH, ANGLE, SHARE, MASS = Shown("mm", 0), Shown("deg", 0), Shown("pct", 0), Shown("kg", 0)

_STANDS = {
    "settled": "where the springs let the bike settle",
    "stated-sag": "the bike at its stated sag",
    "table": "the bike as in its geometry table, as no fork is known",
}


def fit_lines(fit: Fit, units: ShownUnits) -> list[str]:
    """A fit as lines of text.

    Parameters
    ----------
    fit : Fit
        The answer.
    units : ShownUnits
        Units that the reader picked.

    Returns
    -------
    list of str
        Lines of at most 100 columns.
    """
    build, rider = fit.build, fit.rider
    return [
        *paragraph(f"{build.frame.name}, size {build.size}, {build.name}: does it fit {rider.name}?"),
        "",
        *_verdict(fit),
        "",
        *_rider(fit, units),
        "",
        *(line for posture in fit.postures for line in _posture(posture, units)),
        *_saddle(fit, units),
        *_post(fit, units),
        *_cockpit(fit, units),
        *paragraph(RANGES_NOTE),
        *paragraph(NOT_MODELLED),
        *paragraph(CAUTION),
    ]


def verdict_line(fit: Fit) -> str:
    """Whether it fits, as a sentence."""
    if fit.fits:
        waits = fit.dropper.waits
        post = f"; the post waits for {waits}" if waits else ", and the post holds the saddle"
        return f"It fits: every posture can be taken, every angle is inside its range{post}."
    count = len(fit.reasons)
    return f"It does not fit: {count} {'thing is' if count == 1 else 'things are'} missed."


def _verdict(fit: Fit) -> list[str]:
    lines = [verdict_line(fit)]
    for reason in fit.reasons:
        lines += paragraph(f"- {reason}", 2)
    return lines


def rider_text(fit: Fit, units: ShownUnits) -> str:
    """The rider in a line: name, stature, inseam, mass."""
    found = {one.measure: one.value for one in fit.percentiles}
    stature, inseam = (text_of(found[measure], LENGTH, units) for measure in ("stature", "inseam"))
    return f"{fit.rider.name}: {stature}, inseam {inseam}, {text_of(found['mass'], MASS, units)}"


def percentile_text(fit: Fit, measure: str) -> str:
    """Where a measure of the rider stands, in words."""
    found = next(one for one in fit.percentiles if one.measure == measure)
    if found.percent is None:
        return "under 1 %" if found.beyond == "below" else "over 99 %"
    return f"{number_text(found.percent, 0)} %"


def rider_rows(fit: Fit, units: ShownUnits) -> list[tuple[str, str, str, str]]:
    """Measures of the rider as cells: measure, value, share of people who are smaller, how it is known."""
    rows = []
    for one in fit.percentiles:
        entry = MASS if one.measure == "mass" else LENGTH
        how = "" if one.measured else "from mean proportions: measure it for a better answer"
        rows.append((one.measure, text_of(one.value, entry, units), percentile_text(fit, one.measure), how))
    return rows


def _rider(fit: Fit, units: ShownUnits) -> list[str]:
    return [f"The rider; per cent {POPULATION_NOTE}", *columns(rider_rows(fit, units), "lrrl")]


def range_text(bounds: Range) -> str:
    """A range in degrees."""
    if bounds.low is None:
        return f"at most {bounds.high:g}°"
    if bounds.high is None:
        return f"at least {bounds.low:g}°"
    return f"{bounds.low:g}° to {bounds.high:g}°"


def judged_text(angle: Angle) -> str:
    """Verdict on an angle, in words."""
    if angle.verdict == "inside":
        return "inside"
    return f"{angle.verdict} by {number_text(angle.by_deg, 1)}°"


def angle_row(angle: Angle, units: ShownUnits) -> tuple[str, str, str, str, str]:
    """An angle as cells: label, value, range, verdict, source."""
    source = SHORT[angle.range.source]
    return angle.label, text_of(angle.value_deg, ANGLE, units), range_text(angle.range), judged_text(angle), source


def posture_heading(posture: PostureFit) -> str:
    """A posture, and where the bike stands for it."""
    return f"{posture.label[:1].upper()}{posture.label[1:]} ({_STANDS[posture.stands]})"


def _posture(posture: PostureFit, units: ShownUnits) -> list[str]:
    lines = [posture_heading(posture)]
    if posture.refusal:
        return [*lines, *paragraph(posture.refusal, 2), ""]
    lines += columns([angle_row(angle, units) for angle in posture.angles], "lrlll")
    told = load_texts(posture, units)
    return [*lines, *(paragraph("; ".join(told), 2) if told else []), ""]


def load_texts(posture: PostureFit, units: ShownUnits) -> list[str]:
    """What is said of a posture besides its angles."""
    told = []
    if posture.front_share_pct is not None:
        share = f"{text_of(posture.front_share_pct, SHARE, units)} of the load on the front wheel"
        if posture.front_lift_grade_pct is not None and posture.name == "climb":
            share += f", which would lift on a grade of {text_of(posture.front_lift_grade_pct, SHARE, units)}"
        told.append(share)
    if posture.knee_to_bar_mm is not None:
        least = f" (at least {text_of(KNEE_ROOM_MM, LENGTH, units)})" if posture.name == "climb" else ""
        told.append(f"knee joint to bar {text_of(posture.knee_to_bar_mm, LENGTH, units)}{least}")
    return told


def rule_row(rule: SaddleRule, units: ShownUnits) -> tuple[str, str, str, str]:
    """A saddle rule as cells: name, height, the bike against it, source."""
    above = rule.bike_above_mm
    against = rule.waits
    if above is not None:
        change = change_text(0.0, above, LENGTH, shown_in=units.of("mm"))
        against = f"this bike {change}"
    return rule.name, text_of(rule.height_mm, LENGTH, units), against, SHORT[rule.source]


def saddle_text(fit: Fit, units: ShownUnits) -> str:
    """The saddle height in use, who chose it, and the legs that it is for."""
    saddle = fit.saddle
    measured = "measured" if saddle.inseam_measured else "from the stature"
    if saddle.inseam_spread_mm is not None:
        measured += f", give or take {text_of(saddle.inseam_spread_mm, LENGTH, units)} (one standard deviation)"
    return (
        f"in use: {text_of(saddle.height_mm, LENGTH, units)}, {saddle.chosen}; inseam "
        f"{text_of(saddle.inseam_mm, LENGTH, units)}, {measured}; pedal to saddle "
        f"{text_of(saddle.pedal_to_saddle_mm, LENGTH, units)}"
    )


def _saddle(fit: Fit, units: ShownUnits) -> list[str]:
    return [
        "Saddle height, bottom bracket to the top of the saddle",
        *paragraph(saddle_text(fit, units), 2),
        *columns([rule_row(rule, units) for rule in fit.saddle.rules], "lrll"),
        "",
    ]


def post_rows(fit: Fit, units: ShownUnits) -> list[tuple[str, str]]:
    """The post as rows of label and value."""
    post = fit.dropper
    return [
        ("saddle height that it can give", f"{text_of(post.lowest_mm, LENGTH, units)} to "
                                           f"{text_of(post.highest_mm, LENGTH, units)}"),
        ("in the seat tube at this height", f"{text_of(post.inserted_mm, LENGTH, units)}; at least "
                                            f"{text_of(post.insertion_min_mm, LENGTH, units)}"),
        ("rail clamp over the collar", f"{text_of(post.clamp_over_collar_mm, LENGTH, units)}; lowered "
                                       f"{text_of(post.lowered_over_collar_mm, LENGTH, units)}"),
        ("room for drop over the collar", text_of(post.drop_room_mm, LENGTH, units)),
        ("lowered saddle to tyre at full travel", text_of(post.saddle_to_tyre_mm, LENGTH, units)),
    ]  # fmt: skip


def post_heading(fit: Fit, units: ShownUnits) -> str:
    """The post of the build, and its drop."""
    post = fit.dropper
    drop = f", drop {text_of(post.drop_mm, LENGTH, units)}" if post.drop_mm else ""
    return f"Post: {post.post or 'none'}{drop}"


def shelf_rows(fit: Fit, units: ShownUnits) -> list[tuple[str, str, str]]:
    """Posts of the shelf as cells: name, drop, whether it fits or why not; the longest drop first."""
    return [
        (one.name, text_of(one.drop_mm, LENGTH, units), "fits" if one.fits else one.reason) for one in fit.dropper.shelf
    ]


def _post(fit: Fit, units: ShownUnits) -> list[str]:
    post = fit.dropper
    lines = [post_heading(fit, units), *columns(post_rows(fit, units), "ll")]
    if post.refusal:
        lines += paragraph(f"refused: {post.refusal}", 2)
    if post.waits:
        lines += paragraph(f"waits for {post.waits}", 2)
    if post.shelf:
        lines += ["  on the shelf, longest drop first", *columns(shelf_rows(fit, units), "lrl", indent=4)]
    return [*lines, ""]


def cockpit_rows(fit: Fit, units: ShownUnits) -> list[tuple[str, str]]:
    """The cockpit as rows of label and value."""
    hands = fit.cockpit
    heel = hands.heel_to_rocker
    return [
        ("saddle to grip, seated on the flat", text_of(hands.seated_length_mm, LENGTH, units)),
        ("saddle over the grips", text_of(hands.seated_drop_mm, LENGTH, units)),
        ("saddle to grip, along the climb", text_of(hands.climb_length_mm, LENGTH, units)),
        ("grips over the ground, standing", text_of(hands.hand_height_mm, LENGTH, units)),
        ("grips over the bottom bracket, standing", text_of(hands.hand_over_bb_mm, LENGTH, units)),
        ("ball of the foot ahead of the pedal", text_of(hands.foot_ahead_mm, LENGTH, units)),
        ("between the middles of both feet", text_of(hands.stance_mm, LENGTH, units)),
        ("heel to stay", text_of(hands.heel_to_stay_mm, LENGTH, units)),
        ("heel to rocker or link", text_of(None if heel is None else heel.room_mm, LENGTH, units)),
        *((f"{one.part} to top tube", text_of(one.room_mm, LENGTH, units)) for one in hands.top_tube),
        ("bar turns freely, either way", text_of(hands.bar_turn_free_deg, ANGLE, units)),
    ]


def reach_texts(fit: Fit, units: ShownUnits) -> list[str]:
    """Where the heel and what is on a turned bar come nearest, each as a sentence."""
    hands, told = fit.cockpit, []
    heel = hands.heel_to_rocker
    if heel is not None:
        travel, crank = text_of(heel.travel_mm, LENGTH, units), text_of(heel.crank_deg, ANGLE, units)
        told.append(
            f"The heel is nearest to the {heel.link} at {travel} of rear travel, its crank {crank} past the top."
        )
    for one in hands.top_tube:
        at = text_of(one.at_deg, ANGLE, units)
        text = f"The {one.part} passes {one.side} the top tube, nearest with the bar turned {at}"
        if one.touch_deg is not None:
            text = f"The {one.part} meets the top tube with the bar turned {text_of(one.touch_deg, ANGLE, units)}"
        told.append(f"{text}.")
    return told


def _cockpit(fit: Fit, units: ShownUnits) -> list[str]:
    lines = ["Hands and feet", *columns(cockpit_rows(fit, units), "lr")]
    for text in (*reach_texts(fit, units), *fit.cockpit.waits):
        lines += paragraph(text, 2)
    return [*lines, ""]


def fit_json(fit: Fit) -> dict[str, Any]:
    """A fit as JSON."""
    postures = [
        {
            "name": posture.name,
            "state": posture.state,
            "stands": posture.stands,
            "refusal": posture.refusal,
            "front_share_pct": posture.front_share_pct,
            "front_lift_grade_pct": posture.front_lift_grade_pct,
            "knee_to_bar_mm": posture.knee_to_bar_mm,
            "angles": [_angle(angle) for angle in posture.angles],
        }
        for posture in fit.postures
    ]
    return {
        "format": "bikewright/fit",
        "version": VERSION,
        "build": build_json(fit.build),
        "rider": fit.rider.name,
        "fits": fit.fits,
        "reasons": list(fit.reasons),
        "percentiles": [asdict(one) for one in fit.percentiles],
        "postures": postures,
        "saddle": {**asdict(fit.saddle), "rules": [asdict(rule) for rule in fit.saddle.rules]},
        "post": {**asdict(fit.dropper), "shelf": [asdict(one) for one in fit.dropper.shelf]},
        "cockpit": {
            **asdict(fit.cockpit),
            "top_tube": [asdict(one) for one in fit.cockpit.top_tube],
            "waits": list(fit.cockpit.waits),
        },
    }


def _angle(angle: Angle) -> dict[str, Any]:
    return {
        "name": angle.name,
        "value_deg": angle.value_deg,
        "low_deg": angle.range.low,
        "high_deg": angle.range.high,
        "verdict": angle.verdict,
        "by_deg": angle.by_deg,
        "source": angle.range.source,
    }


def solution_lines(solution: Solution, units: ShownUnits) -> list[str]:
    """What was solved, before what follows from it."""
    before, after = _solved(solution, units)
    quantity = solution.reached.quantity
    slot = solution.by.partition(".")[0]
    whose = f"{slot} " if slot in SLOTS else ""  # "length" alone may be anybody's
    told = f"{whose}{place_text(solution.by)}: {after} instead of {before}; {reached_text(solution, units)}"
    return [*paragraph(f"{told}, was {units.value(quantity, solution.at_first.number)}"), ""]


def reached_text(solution: Solution, units: ShownUnits) -> str:
    """What was wanted, as it is after the change."""
    return f"{label(solution.reached)}: {units.value(solution.reached.quantity, solution.reached.number)}"


def solution_cells(solution: Solution, units: ShownUnits) -> tuple[str, str, str]:
    """A dimension that was solved as cells: as it is, as it becomes, the change."""
    entry = _solved_in(solution)
    shown_in = units.of(entry.unit) if entry.unit else ""
    return *_solved(solution, units), change_text(solution.before, solution.value, entry, shown_in=shown_in)


def wanted_text(want: str, wanted_mm: float, units: ShownUnits) -> str:
    """What was asked for, as a sentence."""
    return f"{want.replace('-', ' ').capitalize()} of {text_of(wanted_mm, LENGTH, units)} by one change, each by itself"


def _solved_in(solution: Solution) -> Shown:
    return Shown(suffix_of(solution.by) or "", 2)


def _solved(solution: Solution, units: ShownUnits) -> tuple[str, str]:
    before, after = (text_of(value, _solved_in(solution), units) for value in (solution.before, solution.value))
    return before, after


def solution_json(solution: Solution, comparison: Comparison) -> dict[str, Any]:
    """What was solved, and the comparison that follows from it, as JSON."""
    return {
        "format": "bikewright/cockpit",
        "version": VERSION,
        "build": build_json(solution.changed),
        "want": solution.want,
        "wanted_mm": solution.wanted_mm,
        "by": solution.by,
        "before": solution.before,
        "value": solution.value,
        "at_first": value_json(solution.at_first),
        "reached": value_json(solution.reached),
        "sizes": comparison_json((comparison,))["sizes"],
    }

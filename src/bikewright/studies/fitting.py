"""Fit: does this size fit this rider, posture by posture, at the saddle, at the post and in the cockpit?

Angles in degrees and lengths in millimetres, as people read them. Every angle is judged by a published or a stated
range; whatever is missed is told in a sentence, by how much.

The rider is posed where the bike settles under the springs as they are set (the same numbers as in the whole-bike
answer). While a spring is not known, or when asked for, the bike stands at its stated sag instead: what it will do
once it is set up for that rider.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.model.addresses import with_value
from bikewright.model.build import Build
from bikewright.model.parts import Seatpost
from bikewright.model.rider import Rider
from bikewright.physics import saddle as saddle_rules
from bikewright.physics.body import Body
from bikewright.physics.figure import Contacts, Figure, figure
from bikewright.physics.geometry import SeatTube
from bikewright.physics.population import expected_inseam, percent_below
from bikewright.physics.posture import Posture, SeatedHabit, seated, standing
from bikewright.studies import crossing
from bikewright.studies.bindings import SEAT_TUBE, lacking
from bikewright.studies.cockpit_fit import CockpitFit, cockpit_fit
from bikewright.studies.evaluate import Answer, evaluate
from bikewright.studies.joints import joints_of
from bikewright.studies.post_fit import DropperFit, dropper_fit
from bikewright.studies.resting import Settled, contacts_in
from bikewright.studies.standing import Fit as Places
from bikewright.studies.states import STANCES, Solved
from bikewright.units import DEG, MM

Verdict = Literal["inside", "low", "high"]
Sag = Literal["settled", "stated"]
Stands = Literal["settled", "stated-sag", "table"]
PostureName = Literal["standing", "climb", "seated"]
COMMON, HOLMES, HAMLEY = "practice", "holmes1994", "hamley1967"
"""Keys of `bikewright.sources`."""
SHORT = {
    COMMON: "common practice, no source",
    HOLMES: "Holmes and others, 1994",
    HAMLEY: "Hamley and Thomas, 1967",
}
"""Sources in a table's width; the sources page has them in full."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """What a number is judged by. A default, shown as one."""

    low: float | None
    high: float | None
    source: str
    """Key of `bikewright.sources`; its short form is in `SHORT`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Angle:
    """One joint angle of one posture, judged."""

    name: str
    """``knee``, ``knee_most``, ``hip``, ``trunk``, ``elbow``, ``shoulder``."""
    label: str
    value_deg: float
    range: Range
    verdict: Verdict
    by_deg: float
    """How far outside; 0 inside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PostureFit:
    """The rider in one posture."""

    name: PostureName
    label: str
    state: str
    """State of the whole-bike answer."""
    stands: Stands
    """Where the bike stands: where its springs let it settle, at its stated sag, or as in the geometry table."""
    angles: tuple[Angle, ...]
    """Empty where the rider cannot take the posture."""
    refusal: str
    """Why the rider cannot take it, by how much; empty where that is possible."""
    front_share_pct: float | None
    """Of the load; None while the bike does not settle."""
    front_lift_grade_pct: float | None
    """None while the bike does not settle."""
    knee_to_bar_mm: float | None
    """Seated; None standing."""
    posture: Posture | None
    """In frame axes, for whoever draws it [m, rad]; None where the rider cannot take it."""
    contacts: Contacts | None
    """What the posture was taken on, likewise [m]."""

    @property
    def missed(self) -> tuple[Angle, ...]:
        """Angles outside their range."""
        return tuple(angle for angle in self.angles if angle.verdict != "inside")


@dataclass(frozen=True, slots=True, kw_only=True)
class SaddleRule:
    """What one rule asks for."""

    name: str
    source: str
    """Key of `bikewright.sources`; its short form is in `SHORT`."""
    height_mm: float | None
    """Bottom bracket to the top of the saddle; None where the rule has no answer here."""
    waits: str
    """Why not."""
    bike_above_mm: float | None
    """The height in use less this one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SaddleFit:
    """The saddle height in use beside what the rules ask for."""

    height_mm: float
    """In use for this fit: bottom bracket to the top of the saddle."""
    chosen: str
    """Who chose it, as the end of a sentence."""
    inseam_mm: float
    inseam_measured: bool
    """False: mean share of the stature."""
    inseam_spread_mm: float | None
    """Standard deviation of the inseam of people so tall, where it was not measured; None where it was, or beyond the
    survey."""
    pedal_to_saddle_mm: float
    """In line with the seat tube: height plus crank."""
    rules: tuple[SaddleRule, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Percentile:
    """Where a measure of the rider stands among the surveyed."""

    measure: str
    """``stature``, ``inseam``, ``span``, ``mass``."""
    value: float
    """[mm; kg for the mass]"""
    percent: float | None
    """Share of people below; None outside the table's 1 to 99 %."""
    beyond: Literal["", "below", "above"]
    """On which side of the table."""
    measured: bool
    """False: from the mean proportions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """One rider on one build."""

    build: Build
    """As it was fitted: the saddle height in use is its setting."""
    rider: Rider
    percentiles: tuple[Percentile, ...]
    """Stature, inseam, span, mass in ANSUR II: soldiers, not customers."""
    postures: tuple[PostureFit, ...]
    """Standing on level cranks, seated climb, seated flat."""
    saddle: SaddleFit
    dropper: DropperFit
    cockpit: CockpitFit
    fits: bool
    """No posture refused, no angle outside its range, room for knee, saddle and heel, post not refused."""
    reasons: tuple[str, ...]
    """A sentence for each thing missed, by how much; empty where it fits."""


RANGES: dict[PostureName, dict[str, Range]] = {
    "standing": {
        "knee": Range(low=25, high=80, source=COMMON),
        "hip": Range(low=65, high=135, source=COMMON),
        "trunk": Range(low=30, high=55, source=COMMON),
        "elbow": Range(low=25, high=100, source=COMMON),
        "shoulder": Range(low=38, high=52, source=COMMON),
    },
    "climb": {
        "knee": Range(low=20, high=45, source=COMMON),
        "knee_most": Range(low=None, high=125, source=COMMON),
        "hip": Range(low=55, high=None, source=COMMON),
        "trunk": Range(low=5, high=45, source=COMMON),
        "elbow": Range(low=10, high=70, source=COMMON),
        "shoulder": Range(low=35, high=65, source=COMMON),
    },
    "seated": {
        "knee": Range(low=25, high=35, source=HOLMES),
        "knee_most": Range(low=None, high=120, source=COMMON),
        "hip": Range(low=55, high=None, source=COMMON),
        "trunk": Range(low=10, high=45, source=COMMON),
        "elbow": Range(low=10, high=60, source=COMMON),
        "shoulder": Range(low=38, high=65, source=COMMON),
    },
}
"""Degrees, in the model's own measures, for arms bent as its riders bend them. Defaults, shown as such. The knee's
published range is one for level ground: on the climb the rider's pelvis and feet stay as they are to the plumb line
while the bike turns, which bends it more."""

KNEE_ROOM_MM = 165.0
"""Least from the knee joint to the bar on the climb: half a knee, a pad, and room to turn the bar. A default; common
practice, no source."""

_STATES: dict[PostureName, tuple[str, str]] = {
    "standing": ("standing on level cranks", "standing"),
    "climb": ("seated climb", "climbing"),
    "seated": ("seated on the flat", "seated"),
}
_LABELS: dict[bool, dict[str, str]] = {
    False: {
        "knee": "straighter knee",
        "hip": "hip, more closed side",
        "trunk": "trunk from plumb",
        "elbow": "elbow",
        "shoulder": "shoulder",
    },
    True: {
        "knee": "knee at the bottom of the stroke",
        "knee_most": "knee at the top of the stroke",
        "hip": "hip at the top of the stroke",
        "trunk": "trunk from plumb",
        "elbow": "elbow",
        "shoulder": "shoulder",
    },
}
"""Labels of a rider who is seated or not."""


def label_of(posture: PostureName, angle: str) -> tuple[str, str]:
    """What a posture and one of its angles in `RANGES` are called."""
    return _STATES[posture][0], _LABELS[posture != "standing"][angle]


def fit_of(build: Build, *, sag: Sag = "settled", shelf: Iterable[Seatpost] = ()) -> Fit:
    """How one rider fits one build.

    Parameters
    ----------
    build : Build
        Its rider and size decide. The saddle is at the height of its setting, else at the rider's own, else where the
        knee keeps the middle of its published range.
    sag : {"settled", "stated"}
        Where the bike stands: as its springs let it, or at its stated sag. A bike whose springs are not known stands at
        its stated sag either way, one without a fork as in its geometry table.
    shelf : iterable of Seatpost
        Other posts, to find the longest drop that fits.

    Returns
    -------
    Fit
        Angles in degrees, lengths in millimetres.

    Raises
    ------
    NotKnown
        If rider, hands, cranks or seat tube are missing: names which.
    OutsideValidity
        If the rider's measures do not go together, or no saddle height suits the leg: says by how much.
    """
    rider = build.rider
    if rider is None:
        raise NotKnown("the fit waits for a rider: choose one, or give the build one")
    body = crossing.body(rider)
    tube = _seat_tube(build)
    fitted, chosen = at_own_height(build)
    answer = evaluate(fitted)
    places: Places = answer.group("fit")
    postures = tuple(_posture_fit(answer, body, places, name, sag) for name in _STATES)
    saddle = _saddle_fit(answer, body, tube, chosen, sag)
    dropper = dropper_fit(answer, shelf)
    where: dict[str, str] = {
        posture.name: posture.state if posture.stands == "settled" else posture.stands for posture in postures
    }
    hands = cockpit_fit(answer, rider, where)
    reasons = (*(text for posture in postures for text in _reasons(posture)), *_room_reasons(dropper, hands))
    return Fit(
        build=fitted,
        rider=rider,
        percentiles=_percentiles(rider, body),
        postures=postures,
        saddle=saddle,
        dropper=dropper,
        cockpit=hands,
        fits=not reasons,
        reasons=reasons,
    )


def standing_fit(build: Build) -> PostureFit:
    """The standing posture of a build's rider at the stated sag, alone: what searches ask for many times.

    Standing does not touch the saddle, so that no saddle height is looked for. Raises as `fit_of` does.
    """
    rider = build.rider
    if rider is None:
        raise NotKnown("the fit waits for a rider")
    answer = evaluate(build)
    return _posture_fit(answer, crossing.body(rider), answer.group("fit"), "standing", "stated")


def _seat_tube(build: Build) -> SeatTube:
    tube: SeatTube | None = evaluate(build).group("table").seat_tube
    if tube is None or tube.virtual or tube.setback is None:
        raise NotKnown(f"the fit waits for {lacking(SEAT_TUBE, build)}")
    return tube


# The saddle


def at_own_height(build: Build) -> tuple[Build, str]:
    """The build with its saddle where this rider has it, and who chose that height.

    Parameters
    ----------
    build : Build
        With a rider.

    Returns
    -------
    tuple
        A build whose setting is the height in use, and the end of a sentence. [mm]

    Raises
    ------
    NotKnown
        If rider, seat tube, hands or cranks are missing.
    OutsideValidity
        If no height leaves the wanted knee.
    """
    rider = build.rider
    if rider is None:
        raise NotKnown("the fit waits for a rider: choose one, or give the build one")
    if build.settings.saddle_height_mm is not None:
        return build, "the setting of the build"
    if rider.saddle_height_mm is not None:
        return with_value(build, "saddle_height_mm", rider.saddle_height_mm), f"{rider.name}'s own"
    stick = _stick(evaluate(build), crossing.body(rider))
    seat = crossing.seat_at(build, 0.0)
    height = (
        saddle_rules.saddle_height_at_knee(stick, _seat_tube(build), seat, saddle_rules.KNEE_MIDDLE, SeatedHabit()) / MM
    )
    chosen = f"a knee of {saddle_rules.KNEE_MIDDLE / DEG:.0f}° at the bottom, as no height is given"
    return with_value(build, "saddle_height_mm", round(height, 2)), chosen


def _stick(answer: Answer, body: Body, sag: Sag = "stated") -> Figure:
    """The seated rider on the flat, for whom the knee's rule is solved; the bike stands as at the height in use."""
    try:
        settled = _settled(answer, "seated", sag)
    except OutsideValidity:
        settled = None
    pitch = _pitch(answer)[0] if settled is None else settled.rest.pose.pitch
    habit = SeatedHabit()
    return figure(body, contacts_in(answer.build, answer.group("fit"), Solved())(pitch), habit.arms, habit.feet)


def _saddle_fit(answer: Answer, body: Body, tube: SeatTube, chosen: str, sag: Sag) -> SaddleFit:
    """The height in use beside the rules."""
    build = answer.build
    height = float(answer.value("saddle_height_mm").number or 0.0)
    crank_mm = 0.0 if build.parts.crank is None else build.parts.crank.length_mm
    inseam_mm = body.inseam / MM
    stick, seat = _stick(answer, body, sag), crossing.seat_at(build, height)

    def rule(name: str, source: str, asked: float) -> SaddleRule:
        return SaddleRule(name=name, source=source, height_mm=asked, waits="", bike_above_mm=height - asked)

    rules = [
        rule(
            f"{saddle_rules.PEDAL_SHARE:g} x inseam, pedal to saddle",
            HAMLEY,
            saddle_rules.pedal_rule(body.inseam) / MM - crank_mm,
        ),
        *(rule(f"{share:g} x inseam", COMMON, share * inseam_mm) for share in saddle_rules.BB_SHARES),
    ]
    least, most = saddle_rules.KNEE_RANGE
    for knee in (most, saddle_rules.KNEE_MIDDLE, least):
        name = f"knee {knee / DEG:.0f}° at the bottom"
        try:
            asked = saddle_rules.saddle_height_at_knee(stick, tube, seat, knee, SeatedHabit()) / MM
        except OutsideValidity as error:
            rules.append(SaddleRule(name=name, source=HOLMES, height_mm=None, waits=str(error), bike_above_mm=None))
        else:
            rules.append(rule(name, HOLMES, asked))
    return SaddleFit(
        height_mm=height,
        chosen=chosen,
        inseam_mm=inseam_mm,
        inseam_measured=build.rider is not None and build.rider.inseam_mm is not None,
        inseam_spread_mm=_spread(build.rider),
        pedal_to_saddle_mm=height + crank_mm,
        rules=tuple(rules),
    )


def _spread(rider: Rider | None) -> float | None:
    """How surely an inseam follows from the stature [mm]."""
    if rider is None or rider.inseam_mm is not None:
        return None
    try:
        return expected_inseam(rider.stature_mm * MM, rider.build).deviation / MM
    except OutsideValidity:
        return None


# The postures


def _pitch(answer: Answer) -> tuple[float, Stands]:
    """Pitch of the frame at the stated sag, or while there is no fork in the geometry table."""
    try:
        return float(answer.group("geometry", "stated-sag").ground.attitude.pitch), "stated-sag"
    except NotKnown:
        return float(answer.group("geometry", "table").ground.attitude.pitch), "table"


def _settled(answer: Answer, state: str, sag: Sag) -> Settled | None:
    """The bike at rest in a state; None where it is not wanted or waits for something."""
    if sag == "stated":
        return None
    try:
        found: Settled = answer.group("rest", state)
    except NotKnown:
        return None
    return found


def _posture_fit(answer: Answer, body: Body, places: Places, name: PostureName, sag: Sag) -> PostureFit:
    """One posture, judged, or why the rider cannot take it."""
    label, state = _STATES[name]
    stance = STANCES[state]
    assert isinstance(stance, Solved)
    share = lift = None
    posture: Posture | None = None
    contacts: Contacts | None = None
    stands: Stands = "settled"
    refusal = ""
    try:
        settled = _settled(answer, state, sag)
        if settled is not None:
            posture = settled.posture
            contacts = contacts_in(answer.build, places, stance)(settled.rest.pose.pitch)
            share, lift = (answer.value(f"{key}@{state}").number for key in ("front_share_pct", "front_lift_grade_pct"))
        else:
            pitch, stands = _pitch(answer)
            contacts = contacts_in(answer.build, places, stance)(pitch)
            posture = (standing if name == "standing" else seated)(body, contacts)
    except OutsideValidity as error:
        refusal = str(error)
        stands = _pitch(answer)[1]
    joints = None if posture is None else joints_of(posture, body, places)
    angles: tuple[Angle, ...] = ()
    if posture is not None and joints is not None:
        found = {
            "knee": posture.knee_least,
            "knee_most": posture.knee_most,
            "hip": joints.hip_least,
            "trunk": posture.trunk_lean,
            "elbow": posture.elbow,
            "shoulder": posture.shoulder,
        }
        angles = tuple(
            _angle(key, _LABELS[name != "standing"][key], found[key] / DEG, bounds)
            for key, bounds in RANGES[name].items()
        )
    return PostureFit(
        name=name,
        label=label,
        state=state,
        stands=stands,
        angles=angles,
        refusal=refusal,
        front_share_pct=share,
        front_lift_grade_pct=lift,
        knee_to_bar_mm=None if joints is None or joints.knee_to_bar is None else joints.knee_to_bar / MM,
        posture=posture,
        contacts=contacts,
    )


def _angle(name: str, label: str, value: float, bounds: Range) -> Angle:
    verdict: Verdict = "inside"
    by = 0.0
    if bounds.low is not None and value < bounds.low:
        verdict, by = "low", bounds.low - value
    elif bounds.high is not None and value > bounds.high:
        verdict, by = "high", value - bounds.high
    return Angle(name=name, label=label, value_deg=value, range=bounds, verdict=verdict, by_deg=by)


def _reasons(posture: PostureFit) -> list[str]:
    """A sentence for what one posture misses."""
    if posture.refusal:
        return [f"{posture.label}: {posture.refusal}"]
    told = []
    for angle in posture.missed:
        over = angle.verdict == "high"
        bound = angle.range.high if over else angle.range.low
        told.append(
            f"{posture.label}: {angle.label} {angle.value_deg:.1f}° is {angle.by_deg:.1f}° "
            f"{'over' if over else 'under'} {bound:g}° ({SHORT[angle.range.source]})"
        )
    room = posture.knee_to_bar_mm
    if posture.name == "climb" and room is not None and room < KNEE_ROOM_MM:
        told.append(
            f"{posture.label}: knee joint to bar {room:.0f} mm is {KNEE_ROOM_MM - room:.0f} mm under "
            f"{KNEE_ROOM_MM:.0f} mm ({SHORT[COMMON]})"
        )
    return told


# What else is judged


def _room_reasons(dropper: DropperFit, hands: CockpitFit) -> list[str]:
    told = [f"post: {dropper.refusal}"] if dropper.refusal else []
    if dropper.saddle_to_tyre_mm is not None and dropper.saddle_to_tyre_mm < 0.0:
        told.append(f"lowered, the saddle meets the tyre at full travel by {-dropper.saddle_to_tyre_mm:.0f} mm")
    if hands.heel_to_stay_mm is not None and hands.heel_to_stay_mm < 0.0:
        told.append(f"the heel meets the stay by {-hands.heel_to_stay_mm:.0f} mm")
    heel = hands.heel_to_rocker
    if heel is not None and heel.room_mm < 0.0:
        told.append(
            f"the heel meets the link {heel.link} by {-heel.room_mm:.0f} mm, at {heel.travel_mm:.0f} mm of rear travel"
        )
    return told


# The rider


def _percentiles(rider: Rider, body: Body) -> tuple[Percentile, ...]:
    """Where the rider stands among the surveyed."""
    told = []
    for measure, value, shown, measured in (
        ("stature", body.stature, rider.stature_mm, True),
        ("inseam", body.inseam, body.inseam / MM, rider.inseam_mm is not None),
        ("span", body.span, body.span / MM, rider.span_mm is not None),
        ("mass", rider.mass_kg, rider.mass_kg, True),
    ):
        percent, beyond = percent_below(rider.build, measure, value)
        told.append(Percentile(measure=measure, value=shown, percent=percent, beyond=beyond, measured=measured))
    return tuple(told)

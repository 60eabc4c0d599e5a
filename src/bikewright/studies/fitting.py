"""Fit: does this size fit this rider, posture by posture, at the saddle, at the post and in the cockpit?

Angles in degrees and lengths in millimetres, as people read them. Every angle is judged by a published or a stated
range; whatever is missed is told in a sentence, by how much.

The rider is posed where the bike settles under the springs as they are set (the same numbers as in the whole-bike
answer). While a spring is not known, or when asked for, the bike stands at its stated sag instead: what it will do
once it is set up for that rider.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import sin
from typing import Literal

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.model.build import Build
from bikewright.model.parts import Seatpost
from bikewright.model.rider import Rider
from bikewright.physics import saddle as saddle_rules
from bikewright.physics.body import Body
from bikewright.physics.figure import Contacts, figure
from bikewright.physics.geometry import SeatTube
from bikewright.physics.population import PERCENTS, at_percentile
from bikewright.physics.posture import Posture, SeatedHabit, root, seated, standing
from bikewright.studies import crossing
from bikewright.studies.evaluate import Answer, evaluate
from bikewright.studies.joints import Joints, PostPlace, joints_of, post_in
from bikewright.studies.resting import contacts_in
from bikewright.studies.standing import Fit as Places
from bikewright.studies.states import STANCES, Solved
from bikewright.units import DEG, MM, PCT

Verdict = Literal["inside", "low", "high"]
Sag = Literal["settled", "stated"]
COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """What a number is judged by. A default, shown as one."""

    low: float | None
    high: float | None
    source: str
    """Citation, or ``common practice, no source``."""


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

    name: Literal["standing", "climb", "seated"]
    label: str
    state: str
    """State of the whole-bike answer."""
    settled: bool
    """Whether the bike stands where its springs let it settle; else at the stated sag."""
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

    @property
    def missed(self) -> tuple[Angle, ...]:
        """Angles outside their range."""
        return tuple(angle for angle in self.angles if angle.verdict != "inside")


@dataclass(frozen=True, slots=True, kw_only=True)
class SaddleRule:
    """What one rule asks for."""

    name: str
    source: str
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
    pedal_to_saddle_mm: float
    """In line with the seat tube: height plus crank."""
    rules: tuple[SaddleRule, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPost:
    """Another post on the shelf, in this size for this rider."""

    name: str
    drop_mm: float
    fits: bool
    reason: str
    """Why not, or what it waits for; empty where it fits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DropperFit:
    """The post in this size at this rider's height. None where a field waits for something."""

    post: str
    """Name of the post on the bike; empty while there is none."""
    drop_mm: float
    collar_mm: float | None
    """Seat tube, along its axis."""
    lowest_mm: float | None
    """Lowest saddle height, not lowered."""
    highest_mm: float | None
    """Highest saddle height, at the minimum insertion."""
    inserted_mm: float | None
    """Below the collar at this rider's height."""
    insertion_min_mm: float | None
    clamp_over_collar_mm: float | None
    """Rail clamp over the collar at this rider's height, not lowered."""
    lowered_over_collar_mm: float | None
    """The same with the post lowered."""
    drop_room_mm: float | None
    """Largest drop that room between collar and rail clamp, less this post's stack, leaves."""
    saddle_to_tyre_mm: float | None
    """Lowered saddle to the tyre with the rear at full travel."""
    refusal: str
    """Why this post cannot be used so, by how much; empty where it can, or where that is not known."""
    waits: str
    """What must be known for a full answer; empty where nothing is missing."""
    shelf: tuple[ShelfPost, ...]
    longest: str
    """Post with the longest drop on the shelf that fits; empty where none does, or no shelf was given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CockpitFit:
    """Hands against saddle and ground. None where it waits for something."""

    seated_length_mm: float
    """Saddle to grip, level, seated on the flat."""
    seated_drop_mm: float
    """Saddle over the grips."""
    climb_length_mm: float
    """Saddle to grip, along the ground of the climb."""
    hand_height_mm: float
    """Grips over the ground, rider standing."""
    hand_over_bb_mm: float
    """Grips over the bottom bracket, rider standing."""
    foot_ahead_mm: float
    """Ball of the foot ahead of the pedal axle."""
    stance_mm: float | None
    heel_to_stay_mm: float | None
    waits: tuple[str, ...]
    """What stance width and heel wait for."""


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
    """No posture refused, no angle outside its range, post not refused."""
    reasons: tuple[str, ...]
    """A sentence for each thing missed, by how much; empty where it fits."""


HOLMES = "Holmes, Pruitt and Whalen, 1994 (from memory)"

RANGES: dict[str, dict[str, Range]] = {
    "standing": {
        "knee": Range(low=20, high=80, source=COMMON),
        "hip": Range(low=60, high=130, source=COMMON),
        "trunk": Range(low=25, high=75, source=COMMON),
        "elbow": Range(low=20, high=100, source=COMMON),
        "shoulder": Range(low=50, high=135, source=COMMON),
    },
    "seated": {
        "knee": Range(low=25, high=35, source=HOLMES),
        "knee_most": Range(low=None, high=120, source=COMMON),
        "hip": Range(low=45, high=None, source=COMMON),
        "trunk": Range(low=15, high=55, source=COMMON),
        "elbow": Range(low=10, high=60, source=COMMON),
        "shoulder": Range(low=50, high=110, source=COMMON),
    },
}
"""Degrees. Defaults: replace an entry to judge by your own."""


def fit_of(build: Build, *, sag: Sag = "settled", shelf: Iterable[Seatpost] = ()) -> Fit:
    """How one rider fits one build.

    Parameters
    ----------
    build : Build
        Its rider and size decide.
    sag : {"settled", "stated"}
        Where the bike stands: as its springs let it, or at its stated sag. A bike whose springs are not known stands at
        its stated sag either way.
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
    """
    raise NotKnown("waits for its postures")

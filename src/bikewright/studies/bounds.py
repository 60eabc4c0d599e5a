"""Bounds: everything that decides whether a rider fits a build, with the room inside it.

The fit says angle by angle and length by length where a rider stands; here each becomes one signed number, so that an
edge between riders who fit and riders who do not is a root.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from bikewright.errors import AddressError, BikewrightError, NotKnown
from bikewright.model.build import Build, remade
from bikewright.model.rider import Rider
from bikewright.physics.population import ANSUR_II
from bikewright.physics.population import Build as Column
from bikewright.studies.fitting import KNEE_ROOM_MM, RANGES, Fit, PostureFit, Range, fit_of
from bikewright.units import MM

SEATPOST = "seatpost"
"""Where the bound of a saddle height is."""
HEEL_TO_STAY, HEEL_TO_LINK = "heel to stay", "heel to rocker or link"
"""Lengths that the heel must have."""
ANGLE_SCALE_DEG, LENGTH_SCALE_MM = 10.0, 30.0
"""Room of an angle and of a length that count alike; they decide no edge, only how fast it is found."""
Ranges = Mapping[tuple[str, str], tuple[float | None, float | None]]
"""Bounds in degrees for (posture, angle), as in ``("standing", "trunk")``."""
_BOUND = re.compile(r"\s*(\w+)\.(\w+)\s*=\s*(\d+(?:\.\d+)?)?\s*\.\.\s*(\d+(?:\.\d+)?)?\s*")


@dataclass(frozen=True, slots=True)
class Bound:
    """One thing that a rider must be inside of, and by how much this one is."""

    where: str
    """Posture, or the seatpost."""
    what: str
    """Label of the joint angle, or of the length."""
    room: float
    """Inside by so much, negative outside, in scales; -inf where it cannot be said by how much."""
    limit: float | None = None
    """The bound itself, in degrees or millimetres; None where there is none to name."""
    side: str = ""
    """``low`` or ``high``: which end of the range."""
    unit: str = ""
    """``deg`` or ``mm``."""
    by: float | None = None
    """Outside by so much; negative inside [unit]."""
    told: str = ""
    """The reason as the fit tells it, where there is no number."""

    @property
    def name(self) -> tuple[str, str, str]:
        """What bound it is, whoever is inside it."""
        return self.where, self.what, self.side


def body_mass_kg(stature_mm: float, column: Column) -> float:
    """Mean mass of the survey, by the square of the stature. Common practice, no source."""
    people = ANSUR_II[column]
    return people["mass"].mean * (stature_mm * MM / people["stature"].mean) ** 2


def person(stature_mm: float, inseam_mm: float, column: Column, name: str = "somebody") -> Rider:
    """A rider of these lengths, saddle height by the rule of the fit."""
    return Rider(
        name=name,
        mass_kg=round(min(max(body_mass_kg(stature_mm, column), 20.0), 200.0), 1),
        stature_mm=stature_mm,
        inseam_mm=inseam_mm,
        build=column,
    )


def fit_for(build: Build, rider: Rider) -> Fit:
    """The fit of a rider on a build set up for them: at the stated sag."""
    return fit_of(build.changed(rider=rider), sag="stated")


def without_saddle_height(build: Build, size: str) -> Build:
    """A build of a size whose saddle is put where the rider's legs want it, post not lowered."""
    settings = build.settings
    if settings.saddle_height_mm is not None or settings.post_lowered_mm:
        settings = remade(settings, {"saddle_height_mm": None, "post_lowered_mm": 0.0})
    return build.changed(size=size, settings=settings)


def read_bounds(texts: Iterable[str]) -> dict[tuple[str, str], tuple[float | None, float | None]]:
    """Bounds as they are typed: ``standing.shoulder=43..52``, ``seated.trunk=..45`` where one end is open.

    Raises
    ------
    AddressError
        If a posture or an angle is not known, or the range is none: says what there is.
    """
    found: dict[tuple[str, str], tuple[float | None, float | None]] = {}
    for text in texts:
        read = _BOUND.fullmatch(text)
        if read is None or not (read[3] or read[4]):
            raise AddressError(f"'{text}' is no bound; write POSTURE.ANGLE=LOW..HIGH in degrees, an open end empty")
        posture, angle = read[1], read[2]
        if posture not in RANGES:
            raise AddressError(f"'{posture}' is no posture. There are: {', '.join(RANGES)}.")
        known: dict[str, Range] = RANGES[posture]
        if angle not in known:
            raise AddressError(f"the posture {posture} has no angle '{angle}'. There are: {', '.join(known)}.")
        low, high = (float(end) if end else None for end in (read[3], read[4]))
        if low is not None and high is not None and not low < high:
            raise AddressError(f"'{text}': no angle lies from {low:g} to {high:g}°; the lower one goes first")
        found[(posture, angle)] = low, high
    return found


def bounds_of(fit: Fit, ranges: Ranges | None = None) -> Iterator[Bound]:
    """Everything that decides whether a rider fits, with the room inside it.

    Parameters
    ----------
    fit : Fit
        The rider on the build.
    ranges : mapping of (posture, angle) to (low, high), optional
        Bounds that stand in place of the fit's own; None at an end that is open.
    """
    for posture in fit.postures:
        yield from _posture_bounds(posture, ranges or {})
        knee = posture.knee_to_bar_mm
        if posture.name == "climb" and knee is not None:
            free = knee - KNEE_ROOM_MM
            yield Bound(posture.label, "knee to bar", free / LENGTH_SCALE_MM, KNEE_ROOM_MM, "low", "mm", -free)
    post, height, heel = fit.dropper, fit.saddle.height_mm, fit.cockpit.heel_to_rocker
    lengths = (
        (SEATPOST, "saddle height", post.lowest_mm, "low", None if post.lowest_mm is None else height - post.lowest_mm),
        (
            SEATPOST,
            "saddle height",
            post.highest_mm,
            "high",
            None if post.highest_mm is None else post.highest_mm - height,
        ),
        (SEATPOST, "lowered saddle to the tyre at full travel", 0.0, "low", post.saddle_to_tyre_mm),
        ("feet", HEEL_TO_STAY, 0.0, "low", fit.cockpit.heel_to_stay_mm),
        ("feet", HEEL_TO_LINK, 0.0, "low", None if heel is None else heel.room_mm),
    )
    for where, what, limit, side, room in lengths:
        if room is not None:
            yield Bound(where, what, room / LENGTH_SCALE_MM, limit, side, "mm", -room)
    told = any(room is not None and room < 0.0 for where, what, *_, room in lengths if what == "saddle height")
    if post.refusal and not told:
        yield Bound(SEATPOST, "", float("-inf"), told=post.refusal)


def bounds_for(build: Build, rider: Rider, ranges: Ranges | None = None) -> tuple[Bound, ...]:
    """The bounds of a rider on a build set up for them; one without a number where the fit refuses them.

    Raises
    ------
    NotKnown
        If hands, cranks or seat tube are missing.
    """
    try:
        return tuple(bounds_of(fit_for(build, rider), ranges))
    except NotKnown:
        raise
    except BikewrightError as error:
        return (Bound("", "", float("-inf"), told=str(error)),)


def tightest(bounds: Iterable[Bound]) -> Bound:
    """The bound that a rider is nearest to, or furthest outside of."""
    return min(bounds, key=lambda bound: bound.room)


def _posture_bounds(posture: PostureFit, ranges: Ranges) -> Iterator[Bound]:
    if posture.refusal:
        yield Bound(posture.label, "", float("-inf"), told=posture.refusal)
    for angle in posture.angles:
        low, high = ranges.get((posture.name, angle.name), (angle.range.low, angle.range.high))
        for side, limit in (("low", low), ("high", high)):
            if limit is not None:
                room = angle.value_deg - limit if side == "low" else limit - angle.value_deg
                yield Bound(posture.label, angle.label, room / ANGLE_SCALE_DEG, limit, side, "deg", -room)

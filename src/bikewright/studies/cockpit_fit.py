"""Hands and feet of a fit: against saddle, ground and frame, each in the state that its posture stands in."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.model.rider import Rider
from bikewright.physics.turned_bar import Passing
from bikewright.studies import crossing
from bikewright.studies.bindings import BINDINGS
from bikewright.studies.evaluate import Answer
from bikewright.studies.reaching import Heel, TurnedBar
from bikewright.units import DEG, MM

Part = Literal["brake lever", "grip or bar"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeRoom:
    """How a part on the bar passes the top tube while the bar turns."""

    part: Part
    room_mm: float
    """Least; negative where they would cut each other."""
    side: Literal["over", "under", "beside"]
    """Where the part is there, seen from the tube."""
    at_deg: float
    """Turn of the bar from straight ahead there."""
    touch_deg: float | None
    """Turn at which they first meet; None where they do not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeelRoom:
    """The heel where it is nearest to a link of the rear suspension."""

    room_mm: float
    """Negative where both would be in the same place."""
    link: str
    travel_mm: float
    """Of the rear wheel."""
    crank_deg: float
    """Of that foot's crank, forward from straight up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CockpitFit:
    """Hands and feet against saddle, ground and frame. None where it waits for something."""

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
    heel_to_rocker: HeelRoom | None
    top_tube: tuple[TubeRoom, ...]
    """Lever, then grip and bar, as far as they are known."""
    bar_turn_free_deg: float | None
    """Until something meets the top tube, or the bar its stop."""
    bar_turn_most_deg: float
    """To the stop; 180 where none is known."""
    waits: tuple[str, ...]
    """What stance width, heel and turned bar wait for."""


def cockpit_fit(answer: Answer, rider: Rider, where: Mapping[str, str]) -> CockpitFit:
    """Hands and feet of a rider on a build.

    Parameters
    ----------
    answer : Answer
        Of the build with its saddle at the height in use.
    rider : Rider
        On it.
    where : mapping of str to str
        State in which the bike stands for each posture: standing, seated, climb.

    Returns
    -------
    CockpitFit
        Lengths in millimetres, angles in degrees.

    Raises
    ------
    NotKnown
        If saddle or hands cannot be placed: names what they wait for.
    """

    def found(key: str, name: str) -> float:
        value = answer.value(f"{key}@{where[name]}")
        if value.number is None:
            raise NotKnown(f"{value.quantity.label} {value.waits}")
        return value.number

    side = {key: answer.value(key) for key in _BESIDE}
    bar = _turned(answer)
    sprung = answer.build.frame.linkage is not None
    return CockpitFit(
        seated_length_mm=found("saddle_to_grip_mm", "seated"),
        seated_drop_mm=found("saddle_to_grip_drop_mm", "seated"),
        climb_length_mm=found("saddle_to_grip_mm", "climb"),
        hand_height_mm=found("bar_height_mm", "standing"),
        hand_over_bb_mm=found("hand_height_mm", "standing"),
        foot_ahead_mm=rider.foot_ahead_mm,
        stance_mm=side["stance_width_mm"].number,
        heel_to_stay_mm=side["heel_to_stay_mm"].number,
        heel_to_rocker=None if side["heel_to_rocker_mm"].number is None else _heel_room(answer.group("heel")),
        top_tube=(*_tube_room("brake lever", bar.lever), *_tube_room("grip or bar", bar.bar)),
        bar_turn_free_deg=None if bar.free is None else bar.free / DEG,
        bar_turn_most_deg=crossing.turn_most(answer.build) / DEG,
        waits=tuple(
            f"{value.quantity.label}{' ' if value.waits.startswith('waits for') else ': '}{value.waits}"
            for key, value in side.items()
            if value.number is None and (sprung or not BINDINGS[key].rear)
        ),
    )


_BESIDE = ("stance_width_mm", "heel_to_stay_mm", "heel_to_rocker_mm", "lever_to_top_tube_mm", "bar_to_top_tube_mm")


def _turned(answer: Answer) -> TurnedBar:
    """The turned bar; nothing of it where its parts do not go together, which the values say."""
    try:
        found: TurnedBar = answer.group("turned bar")
    except OutsideValidity:
        return TurnedBar(None, None, None, crossing.turn_most(answer.build))
    return found


def _heel_room(found: Heel) -> HeelRoom:
    assert found.room is not None and found.travel is not None and found.turn is not None
    return HeelRoom(room_mm=found.room / MM, link=found.link, travel_mm=found.travel / MM, crank_deg=found.turn / DEG)


def _tube_room(part: Part, found: Passing | None) -> Iterator[TubeRoom]:
    if found is not None:
        touch_deg = None if found.touch is None else found.touch / DEG
        yield TubeRoom(
            part=part, room_mm=found.room / MM, side=found.side, at_deg=found.steer / DEG, touch_deg=touch_deg
        )

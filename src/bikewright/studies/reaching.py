"""The groups turned bar and heel: what lever and grip, and what the heel, come near to as they move."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.model.build import Build
from bikewright.model.frame import BodySize, Linkage
from bikewright.physics.body import Body
from bikewright.physics.cockpit import Bar, Stem
from bikewright.physics.heel import Link, heel_path, heel_room
from bikewright.physics.linkage.bodies import rigid_ends
from bikewright.physics.linkage.motion import Motion
from bikewright.physics.steering import SteeringAxis
from bikewright.physics.turned_bar import GripTube, Lever, Passing, Rod, bar_rods, lever_rods, passing
from bikewright.studies import crossing
from bikewright.studies.graph import Ask
from bikewright.studies.joints import stance_width
from bikewright.studies.suspension import Through
from bikewright.units import MM


@dataclass(frozen=True, slots=True)
class TurnedBar:
    """How the bar passes the top tube; None where what is needed is not known."""

    bar: Passing | None
    """Grip and the bare bar inside of it [m, rad]."""
    lever: Passing | None
    """Brake lever at rest [m, rad]."""
    free: float | None
    """Turn until lever, grip or bar meets the tube, or the bar its stop [rad]."""
    most: float
    """Turn to the stop; half a turn where none is known [rad]."""


@dataclass(frozen=True, slots=True)
class Heel:
    """Heel beside the links that say how wide they are; None where what is needed is not known."""

    room: float | None
    """The least [m]."""
    link: str
    """Which link that is; empty where there is none."""
    travel: float | None
    """Wheel travel at that place [m]."""
    turn: float | None
    """Crank of that foot, forward from straight up [rad]."""


NO_HEEL = Heel(None, "", None, None)


def turned(ask: Ask) -> TurnedBar:
    """Group turned bar: lever, grip and bar past the top tube."""
    build, front = ask.build, ask.of("front end")
    most, tube = crossing.turn_most(build), crossing.top_tube(build, ask.of("table"))
    stem, bar, grip = crossing.stem(build), crossing.bar(build), crossing.grip_tube(build)
    if tube is None or stem is None or bar is None or grip is None:
        return TurnedBar(None, None, None, most)
    past, levered = _passed(front.axis, front.headset.upper_stack, stem, bar, grip, crossing.lever(build), tube, most)
    if levered is None:
        return TurnedBar(past, None, None, most)
    return TurnedBar(past, levered, min(most if one.touch is None else one.touch for one in (past, levered)), most)


# A moved pin closes the geometry table anew and mostly leaves the front of the bike where it is.
@lru_cache(maxsize=256)
def _passed(
    axis: SteeringAxis,
    upper_stack: float,
    stem: Stem,
    bar: Bar,
    grip: GripTube,
    lever: Lever | None,
    tube: Rod,
    most: float,
) -> tuple[Passing, Passing | None]:
    """How the bar, and the lever where it is known, pass the tube."""
    held = axis, upper_stack, stem, bar, grip
    past = passing(axis, bar_rods(*held), tube, most)
    return past, None if lever is None else passing(axis, lever_rods(*held, lever), tube, most)


def heel(ask: Ask) -> Heel:
    """Group heel: beside rocker and other links; nothing for a hardtail, without a shock, and without widths."""
    through: Through | None = ask.of("linkage")
    linkage = ask.build.frame.linkage
    if through is None or linkage is None:
        return NO_HEEL
    body: Body | None = ask.of("rider")
    if body is None:
        raise NotKnown("waits for a rider, whose foot decides where the heel goes")
    return heel_in(ask.build, linkage, body, through.motion)


def heel_in(build: Build, linkage: Linkage, body: Body, motion: Motion) -> Heel:
    """One rider's heel beside the links of a solved suspension."""
    crank, stance = build.parts.crank, stance_width(build)
    if crank is None or stance is None:
        return NO_HEEL
    path = heel_path(body, crank.length_mm * MM, stance)
    found = [(heel_room(path, link), name) for name, link in _links(linkage, motion)]
    if not found:
        return NO_HEEL
    least, name = min(found, key=lambda one: one[0].room)
    return Heel(least.room, name, float(motion.wheel_travel[least.place]), least.turn)


def _links(linkage: Linkage, motion: Motion) -> Iterator[tuple[str, Link]]:
    """Links that say how wide they are, at every place of the travel."""
    for body in linkage.bodies:
        if body.half_width_mm is not None:
            corners, webs = _outlined(body, linkage, motion) if body.points_mm else _bossed(body.name, motion)
            edge = 0.0 if body.points_mm else body.boss_mm * MM
            yield body.name, Link(corners=corners, webs=webs, edge=edge, outer=body.half_width_mm * MM)


def _bossed(name: str, motion: Motion) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """The pins of a link, and a web between every two of them."""
    pins = motion.layout.pins_of[name]
    return motion.points[:, pins], _webs(len(pins), False)


def _outlined(body: BodySize, linkage: Linkage, motion: Motion) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """The outline of a link as it was drawn, carried along by the two of its pins that are farthest apart."""
    first, second = rigid_ends(motion.layout, motion.marks, body.name)
    start, end = (np.array(_drawn(linkage, motion.layout.pins[pin].name)) for pin in (first, second))
    line = end - start
    if not line.any():
        raise OutsideValidity(
            f"the pins of '{body.name}' are drawn in one place, so that its outline cannot be carried along; move one"
        )
    # As complex numbers: an outline's corner is a share of the line between both pins, and keeps it.
    drawn = (np.array(body.points_mm) * MM - start) @ (1.0, 1.0j) / complex(line[0], line[1])
    along = motion.points[:, second] - motion.points[:, first]
    turned = (along @ (1.0, 1.0j)) / np.hypot(along[:, 0], along[:, 1]) * np.hypot(line[0], line[1])
    carried = turned[:, None] * drawn[None, :]
    corners = motion.points[:, first][:, None, :] + np.stack((carried.real, carried.imag), axis=-1)
    return corners, _webs(len(body.points_mm), True)


def _drawn(linkage: Linkage, name: str) -> tuple[float, float]:
    pin = linkage.pin(name)
    return pin.x_mm * MM, pin.z_mm * MM


@lru_cache(maxsize=64)
def _webs(corners: int, all_round: bool) -> NDArray[np.int64]:
    """A closed line through all corners, or one between every two of them."""
    pairs = [(at, (at + 1) % corners) for at in range(corners)] if all_round else combinations(range(corners), 2)
    return np.array(list(pairs), dtype=np.int64)

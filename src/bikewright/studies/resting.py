"""The groups rest, band and drive: where the loaded bike settles, how surely, and how chain and brake act on it."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from bikewright.errors import NotKnown
from bikewright.model.build import Build
from bikewright.physics import drive as reaction
from bikewright.physics.body import Body
from bikewright.physics.chain import TautRun
from bikewright.physics.figure import Contacts
from bikewright.physics.geometry import Attitude
from bikewright.physics.inertia import MassPoint, combine
from bikewright.physics.kickback import kickback, whole_turn
from bikewright.physics.linkage.bodies import body_motion
from bikewright.physics.linkage.motion import Motion
from bikewright.physics.plane import Point
from bikewright.physics.posture import (
    ComByUp,
    Posture,
    SeatedHabit,
    StandingHabit,
    com_by_up,
    standing_band,
)
from bikewright.physics.rest import (
    GRAVITY,
    Fixed,
    FrontEnd,
    Held,
    Pull,
    RearEnd,
    Rest,
    Ridden,
    TyreSpring,
    settle,
    up_in_frame,
)
from bikewright.physics.springs.friction import bushing_load, friction_band
from bikewright.physics.steering import front_axle
from bikewright.studies import crossing
from bikewright.studies.bindings import CRANK, HANDS, SADDLE, lacking
from bikewright.studies.graph import Ask
from bikewright.studies.springing import Chain, Masses, Springs
from bikewright.studies.standing import Fit
from bikewright.studies.states import SEATED, STANCES, STANDING, Solved
from bikewright.studies.suspension import Line, Through
from bikewright.units import BAR, DEG, MM, PCT


@dataclass(frozen=True, slots=True)
class Settled:
    """A build at rest in one state."""

    rest: Rest
    posture: Posture | None
    """None without a rider."""
    sag_front: float | None
    """Of the fork travel [-]."""
    sag_rear: float | None
    """Of the shock stroke; None for a hardtail [-]."""
    shock_stroke_used: float | None
    """None for a hardtail [m]."""
    rear_travel_used: float | None
    """None for a hardtail [m]."""
    com_ahead_of_bb: float
    """Centre of mass of rider and bike ahead of the bottom bracket, along the ground [m]."""
    com_frame: Point
    """The same point in frame axes [m]."""
    radii: tuple[float, float]
    """From axle to ground, of the loaded rear and front tyre [m]."""
    front_lift: float | None
    """Grade at which the front wheel carries nothing, this posture and this travel held; None in a state that nobody
    climbs in [-]."""


@dataclass(frozen=True, slots=True)
class Tyres:
    """Rear and front tyre between axle and ground; one without a pressure gives by the stated drop under a rider."""

    ridden: tuple[TyreSpring, TyreSpring]
    unladen: tuple[TyreSpring, TyreSpring]


@dataclass(frozen=True, slots=True)
class Carried:
    """The standing rider on a bike that is held at its stated sags."""

    rest: Rest
    """Forces and loads with both travels given: what each spring has to carry [N]."""
    rear_travel_used: float
    """Of the wheel; nought for a hardtail [m]."""


@dataclass(frozen=True, slots=True)
class Bands:
    """How surely the standing bike is known."""

    sag_front_least: float | None
    """Loaded down slowly; None while no friction is known [-]."""
    sag_front_most: float | None
    """Let up slowly [-]."""
    sag_rear_least: float | None
    sag_rear_most: float | None
    front_share_least: float | None
    """Hips as far back as the stance allows [-]."""
    front_share_most: float | None
    """Hips as far forward [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class Drive:
    """How chain and rear brake act on the suspension."""

    usual: str
    """Gear that a curve is told in where none is named."""
    drive_at_sag: float
    """In the chosen gear, at the solved height of the centre of mass, else at the stated one [-]."""
    drive_at_sag_stated: float
    """At the stated height [-]."""
    brake_at_sag: float
    brake_at_sag_stated: float
    brake_at_sag_both: float
    """With both brakes, the rear one taking its share [-]."""
    kickback: float
    """Easiest gear, from sag to full travel [rad]."""
    kickback_whole: float
    """Easiest gear, from full extension to full travel [rad]."""
    growth: float
    """Of the taut run in the easiest gear, over the whole travel [m]."""
    drive: dict[str, Line]
    """Over the travel, by gear [-]."""
    brake: Line
    """[-]"""
    kickback_line: dict[str, Line]
    """From sag, by gear [rad]."""
    growth_line: dict[str, Line]
    """[m]"""


def rest(ask: Ask) -> Settled:
    """Group rest: a state that is solved; a state whose travels are given has no loads."""
    stance = STANCES[ask.state]
    if not isinstance(stance, Solved):
        solved = ", ".join(name for name, told in STANCES.items() if isinstance(told, Solved))
        raise NotKnown(f"has no loads in this state: rest under load is told in the states {solved}")
    body: Body | None = ask.of("rider")
    if stance.posture and body is None:
        raise NotKnown("waits for a rider")
    ends = _ends(ask, stance)
    weights: Masses = ask.of("masses")
    pull = _pull(ask.build, stance)
    if not stance.posture or body is None:
        return _settled(ask, settle(*ends, Fixed(weights.sprung.mass, weights.sprung.place), pull), None)
    slope = _slope(ask.build, stance)
    place: ComByUp = ask.of("sits" if stance.posture == "seated" else "stands")
    found = settle(*ends, _ridden(ask.build, weights, body, place, slope), pull)
    return _settled(ask, found, place.posture(up_in_frame(found.pose.pitch, slope)))


def tyres(ask: Ask) -> Tyres:
    """Group tyres: both between axle and ground, as they are ridden."""
    settings = ask.build.settings
    rear_radius, front_radius = crossing.tyre_radii(ask.build, loaded=False)
    ridden, unladen = [], []
    for end, radius, bar, drop in (
        ("rear", rear_radius, settings.rear_tyre_bar, settings.rear_tyre_drop_mm),
        ("front", front_radius, settings.front_tyre_bar, settings.front_tyre_drop_mm),
    ):
        rate = crossing.tyre_rate(ask.build, end, None if bar is None else bar * BAR)
        room = crossing.rim_room(ask.build, end)
        ridden.append(TyreSpring(radius=radius, rate=rate, drop=drop * MM, room=room))
        unladen.append(TyreSpring(radius=radius, rate=rate, room=room))
    return Tyres((ridden[0], ridden[1]), (unladen[0], unladen[1]))


def stands(ask: Ask) -> ComByUp:
    """Group stands: the rider standing in the frame, before it is known how the frame is pitched."""
    return _placed(ask, STANDING, StandingHabit())


def sits(ask: Ask) -> ComByUp:
    """Group sits: the rider on the saddle, before it is known how the frame is pitched."""
    return _placed(ask, SEATED, SeatedHabit())


def _placed(ask: Ask, stance: Solved, habit: StandingHabit | SeatedHabit) -> ComByUp:
    body: Body | None = ask.of("rider")
    if body is None:
        raise NotKnown("waits for a rider")
    return com_by_up(body, contacts_in(ask.build, ask.of("fit"), stance)(0.0), habit)


def contacts_in(build: Build, placed: Fit, stance: Solved) -> Callable[[float], Contacts]:
    """Where the bike offers itself to the rider, for a pitch of the frame, which turns gravity in the frame's axes.

    Raises
    ------
    NotKnown
        If hands, cranks or, for a seated rider, the saddle have no place yet: names what is missing.
    """
    hand, crank, saddle = placed.hand, placed.crank_length, placed.saddle
    sits = stance.posture == "seated"
    if hand is None or crank is None or (sits and saddle is None):
        raise NotKnown(f"waits for {lacking((*HANDS, *CRANK, *(SADDLE if sits else ())), build)}")
    slope = _slope(build, stance)

    def offered(pitch: float) -> Contacts:
        return Contacts(
            hand=hand.point,
            crank=crank,
            saddle=saddle,
            hand_half_width=hand.half_width,
            up=up_in_frame(pitch, slope),
        )

    return offered


def _slope(build: Build, stance: Solved) -> float:
    """How steeply the ground rises forward [rad]."""
    return math.atan(build.grade_pct * PCT) if stance.drives else 0.0


def _ridden(build: Build, weights: Masses, body: Body, place: ComByUp, slope: float = 0.0) -> Ridden:
    """What moves with the frame, with the rider wherever the frame's pitch puts the rider."""
    return Ridden(
        mass=weights.sprung.mass,
        centre=weights.sprung.place,
        rider_mass=body.mass + crossing.carried_kg(build),
        rider=place,
        slope=slope,
    )


def _with_rider(build: Build, weights: Masses, body: Body, com: Point) -> Fixed:
    """Mass and centre of what moves with the frame, with the rider and what the rider carries."""
    bike = MassPoint("bike", weights.sprung.mass, weights.sprung.place)
    both = combine((bike, MassPoint("rider", body.mass + crossing.carried_kg(build), com)))
    return Fixed(both.mass, both.place)


def _pull(build: Build, stance: Solved) -> Pull:
    if stance.drives:
        slope = _slope(build, stance)
        return Pull(x=-GRAVITY * math.sin(slope), z=-GRAVITY * math.cos(slope))
    if stance.brakes:
        share = build.settings.brake_front_pct * PCT
        return Pull(x=GRAVITY * build.settings.braking_pct * PCT, front_share=share)
    if stance.leans:
        return Pull(z=-GRAVITY / math.cos(build.settings.lean_deg * DEG))
    return Pull(z=-GRAVITY * build.settings.g_out_pct * PCT) if stance.lands else Pull()


def _ends(ask: Ask, stance: Solved) -> tuple[FrontEnd, RearEnd, tuple[TyreSpring, TyreSpring]]:
    front, closed, both, weights = ask.of("front end"), ask.of("table"), ask.of("springs"), ask.of("masses")
    waiting = (both.fork_waits, both.shock_waits if ask.build.frame.linkage is not None else "")
    if any(waiting):
        raise NotKnown(f"waits for {' and '.join(waits for waits in waiting if waits)}")
    through: Through | None = ask.of("linkage")
    path = None
    if through is not None:
        turn = _locked(ask, stance, through.motion)
        path = through.path if turn is None else through.path.locked(turn)
    on_ground: Tyres = ask.of("tyres")
    return (
        FrontEnd(
            axis=front.axis,
            fork=front.fork,
            travel=front.fork_travel or 0.0,
            spring=both.fork,
            mass=weights.front,
        ),
        RearEnd(path=path, axle=closed.rear_axle, spring=None if path is None else both.shock, mass=weights.rear),
        on_ground.ridden if stance.posture else on_ground.unladen,
    )


def _locked(ask: Ask, stance: Solved, motion: Motion) -> np.ndarray | None:
    """Turn of the rear wheel while the chain or the brake holds it; None for a free wheel."""
    linkage = ask.build.frame.linkage
    if stance.drives:
        held: Chain = ask.of("chain")
        return np.asarray(reaction.chain_held_rate(held.run, held.climbing))
    if stance.brakes and linkage is not None:
        return np.asarray(body_motion(motion, linkage.brake_on).rate)
    return None


def _settled(ask: Ask, found: Rest, posture: Posture | None) -> Settled:
    front = ask.of("front end")
    through: Through | None = ask.of("linkage")
    ground = (found.com_ahead + found.pose.rear_contact, found.com_height)
    com_frame = found.pose.to_frame(ground)
    travel = front.fork_travel
    rear_radius, front_radius = crossing.tyre_radii(ask.build, loaded=False)
    stance = STANCES[ask.state]
    climbs = isinstance(stance, Solved) and bool(stance.posture) and not (stance.brakes or stance.leans or stance.lands)
    return Settled(
        rest=found,
        posture=posture,
        sag_front=found.fork_travel / travel if travel else None,
        sag_rear=None if through is None else found.shock_stroke / through.shock_stroke,
        shock_stroke_used=None if through is None else found.shock_stroke,
        rear_travel_used=None if through is None else found.rear_axle[1] - through.motion.axle[0, 1],
        com_ahead_of_bb=float(ground[0]),
        com_frame=(float(com_frame[0]), float(com_frame[1])),
        radii=(rear_radius - found.rear_drop, front_radius - found.front_drop),
        front_lift=found.com_ahead / found.com_height if climbs else None,
    )


def carried(ask: Ask) -> Carried:
    """Group carried: what both springs have to carry so that the standing rider sits at the stated sags.

    Both travels are given, so the balance is asked once and no spring is: a spring that is to be chosen is then
    turned round for the force.
    """
    body: Body | None = ask.of("rider")
    if body is None:
        raise NotKnown("waits for a rider")
    front, closed, weights = ask.of("front end"), ask.of("table"), ask.of("masses")
    through: Through | None = ask.of("linkage")
    if through is None and ask.build.frame.linkage is not None:
        raise NotKnown("waits for a shock")
    settings, place = ask.build.settings, ask.of("stands")
    travel = front.fork_travel or 0.0
    stroke = 0.0 if through is None else through.shock_stroke
    path = None if through is None else through.path
    on_ground: Tyres = ask.of("tyres")
    found = settle(
        FrontEnd(axis=front.axis, fork=front.fork, travel=travel, spring=None, mass=weights.front),
        RearEnd(path=path, axle=closed.rear_axle, spring=None, mass=weights.rear),
        on_ground.ridden,
        _ridden(ask.build, weights, body, place),
        start=(settings.sag_front_pct * PCT * travel, settings.sag_rear_pct * PCT * stroke),
    )
    rise = 0.0 if through is None else found.rear_axle[1] - through.motion.axle[0, 1]
    return Carried(rest=found, rear_travel_used=float(rise))


def band(ask: Ask) -> Bands:
    """Group band: the standing bike with friction helping and hindering, and with the hips back and forward."""
    middle: Settled = ask.of("rest@standing")
    both: Springs = ask.of("springs")
    body: Body | None = ask.of("rider")
    if body is None or middle.posture is None:
        raise NotKnown("waits for a rider")
    ends, pull, weights = _ends(ask, STANDING), Pull(), ask.of("masses")
    sprung = _with_rider(ask.build, weights, body, middle.posture.com)
    fork, shock = _friction_forces(ask.build, both, middle.rest)
    helped, hindered = (
        settle(
            *ends,
            sprung,
            pull,
            Held(fork=sign * fork, shock=sign * shock),
            start=(middle.rest.fork_travel, middle.rest.shock_stroke),
        )
        for sign in (1.0, -1.0)
    )
    shares = _shares(ask, body, middle, ends, weights)
    full_fork, full_shock = ends[0].travel, ends[1].stroke
    return Bands(
        sag_front_least=helped.fork_travel / full_fork if fork and full_fork else None,
        sag_front_most=hindered.fork_travel / full_fork if fork and full_fork else None,
        sag_rear_least=helped.shock_stroke / full_shock if shock and full_shock else None,
        sag_rear_most=hindered.shock_stroke / full_shock if shock and full_shock else None,
        front_share_least=min(shares, default=None),
        front_share_most=max(shares, default=None),
    )


def _friction_forces(build: Build, both: Springs, found: Rest) -> tuple[float, float]:
    """Friction of fork and shock at rest; the fork's bushings feel the side load."""
    fork = build.parts.fork
    side = 0.0
    if fork is not None:
        chassis = fork.chassis
        if chassis.axle_to_bushing_mm is not None and chassis.bushing_spacing_mm is not None:
            side = float(
                bushing_load(found.fork_side, chassis.axle_to_bushing_mm * MM, chassis.bushing_spacing_mm * MM)
            )
    return float(friction_band(both.fork_friction, side)), float(friction_band(both.shock_friction, 0.0))


def _shares(
    ask: Ask,
    body: Body,
    middle: Settled,
    ends: tuple[FrontEnd, RearEnd, tuple[TyreSpring, TyreSpring]],
    weights: Masses,
) -> list[float]:
    """Front wheel's share of the load with the hips as far back and forward as the stance allows."""
    contacts = contacts_in(ask.build, ask.of("fit"), STANDING)(middle.rest.pose.pitch)
    reach = standing_band(body, contacts, StandingHabit())
    start = (middle.rest.fork_travel, middle.rest.shock_stroke)
    shares = []
    for com in (reach.backmost, reach.foremost):
        if com is not None:
            sprung = _with_rider(ask.build, weights, body, com)
            shares.append(_share_of(ends, sprung, start))
    return shares


def _share_of(
    ends: tuple[FrontEnd, RearEnd, tuple[TyreSpring, TyreSpring]],
    sprung: Fixed,
    start: tuple[float, float],
) -> float:
    return settle(*ends, sprung, start=start).front_share


def drive(ask: Ask) -> Drive | None:
    """Group drive: None for a hardtail and while no shock is chosen.

    The fork stands at the stated sag through the whole sweep of the rear; the centre of mass is that of the standing
    rider, fixed in the frame, or while that is not known a point at the stated height.
    """
    through: Through | None = ask.of("linkage")
    held: Chain | None = ask.of("chain")
    linkage = ask.build.frame.linkage
    if through is None or held is None or linkage is None:
        return None
    settings = ask.build.settings
    stated = settings.reference_height_mm * MM
    curve, point = (
        _reactions(ask, motion, run, linkage.brake_on)
        for motion, run in ((through.motion, held.run), (through.motion_at_sag, held.at_sag))
    )
    row, gear = through.row_at_sag, held.chosen
    point_stated = point.at_height(stated)
    try:
        ask.of("rest@standing")
    except NotKnown:
        curve, point = curve.at_height(stated), point_stated
    if curve.drive is None or curve.brake is None or point.drive is None or point.brake is None:
        raise NotKnown("waits for a chain and a brake")
    from_sag = kickback(through.motion, held.run, float(through.motion_at_sag.stroke[row]))
    whole = whole_turn(held.run)
    both = point.brake_with_both(1.0 - settings.brake_front_pct * PCT)
    return Drive(
        usual=held.gears[gear],
        drive_at_sag=float(point.drive[row, gear]),
        drive_at_sag_stated=float(_known(point_stated.drive)[row, gear]),
        brake_at_sag=float(point.brake[row]),
        brake_at_sag_stated=float(_known(point_stated.brake)[row]),
        brake_at_sag_both=float(_known(both)[row]),
        kickback=float(from_sag.total[held.easiest]),
        kickback_whole=float(whole[held.easiest]),
        growth=float(held.run.growth[-1, held.easiest]),
        drive={name: Line(curve.drive[:, index]) for index, name in enumerate(held.gears)},
        brake=Line(curve.brake),
        kickback_line={
            name: Line(from_sag.angle[:, index], from_sag.rate[:, index]) for index, name in enumerate(held.gears)
        },
        growth_line={
            name: Line(held.run.growth[:, index], held.run.rate[:, index] / through.motion.leverage_ratio)
            for index, name in enumerate(held.gears)
        },
    )


def _known(values: np.ndarray | None) -> np.ndarray:
    if values is None:
        raise NotKnown("waits for a chain and a brake")
    return values


def _reactions(ask: Ask, motion: Motion, run: TautRun, brake_on: str) -> reaction.Reactions:
    front, build = ask.of("front end"), ask.build
    used = build.settings.sag_front_pct * PCT * (front.fork_travel or 0.0)
    try:
        settled: Settled = ask.of("rest@standing")
        centre, (rear, ahead) = settled.com_frame, settled.radii
    except NotKnown:
        centre, (rear, ahead) = (0.0, build.settings.reference_height_mm * MM), crossing.tyre_radii(build, loaded=True)
    ground: Attitude = reaction.ground_through_travel(motion, front_axle(front.axis, front.fork, used), rear, ahead)
    return reaction.reactions(motion, ground, rear, centre, run=run, brake_body=brake_on)

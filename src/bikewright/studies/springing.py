"""The groups springs, masses, rider and chain: what the bike at rest is solved from, in SI.

A spring or a mass that is not known is None, with what it waits for beside it, so that a bike without a
shock pump's figures still has its geometry.
"""

from dataclasses import dataclass

import numpy as np

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.model.build import Build
from bikewright.model.frame import SHOCK, Idler
from bikewright.model.parts import AirChamber, Coil, Fork, Part, Shock
from bikewright.physics.body import Body
from bikewright.physics.chain import TautRun, idler_on_pin, taut_run
from bikewright.physics.gearing import pitch_radius
from bikewright.physics.inertia import Combined, MassPoint, combine
from bikewright.physics.linkage.curve import Curve, sealed
from bikewright.physics.linkage.motion import Motion
from bikewright.physics.plane import Point
from bikewright.physics.springs.air import air_curve
from bikewright.physics.springs.assembly import Assembly, assemble
from bikewright.physics.springs.bumper import TopOut, bumper
from bikewright.physics.springs.chambers import AirSpring, LowerLegs, Negative, fill
from bikewright.physics.springs.coil import coil_spring, preload_from_turns
from bikewright.physics.springs.curve import SpringCurve
from bikewright.physics.springs.friction import Friction
from bikewright.physics.springs.gas import ISOTHERMAL
from bikewright.physics.springs.wheel import at_wheel
from bikewright.studies import crossing
from bikewright.studies.graph import Ask
from bikewright.studies.suspension import Array, Extended, Line, Through
from bikewright.units import BAR, CM2, CM3, GRAM, MM, N_PER_MM, PCT

FAST = 1.3
"""Polytropic exponent of a fast stroke, for the energy to the bottom: 1.2 to 1.35 by common practice, no source [-]."""

SADDLE_UNKNOWN: Point = (-0.2, 0.65)
"""Where a saddle of unknown height weighs, frame axes: an estimate, no source [m]."""

POST_AT = 0.8
"""Place of a seatpost's mass on the way from bottom bracket to saddle: an estimate, no source [-]."""

USUAL_COG = 21
"""Teeth of the cog that the drive reaction is told in, or the nearest to it, where no gear is set [-]."""


@dataclass(frozen=True, slots=True, eq=False)
class Springs:
    """Both spring sides."""

    fork: Assembly | None
    """Slow, as at rest; None while unknown or for a rigid fork."""
    shock: Assembly | None
    fork_waits: str
    """What an unknown fork spring waits for; empty where it is known or there is none."""
    shock_waits: str
    fork_friction: Friction
    shock_friction: Friction
    fork_force_mid: float | None
    """At half the fork travel [N]."""
    fork_energy: float | None
    """Of a fast stroke to the bottom [J]."""
    fork_line: Line | None
    """Force over fork travel [N]; `fork_travel` beside it."""
    fork_travel: Array | None
    """[m]"""
    shock_energy: float | None
    """Of a fast stroke to the bottom [J]."""


@dataclass(frozen=True, slots=True, eq=False)
class RearSpring:
    """The shock's spring as the rear wheel feels it."""

    force_mid: float
    """At half the wheel travel [N]."""
    rate_at_sag: float
    """[N/m]"""
    start: float
    """Force at the wheel at which the spring begins to give [N]."""
    energy: float | None
    """Of a fast stroke to the bottom [J]."""
    wheel_force: Line
    """[N]"""
    wheel_rate: Line
    """[N/m]"""
    shock_force: Line
    """[N]"""


@dataclass(frozen=True, slots=True)
class Masses:
    """What the bike weighs and where, without the rider."""

    sprung: Combined
    """All that moves with the frame; frame axes."""
    front: float
    """Moves with the front axle [kg]."""
    rear: float
    """Moves with the rear axle [kg]."""
    bike: float
    """The whole bike [kg]."""
    parts: tuple[MassPoint, ...]
    """Every part with its mass and place, suspension extended; frame axes."""


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """The pulling run of the chain in every gear."""

    run: TautRun
    at_sag: TautRun
    gears: tuple[str, ...]
    """As in ``32x21``, smallest cog first."""
    chosen: int
    """Gear in which the drive reaction is told."""
    climbing: int
    """Gear of the climb."""
    easiest: int


def springs(ask: Ask) -> Springs:
    """Group springs."""
    build = ask.build
    fork, fork_waits = _fork_spring(build, ISOTHERMAL)
    shock, shock_waits = _shock_spring(build, ISOTHERMAL)
    fork_fast, shock_fast = _fork_spring(build, FAST)[0], _shock_spring(build, FAST)[0]
    travel = None if fork is None else np.linspace(0.0, fork.stroke, 101)
    state = None if fork is None or travel is None else fork.state(travel)
    return Springs(
        fork=fork,
        shock=shock,
        fork_waits=fork_waits,
        shock_waits=shock_waits,
        fork_friction=_friction(build.parts.fork),
        shock_friction=_friction(build.parts.shock),
        fork_force_mid=None if fork is None else float(fork.force(0.5 * fork.stroke)),
        fork_energy=None if fork_fast is None else fork_fast.energy_to_bottom,
        fork_line=None if state is None else Line(state[0], state[1]),
        fork_travel=travel,
        shock_energy=None if shock_fast is None else shock_fast.energy_to_bottom,
    )


def rear_spring(ask: Ask) -> RearSpring | None:
    """Group rear spring: None for a hardtail and while no shock is chosen."""
    through: Through | None = ask.of("linkage")
    both: Springs = ask.of("springs")
    if through is None:
        return None
    if both.shock is None:
        raise NotKnown(f"waits for {both.shock_waits}")
    motion, sagged, row = through.motion, through.motion_at_sag, through.row_at_sag
    shock_force, shock_rate, _ = both.shock.state(motion.stroke)
    force, rate = at_wheel(shock_force, shock_rate, motion.leverage_ratio, motion.leverage_slope)
    sag_force, sag_rate, _ = both.shock.state(float(sagged.stroke[row]))
    _, rate_at_sag = at_wheel(sag_force, sag_rate, float(sagged.leverage_ratio[row]), float(sagged.leverage_slope[row]))
    return RearSpring(
        force_mid=float(Curve(motion.wheel_travel, force, rate).at(0.5 * float(motion.wheel_travel[-1]))),
        rate_at_sag=float(rate_at_sag),
        start=float(force[0]),
        energy=both.shock_energy,
        wheel_force=Line(sealed(force), sealed(rate)),
        wheel_rate=Line(rate),
        shock_force=Line(shock_force, shock_rate / motion.leverage_ratio),
    )


def _fork_spring(build: Build, exponent: float) -> tuple[Assembly | None, str]:
    fork, settings = build.parts.fork, build.settings
    if fork is None:
        return None, "a fork"
    if fork.spring is None:
        return None, ""
    return fork_spring(fork, settings.fork_pressure_bar, settings.fork_spacers, settings.fork_preload_turns, exponent)


def fork_spring(
    fork: Fork, pressure_bar: float | None, spacers: int, turns: float, exponent: float, settled_at: float = 0.0
) -> tuple[Assembly | None, str]:
    """The spring side of a fork as it is set up, or None with what it waits for; `settled_at` as for `air_curve`."""
    if fork.spring is None:
        return None, "the spring of the fork"
    stroke = fork.travel_mm * MM
    main, waits = _main(fork.spring, stroke, pressure_bar, spacers, turns, exponent, settled_at, lower_legs(fork))
    return (None, f"{waits} of the fork") if main is None else (_assembled(main, fork, stroke), "")


def _shock_spring(build: Build, exponent: float) -> tuple[Assembly | None, str]:
    shock, settings = build.parts.shock, build.settings
    if shock is None:
        return None, "a shock"
    return shock_spring(
        shock, settings.shock_pressure_bar, settings.shock_spacers, settings.shock_preload_turns, exponent
    )


def shock_spring(
    shock: Shock, pressure_bar: float | None, spacers: int, turns: float, exponent: float, settled_at: float = 0.0
) -> tuple[Assembly | None, str]:
    """The spring side of a shock as it is set up, or None with what it waits for; `settled_at` as for `air_curve`."""
    if shock.spring is None:
        return None, "the spring of the shock"
    stroke = shock.stroke_mm * MM
    main, waits = _main(shock.spring, stroke, pressure_bar, spacers, turns, exponent, settled_at, None)
    return (None, f"{waits} of the shock") if main is None else (_assembled(main, shock, stroke), "")


def _main(
    spring: AirChamber | Coil,
    stroke: float,
    pressure_bar: float | None,
    spacers: int,
    turns: float,
    exponent: float,
    settled_at: float,
    lower: LowerLegs | None,
) -> tuple[SpringCurve | None, str]:
    """The main spring, or what it waits for."""
    if isinstance(spring, Coil):
        per_turn = 0.0 if spring.preload_mm_per_turn is None else spring.preload_mm_per_turn * MM
        if turns > 0.0 and spring.preload_mm_per_turn is None:
            return None, "the preload for each turn (preload_mm_per_turn)"
        coil = coil_spring(
            spring.rate_used_n_per_mm * N_PER_MM,
            stroke,
            preload=preload_from_turns(turns, per_turn) if turns > 0.0 else 0.0,
            end_rate=None if spring.end_rate_n_per_mm is None else spring.end_rate_n_per_mm * N_PER_MM,
            stroke_to_bind=None if spring.stroke_to_bind_mm is None else spring.stroke_to_bind_mm * MM,
        )
        return coil, ""
    chambers, waits = air_spring(spring, spacers, lower)
    if pressure_bar is None:
        return None, " and ".join(("the pressure", waits) if waits else ("the pressure",))
    if chambers is None:
        return None, waits
    filled = fill(chambers, pressure_bar * BAR)
    return air_curve(chambers, filled, exponent, stroke, settled_at=settled_at), ""


def air_spring(spring: AirChamber, spacers: int, lower: LowerLegs | None) -> tuple[AirSpring | None, str]:
    """Chambers of an air spring with its volume spacers in, or None with what they wait for."""
    missing = [
        word
        for word, found in (
            ("the piston's area", spring.piston_area_cm2),
            ("the positive volume", spring.positive_volume_cm3),
            ("the volume of a spacer", spring.spacer_volume_cm3 if spacers else 0.0),
        )
        if found is None
    ]
    if missing or spring.piston_area_cm2 is None or spring.positive_volume_cm3 is None:
        return None, " and ".join(missing)
    taken = spacers * (spring.spacer_volume_cm3 or 0.0)
    chambers = AirSpring(
        area=spring.piston_area_cm2 * CM2,
        volume=(spring.positive_volume_cm3 - taken) * CM3,
        negative=_negative(spring),
        lower=lower,
    )
    return chambers, ""


def _negative(spring: AirChamber) -> Negative | None:
    """The negative chamber; a port that is not measured is taken to be at full extension."""
    if spring.negative_volume_cm3 is None or spring.negative_area_cm2 is None:
        return None
    return Negative(
        volume=spring.negative_volume_cm3 * CM3,
        area=spring.negative_area_cm2 * CM2,
        port=(spring.port_mm or 0.0) * MM,
        open_extended=spring.port_open_extended,
    )


def lower_legs(fork: Fork) -> LowerLegs | None:
    """The air in a fork's lower legs; None where it is not known."""
    chassis = fork.chassis
    if chassis.lower_air_volume_cm3 is None or chassis.lower_air_area_cm2 is None:
        return None
    return LowerLegs(volume=chassis.lower_air_volume_cm3 * CM3, area=chassis.lower_air_area_cm2 * CM2)


def _assembled(main: SpringCurve, part: Fork | Shock, stroke: float) -> Assembly:
    cushion, top = part.bumper, part.top_out
    return assemble(
        main,
        stroke,
        bumper=None
        if cushion is None
        else bumper(
            stroke - cushion.contact_before_end_mm * MM, [x * MM for x in cushion.compression_mm], cushion.force_n
        ),
        top_out=None if top is None else TopOut(topout_rate=top.rate_n_per_mm * N_PER_MM, length=top.length_mm * MM),
    )


def _friction(part: Fork | Shock | None) -> Friction:
    if part is None:
        return Friction()
    return Friction(breakaway=part.friction.breakaway_n or 0.0, coefficient=(part.friction.bushing_pct or 0.0) * PCT)


def rider(ask: Ask) -> Body | None:
    """Group rider: the rider's segments; None while nobody rides."""
    found = ask.build.rider
    if found is None:
        return None
    return crossing.body(found)


def masses(ask: Ask) -> Masses:
    """Group masses: raises what it waits for while a mass is not known."""
    build = ask.build
    closed, front, fit = ask.of("table"), ask.of("front end"), ask.of("fit")
    rear: Extended | None = ask.of("extended")
    rear_axle = closed.rear_axle if rear is None else rear.axle
    top = front.axis.upper
    hand = top if fit.hand is None else fit.hand.bar_centre
    saddle = fit.saddle or SADDLE_UNKNOWN
    places: dict[str, Point] = {
        "headset": top,
        "stem": hand,
        "bar": hand,
        "grip": hand,
        "seatpost": (POST_AT * saddle[0], POST_AT * saddle[1]),
        "saddle": saddle,
        "crank": (0.0, 0.0),
        "ring": (0.0, 0.0),
        "cassette": rear_axle,
        "rear_wheel": rear_axle,
        "rear_tyre": rear_axle,
        "front_wheel": closed.front_axle,
        "front_tyre": closed.front_axle,
        "shock": _shock_middle(rear),
    }
    unknown = [] if build.frame.mass_g is not None else ["frame (mass_g in bike.toml)"]
    listed: list[MassPoint] = []
    for slot, place in places.items():
        part: Part | None = getattr(build.parts, slot)
        if part is None and slot == "shock" and rear is None:
            continue
        grams = None if part is None else _grams(part)
        if grams is None:
            unknown.append(slot.replace("_", " ") + (f" '{part.name}'" if part is not None else ""))
        else:
            listed.append(MassPoint(slot, grams * GRAM, place))
    fork = build.parts.fork
    if fork is None or fork.mass_g is None:
        unknown.append("fork" if fork is None else f"fork '{fork.name}'")
    if unknown or build.frame.mass_g is None or fork is None or fork.mass_g is None:
        raise NotKnown(f"waits for the mass of: {', '.join(unknown)}")
    frame, rear_share = build.frame.mass_g * GRAM, build.frame.rear_share_pct * PCT
    lowers = fork.mass_g * GRAM * fork.lowers_pct * PCT
    listed += [
        MassPoint("frame", frame * (1 - rear_share), (build.frame.mass_ahead_mm * MM, build.frame.mass_above_mm * MM)),
        MassPoint("rear end", frame * rear_share, rear_axle),
        MassPoint("fork, upper", fork.mass_g * GRAM - lowers, front.axis.crown),
        MassPoint("fork, lowers", lowers, closed.front_axle),
        *(
            MassPoint(load.name, load.mass_kg, (load.x_mm * MM, load.z_mm * MM))
            for load in build.loads
            if load.on == "frame"
        ),
    ]
    return _summed(tuple(listed))


def _summed(listed: tuple[MassPoint, ...]) -> Masses:
    with_rear = {"cassette", "rear_wheel", "rear_tyre", "rear end"}
    with_front = {"front_wheel", "front_tyre", "fork, lowers"}
    return Masses(
        sprung=combine(part for part in listed if part.name not in with_rear | with_front),
        front=sum(part.mass for part in listed if part.name in with_front),
        rear=sum(part.mass for part in listed if part.name in with_rear),
        bike=sum(part.mass for part in listed),
        parts=listed,
    )


def _grams(part: Part) -> float | None:
    """Mass of a part; a shock's coil comes on top of the shock."""
    grams = part.mass_g
    spring = getattr(part, "spring", None)
    if isinstance(part, Shock) and isinstance(spring, Coil):
        return None if grams is None or spring.mass_g is None else grams + spring.mass_g
    return grams


def _shock_middle(rear: Extended | None) -> Point:
    if rear is None:
        return 0.0, 0.0
    ends = [rear.motion.points[0, index] for index in rear.layout.pins_of[SHOCK]]
    x, z = 0.5 * (ends[0] + ends[1])
    return float(x), float(z)


def gear_name(ring: int, cog: int) -> str:
    """A gear as the trade writes it: ``32x21``."""
    return f"{ring}x{cog}"


def chain(ask: Ask) -> Chain | None:
    """Group chain: None for a hardtail and while no shock is chosen."""
    through: Through | None = ask.of("linkage")
    if through is None:
        return None
    build = ask.build
    ring, cassette, linkage = build.parts.ring, build.parts.cassette, build.frame.linkage
    if ring is None or cassette is None or linkage is None:
        raise NotKnown("waits for a chainring and a cassette")
    gears = tuple(gear_name(ring.teeth, cog) for cog in cassette.teeth)
    cogs = [pitch_radius(cog) for cog in cassette.teeth]
    easiest = max(range(len(cogs)), key=lambda index: cassette.teeth[index])
    nearest = min(range(len(cogs)), key=lambda index: abs(cassette.teeth[index] - USUAL_COG))
    return Chain(
        run=_run(through.motion, cogs, ring.teeth, linkage.idlers),
        at_sag=_run(through.motion_at_sag, cogs, ring.teeth, linkage.idlers),
        gears=gears,
        chosen=_gear(build.settings.sag_gear, gears, nearest),
        climbing=_gear(build.settings.climb_gear, gears, easiest),
        easiest=easiest,
    )


def _run(motion: Motion, cogs: list[float], ring: int, idlers: tuple[Idler, ...]) -> TautRun:
    """The pulling run over all idlers, in every gear."""
    on_pins = tuple(idler_on_pin(motion, idler.pin, pitch_radius(idler.teeth), name=idler.name) for idler in idlers)
    return taut_run(motion, cogs, pitch_radius(ring), idlers=on_pins)


def _gear(asked: str, gears: tuple[str, ...], otherwise: int) -> int:
    if not asked:
        return otherwise
    if asked not in gears:
        raise OutsideValidity(f"there is no gear {asked}; this ring and cassette make {', '.join(gears)}")
    return gears.index(asked)

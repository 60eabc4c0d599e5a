"""The groups modes and damping: how bike and standing rider swing, and how the dampers as set hold that back."""

import math
from dataclasses import dataclass
from functools import lru_cache

from bikewright.errors import NotKnown
from bikewright.model.build import Build, Settings
from bikewright.model.damper_table import total_clicks
from bikewright.model.parts import Circuit, Damper, Knee
from bikewright.physics.body import Body
from bikewright.physics.damping import Dial, ForceSpeed, at_wheel, both_dials, measured, with_knee
from bikewright.physics.inertia import MassPoint, combine, rider_parts
from bikewright.physics.linkage.motion import solve_at
from bikewright.physics.modes import Mode, Modes, Spring, end_mode, two_modes
from bikewright.physics.rest import GRAVITY
from bikewright.physics.springs.wheel import at_wheel as spring_at_wheel
from bikewright.studies import crossing
from bikewright.studies.graph import Ask
from bikewright.studies.resting import Settled
from bikewright.studies.springing import Masses, Springs
from bikewright.studies.suspension import Through
from bikewright.units import BAR, MM, N_PER_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Resting:
    """One end of the bike about the place where it rests standing."""

    mass: float
    """Sprung, on this end [kg]."""
    rate: float | None
    """Of the suspension at the wheel; None where nothing but the tyre gives [N/m]."""
    tyre: float
    """[N/m]"""
    leverage_ratio: float
    """Wheel travel for shaft travel: of the shock's linkage, of the fork's slant [-]."""
    shaft_force: float
    """That the spring holds up at rest [N]."""

    def spring(self, coefficient: float = 0.0) -> Spring:
        """This end with a damper of so much at its shaft. [N s/m]"""
        return Spring(rate=self.rate, tyre=self.tyre, damping=at_wheel(coefficient, self.leverage_ratio))

    def ratio(self, coefficient: float) -> float:
        """Damping ratio of this end with a damper of so much at its shaft. [N s/m, -]"""
        return end_mode(self.mass, self.spring(coefficient)).ratio

    def coefficient(self, ratio: float) -> float:
        """Damper at the shaft that gives a damping ratio: `ratio` is linear in it. [-, N s/m]"""
        return ratio / self.ratio(1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """Both ends, and the body on them."""

    front: Resting
    rear: Resting
    front_mode: Mode
    rear_mode: Mode
    body: Modes
    """Without damping."""
    mass: float
    """Sprung [kg]."""
    inertia: float
    """[kg m2]"""
    ahead: float
    """Centre of the sprung mass to the front contact [m]."""
    behind: float
    """To the rear contact [m]."""

    def damped(self, front: float, rear: float) -> Modes:
        """Heave and pitch with so much damping at both shafts. [N s/m]"""
        springs = self.front.spring(front), self.rear.spring(rear)
        return two_modes(self.mass, self.inertia, *springs, self.ahead, self.behind)


@dataclass(frozen=True, slots=True, kw_only=True)
class Damped:
    """Damping ratios with the dampers as they are set, at the stated shaft speed; None where that is not known."""

    front_rebound: float | None
    """[-]"""
    front_compression: float | None
    rear_rebound: float | None
    rear_compression: float | None
    heave: float | None
    """Mean of rebound and compression at both ends [-]."""
    pitch: float | None


def modes(ask: Ask) -> Swing:
    """Group modes: raises what the standing rest waits for."""
    settled: Settled = ask.of("rest@standing")
    both: Springs = ask.of("springs")
    weights: Masses = ask.of("masses")
    body: Body | None = ask.of("rider")
    if settled.posture is None or body is None:
        raise NotKnown("waits for a rider")
    found, settings = settled.rest, ask.build.settings
    rear_tyre, front_tyre = (
        crossing.tyre_rate(ask.build, end, None if bar is None else bar * BAR)
        for end, bar in (("rear", settings.rear_tyre_bar), ("front", settings.front_tyre_bar))
    )
    if rear_tyre is None or front_tyre is None:
        raise NotKnown("waits for both tyres and their pressures")
    if found.bottomed or found.topped:
        where = " and ".join((*found.bottomed, *found.topped))
        raise NotKnown(f"waits for springs on which the {where} does not rest at an end of its travel")
    slant = math.sin(found.head_angle)
    front = Resting(
        mass=found.front_load / GRAVITY - weights.front,
        rate=None if both.fork is None else float(both.fork.rate(found.fork_travel)) / (slant * slant),
        tyre=front_tyre,
        leverage_ratio=slant,
        shaft_force=found.fork_force,
    )
    rear_rate, leverage = _rear(ask, found.shock_stroke)
    rear = Resting(
        mass=found.rear_load / GRAVITY - weights.rear,
        rate=rear_rate,
        tyre=rear_tyre,
        leverage_ratio=leverage,
        shaft_force=found.shock_force,
    )
    carried = crossing.carried_kg(ask.build)
    bike = MassPoint("bike", weights.sprung.mass, weights.sprung.place, weights.sprung.inertia)
    sprung = combine((bike, *rider_parts(body, settled.posture), MassPoint("carried", carried, settled.posture.com)))
    centre = found.pose.to_ground(sprung.place)
    ahead = float(found.pose.to_ground(found.front_axle)[0] - centre[0])
    behind = float(centre[0] - found.pose.to_ground(found.rear_axle)[0])
    springs = front.spring(), rear.spring()
    return Swing(
        front=front,
        rear=rear,
        front_mode=end_mode(front.mass, springs[0]),
        rear_mode=end_mode(rear.mass, springs[1]),
        body=two_modes(sprung.mass, sprung.inertia, *springs, ahead, behind),
        mass=sprung.mass,
        inertia=sprung.inertia,
        ahead=ahead,
        behind=behind,
    )


def _rear(ask: Ask, stroke: float) -> tuple[float | None, float]:
    """Vertical rate of the suspension and leverage ratio at the rear wheel; None and one for a hardtail."""
    through: Through | None = ask.of("linkage")
    both: Springs = ask.of("springs")
    if through is None:
        return None, 1.0
    if both.shock is None:
        raise NotKnown(f"waits for {both.shock_waits}")
    here = solve_at(through.motion, stroke)
    force, rate, _ = both.shock.state(stroke)
    ratio, slope = float(here.leverage_ratio[-1]), float(here.leverage_slope[-1])
    _, wheel_rate = spring_at_wheel(float(force), float(rate), ratio, slope)
    return float(wheel_rate), ratio


@lru_cache(maxsize=64)
def dial_of(damper: Damper | None, circuit: str) -> Dial | None:
    """One dial in SI, clicks from closed; None while nothing was measured and no coefficients are known.

    ``circuit`` is ``rebound``, ``compression`` or ``high_compression``.
    """
    if damper is None:
        return None
    held: Circuit = getattr(damper, circuit)
    total = total_clicks(damper, circuit)
    if total is None or total < 1:
        return None
    if held.clicks:
        curves = [
            measured([speed * MM for speed in held.speed_mm_s], [float(force) for force in row]) for row in held.force_n
        ]
        positions = list(held.clicks)
        if damper.counted_from == "open":
            positions, curves = [total - position for position in reversed(positions)], curves[::-1]
        return Dial(total, tuple(positions), tuple(curves))
    if held.closed is not None and held.open is not None:
        return Dial(total, (0, total), (_knee(held.closed), _knee(held.open)))
    return None


def _knee(knee: Knee) -> ForceSpeed:
    return with_knee(knee.low_n_s_per_mm * N_PER_MM, knee.knee_mm_s * MM, knee.high_n_s_per_mm * N_PER_MM)


def from_closed(damper: Damper | None, circuit: str, clicks: int | None) -> int | None:
    """A dial's position counted from closed; None where it, or the total that it takes, is not known."""
    if clicks is None or damper is None:
        return None
    if damper.counted_from == "closed":
        return clicks
    total = total_clicks(damper, circuit)
    return None if total is None else total - clicks


def set_clicks(settings: Settings, damper: Damper | None, end: str, circuit: str) -> int | None:
    """Where a dial of ``fork`` or ``shock`` stands, from closed; None where that is not known."""
    return from_closed(damper, circuit, getattr(settings, f"{end}_{circuit}_clicks"))


def high_speed_part(damper: Damper | None, standing: int | None) -> tuple[ForceSpeed, ForceSpeed] | None:
    """Curves of the high-speed compression dial where it stands, and where it stood when the low one was measured.

    ``standing`` is counted from closed. None where the two are alike, or one of them is not known.
    """
    high = dial_of(damper, "high_compression")
    then = None if damper is None else from_closed(damper, "high_compression", damper.compression.other_clicks)
    if high is None or standing is None or then is None or standing == then:
        return None
    return high.at(standing), high.at(then)


def curve_of(damper: Damper | None, circuit: str, click: float, high_click: int | None = None) -> ForceSpeed | None:
    """Force over speed of a circuit at a click from closed; None while nothing was measured."""
    dial = dial_of(damper, circuit)
    if dial is None:
        return None
    curve = dial.at(click)
    turned = high_speed_part(damper, high_click) if circuit == "compression" else None
    return curve if turned is None else both_dials(curve, *turned)


def _as_set(build: Build, end: str, circuit: str, peak: float) -> float | None:
    """Equivalent coefficient at the shaft, as the dials are set [N s/m]."""
    part = getattr(build.parts, end)
    damper = None if part is None else part.damper
    click = set_clicks(build.settings, damper, end, circuit)
    if click is None:
        return None
    high = set_clicks(build.settings, damper, end, "high_compression")
    curve = curve_of(damper, circuit, click, high)
    return None if curve is None else curve.equivalent(peak)


def damping(ask: Ask) -> Damped:
    """Group damping."""
    swing: Swing = ask.of("modes")
    build, peak = ask.build, ask.build.settings.damping_speed_mm_s * MM
    fork_rebound, fork_compression, shock_rebound, shock_compression = (
        _as_set(build, end, circuit, peak) for end in ("fork", "shock") for circuit in ("rebound", "compression")
    )
    mean = None
    front, rear = _mean(fork_rebound, fork_compression), _mean(shock_rebound, shock_compression)
    if swing.rear.rate is None:
        rear = 0.0  # a hardtail's rear end has a tyre and no damper
    if front is not None and rear is not None:
        mean = swing.damped(front, rear)
    return Damped(
        front_rebound=None if fork_rebound is None else swing.front.ratio(fork_rebound),
        front_compression=None if fork_compression is None else swing.front.ratio(fork_compression),
        rear_rebound=None if shock_rebound is None else swing.rear.ratio(shock_rebound),
        rear_compression=None if shock_compression is None else swing.rear.ratio(shock_compression),
        heave=None if mean is None else mean.heave.ratio,
        pitch=None if mean is None else mean.pitch.ratio,
    )


def _mean(one: float | None, other: float | None) -> float | None:
    """Over a whole swing a damper takes up the energy of both of its halves."""
    return None if one is None or other is None else 0.5 * (one + other)

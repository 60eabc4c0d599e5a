"""Modes: how rider and bike swing on their springs about the place where they rest.

Question answered   At which frequencies do each end, heave and pitch swing, about which points, and how damped?
Method              One mass on one end; one rigid body with heave and pitch on two ends, in closed form. A tyre is in
                    series with its end. Damping of a mode is its share by the undamped shape.
Axes and signs      x forward from the centre of the sprung mass, heave up, pitch nose up.
Left out            Unsprung masses, the rider's own springs, travel stops, friction, what is not linear about rest.
Theory              docs/theory/modes.md
"""

import math
from dataclasses import dataclass

from bikewright.errors import OutsideValidity


@dataclass(frozen=True, slots=True, kw_only=True)
class Spring:
    """One end of the bike at its wheel: suspension, with a tyre in series."""

    rate: float | None
    """Of the suspension at the wheel; None where nothing but the tyre gives [N/m]."""
    tyre: float
    """Vertical rate of the tyre [N/m]."""
    damping: float = 0.0
    """Of the damper, at the wheel [N s/m]."""

    @property
    def ride_rate(self) -> float:
        """Both in series. [N/m]"""
        return self.tyre if self.rate is None else self.rate * self.tyre / (self.rate + self.tyre)

    @property
    def ride_damping(self) -> float:
        """Damping as the mass above feels it through the tyre, slow swings. [N s/m]

        The suspension takes the share kt/(k + kt) of the movement and passes on that share of the work's force, so the
        damper counts by the square of it: derived here, exact for small damping.
        """
        if self.rate is None:
            return 0.0
        share = self.tyre / (self.rate + self.tyre)
        return self.damping * share * share


@dataclass(frozen=True, slots=True)
class Mode:
    """One way to swing."""

    frequency: float
    """Undamped [Hz]."""
    ratio: float
    """Damping ratio [-]."""
    centre: float
    """Centre of oscillation: the point that stands still, ahead of the centre of mass; infinite where all points move
    alike, nought where it is the centre of mass itself [m]."""

    @property
    def damped_frequency(self) -> float:
        """With the damping; nought where it does not swing. [Hz]"""
        return self.frequency * math.sqrt(max(1.0 - self.ratio * self.ratio, 0.0))


def end_mode(mass: float, spring: Spring) -> Mode:
    """One end by itself: a mass on a spring and a damper.

    Parameters
    ----------
    mass : float
        Sprung mass that rests on this end. [kg]
    spring : Spring
        The end. [N/m, N s/m]

    Returns
    -------
    Mode
        Its centre is at infinity: the mass goes straight up and down. [Hz, -]

    Raises
    ------
    OutsideValidity
        If the mass or a rate is not above nought.

    Notes
    -----
    ``f = sqrt(k/m)/(2 pi)``, ``zeta = c/(2 sqrt(k m))``: J. P. Den Hartog, Mechanical Vibrations, ch. 2 (from memory).
    """
    _refuse(mass, spring)
    rate = spring.ride_rate
    return Mode(math.sqrt(rate / mass) / (2.0 * math.pi), spring.ride_damping / critical(mass, rate), math.inf)


def critical(mass: float, rate: float) -> float:
    """Critical damping of a mass on a spring.

    Parameters
    ----------
    mass : float
        [kg]
    rate : float
        [N/m]

    Returns
    -------
    float
        ``2 sqrt(k m)``. [N s/m]
    """
    return 2.0 * math.sqrt(rate * mass)


@dataclass(frozen=True, slots=True)
class Modes:
    """Both ways in which a body swings on two ends."""

    heave: Mode
    """The one that is mostly up and down."""
    pitch: Mode
    """The one that is mostly nose up and down."""


def two_modes(mass: float, inertia: float, front: Spring, rear: Spring, ahead: float, behind: float) -> Modes:
    """Heave and pitch of a body on two ends.

    Parameters
    ----------
    mass : float
        Sprung. [kg]
    inertia : float
        About the lateral axis through its centre. [kg m2]
    front, rear : Spring
        Both ends. [N/m, N s/m]
    ahead, behind : float
        From the centre of mass forward to the front contact, backward to the rear one. [m]

    Returns
    -------
    Modes
        Frequencies, damping ratios and centres of oscillation. [Hz, -, m]

    Raises
    ------
    OutsideValidity
        If a mass, an inertia or a rate is not above nought.

    Notes
    -----
    ``m z'' = -(kf + kr) z - (kf a - kr b) q`` and ``I q'' = -(kf a - kr b) z - (kf a^2 + kr b^2) q``: T. D. Gillespie,
    Fundamentals of Vehicle Dynamics, 1992, ch. 5, bounce and pitch (from memory). The squares of both frequencies are
    the roots of a quadratic. Where kf a = kr b the two do not touch each other. The damping of a mode is
    ``phi' C phi / (2 w phi' M phi)`` with its undamped shape phi: exact where C is proportional to K, and within the
    square of the ratio elsewhere.
    """
    _refuse(mass, front)
    _refuse(inertia, rear)
    kf, kr = front.ride_rate, rear.ride_rate
    heave, cross, pitch = (kf + kr) / mass, kf * ahead - kr * behind, (kf * ahead**2 + kr * behind**2) / inertia
    scaled = cross / math.sqrt(mass * inertia)
    middle, half = 0.5 * (heave + pitch), math.hypot(0.5 * (heave - pitch), scaled)
    # shapes as angles in the plane of z sqrt(m) and q sqrt(I): the two are square to each other
    turn = 0.5 * math.atan2(2.0 * scaled, heave - pitch)
    found = []
    for squared, angle in ((middle + half, turn), (middle - half, turn + 0.5 * math.pi)):
        rise, nose = math.cos(angle) / math.sqrt(mass), math.sin(angle) / math.sqrt(inertia)
        damping = front.ride_damping * (rise + ahead * nose) ** 2 + rear.ride_damping * (rise - behind * nose) ** 2
        omega = math.sqrt(squared)
        # a shape with no turn but rounding has its centre at infinity
        centre = math.inf if abs(math.sin(angle)) < 1e-12 else -rise / nose
        found.append((abs(math.cos(angle)), Mode(omega / (2.0 * math.pi), 0.5 * damping / omega, centre)))
    found.sort(key=lambda pair: pair[0])
    return Modes(heave=found[1][1], pitch=found[0][1])


def _refuse(inert: float, spring: Spring) -> None:
    """Each rate by itself: in series with a tyre, a rate far enough below nought would look like one above it."""
    rates = [rate for rate in (spring.rate, spring.tyre) if rate is not None]
    if not (inert > 0.0 and all(rate > 0.0 for rate in rates)):
        raise OutsideValidity(
            f"a mass or inertia of {inert:.3g} on {' and '.join(f'{rate:.3g}' for rate in rates)} N/m (suspension, "
            "tyre) does not swing; give numbers above nought"
        )

"""Damping: force at a shaft speed and click, and the one coefficient that takes up as much energy.

Question answered   How hard does a damper push back at this speed and click, and which linear damper equals it?
Method              Measured points joined by straight lines, over speed and over clicks; energy of a sine stroke in
                    closed form on each line.
Axes and signs      Speed and force without sign: rebound and compression are apart. Clicks here count from closed.
Left out            Friction, gas force, hysteresis, temperature, cavitation; clicks that are not even.
Theory              docs/theory/damping.md
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from bikewright.errors import OutsideValidity
from bikewright.units import MM, N_PER_MM


@dataclass(frozen=True, slots=True)
class ForceSpeed:
    """Force over shaft speed at one click, joined by straight lines; nought at rest."""

    speed: tuple[float, ...]
    """Rising from nought [m/s]."""
    force: tuple[float, ...]
    """[N]"""
    open_ended: bool = False
    """True where the last line goes on, as it does for coefficients; a measured table ends where it was measured."""

    def at(self, speed: float) -> float:
        """Force at a shaft speed.

        Parameters
        ----------
        speed : float
            Of the shaft. [m/s]

        Returns
        -------
        float
            [N]

        Raises
        ------
        OutsideValidity
            If the table was not measured that fast.
        """
        self._reach(speed)
        part = min(max(bisect_right(self.speed, speed) - 1, 0), len(self.speed) - 2)
        start, slope = self._line(part)
        return start + slope * speed

    def equivalent(self, peak: float) -> float:
        """Coefficient of the linear damper that takes up the same energy over a sine stroke.

        Parameters
        ----------
        peak : float
            Greatest shaft speed of the stroke. [m/s]

        Returns
        -------
        float
            [N s/m]

        Raises
        ------
        OutsideValidity
            If the peak is not above nought, or faster than was measured.

        Notes
        -----
        Equal energy over a cycle (J. P. Den Hartog, Mechanical Vibrations, 4th ed., section 8.8, from memory): with
        v = V cos(t), ``c = 4/(pi V) * integral over a quarter cycle of F(V cos t) cos t dt``. On a line F = a + b v
        the integral is ``a sin t + b V (t/2 + sin(2t)/4)``, so it is exact for straight lines. A linear damper gives
        its own c, and F = c2 v^2 gives ``8/(3 pi) c2 V``.
        """
        if not peak > 0.0:
            raise OutsideValidity(f"a stroke of {peak / MM:.0f} mm/s has no energy; give a speed above nought")
        self._reach(peak)
        energy = 0.0
        for part in range(len(self.speed) - 1):
            last = part == len(self.speed) - 2
            low, high = self.speed[part], peak if last and self.open_ended else self.speed[part + 1]
            if low >= peak:
                break
            start, slope = self._line(part)
            first, second = math.acos(min(high / peak, 1.0)), math.acos(low / peak)
            energy += start * (math.sin(second) - math.sin(first)) + slope * peak * (
                0.5 * (second - first) + 0.25 * (math.sin(2.0 * second) - math.sin(2.0 * first))
            )
        return 4.0 * energy / (math.pi * peak)

    def _line(self, part: int) -> tuple[float, float]:
        slope = (self.force[part + 1] - self.force[part]) / (self.speed[part + 1] - self.speed[part])
        return self.force[part] - slope * self.speed[part], slope

    def _reach(self, speed: float) -> None:
        if speed > self.speed[-1] * (1.0 + 1e-12) and not self.open_ended:
            raise OutsideValidity(
                f"the damper was measured up to {self.speed[-1] / MM:.0f} mm/s; {speed / MM:.0f} mm/s is "
                f"{(speed - self.speed[-1]) / MM:.0f} mm/s faster. Ask for a slower stroke, or measure further"
            )


def measured(speed: Sequence[float], force: Sequence[float]) -> ForceSpeed:
    """A measured curve; one that does not begin at rest is joined to no force at rest.

    Parameters
    ----------
    speed : sequence of float
        Rising, none negative. [m/s]
    force : sequence of float
        One for each speed, none negative. [N]

    Returns
    -------
    ForceSpeed

    Raises
    ------
    OutsideValidity
        If the speeds do not rise, or a force is negative.
    """
    at, push = list(speed), list(force)
    if len(at) != len(push) or not at:
        raise OutsideValidity(f"{len(at)} speeds and {len(push)} forces are no table; give one force for each speed")
    if at[0] > 0.0:
        at.insert(0, 0.0)
        push.insert(0, 0.0)
    rising = all(after > before for before, after in pairwise(at))
    if len(at) < 2 or at[0] < 0.0 or not rising or min(push) < 0.0:
        raise OutsideValidity("a damper's speeds rise from nought and its forces are not negative; correct the table")
    return ForceSpeed(tuple(map(float, at)), tuple(map(float, push)))


def with_knee(low: float, knee: float, high: float) -> ForceSpeed:
    """A curve from coefficients: one up to the knee, another for what is faster.

    Parameters
    ----------
    low, high : float
        Below and above the knee. [N s/m]
    knee : float
        Shaft speed at which the valve opens. [m/s]

    Returns
    -------
    ForceSpeed
        Goes on beyond every speed.

    Raises
    ------
    OutsideValidity
        If the knee or the first coefficient is not above nought, or the second is negative.
    """
    if not (low > 0.0 and knee > 0.0 and high >= 0.0):
        raise OutsideValidity(
            f"coefficients of {low / N_PER_MM:g} and {high / N_PER_MM:g} N s/mm with a knee at {knee / MM:g} mm/s make "
            "no damper; give numbers above nought"
        )
    return ForceSpeed((0.0, knee, 2.0 * knee), (0.0, low * knee, (low + high) * knee), open_ended=True)


@dataclass(frozen=True, slots=True)
class Dial:
    """One dial of a damper: a curve at each known position."""

    total: int
    """Clicks from end to end."""
    positions: tuple[int, ...]
    """Clicks from closed of the known curves, rising from nought to the total."""
    curves: tuple[ForceSpeed, ...]
    """One for each position."""

    def at(self, click: float) -> ForceSpeed:
        """The curve at a click; between known positions the forces are mixed in proportion.

        Parameters
        ----------
        click : float
            From closed. [clicks]

        Returns
        -------
        ForceSpeed

        Raises
        ------
        OutsideValidity
            If the dial does not go there: says by how much.
        """
        if not 0.0 <= click <= self.total:
            over = -click if click < 0.0 else click - self.total
            raise OutsideValidity(
                f"the dial goes from 0 to {self.total} clicks from closed; {click:g} is {over:g} outside"
            )
        part = min(bisect_right(self.positions, click) - 1, len(self.positions) - 2)
        first, second = self.positions[part], self.positions[part + 1]
        return mixed(self.curves[part], self.curves[part + 1], (click - first) / (second - first))


def mixed(one: ForceSpeed, other: ForceSpeed, share: float) -> ForceSpeed:
    """A curve between two others.

    Parameters
    ----------
    one, other : ForceSpeed
        The curves.
    share : float
        Of the other one. [-]

    Returns
    -------
    ForceSpeed
        ``(1 - share) F1 + share F2``, up to the speed that both were measured to.
    """
    return _sum(((one, 1.0 - share), (other, share)))


def both_dials(low: ForceSpeed, high: ForceSpeed, high_then: ForceSpeed) -> ForceSpeed:
    """Compression with two dials: the low-speed dial's curve, and what the high-speed dial was turned since.

    Parameters
    ----------
    low : ForceSpeed
        At the low-speed click, measured with the high-speed dial at a known position.
    high, high_then : ForceSpeed
        Of the high-speed dial where it stands, and where it stood when `low` was measured.

    Returns
    -------
    ForceSpeed
        ``F_low + F_high - F_high,then``: the dials are taken to add up.

    Raises
    ------
    OutsideValidity
        If that makes a force negative, so that the dials do not add up.
    """
    found = _sum(((low, 1.0), (high, 1.0), (high_then, -1.0)))
    if min(found.force) < 0.0:
        raise OutsideValidity(
            "the two compression dials do not add up at these clicks: measure them together, near where they stand"
        )
    return found


def _sum(parts: Sequence[tuple[ForceSpeed, float]]) -> ForceSpeed:
    """Curves times factors, at every speed at which one of them bends."""
    ends = [curve.speed[-1] for curve, _ in parts if not curve.open_ended]
    end = min(ends) if ends else max(curve.speed[-1] for curve, _ in parts)
    speeds = sorted({speed for curve, _ in parts for speed in curve.speed if speed <= end})
    forces = [sum(factor * curve.at(speed) for curve, factor in parts) for speed in speeds]
    # rounding of two equal forces must not look like a negative one
    forces = [0.0 if abs(force) < 1e-9 else force for force in forces]
    return ForceSpeed(tuple(speeds), tuple(forces), open_ended=not ends)


def click_for(dial: Dial, wanted: float, peak: float) -> float:
    """Click at which a dial has an equivalent coefficient.

    Parameters
    ----------
    dial : Dial
        The dial.
    wanted : float
        Equivalent coefficient at the shaft. [N s/m]
    peak : float
        Greatest shaft speed of the stroke. [m/s]

    Returns
    -------
    float
        From closed, not rounded. [clicks]

    Raises
    ------
    OutsideValidity
        If no click of the dial reaches it: says by how much.

    Notes
    -----
    The equivalent coefficient is linear in the forces, and forces are mixed in proportion between known positions, so
    it is linear between them too: the place follows from one division.
    """
    found = [curve.equivalent(peak) for curve in dial.curves]
    for part in range(len(found) - 1):
        firm, soft = found[part], found[part + 1]
        if min(firm, soft) <= wanted <= max(firm, soft):
            share = 0.0 if firm == soft else (firm - wanted) / (firm - soft)
            return dial.positions[part] + share * (dial.positions[part + 1] - dial.positions[part])
    reached, which = (max(found), "little") if wanted > max(found) else (min(found), "much")
    click = dial.positions[found.index(reached)]
    end = {0: "all clicks closed", dial.total: "all clicks open"}.get(click, f"{click} clicks from closed")
    raise OutsideValidity(
        f"{wanted / N_PER_MM:.2f} N s/mm are wanted at {peak / MM:.0f} mm/s; the dial gives {reached / N_PER_MM:.2f} "
        f"with {end}, {100.0 * abs(wanted / reached - 1.0):.0f} % too {which}"
    )


def at_wheel(coefficient: float, leverage_ratio: float) -> float:
    """Coefficient of a damper as the wheel feels it.

    Parameters
    ----------
    coefficient : float
        At the shaft. [N s/m]
    leverage_ratio : float
        d(wheel travel)/d(shaft travel): the leverage ratio of a shock, the sine of the head angle for a fork. [-]

    Returns
    -------
    float
        ``c / LR^2``: force is divided by it and so is speed. [N s/m]

    Raises
    ------
    OutsideValidity
        If the ratio is not above nought.
    """
    if not leverage_ratio > 0.0:
        raise OutsideValidity(f"a leverage ratio of {leverage_ratio:g} moves no wheel; check linkage and head angle")
    return coefficient / (leverage_ratio * leverage_ratio)

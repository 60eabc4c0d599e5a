"""The wire of a coil spring: rate from its dimensions, stress, mass, buckling, surge and long life.

Question answered   What rate does this wire wound like this have, what stress does it see, what does it weigh?
Method              Textbook formulae of round-wire helical compression springs.
Axes and signs      Compression and shear stress positive.
Left out            Residual stress of the set, curvature in the plane of the ends, corrosion.
Theory              docs/theory/springs.md
"""

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from bikewright.errors import OutsideValidity
from bikewright.units import MM

Ends: TypeAlias = Literal["plain", "plain ground", "squared", "squared ground"]

STEEL_DENSITY = 7850.0
"""[kg/m³]. From memory; 7.85 g/cm³ of any steel table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """Wire of one kind: tensile strength A/d^m, stiffness in shear, and whether the page was seen."""

    intercept: float
    """A: tensile strength at 1 mm of diameter [Pa]."""
    power: float
    """m [-]."""
    shear_modulus: float
    """G; of the diameters above 3.2 mm where it changes with the diameter [Pa]."""
    shear_share: float
    """Torsional elastic limit over tensile strength; the low end of its range [-]."""
    seen: bool
    """True where the strength's constants were looked up; False: from memory."""

    def tensile_strength(self, diameter: float) -> float:
        """Minimum tensile strength of the wire.

        Parameters
        ----------
        diameter : float
            Of the wire. [m]

        Returns
        -------
        float
            A/d^m, d in millimetres. [Pa]
        """
        return float(self.intercept / (diameter / MM) ** self.power)


WIRES = {
    "music": Wire(intercept=2211e6, power=0.145, shear_modulus=80.0e9, shear_share=0.45, seen=True),
    "oil-tempered": Wire(intercept=1855e6, power=0.187, shear_modulus=77.2e9, shear_share=0.45, seen=True),
    "hard-drawn": Wire(intercept=1783e6, power=0.190, shear_modulus=78.6e9, shear_share=0.45, seen=False),
    "chrome-vanadium": Wire(intercept=2005e6, power=0.168, shear_modulus=77.2e9, shear_share=0.65, seen=False),
    "chrome-silicon": Wire(intercept=1974e6, power=0.108, shear_modulus=77.2e9, shear_share=0.65, seen=False),
}
"""Shigley's Mechanical Engineering Design, tables 10-4 and 10-5. Other handbooks differ: chrome-silicon 1960 MPa and
0.091, music wire 2060 MPa and 0.163; catalogues give 79.3 GPa for chrome-silicon. The modulus of hard-drawn wire is
from memory."""


def wire_rate(shear_modulus: float, wire: float, mean: float, active: float) -> float:
    """Rate of a coil from its dimensions.

    Parameters
    ----------
    shear_modulus : float
        Of the wire. [Pa]
    wire, mean : float
        Diameter of the wire, and of the coil from wire centre to wire centre. [m]
    active : float
        Active turns. [turns]

    Returns
    -------
    float
        k = G d^4/(8 D³ Na). [N/m]

    Raises
    ------
    OutsideValidity
        If a dimension is not positive or the wire does not fit round the coil.
    """
    _index(wire, mean)
    if not (shear_modulus > 0.0 and active > 0.0):
        raise OutsideValidity(
            f"{active:.2f} active turns of a modulus of {shear_modulus / 1e9:.2f} GPa make no spring; both must be "
            "above 0"
        )
    return shear_modulus * wire**4 / (8.0 * mean**3 * active)


def active_turns(total: float, ends: Ends) -> float:
    """Turns that bend, of all turns, by the way the ends are made.

    Parameters
    ----------
    total : float
        All turns. [turns]
    ends : str
        ``plain``, ``plain ground``, ``squared`` or ``squared ground``.

    Returns
    -------
    float
        Active turns: all, one less, two less, two less. [turns]
    """
    return total - {"plain": 0.0, "plain ground": 1.0, "squared": 2.0, "squared ground": 2.0}[ends]


def solid_length(total: float, wire: float, ends: Ends) -> float:
    """Length with all turns touching.

    Parameters
    ----------
    total : float
        All turns. [turns]
    wire : float
        Diameter of the wire. [m]
    ends : str
        As for `active_turns`.

    Returns
    -------
    float
        Total turns times the wire, and one wire more where the ends are not ground. [m]
    """
    return wire * (total + (1.0 if ends in ("plain", "squared") else 0.0))


def wahl(index: float) -> float:
    """Curvature factor of A. M. Wahl.

    Parameters
    ----------
    index : float
        C, mean diameter over wire. [-]

    Returns
    -------
    float
        (4C - 1)/(4C - 4) + 0.615/C. [-]
    """
    return (4.0 * index - 1.0) / (4.0 * index - 4.0) + 0.615 / index


def bergstraesser(index: float) -> float:
    """Curvature factor of M. Bergsträsser, within 2 % of `wahl` from an index of 4.

    Parameters
    ----------
    index : float
        C, mean diameter over wire. [-]

    Returns
    -------
    float
        (4C + 2)/(4C - 3). [-]
    """
    return (4.0 * index + 2.0) / (4.0 * index - 3.0)


def wire_stress(force: float, wire: float, mean: float, factor: float | None = None) -> float:
    """Shear stress at the inside of the coil.

    Parameters
    ----------
    force : float
        Along the spring. [N]
    wire, mean : float
        Diameter of the wire, and mean diameter of the coil. [m]
    factor : float, optional
        Curvature factor; Wahl's where not given. [-]

    Returns
    -------
    float
        K 8 F D/(pi d³). [Pa]
    """
    curvature = wahl(_index(wire, mean)) if factor is None else factor
    return curvature * 8.0 * force * mean / (math.pi * wire**3)


def wire_mass(
    wire: float, mean: float, turns: float, free_length: float = 0.0, density: float = STEEL_DENSITY
) -> float:
    """Mass of the wire in a coil.

    Parameters
    ----------
    wire, mean : float
        Diameter of the wire, and mean diameter of the coil. [m]
    turns : float
        All turns. [turns]
    free_length : float
        Of the coil; 0 takes every turn as a flat circle, which Shigley does, and errs by less than 2 %. [m]
    density : float
        Of the wire. [kg/m³]

    Returns
    -------
    float
        Section times the length of the helix. [kg]
    """
    return density * math.pi / 4.0 * wire**2 * math.hypot(math.pi * mean * turns, free_length)


def buckling_length(mean: float, end_condition: float) -> float:
    """Free length above which a steel coil without a guide may buckle.

    Parameters
    ----------
    mean : float
        Mean diameter of the coil. [m]
    end_condition : float
        0.5 both ends on flat parallel plates, 0.707 one hinged, 1 both hinged, 2 one free. [-]

    Returns
    -------
    float
        2.63 D/alpha. [m]
    """
    return 2.63 * mean / end_condition


def surge_frequency(rate: float, active_mass: float) -> float:
    """First natural frequency of a coil between two plates.

    Parameters
    ----------
    rate : float
        Of the coil. [N/m]
    active_mass : float
        Of the active turns. [kg]

    Returns
    -------
    float
        0.5 sqrt(k/m). [Hz]
    """
    return 0.5 * math.sqrt(rate / active_mass)


ZIMMERLI = {False: (241e6, 379e6), True: (398e6, 534e6)}
"""Alternating and midrange shear stress that wire bears for ever, by whether it was shot-peened [Pa]. F. P. Zimmerli,
1957, as Shigley gives it, section 10-9: 35 and 55 kpsi, 57.5 and 77.5 kpsi (from memory)."""


def long_life_factor(
    alternating: float,
    midrange: float,
    shear_strength: float,
    *,
    rule: Literal["gerber", "goodman", "sines"] = "gerber",
    peened: bool = False,
) -> float:
    """How far a cycle's stress is from what the wire bears for ever.

    Parameters
    ----------
    alternating, midrange : float
        Half of the range, and the middle of the cycle's shear stress. [Pa]
    shear_strength : float
        Ultimate, in shear: 0.67 of the tensile strength. [Pa]
    rule : str
        How the midrange counts: Gerber's parabola, Goodman's line, or not at all (Sines).
    peened : bool
        Whether the wire is shot-peened.

    Returns
    -------
    float
        Factor along the line of constant alternating over midrange; above 1 lasts. [-]

    Raises
    ------
    OutsideValidity
        If the cycle or the strength makes no sense.
    """
    if not (0.0 < alternating <= midrange):
        raise OutsideValidity(
            f"a cycle of {alternating / 1e6:.1f} MPa about {midrange / 1e6:.1f} MPa is none of a compression spring; "
            "alternating stress is above 0 and not above the midrange"
        )
    endured, at = ZIMMERLI[peened]
    if not shear_strength > at:
        raise OutsideValidity(f"a shear strength of {shear_strength / 1e6:.0f} MPa is not above {at / 1e6:.0f} MPa")
    if rule == "sines":
        return endured / alternating
    slope = alternating / midrange
    if rule == "goodman":
        full = endured / (1.0 - at / shear_strength)
        return slope * full * shear_strength / (slope * shear_strength + full) / alternating
    full = endured / (1.0 - (at / shear_strength) ** 2)
    half = slope * shear_strength / (2.0 * full)
    return slope * shear_strength * (math.sqrt(half * half + 1.0) - half) / alternating


def _index(wire: float, mean: float) -> float:
    """C = D/d, checked [-]."""
    if not 0.0 < wire < mean:
        raise OutsideValidity(
            f"a wire of {wire / MM:.2f} mm cannot be wound to a mean diameter of {mean / MM:.2f} mm; check both"
        )
    return mean / wire

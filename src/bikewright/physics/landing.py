"""Landings and steps: what uses all of the travel.

Question answered   From what height may this end be dropped, and how fast may it meet a square step, before it bottoms?
Method              Energy. A drop: the weight over one end works against its spring from full extension to the end. A
                    step: the wheel is thrown up by the edge and is stopped by its spring, wheel and bike as two masses.
Axes and signs      Height and travel positive as the spring closes; speed forward; a path leans backwards positive.
Left out            Damping and friction, which take energy; the rider's arms and legs, which are counted as rigid and
                    in truth take the larger part of a drop; the tyre, counted as rigid; the step as the other wheel
                    feels it. Both ends are taken apart, which is exact where the square of the pitch radius is the
                    product of the distances from the centre of mass to both axles. Numbers are for comparing set-ups,
                    not for jumps.
Theory              docs/theory/landing.md
"""

import math

from bikewright.errors import OutsideValidity
from bikewright.physics.rest import GRAVITY
from bikewright.units import MM


def drop_height(energy: float, mass: float, travel: float) -> float:
    """Height of a drop to flat ground that uses all of the travel.

    Parameters
    ----------
    energy : float
        That the spring takes up from full extension to the end of a fast stroke. [J]
    mass : float
        Sprung mass over this end: the load of its wheel at rest less the wheel's own weight, over gravity. [kg]
    travel : float
        Of the wheel, square to the ground. [m]

    Returns
    -------
    float
        Of the fall until the tyre touches the ground. [m]

    Raises
    ------
    OutsideValidity
        If a value is not positive, or the mass bottoms the spring without any fall.

    Notes
    -----
    m g (h + z) = E(z) at the end z of the travel, where the mass stands still: h = E/(m g) - z. With a linear spring
    E = k z²/2, which is the textbook's z = d + sqrt(d² + 2 d h), d = m g/k. The wheel's own energy goes into the
    ground.
    """
    for what, value in (("an energy", energy), ("a mass", mass), ("a travel", travel)):
        if not value > 0.0:
            raise OutsideValidity(f"{what} of {value:.4g} cannot be landed on; it must be above 0")
    height = energy / (mass * GRAVITY) - travel
    if not height >= 0.0:
        raise OutsideValidity(
            f"{mass:.1f} kg let down by {travel / MM:.0f} mm do {mass * GRAVITY * travel:.0f} J of work, and the "
            f"spring takes {energy:.0f} J: it bottoms without any drop. Ask with more pressure, a stiffer coil or less "
            "sag"
        )
    return height


def reduced_mass(sprung: float, unsprung: float) -> float:
    """Mass with which a wheel and what stands over it move against each other.

    Parameters
    ----------
    sprung, unsprung : float
        Over the spring, and moving with the wheel. [kg]

    Returns
    -------
    float
        m_s m_u/(m_s + m_u). [kg]

    Raises
    ------
    OutsideValidity
        If one is not positive.
    """
    if not (sprung > 0.0 and unsprung > 0.0):
        raise OutsideValidity(
            f"masses of {sprung:.2f} kg over the spring and {unsprung:.2f} kg below it; both must be above 0"
        )
    return sprung * unsprung / (sprung + unsprung)


def thrown_speed(energy: float, sprung: float, unsprung: float, lean: float = 0.0) -> float:
    """Upward speed of a wheel that its spring stops at the very end of the travel.

    Parameters
    ----------
    energy : float
        That the spring takes up from where the wheel stands to the end of a fast stroke. [J]
    sprung, unsprung : float
        Over the spring, and moving with the wheel. [kg]
    lean : float
        Of the axle's path backwards from the vertical. [rad]

    Returns
    -------
    float
        Vertical speed. [m/s]

    Raises
    ------
    OutsideValidity
        If there is no energy left, or a mass is not positive.

    Notes
    -----
    Both masses are free: their weights cancel in the motion against each other, mu x'' = -F(x), so
    mu u²/2 = E(end) - E(here), with u along the path and u cos(lean) upwards.
    """
    if not energy > 0.0:
        raise OutsideValidity(f"{energy:.4g} J are left to the end of the travel; there must be some")
    return math.cos(lean) * math.sqrt(2.0 * energy / reduced_mass(sprung, unsprung))


def step_speed(thrown: float, radius: float, height: float, held: float, lean: float = 0.0) -> float:
    """Speed at which a square step throws a wheel up this fast.

    Parameters
    ----------
    thrown : float
        Upward speed of the axle as it meets the edge, from `thrown_speed`. [m/s]
    radius : float
        Of the wheel with its tyre. [m]
    height : float
        Of the step. [m]
    held : float
        How hard spring and weight of the wheel hold it down: their force over its mass. [m/s²]
    lean : float
        Of the axle's path backwards from the vertical. [rad]

    Returns
    -------
    float
        Of the bike. [m/s]

    Raises
    ------
    OutsideValidity
        If the step is not below the axle, or the wheel is not thrown but stays on the edge.

    Notes
    -----
    The axle turns about the edge, on a radius R that rises by the angle a from the ground, sin(a) = (R - h)/R. Moving
    forward at w it rises at w cot(a). The bike moves on at v while the axle gives way backwards, w = v - c tan(lean)
    with c the upward speed: v = c (tan(a) + tan(lean)). To stay on the edge the axle's rise would have to slow down by
    w² R²/(R - h)³, the second derivative of sqrt(R² - x²); a wheel that is held down harder than that is not thrown.
    """
    if not 0.0 < height < radius:
        raise OutsideValidity(
            f"a step of {height / MM:.0f} mm is not between the ground and an axle {radius / MM:.0f} mm high"
        )
    under = radius - height
    slope = under / math.sqrt(radius * radius - under * under)
    forward = thrown * slope
    if forward * forward * radius * radius / under**3 < held:
        raise OutsideValidity(
            f"a step of {height / MM:.0f} mm does not throw the wheel at {forward:.1f} m/s: it is held on the edge. "
            "Such a step alone does not use all of the travel; ask for a higher one"
        )
    return thrown * (slope + math.tan(lean))

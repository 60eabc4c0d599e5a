"""Tyres: how far a tyre gives under the load on its wheel.

Question answered   How stiff is an inflated tyre on flat ground, and how much lower does its axle stand?
Method              A torus that keeps its shape is cut by the ground; the patch carries the inflation pressure.
Axes and signs      Drop is positive where the axle comes down.
Left out            Stiffness of the casing and the sidewall, which adds some per cent, more at low pressure;
                    bottoming on the rim; inserts.
Theory              docs/theory/tyre.md
"""

import math

from bikewright.errors import OutsideValidity
from bikewright.units import BAR, MM


def torus_rate(pressure: float, radius: float, section_radius: float) -> float:
    """Vertical rate of a tyre on flat ground.

    Parameters
    ----------
    pressure : float
        Gauge pressure. [Pa]
    radius : float
        Outer radius of the tyre. [m]
    section_radius : float
        Half of its section width. [m]

    Returns
    -------
    float
        Force for each metre of drop. [N/m]

    Raises
    ------
    OutsideValidity
        If one of them is not above nought.

    Notes
    -----
    A plane that cuts a torus by a small drop d leaves an ellipse with the half-axes sqrt(2 R d) and sqrt(2 r d), so the
    force is ``2 pi p sqrt(R r) d``: derived here; no published value of a whole tyre was found to agree with it.
    """
    if not (pressure > 0.0 and radius > 0.0 and section_radius > 0.0):
        raise OutsideValidity(
            f"a tyre of {radius / MM:.0f} mm radius and {2 * section_radius / MM:.0f} mm width at "
            f"{pressure / BAR:.2f} bar has no stiffness; give numbers above nought"
        )
    return 2.0 * math.pi * pressure * math.sqrt(radius * section_radius)

"""Gearing: the sizes of chainrings and sprockets, and what a gear does.

Question answered   How large is a sprocket of so many teeth? How far and how fast does a gear take the bike, and
                    how hard does the chain pull?
Method              A roller chain lies on its sprocket as a polygon whose sides are one pitch long; teeth meet one by
                    one; moments at the crank axle balance.
Axes and signs      None: sizes only.
Left out            Wear, tooth shapes of single makers, slip of the tyre, losses of the chain, the unevenness of a
                    polygon.
Theory              docs/theory/gearing.md
"""

import math

from bikewright.physics.plane import Number
from bikewright.units import INCH, MM

CHAIN_PITCH = 0.5 * INCH
"""Pitch of a bicycle chain [m]. ISO 9633 (from memory)."""

ROLLER_DIAMETER = 7.75 * MM
"""Roller of a bicycle chain [m]. ISO 9633 (from memory)."""


def pitch_radius(teeth: int) -> float:
    """Radius of the circle through the chain's pin centres.

    Parameters
    ----------
    teeth : int
        Number of teeth. [-]

    Returns
    -------
    float
        Pitch radius. [m]

    Notes
    -----
    ``p / (2 sin(pi/N))``: the chain's links are chords of the pitch circle.
    """
    return CHAIN_PITCH / (2.0 * math.sin(math.pi / teeth))


def tip_radius(teeth: int) -> float:
    """Radius over the tips of the teeth, at the most.

    Parameters
    ----------
    teeth : int
        Number of teeth. [-]

    Returns
    -------
    float
        Tip radius. [m]

    Notes
    -----
    Largest tip diameter ``d + 1.25 p - d1`` of ISO 606 (from memory), with pitch diameter d and roller diameter d1.
    """
    return pitch_radius(teeth) + 0.5 * (1.25 * CHAIN_PITCH - ROLLER_DIAMETER)


def development(ring_teeth: Number, cog_teeth: Number, rolling_circumference: Number) -> Number:
    """Way of the bike for one turn of the crank.

    Parameters
    ----------
    ring_teeth, cog_teeth : int or array
        Teeth of the chainring and of the cog. [-]
    rolling_circumference : float or array
        Way of the rear wheel for one turn of it: 2 pi times its rolling radius. [m]

    Returns
    -------
    float or array
        Development. [m]
    """
    return rolling_circumference * ring_teeth / cog_teeth


def speed_at_cadence(way_per_turn: Number, cadence: Number) -> Number:
    """Speed at which a cadence drives the bike.

    Parameters
    ----------
    way_per_turn : float or array
        From `development`. [m]
    cadence : float or array
        Angular speed of the crank. [rad/s]

    Returns
    -------
    float or array
        Speed. [m/s]
    """
    return way_per_turn * cadence / (2.0 * math.pi)


def chain_tension(pedal_force: Number, crank_length: Number, ring_radius: Number) -> Number:
    """Pull of the chain under a force square to the crank.

    Parameters
    ----------
    pedal_force : float or array
        Force on the pedal, square to the crank. [N]
    crank_length : float or array
        Crank axle to pedal axle. [m]
    ring_radius : float or array
        Pitch radius of the chainring. [m]

    Returns
    -------
    float or array
        Tension of the pulling run. [N]
    """
    return pedal_force * crank_length / ring_radius

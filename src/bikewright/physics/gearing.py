"""Gearing: the sizes of chainrings and sprockets.

Question answered   How large is a sprocket of so many teeth?
Method              A roller chain lies on its sprocket as a polygon whose sides are one pitch long.
Axes and signs      None: radii only.
Left out            Wear, and tooth shapes of single makers.
Theory              docs/theory/gearing.md
"""

import math

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

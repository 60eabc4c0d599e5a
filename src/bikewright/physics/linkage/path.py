"""The path of the wheel axle: its angle and its centre of curvature.

Question answered   Which way does the axle go, and about which point does it curve?
Method              Exact first and second derivatives of the axle's place.
Axes and signs      Angle from the vertical, positive where the axle moves rearwards (-x) as it rises. Curvature
                    positive where the path bends to the left of its own direction: rising, towards -x.
Left out            Anything of the chain or the brake.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.linkage.curve import sealed
from bikewright.physics.linkage.motion import Motion

Floats = NDArray[np.float64]

STRAIGHTEST = 1e-9
"""Curvature [1/m] below which a path has no centre: a radius of a million kilometres."""


@dataclass(frozen=True, eq=False, slots=True)
class AxlePath:
    """Path of the axle, one row for each position."""

    place: Floats
    """Axle (n, 2). [m]"""
    angle: Floats
    """Direction from the vertical, positive rearwards (n,). [rad]"""
    curvature: Floats
    """Signed curvature (n,). [1/m]"""
    radius: Floats
    """Radius of curvature, positive (n,); NaN where `reason` says so. [m]"""
    centre: Floats
    """Centre of curvature (n, 2); NaN where `reason` says so. [m]"""
    reason: tuple[str, ...]
    """One text for each position, empty where there is a centre."""


def path_angle(motion: Motion) -> Floats:
    """Direction of the axle's path from the vertical.

    Parameters
    ----------
    motion : Motion
        From `solve_motion`.

    Returns
    -------
    ndarray, shape (n,)
        Positive rearwards. [rad]
    """
    velocity = motion.axle_velocity
    return sealed(np.arctan2(-velocity[:, 0], velocity[:, 1]))


def axle_path(motion: Motion) -> AxlePath:
    r"""Angle and curvature of the axle's path.

    Parameters
    ----------
    motion : Motion
        From `solve_motion`.

    Returns
    -------
    AxlePath

    Notes
    -----
    :math:`\kappa = (\dot x\ddot z - \dot z\ddot x)/(\dot x^2+\dot z^2)^{3/2}`; the centre is :math:`P + n/\kappa` with
    n the unit normal to the left of the direction of motion.
    """
    velocity, bend = motion.axle_velocity, motion.axle_acceleration
    speed = np.hypot(velocity[:, 0], velocity[:, 1])
    curvature = (velocity[:, 0] * bend[:, 1] - velocity[:, 1] * bend[:, 0]) / (speed * speed * speed)
    bent = np.abs(curvature) > STRAIGHTEST
    signed = np.full(len(speed), np.nan)
    np.divide(1.0, curvature, out=signed, where=bent)
    normal = np.empty((len(speed), 2))
    normal[:, 0], normal[:, 1] = -velocity[:, 1], velocity[:, 0]
    return AxlePath(
        place=motion.axle,
        angle=path_angle(motion),
        curvature=sealed(curvature),
        radius=sealed(np.abs(signed)),
        centre=sealed(motion.axle + normal * (signed / speed)[:, None]),
        reason=("",) * len(bent) if bent.all() else tuple("" if one else "the path is straight there" for one in bent),
    )

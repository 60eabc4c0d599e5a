"""Stroke: how far hip and knee go over a turn of the cranks, and how near the knee comes to the bar.

Question answered   Seated, how closed does the hip get at the top of the stroke, how open at the bottom, and what room
                    is left between knee and bar?
Method              The thigh is placed by the cosine rule at evenly spaced crank angles; a parabola through the extreme
                    sample and its neighbours gives the extreme between them.
Axes and signs      Those of the pose. The hip angle is between trunk and thigh: 180 degrees is a straight body.
Left out            Ankling, rocking hips, the knee's own thickness and how far it is turned out.
Theory              docs/theory/stroke.md
"""

import math
from dataclasses import dataclass

import numpy as np

from bikewright.physics.body import Body
from bikewright.physics.figure import Figure, Pose
from bikewright.physics.plane import Point

SAMPLES = 180
"""Crank angles that are looked at: the parabola between two of them is right to 0.001 degree."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """Extremes over a turn of the cranks."""

    hip_least: float
    """Between trunk and thigh, thigh highest [rad]."""
    hip_most: float
    """Thigh lowest [rad]."""
    knee_to_bar: float | None
    """Knee joint to the line from the bar's clamp to the middle of the grip, in the side view; None without a bar
    [m]."""


def stroke(body: Body, pose: Pose, bar_centre: Point | None = None) -> Stroke:
    """Hip and knee over a turn of the cranks.

    Parameters
    ----------
    body : Body
        The rider. [m]
    pose : Pose
        Any pose of a turn: hips, shoulder, feet on opposed pedals. [m]
    bar_centre : tuple of float, optional
        Centre of the bar in the stem, in the axes of the pose. [m]

    Returns
    -------
    Stroke
        Extremes. [rad, m]

    Notes
    -----
    The foot keeps its attitude, so that the ankle goes round a circle of the crank's length about a point beside the
    bottom bracket. The thigh is led from the line hip to ankle by the angle that the three sides of the leg give.
    """
    (ax, az), (bx, bz) = pose.pedals
    crank = 0.5 * math.hypot(ax - bx, az - bz)
    centre = 0.5 * (pose.ankles[0][0] + pose.ankles[1][0]), 0.5 * (pose.ankles[0][1] + pose.ankles[1][1])
    turn = np.linspace(0.0, 2.0 * math.pi, SAMPLES, endpoint=False)
    hx, hz = pose.hip
    dx = centre[0] + crank * np.cos(turn) - hx
    dz = centre[1] + crank * np.sin(turn) - hz
    away = np.hypot(dx, dz)
    thigh, shank = body.thigh.length, body.shank.length
    led = np.arccos(np.clip((thigh**2 + away**2 - shank**2) / (2.0 * thigh * away), -1.0, 1.0))
    direction = np.arctan2(dz, dx) + led  # the knee is ahead of the line from hip to ankle
    trunk = math.atan2(pose.shoulder[1] - hz, pose.shoulder[0] - hx)
    between = np.abs(np.mod(trunk - direction + math.pi, 2.0 * math.pi) - math.pi)
    to_bar = None
    if bar_centre is not None:
        knee_x, knee_z = hx + thigh * np.cos(direction), hz + thigh * np.sin(direction)
        to_bar = _least(_to_segment(knee_x, knee_z, bar_centre, pose.hand))
    return Stroke(_least(between), -_least(-between), to_bar)


def bottom_pose(stick: Figure, hip: Point) -> Pose:
    """The seated rider with one leg at the bottom of the stroke, the first of each pair, for whoever draws it.

    Parameters
    ----------
    stick : Figure
        The rider on this bike. [m]
    hip : tuple of float
        In the axes of the contacts. [m]

    Returns
    -------
    Pose
        In the axes of the contacts. [m]
    """
    hx, hz = stick.to_world(hip)
    ax, az = stick.ankle
    share = stick.contacts.crank / math.hypot(ax - hx, az - hz)
    low = (ax - hx) * share, (az - hz) * share
    high = -low[0], -low[1]
    knees = stick.knee((hx, hz), low), stick.knee((hx, hz), high)
    return stick.pose((hx, hz), stick.upper((hx, hz)), knees, (low, high))


def _least(values: np.ndarray) -> float:
    """Least value of a periodic function from even samples."""
    k = int(np.argmin(values))
    before, here, after = float(values[k - 1]), float(values[k]), float(values[(k + 1) % len(values)])
    bend = before - 2.0 * here + after
    return here - 0.125 * (after - before) ** 2 / bend if bend > 0.0 else here


def _to_segment(x: np.ndarray, z: np.ndarray, a: Point, b: Point) -> np.ndarray:
    """Distance of points to the way from a to b."""
    wx, wz = b[0] - a[0], b[1] - a[1]
    square = wx * wx + wz * wz
    share = np.clip(((x - a[0]) * wx + (z - a[1]) * wz) / square, 0.0, 1.0) if square > 0.0 else np.zeros_like(x)
    return np.asarray(np.hypot(x - a[0] - share * wx, z - a[1] - share * wz))

"""A chain of links in a plane: its joints for one place of the hip, the centre of its mass, and where that balances.

World axes, x forward and z up. The chain leads from one fixed point (the hand) over elbow, shoulder, trunk and hip to
two pedals opposite to each other about the origin. Two links meet by the cosine rule on one side of a line.

Row (float64): the numbers named below; an arm is the straight line from shoulder to hand.

Theory: docs/theory/figure.md, docs/theory/posture.md, docs/theory/kernels.md
"""

import math

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.kernels.linkage_group import NOT_SETTLED, OK
from bikewright.physics.kernels.root import AS_NEAR, NOUGHT, STEPS_MAX, narrowed

Floats = NDArray[np.float64]

LEFT, RIGHT = 1.0, -1.0
"""Sides of a line, looking along it."""

(HAND_X, HAND_Z, TRUNK, NECK, HEAD, UPPER_ARM, FOREARM, THIGH, SHANK, ANKLE_X, ANKLE_Z) = range(11)
"""Hand, lengths of the links, and the ankle from its pedal."""
(ARM, FARTHEST, OPEN_X, OPEN_Z, LEAST_X, LEAST_Z) = range(11, 17)
"""The arm while the elbow holds its angle; the longest way from hip to hand with it; the trunk along and across the arm
while the shoulder is opened as far as it may be; the trunk forward and up while it leans as little as it may."""
(OF_SHOULDER, OF_ELBOW, OF_HAND, OF_HIP, OF_KNEE, OF_HEAD, OF_NECK, REST_X, REST_Z) = range(17, 26)
"""Share of all mass that each joint stands for (a knee: each of the two; the neck: foot of the head), and the moment of
feet and ankles, over all mass."""
ROW = 26

AHEAD, BEHIND = 13, 14
"""Statuses beside those of `linkage_group`: the centre of mass stays ahead of its target, or behind it."""

SIGNATURES = {
    "upper": "UniTuple(f8, 8)(f8[::1], f8, f8)",
    "balanced": "Tuple((i8, f8, f8, f8))(f8[::1], f8, f8, f8, f8, f8)",
    "turned_cranks": "UniTuple(f8, 2)(f8[::1], f8, f8, f8, i8)",
}


def corner(
    start_x: float, start_z: float, end_x: float, end_z: float, first: float, second: float, side: float
) -> tuple[float, float]:
    """Joint of two links that lead from one point to another; on the line where the links cannot meet."""
    dx, dz = end_x - start_x, end_z - start_z
    square = dx * dx + dz * dz
    if square == 0.0:
        return start_x, start_z
    along = 0.5 * (1.0 + (first * first - second * second) / square)
    aside = side * math.sqrt(max(first * first / square - along * along, 0.0))
    return start_x + along * dx - aside * dz, start_z + along * dz + aside * dx


def upper(row: Floats, hip_x: float, hip_z: float) -> tuple[float, float, float, float, float, float, float, float]:
    """Shoulder, elbow, foot and top of the head for one place of the hip.

    The elbow holds its angle. Where that would open the shoulder past its limit w, the arm gets as long as the triangle
    with the trunk T and the distance d asks: T cos w + sqrt(d^2 - T^2 sin^2 w). Where it would lean the trunk back past
    its limit, the trunk stays at the limit and the arm gets shorter. The neck goes on along the trunk, the head is
    raised to half the trunk's lean.
    """
    hand_x, hand_z, trunk, arm = float(row[HAND_X]), float(row[HAND_Z]), float(row[TRUNK]), float(row[ARM])
    dx, dz = hand_x - hip_x, hand_z - hip_z
    away, farthest = dx * dx + dz * dz, float(row[FARTHEST])
    if away > farthest * farthest:
        across = float(row[OPEN_Z])
        arm = float(row[OPEN_X]) + math.sqrt(away - across * across)
    sx, sz = corner(hip_x, hip_z, hand_x, hand_z, trunk, arm, LEFT)
    if sx - hip_x < float(row[LEAST_X]):
        sx, sz = hip_x + float(row[LEAST_X]), hip_z + float(row[LEAST_Z])
    ux, uz, neck = (sx - hip_x) / trunk, (sz - hip_z) / trunk, float(row[NECK])
    neck_x, neck_z = sx + neck * ux, sz + neck * uz
    raised = float(row[HEAD]) / math.hypot(ux, uz + 1.0)
    ex, ez = corner(sx, sz, hand_x, hand_z, float(row[UPPER_ARM]), float(row[FOREARM]), RIGHT)
    return sx, sz, ex, ez, neck_x, neck_z, neck_x + raised * ux, neck_z + raised * (uz + 1.0)


def knee(row: Floats, hip_x: float, hip_z: float, pedal_x: float, pedal_z: float) -> tuple[float, float]:
    """Knee of the leg on a pedal."""
    ankle_x, ankle_z = pedal_x + float(row[ANKLE_X]), pedal_z + float(row[ANKLE_Z])
    return corner(hip_x, hip_z, ankle_x, ankle_z, float(row[THIGH]), float(row[SHANK]), LEFT)


def centre(
    row: Floats,
    hip_x: float,
    hip_z: float,
    above: tuple[float, float, float, float, float, float, float, float],
    knees_x: float,
    knees_z: float,
) -> tuple[float, float]:
    """Centre of mass from the hip, what `upper` gives, and the sum of both knees."""
    sx, sz, ex, ez, neck_x, neck_z, head_x, head_z = above
    shoulder, elbow, hand = float(row[OF_SHOULDER]), float(row[OF_ELBOW]), float(row[OF_HAND])
    hip, knees, head, neck = float(row[OF_HIP]), float(row[OF_KNEE]), float(row[OF_HEAD]), float(row[OF_NECK])
    x = shoulder * sx + elbow * ex + hand * float(row[HAND_X]) + hip * hip_x + knees * knees_x
    z = shoulder * sz + elbow * ez + hand * float(row[HAND_Z]) + hip * hip_z + knees * knees_z
    x += head * head_x + neck * neck_x + float(row[REST_X])
    z += head * head_z + neck * neck_z + float(row[REST_Z])
    return x, z


def centre_on_arc(row: Floats, radius: float, crank: float, angle: float) -> tuple[float, float]:
    """Centre of mass with level cranks and the hip on an arc about the middle between both ankles."""
    hip_x, hip_z = float(row[ANKLE_X]) + radius * math.cos(angle), float(row[ANKLE_Z]) + radius * math.sin(angle)
    front_x, front_z = knee(row, hip_x, hip_z, crank, 0.0)
    rear_x, rear_z = knee(row, hip_x, hip_z, -crank, 0.0)
    return centre(row, hip_x, hip_z, upper(row, hip_x, hip_z), front_x + rear_x, front_z + rear_z)


def balanced(
    row: Floats, radius: float, crank: float, target: float, foremost: float, backmost: float
) -> tuple[int, float, float, float]:
    """A status, the angle on the arc at which the centre of mass is at the target, and that centre.

    Where it stays behind the target even foremost, or ahead of it even backmost, the centre is that of there.
    """
    if not foremost < backmost:
        return AHEAD, foremost, 0.0, 0.0
    x, z = centre_on_arc(row, radius, crank, foremost)
    if x < target:
        return BEHIND, foremost, x, z
    a, fa = foremost, x - target
    x, z = centre_on_arc(row, radius, crank, backmost)
    if x > target:
        return AHEAD, backmost, x, z
    b, fb = backmost, x - target
    for _ in range(STEPS_MAX):
        if fa == fb:
            return OK, b, x, z
        c = b - fb * (b - a) / (fb - fa)
        x, z = centre_on_arc(row, radius, crank, c)
        if abs(x - target) < NOUGHT or abs(c - b) < AS_NEAR:
            return OK, c, x, z
        a, fa, b, fb = narrowed(a, fa, b, fb, c, x - target)
    return NOT_SETTLED, b, x, z


def turned_cranks(row: Floats, hip_x: float, hip_z: float, crank: float, n: int) -> tuple[float, float]:
    """Mean centre of mass over n even angles of the cranks: it is linear in the joints, so that of the mean knee."""
    knees_x = knees_z = 0.0
    for k in range(n):
        turn = 2.0 * math.pi * k / n
        x, z = knee(row, hip_x, hip_z, crank * math.cos(turn), crank * math.sin(turn))
        knees_x += x
        knees_z += z
    return centre(row, hip_x, hip_z, upper(row, hip_x, hip_z), 2.0 * knees_x / n, 2.0 * knees_z / n)

"""A body on two circles that carries a chain of links, which stays plumb in the world while the body turns under it.

Where the chain's mass is in the body's axes follows from how the body is turned, and how it is turned from where the
mass is: a fixed point around that of `rest`, so that one call settles both. Nothing here raises: a status tells what
stopped.

Row (float64): the numbers named below; `links` is a row of `figure` with any hand, `body` and the rest are those of
`rest`.

Theory: docs/theory/rest.md, docs/theory/posture.md, docs/theory/kernels.md
"""

import math

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.kernels.figure import (
    ANKLE_X,
    ANKLE_Z,
    HAND_X,
    HAND_Z,
    balanced,
    turned_cranks,
)
from bikewright.physics.kernels.fixed_point import DEPTH, next_guess
from bikewright.physics.kernels.linkage_group import NOT_SETTLED, OK
from bikewright.physics.kernels.plane import tangent_below
from bikewright.physics.kernels.rest import (
    CENTRE_X,
    CENTRE_Z,
    COSINE,
    FRONT_RADIUS,
    GUIDE_X,
    GUIDE_Z,
    MASS,
    NO_GROUND,
    REAR_RADIUS,
    ROUNDING,
    SETTLED,
    SINE,
    UP_X,
    UP_Z,
    settle,
)

Floats = NDArray[np.float64]

NO_PLACE = 15
"""Status beside those of `rest`: the chain cannot be closed or balanced."""

(BODY_MASS, BODY_X, BODY_Z, LINKS_MASS, SLOPE) = range(5)
"""Mass and centre of the body alone, mass that follows the chain, and the turn of the line that all stands on."""
(ORIGIN_X, ORIGIN_Z, AT_HAND_X, AT_HAND_Z, CRANK, LONGEST, REACH) = range(5, 12)
"""Middle of the pedals and hand in the body's axes, crank, longest leg, longest way from hip to hand."""
(RADIUS, SHARE) = range(12, 14)
"""Balanced on the feet: from ankles to hip, and the share of the hand's lead at which the centre of mass is."""
(SEAT_X, SEAT_Z, HIP_X, HIP_Z, SHORTEST, TURNS) = range(14, 20)
"""Seated: the seat in the body's axes, from it to the hip in the world, shortest leg, places of the cranks to be meaned
over; nought turns: balanced on the feet."""
ROW = 20

SIGNATURES = {
    "settle_plumb": (
        "Tuple((i8, i8, f8))(f8[::1], f8[:,::1], f8[::1], f8[::1], f8[::1], f8[::1], i8, i8, f8[::1], f8[::1])"
    ),
}


def settle_plumb(
    body: Floats,
    path: Floats,
    front: Floats,
    rear: Floats,
    links: Floats,
    row: Floats,
    most: int,
    most_turns: int,
    at: Floats,
    out: Floats,
) -> tuple[int, int, float]:
    """Where body and chain come to rest together. Returns a status, the steps of `settle`, and the body's turn."""
    put, wanted, guess = np.empty((DEPTH, 1)), np.empty((DEPTH, 1)), np.empty(1)
    turned = links.copy()
    standing, asked = turn_before(body, path, at)
    if not standing:
        return NO_GROUND, 0, 0.0
    status, mass, x, z = all_mass(links, row, asked, turned)
    if status != OK:
        return status, 0, asked
    steps, kept, before = 0, 0, np.inf
    for _ in range(most_turns):
        body[MASS], body[CENTRE_X], body[CENTRE_Z] = mass, x, z
        status, taken = settle(body, path, front, rear, most, at, out)
        steps += taken
        if status != OK:
            return status, steps, asked
        turn = math.atan2(float(out[SINE]), float(out[COSINE]))
        off = abs(turn - asked)
        if off > SETTLED and not (off < ROUNDING and off >= before):
            if kept == DEPTH:
                kept -= 1
                put[:kept] = put[1:].copy()
                wanted[:kept] = wanted[1:].copy()
            put[kept, 0], wanted[kept, 0] = asked, turn
            kept += 1
            next_guess(put[:kept], wanted[:kept], guess)
            asked = float(guess[0])
            used_x, used_z = x, z
            status, mass, x, z = all_mass(links, row, asked, turned)
            if status != OK:
                return status, steps, asked
            # Masses that stay where they are need no second look.
            if abs(asked - turn) > ROUNDING or math.hypot(x - used_x, z - used_z) > SETTLED:
                before = off
                continue
        return OK, steps, turn
    return NOT_SETTLED, steps, asked


def turn_before(body: Floats, path: Floats, at: Floats) -> tuple[bool, float]:
    """Turn of the body where the search begins, the rear centre at a place of the path near by; False: no such turn."""
    place = 0
    while place < path.shape[1] - 1 and path[0, place + 1] < at[1]:
        place += 1
    dx = float(body[GUIDE_X]) + float(at[0]) * float(body[UP_X]) - float(path[1, place])
    dz = float(body[GUIDE_Z]) + float(at[0]) * float(body[UP_Z]) - float(path[2, place])
    rear, front = float(body[REAR_RADIUS]) - float(at[2]), float(body[FRONT_RADIUS]) - float(at[3])
    square, both = dx * dx + dz * dz, rear + front
    if not (dx > 0.0 and rear > 0.0 and front > 0.0 and both * both < square < np.inf):
        return False, 0.0
    sine, cosine, _run = tangent_below(dx, dz, rear, front)
    return True, math.atan2(sine, cosine)


def all_mass(links: Floats, row: Floats, turn: float, turned: Floats) -> tuple[int, float, float, float]:
    """A status, all mass and its centre in the body's axes, for a turn of the body."""
    angle = -turn - float(row[SLOPE])
    up_x, up_z = -math.sin(angle), math.cos(angle)
    status, x, z = plumb_centre(links, row, up_x, up_z, turned)
    own, other = float(row[BODY_MASS]), float(row[LINKS_MASS])
    mass = own + other
    x, z = own * float(row[BODY_X]) + other * x, own * float(row[BODY_Z]) + other * z
    return status, mass, x / mass, z / mass


def plumb_centre(links: Floats, row: Floats, up_x: float, up_z: float, turned: Floats) -> tuple[int, float, float]:
    """A status and the centre of the chain's mass in the body's axes, for a direction up there; `turned` is written."""
    ox, oz, crank = float(row[ORIGIN_X]), float(row[ORIGIN_Z]), float(row[CRANK])
    hx, hz = float(row[AT_HAND_X]) - ox, float(row[AT_HAND_Z]) - oz
    hand_x, hand_z = hx * up_z - hz * up_x, hx * up_x + hz * up_z
    turned[HAND_X], turned[HAND_Z] = hand_x, hand_z
    ankle_x, ankle_z = float(links[ANKLE_X]), float(links[ANKLE_Z])
    longest, reach = float(row[LONGEST]), float(row[REACH])
    if row[TURNS] > 0.0:
        sx, sz = float(row[SEAT_X]) - ox, float(row[SEAT_Z]) - oz
        hip_x = sx * up_z - sz * up_x + float(row[HIP_X])
        hip_z = sx * up_x + sz * up_z + float(row[HIP_Z])
        middle = math.hypot(hip_x - ankle_x, hip_z - ankle_z)
        if middle + crank > longest or abs(middle - crank) < float(row[SHORTEST]):
            return NO_PLACE, 0.0, 0.0
        if math.hypot(hip_x - hand_x, hip_z - hand_z) > reach:
            return NO_PLACE, 0.0, 0.0
        x, z = turned_cranks(turned, hip_x, hip_z, crank, int(row[TURNS]))
    else:
        radius = float(row[RADIUS])
        room = longest * longest - radius * radius - crank * crank
        if room <= 0.0:
            return NO_PLACE, 0.0, 0.0
        foremost = math.acos(min(1.0, room / (2.0 * radius * crank))) if crank > 0.0 else 0.0
        backmost = min(math.pi - foremost, arms_end(hand_x - ankle_x, hand_z - ankle_z, radius, reach))
        status, _angle, x, z = balanced(turned, radius, crank, float(row[SHARE]) * hand_x, foremost, backmost)
        if status != OK:
            return NO_PLACE, 0.0, 0.0
    return OK, ox + x * up_z + z * up_x, oz - x * up_x + z * up_z


def arms_end(x: float, z: float, radius: float, reach: float) -> float:
    """Angle of an arc of this radius beyond which a place is out of reach; -pi where it always is."""
    away = math.hypot(x, z)
    if away > radius + reach:
        return -math.pi
    cosine = 1.0
    if away > 0.0:
        cosine = (radius * radius + away * away - reach * reach) / (2.0 * radius * away)
    return math.atan2(z, x) + math.acos(max(-1.0, min(1.0, cosine)))

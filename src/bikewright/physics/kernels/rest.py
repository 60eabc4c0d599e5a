"""Rest of a body on two circles: how far each of them gives way under the body's own pull, by one fixed point.

A body stands with two circles on a line. The rear circle's centre is led along a path by a spring, the front one's
along a straight guide by another; both circles may give by a rate of their own. Mass sits on the body and on each
centre, and every mass is pulled alike. Nothing here raises: a status tells what stopped.

Tables (float64)
    body (20,)    the numbers named below
    path (8, n)   stroke, centre x and z, first and second derivatives of both, turn of the held circle per stroke;
                  n = 1 for a centre that does not move
    at (4,)       travel along the guide, stroke along the path, drop of the rear and of the front circle
    out (20,)     the numbers named below

Theory: docs/theory/rest.md, docs/theory/kernels.md
"""

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.kernels.fixed_point import DEPTH, next_guess
from bikewright.physics.kernels.linkage_group import NOT_SETTLED, OK
from bikewright.physics.kernels.plane import tangent_below
from bikewright.physics.kernels.spring import state, stroke_of

Floats = NDArray[np.float64]

NO_GROUND, NO_STROKE = 11, 12
"""Statuses beside those of `linkage_group`: the circles do not stand on one line, a spring has no stroke to give."""

(GUIDE_X, GUIDE_Z, UP_X, UP_Z, TRAVEL, FRONT_MASS, FRONT_RADIUS, FRONT_RATE, FRONT_HELD) = range(9)
"""Front: centre before any travel, way of the guide, full travel, mass on the centre, radius, rate (nought: it does not
give), force that helps the spring."""
(STROKE, REAR_MASS, REAR_RADIUS, REAR_RATE, REAR_HELD) = range(9, 14)
"""Rear: full stroke and the same."""
(MASS, CENTRE_X, CENTRE_Z, PULL_X, PULL_Z, FRONT_SHARE) = range(14, 20)
"""The body's mass and centre, the pull on each unit of mass along and square to the line, and the front circle's share
of what the line has to push back."""

(REAR_X, REAR_Z, FRONT_X, FRONT_Z, SINE, COSINE, RISE, CONTACT, LENGTH) = range(9)
"""Both centres in the body's axes; turn of the body, height of its origin, rear contact, distance of the contacts."""
(AHEAD, HEIGHT, FRONT_LOAD, REAR_LOAD, FRONT_PUSH, REAR_PUSH) = range(9, 15)
"""Centre of all mass from the rear contact; forces of the line on the circles, square to it and along it."""
(GUIDE_FORCE, GUIDE_SIDE, PATH_FORCE, FRONT_OVER, REAR_OVER) = range(15, 20)
"""What the front spring has to carry, the force across the guide, what the rear spring has to carry; how much more
than the springs do."""
OUT = 20

SETTLED, ROUNDING = 1e-12, 1e-10
"""Largest move in the last step of a settled answer; below the second one it need not shrink any further [m]."""

SIGNATURES = {
    "settle": "Tuple((i8, i8))(f8[::1], f8[:,::1], f8[::1], f8[::1], i8, f8[::1], f8[::1])",
}


def settle(
    body: Floats, path: Floats, front: Floats, rear: Floats, most: int, at: Floats, out: Floats
) -> tuple[int, int]:
    """Where all comes to rest, from `at` on, which is written. Returns a status and the steps taken.

    `front` and `rear` are springs for `spring`; one of no parts holds its place. Each step asks every spring for the
    stroke of the force that it has to carry; the last steps are mixed into the next.
    """
    put, wanted = np.empty((DEPTH, 4)), np.empty((DEPTH, 4))
    want, guess = np.empty(4), np.empty(4)
    full = (float(body[TRAVEL]), float(body[STROKE]))
    rates = (float(body[REAR_RATE]), float(body[FRONT_RATE]))
    kept, before = 0, np.inf
    for i in range(2):
        at[i] = min(max(float(at[i]), 0.0), full[i])
    for step in range(1, most + 1):
        if not balance(body, path, at, out):
            return NO_GROUND, step
        want[:] = at
        carried = (float(out[GUIDE_FORCE]) - float(body[FRONT_HELD]), float(out[PATH_FORCE]) - float(body[REAR_HELD]))
        for i in range(2):
            spring = front if i == 0 else rear
            if spring[0] > 0.0:
                if not full[i] > 0.0:
                    return NO_STROKE, step
                status, want[i] = stroke_of(spring, carried[i], full[i], float(at[i]))
                if status != OK:
                    return NO_STROKE, step
        loads = (float(out[REAR_LOAD]), float(out[FRONT_LOAD]))
        for i in range(2):
            if rates[i] > 0.0:
                want[2 + i] = loads[i] / rates[i]
        move = 0.0
        for i in range(4):
            move = max(move, abs(float(want[i]) - float(at[i])))
        # Rounding keeps the last moves from reaching nought: two moves alike at that size are the end.
        if move <= SETTLED or (move < ROUNDING and move >= before):
            out[FRONT_OVER] = carried[0] - state(front, float(at[0]))[0]
            out[REAR_OVER] = carried[1] - state(rear, float(at[1]))[0]
            return OK, step
        if move > 2.0 * before:
            kept = 0  # a kink, such as a stop, lies between the steps: they tell nothing about here
        if kept == DEPTH:
            kept -= 1
            put[:kept] = put[1:].copy()
            wanted[:kept] = wanted[1:].copy()
        put[kept] = at
        wanted[kept] = want
        kept += 1
        next_guess(put[:kept], wanted[:kept], guess)
        at[:] = guess
        for i in range(2):
            at[i] = min(max(float(at[i]), 0.0), full[i])
        before = move
    return NOT_SETTLED, most


def balance(body: Floats, path: Floats, at: Floats, out: Floats) -> bool:
    """All forces for given travels and drops; False where the circles do not stand on a line.

    On the way to rest a circle may be pulled down: the loads are signed.
    """
    ax, az, vx, vz, turn = on_path(path, float(at[1]))
    up_x, up_z = float(body[UP_X]), float(body[UP_Z])
    fx, fz = float(body[GUIDE_X]) + float(at[0]) * up_x, float(body[GUIDE_Z]) + float(at[0]) * up_z
    rear_radius, front_radius = float(body[REAR_RADIUS]) - float(at[2]), float(body[FRONT_RADIUS]) - float(at[3])
    dx, dz, both = fx - ax, fz - az, rear_radius + front_radius
    square = dx * dx + dz * dz
    if not (dx > 0.0 and rear_radius > 0.0 and front_radius > 0.0 and both * both < square < np.inf):
        return False
    sine, cosine, length = tangent_below(dx, dz, rear_radius, front_radius)
    contact = ax * cosine - az * sine
    rise = rear_radius - (ax * sine + az * cosine)
    # Centre of all mass, from the rear contact and from the line.
    mass, rear_mass, front_mass = float(body[MASS]), float(body[REAR_MASS]), float(body[FRONT_MASS])
    whole = mass + rear_mass + front_mass
    mx = (mass * float(body[CENTRE_X]) + rear_mass * ax + front_mass * fx) / whole
    mz = (mass * float(body[CENTRE_Z]) + rear_mass * az + front_mass * fz) / whole
    ahead, height = mx * cosine - mz * sine - contact, mx * sine + mz * cosine + rise
    pull_x, pull_z = float(body[PULL_X]), float(body[PULL_Z])
    front_load = whole * (height * pull_x - ahead * pull_z) / length
    rear_load = -whole * pull_z - front_load
    push = -whole * pull_x
    front_push = float(body[FRONT_SHARE]) * push
    rear_push = push - front_push
    # The front mass is balanced along its guide, the rear spring by virtual work of all that its stroke moves.
    way_x, way_z = up_x * cosine - up_z * sine, up_x * sine + up_z * cosine
    along, across = front_push + front_mass * pull_x, front_load + front_mass * pull_z
    speed_x, speed_z = vx * cosine - vz * sine, vx * sine + vz * cosine
    work = rear_load * speed_z + rear_push * (speed_x + rear_radius * turn)
    out[REAR_X], out[REAR_Z], out[FRONT_X], out[FRONT_Z] = ax, az, fx, fz
    out[SINE], out[COSINE], out[RISE], out[CONTACT], out[LENGTH] = sine, cosine, rise, contact, length
    out[AHEAD], out[HEIGHT] = ahead, height
    out[FRONT_LOAD], out[REAR_LOAD], out[FRONT_PUSH], out[REAR_PUSH] = front_load, rear_load, front_push, rear_push
    out[GUIDE_FORCE] = along * way_x + across * way_z
    out[GUIDE_SIDE] = along * way_z - across * way_x
    out[PATH_FORCE] = work + rear_mass * (pull_x * speed_x + pull_z * speed_z)
    return True


def on_path(path: Floats, stroke: float) -> tuple[float, float, float, float, float]:
    """Centre, its velocity and the held circle's turn at a stroke: cubic between exact places with exact slopes."""
    n = path.shape[1]
    if n == 1:
        return float(path[1, 0]), float(path[2, 0]), float(path[3, 0]), float(path[4, 0]), float(path[7, 0])
    low, high = 0, n - 1
    while high - low > 1:
        middle = (low + high) // 2
        if stroke < path[0, middle]:
            high = middle
        else:
            low = middle
    width = float(path[0, low + 1]) - float(path[0, low])
    t = (stroke - float(path[0, low])) / width
    return (
        cubic(t, width, path[1], path[3], low),
        cubic(t, width, path[2], path[4], low),
        cubic(t, width, path[3], path[5], low),
        cubic(t, width, path[4], path[6], low),
        through_six(path[0], path[7], low, stroke),
    )


def cubic(t: float, width: float, values: Floats, slopes: Floats, part: int) -> float:
    """Hermite's cubic on one part of a curve, t from 0 to 1."""
    u = 1.0 - t
    ends = u * u * (1.0 + 2.0 * t) * float(values[part]) + t * t * (3.0 - 2.0 * t) * float(values[part + 1])
    return ends + width * t * u * (u * float(slopes[part]) - t * float(slopes[part + 1]))


def through_six(places: Floats, values: Floats, part: int, at: float) -> float:
    """A polynomial through the six nearest values, for one whose slopes are not known."""
    n = places.shape[0]
    first = min(max(part - 2, 0), max(n - 6, 0))
    last = min(first + 6, n)
    found = 0.0
    for i in range(first, last):
        term = float(values[i])
        if term != 0.0:
            for j in range(first, last):
                if j != i:
                    term *= (at - float(places[j])) / (float(places[i]) - float(places[j]))
        found += term
    return found

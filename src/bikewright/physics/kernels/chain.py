"""The taut run over wheels in a row, for many positions and many sets of radii, in one pass.

For a straight piece with the line of centres D, the signed radii q and p of its wheels, and e = q - p: its length is
sqrt(D^2 - e^2), it leaves D by the angle whose sine is e/|D|, and the run as a whole grows by the sum of the changes of
length less e times the turn of the piece. The same as `bikewright.physics.chain` says with whole arrays.

Tables
    places, rates (n, k + 1, 2)   centres of the wheels in the order of the chain, and their derivatives
    sides (k + 1,)                1 where the chain passes over a wheel, -1 where it passes under
    radii (m, k + 1)              of the wheels, for each set
    direction (n, m, k, 2), straight (n, m, k), wrap (n, m, k - 1), growth (n, m), rate (n, m)   written

Theory: docs/theory/chain.md, docs/theory/kernels.md
"""

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SIGNATURES = {
    "taut": (
        "b1(f8[:,:,::1], f8[:,:,::1], f8[::1], f8[:,::1], f8, f8[:,:,:,::1], f8[:,:,::1], f8[:,:,::1], f8[:,::1], "
        "f8[:,::1])"
    ),
}


def taut(
    places: Floats,
    rates: Floats,
    sides: Floats,
    radii: Floats,
    bare: float,
    direction: Floats,
    straight: Floats,
    wrap: Floats,
    growth: Floats,
    rate: Floats,
) -> bool:
    """All runs; False where two wheels overlap, or the chain wraps a wheel by less than minus `bare`."""
    pieces = places.shape[1] - 1
    for i in range(places.shape[0]):
        for g in range(radii.shape[0]):
            longer = faster = 0.0
            for k in range(pieces):
                back, ahead = float(radii[g, k]), float(radii[g, k + 1])
                dx = float(places[i, k + 1, 0]) - float(places[i, k, 0])
                dz = float(places[i, k + 1, 1]) - float(places[i, k, 1])
                square, touching = dx * dx + dz * dz, back + ahead
                if not (back > 0.0 and ahead > 0.0 and square > touching * touching):
                    return False
                step = float(sides[k]) * back - float(sides[k + 1]) * ahead
                length, inverse = math.sqrt(square - step * step), 1.0 / square
                ux, uz = (length * dx + step * dz) * inverse, (length * dz - step * dx) * inverse
                direction[i, g, k, 0], direction[i, g, k, 1], straight[i, g, k] = ux, uz, length
                if k > 0:
                    px, pz = float(direction[i, g, k - 1, 0]), float(direction[i, g, k - 1, 1])
                    lies = float(sides[k]) * math.atan2(ux * pz - uz * px, ux * px + uz * pz)
                    if lies < -bare:
                        return False
                    wrap[i, g, k - 1] = lies
                fx, fz = float(direction[0, g, k, 0]), float(direction[0, g, k, 1])
                turn = math.atan2(fx * uz - fz * ux, fx * ux + fz * uz)
                grown = length - float(straight[0, g, k]) - step * turn
                parting_x = float(rates[i, k + 1, 0]) - float(rates[i, k, 0])
                parting_z = float(rates[i, k + 1, 1]) - float(rates[i, k, 1])
                parted = ux * parting_x + uz * parting_z
                longer = longer + grown if k > 0 else grown
                faster = faster + parted if k > 0 else parted
            growth[i, g], rate[i, g] = longer, faster
    return True

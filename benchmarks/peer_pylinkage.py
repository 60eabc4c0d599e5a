"""pylinkage's batch: an Ensemble of drawings of one linkage, simulated by its compiled solver.

Its drivers are cranks, so the rocker is turned in even steps from the drawing instead of the shock being shortened.
That is a little less work, for there is no circle to meet for the shock; the number of positions is the same. The
check takes the shock lengths that its places imply and asks our kernel for the same places.
"""

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks.designs import POSITIONS, Designs
from benchmarks.measure import Side
from benchmarks.peer_check import check_places
from bikewright.physics.linkage.layout import SHOCK

NEAR = 1e-9
"""Largest difference from our places [m]."""
TURN = math.radians(-0.15)
"""Of the rocker between two positions [rad]: closes the shock."""

ROUTES: dict[str, tuple[tuple[str, ...], ...]] = {
    "four-bar": (
        ("crank", "shock eye", "rocker pivot"),
        ("fixed", "upper", "rocker pivot", "shock eye"),
        ("meet", "dropout", "main pivot", "upper"),
        ("fixed", "axle", "dropout", "upper"),
        ("fixed", "brake", "dropout", "upper"),
    ),
    "six-bar": (
        ("crank", "shock eye", "second pivot"),
        ("fixed", "push end", "second pivot", "shock eye"),
        ("meet", "push start", "rocker pivot", "push end"),
        ("fixed", "upper", "rocker pivot", "push start"),
        ("meet", "dropout", "main pivot", "upper"),
        ("fixed", "axle", "dropout", "upper"),
    ),
}
"""How each pin is placed, in this order, from pins before it."""


def _template(drawn: Designs, places: NDArray[np.float64]) -> tuple[Any, list[int]]:
    """A linkage of the library and the pin of each of its joints."""
    from pylinkage.actuators import Crank
    from pylinkage.components import Ground
    from pylinkage.dyads import FixedDyad, RRRDyad
    from pylinkage.simulation import Linkage

    layout = drawn.layout
    at = {pin.name: (float(x), float(z)) for pin, (x, z) in zip(layout.pins, places, strict=True)}
    route = ROUTES[drawn.name]
    parts: dict[str, Any] = {}
    for name in dict.fromkeys(base for _, _, *bases in route for base in bases):
        if all(name != placed for _, placed, *_ in route):
            parts[name] = Ground(*at[name], name=name)
    for kind, name, *bases in route:
        first = bases[0]
        (x, z), (px, pz) = at[name], at[first]
        far = math.hypot(x - px, z - pz)
        ends = [getattr(parts[base], "output", parts[base]) for base in bases]
        if kind == "crank":
            turned = math.atan2(z - pz, x - px)
            parts[name] = Crank(ends[0], far, angular_velocity=TURN, initial_angle=turned, name=name)
        elif kind == "fixed":
            qx, qz = at[bases[1]]
            angle = math.atan2(z - pz, x - px) - math.atan2(qz - pz, qx - px)
            parts[name] = FixedDyad(*ends, distance=far, angle=angle, name=name)
        else:
            qx, qz = at[bases[1]]
            parts[name] = RRRDyad(*ends, far, math.hypot(x - qx, z - qz), x=x, y=z, name=name)
    return Linkage(list(parts.values())), [layout.pin(name) for name in parts]


def _dimensions(drawn: Designs) -> NDArray[np.float64]:
    """Dimensions of every drawing, in the library's order (n_designs, n)."""
    columns = []
    place = {pin.name: drawn.places[:, i] for i, pin in enumerate(drawn.layout.pins)}

    def apart(a: str, b: str) -> NDArray[np.float64]:
        return np.asarray(np.hypot(*(place[a] - place[b]).T))

    def direction(a: str, b: str) -> NDArray[np.float64]:
        return np.asarray(np.arctan2(*(place[b] - place[a]).T[::-1]))

    for kind, name, *bases in ROUTES[drawn.name]:
        columns.append(apart(bases[0], name))
        if kind == "fixed":
            columns.append(direction(bases[0], name) - direction(bases[0], bases[1]))
        elif kind == "meet":
            columns.append(apart(bases[1], name))
    return np.column_stack(columns)


def side(drawn: Designs) -> Side:
    """Three hundred drawings in one batch."""
    from pylinkage.population import Ensemble

    count = 300
    few = drawn.first(count)
    linkage, pins = _template(few, few.places[0])
    ensemble = Ensemble(linkage, _dimensions(few), few.places[:, pins])
    if ensemble.n_constraints != len(list(linkage.get_constraints())):
        raise RuntimeError("pylinkage orders its dimensions otherwise than this benchmark thinks.")
    found = ensemble.simulate(POSITIONS, store=False)
    checked = few.first(20)
    places = np.broadcast_to(checked.places[:, None], (20, POSITIONS, *checked.places.shape[1:])).copy()
    places[:, :, pins] = found[:20]
    a, b = few.layout.pins_of[SHOCK]
    lengths = np.hypot(*np.moveaxis(places[:, :, a] - places[:, :, b], -1, 0))
    if not np.all(np.diff(lengths, axis=1) < 0.0):
        raise RuntimeError("pylinkage's rocker does not close the shock all the way; the comparison makes no sense.")
    check_places(checked, places, "pylinkage", NEAR, lengths)

    def run() -> object:
        return ensemble.simulate(POSITIONS, store=False)

    return Side("pylinkage batch", "1 thread", "places only", count * POSITIONS, run)

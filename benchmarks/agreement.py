"""Places and leverage against an independent solver: bodies with two coordinates and an angle, met by CasADi's Newton.

Nothing of the project's formulation is in it: unknowns are where each body is and how it is turned, equations are
that pins coincide and that the shock has its length; CasADi differentiates the equations itself, solves them from the
position before, and gives the leverage by differentiating its own solver.
"""

import numpy as np
from numpy.typing import NDArray

from benchmarks.designs import POSITIONS, Designs, designs
from benchmarks.measure import Row, no_more
from bikewright.physics.linkage.layout import FRAME, SHOCK
from bikewright.physics.linkage.run import sweep

Floats = NDArray[np.float64]

COUNT = 20


def independent(drawn: Designs, d: int) -> tuple[Floats, Floats]:
    """Axle's places (101, 2) [m] and leverage ratios (101,) of one drawing."""
    import casadi

    layout, places = drawn.layout, drawn.places[d]
    bodies = [body for body, pins in layout.pins_of.items() if body not in (FRAME, SHOCK) and len(pins) > 1]
    states = {body: casadi.SX.sym(body, 3) for body in bodies}
    length = casadi.SX.sym("length")

    def where(pin: int, body: str) -> "casadi.SX":
        """A pin as a body carries it; bodies turn about their first drawn pin."""
        if body == FRAME:
            return casadi.DM(places[pin])
        x, z, angle = casadi.vertsplit(states[body])
        dx, dz = places[pin] - places[layout.pins_of[body][0]]
        cosine, sine = casadi.cos(angle), casadi.sin(angle)
        return casadi.vertcat(x + cosine * dx - sine * dz, z + sine * dx + cosine * dz)

    def carrier(pin: int) -> str:
        return next(body for body in layout.pins[pin].joins if body == FRAME or body in states)

    equations = []
    for pin, place in enumerate(layout.pins):
        on = [body for body in place.joins if body == FRAME or body in states]
        equations += [where(pin, on[0]) - where(pin, other) for other in on[1:]]
    a, b = layout.pins_of[SHOCK]
    gap = where(a, carrier(a)) - where(b, carrier(b))
    equations.append(casadi.dot(gap, gap) - length**2)
    unknown = casadi.vertcat(*states.values())
    problem = {"x": unknown, "p": length, "g": casadi.vertcat(*equations)}
    solver = casadi.rootfinder("solver", "newton", problem, {"abstol": 1e-16, "abstolStep": 1e-15, "max_iter": 30})
    guess = casadi.MX.sym("guess", unknown.numel())
    at = casadi.MX.sym("at")
    axle = casadi.Function("axle", [unknown], [where(layout.axle, carrier(layout.axle))])
    root = solver(x0=guess, p=at)["x"]
    place = axle(root)
    solved = casadi.Function("solved", [guess, at], [root, place, -casadi.jacobian(place[1], at)])
    now = np.concatenate([[*places[layout.pins_of[body][0]], 0.0] for body in bodies])
    found, ratios = np.empty((POSITIONS, 2)), np.empty(POSITIONS)
    for i, shock in enumerate(drawn.lengths):
        now, spot, ratio = solved(now, shock)
        found[i], ratios[i] = np.asarray(spot).ravel(), float(ratio)
    return found, ratios


def measure(rounds: int) -> list[Row]:
    """Largest difference over some drawings of each layout; nothing is timed, so rounds do not matter."""
    rows = []
    for name in ("four-bar", "six-bar"):
        drawn = designs(name, COUNT)
        raw = sweep(drawn.plan, drawn.marks, drawn.lengths, order=1)
        far, off = 0.0, 0.0
        for d in range(COUNT):
            places, ratios = independent(drawn, d)
            far = max(far, float(np.max(np.abs(raw.points[d, 0, drawn.layout.axle].T - places))))
            off = max(off, float(np.max(np.abs(raw.points[d, 1, drawn.layout.axle, 1] / ratios - 1.0))))
        note = f"CasADi's Newton on bodies' places and angles, {COUNT} drawings at {POSITIONS} positions"
        rows.append(no_more(f"{name}: axle against CasADi", far, 1e-12, "m", note))
        rows.append(no_more(f"{name}: leverage against CasADi", off, 1e-12, "", note))
    return rows

"""exudyn's static solver, one load step for each position: point masses, distance constraints, the shock prescribed.

Verbose output and files are off, and places are read in the step's own callback, which is needed for the shock anyway.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks.designs import POSITIONS, Designs
from benchmarks.measure import Side
from benchmarks.peer_check import check_places
from bikewright.physics.linkage.layout import FRAME, SHOCK

NEAR = 1e-6
"""Largest difference from our places [m]: its tolerance is on residuals."""


def sweep(drawn: Designs, d: int) -> NDArray[np.float64]:
    """Places (n, n_pins, 2) of one drawing, the model made anew: a study of many drawings must do that too."""
    import exudyn
    from exudyn import itemInterface as items

    container = exudyn.SystemContainer()
    model = container.AddSystem()
    places, layout = drawn.places[d], drawn.layout
    still = set(layout.pins_of[FRAME])
    free = [pin for pin in range(len(layout.pins)) if pin not in still]
    ground = model.AddObject(items.ObjectGround())
    marker: dict[int, Any] = {}
    for pin, (x, z) in enumerate(places):
        if pin in still:
            spot = items.MarkerBodyPosition(bodyNumber=ground, localPosition=[x, z, 0.0])
        else:
            node = model.AddNode(items.NodePoint2D(referenceCoordinates=[x, z]))
            model.AddObject(items.MassPoint2D(physicsMass=1.0, nodeNumber=node))
            spot = items.MarkerNodePosition(nodeNumber=node)
        marker[pin] = model.AddMarker(spot)

    def tie(p: int, q: int, length: float) -> Any:
        return model.AddObject(items.DistanceConstraint(markerNumbers=[marker[p], marker[q]], distance=length))

    for body, pins in layout.pins_of.items():
        if body in (FRAME, SHOCK) or len(pins) < 2:
            continue
        for p, q in [(pins[0], pins[1])] + [(base, other) for other in pins[2:] for base in pins[:2]]:
            tie(p, q, float(np.hypot(*(places[p] - places[q]))))
    a, b = layout.pins_of[SHOCK]
    shock = tie(a, b, float(drawn.lengths[0]))
    model.Assemble()
    found = np.empty((POSITIONS, len(free), 2))
    steps = iter(range(POSITIONS))

    def before_step(_: Any, time: float) -> bool:
        step = next(steps)
        if step > 0:
            found[step - 1] = model.systemData.GetODE2Coordinates().reshape(-1, 2)
        model.SetObjectParameter(shock, "distance", drawn.lengths[step])
        return True

    model.SetPreStepUserFunction(before_step)
    settings = exudyn.SimulationSettings()
    settings.staticSolver.numberOfLoadSteps = POSITIONS
    settings.staticSolver.adaptiveStep = False
    settings.staticSolver.verboseMode = 0
    settings.staticSolver.newton.relativeTolerance = 1e-10
    settings.staticSolver.newton.useModifiedNewton = False
    settings.solutionSettings.writeSolutionToFile = False
    settings.solutionSettings.sensorsWritePeriod = 1e9
    settings.parallel.numberOfThreads = 1
    model.SolveStatic(settings)
    found[-1] = model.systemData.GetODE2Coordinates().reshape(-1, 2)
    answer = np.broadcast_to(places, (POSITIONS, *places.shape)).copy()
    answer[:, free] += found
    return answer


def side(drawn: Designs) -> Side:
    """A handful of drawings, one after another."""
    count = 3
    check_places(drawn, np.stack([sweep(drawn, d) for d in range(count)]), "exudyn", NEAR)

    def run() -> object:
        return [sweep(drawn, d) for d in range(count)]

    return Side("exudyn static", "1 thread", "places of all pins", count * POSITIONS, run)

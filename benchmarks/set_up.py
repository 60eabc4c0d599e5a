"""How long set-up and fit take: one rider on one build, whom five sizes cover, and a table of 16 masses on 20 builds.

Kernels are loaded and the build was answered before, as in a window that is open; the rider is another one each time,
so that nothing of the rest is remembered. The table begins with an empty memory of results. Timed is the processor time
of the thread, which on a quiet machine is the time that passes.
"""

import time
from itertools import cycle, islice
from pathlib import Path
from statistics import median

from benchmarks.measure import Row, at_most
from bikewright.model.build import Build, remade
from bikewright.model.files import read_bike
from bikewright.model.tune import BaseTune
from bikewright.physics.kernels import compile as kernels
from bikewright.studies.coverage import by_size, coverage
from bikewright.studies.evaluate import GRAPH
from bikewright.studies.setup import setup_for
from bikewright.studies.tune_table import tune_table

REPEATS = 10
"""Set-ups in one round; the median of them counts."""
BUILDS = 20
"""In the table."""
EXAMPLE = Path(__file__).parents[1] / "examples" / "quillback"


def measure(rounds: int) -> list[Row]:
    """One rider with and without a coil, and the table."""
    kernels.load()
    bike = read_bike(EXAMPLE)
    base = BaseTune(name="stock", build=bike.build("stock"))
    rows = []
    for name in ("stock", "coil"):
        build = bike.build(name)
        setup_for(build, bike.stock, base)
        found = []
        for turn in range(rounds):
            riders = [_of_mass(build, 70.0 + 0.1 * turn + 0.01 * each) for each in range(REPEATS)]
            times = []
            for one in riders:
                start = time.thread_time()
                setup_for(one, bike.stock, base)
                times.append(time.thread_time() - start)
            found.append(median(times))
        note = "springs, bands, tyres and clicks against a base; kernels loaded, one thread"
        rows.append(at_most(f"quillback, {name}: set-up of one rider", found, 0.020, note))
    sizes, covered = by_size(bike.build("stock")), []
    for _ in range(rounds):
        start = time.thread_time()
        coverage(sizes)
        covered.append(time.thread_time() - start)
    rows.append(at_most("quillback: coverage of five sizes", covered, 1.5, "men and women; kernels loaded, one thread"))
    builds = [_lowered(build, number) for number, build in enumerate(_twenty(bike.builds))]
    tables = []
    for _ in range(rounds):
        GRAPH.store.clear()
        start = time.thread_time()
        tune_table(builds, bike.stock, base)
        tables.append(time.thread_time() - start)
    rows.append(at_most("base tune table, 16 masses on 20 builds", tables, 4.0, "from nothing, one thread"))
    return rows


def _twenty(builds: tuple[Build, ...]) -> list[Build]:
    ridden = [build for build in builds if build.rider is not None]
    return list(islice(cycle(ridden), BUILDS))


def _lowered(build: Build, number: int) -> Build:
    """A build that differs from all others, so that none is answered from memory."""
    return build.changed(settings=remade(build.settings, {"stem_spacers_mm": 5.0 + number}))


def _of_mass(build: Build, mass_kg: float) -> Build:
    rider = build.rider
    if rider is None:
        raise RuntimeError(f"build {build.name} has no rider to set up.")
    return build.changed(rider=remade(rider, {"mass_kg": mass_kg}))

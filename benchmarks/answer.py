"""How long one build's answer takes: the groups linkage and geometry, from nothing and after one pivot was moved.

Kernels are loaded and modules imported, as in the running program. "From nothing" starts from an empty memory of
results. "After one moved pivot" starts from the build before; every time a pivot is moved by another hundredth of a
millimetre, and making the changed build counts. Timed is the processor time of the thread, which on a quiet machine is
the time that passes.
"""

import time
from pathlib import Path
from statistics import median

from benchmarks.measure import Row, at_most
from bikewright.model.addresses import apply, read_change
from bikewright.model.build import Build
from bikewright.model.files import read_bike
from bikewright.model.stock import Stock
from bikewright.physics.kernels import compile as kernels
from bikewright.studies.evaluate import GRAPH, evaluate
from tests.sample_bike import BUILD

REPEATS = 20
"""Answers in one round; the median of them counts."""
EXAMPLE = Path(__file__).parents[1] / "examples" / "quillback"


def ask(build: Build) -> None:
    """Both groups."""
    answer = evaluate(build)
    answer.group("linkage")
    answer.group("geometry", "table")


def from_nothing(build: Build) -> float:
    """Seconds of one answer."""
    GRAPH.store.clear()
    start = time.thread_time()
    ask(build)
    return time.thread_time() - start


def after_a_move(build: Build, pin: str, turn: int) -> float:
    """Seconds of a change and its answer; the build before is remembered."""
    ask(build)
    start = time.thread_time()
    ask(apply(build, read_change(f"linkage.pins.{pin}.z_mm+={0.01 * (turn + 1):.2f}"), Stock()))
    return time.thread_time() - start


def measure(rounds: int) -> list[Row]:
    """Both questions for the tests' single pivot and for the demo bike."""
    kernels.load()
    rows = []
    for name, build in (("sample", BUILD), ("quillback", read_bike(EXAMPLE).build())):
        linkage = build.frame.linkage
        if linkage is None:
            raise RuntimeError(f"{name} has no linkage to measure.")
        # A pin that is neither on the shock nor the axle keeps the drawn shock length.
        pin = next(pin.name for pin in linkage.pins if "shock" not in pin.joins and "wheel" not in pin.joins)
        ask(build)
        nothing, moved, turn = [], [], 0
        for _ in range(rounds):
            nothing.append(median(from_nothing(build) for _ in range(REPEATS)))
            turns = range(turn, turn + REPEATS)
            turn += REPEATS
            moved.append(median(after_a_move(build, pin, each) for each in turns))
        note = "groups linkage and geometry, 101 positions, kernels loaded, one thread"
        rows.append(at_most(f"{name}: answer from nothing", nothing, 0.003, note))
        rows.append(at_most(f"{name}: answer after one moved pivot", moved, 0.001, f"{note}; '{pin}' moved"))
    return rows

"""How the whole leverage curve answers to every pivot: the project's adjoint against JAX in forward mode.

Both give d(leverage)/d(drawn x, z of a pivot) at 101 positions. JAX is given the pins as its inputs, each moved on all
its bodies at once, so that it carries as few derivatives as can be. Ours gives one for each body on a pin, twice as
many, because a chip moves a pin on one body only; their sums must be JAX's.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from queue import SimpleQueue
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks.designs import POSITIONS, Designs, designs
from benchmarks.formulation import leverage
from benchmarks.measure import Row, Side, no_more, quickest, race
from bikewright.physics.kernels import compile as kernels
from bikewright.physics.linkage.run import ALL_PINS

Floats = NDArray[np.float64]

COUNT = 1920
BLOCK = 24
"""Drawings in one call of our kernel: their derivatives stay in the cache."""
OUTPUTS = "d(leverage)/d(every pin)"


def _pins(drawn: Designs) -> list[int]:
    """Pin of each mark."""
    return [drawn.layout.pin(pin) for pin, _ in drawn.layout.marks]


class Worker:
    """Sweep and adjoint of up to `BLOCK` drawings in memory that is used again, as a study does on each thread."""

    def __init__(self, drawn: Designs) -> None:
        layout = drawn.layout
        self.plan, self.lengths = drawn.plan, drawn.lengths[None].copy()
        self.seeds = np.array([(layout.axle, 1, 1)], dtype=np.int64)
        self.points = np.empty((BLOCK, 2, len(layout.pins), 2, POSITIONS))
        self.margin, self.status = np.empty((BLOCK, POSITIONS)), np.empty((BLOCK, POSITIONS), dtype=np.int64)
        self.culprit = np.empty(BLOCK, dtype=np.int64)
        self.grad = np.empty((BLOCK, 1, len(layout.marks), 2, POSITIONS))
        self.sweep, self.gradient = kernels.fastest("linkage.sweep"), kernels.fastest("linkage_adjoint.gradient")

    def run(self, marks: Floats) -> Floats:
        """Sensitivities (n, n_marks, 2, 101), overwritten by the next call."""
        n, plan = len(marks), self.plan
        points, grad = self.points[:n], self.grad[:n]
        self.sweep(
            *plan.tables, marks, self.lengths, 1, ALL_PINS, points, self.margin[:n], self.status[:n], self.culprit[:n]
        )
        self.gradient(plan.ops, plan.rows, plan.slot, plan.fixed, marks, self.lengths, points, self.seeds, grad)
        return grad[:, 0]


def ours(drawn: Designs) -> Side:
    """Two threads."""
    workers: SimpleQueue[Worker] = SimpleQueue()
    for _ in range(2):
        workers.put(Worker(drawn))
    blocks = [drawn.marks[at : at + BLOCK].copy() for at in range(0, len(drawn.marks), BLOCK)]

    def one(block: Floats) -> float:
        worker = workers.get()
        try:
            return float(worker.run(block)[-1, -1, -1, -1])
        finally:
            workers.put(worker)

    def run() -> object:
        with ThreadPoolExecutor(2) as pool:
            return list(pool.map(one, blocks))

    words = "d(leverage)/d(every pin on each of its bodies), sweep included"
    return Side("bikewright", "2 threads", words, len(drawn.marks) * POSITIONS, run)


def jax_block(drawn: Designs) -> Callable[..., Any]:
    """jit(vmap(jacfwd)) of the same formulation: pins and lengths to (n, 101, n_pins, 2)."""
    import jax

    ratio, pins = leverage(drawn.plan, jax.numpy), np.array(_pins(drawn))
    return jax.jit(jax.vmap(jax.jacfwd(lambda places, lengths: ratio(places[pins], lengths)), in_axes=(0, None)))


def jax_sides(drawn: Designs) -> list[Side]:
    """At several block sizes, with XLA's own threads or called from two of ours."""
    import jax

    run_block, lengths = jax_block(drawn), jax.numpy.asarray(drawn.lengths)
    sides = []
    for size in (6, 24, 120, len(drawn.places)):
        blocks = [jax.numpy.asarray(drawn.places[at : at + size]) for at in range(0, len(drawn.places), size)]

        def own(blocks: list[Any] = blocks) -> object:
            found = None
            for block in blocks:
                found = run_block(block, lengths)
            return jax.block_until_ready(found)

        def two(blocks: list[Any] = blocks) -> object:
            with ThreadPoolExecutor(2) as pool:
                return list(pool.map(lambda block: jax.block_until_ready(run_block(block, lengths)).shape, blocks))

        for words, run in (("its own threads", own), ("2 threads", two)):
            sides.append(
                Side(f"JAX {size} {words}", f"{words}, blocks of {size}", OUTPUTS, len(drawn.places) * POSITIONS, run)
            )
    return sides


def measure(rounds: int) -> list[Row]:
    """Agreement, then the race."""
    kernels.load()
    rows = []
    for name in ("four-bar", "six-bar"):
        drawn = designs(name, COUNT)
        few = drawn.first(BLOCK)
        found = Worker(few).run(few.marks.copy())
        # The marks of a pin follow each other.
        starts = np.searchsorted(_pins(few), np.arange(len(few.layout.pins)))
        mine = np.add.reduceat(found, starts, axis=1).transpose(0, 3, 1, 2)
        theirs = np.asarray(jax_block(few)(few.places, few.lengths))
        worst = float(np.max(np.abs(mine - theirs) / np.max(np.abs(theirs), axis=(1, 2, 3), keepdims=True)))
        rows.append(no_more(f"{name}: sensitivities against JAX", worst, 1e-12, "", "of the largest of the drawing"))
        rows.append(race(f"{name}: sensitivities", ours(drawn), quickest(jax_sides(drawn)), 4.0, rounds))
    return rows

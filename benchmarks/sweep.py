"""Sweeps of many drawings: the project's kernel against array libraries, a linkage library and general solvers.

Array libraries compute every output (places of the pins, leverage ratio, instant centre of the axle's body) for the
same drawings from the same formulation. The others compute places only, which is less work, and are called on one
thread, against two of ours.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np

from benchmarks import peer_exudyn, peer_pylinkage, peer_scipy
from benchmarks.designs import POSITIONS, Designs, designs
from benchmarks.formulation import outputs
from benchmarks.measure import Row, Side, quickest, race
from bikewright.physics.kernels import compile as kernels
from bikewright.physics.linkage.batch import Block, reduce_sweep

COUNT = 6000
"""Drawings in one run of ours and of the array libraries."""
TARGETS = {"NumPy": 8.0, "JAX": 8.0, "pylinkage": 20.0, "exudyn": 2500.0, "scipy": 15000.0}
"""Least ratio to each peer."""
EVERY = "places of all pins, leverage, instant centre"
AGREE = 1e-9
"""Largest difference of any output from a peer's before the race starts [m], [-]."""


def ours(drawn: Designs, workers: int) -> Side:
    """The project's sweep through its public function."""

    def last_ratio(block: Block) -> float:
        return float(block.leverage_ratio[-1, -1])

    def run() -> list[float]:
        return reduce_sweep(drawn.layout, drawn.marks, drawn.lengths, last_ratio, workers=workers)

    return Side(
        f"bikewright, {workers}", _threads(workers), f"{EVERY}, margin and status", len(drawn.marks) * POSITIONS, run
    )


def _threads(count: int) -> str:
    return "1 thread" if count == 1 else f"{count} threads"


def numpy_sides(drawn: Designs) -> list[Side]:
    """Vectorised NumPy in blocks that fit the cache, on one thread and on two."""
    run_block = outputs(drawn.plan, np)
    sides = []
    for size in (20, 50, 200):
        blocks = [drawn.marks[at : at + size] for at in range(0, len(drawn.marks), size)]

        def one(blocks: list[Any] = blocks) -> float:
            return [float(run_block(block, drawn.lengths)[-3][-1, -1]) for block in blocks][-1]

        def two(blocks: list[Any] = blocks) -> float:
            with ThreadPoolExecutor(2) as pool:
                return list(pool.map(lambda block: float(run_block(block, drawn.lengths)[-3][-1, -1]), blocks))[-1]

        for threads, run in ((1, one), (2, two)):
            words = f"{_threads(threads)}, blocks of {size}"
            sides.append(Side(f"NumPy {size} {threads}", words, EVERY, len(drawn.marks) * POSITIONS, run))
    return sides


def jax_sides(drawn: Designs) -> list[Side]:
    """jit(vmap) in double precision, at several block sizes; XLA uses its own threads, or two of ours call it."""
    import jax

    run_block = jax.jit(jax.vmap(outputs(drawn.plan, jax.numpy), in_axes=(0, None)))
    lengths = jax.numpy.asarray(drawn.lengths)
    sides = []
    for size in (50, 200, 500, len(drawn.marks)):
        blocks = [jax.numpy.asarray(drawn.marks[at : at + size]) for at in range(0, len(drawn.marks), size)]

        def own(blocks: list[Any] = blocks) -> object:
            found = None
            for block in blocks:
                found = run_block(block, lengths)
            return jax.block_until_ready(found)

        def two(blocks: list[Any] = blocks) -> object:
            with ThreadPoolExecutor(2) as pool:
                return list(pool.map(lambda block: jax.block_until_ready(run_block(block, lengths))[-3], blocks))[-1]

        for words, run in (("its own threads", own), ("2 threads", two)):
            sides.append(
                Side(f"JAX {size} {words}", f"{words}, blocks of {size}", EVERY, len(drawn.marks) * POSITIONS, run)
            )
    return sides


def check_outputs(drawn: Designs, run_block: Callable[..., list[Any]], who: str) -> None:
    """Stop where a peer's outputs are not ours: a race between two different things says nothing."""
    few = drawn.first(40)
    found = run_block(few.marks, few.lengths)
    still = {int(pin) for pin, _ in drawn.plan.fixed}
    moving = [pin for pin in range(len(drawn.layout.pins)) if pin not in still]

    def compare(block: Block) -> float:
        mine = [block.places[:, pin, axis] for pin in moving for axis in range(2)]
        mine += [block.leverage_ratio, block.instant_centre[:, 0], block.instant_centre[:, 1]]
        part = slice(block.first, block.first + len(block.status))
        # A far centre keeps fewer digits, in both alike.
        return max(
            float(np.max(np.abs(np.asarray(theirs)[part] - values) / np.maximum(1.0, np.abs(values)) ** 2))
            for theirs, values in zip(found, mine, strict=True)
        )

    worst = max(reduce_sweep(few.layout, few.marks, few.lengths, compare))
    if not worst < AGREE:
        raise RuntimeError(f"{who} and bikewright differ by {worst:.1e}; they are not doing the same work.")


def measure(rounds: int) -> list[Row]:
    """All races of this part."""
    import jax

    kernels.load()
    rows = []
    for name in ("four-bar", "six-bar"):
        drawn = designs(name, COUNT)
        check_outputs(drawn, outputs(drawn.plan, np), "NumPy")
        check_outputs(drawn, jax.jit(jax.vmap(outputs(drawn.plan, jax.numpy), in_axes=(0, None))), "JAX")
        two = ours(drawn, 2)
        rows.append(race(f"{name}: every output", two, quickest(numpy_sides(drawn)), TARGETS["NumPy"], rounds))
        rows.append(race(f"{name}: every output", two, quickest(jax_sides(drawn)), TARGETS["JAX"], rounds))
        rows.append(race(f"{name}: sweep", two, peer_pylinkage.side(drawn), TARGETS["pylinkage"], rounds))
        rows.append(race(f"{name}: sweep", two, peer_exudyn.side(drawn), TARGETS["exudyn"], rounds))
        rows.append(race(f"{name}: sweep", two, peer_scipy.side(drawn), TARGETS["scipy"], rounds))
    return rows

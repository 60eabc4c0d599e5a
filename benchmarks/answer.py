"""How long an answer takes: linkage and geometry, every group, all sizes compared, and a screen of the workbench.

Kernels are loaded and modules imported, as in the running program. "From nothing" starts from an empty memory of
results. "After one moved pivot" starts from the build before; every time a pivot is moved by another hundredth of a
millimetre, and making the changed build counts. Timed is the processor time of the thread, which on a quiet machine is
the time that passes.
"""

import shutil
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median

from benchmarks.measure import Row, at_most
from bikewright.interfaces.web.answers import glance
from bikewright.interfaces.web.desk import Desk
from bikewright.interfaces.web.views import Looking
from bikewright.model.addresses import apply, read_change
from bikewright.model.build import Build
from bikewright.model.files import Bike, read_bike
from bikewright.model.stock import Stock
from bikewright.physics.kernels import compile as kernels
from bikewright.studies.compare import compare_sizes
from bikewright.studies.evaluate import GRAPH, evaluate
from tests.sample_bike import BUILD

SPAN = "all groups, five states, 101 positions, twelve gears"
REPEATS = 20
"""Answers in one round; the median of them counts."""
STATES_ASKED = ("unladen", "standing", "climbing", "braking", "cornering")
ADDED = ("eyes", "carried", "joints", "post", "turned bar", "heel", "modes", "damping")
"""Groups that came after the target for all groups was set; told with them and without."""
RIDDEN_ONLY = ("joints",)
"""Groups without an answer where nobody rides."""
RIDDEN = "stock"
"""The demo bike's build with a rider."""
EXAMPLE = Path(__file__).parents[1] / "examples" / "quillback"


def ask(build: Build) -> None:
    """Both groups."""
    answer = evaluate(build)
    answer.group("linkage")
    answer.group("geometry", "table")


def ask_for_all(build: Build, but: tuple[str, ...] = ()) -> None:
    """Every group, in the five states that a rider is asked for first: twelve gears with the demo bike's cassette."""
    answer = evaluate(build)
    for name, group in GRAPH.groups.items():
        if name in but:
            continue
        for state in STATES_ASKED if group.by_state else ("",):
            if state != "unladen" or name not in RIDDEN_ONLY:
                answer.group(name, state)


def ask_for_core(build: Build) -> None:
    """The groups that the target was set for."""
    ask_for_all(build, ADDED)


def from_nothing(build: Build, asked: Callable[[Build], None], _turn: int) -> float:
    """Seconds of one answer."""
    GRAPH.store.clear()
    start = time.thread_time()
    asked(build)
    return time.thread_time() - start


def moved(build: Build, pin: str, turn: int) -> Build:
    """The build with a pin moved by some hundredths of a millimetre."""
    return apply(build, read_change(moving(pin, turn)), Stock())


def moving(pin: str, turn: int) -> str:
    """A change that was not asked for before."""
    return f"linkage.pins.{pin}.z_mm+={0.01 * (turn + 1):.2f}"


def after_a_move(build: Build, pin: str, asked: Callable[[Build], None], turn: int) -> float:
    """Seconds of a change and its answer; the build before is remembered."""
    asked(build)
    start = time.thread_time()
    asked(moved(build, pin, turn))
    return time.thread_time() - start


def of_all_sizes(bike: Bike, build: Build, pin: str, turn: int) -> float:
    """Seconds of a change and the comparison of all sizes; the sizes before are remembered, as in the workbench."""
    compare_sizes(build, moved(build, pin, 2 * turn), bike.brief)
    start = time.thread_time()
    compare_sizes(build, moved(build, pin, 2 * turn + 1), bike.brief)
    return time.thread_time() - start


def of_a_screen(desk: Desk, pin: str, turn: int) -> float:
    """Seconds from a tried move to the text of its screen with three curves, as the workbench's server sends it."""
    told: list[str] = []
    looking = Looking(build=RIDDEN, state="standing", curves=("leverage_ratio", "anti_squat_pct", "kickback_deg"))
    for n in (2 * turn, 2 * turn + 1):
        start = time.thread_time()
        glance(desk, n, looking, (moving(pin, n),), lambda kind, text: told.append(kind), forms=False)
        spent = time.thread_time() - start
    if told != ["screen", "screen"]:
        raise RuntimeError(f"the workbench did not send two screens but {told}")
    return spent


def rounds_of(measured: Callable[[int], float], rounds: int, repeats: int = REPEATS) -> list[float]:
    """The median of each round; every timing has a number of its own."""
    measured(rounds * repeats)
    return [median(measured(turn * repeats + each) for each in range(repeats)) for turn in range(rounds)]


def free_pin(build: Build) -> str:
    """A pin that is neither on the shock nor the axle keeps the drawn shock length."""
    if build.frame.linkage is None:
        raise RuntimeError(f"{build.name} has no linkage to measure.")
    pins = build.frame.linkage.pins
    return next(pin.name for pin in pins if "shock" not in pin.joins and "wheel" not in pin.joins)


def measure(rounds: int) -> list[Row]:
    """Two groups for the tests' single pivot and the demo bike; every group, all sizes and a screen for the latter."""
    kernels.load()
    bike = read_bike(EXAMPLE)
    quillback = bike.build()
    ridden = next(build for build in bike.builds if build.name == RIDDEN)
    rows = []
    cases = [
        ("sample", BUILD, ask, "", 0.003, 0.001, "groups linkage and geometry, 101 positions"),
        ("quillback", quillback, ask, "", 0.003, 0.001, "groups linkage and geometry, 101 positions"),
        ("quillback", ridden, ask_for_core, "all ", 0.010, 0.003, f"{SPAN}; without {', '.join(ADDED)}"),
        ("quillback", ridden, ask_for_all, "all and added ", 0.010, 0.003, SPAN),
    ]
    for name, build, asked, what, most, most_moved, groups in cases:
        pin, note = free_pin(build), f"{groups}, kernels loaded, one thread"
        nothing = rounds_of(partial(from_nothing, build, asked), rounds)
        after = rounds_of(partial(after_a_move, build, pin, asked), rounds)
        rows.append(at_most(f"{name}: {what}answer from nothing", nothing, most, note))
        rows.append(at_most(f"{name}: {what}answer after one moved pivot", after, most_moved, f"{note}; '{pin}' moved"))
    pin = free_pin(ridden)
    sizes = rounds_of(partial(of_all_sizes, bike, ridden, pin), rounds, 5)
    rows.append(at_most("quillback: all five sizes compared", sizes, 0.060, f"warm, one thread; '{pin}' moved"))
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(EXAMPLE, folder, dirs_exist_ok=True)
        desk = Desk(Path(folder))
        screens = rounds_of(partial(of_a_screen, desk, pin), rounds, 5)
        desk.close()
    note = f"state standing, three curves, no consequences; '{pin}' moved"
    rows.append(at_most("quillback: a screen while a pivot is dragged", screens, 0.008, note))
    return rows

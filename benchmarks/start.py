"""How long `bikewright show` takes as a process of its own, and how much memory.

The interpreter, its libraries, the project and the bike are those of this environment; the bike and the project's
byte code are copied to a temporary folder, so that "first time ever" can start without any byte code of the project,
without compiled kernels and without a user's cache. The libraries' byte code is there, as pip leaves it.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import bikewright
from benchmarks.measure import Row, at_most, no_more

EXAMPLE = Path(__file__).parents[1] / "examples" / "quillback"
CODE = "from bikewright.interfaces.cli.main import main; main()"
WATCH = """
import resource, subprocess, sys, time
start = time.perf_counter()
code = subprocess.run(sys.argv[1:], stdout=sys.stderr, stderr=sys.stderr).returncode
print(code, time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0)
"""
"""Run in a small process, because a process counts the memory of the one that started it until it is itself."""
SIZE_LIMIT = 200.0
"""Megabytes resident at the most."""


def run(bike: Path, package: Path, cache: Path) -> tuple[float, float]:
    """Seconds from start to exit, and the most memory that was resident [MB]."""
    environment = {
        **{key: value for key, value in os.environ.items() if not key.startswith(("BIKEWRIGHT", "NUMBA", "PYTHON"))},
        "BIKEWRIGHT_CACHE": str(cache),
        "PYTHONPATH": str(package),
    }
    command = [sys.executable, "-S", "-c", WATCH, sys.executable, "-c", CODE, "show", str(bike)]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    code, seconds, megabytes = done.stdout.split()
    if code != "0" or "leverage" not in done.stderr.lower():
        raise RuntimeError(f"show ended with {code}: {done.stderr[-500:]}")
    return float(seconds), float(megabytes)


def measure(rounds: int) -> list[Row]:
    """Cold start, first start ever, memory."""
    source = Path(str(bikewright.__file__)).parent
    cold, first, size = [], [], 0.0
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        bike = place / "quillback"
        shutil.copytree(EXAMPLE, bike)
        package = place / "lib"
        shutil.copytree(source, package / "bikewright", ignore=shutil.ignore_patterns("__pycache__"))
        for turn in range(rounds):
            for held in package.rglob("__pycache__"):
                shutil.rmtree(held)
            seconds, megabytes = run(bike, package, place / f"cache-{turn}")
            first.append(seconds)
            size = max(size, megabytes)
            seconds, megabytes = run(bike, package, place / f"cache-{turn}")
            cold.append(seconds)
            size = max(size, megabytes)
    note = "`bikewright show` of the demo bike, process start to exit"
    return [
        at_most("show, cold process", cold, 1.0, note),
        at_most("show, first time ever", first, 1.5, f"{note}; no byte code of the project, no caches"),
        no_more("show, memory", size, SIZE_LIMIT, "MB", "largest resident size of any run"),
    ]

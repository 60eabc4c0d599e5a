"""Real processes over one cold cache folder: one compiles and the rest wait, and none goes on without its parent."""

import fcntl
import subprocess
import sys
import time

import pytest

from bikewright.physics.kernels import compile as kernels

PATIENCE = 120.0
"""Seconds; compiling everything takes some 25 on one core."""

ONE_KERNEL = """
import sys, numba
from bikewright.physics.kernels import compile as kernels
one = "linkage_centre.centres"
plain = {one: kernels.plain_kernels()[one]}
kernels.plain_kernels = lambda: plain
print("ready", flush=True)
sys.stdin.readline()
kernels.load()
print(sum(kernels.compiled(one).stats.cache_misses.values()))
"""
"""A process that loads the quickest kernel when it is told to, and says how often it had to compile it."""

WARM = "from bikewright.physics.kernels.compile import warm; warm()"


def held(lock):
    """Whether a process has its turn at the lock."""
    if not lock.exists():
        return False
    with lock.open("ab") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return True
    return False


def until(true):
    end = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_of_several_processes_with_a_cold_cache_one_compiles(monkeypatch, tmp_path):
    monkeypatch.setenv("BIKEWRIGHT_CACHE", str(tmp_path))
    command = [sys.executable, "-c", ONE_KERNEL]
    several = [subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) for _ in range(3)]
    assert [process.stdout.readline() for process in several] == ["ready\n"] * 3
    for process in several:
        process.stdin.write("\n")
        process.stdin.flush()
    told = [process.communicate(timeout=PATIENCE)[0] for process in several]

    assert sorted(told) == ["0\n", "0\n", "1\n"]


@pytest.mark.fault
def test_a_compiler_ends_with_the_process_that_started_it(monkeypatch, tmp_path):
    """Left alone it would hold the lock until all kernels are compiled, and leave them in the folder."""
    monkeypatch.setenv("BIKEWRIGHT_CACHE", str(tmp_path))
    lock = kernels.cache_folder() / "lock"
    with subprocess.Popen([sys.executable, "-c", WARM]) as parent:
        until(lambda: held(lock))
        parent.kill()
    until(lambda: not held(lock))

    assert not list(tmp_path.glob("**/*.nbi"))


RUNTIME = """
from numba.core.runtime import nrtdynmod
from bikewright.physics.kernels import compile as kernels
one = "fixed_point.next_guess"
plain = {one: kernels.plain_kernels()[one]}
kernels.plain_kernels = lambda: plain
make, made = nrtdynmod.create_nrt_module, []
nrtdynmod.create_nrt_module = lambda context: made.append(1) or make(context)
kernels.load()
import numpy as np
out = np.empty(1)
kernels.compiled(one)(np.array([[0.0], [1.0]]), np.array([[1.0], [1.5]]), out)
print(len(made), out[0])
"""
"""A process that says how often it made the compiler's own runtime, and what a kernel answers that takes memory."""


def test_the_compilers_own_runtime_is_made_once_and_anew_where_its_file_is_torn(monkeypatch, tmp_path):
    monkeypatch.setenv("BIKEWRIGHT_CACHE", str(tmp_path))

    def told():
        return subprocess.run([sys.executable, "-c", RUNTIME], capture_output=True, text=True, check=True).stdout

    first, second = told(), told()
    file = kernels.cache_folder() / "runtime"
    file.write_bytes(file.read_bytes()[:200])
    third, fourth = told(), told()

    assert first.startswith("1 ") and third == first
    assert second == fourth == "0 " + first.partition(" ")[2]

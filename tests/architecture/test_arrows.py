"""Imports go one way: errors, units, quantities, sources -> model -> physics -> studies -> reports -> interfaces.

A later room may use an earlier one. `records` stands beside physics: neither knows the other. Physics opens no file.
Reports and interfaces compute nothing, so they do not reach into physics; they may only start the compiler of its
kernels. Each rule is also shown to catch a small source that breaks it.
"""

import ast

import pytest

from tests.architecture.source_tree import MODULES, PACKAGE, RELATIVE, imports_at_start, imports_of, name_of

LEVELS = {
    room: level
    for level, rooms in enumerate(
        (
            ("errors",),
            ("units",),
            ("quantities",),
            ("sources",),
            ("model",),
            ("physics", "records"),
            ("studies",),
            ("reports",),
            ("interfaces", "__main__"),
        )
    )
    for room in rooms
}
STRANGERS = {frozenset({"physics", "records"})}
KERNEL_COMPILER = "bikewright.physics.kernels.compile"

FILE_READERS = {
    "pathlib", "io", "shutil", "tempfile", "glob", "tomllib", "tomlkit", "json", "csv", "sqlite3", "pickle",
    "scipy.io", "importlib.resources",
}  # fmt: skip
FILE_CALLS = {
    "open", "fdopen", "listdir", "scandir", "read_text", "read_bytes", "write_text", "write_bytes",
    "loadtxt", "savetxt", "savez", "genfromtxt", "fromfile", "tofile", "memmap",
}  # fmt: skip
ARRAY_FILE_CALLS = {"np.load", "np.save", "numpy.load", "numpy.save"}
"""By full name, since a load is also what a structure carries."""
MAY_TOUCH_FILES = {KERNEL_COMPILER}
"""It keeps compiled machine code on disk. No number of an answer passes through a file."""

SLOW_TO_IMPORT = {"scipy", "numba", "pandas"}


def room_of(dotted: str) -> str:
    """``physics`` for anything in that room; empty for the package itself."""
    parts = dotted.split(".")
    return parts[1] if len(parts) > 1 else ""


def broken_arrows(module: str, source: str) -> list[str]:
    """Imports of a module that go against the arrows."""
    own, faults = room_of(module), []
    for name in imports_of(ast.parse(source)):
        if name == RELATIVE:
            faults.append(f"{module} imports relatively; write the full name")
        if name.split(".")[0] != "bikewright":
            continue
        used = room_of(name)
        if not used or (used.startswith("__") and used != "__main__"):
            continue  # the package itself and its version
        if used not in LEVELS:
            faults.append(f"{module} imports {name}, which is in no room")
        elif own and LEVELS[used] > LEVELS[own]:
            faults.append(f"{own} may not import {name}: arrows run the other way")
        elif frozenset({own, used}) in STRANGERS:
            faults.append(f"{own} and {used} must not know each other: {module} imports {name}")
        elif own == "" or (used == "physics" and computes_nothing(own) and not may_compile(own, name)):
            faults.append(f"{module} imports {name}; ask a study instead")
    return faults


def computes_nothing(room: str) -> bool:
    """Whether a room only words, draws or asks."""
    return LEVELS.get(room, 0) >= LEVELS["reports"]


def may_compile(room: str, name: str) -> bool:
    """Interfaces may warm up the kernels and look whether they are compiled."""
    return room == "interfaces" and f"{name}.".startswith(f"{KERNEL_COMPILER}.")


def file_access(module: str, source: str) -> list[str]:
    """What a physics module does with files."""
    tree, faults = ast.parse(source), []
    for name in imports_of(tree):
        hit = next((reader for reader in FILE_READERS if f"{name}.".startswith(f"{reader}.")), None)
        if hit:
            faults.append(f"{module} imports {hit}; physics takes arrays, files are read in model and records")
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            called = ast.unparse(node.func)
            if called in ARRAY_FILE_CALLS or called.rpartition(".")[2] in FILE_CALLS:
                faults.append(f"{module}, line {node.lineno}: calls {called}(); physics opens no file")
    return faults


def slow_starts(module: str, source: str) -> list[str]:
    """Slow libraries that a module imports as soon as it is imported itself."""
    return [
        f"{module} imports {name} at its top; import it inside the function that needs it"
        for name in imports_at_start(ast.parse(source))
        if name.split(".")[0] in SLOW_TO_IMPORT
    ]


def numba_in_kernels(module: str, source: str) -> list[str]:
    """Kernels are plain Python functions; one module compiles them."""
    names = [name for name in imports_of(ast.parse(source)) if name.split(".")[0] == "numba"]
    known = module == KERNEL_COMPILER
    return [] if known else [f"{module} imports {name}; kernels are compiled apart" for name in names]


PHYSICS = [path for path in MODULES if room_of(name_of(path)) == "physics"]


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_module_uses_only_earlier_rooms(path):
    assert broken_arrows(name_of(path), path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_module_imports_no_slow_library_at_its_top(path):
    assert slow_starts(name_of(path), path.read_text(encoding="utf-8")) == []


def test_physics_opens_no_file():
    faults = [
        fault
        for path in PHYSICS
        if name_of(path) not in MAY_TOUCH_FILES
        for fault in file_access(name_of(path), path.read_text(encoding="utf-8"))
    ]
    assert faults == []


def test_physics_imports_numba_in_one_module_only():
    assert [f for path in PHYSICS for f in numba_in_kernels(name_of(path), path.read_text(encoding="utf-8"))] == []


def test_every_room_has_its_place():
    rooms = {path.name.removesuffix(".py") for path in PACKAGE.iterdir() if path.suffix == ".py" or path.is_dir()}
    assert rooms - set(LEVELS) <= {"__init__", "py.typed", "__pycache__"}


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("bikewright.units", "from bikewright.quantities import QUANTITIES"),
        ("bikewright.model.build", "from bikewright import physics"),
        ("bikewright.model.build", "import bikewright.physics.plane as plane"),
        ("bikewright.model.build", "import bikewright\nturn = bikewright.physics"),
        ("bikewright.physics.plane", "from bikewright.studies import evaluate"),
        ("bikewright.physics.plane", "from .linkage import plan"),
        ("bikewright.model.build", "from . import parts"),
        ("bikewright.model.build", "def late():\n    from bikewright.reports import tables"),
        ("bikewright.model.build", "import importlib\nimportlib.import_module('bikewright.studies.compare')"),
        ("bikewright.physics.plane", "from bikewright.records import store"),
        ("bikewright.records.store", "from bikewright.physics.plane import turn"),
        ("bikewright.reports.sheet", "from bikewright.physics import plane"),
        ("bikewright.reports.sheet", "from bikewright.physics.kernels.compile import compile_all"),
        ("bikewright.interfaces.cli.main", "from bikewright.physics.plane import turn"),
        ("bikewright.interfaces.cli.main", "from bikewright.physics.kernels.sweep import sweep"),
        ("bikewright.studies.compare", "from bikewright.helpers import anything"),
        ("bikewright", "from bikewright.model.build import Build"),
    ],
)
def test_the_rule_catches_an_arrow_that_runs_backwards(module, source):
    assert len(broken_arrows(module, source)) == 1


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("bikewright.studies.compare", "from bikewright.physics import plane\nfrom bikewright.records import store"),
        ("bikewright.reports.sheet", "from bikewright.studies.compare import Comparison\nfrom bikewright import units"),
        ("bikewright.interfaces.cli.doctor", "from bikewright.physics.kernels import compile"),
        ("bikewright.interfaces.cli.main", "from bikewright import __version__"),
        ("bikewright.reports.sheet", "import bikewright\nversion = bikewright.__version__"),
        ("bikewright.physics.plane", "import numpy as np\nfrom bikewright.physics.linkage import plan"),
    ],
)
def test_the_rule_lets_a_right_arrow_pass(module, source):
    assert broken_arrows(module, source) == []


@pytest.mark.parametrize(
    "source",
    [
        "import pathlib",
        "from pathlib import Path",
        "from scipy import io",
        "import scipy.io as sio",
        "import sqlite3",
        "def late():\n    import tomllib",
        "text = open('curve.csv')",
        "import numpy as np\ncurve = np.loadtxt('curve.csv')",
        "import numpy as np\ncurve = np.load('curve.npy')",
        "import os\nnames = os.listdir('.')",
    ],
)
def test_the_rule_catches_physics_that_reads_a_file(source):
    assert len(file_access("bikewright.physics.plane", source)) == 1


@pytest.mark.parametrize(
    "source",
    [
        "import scipy.optimize",
        "from numba import njit",
        "try:\n    import pandas\nexcept ImportError:\n    pass",
        "class Late:\n    import scipy",
    ],
)
def test_the_rule_catches_a_slow_import_and_lets_a_late_one_pass(source):
    assert len(slow_starts("bikewright.studies.compare", source)) == 1
    late = "def late():\n" + "".join(f"    {line}\n" for line in source.splitlines())
    assert slow_starts("bikewright.studies.compare", late) == []


def test_the_rule_catches_a_kernel_that_knows_its_compiler():
    source = "def sweep():\n    from numba import njit"
    assert len(numba_in_kernels("bikewright.physics.kernels.sweep", source)) == 1
    assert numba_in_kernels(KERNEL_COMPILER, source) == []

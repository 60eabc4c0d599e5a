"""Run the benchmarks and print one table; exit code 1 when a target is missed, 2 when a package is not there.

Usage: python -m benchmarks [--only NAME] [--rounds N] [--json FILE]
"""

import argparse
import importlib
import importlib.util
import json
import os
import sys
from pathlib import Path

from benchmarks.measure import Row, table

PARTS = {
    "sweep": ("jax", "pylinkage", "exudyn", "scipy"),
    "agreement": ("casadi",),
    "gradient": ("jax",),
    "answer": (),
    "set_up": (),
    "start": (),
}
"""Each part, a module of this folder, and the packages that it measures against."""


def main() -> int:
    """Measure what is asked for."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    parser.add_argument("--only", choices=PARTS, action="append", help="a part; may be given again")
    parser.add_argument("--rounds", type=int, default=9, help="timings of each side, 5 or more (default 9)")
    parser.add_argument("--json", type=Path, help="write every figure to this file")
    asked = parser.parse_args()
    if asked.rounds < 5:
        parser.error("--rounds must be 5 or more: the median of fewer says little")
    names = asked.only or list(PARTS)
    missing = [package for name in names for package in PARTS[name] if not _installed(package)]
    if missing:
        print(f"not installed: {', '.join(missing)}; run `make bench`, which sets them up.", file=sys.stderr)
        return 2
    # Before JAX is imported anywhere: double precision, and no search for other devices.
    os.environ.update(JAX_ENABLE_X64="1", JAX_PLATFORMS="cpu")
    rows: list[Row] = []
    for name in names:
        print(f"measuring {name} ...", file=sys.stderr, flush=True)
        rows += importlib.import_module(f"benchmarks.{name}").measure(asked.rounds)
    print(table(rows))
    missed = [row.claim for row in rows if not row.met]
    print(f"\n{len(rows)} targets, {len(missed)} missed{': ' if missed else ''}{'; '.join(missed)}")
    if asked.json:
        asked.json.write_text(json.dumps([row.as_json() for row in rows], indent=1) + "\n", encoding="utf-8")
    return 1 if missed else 0


def _installed(package: str) -> bool:
    return importlib.util.find_spec(package) is not None


if __name__ == "__main__":
    sys.exit(main())

"""Run every check and test against the installed wheel, and end with one line that counts them all.

Question answered   Is this checkout sound?
Method              ruff, mypy and the types of the page; the kernels compiled once, so that two workers do not compile
                    them twice; the tests on two workers; then those that start a browser or break things, one after
                    another.
Left out            Soak tests, unless asked for by ``--soak``, which runs nothing else.

A step that fails does not stop the next one, so that one run tells everything. Whole runs without a test fail.
"""

import argparse
import os
import subprocess
import sys
import time
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
REPORTS = ROOT / ".cache" / "tests"
NO_TESTS = 5
"""pytest's exit code where the selection is empty."""
STEP_LIMIT_S = 1800
"""A hung test must not hang the run for ever."""

CHECKED = [name for name in ("src", "tests", "tools", "docs", "examples", "benchmarks") if (ROOT / name).is_dir()]


@dataclass
class Count:
    """Tests by outcome, over all steps."""

    passed: int = 0
    failed: int = 0
    skipped: int = 0

    def add(self, report: Path) -> None:
        """Add what a JUnit file of pytest counts."""
        for suite in ET.parse(report).getroot().iter("testsuite"):
            total, failures, errors, skipped = (
                int(suite.get(key, 0)) for key in ("tests", "failures", "errors", "skipped")
            )
            self.passed += total - failures - errors - skipped
            self.failed += failures + errors
            self.skipped += skipped

    def __str__(self) -> str:
        skipped = f", {self.skipped} skipped" if self.skipped else ""
        return f"{self.passed} passed, {self.failed} failed{skipped}"


def run(title: str, *command: str) -> int:
    """Run one step, a module or a script, from the root of the checkout and give its exit code."""
    print(f"== {title}", flush=True)
    start = time.monotonic()
    kind = () if command[0].endswith(".py") else ("-m",)
    try:
        code = subprocess.run([sys.executable, *kind, *command], cwd=ROOT, timeout=STEP_LIMIT_S, check=False).returncode
    except subprocess.TimeoutExpired:
        print(f"== {title}: stopped after {STEP_LIMIT_S} s")
        code = 1
    print(f"== {title}: {'ok' if code == 0 else f'exit {code}'}, {time.monotonic() - start:.0f} s", flush=True)
    return code


def has_tests(selection: str) -> bool:
    """Whether any test carries these marks; an empty step is left out, a broken collection is not."""
    command = [sys.executable, "-m", "pytest", "-q", "--collect-only", "-m", selection]
    return subprocess.run(command, cwd=ROOT, capture_output=True, check=False).returncode != NO_TESTS


def run_pytest(title: str, selection: str, count: Count, *options: str) -> int:
    """Run the tests of one selection, and add what they came to."""
    report = REPORTS / f"{title.split()[0]}.xml"
    report.unlink(missing_ok=True)
    code = run(title, "pytest", "-q", "-m", selection, f"--junitxml={report}", *options)
    if report.exists():
        count.add(report)
    return code


def main() -> int:
    """Run the steps; 0 when all are fine and at least one test passed."""
    parser = argparse.ArgumentParser(description="Run every check and test against the installed wheel.")
    parser.add_argument("--soak", action="store_true", help="run the soak tests only")
    soak = parser.parse_args().soak

    # conftest.py: the built wheel is tested, not the sources, and a skipped test is a failed one.
    os.environ["BIKEWRIGHT_WHOLE_RUN"] = "1"
    os.environ.setdefault("HYPOTHESIS_PROFILE", "ci")
    REPORTS.mkdir(parents=True, exist_ok=True)
    count, failed = Count(), []

    def note(title: str, code: int) -> None:
        if code:
            failed.append(title)

    if soak:
        if not has_tests("soak"):
            print("there is no soak test")
            return 0
        note("soak", run_pytest("soak tests", "soak", count))
    else:
        note("ruff", run("ruff", "ruff", "check", *CHECKED))
        note("mypy", run("mypy", "mypy"))
        note("page types", run("page types", "tools/check_page_types.py"))
        note("kernels", run("kernels", "bikewright.physics.kernels.compile"))
        note("tests", run_pytest("tests", "not (browser or fault or soak)", count, "-n", "2", "--dist", "loadfile"))
        serial = "(browser or fault) and not soak"
        if has_tests(serial):
            note("browser and fault tests", run_pytest("serial tests: browser and fault", serial, count))
        else:
            print("== serial tests: there is none")

    if failed:
        print(f"not fine: {', '.join(failed)}")
    print(count, flush=True)
    (REPORTS / "total.txt").write_text(f"{count}\n", encoding="utf-8")
    return int(bool(failed) or count.failed > 0 or count.passed == 0)


if __name__ == "__main__":
    sys.exit(main())

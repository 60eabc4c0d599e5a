"""What holds for every test: real parts are there or the test fails, and property tests repeat exactly in CI.

``make test`` sets BIKEWRIGHT_WHOLE_RUN. Then the installed wheel must be under test, not the source tree, and a
skipped test is a failed one: a part that is missing must not make a run look fine.
"""

import os
import sys
from collections.abc import Generator
from pathlib import Path

import pytest
from hypothesis import settings

WHOLE_RUN = os.environ.get("BIKEWRIGHT_WHOLE_RUN") == "1"
CHROMIUM = Path(os.environ.get("BIKEWRIGHT_CHROMIUM", "/usr/bin/chromium"))
"""The real browser. Nothing is ever downloaded in its place."""

# Timing on a busy two-core machine says nothing about the code, so no example has a deadline.
settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("dev", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci" if os.environ.get("CI") else "dev"))


def pytest_configure(config: pytest.Config) -> None:
    """Refuse a whole run that would test the source tree."""
    if not WHOLE_RUN:
        return
    import bikewright

    if not Path(bikewright.__file__).is_relative_to(sys.prefix):
        raise pytest.UsageError(f"the built wheel is to be tested, but bikewright comes from {bikewright.__file__}")


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Fail a browser test where there is no browser."""
    if item.get_closest_marker("browser") and not os.access(CHROMIUM, os.X_OK):
        pytest.fail(f"{CHROMIUM} is missing; install the packages in requirements/apt.txt", pytrace=False)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """In a whole run, turn a skip into a failure; an expected failure stays what it is."""
    report = yield
    if WHOLE_RUN and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped: {report.longrepr}"
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(
    collector: pytest.Collector,
) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """The same for a whole file that skips itself while it is read."""
    report = yield
    if WHOLE_RUN and report.outcome == "skipped":
        report.outcome = "failed"
        report.longrepr = f"{collector.nodeid} was skipped: {report.longrepr}"
    return report


@pytest.fixture
def chromium() -> Path:
    """Path of the real browser, for Playwright's ``executable_path``."""
    return CHROMIUM

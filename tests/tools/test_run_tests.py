"""The runner of `make test`: nothing passes by being empty, and the last line counts everything."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

RUNNER = Path(__file__).resolve().parents[2] / "tools" / "run_tests.py"
PROJECT = """
[tool.mypy]
files = ["src"]
[tool.ruff.lint]
select = ["F"]
[tool.pytest.ini_options]
markers = ["browser: x", "fault: x", "soak: x"]
"""


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """A small project with the real runner in it."""
    for folder in ("tools", "src", "tests"):
        (tmp_path / folder).mkdir()
    shutil.copy(RUNNER, tmp_path / "tools")
    (tmp_path / "tools" / "check_page_types.py").write_text('"""This project has no page."""\n')
    (tmp_path / "pyproject.toml").write_text(PROJECT)
    (tmp_path / "src" / "one.py").write_text("one: int = 1\n")
    return tmp_path


def run(checkout: Path, *options: str) -> tuple[int, list[str]]:
    """Exit code and printed lines of a run in a project."""
    command = [sys.executable, str(checkout / "tools" / "run_tests.py"), *options]
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("PYTEST", "BIKEWRIGHT_WHOLE"))}
    done = subprocess.run(command, cwd=checkout, env=environment, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout.splitlines()


def write(checkout: Path, body: str, mark: str = "") -> None:
    """The only test of a project."""
    head = f"import pytest\n\n\n@pytest.mark.{mark}\n" if mark else ""
    (checkout / "tests" / "test_it.py").write_text(f"{head}def test_it():\n    {body}\n")


def test_a_run_without_tests_fails(checkout):
    code, lines = run(checkout)

    assert code == 1
    assert lines[-2:] == ["not fine: tests", "0 passed, 0 failed"]


def test_a_sound_run_ends_with_its_count(checkout):
    write(checkout, "assert True")

    code, lines = run(checkout)

    assert (code, lines[-1]) == (0, "1 passed, 0 failed")
    assert "== serial tests: there is none" in lines
    assert (checkout / ".cache" / "tests" / "total.txt").read_text() == "1 passed, 0 failed\n"


def test_a_failure_is_named_and_the_later_steps_still_run(checkout):
    write(checkout, "assert 1 == 2", mark="fault")
    (checkout / "src" / "one.py").write_text('one: int = "1"\n')

    code, lines = run(checkout)

    assert code == 1
    assert lines[-2:] == ["not fine: mypy, tests, browser and fault tests", "0 passed, 1 failed"]


@pytest.mark.parametrize(
    ("body", "code", "last"), [("assert True", 0, "1 passed, 0 failed"), ("assert False", 1, "0 passed, 1 failed")]
)
def test_soak_runs_the_soak_tests_and_nothing_else(checkout, body, code, last):
    write(checkout, body, mark="soak")

    found, lines = run(checkout, "--soak")

    assert (found, lines[-1]) == (code, last)
    assert not any("mypy" in line for line in lines)


def test_soak_without_soak_tests_is_fine(checkout):
    write(checkout, "assert False")

    assert run(checkout, "--soak") == (0, ["there is no soak test"])

"""The demo script: each command visible, the drawings where it says, a failure not taken for a felt change."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """What the script needs of the project, in a folder of its own."""
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    (tmp_path / "tools").mkdir()
    shutil.copy(ROOT / "tools" / "demo.sh", tmp_path / "tools")
    return tmp_path


def command(folder: Path, body: str) -> Path:
    """A command to hand to the script."""
    path = folder / "bikewright"
    path.write_text(f"#!/bin/sh\n{body}\n")
    path.chmod(0o755)
    return path


def run(checkout: Path, called: Path, serve: str = "0") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["bash", "tools/demo.sh", str(called)],
        cwd=checkout,
        env={**os.environ, "SERVE": serve},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


@pytest.mark.parametrize(("serve", "opened"), [("1", True), ("0", False)])
def test_the_workbench_is_opened_unless_it_is_told_not_to(checkout, serve, opened):
    told = run(checkout, command(checkout, 'echo "called $1"'), serve)
    assert told.returncode == 0
    assert ("called serve" in told.stdout) is opened


def test_the_demo_answers_the_main_job_and_says_where_the_drawings_are(checkout):
    real = command(checkout, f'exec "{sys.executable}" -m bikewright.interfaces.cli.main "$@"')
    told = run(checkout, real)

    assert (told.returncode, told.stderr) == (0, "")
    shown = [line for line in told.stdout.splitlines() if line.startswith("$ bikewright ")]
    assert len(shown) == 5 and shown[0].startswith("$ bikewright compare examples/quillback --build stock --with fork=")
    assert "Quillback, size L: from stock, what follows, most felt first" in told.stdout
    drawings = re.findall(r"^  (build/demo/\S+\.svg)$", told.stdout, re.M)
    assert len(drawings) == 2
    assert (checkout / "build/demo/change-note.pdf").read_bytes().startswith(b"%PDF-")
    for drawing in drawings:
        assert (checkout / drawing).read_text(encoding="utf-8").rstrip().endswith("</svg>")


@pytest.mark.parametrize(("code", "whole"), [(0, True), (1, True), (2, False), (3, False)])
def test_a_felt_change_is_fine_and_a_failure_is_not(checkout, code, whole):
    told = run(checkout, command(checkout, f"exit {code}"))

    assert told.returncode == (0 if whole else code)
    assert ("On paper" in told.stdout) is whole
    assert (f"the demo stopped: exit code {code}" in told.stderr) is (not whole)

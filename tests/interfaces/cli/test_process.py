"""What only a process of its own shows: pipes that close, folders that cannot be written, a clean start."""

import os
import shutil
import subprocess
import sys

import pytest

from tests.interfaces.cli.asked import QUILLBACK

COMMAND = [sys.executable, "-m", "bikewright.interfaces.cli.main"]
CHANGE = ["--with", "fork=single-crown-170"]


def run(*words, before=()):
    return subprocess.run(
        [*before, *COMMAND, *map(str, words)], capture_output=True, text=True, encoding="utf-8", check=False
    )


def without_privilege() -> list[str]:
    """What to put before a command so that root, too, minds the permissions of a folder."""
    if os.geteuid() != 0:
        return []
    tool = shutil.which("setpriv")
    assert tool is not None, "util-linux brings setpriv"
    dropped = "-dac_override,-dac_read_search"
    return [tool, f"--bounding-set={dropped}", f"--inh-caps={dropped}"]


def test_the_command_answers_as_a_process():
    told = run("compare", QUILLBACK, *CHANGE)

    assert (told.returncode, told.stderr) == (1, "")
    assert told.stdout.startswith("Quillback, size M: from datum")


@pytest.mark.fault
@pytest.mark.parametrize(
    "words", [("show", QUILLBACK, "--json"), ("compare", QUILLBACK, *CHANGE), ("words",)], ids=lambda words: words[0]
)
def test_a_reader_that_goes_away_is_no_fault(words):
    """As `bikewright words | head` does; 1 would tell a script of a felt change."""
    command = [*COMMAND, *map(str, words)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait(60) == 0


@pytest.mark.fault
def test_a_folder_that_cannot_be_written_is_named_and_stays_empty(tmp_path):
    for words in (
        ("draw", QUILLBACK, "--out", tmp_path / "bike.svg"),
        ("table", QUILLBACK, "--out", tmp_path / "chart.csv"),
        ("compare", QUILLBACK, *CHANGE, "--drawing", tmp_path / "both.svg"),
    ):
        tmp_path.chmod(0o555)
        try:
            told = run(*words, before=without_privilege())
        finally:
            tmp_path.chmod(0o755)
        assert told.returncode == 2
        assert f"{tmp_path / words[-1].name}: it cannot be written: Permission denied." in told.stderr
        assert "Traceback" not in told.stderr and told.stderr.count("\n") == 1
        assert list(tmp_path.iterdir()) == []
        assert told.stdout.startswith("Quillback") is (words[0] == "compare")


@pytest.mark.fault
def test_an_existing_drawing_outlives_a_failed_one(tmp_path):
    out = tmp_path / "both.svg"
    out.write_text("mine")
    told = run("draw", QUILLBACK, "--with", "shock.chassis.eye_to_eye_mm=300", "--out", out)

    assert told.returncode == 2
    assert out.read_text() == "mine"

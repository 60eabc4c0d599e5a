"""`bikewright doctor`: it tries real parts, names what is missing, and its exit code tells a script."""

import json
import socket
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from bikewright.interfaces.cli import doctor as room
from bikewright.interfaces.cli.doctor import examine, folder_written, is_sound, look_at, port_bound
from bikewright.interfaces.cli.main import cli

PARTS = ["Python", "this folder", "kernel cache", "font", "typst", "SQLite", "local port", "browser", "Node.js", "npm"]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of our own to stand in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def refused() -> str:
    raise OSError("refused")


def test_this_machine_has_every_needed_part(here):
    answer = CliRunner().invoke(cli, ["doctor"])

    assert answer.exit_code == 0, answer.output
    assert answer.output.splitlines()[-1] == "all needed parts are fine"
    assert [part for part in PARTS if f"\n{part} " not in f"\n{answer.output}"] == []
    assert list(here.iterdir()) == []


def test_the_json_form_tells_the_same(here):
    answer = CliRunner().invoke(cli, ["doctor", "--json"])
    report = json.loads(answer.output)

    assert answer.exit_code == 0
    assert (report["format"], report["version"], report["ok"]) == ("bikewright/doctor", 1, True)
    assert [finding["what"] for finding in report["findings"]] == PARTS
    assert set(report["findings"][0]) == {"what", "found", "state", "needed", "needed_for", "remedy"}


def test_a_missing_part_is_a_note_or_a_failure_by_who_needs_it():
    note = look_at("browser", refused, needed=False, needed_for="pages", remedy="Install one.")
    fault = look_at("port", refused, needed_for="pages", remedy="Free one.")

    assert is_sound((note,))
    assert not is_sound((note, fault))
    assert str(note).splitlines()[1].strip() == "only needed for pages. Install one."
    assert str(fault).splitlines() == [f"{'port':<15} refused: missing", f"{'':<15} needed for pages. Free one."]


def test_no_program_on_the_path_leaves_the_machine_sound(here, monkeypatch):
    monkeypatch.setenv("PATH", str(here))

    findings = {finding.what: finding for finding in examine(here)}

    assert {what for what, finding in findings.items() if finding.state == room.MISSING} == {
        "browser",
        "Node.js",
        "npm",
    }
    assert is_sound(tuple(findings.values()))


@pytest.mark.fault
def test_a_folder_that_cannot_be_written_is_said_and_ends_with_2(monkeypatch):
    monkeypatch.chdir("/proc")  # even root cannot write here

    answer = CliRunner().invoke(cli, ["doctor"])

    assert answer.exit_code == 2
    assert "saving a bike and writing sheets" in answer.output
    assert answer.output.splitlines()[-1] == "missing: this folder"


@pytest.mark.fault
def test_a_cache_folder_that_cannot_be_made_is_said(here, monkeypatch):
    monkeypatch.setenv("BIKEWRIGHT_CACHE", "/proc/no-such-folder")

    [cache] = [finding for finding in examine(here) if finding.what == "kernel cache"]

    assert cache.state == room.MISSING
    assert "BIKEWRIGHT_CACHE" in cache.remedy


@pytest.mark.fault
def test_a_port_that_is_taken_is_seen():
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen(1)
        with pytest.raises(OSError, match="in use"):
            port_bound(holder.getsockname()[1])


@pytest.mark.fault
def test_a_missing_typst_is_said_in_a_process_that_has_none(here):
    block = "import sys; sys.modules['typst'] = None; sys.modules['font_source_sans_pro'] = None\n"
    source = block + "from bikewright.interfaces.cli.doctor import doctor\ndoctor()\n"

    done = subprocess.run([sys.executable, "-c", source], cwd=here, capture_output=True, text=True, check=False)

    assert done.returncode == 2, done.stderr
    assert done.stdout.splitlines()[-1] == "missing: font, typst"


def test_what_was_written_to_try_a_folder_is_gone(here):
    assert folder_written(here) == str(here)
    assert list(here.iterdir()) == []


@pytest.mark.parametrize("trial", [lambda: room.python_here((3, 10, 1)), lambda: room.sqlite_here((3, 36, 0))])
def test_an_old_release_is_named_with_the_oldest_that_will_do(trial):
    finding = look_at("part", trial, needed_for="all", remedy="Update it.")

    assert finding.state == room.MISSING
    assert any(oldest in finding.found for oldest in ("3.11", "3.37"))

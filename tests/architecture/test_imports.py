"""The command starts fast: nothing slow is loaded before it is needed."""

import json
import subprocess
import sys

import pytest

SLOW = ("scipy", "numba", "pandas", "ezdxf", "typst")
PROBE = "import json, sys\n{source}\nprint(json.dumps(sorted({{name.split('.')[0] for name in sys.modules}})))"


def loaded_by(source: str) -> set[str]:
    """Top-level modules in a fresh process after this source."""
    command = [sys.executable, "-c", PROBE.format(source=source)]
    return set(json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout))


def test_importing_the_command_loads_nothing_slow():
    loaded = loaded_by("import bikewright.interfaces.cli.main")

    assert "click" in loaded
    assert loaded.isdisjoint(SLOW)


@pytest.mark.parametrize("name", [name for name in SLOW if name != "pandas"])
def test_the_probe_sees_what_is_loaded(name):
    assert name in loaded_by(f"import {name}")

"""Each recipe works as it is written: its steps are read off the page and followed on a copy of the project.

``New file `path`:`` writes the block that follows, ``In `path`, below `text`:`` (or ``above``) puts it beside the one
line that holds the text, and ``Run:`` runs the lines of the block. Afterwards the copy must answer what the recipe
promises and still hold the rules of the house.
"""

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from dataclasses import dataclass
from math import asin, degrees
from pathlib import Path

import pytest

from tests.architecture.source_tree import ROOT

RECIPES = ROOT / "docs" / "recipes"
STEP = re.compile(
    r"(?:New file `(?P<new>[^`]+)`|In `(?P<at>[^`]+)`, (?P<side>below|above) `(?P<anchor>[^`]+)`|(?P<run>Run)):\n\n"
    r"```\w+\n(?P<block>.*?)^```$",
    re.M | re.S,
)
BLOCK = re.compile(r"^```\w+$", re.M)
ARROWS, PAGES, UNITS, THEORY = (
    f"tests/architecture/{test}"
    for test in (
        "test_arrows.py",
        "test_generated_docs.py",
        "test_public_functions.py",
        "test_docs.py::test_every_physics_module_has_its_theory_page",
    )
)
"""The rules of the house that a recipe can break."""


@dataclass(frozen=True)
class Copy:
    """A copy of the project in which a recipe was followed."""

    home: Path

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run Python in the copy, on the copy's own source."""
        kept = {name: value for name, value in os.environ.items() if name != "BIKEWRIGHT_WHOLE_RUN"}
        return subprocess.run(
            [sys.executable, *words],
            cwd=self.home,
            env={**kept, "PYTHONPATH": str(self.home / "src")},
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=False,
        )

    def ask(self, *words: str) -> str:
        """Standard output of a bikewright command."""
        told = self.run("-m", "bikewright.interfaces.cli.main", *words)
        assert told.returncode in (0, 1), told.stdout + told.stderr
        return told.stdout

    def value(self, key: str, *words: str) -> float:
        """A number of the Quillback's answer."""
        found = json.loads(self.ask("show", "examples/quillback", "--json", *words))
        return next(one["value"] for one in found["values"] if one["key"] == key and one["state"] in (None, "table"))

    def hold(self, *tests: str) -> None:
        """Tests of the copy must pass: those of the recipe, and the rules of the house that it touches."""
        told = self.run("-m", "pytest", "-q", "-p", "no:cacheprovider", *tests)
        assert told.returncode == 0, told.stdout


def follow(page: str, home: Path) -> Copy:
    """Copy the project and do what a page says."""
    for name in ("src", "tests", "tools", "docs", "examples"):
        shutil.copytree(ROOT / name, home / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "CHANGELOG.md", "CONTRIBUTING.md", "THIRD_PARTY.md", "Makefile"):
        shutil.copy(ROOT / name, home / name)
    copy = Copy(home)
    text = (RECIPES / page).read_text(encoding="utf-8")
    steps = list(STEP.finditer(text))
    assert len(steps) == len(BLOCK.findall(text)), f"{page}: a block has no step in front of it"
    for step in steps:
        _do(step, copy)
    return copy


def _do(step: re.Match[str], copy: Copy) -> None:
    if step["new"]:
        path = copy.home / step["new"]
        assert not path.exists(), f"{step['new']} is there already"
        path.write_text(step["block"], encoding="utf-8")
    elif step["at"]:
        path = copy.home / step["at"]
        lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
        found = [number for number, line in enumerate(lines) if step["anchor"] in line]
        assert len(found) == 1, f"{step['at']}: '{step['anchor']}' stands in {len(found)} lines"
        lines.insert(found[0] + (step["side"] == "below"), step["block"])
        path.write_text("".join(lines), encoding="utf-8")
    else:
        for line in step["block"].splitlines():
            program, *words = shlex.split(line)
            assert program in ("python", "bikewright"), line
            if program == "bikewright":
                copy.ask(*words)
            else:
                told = copy.run(*words)
                assert told.returncode == 0, told.stdout + told.stderr


def test_a_quantity(tmp_path):
    copy = follow("quantity.md", tmp_path)

    ahead = copy.value("front_centre_level_mm") + copy.value("trail_mm")
    assert copy.value("steering_ground_mm") == pytest.approx(ahead, abs=1e-9)
    assert "steering axis at the ground, ahead" in copy.ask("show", "examples/quillback", "--state", "stated-sag")
    assert "| `steering_ground_mm`@state |" in (tmp_path / "docs/reference/words.md").read_text(encoding="utf-8")
    told = copy.ask("compare", "examples/quillback", "--with", "fork=single-crown-170", "--all")
    assert "steering axis at the ground, ahead" in " ".join(told.split())
    copy.hold(PAGES)


def test_a_part_type(tmp_path):
    copy = follow("part.md", tmp_path)

    told = copy.ask("compare", "examples/quillback", "--with", "mudguard=short")
    assert "mudguard: unknown → mudguard, short, for the fork's arch" in " ".join(told.split())
    wrong = copy.run("-m", "bikewright.interfaces.cli.main", "show", "examples/quillback", "--with", "mudguard=long")
    assert wrong.returncode == 2 and "no mudguard is called 'long'" in wrong.stderr
    wrong = copy.run("-m", "bikewright.interfaces.cli.main", "show", "examples/quillback", "--with", "mudguard=short",
                     "--with", "mudguard.reach_mm=6000")  # fmt: skip
    assert wrong.returncode == 2 and "mudguard.reach_mm" in wrong.stderr
    copy.hold(ARROWS, UNITS, "tests/model/test_addresses.py")


def test_a_physics_group(tmp_path):
    copy = follow("group.md", tmp_path)

    radius = 373.0
    assert copy.value("step_angle_deg") == pytest.approx(degrees(asin((radius - 60.0) / radius)), abs=1e-9)
    told = copy.ask("compare", "examples/quillback", "--with", "front_tyre.radius_mm=355", "--all")
    assert "front wheel at a 60 mm step" in " ".join(told.split())
    copy.hold(ARROWS, UNITS, PAGES, THEORY, "tests/physics/test_step.py", "tests/studies/test_graph.py")


def test_a_sheet(tmp_path):
    copy = follow("sheet.md", tmp_path)

    copy.hold(ARROWS, "tests/reports/test_stack_sheet.py")


def test_a_view(tmp_path):
    copy = follow("view.md", tmp_path)

    found = json.loads(copy.ask("heights", "examples/quillback", "--json"))
    assert (found["format"], found["version"]) == ("bikewright/heights", 1)
    known = {one["state"]: one["value"] for one in found["values"]}
    assert known["table"] == copy.value("bb_height_mm")
    lines = copy.ask("heights", "examples/quillback").splitlines()
    assert lines[0] == "Quillback, size M: bottom-bracket height"
    assert len(lines) >= 2 + len(known) and all(len(line) <= 100 for line in lines)
    assert "## heights" in (tmp_path / "docs/reference/commands.md").read_text(encoding="utf-8")
    copy.hold(ARROWS, PAGES)


def test_every_recipe_is_proved_here():
    places = (Path(__file__), ROOT / "tests" / "browser" / "test_workbench_recipe.py")
    texts = "".join(place.read_text(encoding="utf-8") for place in places)
    proved = re.findall(r'follow\("([\w-]+\.md)"', texts)
    assert sorted(proved) == sorted(path.name for path in RECIPES.glob("*.md"))


def test_a_recipe_whose_anchor_is_gone_fails(tmp_path):
    (tmp_path / "module.py").write_text("ONE = {\n}\nTWO = {\n}\n")
    page = "In `module.py`, below `{anchor}`:\n\n```python\n    1: 1,\n```\n"
    for anchor, lines in (("= {", 2), ("THREE", 0)):
        step = STEP.search(page.format(anchor=anchor))
        with pytest.raises(AssertionError, match=f"stands in {lines} lines"):
            _do(step, Copy(tmp_path))
    _do(STEP.search(page.format(anchor="TWO")), Copy(tmp_path))
    assert (tmp_path / "module.py").read_text() == "ONE = {\n}\nTWO = {\n    1: 1,\n}\n"

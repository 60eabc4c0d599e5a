"""The pages keep up with the source: theory for each physics module, live links, an honest changelog, two commands."""

import re
from pathlib import Path

import pytest

from tests.architecture.source_tree import MODULES, PACKAGE, ROOT

PHYSICS = PACKAGE / "physics"
MENTION = re.compile(r"\bdocs/[\w./-]+\.md\b")
LINK = re.compile(r"\]\((?!https?:|mailto:|#)([^)#\s]+)(?:#[^)]*)?\)")
COMMANDS = ("make demo", "make test")


def theory_pages(physics: Path) -> set[str]:
    """The page that each module of physics must have; a package has one for all its modules."""
    if not physics.is_dir():
        return set()
    modules = {path.stem for path in physics.glob("*.py")} - {"__init__"}
    packages = {path.parent.name for path in physics.glob("*/__init__.py")}
    return {f"{name}.md" for name in modules | packages}


def newest_entry(changelog: str) -> str:
    """Text of the first version in a changelog."""
    return re.split(r"^## .*$", changelog, flags=re.M)[1].strip()


def leads_with_numbers(changelog: str) -> bool:
    """Whether the newest entry first says which numbers changed, and says something."""
    first = re.match(r"### Numbers that changed\n+(?!#)\S", newest_entry(changelog))
    return first is not None


def dead_links(page: Path, text: str) -> list[str]:
    """Links of a page to files that are not there."""
    return [link for link in LINK.findall(text) if not (page.parent / link).exists()]


def commands_of(text: str) -> list[str]:
    """Commands in the first two fenced blocks or more of a page, one a line."""
    blocks = re.findall(r"^```\w*\n(.*?)^```$", text, re.M | re.S)
    return [line.removeprefix("$ ").split("  #")[0].strip() for block in blocks for line in block.splitlines()]


def test_every_physics_module_has_its_theory_page():
    pages = {path.name for path in (ROOT / "docs" / "theory").glob("*.md")}
    assert sorted(theory_pages(PHYSICS) - pages) == []


def test_every_page_that_the_source_names_is_there():
    named = {(path, page) for path in MODULES for page in MENTION.findall(path.read_text(encoding="utf-8"))}
    assert {page for _, page in named} >= {"docs/theory/plane.md", "docs/guide/workbench-files.md"}
    assert sorted(f"{path.relative_to(ROOT)}: {page}" for path, page in named if not (ROOT / page).exists()) == []


def test_no_page_links_to_a_file_that_is_not_there():
    pages = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *(ROOT / "examples").rglob("*.md")]
    dead = {str(p.relative_to(ROOT)): links for p in pages if (links := dead_links(p, p.read_text(encoding="utf-8")))}
    assert dead == {}


def test_the_newest_entry_of_the_changelog_leads_with_the_numbers_that_changed():
    assert leads_with_numbers((ROOT / "CHANGELOG.md").read_text(encoding="utf-8"))


def test_the_readme_opens_with_the_two_commands():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert tuple(commands_of(readme)[:2]) == COMMANDS
    targets = re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.M)
    assert {command.split()[1] for command in COMMANDS} <= set(targets)


def test_every_folder_on_the_map_of_the_readme_is_there():
    folders = re.findall(r"^\| `([\w/]+)` \|", (ROOT / "README.md").read_text(encoding="utf-8"), re.M)
    assert "src/bikewright/physics" in folders
    assert [folder for folder in folders if not (ROOT / folder).is_dir()] == []


def test_the_rule_for_theory_wants_one_page_a_module_and_one_a_package(tmp_path):
    (tmp_path / "linkage").mkdir()
    for name in ("__init__.py", "plane.py", "linkage/__init__.py", "linkage/plan.py"):
        (tmp_path / name).touch()

    assert theory_pages(tmp_path) == {"plane.md", "linkage.md"}


@pytest.mark.parametrize(
    ("entry", "holds"),
    [
        ("### Numbers that changed\n\n- None: first release.\n\n### Added\n- All.\n", True),
        ("### Added\n- All.\n\n### Numbers that changed\n- None.\n", False),
        ("### Numbers that changed\n\n### Added\n- All.\n", False),
    ],
)
def test_the_rule_for_the_changelog_catches_an_entry_that_hides_its_numbers(entry, holds):
    older = "## 0.0.1\n\n### Numbers that changed\n- None.\n"
    assert leads_with_numbers(f"# Changelog\n\n## 0.1.0\n\n{entry}\n{older}") is holds


def test_the_rule_for_links_catches_a_dead_one(tmp_path):
    (tmp_path / "here.md").touch()
    assert dead_links(tmp_path / "page.md", "[a](here.md#x) [b](gone.md) [c](https://a.b/c) [d](#x)") == ["gone.md"]


def test_the_rule_for_commands_reads_fenced_blocks():
    assert commands_of("x\n```sh\n$ make demo   # a bike\nmake test\n```\n") == ["make demo", "make test"]

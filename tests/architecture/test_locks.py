"""What is installed is pinned: every dependency, with hashes, from no particular address, one release everywhere."""

import re
import tomllib

import pytest

from tests.architecture.source_tree import ROOT

REQUIREMENTS = ROOT / "requirements"
LOCKS = ("runtime", "test", "bench", "lock")


def normal(name: str) -> str:
    """Name of a distribution as an index compares it."""
    return re.sub(r"[-_.]+", "-", re.match(r"[\w.-]+", name.strip())[0]).lower()  # type: ignore[index]


def pins(text: str) -> dict[str, tuple[str, int]]:
    """Release and number of hashes of each package in a lock."""
    found: dict[str, tuple[str, int]] = {}
    for entry in re.split(r"\n(?=[A-Za-z])", "\n" + text):
        if pinned := re.match(r"([\w.-]+)==(\S+)", entry):
            found[normal(pinned[1])] = (pinned[2], len(re.findall(r"--hash=sha256:[0-9a-f]{64}\b", entry)))
    return found


def loose_lines(text: str) -> list[str]:
    """Lines of a lock that are no pin, no hash and no remark."""
    return [
        line
        for line in text.splitlines()
        if not re.fullmatch(r"[\w.-]+==\S+ \\|\s+--hash=sha256:[0-9a-f]{64}(?: \\)?|\s*#.*|", line)
    ]


def locked(name: str) -> dict[str, tuple[str, int]]:
    """The pins of one of our locks."""
    return pins((REQUIREMENTS / f"{name}.txt").read_text(encoding="utf-8"))


PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]
WANTED = {
    "runtime": PROJECT["dependencies"],
    "test": PROJECT["dependencies"] + EXTRAS["test"],
    "bench": PROJECT["dependencies"] + EXTRAS["bench"],
    "lock": ["pip-tools"],
}


@pytest.mark.parametrize("name", LOCKS)
def test_each_dependency_is_pinned(name):
    build = [] if name == "lock" else ["pip", "setuptools", "wheel", "hatchling"]
    assert {normal(wanted) for wanted in WANTED[name] + build} - set(locked(name)) == set()


@pytest.mark.parametrize("name", LOCKS)
def test_each_pin_has_its_hashes_and_no_address(name):
    text = (REQUIREMENTS / f"{name}.txt").read_text(encoding="utf-8")
    assert loose_lines(text) == []
    assert [package for package, (_, hashes) in pins(text).items() if not hashes] == []


def test_one_release_of_each_package_everywhere():
    releases = {name: {package: release for package, (release, _) in locked(name).items()} for name in LOCKS}
    runtime = releases["runtime"]
    for other in ("test", "bench"):
        assert set(runtime) <= set(releases[other])
        assert {p: r for p, r in runtime.items() if releases[other][p] != r} == {}


def test_no_bench_library_is_in_the_test_lock():
    assert {normal(name) for name in EXTRAS["bench"]} & set(locked("test")) == set()


def test_the_rules_catch_a_loose_lock():
    hashed = "click==8.1 \\\n    --hash=sha256:" + "a" * 64 + "\n    # via x\n"
    assert pins(hashed) == {"click": ("8.1", 1)}
    assert pins("click==8.1\n") == {"click": ("8.1", 0)}
    assert loose_lines(hashed) == []
    assert loose_lines("click>=8\n") == ["click>=8"]
    assert loose_lines("--find-links /x\nx @ file:///y\n") == ["--find-links /x", "x @ file:///y"]


def test_the_notices_name_every_package_of_the_run_time_lock():
    notices = (ROOT / "THIRD_PARTY.md").read_text(encoding="utf-8")
    assert {package for package in locked("runtime") if not re.search(rf"\b{package}\b", notices)} == set()

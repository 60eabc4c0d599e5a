"""The tree holds our own source only: no machine's paths, no registry's address, no third-party code, short modules."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

from tests.architecture.source_tree import ROOT

LONGEST_MODULE = 600
LONGEST_SCRIPT_LINE = 500
"""A longer line in a script of the page means that it was minified, so it is not our source."""

# Put together here, so that this file passes its own rule.
FOLDERS = ("work/", "root/", "home/[a-z]", "opt/pypi", "opt/wheels", "usr/local/lib/")
MACHINE_PATHS = tuple("/" + folder for folder in FOLDERS)
HOSTS = tuple(
    ".".join(parts)
    for parts in (
        ("pypi", "org"),
        ("pythonhosted", "org"),
        ("npmjs", "org"),
        ("npmjs", "com"),
        ("debian", "org"),
        ("anaconda", "org"),
        ("jsdelivr", "net"),
        ("unpkg", "com"),
        ("cdnjs", "com"),
        ("esm", "sh"),
    )
)
FORBIDDEN = re.compile(
    "|".join(
        (
            rf"(?<![\w.$}}])(?:{'|'.join(MACHINE_PATHS)})",
            rf"\b(?:{'|'.join(re.escape(host) for host in HOSTS)})\b",
            "--(?:extra-)?index-url",
        )
    )
)
OUR_OPTIONS = re.compile(r"--no-emit-index-url")
BINARIES = {".otf", ".ttf", ".woff", ".woff2", ".whl", ".so", ".gz", ".zip", ".pyc", ".wasm", ".exe", ".nbi", ".nbc"}
SCRIPTS = {".js", ".mjs", ".cjs", ".ts", ".jsx", ".css", ".html"}
FOREIGN_SCRIPT = re.compile(
    r"@license|@preserve|sourceMappingURL|(?:src|from|import)\s*[=(]?\s*[\"']https?:", re.IGNORECASE
)
FOREIGN_FOLDERS = {"node_modules", "vendor", "third_party", "bower_components", "site-packages"}


def tracked() -> list[Path]:
    """Files under version control that are there."""
    command = ["git", "-C", str(ROOT), "-c", f"safe.directory={ROOT}", "ls-files", "-z"]
    listed = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


def forbidden_words(text: str) -> list[str]:
    """Addresses and paths that a text must not hold, with their lines."""
    return [
        f"line {number}: {hit[0]}"
        for number, line in enumerate(text.splitlines(), 1)
        for hit in FORBIDDEN.finditer(OUR_OPTIONS.sub("", line))
    ]


def foreign_code(path: Path, text: str) -> list[str]:
    """Signs that a file was written elsewhere."""
    signs = sorted(FOREIGN_FOLDERS & set(path.parts))
    signs += [path.suffix] if path.suffix in BINARIES else []
    signs += ["minified by its name"] if re.search(r"[.-](min|standalone|bundle)\.", path.name) else []
    if path.suffix in SCRIPTS:
        signs += [f"'{hit[0]}'" for hit in FOREIGN_SCRIPT.finditer(text)]
        signs += ["a very long line"] if any(len(line) > LONGEST_SCRIPT_LINE for line in text.splitlines()) else []
    return signs


def module_faults(source: str) -> list[str]:
    """What is wrong with a Python module as a page to read."""
    lines = len(source.splitlines())
    faults = [] if ast.get_docstring(ast.parse(source)) else ["it does not begin with a docstring"]
    return faults + ([f"{lines} lines; the longest may have {LONGEST_MODULE}"] if lines > LONGEST_MODULE else [])


def read(path: Path) -> str:
    """Text of a file; what is not text is searched for addresses all the same."""
    return path.read_bytes().decode("utf-8", errors="replace")


def test_no_file_names_a_machine_or_a_registry():
    assert {str(p.relative_to(ROOT)): words for p in tracked() if (words := forbidden_words(read(p)))} == {}


def test_no_third_party_code_is_in_the_tree():
    found = {p.relative_to(ROOT): foreign_code(p.relative_to(ROOT), read(p)) for p in tracked()}
    assert {str(name): signs for name, signs in found.items() if signs} == {}


def test_every_module_has_a_header_and_a_length_to_read():
    modules = [path for path in tracked() if path.suffix == ".py"]
    assert modules
    assert {str(p.relative_to(ROOT)): faults for p in modules if (faults := module_faults(read(p)))} == {}


EXAMPLES = [*(path.replace("[a-z]", "x") for path in MACHINE_PATHS), *HOSTS, "--index" + "-url x"]


@pytest.mark.parametrize("text", EXAMPLES)
def test_the_rule_for_words_catches_each(text):
    assert len(forbidden_words(f"fine\nsee {text}\n")) == 1
    assert len(forbidden_words(f'"{text}"')) == 1


@pytest.mark.parametrize("folder", [path.replace("[a-z]", "x") for path in MACHINE_PATHS])
@pytest.mark.parametrize("before", ["docs", "$HOME", "${HOME}", "."])
def test_the_rule_for_words_lets_our_own_folders_pass(before, folder):
    assert forbidden_words(f"see {before}{folder}plan.md") == []


@pytest.mark.parametrize("parts", [("", "usr", "bin", "chromium"), ("", "tmp", "x")])
def test_the_rule_for_words_lets_places_of_every_system_pass(parts):
    assert forbidden_words("/".join(parts)) == []


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("web/chart.min.js", ""),
        ("web/node_modules/chart.js", ""),
        ("web/chart.js", "/*! @license of somebody */"),
        ("web/chart.js", "import { h } from 'https://a.b/c.js'"),
        ("web/chart.js", "a" * (LONGEST_SCRIPT_LINE + 1)),
        ("fonts/Sans.otf", ""),
    ],
)
def test_the_rule_for_foreign_code_catches_each(name, text):
    assert len(foreign_code(Path(name), text)) == 1
    assert foreign_code(Path("web/chart.js"), "import { draw } from './draw.js'\n") == []


def test_the_rule_for_modules_catches_a_missing_header_and_a_long_file():
    assert len(module_faults("x = 1\n")) == 1
    assert len(module_faults('"""Header."""\n' + "x = 1\n" * LONGEST_MODULE)) == 1
    assert module_faults('"""Header."""\n') == []

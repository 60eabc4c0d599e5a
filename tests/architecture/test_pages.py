"""The pages say what is true: none is lost, shown output is real output, every outside check has its row.

A ``sh`` block that is one bikewright command, followed by a ``text`` block, shows the command's output: its lines stand
in the real output in that order, with nothing between them but where a line of three dots says so. All commands of a
page are run, one after the other, in one folder with the demo bikes.
"""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from bikewright.errors import BikewrightError
from bikewright.sources import SOURCES
from tests.architecture.source_tree import MODULES, PACKAGE, ROOT
from tests.architecture.test_docs import LINK
from tests.interfaces.cli.asked import ask
from tests.interfaces.cli.schemas import SCHEMAS

DOCS = ROOT / "docs"
SCREEN = PACKAGE / "interfaces" / "web" / "page"
BY_HAND = {"frame-in-15-minutes.md", "model-files.md", "workbench.md", "workbench-files.md"}
"""They are of files that the page itself describes, or of the browser, and have tests of their own."""
TOLD = [
    ROOT / "README.md",
    DOCS / "start.md",
    *sorted(p for p in (DOCS / "guide").glob("*.md") if p.name not in BY_HAND),
]
FENCE = re.compile(r"^```(sh|text)\n(.*?)^```$", re.M | re.S)
OUTSIDE = re.compile(r"\bmark\.(?:published|oracle)\b|^\s*(?:from|import) (?:scipy|mujoco|mpmath|Pynite)\b", re.M)
"""A mark, or one of the libraries that are only there to be held against."""
ROW = re.compile(r"^\| `(tests/[\w/]+\.py)` \| (published|remembered|oracle|practice) \|", re.M)


def links(page: Path) -> set[Path]:
    """Pages that a page links to."""
    targets = {(page.parent / link).resolve() for link in LINK.findall(page.read_text(encoding="utf-8"))}
    return {target for target in targets if target.suffix == ".md"}


def reached(start: Path) -> set[Path]:
    """Every page that can be come to from one page."""
    found, waiting = set(), [start]
    while waiting:
        page = waiting.pop()
        if page not in found and page.exists():
            found.add(page)
            waiting += links(page)
    return found


def outside_checks(tests: Path) -> set[str]:
    """Test modules that check against something outside."""
    found = {path for room in ("published", "oracle") for path in (tests / room).glob("test_*.py")}
    found |= {
        path
        for path in tests.rglob("test_*.py")
        if "architecture" not in path.parts and OUTSIDE.search(path.read_text(encoding="utf-8"))
    }
    return {str(path.relative_to(tests.parent)) for path in found}


def shown(page: Path) -> list[tuple[str, str | None]]:
    """Commands of a page, each with the output that the page shows for it, or None."""
    blocks = FENCE.findall(page.read_text(encoding="utf-8"))
    found: list[tuple[str, str | None]] = []
    for kind, text in blocks:
        if kind == "sh":
            found += [(line, None) for line in text.splitlines() if line.startswith("bikewright ")]
        elif found:
            found[-1] = (found[-1][0], text)
    return found


def lines_missing(told: str, real: str) -> list[str]:
    """Lines of shown output that are not in the real output, in order and side by side; widths of columns are free."""
    lines, at, missing, free = [" ".join(line.split()) for line in real.splitlines()], 0, [], True
    for line in (" ".join(line.split()) for line in told.splitlines()):
        if line == "...":
            free = True
            continue
        where = lines.index(line, at) if line in lines[at:] else None
        if where is None or (not free and where != at):
            missing.append(line)
        else:
            at, free = where + 1, False
    return missing


def test_every_page_can_be_come_to_from_the_index():
    pages = {path.resolve() for path in DOCS.rglob("*.md")}
    assert sorted(str(page.relative_to(DOCS)) for page in pages - reached((DOCS / "index.md").resolve())) == []
    assert (DOCS / "index.md").resolve() in links(ROOT / "README.md")


def test_the_index_itself_maps_guide_recipes_and_reference():
    mapped = links(DOCS / "index.md")
    wanted = {path for room in ("guide", "recipes", "reference") for path in (DOCS / room).glob("*.md")}
    assert sorted(str(page.relative_to(DOCS)) for page in wanted - mapped) == []


def test_every_outside_check_has_its_row_and_every_row_its_check():
    rows = {path for path, _ in ROW.findall((DOCS / "validation.md").read_text(encoding="utf-8"))}
    assert sorted(outside_checks(ROOT / "tests") - rows) == []
    assert sorted(path for path in rows if not (ROOT / path).exists()) == []


def row_faults(line: str) -> list[str]:
    """What a row of the validation page says of its source and should not: a remembered page is not called seen."""
    kind, source, *_, seen = (cell.strip() for cell in line.strip().strip("|").split("|")[1:])
    wanted = {"remembered": "from memory", "oracle": "runs here", "practice": "no source"}
    faults = [] if seen == wanted.get(kind, seen) else [f"{kind}, and then '{seen}'"]
    if kind == "published" and (not seen or "memory" in seen):
        faults.append(f"called published, and then '{seen}'")
    for key in re.findall(r"`(\w+)`", source):
        if key not in SOURCES or SOURCES[key].seen != (kind == "published"):
            faults.append(f"called {kind}, and the bibliography does not say so of {key}")
    return faults


def test_a_row_says_whether_its_page_was_seen():
    page = (DOCS / "validation.md").read_text(encoding="utf-8")
    rows = [line for line in page.splitlines() if line.startswith("| `tests/")]
    assert len(rows) == len(ROW.findall(page)) > 0
    assert {row: faults for row in rows if (faults := row_faults(row))} == {}


def test_the_page_of_the_workbench_shows_changes_that_can_be_made_and_words_that_the_screen_has(tmp_path):
    page = (DOCS / "guide" / "workbench.md").read_text(encoding="utf-8")
    shutil.copytree(ROOT / "examples" / "quillback", tmp_path / "quillback")
    (block,) = re.findall(r"^```text\n(.*?)^```$", page, re.M | re.S)
    changes = [change.strip() for line in block.splitlines() for change in line.split(";")]
    assert len(changes) == 3
    real = ask("compare", tmp_path / "quillback", *(f"--with={change}" for change in changes))
    assert real.code in (0, 1), real.err

    screen = "".join(path.read_text(encoding="utf-8") for path in sorted(SCREEN.glob("*.js")))
    words = [word for row in re.findall(r"^\| (`.*?`) \| ", page, re.M) for word in re.findall(r"`([a-z ]+)`", row)]
    words += re.findall(r"`((?:this|save|another|figures|dimensions|for all)[a-z A-Z]*)`", page)
    assert {"undo", "write to files", "this as JSON", "another machine"} <= set(words)
    assert [word for word in words if f">{word}" not in screen and f"> {word}" not in screen] == []


@pytest.mark.parametrize("page", TOLD, ids=lambda page: page.name)
def test_shown_output_is_real_output(page, tmp_path, monkeypatch):
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    monkeypatch.chdir(tmp_path)
    commands = shown(page)
    assert commands
    for command, told in commands:
        program, *words = shlex.split(command)
        assert program == "bikewright"
        real = ask(*words)
        assert real.code in (0, 1), f"{command}\n{real.err}"
        assert told is None or lines_missing(told, real.out) == [], f"{command}\n{real.out}"


def test_the_page_of_json_tells_every_document_and_its_keys():
    page = (DOCS / "reference" / "json.md").read_text(encoding="utf-8")
    for kind, schema in SCHEMAS.items():
        (row,) = [line for line in page.splitlines() if line.startswith(f"| `{kind}` |")]
        for key in schema["properties"].keys() - {"format", "version"}:
            assert f"`{key}`" in row or f"`{key}`:" in row, f"{kind}: {key}"


def test_the_page_of_json_tells_every_key_inside():
    page = (DOCS / "reference" / "json.md").read_text(encoding="utf-8")
    told = set(re.findall(r"`([\w-]+)`", page))
    inside = {key for kind, schema in SCHEMAS.items() if kind not in ("pose", "new-bike") for key in _keys(schema)}
    assert sorted(inside - told - {"format", "version"}) == []


def test_the_page_of_json_has_a_row_for_every_kind_that_the_source_writes():
    page = (DOCS / "reference" / "json.md").read_text(encoding="utf-8")
    source = "".join(path.read_text(encoding="utf-8") for path in MODULES)
    kinds = set(re.findall(r"""_document\(\s*"([a-z-]+)"|"bikewright/([a-z-]+)\"""", source))
    written = {one or other for one, other in kinds}
    assert written >= set(SCHEMAS) | {"doctor", "versions"}
    assert sorted(kind for kind in written if f"\n| `{kind}` |" not in page) == []


def _keys(schema):
    if isinstance(schema, dict):
        yield from schema.get("properties", {})
        for inner in schema.values():
            yield from _keys(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from _keys(inner)


def test_exit_codes_of_the_guide_are_those_of_the_errors():
    page = (DOCS / "guide" / "scripts.md").read_text(encoding="utf-8")
    told = {int(code) for code in re.findall(r"^\| (\d) \|", page, re.M)}
    assert told == {0, 1, *(kind.exit_code for kind in (BikewrightError, *_kinds(BikewrightError)))}


def _kinds(kind):
    for inner in kind.__subclasses__():
        yield inner
        yield from _kinds(inner)


def test_the_rule_for_pages_finds_a_lost_one(tmp_path):
    for name, text in (("index.md", "[a](a.md)"), ("a.md", "[index](index.md)"), ("lost.md", "[a](a.md)")):
        (tmp_path / name).write_text(text)
    assert {path.name for path in reached(tmp_path / "index.md")} == {"index.md", "a.md"}


def test_the_rule_for_checks_finds_a_module_and_a_mark(tmp_path):
    for name, text in (
        ("tests/published/test_a.py", ""),
        ("tests/physics/test_b.py", "@pytest.mark.oracle"),
        ("tests/physics/test_c.py", "@pytest.mark.fault"),
        ("tests/physics/test_d.py", "    from scipy.optimize import root"),
    ):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text)
    found = outside_checks(tmp_path / "tests")
    assert found == {"tests/published/test_a.py", "tests/physics/test_b.py", "tests/physics/test_d.py"}


@pytest.mark.parametrize(
    ("row", "faults"),
    [
        ("| `tests/a.py` | published | `riel2005` | x | 1 | yes |", 0),
        ("| `tests/a.py` | published | `wilson` | x | 1 | yes |", 1),
        ("| `tests/a.py` | published | a book | x | 1 | from memory |", 1),
        ("| `tests/a.py` | published | `nobody` | x | 1 | |", 2),
        ("| `tests/a.py` | remembered | `wilson` | x | 1 | from memory |", 0),
        ("| `tests/a.py` | remembered | `riel2005` | x | 1 | yes |", 2),
        ("| `tests/a.py` | oracle | SciPy | x | 1 | yes |", 1),
    ],
)
def test_the_rule_for_rows_catches_a_remembered_page_that_is_called_seen(row, faults):
    assert len(row_faults(row)) == faults


@pytest.mark.parametrize(
    ("told", "missing"),
    [
        ("a\nb\n", []),
        ("a\n...\nc\n", []),
        ("...\nc\n...\n", []),
        ("b\n", []),
        ("a\nc\n", ["c"]),
        ("b\na\n", ["a"]),
        ("a\nx\n", ["x"]),
    ],
)
def test_the_rule_for_output_wants_its_lines_in_order_and_side_by_side(told, missing):
    assert lines_missing(told, "a\nb\nc\n") == missing

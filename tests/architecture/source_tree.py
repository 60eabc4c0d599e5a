"""Where the source lies, and what a module imports: shared by the tests of the architecture."""

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "bikewright"
MODULES = sorted(PACKAGE.rglob("*.py"))

RELATIVE = "<relative>"
"""Stands for any import that starts with a dot."""


def name_of(path: Path) -> str:
    """Dotted name of a module of the package: ``bikewright.physics.plane``."""
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(tree: ast.AST) -> Iterator[str]:
    """Everything a piece of source imports, wherever in it, as full dotted names.

    ``from bikewright import physics`` gives ``bikewright.physics``, and so does a call of ``import_module`` with that
    text. ``from bikewright.model import build`` gives ``bikewright.model.build``, whether that is a module or a name. A
    bare ``import bikewright`` counts by what is then taken from it: ``bikewright.physics``.
    """
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from (RELATIVE if node.level else f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Attribute) and ast.unparse(node.value) == "bikewright":
            yield f"bikewright.{node.attr}"
        elif isinstance(node, ast.Call) and _called(node) in ("import_module", "__import__"):
            yield from (a.value for a in node.args[:1] if isinstance(a, ast.Constant) and isinstance(a.value, str))


def imports_at_start(tree: ast.Module) -> Iterator[str]:
    """What is imported as soon as the module is: not inside functions, not for type checkers only."""
    waiting: list[ast.AST] = list(tree.body)
    while waiting:
        node = waiting.pop()
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            waiting.extend(node.orelse)
            continue
        if isinstance(node, ast.Import | ast.ImportFrom):
            yield from imports_of(node)
        waiting.extend(ast.iter_child_nodes(node))


def _called(node: ast.Call) -> str:
    return ast.unparse(node.func).rpartition(".")[2]

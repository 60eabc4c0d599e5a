"""Every number says its unit: in physics in brackets in the docstring, in the model in the name.

Physics   each parameter of a public function that is a number or an array has a text that ends in its unit, ``[m]``;
          a pure number has ``[-]``. Each number or array in a result has such a unit in the text under its field.
          Kernels are left out: they are bare arithmetic in any one unit.
Model     each field that is a number ends in a suffix of `bikewright.units`, or stands in the list of pure numbers.
"""

import ast
import dataclasses
import importlib
import inspect
import re
import typing
from collections.abc import Iterator
from types import UnionType

import pytest

from bikewright.units import SUFFIXES
from tests.architecture.source_tree import MODULES, name_of

NUMERIC = re.compile(r"\b(float|floating|complex|\w*[Aa]rray\w*|Numbers?|Points?|Pairs?|Vectors?|Floats?)\b")
WHOLE_NUMBERS = re.compile(r"\b(np\.)?NDArray\[np\.(int|uint|bool)\w*\]")
UNIT = re.compile(r"\[[^\[\]]+\]")

PURE_NUMBERS = {
    "teeth": "count",
    "ring_teeth_max": "count",
    "number": "count",
    "spacers_max": "count",
    "shock_spacers": "count",
    "fork_spacers": "count",
    "age_hours": "hours are no unit of an answer; the age of a part is kept as people say it",
    "low": "in the unit of the quantity that the line of the brief names",
    "high": "in the unit of the quantity that the line of the brief names",
    "felt_step": "in the unit of the quantity",
    "line": "place in a file",
    "column": "place in a file",
    "clicks": "count",
    "clicks_per_turn": "count for a turn",
    "row": "place in a table",
    "point": "place in a table",
}
"""Fields of the model that are numbers without a unit of their own, and why."""

PER_SOMETHING = re.compile(rf"_({'|'.join(SUFFIXES)})_per_[a-z]+$")
"""``preload_mm_per_turn``: a unit per thing counted."""


def is_kernel(module: str) -> bool:
    """Whether a module is bare arithmetic."""
    return "kernels" in module.split(".")


def described(docstring: str) -> dict[str, str]:
    """Text of each parameter in a numpydoc docstring; ``a, b : float`` gives both the same text."""
    section = re.search(r"^Parameters\n-+\n(.*?)(?=^\S[^\n]*\n-+$|\Z)", inspect.cleandoc(docstring), re.M | re.S)
    found: dict[str, str] = {}
    entries = re.finditer(
        r"^(\S[^\n:]*?)(?: ?:[^\n]*)?\n((?:[ \t]+[^\n]*\n?|\n)*)", section[1] if section else "", re.M
    )
    for entry in entries:
        found |= {name.strip().lstrip("*"): entry[2].strip() for name in entry[1].split(",")}
    return found


def is_numeric(annotation: ast.expr | None) -> bool:
    """Whether an annotation means numbers with a unit; none at all counts as one, whole numbers and flags do not."""
    return annotation is None or bool(NUMERIC.search(WHOLE_NUMBERS.sub("", ast.unparse(annotation))))


def public_functions(tree: ast.Module) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Public functions, and public methods of public classes."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node.name, node
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for method in node.body:
                if isinstance(method, ast.FunctionDef) and not method.name.startswith("_"):
                    yield f"{node.name}.{method.name}", method


def functions_without_units(module: str, source: str) -> list[str]:
    """Parameters of public functions whose unit is not told."""
    faults = []
    for name, function in public_functions(ast.parse(source)):
        arguments = function.args
        everything = [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs]
        numeric = [a.arg for a in everything if a.arg not in ("self", "cls") and is_numeric(a.annotation)]
        texts = described(ast.get_docstring(function) or "")
        for parameter in numeric:
            if not re.search(rf"{UNIT.pattern}\.?\Z", texts.get(parameter, "")):
                faults.append(f"{module}.{name}: '{parameter}' needs a text that ends in its unit, as in [m] or [-]")
    return faults


def fields_without_units(module: str, source: str) -> list[str]:
    """Numbers and arrays in the dataclasses of a module with no unit under them; and classes that are not frozen."""
    faults = []
    for node in ast.walk(ast.parse(source)):
        decorators = [ast.unparse(d) for d in node.decorator_list] if isinstance(node, ast.ClassDef) else []
        dataclass = next((d for d in decorators if d.split("(")[0].endswith("dataclass")), None)
        if dataclass is None:
            continue
        if "frozen=True" not in dataclass:
            faults.append(f"{module}.{node.name} is not frozen")
        for field, below in zip(node.body, [*node.body[1:], None], strict=True):
            if not isinstance(field, ast.AnnAssign) or not is_numeric(field.annotation):
                continue
            text = below.value.value if isinstance(below, ast.Expr) and isinstance(below.value, ast.Constant) else ""
            if not UNIT.search(str(text)):
                faults.append(f"{module}.{node.name}.{ast.unparse(field.target)} needs a text under it with its unit")
    return faults


def says_its_unit(name: str) -> bool:
    """Whether the name of a field ends in a unit, or is a pure number by the list above."""
    return name in PURE_NUMBERS or name.endswith(tuple(f"_{s}" for s in SUFFIXES)) or bool(PER_SOMETHING.search(name))


def is_number_type(annotation: object) -> bool:
    """Whether a resolved annotation is, or may be, a number: ``float | None``, annotated or not."""
    if annotation in (float, int):
        return True
    if typing.get_origin(annotation) is typing.Annotated:
        return is_number_type(typing.get_args(annotation)[0])
    parts = [part for part in typing.get_args(annotation) if part is not Ellipsis]
    if typing.get_origin(annotation) is tuple:
        return bool(parts) and all(is_number_type(part) for part in parts)  # a row of text and numbers explains itself
    if str in parts:
        return False  # a name or a place in a list
    return typing.get_origin(annotation) in (typing.Union, UnionType) and any(is_number_type(part) for part in parts)


def fields_without_suffix(owner: type) -> list[str]:
    """Fields of a dataclass that are numbers and do not say in what."""
    hints = typing.get_type_hints(owner, include_extras=True)
    return [
        f"{owner.__module__}.{owner.__name__}.{field.name}"
        for field in dataclasses.fields(owner)
        if is_number_type(hints[field.name]) and not says_its_unit(field.name)
    ]


PHYSICS = [path for path in MODULES if name_of(path).startswith("bikewright.physics") and not is_kernel(name_of(path))]
MODEL = [name_of(path) for path in MODULES if name_of(path).startswith("bikewright.model")]


@pytest.mark.parametrize("path", PHYSICS, ids=name_of)
def test_each_parameter_of_a_physics_function_has_a_unit(path):
    assert functions_without_units(name_of(path), path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", PHYSICS, ids=name_of)
def test_each_number_in_a_physics_result_has_a_unit(path):
    assert fields_without_units(name_of(path), path.read_text(encoding="utf-8")) == []


def owners_in(name: str) -> list[type]:
    """The dataclasses of a module of the model."""
    return [
        owner
        for owner in vars(importlib.import_module(name)).values()
        if inspect.isclass(owner) and owner.__module__ == name and dataclasses.is_dataclass(owner)
        if not owner.__name__.startswith("_")  # a reader's own notes, in a drawing's unit that it does not know yet
    ]


@pytest.mark.parametrize("name", MODEL)
def test_each_number_in_the_model_says_its_unit_in_its_name(name):
    assert [fault for owner in owners_in(name) for fault in fields_without_suffix(owner)] == []


def test_every_name_excused_from_a_unit_is_a_field_of_the_model_or_of_a_fault():
    owners = [owner for name in (*MODEL, "bikewright.errors") for owner in owners_in(name)]
    fields = {field.name for owner in owners for field in dataclasses.fields(owner)}
    assert sorted(PURE_NUMBERS.keys() - fields) == []


GOOD = '''
def turned(points, angle: float, centre: "Array", name: str) -> "Array":
    """Turn points.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        Points, as (x, z),
        one a row. [m]
    angle, centre : float
        How far, and about what. [rad or m]
    name : str
        Said in an error.

    Returns
    -------
    ndarray
        Points. [m]
    """
'''


def test_the_rule_for_functions_catches_a_missing_unit_and_lets_a_full_text_pass():
    assert functions_without_units("plane", GOOD) == []
    assert len(functions_without_units("plane", GOOD.replace("one a row. [m]", "one a row."))) == 1
    assert len(functions_without_units("plane", GOOD.replace(" [rad or m]", ""))) == 2
    assert len(functions_without_units("plane", "def turned(points): ...")) == 1
    assert len(functions_without_units("plane", "class Path:\n    def at(self, travel: float): ...")) == 1


@pytest.mark.parametrize(
    ("source", "faults"),
    [
        ('@dataclass(frozen=True)\nclass R:\n    sag: float\n    """Sag. [m]"""\n    name: str\n', 0),
        ('@dataclass(frozen=True)\nclass R:\n    sag: float\n    """Sag."""\n', 1),
        ("@dataclass(frozen=True)\nclass R:\n    sag: NDArray[np.float64]\n", 1),
        ("@dataclass(frozen=True)\nclass R:\n    status: NDArray[np.int64]\n", 0),
        ('@dataclass\nclass R:\n    sag: float\n    """Sag. [m]"""\n', 1),
    ],
)
def test_the_rule_for_results_catches_a_missing_unit_and_a_class_that_is_not_frozen(source, faults):
    assert len(fields_without_units("plane", source)) == faults


def test_the_rule_for_the_model_catches_a_number_without_a_unit():
    @dataclasses.dataclass(frozen=True)
    class Fork:
        travel_mm: float
        preload_mm_per_turn: float | None
        name: str
        stroke: float
        length: typing.Annotated[float | None, "checked"]
        places: tuple[float, ...]
        path: tuple[str | int, ...]

    assert [fault.rpartition(".")[2] for fault in fields_without_suffix(Fork)] == ["stroke", "length", "places"]

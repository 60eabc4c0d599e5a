"""The JSON twins say what the commands say with --json."""

import json
import subprocess
import sys

import jsonschema
import pytest

from bikewright.model.addresses import apply, read_change
from bikewright.model.files import read_bike
from bikewright.model.versions import keep
from bikewright.studies.evaluate import evaluate
from tests.interfaces.cli.schemas import SCHEMAS
from tests.interfaces.web.rooms import PIN, copy_of, served, window


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return copy_of("quillback", tmp_path_factory.mktemp("twins") / "bike")


@pytest.fixture
def asked(folder):
    with served(folder) as asked:
        yield asked


@pytest.mark.parametrize(
    ("path", "command"),
    [
        ("/answer.json?build=stock", ["show", "--build", "stock"]),
        ("/answer.json?build=coil&size=M&with=fork_spacers%3D2",
         ["show", "--build", "coil", "--size", "M", "--with", "fork_spacers=2"]),
        ("/curves.json?build=stock&key=leverage_ratio&key=axle_x_mm",
         ["curve", "--build", "stock", "leverage_ratio", "axle_x_mm"]),
        ("/sizes.json?build=stock&state=stated-sag", ["table", "--build", "stock", "--state", "stated-sag"]),
        (f"/comparison.json?build=stock&with={PIN}%2B%3D1", ["compare", "--build", "stock", "--with", f"{PIN}+=1"]),
        (f"/comparison.json?build=stock&sizes=1&with={PIN}%2B%3D1",
         ["compare", "--build", "stock", "--sizes", "--with", f"{PIN}+=1"]),
        ("/words.json", ["words"]),
    ],
)  # fmt: skip
def test_a_twin_is_the_document_of_the_command(asked, folder, path, command):
    bike = [] if command == ["words"] else [str(folder)]
    run = [sys.executable, "-m", "bikewright.interfaces.cli.main", command[0], *bike, *command[1:], "--json"]
    printed = subprocess.run(run, capture_output=True, text=True, check=False).stdout
    assert alike(asked.get(path).json(), json.loads(printed))


def alike(one, other):
    """Equal, but for the name and key of a changed build, and the last digits of a compiled kernel."""
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(
            alike(one[key], other[key]) for key in one if not (key in ("build", "key") and isinstance(one[key], str))
        )
    if isinstance(one, list):
        return len(one) == len(other) and all(map(alike, one, other))
    return one == (pytest.approx(other, rel=1e-9, abs=1e-9) if isinstance(one, float) else other)


def test_a_twin_shows_the_draft(asked, folder):
    bike = read_bike(folder)
    draft = apply(bike.build("stock"), read_change("sizes.L.reach_mm=499"), bike.stock)
    with window(asked, build="stock") as line:
        line.say(make={"n": 1, "id": "1", "changes": ["sizes.L.reach_mm=499"]})
        line.wait_for("done", n=1)
    values = asked.get("/answer.json?build=stock&state=table").json()["values"]
    found = next(row["value"] for row in values if row["key"] == "reach_mm")
    assert found == pytest.approx(evaluate(draft).value("reach_mm").number)
    assert found != pytest.approx(evaluate(bike.build("stock")).value("reach_mm").number)


def test_parts_and_brief_are_those_of_the_bike(asked, folder):
    bike = read_bike(folder)
    parts = asked.get("/parts.json").json()
    assert [part["name"] for part in parts["shelves"]["fork"]] == [part.name for part in bike.stock.shelf("fork")]
    assert [rider["name"] for rider in parts["riders"]] == [rider.name for rider in bike.riders]
    lines = asked.get("/brief.json").json()["lines"]
    assert [line["name"] for line in lines] == [line.name for line in bike.brief.lines]


def test_versions_are_listed_read_and_compared(asked, folder):
    bike = read_bike(folder)
    build = bike.build("stock")
    first = keep(folder, build, "one", note="a").label
    second = keep(folder, apply(build, read_change(f"{PIN}+=1"), bike.stock), "two").label
    (folder / "versions" / "0099-broken.toml").write_text("x", encoding="utf-8")
    rows = asked.get("/versions.json").json()["versions"]
    assert [row["label"] for row in rows] == [first, second, "0099-broken"]
    assert rows[0]["note"] == "a"
    assert "no kept version" in rows[2]["trouble"]
    assert asked.get(f"/versions.json?label={first}").json()["build"]["size"] == build.size
    told = asked.get(f"/comparison.json?from={first}&to={second}").json()["sizes"][0]
    assert [cause["address"] for cause in told["causes"]] == ["linkage.pins.rocker"]


@pytest.mark.fault
@pytest.mark.parametrize(
    "path",
    ["/answer.json?build=nobody", "/answer.json?size=nobody", "/answer.json?state=flying", "/curves.json",
     "/curves.json?key=nothing", "/curves.json?key=reach_mm", "/sizes.json?state=x", "/versions.json?label=../bike",
     "/comparison.json?to=none", "/answer.json?with=nothing", "/answer.json?" + "with=fork_spacers%3D1&" * 300],
)  # fmt: skip
def test_a_question_that_cannot_be_meant_is_a_document_too(asked, path):
    answer = asked.get(path)
    assert answer.status_code == 400
    jsonschema.validate(answer.json(), SCHEMAS["error"], cls=jsonschema.Draft202012Validator)
    assert answer.json()["error"]

"""The JSON twins say what the commands say with --json."""

import json
from contextlib import chdir

import jsonschema
import pytest

from bikewright.errors import AddressError
from bikewright.interfaces.web.range_questions import steps_question
from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.brief import line_key
from bikewright.model.files import read_bike
from bikewright.model.versions import keep
from bikewright.studies.bar_steps import BAR_RULES
from bikewright.studies.check import brief_rows
from bikewright.studies.evaluate import evaluate
from bikewright.studies.setup import setup_for
from bikewright.studies.side_by_side import side_by_side
from bikewright.studies.step_rules import RULES
from tests.interfaces.cli.asked import ask
from tests.interfaces.cli.schemas import SCHEMAS
from tests.interfaces.web.rooms import PIN, copy_of, served, window


@pytest.fixture
def folder(tmp_path):
    """Of each test alone: a draft or a kept version stays in it."""
    return copy_of("quillback", tmp_path / "bike")


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
        ("/fit.json?build=stock&size=S&rider=adebo", ["fit", "--build", "stock", "--size", "S", "--rider", "adebo"]),
        ("/fit.json?build=coil&stated-sag=1&with=seatpost%3Ddropper-125",
         ["fit", "--build", "coil", "--stated-sag", "--with", "seatpost=dropper-125"]),
        ("/setup.json?build=stock&rider=tamsin&sag_rear=28&base=stock",
         ["setup", "--build", "stock", "--rider", "tamsin", "--sag-rear", "28", "--base", "stock"]),
        ("/setup.json?build=stock&against=tamsin&base=home-trail",
         ["setup", "--build", "stock", "--against", "tamsin", "--base", "home-trail"]),
        ("/coil.json?build=stock&progression_min=18", ["coil", "--build", "stock", "--progression-min", "18"]),
        ("/steps.json?build=stock&rule=equal&step=reach%3D25&keep=M&own=S%3Dtamsin",
         ["steps", "--build", "stock", "--rule", "equal", "--step", "reach=25", "--keep", "M", "--own", "S=tamsin"]),
        ("/steps.json?build=stock&rule=share&cap=430..450&within=0.4",
         ["steps", "--build", "stock", "--rule", "share", "--cap", "430..450", "--within", "0.4"]),
        ("/steps.json?of=bar&build=stock&rule=equal&step=bar_width%3D20&keep=M",
         ["steps", "--build", "stock", "--of", "bar", "--rule", "equal", "--step", "bar_width=20", "--keep", "M"]),
        ("/tunes.json?build=stock&build=coil&base=stock&sag_front=18",
         ["tunes", "--builds", "stock,coil", "--base", "stock", "--sag-front", "18"]),
        ("/cockpit.json?build=stock&want=seated-length%3D615&by=reach",
         ["cockpit", "--build", "stock", "--want", "seated-length=615", "--by", "reach"]),
        ("/cockpit.json?build=stock&size=M&want=hand-height%3D41+in&by=spacers&with=rider%3Dtamsin",
         ["cockpit", "--build", "stock", "--size", "M", "--want", "hand-height=41 in", "--by", "spacers",
          "--with", "rider=tamsin"]),
        ("/words.json", ["words"]),
    ],
)  # fmt: skip
def test_a_twin_is_the_document_of_the_command(asked, folder, path, command):
    bike = [] if command == ["words"] else [str(folder)]
    printed = ask(command[0], *bike, *command[1:], "--json").out
    assert alike(asked.get(path).json(), json.loads(printed))


def test_coverage_is_the_document_of_the_command(asked, folder):
    query = "build=stock&for=S%3Aseatpost%3Ddropper-125&bound=standing.shoulder%3D40..54&women_pct=30"
    options = ["--build", "stock", "--for", "S:seatpost=dropper-125", "--bound", "standing.shoulder=40..54"]
    told = ask("coverage", folder, *options, "--women-pct", "30", "--json").out
    assert alike(asked.get(f"/coverage.json?{query}").json(), json.loads(told))


def printed(folder, *arguments):
    """What a command prints in the bike's folder."""
    with chdir(folder):
        return json.loads(ask(*arguments, "--json").out)


def shown_at_last(asked, address):
    """What the page hears once it is worked out."""
    while (found := asked.get(address)).status_code == 202:
        pass
    return found


def test_coverage_with_a_list_is_the_document_of_the_command(asked, folder):
    told = printed(folder, "coverage", ".", "--build", "stock", "--list", "buyers.csv", "--population", "buyers.csv")
    assert alike(asked.get("/coverage.json?build=stock&list=buyers.csv&population=buyers.csv").json(), told)
    assert told["buyers"]["agree"]["of"] == len(told["buyers"]["people"])
    shown = shown_at_last(asked, "/shown/coverage.json?build=stock&list=buyers.csv&population=buyers.csv").json()
    rows = shown["buyers"]["rows"]
    agree = told["buyers"]["agree"]
    assert rows[0][2] == f"{agree['count']} of {agree['of']}"


def test_a_list_is_refused_as_the_command_refuses_it(asked, folder):
    (folder / "bad.csv").write_text("height,size\n178,L\n179 cm,Q\n", encoding="utf-8")
    told = printed(folder, "coverage", ".", "--build", "stock", "--list", "bad.csv")
    found = asked.get("/coverage.json?build=stock&list=bad.csv")
    assert found.status_code == 400
    assert found.json() == told
    assert [(fault["line"], fault["column"]) for fault in told["faults"]] == [(2, 1), (3, 2)]
    shown = shown_at_last(asked, "/shown/coverage.json?build=stock&list=bad.csv").json()
    assert shown["list_trouble"] == told["error"]
    assert shown["bands"]


@pytest.mark.parametrize("old", ["version", "folder"])
def test_an_old_range_is_the_document_of_the_command(asked, folder, old):
    bike = read_bike(folder)
    if old == "version":
        changed = apply(bike.build("stock"), read_change("sizes.M.reach_mm-=12"), bike.stock)
        label = keep(folder, changed, "as-sold").label
        query, options = f"old=version:{label}", [".", ".", "--old-version", label]
    else:
        copy_of("wherry", folder.parent / "wherry")
        query, options = "old=folder:wherry&bound=standing.shoulder%3D38..54", ["../wherry", "."]
        options += ["--bound", "standing.shoulder=38..54"]
    told = printed(folder, "regroup", *options, "--build", "stock")
    assert alike(asked.get(f"/regroup.json?build=stock&{query}").json(), told)
    shown = shown_at_last(asked, f"/shown/regroup.json?build=stock&{query}").json()
    assert len(shown["loses"]) == sum(group["loses"] for group in told["groups"])
    assert len(shown["groups"]) == sum(bool(group["old"] and group["new"]) for group in told["groups"])


@pytest.mark.fault
def test_a_folder_elsewhere_is_no_old_range(asked, folder):
    elsewhere = copy_of("wherry", folder.parent.parent / f"{folder.parent.name}-elsewhere")
    (folder.parent / "link").symlink_to(elsewhere)
    for name in ("", "..", ".", "/etc", str(elsewhere), f"../{elsewhere.name}", "link", "bike/../..", "none", "\0"):
        found = asked.get("/shown/regroup.json", params={"build": "stock", "old": f"folder:{name}"})
        assert (found.status_code, found.json()["at"]) == (400, "old"), name
        assert "Wherry" not in found.text
    assert asked.get("/shown/olds.json").json()["folders"] == []
    copy_of("wherry", folder.parent / "wherry")
    assert asked.get("/shown/olds.json").json()["folders"] == ["wherry"]


@pytest.mark.fault
@pytest.mark.parametrize(
    ("query", "at"),
    [("coverage.json?women_pct=120", "women_pct"), ("coverage.json?women_pct=some", "women_pct"),
     ("coverage.json?bound=standing.knee%3D90..30", "bound standing.knee"), ("coverage.json?own=Q%3Djoren", "own"),
     ("coverage.json?list=none.csv", "list"), ("coverage.json?population=none.csv", "population"),
     ("coverage.json?population=few.csv", "population"), ("coverage.json?for=S", "for"),
     ("steps.json?rule=share&within=-1", "within"), ("steps.json?rule=share&within=nan", "within"),
     ("steps.json?rule=share&cap=450..430", "cap"), ("steps.json?rule=equal&step=reach%3Dx", "step"),
     ("regroup.json", "old"), ("regroup.json?old=files&old_build=nobody", "old"),
     ("regroup.json?old=files&list=bad.csv", "list"), ("cockpit.json?want=seated-length", "want"),
     ("cockpit.json?want=taste%3D3", "want")],
)  # fmt: skip
def test_what_is_refused_says_at_which_field(asked, folder, query, at):
    (folder / "few.csv").write_text("height\n178 cm\n", encoding="utf-8")
    (folder / "bad.csv").write_text("height\n178\n", encoding="utf-8")
    found = shown_at_last(asked, f"/shown/{query}")
    assert (found.status_code, found.json()["at"]) == (400, at)


def test_what_is_worded_for_the_page_is_of_the_same_answer(asked, folder):
    bike = read_bike(folder)
    fit = asked.get("/fit.json?build=stock&size=S&rider=adebo").json()
    shown = asked.get("/shown/fit.json?build=stock&size=S&rider=adebo").json()
    assert (shown["fits"], shown["reasons"]) == (fit["fits"], fit["reasons"])
    for one, other in zip(shown["postures"], fit["postures"], strict=True):
        assert [a["outside"] for a in one["angles"]] == [a["verdict"] != "inside" for a in other["angles"]]
    taken = asked.get("/shown/setup.json?build=coil&rider=tamsin").json()["changes"]
    build = bike.build("coil")
    for text in taken:
        build = apply(build, read_change(text), bike.stock, bike.riders)
    found = setup_for(apply(bike.build("coil"), read_change("rider=tamsin"), bike.stock, bike.riders), bike.stock).build
    assert build.parts == found.parts
    for name in ("fork_pressure_bar", "front_tyre_bar", "rear_tyre_bar", "shock_preload_turns", "fork_spacers"):
        assert getattr(build.settings, name) == pytest.approx(getattr(found.settings, name), abs=0.005), name


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
    assert "0099-broken.toml, line 1" in rows[2]["trouble"]
    assert asked.get(f"/versions.json?label={first}").json()["build"]["size"] == build.size
    told = asked.get(f"/comparison.json?from={first}&to={second}").json()["sizes"][0]
    assert [cause["address"] for cause in told["causes"]] == ["linkage.pins.rocker"]


def test_versions_files_and_draft_are_laid_beside_one_another(asked, folder):
    bike = read_bike(folder)
    kept = apply(bike.build("stock"), read_change(f"{PIN}+=4"), bike.stock)
    label = keep(folder, kept, "beside").label
    with window(asked, build="stock") as line:
        line.say(make={"n": 1, "id": "b", "changes": ["fork=single-crown-170"]})
        line.wait_for("done", n=1)
    query = f"of=files&of=draft&of={label}&build=stock&size=XL"
    told = asked.get(f"/side-by-side.json?{query}").json()
    jsonschema.validate(told, SCHEMAS["side-by-side"], cls=jsonschema.Draft202012Validator)
    draft = apply(bike.build("stock"), read_change("fork=single-crown-170"), bike.stock)
    found = side_by_side([with_value(b, "size", "XL") for b in (bike.build("stock"), draft, kept)], bike.brief)
    assert [(one["of"], one["size"]) for one in told["builds"]] == [("files", "XL"), ("draft", "XL"), (label, "XL")]
    assert [(row["key"], row["state"] or "") for row in told["rows"]] == [(r.quantity.key, r.state) for r in found.rows]
    for row, own in zip(told["rows"], found.rows, strict=True):
        assert [one["value"] for one in row["builds"]] == [
            None if t.value.number is None else pytest.approx(t.value.number, rel=1e-9, abs=1e-9) for t in own.told
        ]
    assert [(pair["from"], pair["to"]) for pair in told["pairs"]] == [(0, 1), (0, 2), (1, 2)]
    shown = asked.get(f"/shown/side-by-side.json?{query}&key=leverage_ratio&state=standing").json()
    assert len(shown["rows"]) == len(told["rows"])
    assert [len(line["y"]) for line in shown["curves"][0]["lines"]] == [101] * 3
    assert all(pose["state"] == "standing" for pose in shown["poses"])


def test_the_brief_says_what_each_line_says_of_the_build(asked, folder):
    bike = read_bike(folder)
    told = asked.get("/brief.json?build=coil&size=M&with=rear_tyre_bar%3D2").json()
    jsonschema.validate(told, SCHEMAS["brief"], cls=jsonschema.Draft202012Validator)
    lines = told["lines"]
    build = with_value(bike.build("coil"), "size", "M")
    build = apply(build, read_change("rear_tyre_bar=2"), bike.stock)
    rows = brief_rows(build, bike.brief, bike.riders)
    assert [line["verdict"] for line in lines] == [None if row.judged is None else row.judged.verdict for row in rows]
    shown = asked.get("/shown/brief.json?build=coil&size=M").json()["lines"]
    assert [line["line"] for line in shown] == [line_key(line) for line in bike.brief.lines]
    assert all(line["verdict_text"] for line in shown)


@pytest.mark.fault
@pytest.mark.parametrize(
    "path",
    ["/answer.json?build=nobody", "/answer.json?size=nobody", "/answer.json?state=flying", "/curves.json",
     "/curves.json?key=nothing", "/curves.json?key=reach_mm", "/sizes.json?state=x", "/versions.json?label=../bike",
     "/comparison.json?to=none", "/answer.json?with=nothing",
     "/side-by-side.json", "/side-by-side.json?of=files", "/side-by-side.json?of=files&of=files",
     "/side-by-side.json?of=files&of=none", "/side-by-side.json?of=files&of=draft&of=a&of=b",
     "/side-by-side.json?of=files&of=draft&build=nobody", "/shown/side-by-side.json?of=files&of=draft&key=nothing",
     "/fit.json?rider=nobody", "/fit.json?build=datum&rider=", "/setup.json?base=nothing", "/setup.json?sag_rear=x",
     "/setup.json?sag_rear=nan", "/setup.json?against=nobody", "/coil.json?progression_min=steep", "/steps.json",
     "/steps.json?rule=taste", "/steps.json?rule=equal&step=reach", "/steps.json?rule=share&within=a",
     "/steps.json?of=bar&rule=share", "/steps.json?of=taste&rule=equal",
     "/coverage.json?for=S", "/coverage.json?bound=x", "/coverage.json?women_pct=120", "/tunes.json?base=nothing",
     "/regroup.json", "/regroup.json?old=folder:../x", "/regroup.json?old=version:none", "/cockpit.json",
     "/cockpit.json?want=seated-length%3D615", "/cockpit.json?want=seated-length%3D9000&by=reach",
     "/coverage.json?list=../bike.toml", "/coverage.json?list=held-0",
     "/answer.json?" + "with=fork_spacers%3D1&" * 300],
)  # fmt: skip
def test_a_question_that_cannot_be_meant_is_a_document_too(asked, path):
    answer = asked.get(path)
    assert answer.status_code == 400
    jsonschema.validate(answer.json(), SCHEMAS["error"], cls=jsonschema.Draft202012Validator)
    assert answer.json()["error"]


def test_the_rules_that_the_page_offers_are_asked_as_it_says(asked):
    """Each step by its name and each tolerance in its field; a step or a rule of the other kind is refused."""
    frame, bar = asked.get("/shown/rules.json").json()["stepped"]
    assert [one["rule"] for one in frame["rules"]] == list(RULES)
    assert [one["rule"] for one in bar["rules"]] == list(BAR_RULES)
    for kind, other in ((frame, bar), (bar, frame)):
        for rule in kind["rules"]:
            for step in rule["steps"]:
                query = [("build", "stock"), ("of", kind["of"]), ("rule", rule["rule"]), ("step", f"{step['name']}=5")]
                assert steps_question(asked.bench.desk, query).asked.steps_mm == {step["name"]: 5.0}
                with pytest.raises(AddressError, match="is not stepped"):
                    steps_question(asked.bench.desk, [("of", other["of"]), *query])

"""`bikewright curve`: figures on a terminal, all points as CSV, a drawing with the build before dashed."""

import csv
import io

import pytest

from bikewright.errors import NotKnown
from bikewright.model.files import read_bike
from bikewright.quantities import CATALOGUE
from bikewright.studies.evaluate import curve_keys, evaluate
from tests.interfaces.cli.asked import CORBEL, QUILLBACK, WHERRY, ask
from tests.interfaces.cli.test_show import APART, LOCKS
from tests.model.small_bike import lay

SUSPENDED = (QUILLBACK, CORBEL)


def addresses(bike, scope="travel"):
    """Every curve that a bike has over one travel, of the forces those on its first pin."""
    answer = evaluate(read_bike(bike).builds[0])
    found = []
    for key in curve_keys():
        address = "pin_force/main" if key == "pin_force" else key
        try:
            answer.curve(address)
        except NotKnown:
            continue
        if CATALOGUE[key].scope == scope:
            found.append(address)
    return found


@pytest.mark.parametrize("bike", SUSPENDED, ids=lambda bike: bike.name)
def test_every_curve_fits_on_a_terminal(bike):
    asked = addresses(bike)
    told = ask("curve", bike, *asked)

    assert len(asked) > 8
    assert (told.code, told.err, told.too_wide) == (0, "", [])
    heads = [line for line in told.lines if line.startswith("  wheel travel")]
    assert len(heads) == len(told.out.split("\n\n")) > 1


def test_a_curve_over_the_fork_says_so_and_stands_apart(tmp_path):
    stock = (QUILLBACK, "--build", "stock")
    told = ask("curve", *stock, "fork_force_n", "leverage_ratio")

    assert told.code == 0
    assert told.lines[0].split() == ["fork", "travel", "fork", "force"]
    assert told.lines[13].split() == ["wheel", "travel", "leverage", "ratio"]
    refused = ask("curve", *stock, "fork_force_n", "leverage_ratio", "--out", tmp_path / "both.csv")
    assert refused.code == 2
    assert refused.err == "fork_force_n runs over fork travel, leverage_ratio does not; write them apart\n"
    assert ask("curve", *stock, "fork_force_n", "--out", tmp_path / "fork.csv").code == 0
    assert (tmp_path / "fork.csv").read_text().startswith("fork_travel_mm,fork_force_n\n")
    assert ask("curve", *stock, "fork_force_n", "--json").document("curves")["curves"][0]["fork_travel_mm"][0] == 0.0


def test_the_figures_are_of_the_curve():
    told = ask("curve", QUILLBACK, "leverage_ratio")
    curve = evaluate(read_bike(QUILLBACK).builds[0]).curve("leverage_ratio")

    rows = [line.split() for line in told.lines[1:]]
    assert len(rows) == 11
    assert rows[0] == ["0.0", f"{curve.y[0]:.2f}"]
    assert rows[-1] == [f"{curve.x_mm[-1]:.1f}", f"{curve.y[-1]:.2f}"]


@pytest.mark.parametrize("bike", SUSPENDED, ids=lambda bike: bike.name)
def test_csv_and_json_hold_every_point_of_the_study(bike, tmp_path):
    asked, out = addresses(bike), tmp_path / "curves.csv"
    assert ask("curve", bike, *asked, "--out", out).out == ""
    found = ask("curve", bike, *asked, "--json").document("curves")["curves"]
    answer = evaluate(read_bike(bike).builds[0])
    heads, *rows = csv.reader(io.StringIO(out.read_text(encoding="utf-8")))

    assert heads[0] == "wheel_travel_mm"
    assert all(head.startswith(address) for head, address in zip(heads[1:], asked, strict=True))
    assert len(rows) == 101
    for column, (address, document) in enumerate(zip(asked, found, strict=True), start=1):
        curve = answer.curve(address)
        told = [float(row[column]) if row[column] else None for row in rows]
        wanted = [float(y) if y == y else None for y in curve.y]
        assert document["values"] == wanted
        assert [None if y is None else float(f"{y:.9g}") for y in wanted] == told


def test_the_drawing_shows_the_build_before(tmp_path):
    change = ("--with", "chips.shock_mount=high")
    for name in ("leverage.svg", "leverage.png"):
        assert ask("curve", QUILLBACK, "leverage_ratio", *change, "--out", tmp_path / name).code == 0
    svg = (tmp_path / "leverage.svg").read_text(encoding="utf-8")
    assert svg.rstrip().endswith("</svg>")
    assert ">before<" in svg
    assert (tmp_path / "leverage.png").read_bytes().endswith(b"IEND\xaeB`\x82")


def test_curves_of_two_units_are_not_drawn_on_one_axis(tmp_path):
    told = ask("curve", QUILLBACK, "leverage_ratio", "axle_x_mm", "--out", tmp_path / "both.svg")

    assert told.code == 2
    assert "leverage_ratio and axle_x_mm have different units" in told.err
    assert list(tmp_path.iterdir()) == []
    assert ask("curve", QUILLBACK, "leverage_ratio", "axle_x_mm", "--out", tmp_path / "both.csv").code == 0


def test_other_units_show_converted_numbers():
    told = ask("curve", QUILLBACK, "axle_x_mm", "--units", "in")
    curve = evaluate(read_bike(QUILLBACK).builds[0]).curve("axle_x_mm")

    assert told.lines[-1].split() == [f"{curve.x_mm[-1] / 25.4:.2f}", f"−{-curve.y[-1] / 25.4:.2f}", "in"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("leverage_ratoi",), "Did you mean leverage_ratio"),
        (("head_angle_deg",), "head_angle_deg is a number, not a curve"),
        (("pin_force/nowhere",), "'pin_force/nowhere' names no curve; there are: pin_force/main"),
        (("leverage_ratio", "--with", "shock=unknown"), "waits for a shock"),
        (("leverage_ratio", "--out", "curve.xlsx"), "this is written as .svg or .png or .csv, not as '.xlsx'"),
    ],
)
def test_what_cannot_be_shown_is_one_sentence(words, told):
    answer = ask("curve", QUILLBACK, *words)

    assert (answer.code, answer.out) == (2, "")
    assert told in answer.err
    assert answer.err.count("\n") == 1


def test_a_linkage_that_cannot_close_has_no_curve_and_says_where(tmp_path):
    told = ask("curve", lay(tmp_path), "leverage_ratio", "--with", LOCKS)

    assert (told.code, told.out) == (2, "")
    assert told.err.startswith(APART)


def test_a_change_shows_its_curve_though_the_build_before_has_none(tmp_path):
    bare = ("curve", lay(tmp_path), "leverage_ratio", "--build", "race")
    assert ask("set", tmp_path, "shock=unknown", "--build", "race").code == 0
    given = ("--with", "shock=air-230-60", "--with", "shock.chassis.stroke_mm=10")

    assert "waits for a shock" in ask(*bare).err
    assert ask(*bare, *given).code == 0
    assert ask(*bare, *given, "--out", tmp_path / "curve.csv").code == 0


def test_a_hardtail_has_no_curve():
    told = ask("curve", WHERRY, "leverage_ratio")

    assert told.code == 2
    assert told.err == "leverage ratio does not apply: this frame has no rear suspension\n"

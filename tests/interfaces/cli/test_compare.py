"""`bikewright compare`: refusals first, then verdicts, then causes; its exit code tells a script which."""

import pytest

from bikewright.model.addresses import apply, read_change
from bikewright.model.files import read_bike
from bikewright.studies.compare import compare
from bikewright.studies.evaluate import evaluate
from tests.interfaces.cli.asked import BIKES, CORBEL, QUILLBACK, ask
from tests.interfaces.cli.test_show import APART, LOCKS
from tests.model.small_bike import lay, with_change

CHANGE = ("--with", "fork=single-crown-170", "--with", "headset=reach-plus-5", "--with", "chips.shock_mount=high")
SHORT = with_change("parts/suspension.toml", "stroke_mm = 60", "stroke_mm = 10")
WHOLE = ("--with", "shock.chassis.stroke_mm=60")
"""The small bike closes over a short stroke; over the whole one, with a pin moved, it does not."""
MAIN = ("compare", QUILLBACK, "--build", "stock", *CHANGE)


def after_stock():
    bike = read_bike(QUILLBACK)
    before = build = bike.build("stock")
    for text in CHANGE[1::2]:
        build = apply(build, read_change(text), bike.stock, bike.riders)
    return before, build, bike.brief


def test_the_main_job_in_words():
    told = ask(*MAIN)

    assert (told.code, told.err, told.too_wide) == (1, "", [])
    assert told.lines[0] == "Quillback, size L: from stock, what follows, most felt first"
    order = [line for line in told.lines if line[:1].isdigit() or line in ("Refused", "Brief")]
    assert order[0] == "Brief"
    assert {line.split("  ")[1].split(":")[0] for line in order[1:]} == {"fork", "headset", "chip shock_mount"}
    assert "Not modelled:" in told.out and "Limits printed on a part come first." in told.out


def test_the_numbers_in_json_are_those_of_the_study():
    before, after, brief = after_stock()
    (found,) = ask(*MAIN, "--json").document("comparison")["sizes"]
    theirs = compare(before, after, brief)

    assert (found["before"]["build"], found["after"]["build"], found["felt"]) == ("stock", "stock-changed", True)
    assert [cause["address"] for cause in found["causes"]] == [cause.address for cause in theirs.causes]
    told = [
        one
        for cause in found["causes"]
        for headline in cause["headlines"]
        for one in (headline["lead"], *headline["echoes"])
    ]
    assert len(told) == len(theirs.consequences) > 20
    answers = evaluate(before), evaluate(after)
    for one in told:
        address = f"{one['key']}@{one['state']}" if one["state"] else one["key"]
        old, new = (answer.value(address).number for answer in answers)
        assert (one["before"], one["after"]) == (old, new)
        assert one["change"] == (None if old is None or new is None else new - old)


@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
def test_a_build_against_itself_is_no_change(bike):
    told = ask("compare", bike)

    assert told.code == 0
    assert "Nothing differs between the two builds." in told.out


def test_what_nobody_feels_is_exit_code_0():
    told = ask("compare", QUILLBACK, "--with", "stem_spacers_mm+=1")

    assert told.code == 0
    assert "nobody feels it" in told.out
    assert len(ask("compare", QUILLBACK, "--with", "stem_spacers_mm+=1", "--all").lines) > len(told.lines)


def test_a_felt_change_is_exit_code_1_in_both_forms():
    for form in ((), ("--json",), ("--all",), ("--sizes",)):
        assert ask("compare", QUILLBACK, "--with", "fork=single-crown-170", *form).code == 1


@pytest.mark.parametrize(
    ("change", "place", "limit"),
    [
        ("fork.chassis.bottomed_length_mm=440", "fork: the fork, axle to crown, is 600 mm", "580 mm"),
        ("rear_tyre.width_mm=80", "rear tyre: the rear tyre's width is 80 mm", "63.5 mm"),
        ("shock.chassis.stroke_mm=90", "shock: the shock's stroke is 90 mm", ""),
    ],
)
def test_what_the_frame_does_not_allow_comes_first_and_is_exit_code_2(change, place, limit):
    told = ask("compare", QUILLBACK, "--with", change)

    assert told.code == 2
    assert told.lines[2] == "Refused"
    assert told.lines[3].startswith(f"  {place}")
    assert f"the limit is {limit}" in " ".join(told.out.split())
    (found,) = ask("compare", QUILLBACK, "--with", change, "--json").document("comparison")["sizes"]
    assert len(found["refusals"]) == 1


def test_a_linkage_that_cannot_close_is_told_with_its_place_and_is_exit_code_2(tmp_path):
    told = ask("compare", lay(tmp_path, SHORT), "--with", LOCKS, *WHOLE)

    assert told.code == 2
    words = " ".join(told.out.split())
    assert f"No value any more: {APART}" in words
    assert "lost: " in words and "rear travel" in words
    assert ask("compare", tmp_path, "--with", LOCKS, *WHOLE, "--json").document("comparison")["sizes"][0]["stopped"]


def test_a_stroke_longer_than_the_linkage_allows_is_told_with_its_place():
    """The Corbel has no limit on paper once it is taken out; the linkage itself then says how far it goes."""
    told = ask("compare", CORBEL, "--with", "limits.shock_stroke_max_mm=149", "--with", "shock.chassis.stroke_mm=149")

    assert told.code == 2
    assert "Refused" not in told.out
    assert "mm of shock stroke" in " ".join(told.out.split())
    assert "after 124." in " ".join(told.out.split())


def test_a_part_taken_off_costs_values_but_is_no_error():
    told = ask("compare", QUILLBACK, "--with", "stem=unknown")

    assert told.code == 1
    assert "No value any more: waits for a stem" in told.out


def test_all_sizes_lists_each_size_once_the_worst_in_full():
    told = ask("compare", QUILLBACK, "--with", "fork=single-crown-170", "--sizes")
    found = ask("compare", QUILLBACK, "--with", "fork=single-crown-170", "--sizes", "--json").document("comparison")

    sizes = [size.name for size in read_bike(QUILLBACK).frame.sizes]
    summary = told.out.split("\n\n")[0].splitlines()[1:]
    listed = [line.split()[0] for line in summary if line[2:3] != " "]
    assert sorted(listed) == sorted(sizes)
    assert [one["after"]["size"] for one in found["sizes"]] == listed
    assert f"size {listed[0]}: from datum" in told.out


def test_another_build_and_a_later_revision_can_stand_after(tmp_path):
    assert "rider: unknown → adebo" in ask("compare", QUILLBACK, "--to", "coil").out

    old, new = lay(tmp_path / "a"), lay(tmp_path / "b")
    text = (new / "bike.toml").read_text().replace("reach_mm = 455", "reach_mm = 465")
    (new / "bike.toml").write_text(text)
    told = ask("compare", old, "--against", new)
    assert told.code == 1
    assert "reach of size M: 455 mm → 465 mm" in told.out


def test_other_units_show_converted_numbers():
    told = ask(*MAIN, "--units", "in,psi,lb")

    assert (told.code, told.too_wide) == (1, [])
    before, after, _ = after_stock()
    old, new = (evaluate(build).value("bb_height_mm").number / 25.4 for build in (before, after))
    assert f"{old:.1f} in → {new:.1f} in" in told.out


def test_the_drawing_is_written_whole_beside_the_words(tmp_path):
    for name in ("both.svg", "both.png"):
        told = ask(*MAIN, "--drawing", tmp_path / name)
        assert told.code == 1
    assert (tmp_path / "both.svg").read_text(encoding="utf-8").rstrip().endswith("</svg>")
    assert (tmp_path / "both.png").read_bytes().endswith(b"IEND\xaeB`\x82")
    assert sorted(file.name for file in tmp_path.iterdir()) == ["both.png", "both.svg"]


def test_a_drawing_of_no_known_kind_is_refused_before_anything_is_told(tmp_path):
    told = ask(*MAIN, "--drawing", tmp_path / "both.pdf")

    assert (told.code, told.out) == (2, "")
    assert told.err == "'both.pdf': this is written as .svg or .png, not as '.pdf'\n"


def test_what_cannot_be_drawn_is_still_told_in_words(tmp_path):
    told = ask("compare", QUILLBACK, "--with", "shock.chassis.eye_to_eye_mm=300", "--drawing", tmp_path / "both.svg")

    assert told.code == 2
    assert told.lines[0].startswith("Quillback, size M: from datum")
    assert told.err.startswith("no drawing: ")
    assert list(tmp_path.iterdir()) == []

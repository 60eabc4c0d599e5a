"""The brief against a build: which line holds where, in which state, with which rider, and what stays open."""

import pytest

from bikewright.errors import AddressError, ModelError
from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.brief import Brief, BriefLine
from bikewright.model.files import read_bike
from bikewright.studies.check import brief_rows, check_brief
from bikewright.studies.evaluate import evaluate
from bikewright.studies.verdicts import line_for
from tests.interfaces.cli.asked import BIKES, CORBEL, QUILLBACK
from tests.sample_bike import BRIEF, BUILD, RIDERS, STOCK


def changed(*texts):
    build = BUILD
    for text in texts:
        build = apply(build, read_change(text), STOCK, RIDERS)
    return build


def brief(*lines):
    return Brief(lines=tuple(BriefLine(**line) for line in lines))


@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
def test_every_line_is_judged_in_every_size_that_it_holds_for_by_the_value_of_the_answer(bike):
    folder = read_bike(bike)
    found = check_brief(folder.build("stock"), folder.brief, folder.riders)

    names = [size.name for size in folder.frame.sizes]
    asked = [line for line in folder.brief.lines if line.low is not None or line.high is not None]
    assert [line.line for line in found.lines] == asked
    for line in found.lines:
        assert [one.size for one in line.sizes] == ([line.line.size] if line.line.size else names)
        for one in line.sizes:
            address = f"{line.quantity.key}@{line.state}" if line.state else line.quantity.key
            assert one.value == evaluate(one.build).value(address)
            number = one.value.number
            assert number is not None
            shown = round(number, line.quantity.decimals)
            low, high = line.line.low, line.line.high
            inside = (low is None or shown >= low) and (high is None or shown <= high)
            assert (one.judged.verdict == "met") is inside


def test_a_missed_line_says_by_how_much_and_in_which_size():
    found = check_brief(changed("sizes.L.head_angle_deg=63.5"), BRIEF)
    (missed,) = found.standing("missed")

    assert missed.line.name == "head_angle_deg"
    assert [(one.size, one.judged.verdict) for one in missed.sizes] == [("M", "met"), ("L", "low")]
    value = evaluate(with_value(changed("sizes.L.head_angle_deg=63.5"), "size", "L")).value("head_angle_deg@table")
    assert missed.sizes[1].judged.short_by == pytest.approx(64.2 - round(value.number, 1))
    assert not found.is_met


def test_a_line_without_a_state_is_judged_in_the_table_state_and_one_with_a_state_there():
    found = check_brief(
        BUILD, brief({"name": "head_angle_deg", "low": 1}, {"name": "head_angle_deg@standing", "low": 1})
    )

    assert [line.state for line in found.lines] == ["table", "standing"]
    assert found.lines[0].sizes[0].value.number == pytest.approx(64.5, abs=0.05)


def test_a_line_for_a_size_goes_before_one_for_all():
    found = check_brief(
        BUILD,
        brief({"name": "reach_mm", "low": 440, "high": 460}, {"name": "reach_mm@table", "high": 480, "size": "L"}),
    )

    assert [[one.size for one in line.sizes] for line in found.lines] == [["M"], ["L"]]
    assert found.is_met


def test_a_line_for_a_rider_is_judged_with_that_rider_on_the_bike():
    lines = brief(
        {"name": "seat_angle_at_saddle_deg", "low": 1},
        {"name": "seat_angle_at_saddle_deg", "low": 1, "rider": "ada"},
    )
    found = check_brief(BUILD, lines, RIDERS, ("M",))

    own, theirs = (line.sizes[0] for line in found.lines)
    assert own.build.rider is None
    assert theirs.build.rider.name == "ada"
    assert theirs.value == evaluate(BUILD.changed(rider=RIDERS[0])).value("seat_angle_at_saddle_deg@table")
    assert theirs.value.number != own.value.number


def test_a_line_for_a_rider_goes_before_one_for_all_where_that_rider_is_on_the_build():
    lines = brief({"name": "reach_mm", "low": 900}, {"name": "reach_mm", "low": 1, "rider": "ada"})
    ridden = BUILD.changed(rider=RIDERS[0])

    assert check_brief(ridden, lines, RIDERS, ("M",)).is_met
    assert not check_brief(BUILD, lines, RIDERS, ("M",)).is_met
    value = evaluate(ridden).value("reach_mm@table")
    assert line_for(lines, value, "M", "ada").low == 1
    assert line_for(lines, value, "M").low == 900


def test_a_line_for_a_gear_is_judged_in_that_gear():
    bike = read_bike(QUILLBACK)
    build = bike.builds[0]
    easiest = max(build.parts.cassette.teeth)
    gear = f"{build.parts.ring.teeth}x{easiest}"
    lines = brief(
        {"name": "anti_squat_at_sag_stated_pct", "low": 0, "high": 300},
        {"name": f"anti_squat_at_sag_stated_pct/{gear}", "low": 0, "high": 300},
        {"name": f"kickback_whole_deg/{gear}", "high": 90},
    )
    usual, named, kickback = check_brief(build, lines, sizes=("M",)).lines

    there = apply(build, read_change(f"settings.sag_gear={gear}"), bike.stock, bike.riders)
    assert named.sizes[0].value == evaluate(there).value("anti_squat_at_sag_stated_pct")
    assert named.sizes[0].value.number != usual.sizes[0].value.number
    assert kickback.stands == "open"
    assert "not told in a gear of its own" in kickback.sizes[0].value.waits


def test_a_gear_that_is_not_there_leaves_its_line_open_with_the_reason():
    build = read_bike(CORBEL).builds[0]
    (line,) = check_brief(build, brief({"name": "anti_squat_at_sag_pct/32x99", "low": 1}), sizes=("L",)).lines

    assert line.stands == "open"
    assert "there is no gear 32x99" in line.sizes[0].value.waits


def test_what_waits_is_neither_met_nor_missed():
    found = check_brief(changed("stem=unknown"), brief({"name": "bar_height_mm", "low": 900}))

    assert found.lines[0].stands == "open"
    assert all(one.value.waits.startswith("waits for a stem") for one in found.lines[0].sizes)
    assert not found.is_met


def test_a_refusal_is_told_once_with_its_sizes_and_the_check_is_not_met():
    found = check_brief(changed("fork=fork-190"), brief({"name": "reach_mm", "low": 1}))

    (refused,) = found.refused
    assert refused.refusal.address == "fork"
    assert refused.sizes == ("M", "L")
    assert found.standing("met") == found.lines
    assert not found.is_met


def test_a_felt_step_alone_is_nothing_to_be_met():
    lines = brief({"name": "reach_mm", "felt_step": 3}, {"name": "stack_mm", "low": 1})

    assert [line.quantity.key for line in check_brief(BUILD, lines).lines] == ["stack_mm"]


@pytest.mark.parametrize(
    "lines", [(), ({"name": "reach_mm", "felt_step": 3},), ({"name": "reach_mm", "low": 1, "size": "L"},)]
)
def test_a_brief_without_a_line_for_these_sizes_is_told_so(lines):
    with pytest.raises(ModelError, match="no line to judge in size M"):
        check_brief(BUILD, brief(*lines), sizes=("M",))


def test_a_size_and_a_rider_that_are_not_there_are_named():
    with pytest.raises(AddressError, match=r"no size is called 'Q'.*There are: M, L"):
        check_brief(BUILD, BRIEF, sizes=("Q",))
    with pytest.raises(ModelError, match=r"rider 'bob', who is not there; riders are: ada"):
        check_brief(BUILD, brief({"name": "reach_mm", "low": 1, "rider": "bob"}), RIDERS)


@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
def test_a_row_of_the_brief_says_what_the_check_says_of_its_line_in_that_size(bike):
    folder = read_bike(bike)
    build = folder.build("stock")
    rows = brief_rows(build, folder.brief, folder.riders)
    assert [row.line for row in rows] == list(folder.brief.lines)
    checked = {line.line: line for line in check_brief(build, folder.brief, folder.riders, [build.size]).lines}
    for row in rows:
        if row.line in checked:
            (one,) = checked[row.line].sizes
            assert (row.value, row.judged, row.apart) == (one.value, one.judged, "")
            assert row.state == checked[row.line].state
        else:
            assert row.judged is None
            assert row.apart == "size"
            assert row.line.size not in ("", build.size)
    assert len(checked) == sum(not row.apart for row in rows)


def test_a_row_that_is_not_judged_says_why_and_where_its_felt_step_comes_from():
    lines = brief(
        {"name": "reach_mm@table", "low": 1.0},
        {"name": "reach_mm@table", "low": 2.0, "size": BUILD.size},
        {"name": "reach_mm@table", "low": 3.0, "size": "none"},
        {"name": "head_angle_deg@table", "felt_step": 0.4},
        {"name": "head_angle_deg@stated-sag", "low": 60.0},
        {"name": "stack_mm@table", "low": 1.0},
    )
    rows = brief_rows(BUILD, lines, RIDERS)
    assert [row.apart for row in rows] == ["other line", "", "size", "no band", "", ""]
    assert [row.felt_from for row in rows] == ["catalogue", "catalogue", "catalogue", "line", "other", "catalogue"]
    assert [row.felt_step for row in rows[3:5]] == [0.4, 0.4]
    assert rows[0].value == evaluate(BUILD).value("reach_mm@table")
    assert rows[2].value is None

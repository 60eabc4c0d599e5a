"""Sizes stepped by each rule: the rule holds in the whole-bike answer of the changed bike, or the size says why not."""

from dataclasses import replace
from itertools import pairwise

import pytest

from bikewright.errors import AddressError, NotKnown, OutsideValidity
from bikewright.model.addresses import with_value
from bikewright.model.brief import Brief
from bikewright.model.files import read_bike
from bikewright.studies.bounds import fit_for
from bikewright.studies.compare import compare_sizes
from bikewright.studies.evaluate import evaluate
from bikewright.studies.resizing import dimensions_of, resized
from bikewright.studies.sag_share import front_share_pct
from bikewright.studies.step_rules import RULES, Asked, costs, sizes_and_costs, step_sizes
from tests.sample_bike import BUILD

BIKES = {name: read_bike(f"examples/{name}") for name in ("quillback", "wherry")}
BUILDS = {name: bike.build("stock") for name, bike in BIKES.items()}
# The same cranks in every size: with shorter ones a posture asks a shorter head tube of S than a table may hold.
STOCK = {name: with_value(build, "crank", build.parts.crank) for name, build in BUILDS.items()}
ASKED = Asked(keep="L", own={}, steps_mm={})


def in_size(build, size):
    return build.changed(size=size)


# One size with other dimensions


@pytest.mark.parametrize("name", BIKES)
def test_what_did_not_close_before_closes_by_as_much_after(name):
    """Stated less solved, of every number that the table states twice: within the 0.1 mm that lengths are given to."""
    build = in_size(STOCK[name], "L")
    changed, changes = resized(build, reach_mm=490.0, stack_mm=620.0, rear_centre_mm=446.0)
    before, after = evaluate(build), evaluate(changed)

    assert len(changes) >= 4
    for key in ("table_closing_mm", "table_wheelbase_gap_mm", "table_rear_centre_gap_mm", "table_bb_drop_gap_mm"):
        old, new = before.value(key).number, after.value(key).number
        assert (old is None) == (new is None)
        assert old is None or new == pytest.approx(old, abs=0.11), key
    gap = "table_seat_angle_gap_deg"
    if before.value(gap).number is not None:
        assert after.value(gap).number == pytest.approx(before.value(gap).number, abs=0.006)


@pytest.mark.parametrize("name", BIKES)
def test_the_bike_has_the_dimensions_asked_for(name):
    changed, _ = resized(in_size(STOCK[name], "L"), reach_mm=490.0, stack_mm=620.0, rear_centre_mm=446.0)
    answer = evaluate(changed)

    assert answer.value("reach_mm@table").number == pytest.approx(490.0, abs=0.05)
    assert answer.value("stack_mm@table").number == pytest.approx(620.0, abs=0.05)
    assert answer.value("rear_centre_mm@table").number == pytest.approx(446.0, abs=0.06)


def test_the_linkage_moves_as_a_whole_so_that_the_leverage_stays():
    build = in_size(STOCK["quillback"], "L")
    changed, _ = resized(build, rear_centre_mm=450.0)

    for key in ("leverage_start", "leverage_end", "rear_travel_mm"):
        assert evaluate(changed).value(key).number == pytest.approx(evaluate(build).value(key).number, abs=1e-9)


def test_the_same_dimensions_change_nothing():
    build = in_size(STOCK["quillback"], "M")
    same = dimensions_of(build)

    assert resized(build, reach_mm=same.reach_mm, stack_mm=same.stack_mm, rear_centre_mm=same.rear_centre_mm)[1] == ()


def test_a_size_that_draws_its_own_pins_is_refused():
    build = in_size(STOCK["quillback"], "L")
    own = with_value(build, "sizes.L.linkage.pins.rocker.x_mm", -9.5)

    with pytest.raises(OutsideValidity, match="draws pins of its own"):
        resized(own, rear_centre_mm=450.0)


# The rules


@pytest.mark.parametrize("name", BIKES)
def test_equal_steps_are_equal_through_the_ends(name):
    """Lengths are given to 0.1 mm, so steps differ by no more than twice half of that."""
    found = step_sizes(STOCK[name], "equal", ASKED)

    assert found.met
    for key in ("reach_mm", "stack_mm", "seat_tube_mm", "rear_centre_mm"):
        values = [getattr(one.after.dimensions, key) for one in found.sizes]
        steps = [after - before for before, after in pairwise(values)]
        assert max(steps) - min(steps) < 0.21, key
        assert values[0] == pytest.approx(getattr(found.sizes[0].before.dimensions, key), abs=0.06)
        assert values[-1] == pytest.approx(getattr(found.sizes[-1].before.dimensions, key), abs=0.06)


def test_a_stated_step_goes_out_from_the_kept_size():
    found = step_sizes(STOCK["quillback"], "equal", replace(ASKED, keep="M", steps_mm={"reach": 25.0}))

    assert [one.after.dimensions.reach_mm for one in found.sizes] == [434.0, 459.0, 484.0, 509.0, 534.0]


@pytest.mark.parametrize("name", BIKES)
def test_equal_posture_is_the_kept_sizes_in_the_fit_of_the_changed_bike(name):
    found = step_sizes(STOCK[name], "posture", ASKED)
    wanted = next(one.before for one in found.sizes if one.size == "L")
    held = [one for one in found.sizes if one.met]

    assert len(held) >= 3
    for one in held:
        fit = fit_for(in_size(found.after, one.size), one.own.rider)
        angles = {angle.name: angle.value_deg for angle in fit.postures[0].angles}
        assert angles["trunk"] == pytest.approx(wanted.trunk_deg, abs=found.within)
        assert angles["shoulder"] == pytest.approx(wanted.shoulder_deg, abs=found.within)


def test_a_posture_that_the_table_cannot_have_says_so_and_leaves_the_size():
    """The Wherry's S would need a head tube of 59 mm; the table begins at 60."""
    small = step_sizes(STOCK["wherry"], "posture", ASKED).sizes[0]

    assert not small.met
    assert small.changes == ()
    assert "which the geometry table cannot have" in small.told
    assert "head_tube_mm" in small.told


def test_equal_share_holds_where_the_cap_leaves_room():
    found = step_sizes(STOCK["quillback"], "share", replace(ASKED, cap_mm=(400.0, 490.0), within=0.05))
    wanted = next(one.before.front_share_pct for one in found.sizes if one.size == "L")

    assert found.met
    for one in found.sizes:
        ridden = in_size(found.after, one.size).changed(rider=one.own.rider)
        assert front_share_pct(evaluate(ridden)) == pytest.approx(wanted, abs=0.05)
        assert not one.at_cap


def test_a_cap_that_is_hit_is_told_with_what_is_left():
    found = step_sizes(STOCK["quillback"], "share", ASKED, BIKES["quillback"].brief)
    small = found.sizes[0]

    assert not found.met
    assert small.cap_mm == (434.0, 446.0)
    assert small.at_cap
    assert small.after.dimensions.rear_centre_mm == pytest.approx(434.0, abs=0.06)
    assert "at its cap of 434 mm" in small.told
    assert "over that of size L; allowed 0.5" in small.told


def test_without_brief_or_cap_it_is_ten_millimetres_either_way():
    small = step_sizes(STOCK["quillback"], "share", ASKED, Brief()).sizes[0]
    assert small.cap_mm == pytest.approx((425.0, 445.0), abs=0.01)


def test_the_changes_alone_make_the_range_after():
    found = step_sizes(STOCK["quillback"], "posture", ASKED)
    build = STOCK["quillback"].changed(size="L")
    for address, value in found.changes:
        build = with_value(build, address, value)

    assert build.frame == found.after.frame
    assert build.settings == found.after.settings


def test_the_comparison_over_all_sizes_shows_the_consequences():
    found = step_sizes(STOCK["quillback"], "posture", ASKED)
    compared = {one.size: one for one in compare_sizes(found.before, found.after)}

    assert not compared["L"].is_felt
    assert compared["S"].is_felt


def test_each_rule_lowers_its_own_spread_and_says_what_it_costs():
    asked = replace(ASKED, cap_mm=(400.0, 490.0))
    table = {cost.name: cost for cost in costs(STOCK["quillback"], asked)}

    assert set(table) == {"as drawn", *RULES}
    drawn = table["as drawn"]
    assert table["posture"].trunk_deg < 0.1 < drawn.trunk_deg
    assert table["share"].front_share_pts < 0.1 < drawn.front_share_pts
    assert table["share"].wheelbase_mm[1] > drawn.wheelbase_mm[1]
    assert table["posture"].front_share_pts > drawn.front_share_pts


def test_a_posture_that_no_head_tube_gives_is_told():
    """Cranks that go with the size put the small rider's saddle lower."""
    found = step_sizes(BUILDS["quillback"], "posture", ASKED)
    small = next(one for one in found.sizes if one.size == "S")

    assert not small.met
    assert "which the geometry table cannot have: sizes.S.head_tube_mm" in small.told


def test_riders_who_are_named_are_the_ones_that_count():
    bike = BIKES["quillback"]
    found = step_sizes(STOCK["quillback"], "posture", replace(ASKED, own={"S": bike.rider("tamsin")}))

    assert found.sizes[0].own.rider.name == "tamsin"
    assert found.sizes[0].own.chosen == "named"


# What cannot be asked


@pytest.mark.parametrize(
    ("asked", "error", "told"),
    [
        (replace(ASKED, keep="Q"), AddressError, "no size is called 'Q'"),
        (replace(ASKED, steps_mm={"wheel": 5.0}), AddressError, "'wheel' is not stepped. There are: reach, stack"),
        (replace(ASKED, within=0.0), OutsideValidity, "a tolerance of 0 cannot be met"),
        (replace(ASKED, cap_mm=(450.0, 430.0)), OutsideValidity, "450 to 430 mm holds no rear centre"),
    ],
)
def test_what_cannot_be_asked_is_told(asked, error, told):
    with pytest.raises(error, match=told):
        step_sizes(STOCK["quillback"], "share", asked)


def test_one_size_has_no_steps():
    one = STOCK["quillback"]
    alone = one.changed(frame=type(one.frame)(**{**{n: getattr(one.frame, n) for n in one.frame.__dataclass_fields__},
                                                 "sizes": one.frame.sizes[2:3], "outlines": ()}))  # fmt: skip
    with pytest.raises(OutsideValidity, match=r"has one size \(L\)"):
        step_sizes(alone, "equal", ASKED)


def test_a_rule_that_waits_says_for_what_and_equal_steps_do_not_wait():
    """The sample bike has no masses: its share waits, equal steps need none."""
    asked = Asked(keep="M", own={}, steps_mm={})

    assert step_sizes(BUILD, "equal", asked).met
    with pytest.raises(NotKnown, match="the share of size M: waits for the mass of"):
        step_sizes(BUILD, "share", asked)


def test_every_size_as_drawn_and_by_each_rule_is_told_of_once():
    heard = []
    asked = Asked(keep="L", own={}, steps_mm={})
    found, rules = sizes_and_costs(STOCK["quillback"], "equal", asked, None, lambda done, of: heard.append((done, of)))

    assert heard == [(done, 20) for done in range(1, 21)]
    assert (found, rules) == (step_sizes(STOCK["quillback"], "equal", asked), costs(STOCK["quillback"], asked))

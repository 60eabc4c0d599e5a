"""Bar parts over the sizes: the hands come where the rule wants them, from the stock, or it is said by how much not."""

from dataclasses import replace
from itertools import pairwise, product
from math import cos, hypot, radians, sin

import pytest

from bikewright.errors import AddressError, NotKnown, OutsideValidity
from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.files import read_bike
from bikewright.model.stock import Shelf, Stock
from bikewright.studies.bar_steps import (
    AS_GOOD_MM,
    SPACERS_MM,
    WIDTH_WITHIN_MM,
    _Cockpit,
    _hands_at,
    bar_costs,
    bar_rule,
    bars_and_costs,
    hands_of,
    step_bars,
)
from bikewright.studies.bounds import fit_for
from bikewright.studies.evaluate import evaluate
from bikewright.studies.step_rules import Asked

BIKE = read_bike("examples/quillback")
STOCK = BIKE.build("stock")
ASKED = Asked(keep="L", own={}, steps_mm={})


@pytest.fixture(scope="module")
def posture():
    return step_bars(STOCK, BIKE.stock, "posture", ASKED)


def angles(build, rider):
    return {angle.name: angle.value_deg for angle in fit_for(build, rider).postures[0].angles}


def test_the_solved_stem_and_rise_give_every_rider_the_posture_of_the_kept_size(posture):
    kept = next(one for one in posture.sizes if one.size == "L").before.facts
    for one in posture.sizes:
        if one.solved is None:
            continue
        built = posture.after.in_size(one.size).changed(settings=STOCK.in_size(one.size).settings)
        built = with_value(with_value(built, "stem.length_mm", one.solved[0]), "bar.rise_mm", one.solved[1])
        found = angles(built, one.own.rider)

        assert found["trunk"] == pytest.approx(kept.trunk_deg, abs=0.1), one.size
        assert found["shoulder"] == pytest.approx(kept.shoulder_deg, abs=0.1), one.size


def test_no_other_parts_of_the_stock_bring_the_hands_nearer(posture):
    """Every stem and bar of the width that was taken, with every height of spacers, by brute force."""
    one = next(one for one in posture.sizes if one.size == "XL")
    build = STOCK.in_size("XL")
    bars = [bar for bar in BIKE.stock.shelf("bar") if bar.width_mm == one.after.width_mm]
    nearest = 1e9
    for stem, bar, spacers in product(BIKE.stock.shelf("stem"), bars, (10.0, *SPACERS_MM)):
        tried = with_value(with_value(with_value(build, "stem", stem), "bar", bar), "stem_spacers_mm", spacers)
        answer = evaluate(tried)
        reach, height = (answer.value(f"{key}@stated-sag").number for key in ("hand_reach_mm", "hand_height_mm"))
        nearest = min(nearest, hypot(reach - one.wanted_reach_mm, height - one.wanted_height_mm))

    assert hypot(*one.left[1:]) <= nearest + AS_GOOD_MM


def test_hands_move_with_stem_and_spacers_as_trigonometry_has_it():
    """A stem square to the steering axis moves the hands by its length times sine and cosine of the head angle."""
    build = STOCK.in_size("L")
    angle = radians(evaluate(build).value("head_angle_deg@stated-sag").number)
    first = hands_of(build, None)
    longer = hands_of(with_value(build, "stem.length_mm", 50.0), None)
    higher = hands_of(with_value(build, "stem_spacers_mm", 20.0), None)

    assert (longer.reach_mm - first.reach_mm, longer.height_mm - first.height_mm) == pytest.approx(
        (10.0 * sin(angle), 10.0 * cos(angle)), abs=1e-6
    )
    assert (higher.reach_mm - first.reach_mm, higher.height_mm - first.height_mm) == pytest.approx(
        (-10.0 * cos(angle), 10.0 * sin(angle)), abs=1e-6
    )


def test_the_width_goes_with_the_shoulders_which_are_a_share_of_the_stature(posture):
    """0.259 of the stature over both shoulders: Drillis and Contini, as in Winter, figure 4.1."""
    kept = next(one for one in posture.sizes if one.size == posture.keep)
    for one in posture.sizes:
        assert one.shoulders_mm == pytest.approx(0.259 * one.own.rider.stature_mm, rel=1e-3)
        share = one.own.rider.stature_mm / kept.own.rider.stature_mm
        assert one.wanted_width_mm == pytest.approx(BIKE.build("stock").parts.bar.width_mm * share, rel=1e-4)
        taken = abs(one.left[0])
        assert taken == min(abs(bar.width_mm - one.wanted_width_mm) for bar in BIKE.stock.shelf("bar"))


def test_the_changes_are_for_single_sizes_and_make_the_bike_that_was_promised(posture):
    build = STOCK
    for address, value in posture.changes:
        assert address.startswith("by_size.")
        build = apply(build, read_change(f"{address}={value}"), BIKE.stock, BIKE.riders)
    for one in posture.sizes:
        answer = evaluate(build.in_size(one.size))
        assert answer.value("hand_reach_mm@stated-sag").number == pytest.approx(one.after.reach_mm, abs=1e-6)
    assert build.in_size("L").parts == STOCK.in_size("L").parts
    assert build.in_size("S").parts.seatpost.name == "dropper-125"
    assert posture.after.in_size("XL").parts == build.in_size("XL").parts


def test_what_the_stock_has_not_is_said_with_millimetres_and_what_was_solved(posture):
    small, large = (next(one for one in posture.sizes if one.size == size) for size in ("S", "XXL"))

    assert "the nearest leave 9.7 mm; solved: a stem of 25 mm" in small.told
    assert f"within {WIDTH_WITHIN_MM:g} mm of the width of 842 mm; the nearest is 22 mm narrower" in large.told
    assert not posture.met


def test_parts_that_are_there_already_are_kept():
    """Drawn so that the hands step evenly; with the width left as it is nothing changes."""
    found = step_bars(STOCK, BIKE.stock, "equal", replace(ASKED, steps_mm={"bar_width": 0.0}))

    assert found.met
    assert found.changes == ()


def test_a_stated_step_of_the_grips_goes_out_from_the_kept_size():
    steps = {"bar_width": 0.0, "grip_reach": 25.0, "grip_height": 9.2}
    found = step_bars(STOCK, BIKE.stock, "equal", Asked(keep="M", own={}, steps_mm=steps))

    for one, other in pairwise(found.sizes):
        assert other.wanted_reach_mm - one.wanted_reach_mm == pytest.approx(25.0)
    assert next(one for one in found.sizes if one.size == "M").changes == ()


def test_each_rule_costs_elsewhere():
    drawn, equal, posture = bar_costs(STOCK, BIKE.stock, ASKED)

    assert [drawn.name, equal.name, posture.name] == ["as drawn", "equal", "posture"]
    assert posture.trunk_deg < drawn.trunk_deg < equal.trunk_deg + 1.0
    assert drawn.width_over_shoulders[1] - drawn.width_over_shoulders[0] > 0.2
    assert posture.width_over_shoulders[1] - posture.width_over_shoulders[0] < 0.1


def test_what_cannot_be_asked_is_refused():
    with pytest.raises(OutsideValidity, match="datum's parts hold in every size"):
        step_bars(BIKE.build("datum"), BIKE.stock, "equal", ASKED)
    with pytest.raises(AddressError, match="'reach' is not stepped by bar parts"):
        step_bars(STOCK, BIKE.stock, "equal", replace(ASKED, steps_mm={"reach": 20.0}))
    with pytest.raises(OutsideValidity, match="moves the rear centre"):
        bar_rule("share", ASKED)
    with pytest.raises(OutsideValidity, match="cap"):
        bar_rule("equal", replace(ASKED, cap_mm=(430.0, 440.0)))
    with pytest.raises(NotKnown, match="no stem in the stock"):
        step_bars(STOCK, _without(BIKE.stock, "stem"), "equal", ASKED)
    with pytest.raises(NotKnown, match="no bar in the stock"):
        step_bars(STOCK, _without(BIKE.stock, "bar"), "equal", ASKED)
    with pytest.raises(NotKnown, match="wait for a bar"):
        step_bars(with_value(STOCK, "bar", None), BIKE.stock, "equal", ASKED)


def _without(stock, kind):
    return Stock(shelves=tuple(Shelf(kind=one.kind, parts=one.parts) for one in stock.shelves if one.kind != kind))


def test_hands_tried_on_the_cockpit_alone_are_those_of_the_whole_answer():
    """Every size, a rolled bar, all stems, all bars: the attitude of a size at the stated sag is found once."""
    for size in ("S", "L"):
        build = with_value(STOCK.in_size(size), "bar_roll_deg", 3.0)
        hands = _Cockpit(build)
        for stem, bar, spacers in product(BIKE.stock.shelf("stem"), BIKE.stock.shelf("bar"), (0.0, 20.0)):
            tried = build.in_every_size("stem", stem).in_every_size("bar", bar)
            tried = tried.in_every_size("stem_spacers_mm", spacers)
            assert hands.at(stem, bar, spacers) == pytest.approx(_hands_at(tried), abs=1e-9)


def test_every_size_as_built_and_by_each_rule_is_told_of_once():
    heard = []
    bars_and_costs(STOCK, BIKE.stock, "equal", ASKED, lambda done, of: heard.append((done, of)))

    assert heard == [(done, 15) for done in range(1, 16)]

"""What follows from a change: causes, headlines, echoes, refusals and verdicts."""

import pytest

from bikewright.model.addresses import apply, read_change
from bikewright.studies.compare import compare, compare_sizes
from bikewright.studies.evaluate import evaluate
from tests.sample_bike import BRIEF, BUILD, STOCK


def changed(*texts, start=BUILD):
    build = start
    for text in texts:
        build = apply(build, read_change(text), STOCK)
    return build


def headline(comparison, key):
    return next(
        (cause.address, headline)
        for cause in comparison.causes
        for headline in cause.headlines
        if headline.lead.quantity.key == key
    )


def test_a_build_compared_with_itself_changes_nothing():
    comparison = compare(BUILD, BUILD, BRIEF)

    assert comparison.causes == comparison.refusals == comparison.verdicts == comparison.stopped == ()
    assert not comparison.is_felt


def test_a_longer_fork_is_one_cause_with_one_headline_a_family():
    comparison = compare(BUILD, changed("fork=fork-170"))

    (cause,) = comparison.causes
    assert cause.address == "fork"
    families = [headline.family for headline in cause.headlines]
    assert len(families) == len(set(families))
    attitude = next(headline for headline in cause.headlines if headline.family == "attitude")
    assert {echo.quantity.key for echo in attitude.echoes} >= {"bb_height_mm", "seat_angle_deg", "pitch_deg"} - {
        attitude.lead.quantity.key
    }


def test_headlines_lead_with_what_is_felt_most():
    for cause in compare(BUILD, changed("fork=fork-170", "headset=reach-5", "stem.length_mm=50")).causes:
        steps = [headline.steps for headline in cause.headlines]
        assert steps == sorted(steps, reverse=True)
        for headline in cause.headlines:
            assert all((echo.steps or 0.0) <= headline.steps for echo in headline.echoes)


def test_each_quantity_is_told_once_under_the_cause_that_moves_it_most():
    comparison = compare(BUILD, changed("fork=fork-170", "headset=reach-5", "chips.mount=high"))

    keys = [consequence.quantity.key for consequence in comparison.consequences]
    assert len(keys) == len(set(keys))
    assert {cause.address for cause in comparison.causes} == {"fork", "headset", "chips.mount"}
    assert headline(comparison, "fork_travel_mm")[0] == "fork"
    reach = next(c for c in comparison.consequences if c.quantity.key == "reach_mm")
    cup_alone = evaluate(changed("headset=reach-5")).value(reach.after.address).number
    assert cup_alone - reach.before.number == pytest.approx(max(reach.shares))
    assert headline(comparison, "reach_mm")[0] == "headset"


def test_causes_are_in_the_order_in_which_a_rider_notices_them():
    comparison = compare(BUILD, changed("stem_spacers_mm=12", "fork=fork-170"))

    assert [cause.address for cause in comparison.causes] == ["fork", "stem_spacers_mm"]


def test_a_wheel_and_its_tyre_are_one_cause():
    comparison = compare(BUILD, changed("rear_wheel=27", "rear_tyre=small"))

    assert [cause.address for cause in comparison.causes] == ["rear_wheel"]
    assert comparison.refusals == ()


def test_two_coordinates_of_one_pin_are_one_cause():
    comparison = compare(BUILD, changed("linkage.pins.main.x_mm+=1", "linkage.pins.main.z_mm+=2"))

    assert [cause.address for cause in comparison.causes] == ["linkage.pins.main"]


def test_the_change_is_after_less_before():
    after = changed("fork=fork-150")
    consequence = next(c for c in compare(BUILD, after).consequences if c.quantity.key == "head_angle_deg")

    assert consequence.change == evaluate(after).value("head_angle_deg").number - 64.5
    assert consequence.change > 0.0
    assert consequence.steps == pytest.approx(consequence.change / 0.3)


def test_a_change_of_sag_is_told_at_sag():
    comparison = compare(BUILD, changed("sag_rear_pct=35"))

    assert {c.after.state for c in comparison.consequences} <= {"stated-sag", ""}
    assert any(c.quantity.key == "bb_height_mm" for c in comparison.consequences)


def test_refusals_and_changed_verdicts_are_told():
    comparison = compare(BUILD, changed("fork=fork-190"), BRIEF)

    assert [refusal.address for refusal in comparison.refusals] == ["fork"]
    verdicts = {c.quantity.key: (c.judged_before.verdict, c.judged_after.verdict) for c in comparison.verdicts}
    assert verdicts["head_angle_deg"] == ("met", "low")
    assert comparison.is_felt


def test_the_brief_overrides_a_felt_step():
    change = compare(BUILD, changed("fork=fork-170"), BRIEF)
    usual = compare(BUILD, changed("fork=fork-170"))
    own, common = (
        next(c for c in one.consequences if c.quantity.key == "bb_height_mm").steps for one in (change, usual)
    )

    assert own == pytest.approx(1.5 * common)


def test_a_brief_line_for_a_size_judges_that_size_only():
    for size, judged in (("M", True), ("L", False)):
        comparison = compare(changed(f"size={size}"), changed(f"size={size}", f"sizes.{size}.reach_mm+=15"), BRIEF)
        assert any(c.quantity.key == "reach_mm" for c in comparison.verdicts) is judged


def test_a_value_that_is_lost_is_told_with_the_reason():
    comparison = compare(BUILD, changed("stem=unknown"))

    lost = {c.after.address: c.after.waits for c in comparison.stopped}
    assert lost["hand_reach_mm@table"] == "waits for a stem"
    assert "stem_length_mm" in lost
    assert comparison.is_felt


def test_all_sizes_are_compared_the_worst_first():
    comparisons = compare_sizes(BUILD, changed("sizes.L.reach_mm+=20", "fork=fork-170"))

    assert [comparison.size for comparison in comparisons] == ["L", "M"]


def test_a_clearance_is_told_where_it_is_tightest():
    comparison = compare(BUILD, changed("rear_tyre.radius_mm=373"))

    states = {c.quantity.key: c.after.state for c in comparison.consequences}
    assert states["rear_tyre_clearance_mm"] == "rear-bottomed"
    assert states["saddle_clearance_mm"] == "rear-bottomed"

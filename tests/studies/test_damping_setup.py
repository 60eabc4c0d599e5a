"""Clicks: what keeps the damping ratio of a base tune, by a measured table or as an offset."""

import math

import pytest

from bikewright.errors import AddressError, NotKnown
from bikewright.model.addresses import with_value
from bikewright.model.build import ChipSetting, remade
from bikewright.model.files import read_bike
from bikewright.model.parts import Circuit, Damper, Knee
from bikewright.studies.damping_setup import SPAN, clicks_for, dial_curves, measured_dials
from bikewright.studies.evaluate import evaluate
from tests.interfaces.cli.asked import QUILLBACK, WHERRY
from tests.studies.test_tyre_setup import weighing

BIKE = read_bike(QUILLBACK)
TUNE = BIKE.tune("home-trail")
STOCK = TUNE.build


def dial(setup, end, circuit):
    return next(told for told in setup.circuits if (told.end, told.circuit) == (end, circuit))


def with_damper(build, end, **fields):
    part = getattr(build.parts, end)
    held = {name: getattr(part.damper, name) for name in Damper.__dataclass_fields__}
    return build.changed(parts=remade(build.parts, {end: remade(part, {"damper": Damper(**{**held, **fields})})}))


def test_the_build_of_the_tune_keeps_its_clicks():
    setup = clicks_for(STOCK, TUNE)

    assert [told.from_closed for told in setup.circuits] == [8, 8, 7, 6]
    assert [told.from_open for told in setup.circuits] == [8, 6, 7, 4]
    assert [told.offset_clicks for told in setup.circuits] == [0, 0, 0, 0]
    for told in setup.circuits:
        assert told.how == "measured"
        assert told.scale == pytest.approx(1.0)
        assert told.ratio == pytest.approx(told.wanted_ratio)


def test_ratios_told_are_those_of_the_evaluation_with_the_dials_so_set():
    heavy = weighing(98, build=STOCK)
    setup = clicks_for(heavy, TUNE)
    for told in setup.circuits:
        heavy = with_value(heavy, f"{told.end}_{told.circuit}_clicks", told.from_closed)
    answer = evaluate(heavy)

    for told in setup.circuits:
        key = f"{'front' if told.end == 'fork' else 'rear'}_{told.circuit}_ratio"
        assert answer.value(key).number == pytest.approx(told.ratio, rel=1e-9)


def test_rebound_keeps_the_ratio_of_the_tune_as_nearly_as_whole_clicks_allow():
    before = evaluate(STOCK)
    for mass in (63, 98, 110):
        setup = clicks_for(weighing(mass, build=STOCK), TUNE)
        for end, key in (("fork", "front_rebound_ratio"), ("shock", "rear_rebound_ratio")):
            told = dial(setup, end, "rebound")
            assert told.wanted_ratio == pytest.approx(before.value(key).number, rel=1e-9)
            assert told.offset_clicks * (mass - 82) >= 0
            low, high = sorted(neighbour.ratio for neighbour in told.neighbours)
            assert low < told.wanted_ratio < high


def test_compression_goes_with_the_force_that_the_spring_holds_up():
    heavy = weighing(98, build=STOCK)
    told = dial(clicks_for(heavy, TUNE), "shock", "compression")
    force, base = (evaluate(build).group("rest", "standing").rest.shock_force for build in (heavy, STOCK))

    assert told.scale == pytest.approx(force / base, rel=1e-9)
    assert told.scale > math.sqrt(told.scale) > 1.0  # more than the ratio alone would ask for on the same spring


def test_another_leverage_counts_by_its_square():
    """The high mount changes the leverage: the shock's rebound goes with critical damping and leverage squared."""
    high = STOCK.changed(chips=(ChipSetting(name="shock_mount", position="high"),))
    told = dial(clicks_for(high, TUNE), "shock", "rebound")
    here, there = (evaluate(build).group("modes").rear for build in (high, STOCK))

    def critical(end):
        ride = end.spring().ride_rate
        through = end.tyre / (end.tyre + end.rate)
        return 2 * math.sqrt(ride * end.mass) * end.leverage_ratio**2 / through**2

    assert told.scale == pytest.approx(critical(here) / critical(there), rel=1e-9)


def test_a_dial_that_cannot_reach_is_refused_by_how_much():
    told = dial(
        clicks_for(
            weighing(120, build=with_value(STOCK, "shock.damper.compression_clicks", 10)),
            _tune(shock_compression_clicks=0),
        ),
        "shock",
        "compression",
    )

    assert told.from_closed is None
    assert "all clicks closed" in told.refusal and "% too little" in told.refusal


def _tune(**settings):
    return remade(TUNE, {"build": STOCK.changed(settings=remade(STOCK.settings, settings))})


def unmeasured(build):
    return with_damper(
        with_damper(build, "fork", rebound=Circuit(), compression=Circuit()),
        "shock",
        rebound=Circuit(),
        compression=Circuit(),
    )


def test_without_a_table_the_answer_is_an_offset_with_its_range():
    tune = remade(TUNE, {"build": unmeasured(STOCK)})
    told = dial(clicks_for(unmeasured(weighing(110, build=STOCK)), tune), "shock", "rebound")

    exact = [14 * math.log(told.scale) / math.log(span) for span in SPAN]
    assert (told.how, told.offset_clicks) == ("offset", round(exact[1]))
    assert told.offset_least <= min(exact) and told.offset_most >= max(exact)
    assert told.from_closed == told.base_from_closed - told.offset_clicks
    assert told.least_from_closed <= told.from_closed <= told.most_from_closed
    assert told.ratio is None and told.wanted_ratio is None
    assert "3 to 7 times" in told.assumption and "14 clicks" in told.assumption


def test_an_offset_beyond_the_dial_is_refused_by_how_much():
    base = unmeasured(STOCK.changed(settings=remade(STOCK.settings, {"shock_compression_clicks": 0})))
    told = dial(
        clicks_for(unmeasured(weighing(120, build=STOCK)), remade(TUNE, {"build": base})), "shock", "compression"
    )

    assert told.from_closed is None
    assert "beyond closed" in told.refusal


def test_without_a_base_tune_nothing_is_recommended():
    for told in clicks_for(STOCK, None).circuits:
        assert (told.how, told.offset_clicks) == ("set", None)
        assert "ridden base tune" in told.waits
        assert told.ratio is not None
    for told in clicks_for(unmeasured(BIKE.build("coil")), None).circuits:
        assert (told.how, told.from_closed, told.waits) == ("unknown", None, "a ridden base tune")


def test_clicks_of_another_damper_say_nothing_about_an_unmeasured_one():
    longer = BIKE.build("long-fork")
    told = dial(clicks_for(longer, TUNE), "fork", "rebound")

    assert (told.how, told.from_closed) == ("unknown", None)
    assert "clicks of one say nothing about another" in told.waits


def test_a_tune_that_does_not_say_a_click_is_waited_for():
    told = dial(clicks_for(STOCK, _tune(fork_rebound_clicks=None)), "fork", "rebound")

    assert told.waits.startswith("fork_rebound_clicks of the base tune 'home-trail'")


def test_clicks_counted_from_open_are_the_same_dial():
    fork = STOCK.parts.fork.damper
    turned = {
        "counted_from": "open",
        **{
            name: remade(
                getattr(fork, name),
                {
                    "clicks": tuple(total - click for click in reversed(getattr(fork, name).clicks)),
                    "force_n": getattr(fork, name).force_n[::-1],
                },
            )
            for name, total in (("rebound", 16), ("compression", 14))
        },
    }
    build = with_damper(STOCK, "fork", **turned)
    build = build.changed(settings=remade(build.settings, {"fork_rebound_clicks": 8, "fork_compression_clicks": 6}))

    same, other = (clicks_for(one, remade(TUNE, {"build": one})) for one in (STOCK, build))
    for circuit in ("rebound", "compression"):
        one, two = dial(same, "fork", circuit), dial(other, "fork", circuit)
        assert (one.from_closed, one.from_open) == (two.from_closed, two.from_open)
        assert one.ratio == pytest.approx(two.ratio)


def test_a_part_that_counts_turns_is_told_in_turns():
    told = dial(clicks_for(with_damper(STOCK, "fork", clicks_per_turn=4.0), TUNE), "fork", "rebound")

    assert told.turns_from_closed == pytest.approx(told.from_closed / 4.0)


def test_a_second_compression_dial_adds_what_it_was_turned_since():
    high = Circuit(
        clicks=(0, 4, 8),
        speed_mm_s=(50.0, 100.0, 200.0, 400.0, 800.0, 1500.0),
        force_n=((60, 120, 260, 700, 1500, 2900), (55, 110, 220, 560, 1200, 2300), (50, 100, 200, 420, 900, 1700)),
    )
    shock = STOCK.parts.shock.damper
    low = remade(shock.compression, {"other_clicks": 4})
    build = with_damper(STOCK, "shock", high_compression_clicks=8, high_compression=high, compression=low)
    ratios = [
        evaluate(with_value(build, "shock_high_compression_clicks", click)).value("rear_compression_ratio").number
        for click in (0, 4, 8)
    ]

    assert ratios == sorted(ratios, reverse=True)
    assert ratios[1] == pytest.approx(evaluate(STOCK).value("rear_compression_ratio").number)
    tune = remade(TUNE, {"build": with_value(build, "shock_high_compression_clicks", 6)})
    told = clicks_for(with_value(build, "shock_high_compression_clicks", 6), tune)
    assert dial(told, "shock", "high_compression").from_closed == 6
    assert dial(told, "shock", "compression").from_closed == 6


def test_coefficients_with_a_knee_are_as_good_as_a_table():
    closed = Knee(low_n_s_per_mm=13.0, knee_mm_s=120.0, high_n_s_per_mm=3.0)
    soft = Knee(low_n_s_per_mm=3.0, knee_mm_s=120.0, high_n_s_per_mm=1.0)
    build = with_damper(STOCK, "shock", rebound=Circuit(closed=closed, open=soft))
    told = dial(clicks_for(weighing(98, build=build), remade(TUNE, {"build": build})), "shock", "rebound")

    assert told.how == "measured"
    assert told.offset_clicks >= 1


def test_curves_of_a_dial_are_its_table_and_where_it_stands():
    (fork, *_rest) = measured_dials(with_value(STOCK, "fork_rebound_clicks", 6))

    assert (fork.end, fork.circuit, fork.from_closed) == ("fork", "rebound", (0, 4, 6, 8, 12, 16))
    assert fork.force_n[1][fork.speed_mm_s.index(100.0)] == 89
    assert dial_curves(STOCK, "shock.compression").part == "air-230x57"
    with pytest.raises(AddressError, match=r"there are: fork\.rebound"):
        dial_curves(STOCK, "fork.lockout")
    with pytest.raises(NotKnown, match="no damper of this build was measured"):
        dial_curves(unmeasured(STOCK))


def test_a_hardtail_has_the_dials_of_its_fork_alone():
    bike = read_bike(WHERRY)
    setup = clicks_for(bike.build("stock"), None)

    assert {told.end for told in setup.circuits} <= {"fork"}

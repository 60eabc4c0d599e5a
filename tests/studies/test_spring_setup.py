"""Springs for a wanted sag at both ends: held against SciPy's root finder, quadrature, and common practice."""

from dataclasses import replace
from pathlib import Path

import pytest
from scipy.integrate import quad
from scipy.optimize import root

from bikewright.errors import LimitExceeded, NotKnown, OutsideValidity
from bikewright.model.addresses import apply, read_change, with_value
from bikewright.model.build import remade
from bikewright.model.files import read_bike
from bikewright.model.parts import Coil, TopOut
from bikewright.studies.evaluate import evaluate
from bikewright.studies.spring_setup import ENOUGH, fitted, springs_for
from bikewright.studies.springing import FAST, shock_spring
from bikewright.units import BAR, MM, PSI

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
BIKES = {name: read_bike(EXAMPLES / name) for name in ("quillback", "corbel", "wherry")}
QUILLBACK = BIKES["quillback"]
STOCK = QUILLBACK.build("stock")


def changed(build, *texts, bike=QUILLBACK):
    for text in texts:
        build = apply(build, read_change(text), bike.stock, bike.riders)
    return build


def of_mass(build, mass):
    return build.changed(rider=remade(build.rider, {"mass_kg": float(mass)}))


def sags(build):
    settled = evaluate(build).group("rest", "standing")
    return 100.0 * settled.sag_front, None if settled.sag_rear is None else 100.0 * settled.sag_rear


ALL = [(name, build.name) for name, bike in BIKES.items() for build in bike.builds if build.rider is not None]


@pytest.mark.parametrize(("name", "build"), ALL, ids=lambda one: one)
def test_every_demo_build_sits_at_the_sags_that_it_asks_for(name, build):
    bike = BIKES[name]
    asked = bike.build(build)
    found = springs_for(asked, bike.stock)

    for end in found.ends:
        reached = sags(found.build)[0 if end.end == "front" else 1]
        assert end.sag_pct == pytest.approx(reached, abs=1e-12)
        # a coil's preload is set in quarters of a turn: 0.3 mm of stroke and the other end's part of it
        assert end.sag_pct == pytest.approx(end.wanted_sag_pct, abs=1e-8 if _all_air(found) else 0.6)


def _all_air(found):
    return all(end.kind == "air" for end in found.ends)


def test_scipy_finds_the_same_two_pressures_by_trying():
    def off(bar):
        build = with_value(with_value(STOCK, "fork_pressure_bar", float(bar[0])), "shock_pressure_bar", float(bar[1]))
        front, rear = sags(build)
        return [front - 22.0, rear - 27.0]

    tried = root(off, [4.0, 12.0], tol=1e-12)
    found = springs_for(changed(STOCK, "sag_front_pct=22", "sag_rear_pct=27"), QUILLBACK.stock)

    assert tried.success
    assert (found.front.pressure_bar, found.rear.pressure_bar) == pytest.approx(tuple(tried.x), rel=1e-8)


def test_each_end_depends_on_the_other():
    level, nose_down = (
        springs_for(changed(STOCK, f"sag_front_pct={sag}"), QUILLBACK.stock).rear.pressure_bar for sag in (15, 26)
    )

    assert abs(nose_down / level - 1.0) > 0.002


def test_a_heavier_rider_needs_more_of_everything():
    masses = (60, 75, 90, 105)
    air = [springs_for(of_mass(STOCK, mass), QUILLBACK.stock) for mass in masses]
    wound = [springs_for(of_mass(QUILLBACK.build("coil"), mass), QUILLBACK.stock) for mass in masses]

    for told in ([one.front.pressure_bar for one in air], [one.rear.pressure_bar for one in air]):
        assert told == sorted(told)
    rates = [one.rear.coil.rate_used_n_per_mm for one in wound]
    assert rates == sorted(rates) and rates[0] < rates[-1]


def test_more_spacers_take_less_pressure_for_one_sag_and_leave_more_at_the_end():
    found = springs_for(STOCK, QUILLBACK.stock, STOCK)

    for end in found.ends:
        assert [one.spacers for one in end.air] == list(range(len(end.air)))
        pressures, drops = [one.pressure_bar for one in end.air], [one.drop_ratio for one in end.air]
        assert pressures == sorted(pressures, reverse=True)
        assert drops == sorted(drops)
        fewest = next(one for one in end.air if one.drop_ratio >= ENOUGH)
        assert (end.spacers, end.pressure_bar, end.chosen_by) == (fewest.spacers, fewest.pressure_bar, "reserve")


def test_a_build_is_its_own_reference_once_it_is_set():
    ready = fitted(STOCK, QUILLBACK.stock)
    again = springs_for(ready, QUILLBACK.stock, ready)

    for end in again.ends:
        assert (end.drop_ratio, end.step_ratio) == pytest.approx((1.0, 1.0), rel=1e-6)


def test_the_drop_that_is_told_is_the_energy_of_the_fast_curve_by_quadrature():
    found = springs_for(STOCK, QUILLBACK.stock, STOCK)
    answer = evaluate(found.build)
    heights = []
    for build in (found.build, STOCK):
        settings, rest = build.settings, evaluate(build).group("rest", "standing").rest
        spring, _ = shock_spring(build.parts.shock, settings.shock_pressure_bar, settings.shock_spacers, 0.0, FAST)
        energy, _ = quad(lambda x, spring=spring: float(spring.force(x)), 0.0, spring.stroke, limit=400, epsrel=1e-10)
        masses = evaluate(build).group("masses")
        weight = rest.rear_load - masses.rear * 9.80665
        heights.append(energy / weight - answer.group("linkage").rear_travel)

    assert found.rear.drop_ratio == pytest.approx(heights[0] / heights[1], rel=1e-6)


def test_without_a_reference_no_reserve_is_told_and_the_spacers_stay():
    found = springs_for(changed(STOCK, "fork_spacers=3"), QUILLBACK.stock)

    assert (found.front.spacers, found.front.chosen_by) == (3, "as set")
    assert {found.front.drop_ratio, found.front.step_ratio, found.rear.drop_ratio} == {None}
    assert found.reference == ""


def test_friction_leaves_a_band_about_the_sag():
    for end in springs_for(STOCK, QUILLBACK.stock).ends:
        assert end.least_sag_pct < end.sag_pct < end.most_sag_pct


def test_the_nearest_two_coils_lie_to_either_side_and_the_preload_found_gives_the_sag():
    build = QUILLBACK.build("coil")
    end = springs_for(build, QUILLBACK.stock).rear
    soft, stiff = end.coils

    assert soft.coil.rate_used_n_per_mm < stiff.coil.rate_used_n_per_mm
    assert soft.base_sag_pct > end.wanted_sag_pct > stiff.base_sag_pct
    for near in end.coils:
        shock = remade(build.parts.shock, {"spring": near.coil})
        exact = remade(build.settings, {"shock_preload_turns": near.exact_turns})
        ready = fitted(build, QUILLBACK.stock)
        settings = remade(exact, {"fork_pressure_bar": ready.settings.fork_pressure_bar})
        reached = sags(build.changed(parts=remade(build.parts, {"shock": shock}), settings=settings))[1]
        # the coils differ by some 15 g, which the force was not asked again for
        assert reached == pytest.approx(end.wanted_sag_pct, abs=0.02)


def test_a_hardtail_is_set_in_front_and_a_rigid_fork_nowhere():
    bike = BIKES["wherry"]

    assert [end.end for end in springs_for(bike.build("stock"), bike.stock).ends] == ["front"]
    assert springs_for(bike.build("rigid"), bike.stock).ends == ()


def test_the_forks_bumper_and_top_out_are_counted():
    fork = STOCK.parts.fork
    early = {"contact_before_end_mm": 100.0, "compression_mm": (0.0, 100.0), "force_n": (0.0, 2000.0)}
    ends = {"bumper": remade(fork.bumper, early), "top_out": TopOut(length_mm=60.0, rate_n_per_mm=0.5)}
    free = {"spring": remade(fork.spring, {"pressure_min_bar": None})}
    with_ends = STOCK.changed(parts=remade(STOCK.parts, {"fork": remade(fork, {**ends, **free})}))
    without = STOCK.changed(parts=remade(STOCK.parts, {"fork": remade(fork, {**free, "bumper": None})}))
    for sag, lighter in ((30, False), (40, True)):
        asked, bare = (
            springs_for(changed(one, f"sag_front_pct={sag}"), QUILLBACK.stock) for one in (with_ends, without)
        )
        assert sags(asked.build)[0] == pytest.approx(sag, abs=1e-8)
        # at 48 mm the top-out spring still pulls in; at 64 mm the bumper carries 80 N
        assert (asked.front.pressure_bar < bare.front.pressure_bar) is lighter


def test_a_coil_in_the_fork_is_set_by_its_preload():
    wound = Coil(
        name="fork-coil",
        travel_mm=160.0,
        rate_n_per_mm=8.0,
        preload_mm_per_turn=1.0,
        preload_max_turns=12.0,
        mass_g=300,
    )
    build = STOCK.changed(parts=remade(STOCK.parts, {"fork": remade(STOCK.parts.fork, {"spring": wound})}))
    end = springs_for(build, QUILLBACK.stock).front
    held = evaluate(build).group("carried").rest.fork_force

    assert (end.kind, end.coil.name) == ("coil", "fork-coil")
    # F = k (x + p): the preload in millimetres, which are turns here, told in quarters
    assert end.turns == round(4.0 * (held / 8.0 - 32.0)) / 4.0
    assert end.sag_pct == pytest.approx(20.0, abs=0.1)


def test_a_progressive_coil_is_turned_round_by_its_root():
    build = QUILLBACK.build("coil")
    rising = remade(build.parts.shock.spring, {"name": "rising", "measured_rate_n_per_mm": None, "rate_n_per_mm": 85.0})
    rising = remade(rising, {"end_rate_n_per_mm": 120.0})
    shelf = replace_shelf(QUILLBACK.stock, (rising,))
    end = springs_for(build, shelf).rear
    asked = remade(build.settings, {"shock_preload_turns": end.coils[0].exact_turns})
    ready = fitted(build, shelf)
    settings = remade(asked, {"fork_pressure_bar": ready.settings.fork_pressure_bar})

    assert end.coil.name == "rising"
    assert sags(ready.changed(settings=settings))[1] == pytest.approx(30.0, abs=0.02)


def replace_shelf(stock, coils):
    shelves = tuple(remade(shelf, {"parts": coils}) if shelf.kind == "coil" else shelf for shelf in stock.shelves)
    return remade(stock, {"shelves": shelves})


# --- refusals: by how much, and never clipped ----------------------------------------------------------------------


def test_a_rider_too_light_for_the_forks_least_pressure_is_refused_by_how_much():
    build = of_mass(STOCK, 45)
    free = remade(build.parts.fork, {"spring": remade(build.parts.fork.spring, {"pressure_min_bar": None})})
    needed = springs_for(build.changed(parts=remade(build.parts, {"fork": free})), QUILLBACK.stock).front.pressure_bar
    least = build.parts.fork.spring.pressure_min_bar

    with pytest.raises(LimitExceeded) as told:
        springs_for(build, QUILLBACK.stock)
    assert f"{needed:.2f} bar" in str(told.value)
    assert f"{least - needed:.2f} bar ({(least - needed) * BAR / PSI:.0f} psi) below the {least:.2f} bar" in str(
        told.value
    )


def test_a_rider_too_heavy_for_the_shocks_most_pressure_is_refused_by_how_much():
    shock = STOCK.parts.shock
    low = remade(shock, {"spring": remade(shock.spring, {"pressure_max_bar": 12.0})})

    with pytest.raises(
        LimitExceeded, match=r"joren, 110 kg, cannot be held at 30 % sag by the shock.*bar.*above the 12"
    ):
        springs_for(of_mass(STOCK.changed(parts=remade(STOCK.parts, {"shock": low})), 110), QUILLBACK.stock)


@pytest.mark.parametrize(
    ("mass", "told"), [(30, r"too stiff: its preload would be \d\.\d+ turns below"), (195, "too soft: ")]
)
def test_a_rider_whom_no_coil_holds_is_refused_with_the_nearest_of_the_shelf(mass, told):
    fork = STOCK.parts.fork
    open_fork = remade(fork, {"spring": remade(fork.spring, {"pressure_min_bar": None, "pressure_max_bar": None})})
    coil = QUILLBACK.build("coil")
    build = coil.changed(parts=remade(coil.parts, {"fork": open_fork}))

    with pytest.raises(LimitExceeded, match=f"no coil of the shelf gives it. .*{told}"):
        springs_for(of_mass(build, mass), QUILLBACK.stock)


def test_a_coil_that_binds_is_refused_by_how_much_and_another_one_taken():
    build = QUILLBACK.build("coil")
    usual = springs_for(build, QUILLBACK.stock).rear
    short = replace_coil(QUILLBACK.stock, usual.coil.name, stroke_to_bind_mm=58.0)
    found = springs_for(build, short).rear

    assert found.coil.name != usual.coil.name
    refused = next(one for one in found.coils if one.coil.name == usual.coil.name)
    assert "binds" in refused.refusal and refused.turns is None
    over = 57.5 + usual.turns * 1.25 - 58.0
    assert f"binds {over - 1e-9:.1f} mm before the stroke ends" in refused.refusal


def replace_coil(stock, name, **fields):
    shelves = tuple(
        remade(shelf, {"parts": tuple(remade(one, fields) if one.name == name else one for one in shelf.parts)})
        if shelf.kind == "coil"
        else shelf
        for shelf in stock.shelves
    )
    return remade(stock, {"shelves": shelves})


def test_a_count_of_spacers_that_leaves_no_chamber_is_refused_and_the_others_stay():
    shock = STOCK.parts.shock
    big = remade(shock, {"spring": remade(shock.spring, {"spacer_volume_cm3": 20.0})})
    end = springs_for(STOCK.changed(parts=remade(STOCK.parts, {"shock": big})), QUILLBACK.stock).rear

    assert "sweeps the positive chamber whole" in end.air[3].refusal
    assert end.air[3].pressure_bar is None
    assert end.spacers == 1


def test_nobody_on_the_bike_is_refused():
    with pytest.raises(NotKnown, match="waits for a rider"):
        springs_for(STOCK.changed(rider=None), QUILLBACK.stock)


def test_a_sag_of_nothing_is_refused():
    with pytest.raises(OutsideValidity, match="a front sag of 0 % is none to set a spring by"):
        springs_for(changed(STOCK, "sag_front_pct=0"), QUILLBACK.stock)


def test_what_is_not_known_is_named():
    fork = STOCK.parts.fork
    blank = remade(fork, {"spring": remade(fork.spring, {"piston_area_cm2": None})})
    with pytest.raises(NotKnown, match="the piston's area of 'single-crown-160'"):
        springs_for(STOCK.changed(parts=remade(STOCK.parts, {"fork": blank})), QUILLBACK.stock)
    free = remade(fork, {"spring": remade(fork.spring, {"pressure_max_bar": None, "spacers_max": None})})
    end = springs_for(STOCK.changed(parts=remade(STOCK.parts, {"fork": free})), QUILLBACK.stock).front

    assert end.unknown == ("fork.spring.pressure_max_bar", "fork.spring.spacers_max")
    assert (len(end.air), end.chosen_by) == (1, "only one")


# --- common practice, no source ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("sag", "within"), [(15.0, 0.16), (18.0, 0.05), (20.0, 0.15)])
def test_a_rider_of_90_kg_on_a_170_mm_air_fork_runs_about_85_psi(sag, within):
    """Common practice, no source: 85 psi at a sag of 15 to 20 %, no spacers. The chambers are our own assumption.

    At 15 % it is 98 psi, one per cent more than 15 % off: a ring read at 15 % stands at 18 % after a bounce, since the
    fork's friction helped to hold the rider up, and 18 % are 84 psi.
    """
    build = of_mass(QUILLBACK.build("long-fork"), 90)
    choice = springs_for(with_value(build, "sag_front_pct", sag), QUILLBACK.stock).front.air[0]

    assert (choice.spacers, build.parts.fork.travel_mm) == (0, 170.0)
    assert choice.pressure_bar * BAR / PSI == pytest.approx(85.0, rel=within)


def test_sag_at_the_ring_is_its_share_of_the_travel():
    found = springs_for(STOCK, QUILLBACK.stock)

    assert found.front.sag_mm == pytest.approx(0.20 * 160.0, abs=1e-6)
    assert found.rear.sag_mm == pytest.approx(0.30 * STOCK.parts.shock.stroke_mm, abs=1e-6)
    held = evaluate(STOCK).group("carried").rest
    assert found.front.force_n == pytest.approx(held.fork_force)
    assert held.fork_travel == pytest.approx(0.2 * 160 * MM)


def test_a_frozen_answer_is_not_changed_by_asking_again():
    first = springs_for(STOCK, QUILLBACK.stock, STOCK)

    assert springs_for(STOCK, QUILLBACK.stock, STOCK) == first
    assert replace(first, reference="") != first


def test_spacers_that_the_limits_forbid_are_not_told_as_those_of_the_build():
    light = changed(QUILLBACK.build("coil"), "rider.mass_kg=60")
    front = springs_for(light, QUILLBACK.stock, bands=False).front

    assert light.settings.fork_spacers == 2 and front.air[2].refusal
    assert (front.spacers < 2, front.chosen_by) == (True, "nearest")

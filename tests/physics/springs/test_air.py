"""Air springs: exactness, what the port does, weather, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import OutsideValidity
from bikewright.physics.springs.air import air_curve, gauge_for_force
from bikewright.physics.springs.chambers import AirSpring, LowerLegs, Negative, fill, gauge_shown
from bikewright.physics.springs.gas import ATMOSPHERE, GAS_CONSTANT, ROOM, WORKSHOP, Air
from bikewright.units import BAR, CM2, CM3, MM
from tests.physics.springs.air_springs import airs, exponents, gauges, springs
from tests.physics.springs.exactness import check_arrays, check_energy, check_exact

PLAIN = AirSpring(area=8 * CM2, volume=160 * CM3)
PORTED = AirSpring(area=8 * CM2, volume=160 * CM3, negative=Negative(volume=30 * CM3, area=7 * CM2, port=10 * MM))
DIMPLED = AirSpring(
    area=8 * CM2,
    volume=160 * CM3,
    negative=Negative(volume=30 * CM3, area=7 * CM2, port=10 * MM, open_extended=False),
)


def filled(spring, gauge, **more):
    valve = spring.negative is not None and spring.negative.port is None
    return fill(spring, gauge, negative_gauge=gauge if valve else None, **more)


@given(springs(), gauges, exponents, airs, st.sampled_from([0.0, 0.3]))
def test_force_rate_and_energy_belong_together(made, gauge, exponent, air, settled):
    spring, stroke = made
    curve = air_curve(spring, filled(spring, gauge), exponent, stroke, air=air, settled_at=settled * stroke)
    port = max(curve.port, 0.0)
    places = [at for at in np.linspace(0.0, stroke * 0.98, 7) if abs(at - port) > 1e-3]
    # The step follows the gap that is left at the end of the stroke, so that the difference itself is exact to 1e-9.
    check_exact(curve, places, step=2e-3 * (spring.volume / spring.area - stroke))
    check_energy(curve, port, stroke)
    if curve.joined and curve.port > 0.0:
        check_energy(curve, 0.0, math.nextafter(curve.port, 0.0))
    assert curve.energy(0.0) == pytest.approx(0.0, abs=1e-12 * curve.energy(stroke))


@given(springs(), gauges, exponents, st.floats(0.0, 0.5))
def test_force_rises_all_the_way_and_makes_no_step(made, gauge, exponent, settled):
    spring, stroke = made
    curve = air_curve(spring, filled(spring, gauge), exponent, stroke, settled_at=settled * stroke)
    force = curve.force(np.linspace(0.0, stroke, 400))

    assert np.all(np.diff(force) > 0.0)
    if curve.port > 0.0:
        below, above = curve.state(math.nextafter(curve.port, 0.0)), curve.state(curve.port)
        assert below[0] == pytest.approx(above[0], rel=1e-9)
        assert below[2] == pytest.approx(above[2], rel=1e-9, abs=1e-9)


@given(springs(port="open"), gauges, exponents)
def test_a_port_open_at_extension_gives_one_pressure_down_to_its_place(made, gauge, exponent):
    spring, stroke = made
    port = spring.negative.port
    curve = air_curve(spring, fill(spring, gauge), exponent, stroke)
    extended, there = curve.pressures(0.0), curve.pressures(port)

    assert extended.positive == pytest.approx(gauge + ATMOSPHERE, rel=1e-12)
    assert extended.negative == pytest.approx(gauge + ATMOSPHERE, rel=1e-12)
    assert there.positive == pytest.approx(there.negative, rel=1e-12)
    beyond = curve.pressures(port + 0.005)
    assert beyond.positive > there.positive and beyond.negative < there.negative


@given(springs(port="dimple"), gauges)
def test_a_dimple_gives_one_pressure_in_its_place_only(made, gauge):
    spring, stroke = made
    port = spring.negative.port
    curve = air_curve(spring, fill(spring, gauge), 1.0, stroke)
    extended, there = curve.pressures(0.0), curve.pressures(port)

    assert extended.positive == pytest.approx(gauge + ATMOSPHERE, rel=1e-12)
    assert there.positive == pytest.approx(there.negative, rel=1e-12)
    assert extended.negative >= extended.positive * (1.0 - 1e-12)


@given(springs(), gauges, airs, airs, exponents, st.floats(0.0, 1.0))
def test_no_gas_is_lost_in_any_state(made, gauge, pumped, used, exponent, part):
    """Ideal gas: where it has settled, p V = N R T in each sealed chamber; at any n the joined gas is one amount."""
    spring, stroke = made
    charge = filled(spring, gauge, air=pumped)
    at = part * stroke
    settled = air_curve(spring, charge, exponent, stroke, air=used, settled_at=at).pressures(at)
    volume = spring.volume - spring.area * at
    held = [settled.positive * volume]
    wanted = [charge.positive]
    if spring.negative is not None:
        held.append(settled.negative * (spring.negative.volume + spring.negative.area * at))
        wanted.append(charge.negative)
    heat = GAS_CONSTANT * used.temperature
    assert sum(held) == pytest.approx(sum(wanted) * heat, rel=1e-12)
    if spring.negative is None or spring.negative.port is None or at > spring.negative.port:
        assert held == pytest.approx([n * heat for n in wanted], rel=1e-12)
    if spring.lower is not None:
        lower = settled.lower * (spring.lower.volume - spring.lower.area * at)
        assert lower == pytest.approx(charge.lower * heat, rel=1e-12)


@given(springs(), gauges, airs)
def test_the_gauge_shows_what_was_pumped(made, gauge, air):
    spring, _stroke = made
    assert gauge_shown(spring, filled(spring, gauge, air=air), air) == pytest.approx(gauge, rel=1e-11)


def test_both_ports_at_full_extension_are_one_and_the_same():
    """A port at 0 mm joins the chambers at full extension only, whichever way it is built."""
    at_zero = [
        AirSpring(
            area=8 * CM2, volume=160 * CM3, negative=Negative(volume=3e-5, area=7e-4, port=0.0, open_extended=way)
        )
        for way in (True, False)
    ]
    first, second = (air_curve(one, fill(one, 6 * BAR), 1.3, 0.15) for one in at_zero)
    assert first.state(0.07) == pytest.approx(second.state(0.07), rel=1e-13)


def test_a_dimple_by_hand():
    """160 cm³ at 7.01325 bar; at 10 mm 152 cm³ and 7.38237 bar, which 37 cm³ of the negative chamber take over. Back at
    full extension its 30 cm³ hold 7.38237 x 37/30 = 9.10492 bar. Force 70.1325 x 8 - 91.0492 x 7 - 10.1325 = -86.417 N:
    the negative chamber draws the fork in."""
    curve = air_curve(DIMPLED, fill(DIMPLED, 6 * BAR), 1.0, 0.15)
    here = curve.pressures(0.0)

    assert here.negative / BAR == pytest.approx(7.01325 * 160 / 152 * 37 / 30, rel=1e-12)
    assert curve.force(0.0) == pytest.approx(70.1325 * 8 - 91.04921 * 7 - 10.1325, abs=1e-3)


def test_an_open_port_by_hand():
    """Joined 190 cm³ at 7.01325 bar; at 10 mm 189 cm³ and 7.05036 bar. Force (70.5036 - 10.1325) x (8 - 7) = 60.371 N,
    rate there from below p (A - An)²/V = 705036 x 1e-8/189e-6 = 37.30 N/m."""
    curve = air_curve(PORTED, fill(PORTED, 6 * BAR), 1.0, 0.15)

    assert curve.force(10 * MM) == pytest.approx((7.01325 * 190 / 189 - 1.01325) * 10, rel=1e-12)
    assert curve.rate(math.nextafter(10 * MM, 0)) == pytest.approx(7.01325e5 * 190 / 189 * 1e-8 / 189e-6, rel=1e-9)


def test_the_trapped_air_adds_to_the_end_of_the_stroke():
    """500 cm³ less 20 cm² x 150 mm = 200 cm³: 2.5 times 1.01325 bar, 151.99 kPa above the air on 20 cm²: 303.98 N."""
    legs = LowerLegs(volume=500 * CM3, area=20 * CM2)
    fork = AirSpring(area=8 * CM2, volume=160 * CM3, lower=legs)
    bare, full = (air_curve(one, fill(one, 6 * BAR), 1.0, 0.15) for one in (PLAIN, fork))

    assert full.force(0.0) == pytest.approx(bare.force(0.0), rel=1e-13)
    assert full.force(0.15) - bare.force(0.15) == pytest.approx(1.5 * ATMOSPHERE * 20 * CM2, rel=1e-12)


def test_lower_legs_vented_in_the_valley_push_on_the_mountain():
    """Closed at 1.01325 bar and opened to 0.8 bar outside: 0.21325 bar on 20 cm² are 42.65 N at full extension."""
    fork = AirSpring(area=8 * CM2, volume=160 * CM3, lower=LowerLegs(volume=500 * CM3, area=20 * CM2))
    mountain = Air(pressure=0.8 * BAR)
    valley_legs = air_curve(fork, fill(fork, 6 * BAR, air=mountain, lower_air=WORKSHOP), 1.0, 0.15, air=mountain)
    mountain_legs = air_curve(fork, fill(fork, 6 * BAR, air=mountain), 1.0, 0.15, air=mountain)

    assert valley_legs.force(0.0) - mountain_legs.force(0.0) == pytest.approx(42.65, abs=1e-9)


def test_altitude_adds_to_the_gauge_what_the_air_outside_lacks():
    charge = fill(PLAIN, 6 * BAR)
    assert gauge_shown(PLAIN, charge, Air(pressure=ATMOSPHERE - 0.2 * BAR)) == pytest.approx(6.2 * BAR, rel=1e-12)


def test_a_fast_stroke_is_stiffer_and_meets_the_slow_one_where_the_gas_settled():
    slow = air_curve(PLAIN, fill(PLAIN, 6 * BAR), 1.0, 0.15)
    fast = air_curve(PLAIN, fill(PLAIN, 6 * BAR), 1.3, 0.15, settled_at=0.03)

    assert fast.force(0.03) == pytest.approx(slow.force(0.03), rel=1e-13)
    assert fast.rate(0.03) == pytest.approx(1.3 * slow.rate(0.03), rel=1e-13)
    assert fast.force(0.0) < slow.force(0.0) and fast.force(0.15) > slow.force(0.15)


def test_a_fast_stroke_that_begins_beyond_the_port_goes_past_it_shut():
    begun = air_curve(PORTED, fill(PORTED, 6 * BAR), 1.3, 0.15, settled_at=0.03)
    assert begun.joined == () and begun.port == -math.inf
    assert air_curve(PORTED, fill(PORTED, 6 * BAR), 1.3, 0.15, settled_at=10 * MM).joined != ()
    slow = air_curve(PORTED, fill(PORTED, 6 * BAR), 1.0, 0.15, settled_at=0.03)
    assert slow.port == PORTED.negative.port


def test_an_exponent_near_one_is_as_exact_as_one():
    """(r^(n-1) - 1)/(n-1) by itself loses 7 digits at n - 1 = 1e-9."""
    exact = air_curve(PLAIN, fill(PLAIN, 6 * BAR), 1.0, 0.15).state(0.1)
    assert air_curve(PLAIN, fill(PLAIN, 6 * BAR), 1.0 + 1e-12, 0.15).state(0.1) == pytest.approx(exact, rel=1e-11)


def test_pressures_of_arrays_are_those_of_floats():
    for spring in (PLAIN, PORTED, DIMPLED):
        curve = air_curve(spring, fill(spring, 6 * BAR), 1.3, 0.15)
        places = np.array([0.0, 0.005, 0.01, 0.02, 0.15])
        many = curve.pressures(places)
        check_arrays(curve, places)
        for k, at in enumerate(places):
            one = curve.pressures(float(at))
            assert many.positive[k] == pytest.approx(one.positive, rel=1e-14)
            assert (many.negative is None) == (one.negative is None) == (spring is PLAIN)
            assert one.negative is None or many.negative[k] == pytest.approx(one.negative, rel=1e-14)
            assert one.lower is None


@given(springs(port="open"), st.floats(0.15, 0.35), st.floats(3e5, 1.5e6), airs)
def test_the_gauge_for_a_force_carries_that_force(made, part, gauge, used):
    spring, stroke = made
    wanted = air_curve(spring, fill(spring, gauge), 1.0, stroke, air=used).force(part * stroke)

    assert gauge_for_force(spring, wanted, part * stroke, used_in=used) == pytest.approx(gauge, rel=1e-9)


def test_a_force_below_that_of_an_empty_spring_has_no_gauge():
    with pytest.raises(OutsideValidity, match="without any pressure"):
        gauge_for_force(PLAIN, -50.0, 0.03)


def test_more_pressure_that_pulls_harder_has_no_gauge():
    with pytest.raises(OutsideValidity, match="negative chamber outweighs"):
        gauge_for_force(DIMPLED, 100.0, 0.0)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: AirSpring(area=8e-4, volume=0.0), "positive chamber has 0.0 cm³ and 8.00 cm²"),
        (
            lambda: AirSpring(area=8e-4, volume=1e-4, lower=LowerLegs(volume=-1e-6, area=2e-3)),
            "air in the lower legs has",
        ),
        (lambda: AirSpring(area=8e-4, volume=1e-4, negative=Negative(volume=1e-5, area=0.0)), "negative chamber has"),
        (
            lambda: AirSpring(area=8e-4, volume=1e-4, negative=Negative(volume=1e-5, area=7e-4, port=0.2)),
            "swept whole at",
        ),
        (lambda: fill(PLAIN, -1.0), "below that of the air"),
        (lambda: fill(PLAIN, 1e5, negative_gauge=1e5), "no negative chamber to pump"),
        (lambda: fill(PORTED, 1e5, negative_gauge=1e5), "give one"),
        (lambda: fill(AirSpring(area=8e-4, volume=1e-4, negative=Negative(volume=1e-5, area=7e-4)), 1e5), "give one"),
        (lambda: air_curve(PLAIN, fill(PLAIN, 6e5), 0.9, 0.15), "exponent of 0.9"),
        (lambda: air_curve(PLAIN, fill(PLAIN, 6e5), 1.3, 0.15, settled_at=0.2), "settled at 200.0 mm"),
        (
            lambda: air_curve(PLAIN, fill(PLAIN, 6e5), 1.3, 0.2),
            r"sweeps the positive chamber whole: 160.0 cm³ of 160.0",
        ),
        (lambda: air_curve(PLAIN, fill(PLAIN, 6e5), 1.3, 0.15).force(0.2), "at 200.0 mm of stroke a chamber is swept"),
        (lambda: air_curve(PLAIN, fill(PLAIN, 6e5), 1.3, 0.15).force(np.array([0.0, 0.3])), "at 300.0 mm of stroke"),
        (lambda: air_curve(PLAIN, fill(PLAIN, 6e5), 1.3, 0.15).pressures(0.25), "at 250.0 mm of stroke"),
    ],
)
def test_nonsense_is_refused_by_name(call, told):
    with pytest.raises(OutsideValidity, match=told):
        call()


def test_lower_legs_full_of_oil_are_told():
    fork = AirSpring(area=8e-4, volume=1.6e-4, lower=LowerLegs(volume=2.5e-4, area=2e-3))
    with pytest.raises(OutsideValidity, match="sweeps the air in the lower legs whole"):
        air_curve(fork, fill(fork, 6 * BAR), 1.0, 0.15)


def test_room_is_twenty_degrees():
    assert WORKSHOP.temperature == ROOM == 273.15 + 20

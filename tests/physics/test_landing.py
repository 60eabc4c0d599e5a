"""Landings and steps: closed forms of a linear spring, and the motion integrated step by step by SciPy."""

from math import cos, pi, sqrt, tan

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from bikewright.errors import OutsideValidity
from bikewright.physics.landing import drop_height, reduced_mass, step_speed, thrown_speed
from bikewright.physics.rest import GRAVITY
from bikewright.physics.springs.air import air_curve
from bikewright.physics.springs.assembly import assemble
from bikewright.physics.springs.bumper import bumper
from bikewright.physics.springs.chambers import AirSpring, Negative, fill

STROKE = 0.160
CHAMBERS = AirSpring(area=7.6e-4, volume=198e-6, negative=Negative(volume=40e-6, area=6.8e-4, port=0.0))
SPRING = assemble(
    air_curve(CHAMBERS, fill(CHAMBERS, 5.5e5), 1.3, STROKE),
    STROKE,
    bumper=bumper(0.148, (0.0, 0.004, 0.008, 0.012), (0.0, 120.0, 420.0, 1400.0)),
)


def test_a_linear_spring_gives_the_textbooks_static_deflection_times_the_impact_factor():
    rate, mass, travel = 6000.0, 30.0, 0.16
    height = drop_height(0.5 * rate * travel**2, mass, travel)
    still = mass * GRAVITY / rate

    # z = d (1 + sqrt(1 + 2 h/d)), the impact factor of a falling weight in any mechanics textbook (from memory)
    assert still * (1.0 + sqrt(1.0 + 2.0 * height / still)) == pytest.approx(travel, rel=1e-12)


def test_a_mass_dropped_from_the_height_found_comes_to_the_end_of_an_air_spring_with_bumper():
    mass = 32.0
    height = drop_height(SPRING.energy_to_bottom, mass, STROKE)

    def motion(_t, state):
        return [state[1], GRAVITY - float(SPRING.force(max(state[0], 0.0))) / mass]

    def still(_t, state):
        return state[1]

    still.terminal, still.direction = True, -1.0
    start = [0.0, sqrt(2.0 * GRAVITY * height)]
    run = solve_ivp(motion, (0.0, 1.0), start, events=still, rtol=1e-11, atol=1e-12, max_step=1e-3)

    assert run.y_events[0][0][0] == pytest.approx(STROKE, abs=1e-7)


def test_a_wheel_thrown_at_the_speed_found_comes_to_the_end_with_both_masses_free():
    sprung, unsprung, sag = 30.0, 2.4, 0.035
    left = SPRING.energy_to_bottom - float(SPRING.energy(sag))
    thrown = thrown_speed(left, sprung, unsprung)

    def motion(_t, state):
        wheel, bike, up, bike_up = state
        force = float(SPRING.force(min(max(sag + wheel - bike, 0.0), 2 * STROKE)))
        return [up, bike_up, -force / unsprung - GRAVITY, force / sprung - GRAVITY]

    def nearest(_t, state):
        return state[2] - state[3]

    nearest.terminal, nearest.direction = True, -1.0
    run = solve_ivp(motion, (0.0, 1.0), [0.0, 0.0, thrown, 0.0], events=nearest, rtol=1e-11, atol=1e-12, max_step=1e-4)
    wheel, bike, *_ = run.y_events[0][0]

    assert sag + wheel - bike == pytest.approx(STROKE, abs=1e-7)


def test_a_linear_spring_throws_by_its_frequency_and_a_leaning_path_by_the_cosine():
    rate, travel = 8000.0, 0.12
    frequency = sqrt(rate / reduced_mass(40.0, 2.0))

    assert thrown_speed(0.5 * rate * travel**2, 40.0, 2.0) == pytest.approx(travel * frequency, rel=1e-12)
    leaning = thrown_speed(0.5 * rate * travel**2, 40.0, 2.0, lean=0.4)
    assert leaning == pytest.approx(travel * frequency * cos(0.4), rel=1e-12)


def test_the_speed_at_a_step_is_that_of_an_axle_on_a_circle_about_the_edge():
    radius, height, lean, speed = 0.37, 0.09, 0.45, 1e-4
    forward = 6.0

    def over(time):
        # the bike is at `bike`; the axle has given way backwards by what it has risen, and lies on the circle
        bike = -sqrt(radius**2 - (radius - height) ** 2) + forward * time
        rise = np.linspace(0.0, 0.01, 200_001)
        off = np.abs(np.hypot(bike - rise * tan(lean), radius - height + rise) - radius)
        return rise[off.argmin()]

    thrown = (over(speed) - over(0.0)) / speed

    assert step_speed(thrown, radius, height, 0.0, lean) == pytest.approx(forward, rel=2e-3)


def test_a_step_of_half_the_height_of_the_axle_is_a_triangle_of_30_degrees():
    assert step_speed(3.0, 0.4, 0.2, 0.0) == pytest.approx(3.0 * tan(pi / 6))


def test_a_wheel_that_is_held_down_harder_than_it_is_thrown_stays_on_the_edge():
    with pytest.raises(OutsideValidity, match="held on the edge"):
        step_speed(0.5, 0.37, 0.05, 400.0)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: drop_height(10.0, 80.0, 0.16), "do 126 J of work, and the spring takes 10 J"),
        (lambda: drop_height(-1.0, 80.0, 0.16), "an energy of -1"),
        (lambda: drop_height(float("nan"), 80.0, 0.16), "an energy of nan"),
        (lambda: thrown_speed(0.0, 30.0, 2.0), "0 J are left"),
        (lambda: thrown_speed(50.0, 30.0, 0.0), "both must be above 0"),
        (lambda: step_speed(5.0, 0.37, 0.37, 0.0), "370 mm is not between the ground"),
    ],
)
def test_what_makes_no_sense_is_refused_by_how_much(call, told):
    with pytest.raises(OutsideValidity, match=told):
        call()

"""Sensitivities against differences of the whole computation; the exact check is in tests/oracle."""

import numpy as np
import pytest

from bikewright.physics.linkage.motion import solve_motion
from bikewright.physics.linkage.sensitivity import sensitivities
from tests.physics.linkage.samples import ALL, FOUR_BAR


@pytest.mark.parametrize("name", ALL)
def test_moving_a_pin_does_what_its_sensitivity_says(name):
    one = ALL[name]
    lengths, step = one.lengths(6), 1e-6
    found = sensitivities(solve_motion(one.layout, one.marks, lengths))
    for index, pin in enumerate(one.layout.pins):
        for axis in range(2):
            ends = []
            for sign in (1, -1):
                places = one.places.copy()
                places[index, axis] += sign * step
                ends.append(solve_motion(one.layout, one.layout.drawn(places), lengths))
            for values, read in (
                (found.axle_x, lambda motion: motion.axle[:, 0]),
                (found.axle_z, lambda motion: motion.axle[:, 1]),
                (found.wheel_travel, lambda motion: motion.wheel_travel),
                (found.leverage_ratio, lambda motion: motion.leverage_ratio),
            ):
                numeric = (read(ends[0]) - read(ends[1])) / (2 * step)
                assert found.for_pin(values, pin.name)[:, axis] == pytest.approx(numeric, rel=1e-5, abs=1e-5)


def test_moving_the_whole_bike_moves_the_axle_with_it_and_changes_nothing_else():
    found = sensitivities(solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(6)))
    assert found.axle_x.sum(axis=1) == pytest.approx(np.tile([1.0, 0.0], (6, 1)), abs=1e-12)
    assert found.axle_z.sum(axis=1) == pytest.approx(np.tile([0.0, 1.0], (6, 1)), abs=1e-12)
    assert found.leverage_ratio.sum(axis=1) == pytest.approx(np.zeros((6, 2)), abs=1e-11)


def test_marks_of_the_shock_and_of_hanging_bodies_have_no_influence():
    found = sensitivities(solve_motion(FOUR_BAR.layout, FOUR_BAR.marks, FOUR_BAR.lengths(6)))
    for pin, body in (("shock eye", "shock"), ("shock mount", "shock"), ("axle", "wheel"), ("brake", "caliper")):
        assert not found.for_mark(found.leverage_ratio, pin, body).any()
    assert found.for_mark(found.leverage_ratio, "shock eye", "rocker").any()

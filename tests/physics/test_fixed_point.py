"""Mixing of steps: exact where all is linear, and the same answer as SciPy's root where it is not."""

import math

import numpy as np
import pytest
from scipy.optimize import root

from bikewright.physics.fixed_point import next_guess


def run(function, start, steps):
    """Every guess, the start first."""
    guesses, done = [list(start)], []
    for _ in range(steps):
        done.append((guesses[-1], function(guesses[-1])))
        guesses.append(next_guess(done))
    return guesses


@pytest.mark.parametrize("matrix", [[[0.5, 0.2], [-0.3, 0.4]], [[1.8, 0.3], [0.1, -2.5]]], ids=["closes", "runs away"])
def test_two_linear_unknowns_are_exact_at_the_third_mix(matrix):
    """Three steps give two changes, which are all that a plane has."""
    matrix, added = np.array(matrix), np.array([1.0, -2.0])
    answer = np.linalg.solve(np.eye(2) - matrix, added)
    guesses = run(lambda at: list(matrix @ at + added), (0.3, 0.1), 3)
    assert guesses[-1] == pytest.approx(answer, rel=1e-12)
    assert guesses[-2] != pytest.approx(answer, rel=1e-3)


def test_one_step_is_taken_as_it_is():
    assert next_guess([((1.0, 2.0), (3.0, 5.0))]) == [3.0, 5.0]


def test_steps_that_tell_nothing_new_do_no_harm():
    """The same step three times, and steps along one line: no division by nought."""
    step = ((1.0, 2.0), (1.5, 2.5))
    assert next_guess([step, step, step]) == [1.5, 2.5]
    line = [((at, at), (0.5 * at + 1.0, 0.5 * at + 1.0)) for at in (0.0, 1.0, 1.5)]
    assert next_guess(line) == pytest.approx([2.0, 2.0], rel=1e-12)


def test_a_place_that_is_met_stays():
    met = ((2.0, 3.0), (2.0, 3.0))
    assert next_guess([((1.0, 1.0), (1.5, 2.0)), met]) == [2.0, 3.0]


def test_same_place_as_scipy_finds():
    def wanted(at):
        return [0.9 * math.cos(at[1]) - 0.2 * at[0], 0.8 * math.sin(at[0]) + 0.3 * at[1] ** 2]

    found = run(wanted, (0.0, 0.0), 12)[-1]
    other = root(lambda at: np.subtract(wanted(at), at), [0.0, 0.0], tol=1e-14)
    assert other.success
    assert found == pytest.approx(other.x, abs=1e-12)

"""The linkage sweep against body coordinates and Newton's method: another formulation, in double and in 50 digits.

Wanted: positions to 1e-12 m and leverage to 1e-12 of itself against 50 digits; sensitivities to 1e-12 against the
complex step.
"""

import mpmath
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bikewright.physics.linkage.motion import solve_motion
from bikewright.physics.linkage.plan import compile_plan
from bikewright.physics.linkage.run import sweep
from bikewright.physics.linkage.sensitivity import sensitivities
from tests.oracle.body_coordinates import BodyCoordinates
from tests.physics.linkage.samples import ALL

pytestmark = pytest.mark.oracle


def in_fifty_digits(other, state, length):
    """A double-precision state polished to 50 digits, and the axle there with its derivative."""
    mpmath.mp.dps = 50
    marks = [[mpmath.mpf(float(v)) for v in row] for row in other.marks]

    def place(values, body, pin):
        m = marks[other.layout.mark(pin, body)]
        if body == "frame":
            return m, None, None
        k = 3 * other.bodies.index(body)
        c, s = mpmath.cos(values[k + 2]), mpmath.sin(values[k + 2])
        x, z = c * m[0] - s * m[1], s * m[0] + c * m[1]
        return [x + values[k], z + values[k + 1]], k, [-z, x]

    def equations(values):
        n = other.size
        value, jacobian = mpmath.matrix(n, 1), mpmath.matrix(n, n)
        row = 0
        for (a, pin), (b, _) in other.joints:
            for sign, body in ((1, a), (-1, b)):
                at, k, slope = place(values, body, pin)
                for axis in range(2):
                    value[row + axis] += sign * at[axis]
                    if k is not None:
                        jacobian[row + axis, k + axis] += sign
                        jacobian[row + axis, k + 2] += sign * slope[axis]
            row += 2
        (p, kp, sp), (q, kq, sq) = (place(values, *end) for end in other.shock)
        d = [p[0] - q[0], p[1] - q[1]]
        value[row] = (d[0] ** 2 + d[1] ** 2 - mpmath.mpf(float(length)) ** 2) / 2
        for sign, k, slope in ((1, kp, sp), (-1, kq, sq)):
            if k is not None:
                jacobian[row, k] += sign * d[0]
                jacobian[row, k + 1] += sign * d[1]
                jacobian[row, k + 2] += sign * (d[0] * slope[0] + d[1] * slope[1])
        return value, jacobian

    values = mpmath.matrix([mpmath.mpf(float(v)) for v in state])
    for _ in range(4):
        value, jacobian = equations(values)
        values = values - mpmath.lu_solve(jacobian, value)
    value, jacobian = equations(values)
    assert max(abs(v) for v in value) < mpmath.mpf(10) ** -45
    right = mpmath.matrix(other.size, 1)
    right[other.size - 1] = -mpmath.mpf(float(length))
    rate = mpmath.lu_solve(jacobian, right)
    pin = other.layout.pins[other.layout.axle]
    body = next(b for b in pin.joins if b in other.bodies)
    at, k, slope = place(values, body, pin.name)
    return at, [rate[k + axis] + slope[axis] * rate[k + 2] for axis in range(2)]


@pytest.mark.parametrize("name", ALL)
def test_positions_and_leverage_hold_against_fifty_digits(name):
    sample = ALL[name]
    lengths = sample.lengths(11)
    motion = solve_motion(sample.layout, sample.marks, lengths)
    other = BodyCoordinates(sample.layout, sample.marks)
    states = other.follow(lengths)
    for i in (0, 5, 10):
        at, rate = in_fifty_digits(other, states[i], lengths[i])
        assert abs(float(at[0] - mpmath.mpf(motion.axle[i, 0]))) < 1e-12
        assert abs(float(at[1] - mpmath.mpf(motion.axle[i, 1]))) < 1e-12
        assert abs(float(rate[1] / mpmath.mpf(motion.leverage_ratio[i]) - 1)) < 1e-12


@pytest.mark.parametrize("name", ALL)
def test_every_pin_is_where_newton_finds_it(name):
    sample = ALL[name]
    lengths = sample.lengths(11)
    motion = solve_motion(sample.layout, sample.marks, lengths)
    other = BodyCoordinates(sample.layout, sample.marks)
    for i, state in enumerate(other.follow(lengths)):
        for pin in sample.layout.pins:
            assert motion.point(pin.name)[i] == pytest.approx(other.pin(state, pin.name), abs=2e-13)


@pytest.mark.parametrize("name", ALL)
def test_sensitivities_hold_against_the_complex_step(name):
    """Every mark is moved on its own body, so chips and shared pins are covered alike."""
    sample = ALL[name]
    lengths = sample.lengths(5)
    found = sensitivities(solve_motion(sample.layout, sample.marks, lengths))
    states = BodyCoordinates(sample.layout, sample.marks).follow(lengths)
    scale = max(1.0, float(np.abs(found.leverage_ratio).max()))
    for mark, (_, body) in enumerate(sample.layout.marks):
        for axis in range(2):
            marks = sample.marks.astype(complex)
            marks[mark, axis] += 1e-40j
            moved = BodyCoordinates(sample.layout, marks)
            for i in (0, 2, 4):
                state = moved.newton(states[i], lengths[i])
                at, rate = moved.axle(state, lengths[i])
                want = np.imag(np.array([at[0], at[1], rate[1]])) / 1e-40
                have = [found.axle_x[i, mark, axis], found.axle_z[i, mark, axis], found.leverage_ratio[i, mark, axis]]
                assert have == pytest.approx(want, abs=1e-12 * scale), (body, axis)


@pytest.mark.parametrize("name", ALL)
@settings(max_examples=12)
@given(seed=st.integers(0, 10**6))
def test_a_shifted_linkage_follows_the_same_path_as_continuation(name, seed):
    """Pins shifted by up to 15 mm, then each mark by up to 1.5 mm on its own body, as a flip chip does."""
    sample = ALL[name]
    random = np.random.default_rng(seed)
    places = sample.places + random.uniform(-0.015, 0.015, sample.places.shape)
    marks = sample.layout.drawn(places)
    marks = marks + random.uniform(-0.0015, 0.0015, marks.shape)
    lengths = sample.lengths(9)
    raw = sweep(compile_plan(sample.layout), marks[None], lengths)
    margin = np.where(raw.status[0] == 0, raw.margin[0], 0.0)
    last = int(np.argmin(margin > 0.1)) if (margin <= 0.1).any() else len(lengths)
    assume(last > 0)
    other = BodyCoordinates(sample.layout, marks)
    assume(other.closed() is not None)
    states = other.follow(lengths[:last])
    assert len(states) == last
    for i, state in enumerate(states):
        at, rate = other.axle(state, lengths[i])
        assert raw.points[0, 0, sample.layout.axle, :, i] == pytest.approx(at, abs=1e-12)
        assert raw.points[0, 1, sample.layout.axle, :, i] == pytest.approx(rate, rel=1e-10, abs=1e-10)

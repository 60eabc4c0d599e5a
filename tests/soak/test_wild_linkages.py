"""20,000 drawings with every pin up to 60 mm away from a good one: each runs through or says where and why it stops.

A design that runs through must be continuous at every step, and a sample of them must end where Newton's method in body
coordinates ends. The frozen side of each circle intersection is then the continuous one.
"""

import re

import numpy as np
import pytest

from bikewright.errors import LinkageAtDeadPoint, LinkageDoesNotClose, SolverDidNotSettle
from bikewright.physics.kernels import compile as kernels
from bikewright.physics.linkage.plan import compile_plan
from bikewright.physics.linkage.run import sweep
from bikewright.physics.linkage.stops import RESOLUTION, WHEEL_TURNS, stop_error, where_it_stops
from tests.oracle.body_coordinates import BodyCoordinates
from tests.physics.linkage.samples import ALL

pytestmark = pytest.mark.soak

EACH = 20_000 // len(ALL) + 1
PLACE = re.compile(
    r"after \d+\.\d\d mm of shock stroke \(-?\d+\.\d\d mm of wheel travel|at the first shock length asked for"
)


@pytest.fixture(scope="module", autouse=True)
def compiled():
    kernels.warm()
    yield
    kernels.unload()


@pytest.fixture(scope="module", params=ALL)
def wild(request):
    """A layout, its wild drawings with their own shock lengths, and what the kernel makes of them."""
    one = ALL[request.param]
    random = np.random.default_rng(sum(map(ord, request.param)))
    places = one.places + random.uniform(-0.060, 0.060, (EACH, *one.places.shape))
    marks = np.array([one.layout.drawn(p) for p in places])
    a, b = one.layout.pins_of["shock"]
    drawn = np.hypot(*(places[:, a] - places[:, b]).T)
    # Short shocks get less stroke, as they do in a shop.
    lengths = drawn[:, None] - np.linspace(0.0, 1.0, 101) * np.minimum(one.stroke, 0.3 * drawn)[:, None]
    return one, marks, lengths, sweep(compile_plan(one.layout), marks, lengths)


def runs(raw, one):
    return (raw.status == 0).all(axis=1) & (raw.points[:, 1, one.layout.axle, 1] > 0.0).all(axis=1)


def test_every_design_that_stops_says_where_and_why(wild):
    one, marks, lengths, raw = wild
    plan, axle = compile_plan(one.layout), one.layout.axle
    stopped = np.flatnonzero(~runs(raw, one))
    assert 0 < len(stopped) < EACH
    unsettled = 0
    for d in stopped:
        stop = where_it_stops(plan, marks[d], lengths[d])
        error = stop_error(stop)
        assert isinstance(error, LinkageDoesNotClose | LinkageAtDeadPoint | SolverDidNotSettle)
        unsettled += isinstance(error, SolverDidNotSettle)
        assert PLACE.search(str(error)), str(error)
        if stop.status != WHEEL_TURNS:
            assert all(body in str(error) for body in stop.bodies)
        if stop.stroke is not None:
            for stroke, works in ((stop.stroke, True), (stop.stroke + 1.5 * RESOLUTION, False)):
                probe = sweep(plan, marks[d][None], [lengths[d, 0], lengths[d, 0] - stroke], 1)
                assert (probe.status[0, 1] == 0 and probe.points[0, 1, axle, 1, 1] > 0.0) == works
    assert unsettled <= 0.005 * EACH


def mismatch(raw, lengths, axle):
    """Largest step of each design's axle beyond what value, velocity and second derivative at both ends say."""
    place, rate, bend = (raw.points[:, level, axle] for level in range(3))
    step = (lengths[:, 0] - lengths[:, 1])[:, None, None]
    guess = 0.5 * step * (rate[..., 1:] + rate[..., :-1]) + step**2 / 12 * (bend[..., :-1] - bend[..., 1:])
    return np.max(np.abs(np.diff(place, axis=2) - guess), axis=(1, 2))


def test_every_design_that_runs_is_continuous(wild):
    """A mismatch of a path that only bends sharply falls as the fifth power of the step; that of a jump stays."""
    one, marks, lengths, raw = wild
    good = np.flatnonzero(runs(raw, one) & (raw.margin > 0.02).all(axis=1))
    assert len(good) > 0.2 * EACH
    sharp = [d for d, jump in zip(good, mismatch(raw, lengths, one.layout.axle)[good], strict=True) if jump > 1e-6]
    assert len(sharp) < 0.1 * len(good)
    for d in sharp:
        fine = np.linspace(lengths[d, 0], lengths[d, -1], 20_001)[None]
        again = sweep(compile_plan(one.layout), marks[d][None], fine)
        assert not again.status.any()
        assert mismatch(again, fine, one.layout.axle)[0] < 1e-7


def test_a_sample_ends_where_continuation_ends(wild):
    """Designs with a leverage ratio below 20, which the plain continuation can follow in its steps."""
    one, marks, lengths, raw = wild
    mild = (raw.margin > 0.05).all(axis=1) & (raw.points[:, 1, one.layout.axle, 1] < 20.0).all(axis=1)
    good = np.flatnonzero(runs(raw, one) & mild)
    for d in good[:: max(1, len(good) // 100)]:
        other = BodyCoordinates(one.layout, marks[d])
        states = other.follow(lengths[d, [0, 50, 100]], coarsest=2.5e-4)
        assert len(states) == 3
        for i, state in zip((0, 50, 100), states, strict=True):
            at, rate = other.axle(state, lengths[d, i])
            assert raw.points[d, 0, one.layout.axle, :, i] == pytest.approx(at, abs=1e-11)
            assert raw.points[d, 1, one.layout.axle, :, i] == pytest.approx(rate, rel=1e-9, abs=1e-9)

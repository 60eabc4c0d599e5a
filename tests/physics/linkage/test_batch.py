"""Many designs on threads give what one design at a time gives."""

import numpy as np
import pytest

from bikewright.errors import LinkageError
from bikewright.physics.linkage import batch
from bikewright.physics.linkage.motion import solve_motion
from tests.physics.linkage.samples import FLOATING, FOUR_BAR


@pytest.mark.parametrize("one", [FOUR_BAR, FLOATING], ids=["four-bar", "floating"])
def test_designs_and_blocks_do_not_mix(one, monkeypatch):
    monkeypatch.setattr(batch, "BLOCK", 3)
    random = np.random.default_rng(4)
    places = one.places + random.normal(0.0, 1e-3, (8, *one.places.shape))
    marks = np.array([one.layout.drawn(p) for p in places])
    found = batch.sweep_axles(one.layout, marks, one.lengths(5), workers=2)
    assert not found.status.any()
    for d in range(8):
        alone = solve_motion(one.layout, marks[d], one.lengths(5))
        assert np.array_equal(found.axle[d].T, alone.axle)
        assert np.array_equal(found.leverage_ratio[d], alone.leverage_ratio)
        assert np.array_equal(found.wheel_travel[d], alone.wheel_travel)
        assert np.array_equal(found.margin[d], alone.margin)


def test_each_design_may_have_its_own_shock():
    marks = np.array([FOUR_BAR.marks, FOUR_BAR.marks])
    lengths = np.array([FOUR_BAR.lengths(5), FOUR_BAR.lengths(5) - 0.004])
    found = batch.sweep_axles(FOUR_BAR.layout, marks, lengths)
    for d in range(2):
        assert np.array_equal(found.axle[d].T, solve_motion(FOUR_BAR.layout, marks[d], lengths[d]).axle)


def test_a_design_that_stops_is_nothing_from_there_and_has_a_status():
    marks = np.array([FOUR_BAR.marks])
    found = batch.sweep_axles(FOUR_BAR.layout, marks, FOUR_BAR.lengths(101, stroke=0.120))
    stops = int(np.argmax(found.status[0] != 0))
    assert 0 < stops < 101
    assert np.isfinite(found.axle[0, :, :stops]).all()
    assert np.isnan(found.axle[0, :, stops:]).all()
    assert np.isnan(found.margin[0, stops:]).all()


@pytest.mark.parametrize("shape", [(3, 14, 2), (16, 2)])
def test_marks_of_the_wrong_shape_are_refused(shape):
    with pytest.raises(LinkageError, match="marks must have the shape"):
        batch.sweep_axles(FOUR_BAR.layout, np.zeros(shape), FOUR_BAR.lengths(5))


def test_lengths_for_another_number_of_designs_are_refused():
    with pytest.raises(LinkageError, match="one for each of 2 designs"):
        batch.sweep_axles(FOUR_BAR.layout, np.array([FOUR_BAR.marks] * 2), np.ones((3, 5)))

"""Many designs on threads give what one design at a time gives."""

import numpy as np
import pytest

from bikewright.errors import LinkageError, OutsideValidity
from bikewright.physics.linkage import batch
from bikewright.physics.linkage.bodies import instant_centre
from bikewright.physics.linkage.motion import solve_motion
from tests.physics.linkage.samples import FLOATING, FOUR_BAR, sample


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


def kept(block):
    return [np.array(a) for a in (block.places, block.rates, block.instant_centre, block.margin, block.status)]


@pytest.mark.parametrize("one", [FOUR_BAR, FLOATING], ids=["four-bar", "floating"])
@pytest.mark.parametrize("workers", [1, 2])
def test_every_output_of_a_block_is_that_of_the_design_alone(one, workers, monkeypatch):
    monkeypatch.setattr(batch, "CACHED", 4000)
    random = np.random.default_rng(5)
    marks = np.array([one.layout.drawn(one.places + random.normal(0.0, 1e-3, one.places.shape)) for _ in range(30)])
    blocks = batch.reduce_sweep(one.layout, marks, one.lengths(21), kept, workers=workers)
    assert len(blocks) > 2
    places, rates, centre, margin, status = (np.concatenate(parts) for parts in zip(*blocks, strict=True))
    assert not status.any()
    for d in (0, 1, 17, 29):
        alone = solve_motion(one.layout, marks[d], one.lengths(21))
        assert np.array_equal(places[d].transpose(2, 0, 1), alone.points)
        assert np.array_equal(rates[d].transpose(2, 0, 1), alone.velocity)
        assert np.array_equal(margin[d], alone.margin)
        found = instant_centre(alone, one.layout.axle_bodies[0]).place
        assert np.allclose(centre[d].T, found, rtol=1e-12, atol=1e-12)


def test_a_block_has_no_leverage_and_no_centre_where_a_design_has_stopped():
    marks = np.array([FOUR_BAR.marks] * 3)
    blocks = batch.reduce_sweep(
        FOUR_BAR.layout,
        marks,
        FOUR_BAR.lengths(101, stroke=0.120),
        lambda block: (
            block.first,
            block.leverage_ratio[0].copy(),
            block.instant_centre[0].copy(),
            block.status[0] != 0,
        ),
    )
    ((first, ratio, centre, stopped),) = blocks
    assert first == 0
    assert stopped.any()
    assert np.array_equal(np.isnan(ratio), stopped)
    assert np.array_equal(np.isnan(centre[0]), stopped)


def test_a_body_that_moves_without_turning_has_no_centre_in_a_block():
    # The coupler of a parallelogram: two equal, parallel links.
    one = sample(
        0.030,
        low=(0, 0, "frame", "lower"),
        high=(0, 200, "frame", "upper"),
        mount=(150, 20, "frame", "shock"),
        low_end=(-100, 0, "lower", "upright"),
        high_end=(-100, 200, "upper", "upright"),
        eye=(30, 230, "upper", "shock"),
        axle=(-400, 0, "upright", "wheel"),
    )
    (centre,) = batch.reduce_sweep(
        one.layout, one.marks[None], one.lengths(5), lambda block: block.instant_centre.copy(), workers=1
    )
    assert np.isnan(centre).all()
    (rocker,) = batch.reduce_sweep(
        one.layout, one.marks[None], one.lengths(5), lambda block: block.instant_centre.copy(), body="upper"
    )
    assert np.allclose(rocker[0].T, [0.0, 0.2], atol=1e-12)


@pytest.mark.parametrize("body, told", [("shock", "changes its length"), ("frame", "stands still")])
def test_a_centre_is_asked_of_moving_rigid_bodies_only(body, told):
    with pytest.raises(OutsideValidity, match=told):
        batch.reduce_sweep(FOUR_BAR.layout, FOUR_BAR.marks[None], FOUR_BAR.lengths(5), kept, body=body)


def test_an_error_while_reducing_comes_out_and_stops_no_thread():
    def fails(block):
        raise KeyError("mine")

    with pytest.raises(KeyError, match="mine"):
        batch.reduce_sweep(FOUR_BAR.layout, np.array([FOUR_BAR.marks] * 9), FOUR_BAR.lengths(5), fails, workers=2)

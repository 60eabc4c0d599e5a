"""The spring side as assembled."""

from itertools import pairwise

import numpy as np
import pytest

from bikewright.errors import OutsideValidity
from bikewright.physics.springs.air import air_curve
from bikewright.physics.springs.assembly import assemble
from bikewright.physics.springs.bumper import TopOut, bumper
from bikewright.physics.springs.chambers import AirSpring, LowerLegs, Negative, fill
from bikewright.physics.springs.coil import coil_spring
from bikewright.units import BAR, CM2, CM3
from tests.physics.springs.exactness import check_energy, check_exact

SPRING = AirSpring(
    area=9 * CM2,
    volume=210 * CM3,
    negative=Negative(volume=40 * CM3, area=8 * CM2, port=0.008),
    lower=LowerLegs(volume=500 * CM3, area=20 * CM2),
)
AIR = air_curve(SPRING, fill(SPRING, 6 * BAR), 1.3, 0.16)
RUBBER = bumper(0.145, [0.0, 0.005, 0.015], [0.0, 150.0, 1500.0])
TOP = TopOut(topout_rate=15e3, length=0.004)
FORK = assemble(AIR, 0.16, bumper=RUBBER, top_out=TOP)


def test_the_whole_is_the_sum_of_its_parts():
    for at in (0.0, 0.002, 0.006, 0.08, 0.147, 0.16):
        parts = [part.state(at) for part in (AIR, RUBBER, TOP)]
        assert FORK.state(at) == pytest.approx([sum(values) for values in zip(*parts, strict=True)], rel=1e-13)


def test_force_rate_and_energy_belong_together():
    """Between the kinks: top-out to 4 mm, port at 8 mm, bumper from 145 mm with rows at 150 and 160 mm."""
    check_exact(FORK, [0.002, 0.006, 0.02, 0.08, 0.14, 0.147, 0.155])
    kinks = [0.0, 0.004, 0.008, 0.145, 0.150, 0.160]
    for low, high in pairwise(kinks):
        check_energy(FORK, low, high, rel=1e-9)
    assert FORK.energy_to_bottom == FORK.energy(0.16)


def test_the_fork_hangs_where_top_out_and_air_balance():
    """With 60 N from the air at full extension and 60 N from the top-out spring nothing is left."""
    assert FORK.force(0.0) == pytest.approx(6 * BAR * 1 * CM2 - 60.0, abs=1e-9)
    assert np.all(np.diff(FORK.force(np.linspace(0.0, 0.16, 300))) > 0.0)


def test_a_coil_fork_may_have_air_in_its_legs():
    legs = AirSpring(area=20 * CM2, volume=500 * CM3)
    trapped = air_curve(legs, fill(legs, 0.0), 1.0, 0.16)
    fork = assemble(coil_spring(5e3, 0.16), 0.16, others=(trapped,))

    assert fork.force(0.16) == pytest.approx(800.0 + 101_325 * (500 / 180 - 1) * 20 * CM2, rel=1e-12)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (
            {"bumper": bumper(0.14, [0.0, 0.015], [0.0, 900.0])},
            "pressed by 20.0 mm at full stroke, but its table ends at",
        ),
        ({"top_out": TopOut(topout_rate=1e3, length=0.2)}, "200.0 mm is longer than the stroke"),
    ],
)
def test_ends_that_do_not_fit_the_stroke_are_refused(more, told):
    with pytest.raises(OutsideValidity, match=told):
        assemble(coil_spring(5e3, 0.16), 0.16, **more)


def test_a_stroke_of_nothing_is_refused():
    with pytest.raises(OutsideValidity, match=r"0\.0 mm is no stroke"):
        assemble(coil_spring(5e3, 0.16), 0.0)

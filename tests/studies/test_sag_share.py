"""The front wheel's share at the stated sag against the one of the bike that settles there."""

import pytest

from bikewright.errors import NotKnown
from bikewright.model.addresses import with_value
from bikewright.model.files import read_bike
from bikewright.studies.evaluate import evaluate
from bikewright.studies.sag_share import front_share_pct
from tests.sample_bike import BARE, LOADED


@pytest.mark.parametrize("name", ["quillback", "wherry", "corbel"])
def test_it_is_the_share_of_the_bike_that_settles_at_that_sag(name):
    """Settle under the springs, state that sag, and ask again: tyres differ by what they give, some mm."""
    bike = read_bike(f"examples/{name}")
    build = next(one for one in bike.builds if one.rider is not None)
    settled = evaluate(build)
    build = with_value(build, "sag_front_pct", settled.value("sag_front_pct@standing").number)
    if build.frame.linkage is not None:
        build = with_value(build, "sag_rear_pct", settled.value("sag_rear_pct@standing").number)

    told = front_share_pct(evaluate(build))
    assert told == pytest.approx(settled.value("front_share_pct@standing").number, abs=0.15)


def test_springs_do_not_matter():
    softer = with_value(LOADED, "fork_pressure_bar", 4.0)
    assert front_share_pct(evaluate(softer)) == front_share_pct(evaluate(LOADED))


def test_a_longer_rear_centre_puts_more_weight_on_the_front_wheel():
    longer = with_value(LOADED, "sizes.M.linkage.shift_x_mm", -10.0)
    assert front_share_pct(evaluate(longer)) > front_share_pct(evaluate(LOADED)) + 0.2


def test_without_a_rider_it_waits():
    with pytest.raises(NotKnown, match="waits for a rider"):
        front_share_pct(evaluate(BARE))

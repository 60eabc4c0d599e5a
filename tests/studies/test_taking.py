"""What takes a found build into the draft: the changes alone make it, pressures to a hundredth of a bar."""

from pathlib import Path

import pytest

from bikewright.model.addresses import apply, read_change
from bikewright.model.files import read_bike
from bikewright.studies.taking import changes_to

BIKE = read_bike(Path(__file__).parents[2] / "examples" / "quillback")


def made(build, changes):
    for text in changes:
        build = apply(build, read_change(text), BIKE.stock, BIKE.riders)
    return build


@pytest.mark.parametrize("name", ["stock", "coil", "long-fork"])
def test_the_changes_make_one_build_of_the_other(name):
    build = BIKE.build(name)
    wanted = made(build, ("rider=adebo", "fork_spacers=3", "sag_rear_pct=27.5", "fork_pressure_bar=6.12"))
    taken = changes_to(build, wanted)
    assert made(build, taken) == wanted
    assert changes_to(wanted, wanted) == ()


def test_a_pressure_is_taken_as_it_is_shown():
    build = BIKE.build("stock")
    wanted = made(build, ("fork_pressure_bar=6.1234",))
    assert changes_to(build, wanted) == ("fork_pressure_bar=6.12",)
    assert changes_to(made(build, ("fork_pressure_bar=6.12",)), wanted) == ()

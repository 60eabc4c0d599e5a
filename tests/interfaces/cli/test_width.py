"""No line of any answer is wider than a terminal of 100 columns."""

import pytest

from bikewright.model.files import read_bike
from bikewright.quantities import STATES
from tests.interfaces.cli.asked import BIKES, ask

UNITS = ("", "in,psi,lb", "cm,bar,kg")
FORMS = ((), ("--all",), ("--sizes",), ("--sizes", "--all"))
CHANGES = ("--with", "stem.length_mm=50", "--with", "fork.chassis.bottomed_length_mm+=12", "--with", "size={size}")
BUILDS = [(bike, build.name) for bike in BIKES for build in read_bike(bike).builds]


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize(("bike", "build"), BUILDS, ids=lambda one: getattr(one, "name", one))
def test_show_and_table(bike, build, units):
    for state in STATES:
        for command in ("show", "table"):
            told = ask(command, bike, "--build", build, "--state", state, "--units", units)
            assert told.too_wide == []
            assert told.code == 0, (state, told.err)


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("form", FORMS, ids=" ".join)
@pytest.mark.parametrize("bike", BIKES, ids=lambda bike: bike.name)
def test_compare(bike, form, units):
    last = read_bike(bike).frame.sizes[-1].name
    changes = [word.format(size=last) for word in CHANGES]
    for words in (changes, ["--to", read_bike(bike).builds[-1].name]):
        told = ask("compare", bike, *words, *form, "--units", units)
        assert told.too_wide == []
        assert told.code in (0, 1, 2), told.err

"""The demo bikes, read once, and how the tests ask them."""

from pathlib import Path

from bikewright.model.build import Build
from bikewright.model.files import Bike, read_bike
from bikewright.studies.evaluate import evaluate

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("quillback", "wherry", "corbel")
SUSPENDED = ("quillback", "corbel")
BIKES = {name: read_bike(EXAMPLES / name) for name in NAMES}
ROWS = [(name, size.name) for name in NAMES for size in BIKES[name].frame.sizes]
BUILDS = [(name, build.name) for name in NAMES for build in BIKES[name].builds]
RIDDEN = [(name, build.name) for name in NAMES for build in BIKES[name].builds if build.rider is not None]


def in_size(bike: Bike, size: str, name: str = "datum") -> Build:
    """A build in one size."""
    return bike.build(name).changed(size=size)


def number(build: Build, address: str) -> float:
    """A reported number, which must be there."""
    value = evaluate(build).value(address)
    assert value.number is not None, f"{address}: {value.waits}"
    return value.number

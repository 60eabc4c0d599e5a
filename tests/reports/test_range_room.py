"""What the page is told of ranges: bars that lie over no other, bounds as the fit has them."""

from types import SimpleNamespace

import pytest

from bikewright.reports.range_room import bounds_data, regroup_data
from bikewright.reports.wording import ShownUnits
from bikewright.studies.bounds import read_bounds
from bikewright.studies.fitting import RANGES
from bikewright.studies.regrouping import Regroup, Regrouped


def coverage(*spans):
    """Sizes with these statures, the same for men and women."""
    sizes = []
    for name, low, high in spans:
        middle = SimpleNamespace(low=SimpleNamespace(stature_mm=low), high=SimpleNamespace(stature_mm=high))
        band = SimpleNamespace(middle=None if low is None else middle)
        sizes.append(SimpleNamespace(size=name, band=lambda column, band=band: band))
    frame = SimpleNamespace(name="Bike", revision="", sizes=())
    return SimpleNamespace(sizes=sizes, build=SimpleNamespace(frame=frame, name="stock"))


def group(low, high, old, new):
    rider = SimpleNamespace(stature_mm=(low + high) / 2, inseam_mm=None)
    return Regroup("male", low, high, old, new, rider, (), 10.0, 0)


def told(old, new, *groups):
    return regroup_data(Regrouped(old, new, tuple(groups), "own.csv"), ShownUnits())


def test_bars_stand_in_the_order_of_the_sizes_in_lanes_that_nobody_shares():
    old = coverage(("S", 1500, 1650), ("M", 1600, 1750), ("L", 1700, 1850), ("XL", None, None))
    bars = told(old, coverage(("S", 1400, 1500)), group(1500, 1600, "S", ""))["bars"]["men"]
    row = bars["rows"][0]
    assert [(bar["text"], bar["lane"]) for bar in row["bars"]] == [("S", 0), ("M", 1), ("L", 0)]
    assert row["lanes"] == 2
    assert bars["axis"]["low"] < 1400
    assert bars["axis"]["high"] > 1850
    assert "old sizes S 1500 to 1650" in bars["spoken"]


def test_who_loses_a_size_comes_first_and_is_marked():
    found = told(coverage(("S", 1500, 1700)), coverage(("M", 1600, 1800)), group(1600, 1700, "S", "M"),
                 group(1700, 1800, "", "M"), group(1500, 1600, "S", ""))  # fmt: skip
    assert [text[:2] for text in found["loses"]] == ["S:"]
    assert [text[:2] for text in found["wins"]] == ["M:"]
    assert [one["heading"] for one in found["groups"]] == ["S → M"]
    assert [(one["text"], one["end"]) for one in found["bars"]["men"]["moves"]] == [
        ("S → M", ""), ("none → M", "wins"), ("S → none", "loses")
    ]  # fmt: skip


def test_a_range_that_fits_nobody_has_an_axis_all_the_same():
    bars = told(coverage(("S", None, None)), coverage(("S", None, None)))["bars"]["men"]
    assert bars["axis"]["low"] < bars["axis"]["high"]
    assert bars["rows"][0]["bars"] == []


def test_every_bound_that_is_offered_can_be_typed():
    offered = bounds_data()
    assert len(offered) == sum(map(len, RANGES.values()))
    for one in offered:
        posture, angle = one["bound"].split(".")
        limits = RANGES[posture][angle]
        found = read_bounds([f"{one['bound']}={one['low']}..{one['high']}"])[(posture, angle)]
        assert found == pytest.approx((limits.low, limits.high))

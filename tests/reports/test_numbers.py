"""Numbers as people read them."""

from types import SimpleNamespace

import pytest

from bikewright.errors import OutsideValidity
from bikewright.quantities import CATALOGUE
from bikewright.reports.numbers import change_text, number_text, pitch_text, unknown_text, value_text
from bikewright.units import convert

ANGLE = SimpleNamespace(unit="deg", decimals=1)
LENGTH = SimpleNamespace(unit="mm", decimals=0)
RATIO = SimpleNamespace(unit="", decimals=2)
PRESSURE = SimpleNamespace(unit="bar", decimals=2)
SHARE = SimpleNamespace(unit="pct", decimals=0)


@pytest.mark.parametrize(
    ("value", "entry", "text"),
    [
        (64.32, ANGLE, "64.3°"),
        (-12.4, LENGTH, "−12 mm"),
        (2.817, RATIO, "2.82"),
        (30.0, SHARE, "30 %"),
        (-0.04, ANGLE, "0.0°"),
        (1245.0, LENGTH, "1245 mm"),
    ],
)
def test_value_carries_its_unit_and_a_true_minus(value, entry, text):
    assert value_text(value, entry) == text


def test_unknown_says_what_it_waits_for():
    assert unknown_text() == "unknown"
    assert value_text(None, LENGTH, waits_for=("the axle-to-crown length",)) == (
        "unknown: waits for the axle-to-crown length"
    )
    assert unknown_text(("a", "b", "c")) == "unknown: waits for a, b and c"


@pytest.mark.parametrize(
    ("before", "after", "entry", "text"),
    [
        (63.4, 64.3, ANGLE, "+0.9°"),
        (355.0, 343.0, LENGTH, "−12 mm"),
        (64.30, 64.31, ANGLE, "0.0°"),
        (64.31, 64.30, ANGLE, "0.0°"),
        (None, 64.3, ANGLE, "unknown"),
    ],
)
def test_change_carries_its_sign(before, after, entry, text):
    assert change_text(before, after, entry) == text


def test_another_unit_keeps_the_accuracy_and_invents_no_digit():
    # 1 bar is 14.5 psi: two decimals of bar are one of psi; a millimetre is 0.04 in: none of mm is one of in
    assert value_text(1.5, PRESSURE, shown_in="psi") == "21.8 psi"
    assert value_text(1.5, PRESSURE, shown_in="bar") == "1.50 bar"
    assert value_text(470.0, LENGTH, shown_in="in") == "18.5 in"


def test_nan_is_refused():
    with pytest.raises(OutsideValidity, match="passed as None"):
        number_text(float("nan"), 1)


@pytest.mark.parametrize(("up", "text"), [(1.24, "1.2° nose up"), (-0.8, "0.8° nose down"), (0.04, "level")])
def test_pitch_is_told_in_words(up, text):
    assert pitch_text(up) == text


@pytest.mark.parametrize("entry", CATALOGUE.values(), ids=lambda q: q.key)
def test_every_entry_of_the_catalogue_can_be_written(entry):
    text = value_text(1.0, entry)
    assert text.startswith("1")
    assert convert(1.0, entry.unit or "s", entry.unit or "s") == 1.0

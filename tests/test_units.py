"""Quantities as people write them."""

import time

import pytest

from bikewright.errors import UnitError
from bikewright.units import read_quantity, written


@pytest.mark.parametrize(
    ("value", "suffix", "like", "text"),
    [
        (78.807, "n_per_mm", "500 lbf/in", "450 lbf/in"),
        (455.0, "mm", "17.9 in", "17.9134 in"),
        (0.0125, "n_s_per_mm", "0.85 N s/mm", "0.0125 N s/mm"),
        (1204.553, "mm", "1200 mm", "1204.553 mm"),
        (0.0, "mm", "3 mm", "0 mm"),
        (-12.5, "mm", "-1 cm", "-1.25 cm"),
    ],
)
def test_a_value_is_written_in_the_unit_of_another_text(value, suffix, like, text):
    assert written(value, suffix, like) == text


@pytest.mark.parametrize("value", [0.0034567, 12.345, 455.01, 1204.55, 87654.32])
@pytest.mark.parametrize("like", ["1 in", "1 mm", "1 cm"])
def test_what_is_written_reads_back_to_a_hundred_thousandth(value, like):
    assert read_quantity(written(value, "mm", like), "mm") == pytest.approx(value, rel=1e-5)


def test_a_text_with_very_many_spaces_is_told_at_once():
    start = time.monotonic()
    with pytest.raises(UnitError, match="not a unit known here"):
        read_quantity("1 a" + " " * 200_000 + "b", "mm")
    assert time.monotonic() - start < 1.0

"""Published saddle-height rules, on the mean man of ANSUR II.

E. J. Hamley and V. Thomas, 1967: pedal axle to saddle is 1.09 times the inseam. Common practice: bottom bracket to
saddle is 0.883 (or 0.885) times the inseam. J. C. Holmes, A. L. Pruitt and N. J. Whalen, 1994: the knee bends 25 to 35
degrees at the bottom of the stroke. All from memory; the inseam from the survey's public data.
"""

import pytest

from bikewright.physics.population import ANSUR_II
from bikewright.physics.saddle import BB_SHARES, KNEE_RANGE, pedal_rule
from bikewright.sources import SOURCES
from bikewright.units import DEG, MM

pytestmark = pytest.mark.published

INSEAM = ANSUR_II["male"]["inseam"].mean


def test_none_of_the_rules_was_seen():
    assert not SOURCES["hamley1967"].seen
    assert not SOURCES["holmes1994"].seen


def test_the_rules_on_the_mean_man():
    """845.93 mm: 922.06, 746.96 and 748.65 mm, rounded to 0.01."""
    assert pytest.approx(845.93) == INSEAM / MM
    assert pedal_rule(INSEAM) / MM == pytest.approx(922.06, abs=0.005)
    assert [share * INSEAM / MM for share in BB_SHARES] == pytest.approx([746.96, 748.65], abs=0.005)


def test_the_first_two_differ_by_a_usual_crank():
    """175.1 mm: the rules agree on cranks of 175."""
    assert (pedal_rule(INSEAM) - BB_SHARES[0] * INSEAM) / MM == pytest.approx(175.1, abs=0.05)


def test_the_knee_of_the_range():
    assert [knee / DEG for knee in KNEE_RANGE] == pytest.approx([25.0, 35.0])

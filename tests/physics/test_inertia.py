"""Masses added up: by hand, by the parallel-axis theorem, and for a whole rider."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import OutsideValidity
from bikewright.physics.body import rider_body
from bikewright.physics.figure import Pose
from bikewright.physics.inertia import MassPoint, combine, rider_parts
from bikewright.physics.posture import Posture, seated, standing
from tests.physics.sane_riders import riders_on_bikes

places = st.tuples(st.floats(-2.0, 2.0), st.floats(-2.0, 2.0))
parts = st.builds(MassPoint, st.just("part"), st.floats(0.1, 30.0), places, st.floats(0.0, 1.0))


def test_two_masses_worked_by_hand():
    """2 kg and 1 kg, 3 m apart: the centre is 1 m from the first, I = 2 1^2 + 1 2^2 = 6, plus 0.5 of their own."""
    whole = combine([MassPoint("a", 2.0, (1.0, 1.0), 0.5), MassPoint("b", 1.0, (4.0, 1.0))])

    assert whole.mass == 3.0
    assert whole.place == pytest.approx((2.0, 1.0), abs=1e-15)
    assert whole.inertia == pytest.approx(6.5, abs=1e-14)
    assert whole.gyration == pytest.approx(math.sqrt(6.5 / 3.0), abs=1e-14)
    assert whole.inertia_about((2.0, 3.0)) == pytest.approx(18.5, abs=1e-14)


def test_a_rod_cut_in_pieces_is_a_rod():
    """m l^2/12 of the pieces and of the whole."""
    pieces = [MassPoint("piece", 0.2, (0.1 * (k + 0.5), 0.0), 0.2 * 0.1**2 / 12) for k in range(10)]

    assert combine(pieces).inertia == pytest.approx(2.0 / 12, abs=1e-15)


@given(st.lists(parts, min_size=2, max_size=8), st.integers(1, 7))
def test_adding_in_two_steps_is_adding_at_once(listed, cut):
    first, second = listed[: min(cut, len(listed) - 1)], listed[min(cut, len(listed) - 1) :]
    halves = [MassPoint("half", half.mass, half.place, half.inertia) for half in (combine(first), combine(second))]
    once, twice = combine(listed), combine(halves)

    assert twice.mass == pytest.approx(once.mass, rel=1e-13)
    assert twice.place == pytest.approx(once.place, abs=1e-12)
    assert twice.inertia == pytest.approx(once.inertia, abs=1e-10)


@given(st.lists(parts, min_size=1, max_size=6), places)
def test_inertia_about_a_point_is_the_sum_of_all_about_it(listed, point):
    direct = sum(p.inertia + p.mass * math.dist(p.place, point) ** 2 for p in listed)

    assert combine(listed).inertia_about(point) == pytest.approx(direct, abs=1e-9)


@given(st.lists(parts, min_size=1, max_size=6))
def test_axes_far_away_cost_no_digits(listed):
    far = [MassPoint(p.name, p.mass, (p.place[0] + 1e4, p.place[1]), p.inertia) for p in listed]

    assert combine(far).inertia == pytest.approx(combine(listed).inertia, abs=1e-7)


def test_a_whole_body_laid_out_by_hand():
    """Male shares, joints as given, both sides alike. The centre of mass was derived for this project in two
    independent ways, no published number: (0.32747853, 1.19050311)."""
    hip, knee, ankle, heel, toe = (0.05, 1.05), (0.46, 0.88), (0.38, 0.47), (0.33, 0.42), (0.58, 0.40)
    pose = Pose(
        vertex=(0.62, 1.93),
        gonion=(0.55, 1.72),
        shoulder=(0.42, 1.55),
        elbow=(0.62, 1.35),
        wrist=(0.85, 1.28),
        hand=(0.92, 1.25),
        knuckle=(0.92, 1.25),
        hip=hip,
        knees=(knee, knee),
        ankles=(ankle, ankle),
        heels=(heel, heel),
        toes=(toe, toe),
        pedals=(toe, toe),
    )
    whole = combine(rider_parts(rider_body(80.0, 1.8), _only(pose)))

    assert whole.mass == pytest.approx(80.0, rel=1e-14)
    assert whole.place == pytest.approx((0.32747853, 1.19050311), abs=1e-8)


def _only(pose):
    return Posture(
        mode="standing", com=(0.0, 0.0), poses=(pose,), trunk_lean=0.0, shoulder=0.0, elbow=0.0, hips=(0.0, 0.0),
        knees=(0.0, 0.0), knee_least=0.0, knee_most=0.0,
    )  # fmt: skip


@given(riders_on_bikes())
def test_the_parts_of_a_rider_have_the_centre_of_mass_of_the_posture(rider):
    """Standing, and seated over a whole turn of the cranks: two ways to add the same masses."""
    for posture in (standing(rider.body, rider.contacts), seated(rider.body, rider.contacts)):
        whole = combine(rider_parts(rider.body, posture))

        assert whole.mass == pytest.approx(rider.body.mass, rel=1e-12)
        assert whole.place == pytest.approx(posture.com, abs=1e-12)
        assert 0.15 < whole.gyration / rider.body.stature < 0.27


@pytest.mark.parametrize(("mass", "inertia"), [(-1.0, 0.0), (1.0, -0.1), (float("nan"), 0.0)])
def test_a_negative_part_is_refused_by_name(mass, inertia):
    with pytest.raises(OutsideValidity, match=r"part 'fork'.*neither may be negative"):
        combine([MassPoint("frame", 3.0, (0.0, 0.0)), MassPoint("fork", mass, (0.0, 0.0), inertia)])


@pytest.mark.parametrize("listed", [[], [MassPoint("nothing", 0.0, (0.0, 0.0))]])
def test_nothing_has_no_centre(listed):
    with pytest.raises(OutsideValidity, match="no centre of mass"):
        combine(listed)

"""Any sane rider on any sane bike: links keep their lengths, the centre of mass is where it must be, in any axes."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import OutsideValidity, SolverDidNotSettle
from bikewright.physics.body import rider_body
from bikewright.physics.figure import LEFT, RIGHT, Arms, Contacts, Feet, angle_between, corner, figure, third_side
from bikewright.physics.plane import rotate
from bikewright.physics.population import ANSUR_II
from bikewright.physics.posture import SeatedHabit, StandingHabit, root, seated, standing, standing_band
from bikewright.sources import SOURCES
from bikewright.units import DEG, MM
from tests.physics.sane_riders import riders_on_bikes

MAN = rider_body(80.0, 1.756)
BIKE = Contacts(hand=(0.47, 0.70), crank=0.17, saddle=(-0.21, 0.71), hand_half_width=0.33)
STRAIGHT = Contacts(hand=(0.47, 0.70), crank=0.17, saddle=(-0.21, 0.71))
"""Hands as wide as the shoulders, so that the side view shows true lengths."""


def turned(contacts, angle, shift=(0.0, 0.0)):
    """The same bike and gravity, drawn in other axes."""

    def place(point):
        x, z = rotate(point, math.sin(angle), math.cos(angle))
        return x + shift[0], z + shift[1]

    return replace(
        contacts,
        hand=place(contacts.hand),
        bb=place(contacts.bb),
        saddle=place(contacts.saddle),
        up=rotate(contacts.up, math.sin(angle), math.cos(angle)),
    ), place


def joints(posture):
    return [
        p
        for pose in posture.poses
        for p in (
            pose.vertex, pose.gonion, pose.shoulder, pose.elbow, pose.wrist, pose.hand, pose.knuckle, pose.hip,
            *pose.knees, *pose.ankles, *pose.heels, *pose.toes,
        )
    ]  # fmt: skip


# The pieces.


def test_two_links_of_a_right_triangle():
    """3-4-5: from (0, 0) to (5, 0) the joint is 9/5 along and 12/5 aside."""
    assert corner((0.0, 0.0), (5.0, 0.0), 3.0, 4.0, LEFT) == pytest.approx((1.8, 2.4), abs=1e-15)
    assert corner((0.0, 0.0), (5.0, 0.0), 3.0, 4.0, RIGHT) == pytest.approx((1.8, -2.4), abs=1e-15)
    assert third_side(3.0, 4.0, 90 * DEG) == pytest.approx(5.0, abs=1e-14)
    assert angle_between(3.0, 4.0, 5.0) == pytest.approx(90 * DEG, abs=1e-14)


@pytest.mark.parametrize(("flexion", "distance"), [(25, 841.85), (30, 832.91), (35, 822.38)])
def test_hip_to_ankle_by_knee_flexion(flexion, distance):
    """Thigh 0.245 and shank 0.246 of 1756.2 mm. Derived for this project; no published number. Rounded to 0.01 mm."""
    thigh, shank = 0.245 * 1756.2, 0.246 * 1756.2

    assert third_side(thigh, shank, (180 - flexion) * DEG) == pytest.approx(distance, abs=0.005)
    assert 180 - angle_between(thigh, shank, distance) / DEG == pytest.approx(flexion, abs=0.01)


@given(st.floats(0.05, 0.95), st.floats(0.3, 2.0))
def test_the_root_is_found_to_rounding(where, power):
    """x^p - w^p is zero at w."""
    found = root(lambda x: x**power - where**power, (0.0, -(where**power)), (1.0, 1.0 - where**power))

    assert found == pytest.approx(where, abs=5e-13)


def test_a_function_that_jumps_over_nought_has_no_root():
    with pytest.raises(SolverDidNotSettle, match=r"no zero was found between 0\.\d+ and 0\.3\d* in 100 steps"):
        root(lambda x: -1e-3 if x < 0.3 else 1e3, (0.0, -1e-3), (1.0, 1e3))


# Standing.


@given(riders_on_bikes())
def test_standing_the_centre_of_mass_is_plumb_over_the_bottom_bracket(rider):
    posture = standing(rider.body, rider.contacts)

    assert posture.com[0] == pytest.approx(0.0, abs=1e-12)
    assert 0.40 < posture.com[1] / rider.body.stature < 0.55


@given(riders_on_bikes(), st.sampled_from([standing, seated]))
def test_links_keep_their_lengths(rider, pose_of):
    """In the side view; the arms' true lengths with the splay put back."""
    body, contacts = rider.body, rider.contacts
    aside = contacts.hand_half_width - body.shoulder_half_width
    arm = body.upper_arm.length + body.forearm.length + body.grip
    splayed = math.sqrt(1.0 - (aside / arm) ** 2)
    for pose in pose_of(body, contacts).poses:
        for name, ends in pose.segments():
            shown = getattr(body, name).length * (splayed if name in ("upper_arm", "forearm", "hand") else 1.0)
            for first, second in ends:
                assert math.dist(first, second) == pytest.approx(shown, abs=1e-12), name
        assert math.dist(pose.gonion, pose.shoulder) == pytest.approx(body.neck, abs=1e-12)
        assert math.dist(pose.wrist, pose.hand) == pytest.approx(body.grip * splayed, abs=1e-12)
        assert math.dist(pose.pedals[0], contacts.bb) == pytest.approx(contacts.crank, abs=1e-12)
        assert math.dist(pose.pedals[1], contacts.bb) == pytest.approx(contacts.crank, abs=1e-12)


@given(riders_on_bikes())
def test_knees_bend_forward_elbows_back_and_shoulders_are_above_the_hips(rider):
    for posture in (standing(rider.body, rider.contacts), seated(rider.body, rider.contacts)):
        for pose in posture.poses:
            for knee, ankle in zip(pose.knees, pose.ankles, strict=True):
                assert left_of(pose.hip, ankle, knee) > 0.0
            assert left_of(pose.shoulder, pose.hand, pose.elbow) < 0.0
            assert pose.shoulder[1] > pose.hip[1]


def left_of(start, end, point):
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])


@given(riders_on_bikes(), st.floats(-0.5, 0.5), st.tuples(st.floats(-3.0, 3.0), st.floats(-3.0, 3.0)))
def test_the_axes_do_not_matter(rider, angle, shift):
    """Bike and gravity turned and moved together: the same posture, turned and moved."""
    other, place = turned(rider.contacts, angle, shift)
    for pose_of in (standing, seated):
        here, there = pose_of(rider.body, rider.contacts), pose_of(rider.body, other)

        assert there.com == pytest.approx(place(here.com), abs=1e-11)
        for mine, theirs in zip(joints(here), joints(there), strict=True):
            assert theirs == pytest.approx(place(mine), abs=1e-10)
        assert there.trunk_lean == pytest.approx(here.trunk_lean, abs=1e-10)
        assert there.knees == pytest.approx(here.knees, abs=1e-9)


@given(riders_on_bikes(), st.floats(-0.2, 0.2))
def test_on_a_grade_the_centre_of_mass_stays_over_the_bottom_bracket_in_the_world(rider, grade):
    """Bike axes up the slope; the feet stay level in the world."""
    up = math.sin(grade), math.cos(grade)
    posture = standing(rider.body, replace(rider.contacts, up=up))
    forward = up[1], -up[0]
    pedals = posture.pose.pedals

    assert posture.com[0] * forward[0] + posture.com[1] * forward[1] == pytest.approx(0.0, abs=1e-12)
    assert (pedals[0][0] - pedals[1][0]) * up[0] + (pedals[0][1] - pedals[1][1]) * up[1] == pytest.approx(
        0.0, abs=1e-12
    )


@given(riders_on_bikes())
def test_the_centre_of_mass_is_inside_the_outline_of_the_joints(rider):
    for posture in (standing(rider.body, rider.contacts), seated(rider.body, rider.contacts)):
        outline = hull(joints(posture))
        assert all(left_of(a, b, posture.com) > 0.0 for a, b in zip(outline, outline[1:] + outline[:1], strict=True))


def hull(points):
    """Convex hull, anticlockwise (gift wrapping)."""
    start = min(points)
    ring, at = [], start
    while True:
        ring.append(at)
        onward = next(p for p in points if p != at)
        for p in points:
            turn = left_of(at, onward, p)
            if turn < 0.0 or (turn == 0.0 and math.dist(at, p) > math.dist(at, onward)):
                onward = p
        at = onward
        if at == start:
            return ring


@given(riders_on_bikes())
def test_the_stated_knee_is_held_to_the_middle_of_the_ankles(rider):
    pose = standing(rider.body, rider.contacts, StandingHabit(knee=60 * DEG)).pose
    middle = (0.5 * (pose.ankles[0][0] + pose.ankles[1][0]), 0.5 * (pose.ankles[0][1] + pose.ankles[1][1]))
    span = angle_between(rider.body.thigh.length, rider.body.shank.length, math.dist(pose.hip, middle))

    assert span == pytest.approx(120 * DEG, abs=1e-12)


@given(riders_on_bikes())
def test_a_higher_bar_raises_the_rider_and_a_farther_one_lowers_him(rider):
    plain = standing(rider.body, rider.contacts)
    x, z = rider.contacts.hand
    higher = standing(rider.body, replace(rider.contacts, hand=(x, z + 20 * MM)))
    farther = standing(rider.body, replace(rider.contacts, hand=(x + 20 * MM, z)))

    assert higher.com[1] > plain.com[1]
    assert farther.com[1] < plain.com[1]
    assert higher.trunk_lean < plain.trunk_lean < farther.trunk_lean
    assert farther.pose.hip[0] < plain.pose.hip[0] < higher.pose.hip[0]


@given(riders_on_bikes())
def test_more_bend_in_the_knees_lowers_the_rider(rider):
    heights = [standing(rider.body, rider.contacts, StandingHabit(knee=bend * DEG)).com[1] for bend in (50, 60, 70, 80)]

    assert heights == sorted(heights, reverse=True)


@given(riders_on_bikes(), st.floats(0.0, 0.2))
def test_pressing_hands_bring_the_weight_forward_by_their_moment(rider, share):
    """Weight about the bottom bracket is what the hands carry there: m g x = s m g x_hand."""
    posture = standing(rider.body, rider.contacts, StandingHabit(hand_share=share))

    assert posture.com[0] == pytest.approx(share * rider.contacts.hand[0], abs=1e-12)


@given(riders_on_bikes())
def test_a_posture_moves_as_smoothly_as_the_bike(rider):
    """A bike pitched by 1e-5 rad, 7 micrometres at the bar, moves nobody by 30: an outer loop closes in."""
    posture = standing(rider.body, rider.contacts)
    pitched = standing(rider.body, replace(rider.contacts, up=rotate((0.0, 1.0), math.sin(1e-5), math.cos(1e-5))))

    assert math.dist(posture.com, pitched.com) < 30e-6


def test_posing_again_as_the_bike_pitches_settles():
    """A soft bike that pitches nose down by the rider's lead over a point behind, 0.2 rad a metre."""
    angle, places = 0.0, []
    for _ in range(12):
        place = standing(MAN, replace(BIKE, up=(math.sin(angle), math.cos(angle)))).com
        places.append(place)
        angle = -0.2 * (place[0] - 0.1)
    assert math.dist(places[-1], places[-2]) < 0.01 * MM
    assert math.dist(places[1], places[0]) > 1 * MM


def test_the_same_question_has_the_same_answer():
    assert standing(MAN, BIKE) == standing(MAN, BIKE)
    assert seated(MAN, BIKE) == seated(MAN, BIKE)


# How elbows give way.


def test_elbows_hold_then_straighten_then_give_up():
    """Grips pushed forward, 2 mm at a time: 55 degrees while the shoulder opens to 135, then straighter; no jump."""
    bends, leads = [], [0.60 + 0.002 * k for k in range(200)]
    for lead in leads:
        try:
            bends.append(standing(MAN, replace(STRAIGHT, hand=(lead, 0.70))).elbow / DEG)
        except OutsideValidity:
            break
    assert bends[0] == pytest.approx(55.0, abs=1e-9)
    assert 5.0 <= min(bends) < 15.0
    steps = [a - b for a, b in pairwise(bends)]
    assert min(steps) > -1e-9
    assert max(steps) < 6.0


def test_elbows_bend_more_before_the_trunk_leans_back():
    posture = standing(MAN, replace(STRAIGHT, hand=(0.20, 1.0)))

    assert posture.trunk_lean == pytest.approx(0.0, abs=1e-12)
    assert posture.elbow > 90 * DEG
    assert posture.com[0] == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("lead", [0.80, 0.95])
def test_grips_out_of_reach_tell_by_how_much(lead):
    """Brought nearer by what the error says, the rider stands; by 0.2 mm less, he does not."""
    with pytest.raises(OutsideValidity, match="out of reach for a rider of 1756 mm") as caught:
        standing(MAN, replace(STRAIGHT, hand=(lead, 0.70)))
    nearer = float(str(caught.value).split(" mm")[0].rpartition(" ")[2]) * MM

    assert standing(MAN, replace(STRAIGHT, hand=(lead - nearer - 0.1 * MM, 0.70))).elbow < 20 * DEG
    with pytest.raises(OutsideValidity):
        standing(MAN, replace(STRAIGHT, hand=(lead - nearer + 0.2 * MM, 0.70)))


@pytest.mark.parametrize("pose_of", [standing, seated])
def test_grips_in_the_face_are_refused(pose_of):
    with pytest.raises(OutsideValidity, match=r"too near to the shoulders .* take a longer stem"):
        pose_of(MAN, replace(STRAIGHT, hand=(0.05, 1.3)))


@pytest.mark.parametrize("pose_of", [standing, seated])
def test_grips_behind_the_rider_are_refused(pose_of):
    with pytest.raises(OutsideValidity, match=r"mm behind the hips of a (standing|seated) rider"):
        pose_of(MAN, replace(STRAIGHT, hand=(-0.6, 1.3)))


def test_more_load_on_the_hands_than_a_stance_can_give_is_refused():
    with pytest.raises(OutsideValidity, match=r"mm behind its balance; ask for less load on the hands"):
        standing(MAN, STRAIGHT, StandingHabit(hand_share=0.9))


def test_cranks_too_long_for_the_legs_are_refused_with_millimetres():
    """Leg 0.491 1756 = 862.2 mm; at 55 degrees 764.8 mm: hypot(764.8, 450) - 862.2 = 25.2 mm."""
    with pytest.raises(OutsideValidity, match=r"25\.2 mm out of reach of a standing leg of 862 mm"):
        standing(MAN, replace(STRAIGHT, crank=0.45))


def test_a_stance_that_no_nearer_grip_makes_possible_is_told_apart():
    with pytest.raises(OutsideValidity, match="2300 mm over the bottom bracket, however near they come"):
        standing(MAN, replace(STRAIGHT, hand=(0.47, 2.3)))
    with pytest.raises(OutsideValidity, match="knees bend 24° finds no balanced stance"):
        standing(MAN, STRAIGHT, StandingHabit(knee=24 * DEG))


def test_a_bar_far_too_wide_is_refused():
    with pytest.raises(OutsideValidity, match="2000 mm apart are too wide"):
        standing(MAN, replace(STRAIGHT, hand_half_width=1.0))


@pytest.mark.parametrize(
    "faulty",
    [{"up": (0.0, 2.0)}, {"hand": (math.nan, 0.7)}, {"crank": -0.1}, {"crank": math.nan}, {"bb": (0.0, math.inf)}],
)
def test_contacts_that_are_no_contacts_are_refused(faulty):
    with pytest.raises(OutsideValidity, match=r"not a unit vector|make no posture"):
        standing(MAN, replace(STRAIGHT, **faulty))


# The band.


@given(riders_on_bikes())
def test_the_band_is_around_the_posture(rider):
    posture, band = standing(rider.body, rider.contacts), standing_band(rider.body, rider.contacts)

    assert band.deepest[1] < posture.com[1]
    assert band.deepest[0] == pytest.approx(0.0, abs=1e-12)
    if band.tallest is not None:
        assert band.tallest[1] > posture.com[1]
    assert -30 * MM < band.backmost[0] < -10 * MM
    assert 10 * MM < band.foremost[0] < 30 * MM


def test_a_limit_that_nobody_reaches_is_blank():
    band = standing_band(MAN, STRAIGHT, StandingHabit(knee_least=20 * DEG, hip_shift=0.5))

    assert (band.tallest, band.backmost, band.foremost) == (None, None, None)
    assert band.deepest is not None


# Seated.


@given(riders_on_bikes())
def test_seated_the_hips_stay_on_the_saddle_all_round(rider):
    body, posture = rider.body, seated(rider.body, rider.contacts)

    for pose in posture.poses:
        assert math.dist(pose.hip, rider.contacts.saddle) == pytest.approx(body.hip_above_crotch, abs=1e-12)
        assert pose.shoulder == posture.pose.shoulder


@given(riders_on_bikes())
def test_seated_no_knee_is_outside_the_range_over_the_turn(rider):
    posture = seated(rider.body, rider.contacts)
    bends = [
        math.pi - angle_between(rider.body.thigh.length, rider.body.shank.length, math.dist(pose.hip, ankle))
        for pose in posture.poses
        for ankle in pose.ankles
    ]

    assert posture.knee_least - 1e-9 <= min(bends) < posture.knee_least + 12 * DEG
    assert posture.knee_most - 12 * DEG < max(bends) <= posture.knee_most + 1e-9


def test_eight_crank_angles_are_enough():
    """The centre of mass seated, against a leg followed at 720 angles; 0.05 mm."""
    posture = seated(MAN, STRAIGHT)
    stick = figure(MAN, STRAIGHT, SeatedHabit().arms, SeatedHabit().feet)
    hip, turns = posture.pose.hip, [2.0 * math.pi * k / 720 for k in range(720)]
    knees = [stick.knee(hip, (0.17 * math.cos(turn), 0.17 * math.sin(turn))) for turn in turns]
    mean = sum(x for x, _ in knees) / 720, sum(z for _, z in knees) / 720

    assert math.dist(posture.com, stick.centre(hip, stick.upper(hip), (mean, mean))) < 0.05 * MM


@given(riders_on_bikes())
def test_seated_a_higher_bar_takes_the_centre_of_mass_up_and_back(rider):
    plain = seated(rider.body, rider.contacts)
    x, z = rider.contacts.hand
    higher = seated(rider.body, replace(rider.contacts, hand=(x, z + 20 * MM)))

    assert higher.com[0] < plain.com[0]
    assert higher.com[1] > plain.com[1]
    assert higher.trunk_lean < plain.trunk_lean


def test_the_saddle_by_inseam_bends_the_knee_as_recommended():
    """Hamley and Thomas 1967 (from memory): pedal axle to saddle 1.09 inseam, 922.06 mm for the mean man of ANSUR II;
    less 175 mm of crank about 0.883 inseam, 746.96 mm. Holmes, Pruitt and Whalen 1994 (from memory): knee flexion 25 to
    35 degrees at the bottom of the stroke. Saddle on a line of 72 to 75 degrees, as on the bikes of those days."""
    assert not SOURCES["hamley1967"].seen
    assert not SOURCES["holmes1994"].seen
    men = ANSUR_II["male"]
    inseam = men["inseam"].mean
    assert 1.09 * inseam / MM == pytest.approx(922.06, abs=0.01)
    assert 0.883 * inseam / MM == pytest.approx(746.96, abs=0.01)
    height = 1.09 * inseam - 0.175
    man = rider_body(men["mass"].mean, men["stature"].mean, inseam=inseam)

    for angle in (72, 73, 74, 75):
        saddle = -height * math.cos(angle * DEG), height * math.sin(angle * DEG)
        posture = seated(man, Contacts(hand=(0.47, 0.70), crank=0.175, saddle=saddle))
        assert 25 * DEG < posture.knee_least < 35 * DEG


def test_raising_the_saddle_straightens_the_knee_until_the_pedal_is_out_of_reach():
    """Lowered by what the error says, the leg reaches with its straightest knee."""

    def sit(height):
        return seated(MAN, replace(STRAIGHT, saddle=(0.0, height)), SeatedHabit(pelvis_tilt=0.0))

    assert sit(0.70).knee_least > sit(0.72).knee_least
    with pytest.raises(OutsideValidity, match="lower pedal is") as caught:
        sit(0.84)
    over = float(str(caught.value).split(" mm")[0].rpartition(" ")[2]) * MM
    assert 5 * DEG <= sit(0.84 - 1.03 * over).knee_least < 13 * DEG


def test_a_saddle_too_low_bends_the_upper_knee_too_far():
    with pytest.raises(OutsideValidity, match=r"upper pedal is .* mm too near .* raise the saddle"):
        seated(MAN, replace(STRAIGHT, saddle=(-0.15, 0.40)))


def test_seated_grips_out_of_reach_tell_by_how_much():
    with pytest.raises(OutsideValidity, match="out of reach for a seated rider of 1756 mm") as caught:
        seated(MAN, replace(STRAIGHT, hand=(1.0, 0.70)))
    over = float(str(caught.value).split(" mm")[0].rpartition(" ")[2]) * MM

    assert seated(MAN, replace(STRAIGHT, hand=(1.0 - 1.02 * over, 0.70))).elbow < 10 * DEG


def test_nobody_sits_without_a_saddle():
    with pytest.raises(OutsideValidity, match="saddle's place is not given"):
        seated(MAN, replace(STRAIGHT, saddle=None))


def test_wider_hands_reach_less_far():
    """0.33 m from the middle against shoulders at 0.227 m: 0.103 m aside on an arm of 0.651 m is 1.25 % shorter."""
    stick = figure(MAN, BIKE, Arms(elbow=0.0), Feet())
    arm = MAN.upper_arm.length + MAN.forearm.length + MAN.grip
    aside = 0.33 - 0.1295 * 1.756

    assert stick.arm(0.0) == pytest.approx(math.sqrt(arm**2 - aside**2), abs=1e-12)


def test_heels_drop_turns_the_foot_about_the_pedal():
    """Ten degrees: heel lower than toe by sin 10 of the foot's length; the ball stays over the axle's distance."""
    pose = standing(MAN, STRAIGHT, StandingHabit(feet=Feet(heel_drop=10 * DEG))).pose
    for heel, toe, pedal in zip(pose.heels, pose.toes, pose.pedals, strict=True):
        assert toe[1] - heel[1] == pytest.approx(MAN.foot.length * math.sin(10 * DEG), abs=1e-12)
        ball = heel[0] + 0.72 * (toe[0] - heel[0]), heel[1] + 0.72 * (toe[1] - heel[1])
        assert math.dist(ball, pedal) == pytest.approx(0.03 + 0.5 * MAN.ankle_height, abs=1e-12)

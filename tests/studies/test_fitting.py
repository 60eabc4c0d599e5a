"""A rider's fit: its numbers are those of the answer, its verdicts say by how much, and nothing is clipped."""

import math
from dataclasses import replace

import pytest

from bikewright.errors import NotKnown
from bikewright.model.addresses import with_value
from bikewright.model.parts import Seatpost
from bikewright.model.rider import Rider
from bikewright.sources import SOURCES
from bikewright.studies.evaluate import evaluate
from bikewright.studies.fit_pose import fit_picture
from bikewright.studies.fitting import KNEE_ROOM_MM, RANGES, SHORT, fit_of
from tests.sample_bike import LOADED

FIT = fit_of(LOADED)
KEYS = {
    "knee": "knee_least_deg",
    "knee_most": "knee_most_deg",
    "hip": "hip_least_deg",
    "trunk": "trunk_lean_deg",
    "elbow": "elbow_deg",
    "shoulder": "shoulder_deg",
}


def changed(*pairs, build=LOADED):
    for address, value in pairs:
        build = with_value(build, address, value)
    return build


def ridden_by(**measures):
    return LOADED.changed(rider=Rider(name="bo", **{"mass_kg": 75.0, "stature_mm": 1760.0, **measures}))


@pytest.mark.parametrize("posture", FIT.postures, ids=lambda posture: posture.name)
def test_every_angle_is_the_number_of_the_answer(posture):
    """The fit and `bikewright show` read one computation."""
    answer = evaluate(FIT.build)

    assert posture.stands == "settled"
    assert [angle.name for angle in posture.angles] == list(RANGES[posture.name])
    for angle in posture.angles:
        assert angle.value_deg == pytest.approx(answer.value(f"{KEYS[angle.name]}@{posture.state}").number, abs=1e-12)
    assert posture.front_share_pct == answer.value(f"front_share_pct@{posture.state}").number


def test_every_range_has_a_source_with_a_short_form():
    for ranges in RANGES.values():
        for bounds in ranges.values():
            assert bounds.source in SOURCES and SHORT[bounds.source]
            assert bounds.low is None or bounds.high is None or bounds.low < bounds.high


@pytest.mark.parametrize(("height", "verdict"), [(756.0, "low"), (715.0, "high"), (740.0, "inside")])
def test_a_saddle_too_high_or_too_low_is_told_by_how_much(height, verdict):
    found = fit_of(changed(("saddle_height_mm", height)))
    knee = found.postures[2].angles[0]

    assert knee.verdict == verdict
    if verdict == "inside":
        assert knee.by_deg == 0.0
    else:
        bound = knee.range.low if verdict == "low" else knee.range.high
        assert knee.by_deg == pytest.approx(abs(knee.value_deg - bound))
        assert any(
            f"seated on the flat: knee at the bottom of the stroke {knee.value_deg:.1f}° is {knee.by_deg:.1f}°" in text
            for text in found.reasons
        )
        assert not found.fits


def test_the_rule_of_the_knee_gives_that_knee_when_it_is_followed():
    """Put the saddle where the rule says: the posture, which knows nothing of the rule, then has that knee."""
    for rule, knee in zip(FIT.saddle.rules[3:], (35.0, 30.0, 25.0), strict=True):
        own = fit_of(changed(("saddle_height_mm", 712.0)), sag="stated")
        again = next(one for one in own.saddle.rules if one.name == rule.name)
        followed = fit_of(changed(("saddle_height_mm", again.height_mm)), sag="stated")
        assert followed.postures[2].angles[0].value_deg == pytest.approx(knee, abs=1e-6)


def test_a_rider_without_a_height_sits_where_the_knee_keeps_the_middle_of_its_range():
    found = fit_of(ridden_by(), sag="stated")

    assert found.saddle.chosen == "a knee of 30° at the bottom, as no height is given"
    assert found.postures[2].angles[0].value_deg == pytest.approx(30.0, abs=0.01)
    assert found.build.settings.saddle_height_mm == found.saddle.height_mm


def test_an_inseam_that_was_not_measured_is_told_with_its_spread():
    """46.50 sqrt(1 - 0.858^2) = 23.88 mm (ANSUR II, male)."""
    assert FIT.saddle.inseam_spread_mm == pytest.approx(23.88, abs=0.01)
    assert fit_of(ridden_by(inseam_mm=840.0), sag="stated").saddle.inseam_spread_mm is None
    assert fit_of(ridden_by(stature_mm=2000.0), sag="stated").saddle.inseam_spread_mm is None


def test_who_chose_the_height_in_use():
    assert FIT.saddle.chosen == "ada's own"
    assert fit_of(changed(("saddle_height_mm", 710.0))).saddle.chosen == "the setting of the build"


def test_the_rules_that_follow_from_the_inseam():
    """1.09 x inseam less the crank, 0.883 and 0.885 x inseam; ada's inseam follows from her stature."""
    inseam = 0.4815 * 1760.0
    rules = FIT.saddle.rules

    assert not FIT.saddle.inseam_measured
    assert [rule.height_mm for rule in rules[:3]] == pytest.approx(
        [1.09 * inseam - 170.0, 0.883 * inseam, 0.885 * inseam]
    )
    assert [rule.bike_above_mm for rule in rules] == pytest.approx([720.0 - rule.height_mm for rule in rules])


# The post, by hand: collar 420, post 500 with 42 of stack, 180 of drop, 282 to go in, 110 to stay in; tube ends at 290.


def test_the_post_by_hand():
    """Its lowest clamp is 42 + 180 = 222 over the collar, its highest 500 - 110 = 390; what stays in is 500 less the
    clamp."""
    post = FIT.dropper

    assert post.waits == "" and post.refusal == ""
    assert post.lowest_mm < post.highest_mm
    assert post.inserted_mm == pytest.approx(500.0 - post.clamp_over_collar_mm)
    assert post.lowered_over_collar_mm == pytest.approx(post.clamp_over_collar_mm - 180.0)
    assert post.drop_room_mm == pytest.approx(post.clamp_over_collar_mm - 42.0)


@pytest.mark.parametrize(("end", "clamp"), [("lowest_mm", 222.0), ("highest_mm", 390.0)])
def test_at_the_end_of_its_range_the_clamp_is_where_the_post_ends(end, clamp):
    found = fit_of(changed(("saddle_height_mm", getattr(FIT.dropper, end))))

    assert found.dropper.clamp_over_collar_mm == pytest.approx(clamp, abs=1e-6)


def test_a_saddle_higher_than_the_post_allows_is_refused_by_how_much():
    high = FIT.dropper.highest_mm + 10.0
    found = fit_of(changed(("saddle_height_mm", high)))

    over = found.dropper.clamp_over_collar_mm - 390.0
    assert over == pytest.approx(10.0, abs=0.5)
    assert f"would stand {over:.0f} mm further out than its minimum insertion of 110 mm allows" in found.dropper.refusal
    assert not found.fits


def test_a_saddle_lower_than_the_post_allows_is_refused_by_how_much():
    found = fit_of(changed(("saddle_height_mm", FIT.dropper.lowest_mm - 15.0)))

    under = 222.0 - found.dropper.clamp_over_collar_mm
    assert (
        f"holds the saddle {under:.0f} mm too high at the lowest: it is pushed in to its collar"
        in found.dropper.refusal
    )


def test_a_bend_keeps_the_post_out():
    """The tube ends at 240, the post needs 282: it stands out 42 mm."""
    found = fit_of(changed(("sizes.M.seat_tube_bend_mm", 240.0), ("saddle_height_mm", FIT.dropper.lowest_mm + 20.0)))

    assert "the seat tube ends 42 mm too soon for it" in found.dropper.refusal


def test_a_post_that_cannot_be_inserted_is_a_refusal_by_how_much():
    """Ends at 80: it stands out 202 mm, so its lowest clamp is 424 and its highest 390: 34 mm short."""
    found = fit_of(changed(("sizes.M.seat_tube_bend_mm", 80.0)))

    assert "cannot be put into this seat tube" in found.dropper.refusal
    assert "leaves it 34 mm short of its minimum insertion of 110 mm" in found.dropper.refusal


def test_what_the_post_does_not_say_is_waited_for():
    found = fit_of(changed(("seatpost.stack_mm", None), ("sizes.M.seat_tube_bend_mm", None)))

    assert found.dropper.waits == "sizes.M.seat_tube_bend_mm, seatpost.stack_mm"
    assert (found.dropper.lowest_mm, found.dropper.drop_room_mm) == (None, None)
    assert found.dropper.highest_mm == pytest.approx(FIT.dropper.highest_mm)
    assert found.dropper.refusal == ""


def test_the_longest_drop_of_the_shelf_that_fits():
    """Each longer by drop alone; what is too long says so, and the first that fits is the answer."""
    posts = [
        Seatpost(
            name=f"dropper-{drop}",
            drop_mm=float(drop),
            length_mm=320.0 + drop,
            stack_mm=42.0,
            insertion_min_mm=100.0,
            insertion_max_mm=280.0,
        )
        for drop in (100, 150, 200, 250)
    ]
    found = fit_of(changed(("shock.chassis.stroke_mm", 30.0)), shelf=posts).dropper
    room = found.clamp_over_collar_mm - 42.0

    assert [post.name for post in found.shelf] == ["dropper-250", "dropper-200", "dropper-150", "dropper-100"]
    for post in found.shelf:
        if post.drop_mm > room:
            assert f"{post.drop_mm - room:.0f} mm too high at the lowest" in post.reason
    assert found.longest == next(post.name for post in found.shelf if post.fits)


# Refusals and what is missing.


@pytest.mark.parametrize(
    ("build", "told"),
    [
        (LOADED.changed(rider=None), "the fit waits for a rider"),
        (changed(("sizes.M.seat_tube_angle_deg", None)), r"waits for the seat tube's line \(seat_tube_angle_deg\)"),
        (changed(("bar", None)), "a bar"),
        (changed(("crank", None)), "a crank"),
    ],
    ids=["rider", "seat tube", "bar", "crank"],
)
def test_what_is_missing_is_named(build, told):
    with pytest.raises(NotKnown, match=told):
        fit_of(build)


def test_a_rider_who_fits_no_posture_is_told_why_by_how_much():
    """A saddle 60 mm too high puts the pedal out of reach; the standing posture is still taken."""
    found = fit_of(changed(("saddle_height_mm", 800.0)))
    standing, climb, seated = found.postures

    assert standing.refusal == "" and standing.angles
    for posture in (climb, seated):
        assert posture.angles == () and posture.posture is None
        assert "mm out of reach of a seated leg" in posture.refusal
        assert f"{posture.label}: {posture.refusal}" in found.reasons
    with pytest.raises(NotKnown, match="seated climb cannot be drawn: the lower pedal is"):
        fit_picture(found, "climb")


def test_springs_that_are_not_known_leave_the_stated_sag():
    build = changed(("fork_pressure_bar", None))
    found = fit_of(build)

    assert {posture.stands for posture in found.postures} == {"stated-sag"}
    assert {posture.front_share_pct for posture in found.postures} == {None}
    assert [p.angles for p in found.postures] == [p.angles for p in fit_of(LOADED, sag="stated").postures]
    assert found.cockpit.seated_length_mm == pytest.approx(evaluate(build).value("saddle_to_grip_mm@stated-sag").number)


def test_a_frame_without_a_fork_stands_as_in_its_table():
    found = fit_of(changed(("fork", None)), sag="stated")

    assert {posture.stands for posture in found.postures} == {"table"}


def test_a_size_too_small_is_told_by_the_knee_at_the_bar():
    tall = fit_of(ridden_by(stature_mm=1980.0), sag="stated")
    climb = tall.postures[1]

    assert climb.knee_to_bar_mm < KNEE_ROOM_MM
    under = KNEE_ROOM_MM - climb.knee_to_bar_mm
    assert any(f"is {under:.0f} mm under {KNEE_ROOM_MM:.0f} mm" in text for text in tall.reasons)


def test_a_size_too_large_is_told_by_the_shoulder():
    short = fit_of(ridden_by(stature_mm=1520.0, mass_kg=55.0).changed(size="L"), sag="stated")
    shoulder = short.postures[0].angles[-1]

    assert (shoulder.name, shoulder.verdict) == ("shoulder", "high")


# The cockpit, the heel, the rider.


def test_stance_and_heel_by_hand():
    """170 + 2 x 56 = 282; 141 - 35 - 72 = 34 mm."""
    assert (FIT.cockpit.stance_mm, FIT.cockpit.heel_to_stay_mm) == pytest.approx((282.0, 34.0))
    met = fit_of(changed(("sizes.M.stay_outer_mm", 110.0)))
    assert "the heel meets the stay by 4 mm" in met.reasons
    waits = fit_of(changed(("crank.arms_apart_mm", None))).cockpit
    assert waits.stance_mm is None and "stance width waits for a crank with arms_apart_mm" in waits.waits[0]
    assert waits.heel_to_rocker is None and waits.waits[2].startswith("heel to rocker or link waits for a crank")


def test_heel_and_bar_are_the_numbers_of_the_answer():
    hands, answer = FIT.cockpit, evaluate(FIT.build)
    by = {one.part: one.room_mm for one in hands.top_tube}

    assert hands.heel_to_rocker.room_mm == answer.value("heel_to_rocker_mm").number
    assert by["brake lever"] == answer.value("lever_to_top_tube_mm").number
    assert by["grip or bar"] == answer.value("bar_to_top_tube_mm").number
    assert (hands.bar_turn_free_deg, hands.bar_turn_most_deg) == (answer.value("bar_turn_free_deg").number, 180.0)
    assert hands.waits == ()


def test_a_heel_that_meets_a_link_is_missed_by_how_much():
    """The swingarm crosses the heel in the side view: 141 - 35 - 110 = -4 mm sideways."""
    met = fit_of(changed(("linkage.bodies.swingarm.half_width_mm", 110.0)))

    assert met.cockpit.heel_to_rocker.room_mm == pytest.approx(-4.0)
    assert any(text.startswith("the heel meets the link swingarm by 4 mm, at ") for text in met.reasons)
    assert not met.fits


def test_a_lever_past_the_middle_of_the_bar_leaves_the_rest_of_the_fit():
    """The bar's own error stands where its numbers would."""
    far = fit_of(changed(("lever_from_grip_mm", 150.0), ("grip.length_mm", 240.0), ("bar.width_mm", 700.0)))

    assert (far.cockpit.top_tube, far.cockpit.bar_turn_free_deg) == ((), None)
    assert far.cockpit.waits[0].startswith("brake lever to top tube: grip and brake lever need 390.0 mm")
    assert far.cockpit.heel_to_rocker is not None


def test_a_lever_that_meets_the_top_tube_is_told_and_no_question_of_fit():
    met = fit_of(changed(("lever_angle_deg", 80.0), ("stem_spacers_mm", 0.0)))
    lever = met.cockpit.top_tube[0]

    assert lever.room_mm < 0.0 < lever.touch_deg == met.cockpit.bar_turn_free_deg < 180.0
    assert not any("top tube" in text for text in met.reasons)


def test_the_grade_that_lifts_the_front_wheel_leaves_no_load_there():
    """tan t = x/h: on that grade, the centre of mass where it is, moments about the rear contact give no front load."""
    settled = evaluate(LOADED).group("rest", "climbing")
    grade = settled.front_lift
    rest, angle = settled.rest, math.atan(grade)

    assert rest.com_ahead * math.cos(angle) - rest.com_height * math.sin(angle) == pytest.approx(0.0, abs=1e-12)
    assert grade > LOADED.grade_pct / 100.0
    assert evaluate(LOADED).group("rest", "braking").front_lift is None


def test_the_rider_among_people():
    by = {one.measure: one for one in FIT.percentiles}

    assert by["stature"].percent == pytest.approx(50.0 + 25.0 * (1760.0 - 1755.0) / (1802.0 - 1755.0))
    assert by["stature"].measured and not by["inseam"].measured
    tall = {one.measure: one for one in fit_of(ridden_by(stature_mm=2000.0), sag="stated").percentiles}
    assert (tall["stature"].percent, tall["stature"].beyond) == (None, "above")


@pytest.mark.parametrize("name", ["standing", "climb", "seated"])
def test_the_picture_has_the_angles_where_the_joints_are(name):
    """Each drawn angle is the number beside it; a seated hip, closed most where no leg is drawn, has no mark."""
    picture = fit_picture(FIT, name)

    assert {mark.angle.name for mark in picture.marks} == set(RANGES[name]) - ({"hip"} if name != "standing" else set())
    for mark in picture.marks:
        ways = [(end[0] - mark.vertex[0], end[1] - mark.vertex[1]) for end in (mark.first, mark.second)]
        (ax, az), (bx, bz) = ways
        drawn = math.degrees(math.atan2(abs(ax * bz - az * bx), ax * bx + az * bz))
        assert drawn == pytest.approx(mark.angle.value_deg, abs=1e-6), mark.angle.name


def test_the_foot_that_stands_further_forward_is_the_rider_s():
    rider = replace(LOADED.rider, foot_ahead_mm=20.0)
    found = fit_of(LOADED.changed(rider=rider))

    assert found.cockpit.foot_ahead_mm == 20.0
    assert found.postures[2].angles[0].value_deg != FIT.postures[2].angles[0].value_deg

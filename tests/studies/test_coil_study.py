"""May this frame take a coil: every condition by itself, and both springs at one sag."""

from pathlib import Path

import numpy as np
import pytest

from bikewright.errors import NotKnown
from bikewright.model.build import remade
from bikewright.model.files import read_bike
from bikewright.studies.coil_study import coil_study
from bikewright.studies.evaluate import evaluate
from bikewright.units import DEG

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
QUILLBACK, CORBEL, WHERRY = (read_bike(EXAMPLES / name) for name in ("quillback", "corbel", "wherry"))
STOCK = QUILLBACK.build("stock")


def reason(study, question):
    return next(one for one in study.reasons if one.question == question)


def with_shelf(stock, kind, change):
    shelves = tuple(
        remade(shelf, {"parts": tuple(map(change, shelf.parts))}) if shelf.kind == kind else shelf
        for shelf in stock.shelves
    )
    return remade(stock, {"shelves": shelves})


def coil_shock(change):
    return with_shelf(
        QUILLBACK.stock, "shock", lambda one: remade(one, change(one)) if one.name == "coil-230x57" else one
    )


def test_the_demo_frame_may_take_a_coil_and_says_why():
    study = coil_study(STOCK, QUILLBACK.stock)

    assert study.may == "yes"
    assert {one.may for one in study.reasons} == {"yes"}
    assert reason(study, "progression").found == pytest.approx(evaluate(STOCK).value("progression_pct").number)
    assert reason(study, "eyes").found == pytest.approx(evaluate(STOCK).value("eye_turn_deg").number)
    assert reason(study, "room").found == pytest.approx(46.0 + 8.6, abs=0.11)


def test_the_answer_is_the_same_with_the_coil_in_already():
    air, coil = (coil_study(one, QUILLBACK.stock) for one in (STOCK, _with_coil_in()))

    assert [one.may for one in air.reasons] == [one.may for one in coil.reasons]
    assert coil.laid.coil.spring.name == air.laid.coil.spring.name


def _with_coil_in():
    return STOCK.changed(parts=remade(STOCK.parts, {"shock": QUILLBACK.stock.part("shock", "coil-230x57")}))


def test_each_condition_alone_says_no():
    frame = remade(STOCK.frame, {"limits": remade(STOCK.frame.limits, {"shock_diameter_max_mm": 50.0})})
    short = with_shelf(QUILLBACK.stock, "coil", lambda one: remade(one, {"stroke_to_bind_mm": 55.0}))
    forbidden = coil_shock(lambda one: {"chassis": remade(one.chassis, {"coil_allowed": False})})
    stiff = coil_shock(lambda one: {"hardware": remade(one.hardware, {"turn_max_deg": 30.0})})
    asked = {
        "progression": coil_study(STOCK, QUILLBACK.stock, 25.0),
        "room": coil_study(STOCK.changed(frame=frame), QUILLBACK.stock),
        "permission": coil_study(STOCK, forbidden),
        "eyes": coil_study(STOCK, stiff),
    }

    for question, study in asked.items():
        assert study.may == "no"
        assert [one.question for one in study.reasons if one.may == "no"] == [question]
    bound = coil_study(STOCK, short)
    assert bound.may == "waits"
    assert "binds" in reason(bound, "coil bind").waits


def test_what_is_not_known_waits_and_is_named():
    frame = remade(STOCK.frame, {"limits": remade(STOCK.frame.limits, {"shock_diameter_max_mm": None})})
    bare = with_shelf(QUILLBACK.stock, "coil", lambda one: remade(one, {"wire_mm": None, "stroke_to_bind_mm": None}))
    silent = with_shelf(
        bare,
        "shock",
        lambda one: remade(
            one,
            {
                "chassis": remade(one.chassis, {"coil_allowed": None}),
                "hardware": remade(one.hardware, {"turn_max_deg": None}),
            },
        ),
    )
    study = coil_study(STOCK.changed(frame=frame), silent)
    waits = {one.question: one.waits for one in study.reasons}

    assert study.may == "waits"
    assert "limits.shock_diameter_max_mm" in waits["room"] and "wire_mm" in waits["room"]
    assert "stroke_to_bind_mm" in waits["coil bind"]
    assert "turn_max_deg" in waits["eyes"]
    assert "coil_allowed" in waits["permission"]
    assert waits["progression"] == ""


def test_the_turn_at_the_eyes_is_measured_on_the_drawn_points():
    for bike in (QUILLBACK, CORBEL):
        motion = evaluate(bike.build("stock")).group("linkage").motion
        found = dict(evaluate(bike.build("stock")).group("eyes").by_pin)
        layout = motion.layout
        upper, lower = (
            (layout.pin("shock_upper"), layout.pin("shock_lower")) if hasattr(layout, "pin") else _ends(layout)
        )
        for name, at, other in (("shock_upper", upper, lower), ("shock_lower", lower, upper)):
            body = next(one for one in layout.pins[at].joins if one != "shock")
            mate = _other_pin(layout, body, at)
            turns = []
            for row in range(motion.points.shape[0]):
                points = motion.points[row]
                shock = points[other] - points[at]
                arm = np.array([1.0, 0.0]) if body == "frame" else points[mate] - points[at]
                turns.append(np.arctan2(arm[0] * shock[1] - arm[1] * shock[0], arm @ shock))
            assert found[name] == pytest.approx(np.ptp(np.unwrap(turns)), abs=1e-9)


def _ends(layout):
    names = [pin.name for pin in layout.pins]
    return names.index("shock_upper"), names.index("shock_lower")


def _other_pin(layout, body, at):
    return next((i for i, pin in enumerate(layout.pins) if body in pin.joins and i != at), None)


def test_both_springs_are_laid_over_each_other_at_the_same_sag():
    study = coil_study(STOCK, QUILLBACK.stock)
    laid = study.laid
    air, coil = laid.over.first, laid.over.second

    assert laid.sag_pct == STOCK.settings.sag_rear_pct
    assert coil.sag_force == pytest.approx(air.sag_force, rel=0.01)
    assert coil.breakaway < air.breakaway
    assert coil.end_ramp < air.end_ramp
    at_sag = [np.interp(laid.over.sag, laid.travel, force) for force in (laid.air_force, laid.coil_force)]
    assert at_sag == pytest.approx([air.sag_force, coil.sag_force], rel=1e-3)
    ratio = evaluate(STOCK).group("linkage").motion
    half = float(np.interp(0.5 * ratio.wheel_travel[-1], ratio.wheel_travel, ratio.leverage_ratio))
    assert laid.support_n == pytest.approx((air.mid_force - coil.mid_force) * half, rel=1e-3)


def test_without_a_rider_the_reasons_stay_and_the_springs_wait():
    study = coil_study(STOCK.changed(rider=None), QUILLBACK.stock)

    assert study.laid is None and "waits for a rider" in study.laid_waits
    assert reason(study, "progression").may == "yes"


def test_coils_without_their_preload_a_turn_are_named_in_one_breath():
    """Once "waits for" and once each coil, not a sentence a coil."""
    stock = with_shelf(QUILLBACK.stock, "coil", lambda one: remade(one, {"preload_mm_per_turn": None}))

    study = coil_study(STOCK, stock)

    waits = reason(study, "coil bind").waits
    assert waits.startswith("preload_mm_per_turn of a coil: 'steel-350', 'steel-375'")
    assert study.laid_waits == f"waits for {waits}"


def test_a_hardtail_is_told_that_the_question_does_not_arise():
    with pytest.raises(NotKnown, match="has no rear suspension"):
        coil_study(WHERRY.build("stock"), WHERRY.stock)


def test_a_frame_without_a_coil_shock_of_its_size_waits_for_one():
    none = with_shelf(
        QUILLBACK.stock,
        "shock",
        lambda one: remade(one, {"chassis": remade(one.chassis, {"eye_to_eye_mm": 210.0})}),
    )
    study = coil_study(STOCK, none)

    assert study.laid is None
    assert "a coil shock of this length and stroke" in reason(study, "coil bind").waits
    assert reason(study, "eyes").found * DEG > 0.0


def test_the_support_is_told_in_clicks_where_both_dampers_were_measured():
    air = STOCK.parts.shock
    told = coil_study(STOCK, coil_shock(lambda one: {"damper": air.damper}))
    bare = coil_study(STOCK, QUILLBACK.stock)
    standing = remade(STOCK.settings, {"shock_compression_clicks": 6})
    laid = coil_study(STOCK.changed(settings=standing), coil_shock(lambda one: {"damper": air.damper})).laid
    firm = coil_study(
        STOCK.changed(settings=remade(STOCK.settings, {"shock_compression_clicks": 0})),
        coil_shock(lambda one: {"damper": air.damper}),
    ).laid

    # one row of the demo's table a click from closed: 345 N at three clicks and 222 N at six, at 100 mm/s
    assert laid.support_from_closed == round(6 - 3 * laid.support_n / (345 - 222))
    assert firm.support_from_closed is None and "N above what it gives closed" in firm.support_waits
    assert bare.laid.support_from_closed is None and "a measured compression table of 'coil-" in bare.laid.support_waits
    assert told.laid is not None

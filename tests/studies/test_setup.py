"""One rider's set-up as a whole, two riders', and the table of every mass."""

from pathlib import Path

import pytest

from bikewright.errors import NotKnown
from bikewright.model.addresses import apply, read_change
from bikewright.model.build import remade
from bikewright.model.files import read_bike
from bikewright.model.tune import BaseTune
from bikewright.studies import resting
from bikewright.studies.damping_setup import clicks_for
from bikewright.studies.evaluate import evaluate
from bikewright.studies.setup import setup_for
from bikewright.studies.spring_setup import springs_for
from bikewright.studies.taking import changes_to
from bikewright.studies.tune_table import MASSES_KG, tune_table

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
QUILLBACK = read_bike(EXAMPLES / "quillback")
STOCK, COIL = QUILLBACK.build("stock"), QUILLBACK.build("coil")
BASE = BaseTune(name="stock", build=STOCK)


def test_the_set_build_sits_where_the_set_up_says():
    found = setup_for(STOCK, QUILLBACK.stock, BASE)
    settled = evaluate(found.build).group("rest", "standing")

    assert found.springs.front.sag_pct == pytest.approx(100.0 * settled.sag_front, abs=1e-12)
    assert found.springs.front.sag_pct == pytest.approx(STOCK.settings.sag_front_pct, abs=1e-8)
    assert found.springs.rear.sag_pct == pytest.approx(STOCK.settings.sag_rear_pct, abs=1e-8)
    assert found.build.settings.fork_pressure_bar == found.springs.front.pressure_bar
    assert found.springs.reference == "stock"


def test_tyre_pressures_found_are_those_that_the_springs_are_set_on():
    found = setup_for(STOCK, QUILLBACK.stock, BASE)

    settings = found.build.settings
    assert settings.front_tyre_bar == found.tyres.front.recommended_bar
    assert settings.rear_tyre_bar == found.tyres.rear.recommended_bar
    assert springs_for(found.build, QUILLBACK.stock).front.pressure_bar == pytest.approx(settings.fork_pressure_bar)


def test_the_set_build_has_its_dials_where_they_are_recommended():
    found = setup_for(STOCK, QUILLBACK.stock, QUILLBACK.tune("home-trail"))
    again = clicks_for(found.build, None)

    assert {one.how for one in found.damping.circuits} == {"measured"}
    assert [one.from_closed for one in again.circuits] == [one.from_closed for one in found.damping.circuits]
    assert found.springs.reference == "home-trail" and found.springs.build == found.build
    open_ = remade(STOCK.parts.shock.damper, {"counted_from": "open"})
    parts = remade(STOCK.parts, {"shock": remade(STOCK.parts.shock, {"damper": open_})})
    counted = setup_for(STOCK.changed(parts=parts), QUILLBACK.stock, BaseTune(name="same", build=_with(parts)))
    rebound = next(one for one in counted.damping.circuits if (one.end, one.circuit) == ("shock", "rebound"))
    assert counted.build.settings.shock_rebound_clicks == rebound.from_open


def _with(parts):
    settings = remade(STOCK.settings, {"shock_rebound_clicks": 7, "shock_compression_clicks": 6})
    return STOCK.changed(parts=parts, settings=settings)


def test_a_build_without_a_base_keeps_its_clicks_and_says_that_it_waits():
    found = setup_for(COIL, QUILLBACK.stock)

    assert all(one.waits for one in found.damping.circuits)
    assert found.build.settings.shock_rebound_clicks == COIL.settings.shock_rebound_clicks


def test_the_saddle_height_says_who_gave_it():
    assert setup_for(STOCK, QUILLBACK.stock).cockpit.saddle_from == "rider"
    own = STOCK.changed(settings=remade(STOCK.settings, {"saddle_height_mm": 720.0}))
    assert setup_for(own, QUILLBACK.stock).cockpit.saddle_from == "settings"
    nobody = STOCK.changed(rider=remade(STOCK.rider, {"saddle_height_mm": None}))
    assert setup_for(nobody, QUILLBACK.stock).cockpit.saddle_from in ("size", "")


def test_a_refused_build_is_set_up_and_says_so():
    wide = remade(STOCK.parts.rear_tyre, {"width_mm": 66.0})
    found = setup_for(STOCK.changed(parts=remade(STOCK.parts, {"rear_tyre": wide})), QUILLBACK.stock)

    assert [one.address for one in found.refused] == ["rear_tyre"]


def test_the_table_holds_the_same_answers_as_asking_one_by_one():
    table = tune_table((STOCK, COIL), QUILLBACK.stock, BASE, (60.0, 85.0))

    for column, build in zip(table.columns, (STOCK, COIL), strict=True):
        for tune in column.tunes:
            alone = setup_for(
                build.changed(rider=remade(build.rider, {"mass_kg": tune.mass_kg})), QUILLBACK.stock, BASE
            )
            assert tune.setup.build == alone.build
            assert tune.setup.build.rider.stature_mm == build.rider.stature_mm


def test_a_mass_that_is_refused_leaves_the_others():
    table = tune_table((STOCK,), QUILLBACK.stock, None, (45.0, 80.0))
    light, usual = table.columns[0].tunes

    assert light.setup is None and "45 kg, cannot be held" in light.refusal
    assert usual.setup is not None and usual.refusal == ""


def test_the_table_runs_from_45_to_120_kg_and_tells_how_far_it_is():
    told = []
    table = tune_table((COIL,), QUILLBACK.stock, told=lambda done, of: told.append((done, of)))

    assert MASSES_KG[0] == 45.0 and MASSES_KG[-1] == 120.0 and len(MASSES_KG) == 16
    assert told == [(n, 16) for n in range(1, 17)]
    assert [tune.mass_kg for tune in table.columns[0].tunes] == list(MASSES_KG)


def test_a_build_without_a_rider_cannot_be_in_the_table():
    with pytest.raises(NotKnown, match="build 'datum' waits for a rider"):
        tune_table((QUILLBACK.build("datum"),), QUILLBACK.stock)


def test_another_rider_costs_ten_balances_whatever_the_spacers(monkeypatch):
    """A set-up tries no pressure on the whole bike; `benchmarks/set_up.py` times it."""
    setup_for(STOCK, QUILLBACK.stock, BASE)
    counted, settle = [], resting.settle
    monkeypatch.setattr(resting, "settle", lambda *asked, **more: counted.append(1) or settle(*asked, **more))
    setup_for(STOCK.changed(rider=remade(STOCK.rider, {"mass_kg": 71.3})), QUILLBACK.stock, BASE)

    assert len(counted) == 10


@pytest.mark.parametrize(("name", "mass_kg"), [("coil", 60.0), ("coil", 82.0), ("coil", 104.0), ("mixed", 78.0)])
def test_a_set_up_that_was_taken_asks_for_nothing_more(name, mass_kg):
    """Another coil weighs otherwise, which moves the fork's pressure; another pressure stands otherwise."""
    build = QUILLBACK.build(name)
    asked = build.changed(rider=remade(build.rider, {"mass_kg": mass_kg}))
    taken = asked
    for change in changes_to(asked, setup_for(asked, QUILLBACK.stock, bands=False).build):
        taken = apply(taken, read_change(change), QUILLBACK.stock, QUILLBACK.riders)

    assert changes_to(asked, taken)
    assert changes_to(taken, setup_for(taken, QUILLBACK.stock, bands=False).build) == ()


def test_what_the_tyres_were_pumped_to_is_told_of_the_build_as_it_was_asked():
    found = setup_for(STOCK, QUILLBACK.stock, BASE).tyres

    assert (found.front.set_bar, found.rear.set_bar) == (STOCK.settings.front_tyre_bar, STOCK.settings.rear_tyre_bar)
    assert found.rear.set_reserve > found.rear.reserve

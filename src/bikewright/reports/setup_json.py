"""Set-ups, tune tables and the coil question as JSON: fixed units, null where there is no number.

Question answered   What does a program read of a set-up?
Method              The fields of the studies, by their names, which carry their units.
Left out            Wording.
"""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from bikewright.model.parts import Coil
from bikewright.reports.as_json import VERSION, build_json, comparison_json
from bikewright.studies.coil_study import SUPPORT_MM_S, CoilStudy, Laid
from bikewright.studies.compare import Comparison
from bikewright.studies.end_springs import CoilChoice
from bikewright.studies.reserve import STEP_MM
from bikewright.studies.setup import Setup
from bikewright.studies.spring_setup import EndSetup
from bikewright.studies.tune_table import Tune, TuneTable
from bikewright.units import MM


def setup_json(setup: Setup, other: Setup | None = None, comparison: Comparison | None = None) -> dict[str, Any]:
    """One rider's set-up; with another one, both, and what follows on the bike."""
    return {
        "format": "bikewright/setup",
        "version": VERSION,
        "step_mm": STEP_MM,
        "setups": [_setup(one) for one in (setup, other) if one is not None],
        "comparison": None if comparison is None else comparison_json([comparison])["sizes"][0],
    }


def _setup(setup: Setup) -> dict[str, Any]:
    rider = setup.build.rider
    return {
        "build": build_json(setup.build),
        "rider": None
        if rider is None
        else {"name": rider.name, "mass_kg": rider.mass_kg, "stature_mm": rider.stature_mm},
        "refusals": [{"address": one.address, "text": one.text} for one in setup.refused],
        "reference": setup.springs.reference or None,
        "springs": [_end(end) for end in setup.springs.ends],
        "tyres": None if setup.tyres is None else asdict(setup.tyres),
        "tyres_wait": setup.tyres_wait,
        "damping": None if setup.damping is None else asdict(setup.damping),
        "damping_waits": setup.damping_waits,
        "cockpit": asdict(setup.cockpit),
    }


def _end(end: EndSetup) -> dict[str, Any]:
    found = {
        name: getattr(end, name)
        for name in (
            "end",
            "part",
            "kind",
            "wanted_sag_pct",
            "sag_pct",
            "sag_mm",
            "least_sag_pct",
            "most_sag_pct",
            "force_n",
            "pressure_bar",
            "limit_low_bar",
            "limit_high_bar",
            "spacers",
            "chosen_by",
            "turns",
            "drop_ratio",
            "step_ratio",
        )
    }
    return {
        **found,
        "coil": None if end.coil is None else _coil(end.coil),
        "air": [asdict(one) for one in end.air],
        "coils": [_choice(one) for one in end.coils],
        "unknown": list(end.unknown),
    }


def _coil(coil: Coil) -> dict[str, Any]:
    return {
        "name": coil.name,
        "rate_n_per_mm": coil.rate_n_per_mm,
        "rate_used_n_per_mm": coil.rate_used_n_per_mm,
    }


def _choice(one: CoilChoice) -> dict[str, Any]:
    return {
        "coil": _coil(one.coil),
        "exact_turns": one.exact_turns,
        "turns": one.turns,
        "base_turns": one.base_turns,
        "base_sag_pct": one.base_sag_pct,
        "refusal": one.refusal,
    }


def tunes_json(table: TuneTable) -> dict[str, Any]:
    """The base tune table: every build for every mass."""
    return {
        "format": "bikewright/tunes",
        "version": VERSION,
        "base": table.base or None,
        "masses_kg": list(table.masses_kg),
        "builds": [
            {
                "build": build_json(column.build),
                "rider": "" if column.build.rider is None else column.build.rider.name,
                "tunes": [_tune(tune) for tune in column.tunes],
            }
            for column in table.columns
        ],
    }


def _tune(tune: Tune) -> dict[str, Any]:
    return {
        "mass_kg": tune.mass_kg,
        "refusal": tune.refusal,
        "setup": None if tune.setup is None else _setup(tune.setup),
    }


def coil_json(study: CoilStudy) -> dict[str, Any]:
    """Whether the frame may take a coil, and both springs beside each other."""
    return {
        "format": "bikewright/coil",
        "version": VERSION,
        "build": build_json(study.build),
        "may": study.may,
        "reasons": [asdict(reason) for reason in study.reasons],
        "laid": None if study.laid is None else _laid(study.laid),
        "laid_waits": study.laid_waits,
    }


def _laid(laid: Laid) -> dict[str, Any]:
    coil = laid.coil.spring
    return {
        "sag_pct": laid.sag_pct,
        "air": {
            "shock": laid.air.name,
            "pressure_bar": laid.air_build.settings.shock_pressure_bar,
            "spacers": laid.air_build.settings.shock_spacers,
            **_feel(laid, "first"),
        },
        "coil": {
            "shock": laid.coil.name,
            "coil": _coil(coil) if isinstance(coil, Coil) else None,
            "turns": laid.turns,
            **_feel(laid, "second"),
        },
        "support_n": laid.support_n,
        "support_from_closed": laid.support_from_closed,
        "support_waits": laid.support_waits,
        "support_speed_mm_s": SUPPORT_MM_S,
        "wheel_travel_mm": [float(x / MM) for x in laid.travel],
        "air_force_n": [float(f) for f in laid.air_force],
        "coil_force_n": [float(f) for f in laid.coil_force],
    }


def _feel(laid: Laid, which: str) -> dict[str, float]:
    feel = getattr(laid.over, which)
    return {
        "breakaway_n": feel.breakaway,
        "sag_force_n": feel.sag_force,
        "mid_force_n": feel.mid_force,
        "end_force_n": feel.end_force,
        "end_ramp": feel.end_ramp,
        "energy_j": feel.energy,
    }


def setups_of(table: TuneTable) -> Sequence[Setup]:
    """Every set-up of a table that is not refused."""
    return [tune.setup for column in table.columns for tune in column.tunes if tune.setup is not None]

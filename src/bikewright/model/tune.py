"""Base tunes: set-ups that somebody has ridden and would ride again, from ``tunes.toml``.

A base tune is a build as it was ridden, with rider, pressures and clicks in it. Recommendations for a damper
that was never measured are offsets from it. The file is optional; each table in it is named after its tune:

    [home-trail]
    build = "stock"              # parts, chips and settings to start from
    rider = "joren"              # who rode it; the build's own rider where it is left out
    date = "2026-05-30"
    [home-trail.settings]        # what was set otherwise than in the build
    fork_rebound_clicks = 9
"""

import re
from typing import Any, Literal

from bikewright.errors import Fault, ModelError
from bikewright.model.build import Build, Settings
from bikewright.model.faults import UNKNOWN_KEY, made, near, shown
from bikewright.model.limits import refusals
from bikewright.model.parts import Damper
from bikewright.model.places import Path
from bikewright.model.readers import named_tables
from bikewright.model.rider import Rider
from bikewright.model.text_file import Sheet
from bikewright.model.values import Name, Text, value

_KEYS = ("build", "rider", "date", "note", "fork_counted_from", "shock_counted_from", "settings")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")


@value
class BaseTune:
    """A ridden set-up."""

    name: Name
    build: Build
    """As it was ridden: parts, chips, rider, pressures, clicks and tyre pressures."""
    note: Text = ""
    """What was found."""
    date: Text = ""
    """Day on which it was ridden, as 2026-05-30."""


@value
class _Words:
    """What a tune says beside its settings."""

    note: Text = ""
    date: Text = ""
    fork_counted_from: Literal["closed", "open"] | None = None
    """End that the fork's clicks were counted from, where it is not the damper's own."""
    shock_counted_from: Literal["closed", "open"] | None = None


def read_tunes(
    sheet: Sheet, builds: tuple[Build, ...], riders: tuple[Rider, ...], faults: list[Fault]
) -> tuple[BaseTune, ...]:
    """Every tune of ``tunes.toml``.

    Parameters
    ----------
    sheet : Sheet
        The file.
    builds, riders : tuple
        Those that a tune may name.
    faults : list of Fault
        What is wrong is added here.

    Returns
    -------
    tuple of BaseTune
        Those that are sound.
    """
    known = {build.name: build for build in builds}
    people = {rider.name: rider for rider in riders}
    tunes = []
    for name, table in named_tables(sheet, sheet.data, (), faults):
        before = len(faults)
        tune = _tune(name, table, sheet, known, people, faults)
        if tune is not None and len(faults) == before:
            tunes.append(tune)
    return tuple(tunes)


def _tune(
    name: str,
    table: dict[str, Any],
    sheet: Sheet,
    builds: dict[str, Build],
    riders: dict[str, Rider],
    faults: list[Fault],
) -> BaseTune | None:
    strangers = [key for key in table if key not in _KEYS]
    faults.extend(sheet.fault((name, key), found=UNKNOWN_KEY, remedy=near(key, _KEYS)) for key in strangers)
    plain: dict[str, Any] = {key: table[key] for key in _Words.__dataclass_fields__ if key in table}
    words = made(_Words, plain, sheet, (name,), faults)
    build = builds.get(table["build"]) if isinstance(table.get("build"), str) else None
    if build is None:
        found = shown(table["build"]) if "build" in table else "nothing"
        told = (
            near(table["build"], builds) if isinstance(table.get("build"), str) else "Name the build it was ridden on."
        )
        faults.append(sheet.fault((name, "build"), found=found, allowed="the name of a build", remedy=told))
        return None
    rider = build.rider
    if "rider" in table:
        rider = riders.get(table["rider"]) if isinstance(table["rider"], str) else None
        if rider is None:
            told = near(table["rider"], riders) if isinstance(table["rider"], str) else ""
            faults.append(
                sheet.fault((name, "rider"), found=shown(table["rider"]), allowed="the name of a rider", remedy=told)
            )
            return None
    if rider is None:
        told = "A tune belongs to somebody: name the rider."
        faults.append(sheet.fault((name, "rider"), found="nothing", allowed="the name of a rider", remedy=told))
        return None
    if words is None:
        return None
    if words.date and not _DATE.fullmatch(words.date):
        faults.append(sheet.fault((name, "date"), found=shown(words.date), allowed="a day, as in 2026-05-30"))
    ridden = _ridden(name, table.get("settings", {}), words, sheet, build.changed(rider=rider), faults)
    return None if ridden is None else BaseTune(name=name, build=ridden, note=words.note, date=words.date)


def _ridden(name: str, raw: Any, words: _Words, sheet: Sheet, build: Build, faults: list[Fault]) -> Build | None:
    """The build with the tune's settings laid over its own."""
    path: Path = (name, "settings")
    if not isinstance(raw, dict):
        faults.append(sheet.fault(path, found=shown(raw), allowed="a table"))
        return None
    own = {field: getattr(build.settings, field) for field in Settings.__dataclass_fields__}
    settings = made(Settings, {**own, **raw}, sheet, path, faults)
    if settings is None:
        return None
    told = {refusal.text for refusal in refusals(build)}
    try:
        ridden = build.changed(settings=_counted(settings, raw, words, build))
    except ModelError as error:
        faults.append(sheet.fault(path, remedy=str(error)))
        return None
    for refusal in refusals(ridden):
        if refusal.text not in told:
            faults.append(sheet.fault((*path, refusal.address), remedy=refusal.text))
    return ridden


def _counted(settings: Settings, raw: dict[str, Any], words: _Words, build: Build) -> Settings:
    """The tune's clicks, counted from the end that the damper counts from.

    Raises
    ------
    ModelError
        If they were counted from the other end of a dial whose total is not known.
    """
    turned: dict[str, int] = {}
    for end in ("fork", "shock"):
        part = getattr(build.parts, end)
        damper: Damper | None = None if part is None else part.damper
        counted = getattr(words, f"{end}_counted_from")
        for circuit in ("rebound", "compression", "high_compression"):
            key = f"{end}_{circuit}_clicks"
            clicks = getattr(settings, key)
            if key not in raw or clicks is None or counted is None or (damper and damper.counted_from == counted):
                continue
            total = None if damper is None else getattr(damper, f"{circuit}_clicks")
            if total is None:
                raise ModelError(
                    f"{key} was counted from {counted}, and the {end}'s total of {circuit.replace('_', ' ')} clicks "
                    "is not known. Count it from end to end"
                )
            if clicks > total:
                raise ModelError(f"{key} is {clicks}, and this dial has {total} clicks")
            turned[key] = total - clicks
    held = {field: getattr(settings, field) for field in Settings.__dataclass_fields__}
    return Settings(**{**held, **turned})

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
from typing import Any, Literal, TypeVar

from bikewright.errors import Fault, ModelError
from bikewright.model.build import Build, Settings, remade
from bikewright.model.faults import UNKNOWN_KEY, made, near, sentence, shown
from bikewright.model.limits import refusals
from bikewright.model.parts import Damper
from bikewright.model.places import Path
from bikewright.model.readers import named_tables
from bikewright.model.revision import Sheets
from bikewright.model.rider import Rider
from bikewright.model.text_file import Sheet
from bikewright.model.values import Name, Text, value

V = TypeVar("V")

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
    sheets: Sheets, builds: tuple[Build, ...], riders: tuple[Rider, ...], faults: list[Fault]
) -> tuple[BaseTune, ...]:
    """Every tune of ``tunes.toml``.

    Parameters
    ----------
    sheets : Sheets
        What the folder says.
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
    for name, table in named_tables(sheets.tunes, sheets.tunes.data, (), faults):
        before = len(faults)
        tune = _tune(name, table, sheets, known, people, faults)
        if tune is not None and len(faults) == before:
            tunes.append(tune)
    return tuple(tunes)


def _tune(
    name: str,
    table: dict[str, Any],
    sheets: Sheets,
    builds: dict[str, Build],
    riders: dict[str, Rider],
    faults: list[Fault],
) -> BaseTune | None:
    sheet = sheets.tunes
    strangers = [key for key in table if key not in _KEYS]
    faults.extend(sheet.fault((name, key), found=UNKNOWN_KEY, remedy=near(key, _KEYS)) for key in strangers)
    plain: dict[str, Any] = {key: table[key] for key in _Words.__dataclass_fields__ if key in table}
    words = made(_Words, plain, sheet, (name,), faults)
    build = _named("build", table, name, builds, (sheet, sheets.builds), faults)
    if build is None:
        return None
    rider = build.rider
    if rider is None or "rider" in table:
        rider = _named("rider", table, name, riders, (sheet, sheets.riders), faults)
    if rider is None or words is None:
        return None
    if words.date and not _DATE.fullmatch(words.date):
        faults.append(sheet.fault((name, "date"), found=shown(words.date), allowed="a day, as in 2026-05-30"))
    ridden = _ridden(name, table.get("settings", {}), words, sheet, build.changed(rider=rider), faults)
    return None if ridden is None else BaseTune(name=name, build=ridden, note=words.note, date=words.date)


def _named(
    key: str, table: dict[str, Any], tune: str, known: dict[str, V], sheets: tuple[Sheet, Sheet], faults: list[Fault]
) -> V | None:
    """The build or rider that a tune must name; ``sheets`` are that of the tunes and that of what is named."""
    name, (sheet, described) = table.get(key), sheets
    if isinstance(name, str) and name in known:
        return known[name]
    if not (isinstance(name, str) and name in described.data):  # else it has faults of its own
        told = near(name, known) if isinstance(name, str) else f"Say on which build and by whom it was ridden: {key}."
        found = shown(name) if key in table else "nothing"
        faults.append(sheet.fault((tune, key), found=found, allowed=f"the name of a {key}", remedy=told))
    return None


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
        faults.append(sheet.fault(path, remedy=sentence(str(error))))
        return None
    for refusal in refusals(ridden):
        if refusal.text not in told:
            faults.append(sheet.fault((*path, *refusal.address.split(".")), remedy=sentence(refusal.text)))
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
    return remade(settings, turned)

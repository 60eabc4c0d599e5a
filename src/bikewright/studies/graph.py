"""The graph of groups: what is computed from what, once for each content of the fields that it reads.

A group is one question to physics. It declares the fields of the build that it reads, the groups whose
results it needs, and whether it answers state by state. Its result is kept under a key made of those
fields' digests, the upstream keys and the group's version, so a change costs the groups that read it and
those downstream of them. An error is a result too: it stays with its group and leaves the others readable.
"""

import hashlib
import json
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from threading import Lock
from typing import Any

from bikewright.errors import BikewrightError
from bikewright.model.build import Build
from bikewright.model.digest import canonical

KEPT_RESULTS = 4096
"""Results kept in memory: some two hundred builds with all their groups and states."""


@dataclass(frozen=True, slots=True)
class Group:
    """One question and what it rests on."""

    name: str
    reads: tuple[str, ...]
    """Dotted fields of the build; ``geometry_row`` is the size's row of the geometry table."""
    compute: "Callable[[Ask], Any]"
    needs: tuple[str, ...] = ()
    """Groups whose results it uses; ``rest@standing`` asks for that state whatever the own one is."""
    by_state: bool = False
    version: int = 1
    """Raised when the same fields give another result than before."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a group: a result or the error that stopped it."""

    key: str
    result: Any = None
    error: BikewrightError | None = None


@dataclass(frozen=True, slots=True)
class Ask:
    """What a group's function is given: the build, the state, and the outcomes of the groups that it needs."""

    build: Build
    state: str
    upstream: dict[str, Outcome]

    def of(self, name: str) -> Any:
        """Result of a needed group; raises the error that stopped it, so that only who asks is stopped."""
        outcome = self.upstream[name]
        if outcome.error is not None:
            raise outcome.error
        return outcome.result


class Store:
    """Outcomes by key, the oldest forgotten first; safe to use from several threads."""

    def __init__(self, size: int = KEPT_RESULTS):
        self._size = size
        self._outcomes: OrderedDict[str, Outcome] = OrderedDict()
        self._lock = Lock()

    def get(self, key: str) -> Outcome | None:
        """The outcome kept under a key, or None."""
        with self._lock:
            outcome = self._outcomes.get(key)
            if outcome is not None:
                self._outcomes.move_to_end(key)
            return outcome

    def put(self, outcome: Outcome) -> Outcome:
        """Keep an outcome; returns it."""
        with self._lock:
            self._outcomes[outcome.key] = outcome
            while len(self._outcomes) > self._size:
                self._outcomes.popitem(last=False)
        return outcome

    def clear(self) -> None:
        """Forget everything, as benchmarks and tests need."""
        with self._lock:
            self._outcomes.clear()

    def __len__(self) -> int:
        return len(self._outcomes)


class Graph:
    """Groups in an order in which each comes after those it needs."""

    def __init__(self, groups: tuple[Group, ...], store: Store | None = None):
        self.groups = {group.name: group for group in groups}
        self.store = Store() if store is None else store
        seen: set[str] = set()
        for group in groups:
            missing = {_in_state(need, "")[0] for need in group.needs} - seen
            if missing:
                raise ValueError(f"group {group.name} needs {sorted(missing)}, which do not come before it")
            seen.add(group.name)

    def outcome(self, build: Build, name: str, state: str, local: dict[tuple[str, str], Outcome]) -> Outcome:
        """The outcome of one group for one build and state.

        Parameters
        ----------
        build : Build
            The build.
        name : str
            The group.
        state : str
            The state; ignored by a group that does not answer state by state.
        local : dict
            Outcomes that this answer has already got, so that the keys of shared groups are made once.

        Returns
        -------
        Outcome
            A result or an error, from memory where the same content was asked before.
        """
        group = self.groups[name]
        place = (name, state if group.by_state else "")
        if place not in local:
            upstream = {need: self.outcome(build, *_in_state(need, state), local) for need in group.needs}
            local[place] = self._computed(group, build, place[1], upstream)
        return local[place]

    def _computed(self, group: Group, build: Build, state: str, upstream: dict[str, Outcome]) -> Outcome:
        key = self.key(group, build, state, upstream)
        kept = self.store.get(key)
        if kept is not None:
            return kept
        try:
            return self.store.put(Outcome(key, result=group.compute(Ask(build, state, upstream))))
        except BikewrightError as error:
            return self.store.put(Outcome(key, error=error.with_traceback(None)))

    @staticmethod
    def key(group: Group, build: Build, state: str, upstream: dict[str, Outcome]) -> str:
        """Key of a group's result: SHA-256 over its version, state, the fields that it reads and what it needs."""
        content = [
            group.name,
            group.version,
            state,
            [canonical(field_of(build, path)) for path in group.reads],
            [above.key for above in upstream.values()],
        ]
        return hashlib.sha256(json.dumps(content).encode()).hexdigest()


def _in_state(need: str, state: str) -> tuple[str, str]:
    """Group and state of a need: ``rest`` in the state asked for, ``rest@standing`` in that one."""
    name, _, fixed = need.partition("@")
    return name, fixed or state


@lru_cache(maxsize=1024)
def _steps(path: str) -> tuple[str, ...]:
    return tuple(path.split("."))


def field_of(thing: Any, path: str) -> Any:
    """The field at a dotted path; None where something on the way is unknown."""
    place = thing
    for step in _steps(path):
        if place is None:
            return None
        place = getattr(place, step)
    return place

"""The graph of groups: what is computed from what, once for each content of the fields that it reads.

A group is one question to physics. It declares the fields of the build that it reads, the groups whose
results it needs, and whether it answers state by state. Its result is kept under a key made of those
fields' digests, the upstream keys and the group's version, so a change costs the groups that read it and
those downstream of them. An error is a result too: it stays with its group and leaves the others readable.
"""

import hashlib
from collections import OrderedDict
from collections.abc import Callable
from copy import copy
from dataclasses import dataclass, field
from functools import cache
from threading import Lock
from typing import Any

from bikewright.errors import BikewrightError
from bikewright.model.build import Build
from bikewright.model.digest import fields_text

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

    def told(self) -> Any:
        """The result.

        Raises
        ------
        BikewrightError
            The error that stopped the group.
        """
        if self.error is not None:
            raise copy(self.error)  # a kept error that was raised itself would keep every frame that asked
        return self.result


@dataclass(frozen=True, slots=True)
class Ask:
    """What a group's function is given: the build, the state, and a way to the results that it needs."""

    build: Build
    state: str
    upstream: "Callable[[str], Outcome]"

    def of(self, name: str) -> Any:
        """Result of a needed group, computed now if it is not there yet.

        Raises
        ------
        BikewrightError
            The error that stopped the group, so that only who asks is stopped.
        """
        found = self.upstream(name)
        return found.result if found.error is None else found.told()


@dataclass(slots=True)
class Memory:
    """What one answer has found already, so that nothing shared is keyed or looked up twice."""

    reads: dict[str, str] = field(default_factory=dict)
    """What each group reads of the build and needs in one state only, as one text for all states."""
    keys: dict[tuple[str, str], str] = field(default_factory=dict)
    outcomes: dict[tuple[str, str], Outcome] = field(default_factory=dict)


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

    def keep_at_most(self, size: int) -> None:
        """Keep fewer results than a study would: a server has to stay small."""
        with self._lock:
            self._size = size

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
        parted = {group.name: [_parted(need) for need in group.needs] for group in groups}
        self._in_each = {
            name: [need for need, fixed in needs if self.groups[need].by_state and not fixed]
            for name, needs in parted.items()
        }
        """Of each group the needs that follow its own state ..."""
        self._always = {
            name: [(need, fixed) for need, fixed in needs if fixed or not self.groups[need].by_state]
            for name, needs in parted.items()
        }
        """... and those that are the same in all of its states."""
        self._places: dict[str, dict[str, tuple[str, str | None]]] = {
            group.name: {
                need: (name, (fixed or None) if self.groups[name].by_state else "")
                for need, (name, fixed) in zip(group.needs, parted[group.name], strict=True)
            }
            for group in groups
        }
        """Of each group where the result of each need is: group and state, None for the state that is asked for."""

    def outcome(self, build: Build, name: str, state: str, memory: Memory) -> Outcome:
        """The outcome of one group for one build and state.

        Parameters
        ----------
        build : Build
            The build.
        name : str
            The group.
        state : str
            The state; ignored by a group that does not answer state by state.
        memory : Memory
            What this answer has found already.

        Returns
        -------
        Outcome
            A result or an error, from the store where the same content was asked before. A needed group is computed
            when the group asks for it, not before.
        """
        group = self.groups[name]
        place = (name, state if group.by_state else "")
        found = memory.outcomes.get(place)
        if found is None:
            key = self.key(build, *place, memory)
            found = self.store.get(key)
            if found is None:
                found = self._computed(group, build, place[1], key, memory)
            memory.outcomes[place] = found
        return found

    def key(self, build: Build, name: str, state: str, memory: Memory) -> str:
        """Key of a group's result: SHA-256 over its version, state, the fields that it reads and what it needs."""
        place = (name, state if self.groups[name].by_state else "")
        kept = memory.keys.get(place)
        return self._made_key(build, *place, memory) if kept is None else kept

    def _made_key(self, build: Build, name: str, state: str, memory: Memory) -> str:
        group, kept = self.groups[name], memory.reads.get(name)
        if kept is None:
            needed = [self.key(build, need, fixed, memory) for need, fixed in self._always[name]]
            # Names are words and a JSON text has no line's end, so that the lines cannot be mixed up.
            kept = "\n".join((name, str(group.version), fields_text(build, group.reads), *needed))
            memory.reads[name] = kept
        needed = [self.key(build, need, state, memory) for need in self._in_each[name]]
        content = "\n".join((kept, state, *needed))
        key = memory.keys[name, state] = hashlib.sha256(content.encode()).hexdigest()
        return key

    def _computed(self, group: Group, build: Build, state: str, key: str, memory: Memory) -> Outcome:
        places, outcomes = self._places[group.name], memory.outcomes

        def upstream(need: str) -> Outcome:
            if need not in places:
                raise KeyError(f"group {group.name} asks for {need}, which it does not declare")
            name, fixed = places[need]
            there = state if fixed is None else fixed
            found = outcomes.get((name, there))
            return self.outcome(build, name, there, memory) if found is None else found

        try:
            return self.store.put(Outcome(key, result=group.compute(Ask(build, state, upstream))))
        except BikewrightError as error:
            return self.store.put(Outcome(key, error=error.with_traceback(None)))


def _in_state(need: str, state: str) -> tuple[str, str]:
    """Group and state of a need: ``rest`` in the state asked for, ``rest@standing`` in that one."""
    name, fixed = _parted(need)
    return name, fixed or state


@cache
def _parted(need: str) -> tuple[str, str]:
    name, _, fixed = need.partition("@")
    return name, fixed


def field_of(thing: Any, path: str) -> Any:
    """The field at a dotted path; None where something on the way is unknown."""
    place = thing
    for step in path.split("."):
        if place is None:
            return None
        place = getattr(place, step)
    return place

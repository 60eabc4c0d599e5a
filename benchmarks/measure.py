"""Two ways of doing the same work, timed in turn in one process; and what came of it, as rows of one table."""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median

REST = 0.02
"""Pause before each timing [s], so that one side's threads are asleep when the other starts."""
SHORTEST = 0.04
"""A timing is repeated within a round until it has taken this long [s]."""


@dataclass(frozen=True)
class Side:
    """One way of doing the work."""

    name: str
    threads: str
    """How many threads, in words for the table."""
    outputs: str
    """What it computes at each position."""
    work: int
    """Positions, answers or whatever is counted, in one run."""
    run: Callable[[], object]


@dataclass(frozen=True)
class Row:
    """One claim and what was found."""

    claim: str
    ours: str
    peer: str
    found: str
    """Ratio or figure, with its spread."""
    target: str
    met: bool
    note: str = ""
    """Threads and outputs of both sides."""
    values: tuple[float, ...] = ()
    """The figure of every round."""

    def as_json(self) -> dict[str, object]:
        """Everything, for a file."""
        return {**self.__dict__, "values": list(self.values)}


def _timed(side: Side, repeats: int) -> float:
    time.sleep(REST)
    start = time.perf_counter()
    for _ in range(repeats):
        side.run()
    return (time.perf_counter() - start) / repeats


def _repeats(side: Side) -> int:
    """Runs once to warm, once to see how often a run fits into the shortest timing."""
    side.run()
    return max(1, round(SHORTEST / max(_timed(side, 1), 1e-9)))


def race(claim: str, ours: Side, peer: Side, target: float, rounds: int) -> Row:
    """How many times faster our side is, round by round; the order changes from round to round.

    Parameters
    ----------
    claim : str
        For the table.
    ours, peer : Side
        The two ways.
    target : float
        Least median ratio of work per second.
    rounds : int
        How many pairs of timings.

    Returns
    -------
    Row
    """
    sides = (ours, peer)
    repeats = {side.name: _repeats(side) for side in sides}
    rates: dict[str, list[float]] = {side.name: [] for side in sides}
    for turn in range(rounds):
        for side in sides if turn % 2 == 0 else sides[::-1]:
            rates[side.name].append(side.work / _timed(side, repeats[side.name]))
    ratios = [mine / theirs for mine, theirs in zip(rates[ours.name], rates[peer.name], strict=True)]
    return Row(
        claim=claim,
        ours=f"{_rate(median(rates[ours.name]))}",
        peer=f"{peer.name}: {_rate(median(rates[peer.name]))}",
        found=f"{_number(median(ratios))} ({_number(min(ratios))}..{_number(max(ratios))})",
        target=f">= {target:,.0f} times",
        met=median(ratios) >= target,
        note=f"ours: {ours.threads}; {ours.outputs}. {peer.name}: {peer.threads}; {peer.outputs}",
        values=tuple(ratios),
    )


def quickest(sides: Sequence[Side], rounds: int = 3) -> Side:
    """The fastest of several ways to run one peer, so that the peer is met at its best.

    Parameters
    ----------
    sides : sequence of Side
        The same peer with other block sizes or threads.
    rounds : int
        Timings of each, in turn.

    Returns
    -------
    Side
    """
    best = {side.name: 0.0 for side in sides}
    repeats = {side.name: _repeats(side) for side in sides}
    for _ in range(rounds):
        for side in sides:
            best[side.name] = max(best[side.name], side.work / _timed(side, repeats[side.name]))
    return max(sides, key=lambda side: best[side.name])


def at_most(claim: str, seconds: Sequence[float], limit: float, note: str) -> Row:
    """A time that must not be exceeded by the median of its rounds.

    Parameters
    ----------
    claim : str
        For the table.
    seconds : sequence of float
        One for each round [s].
    limit : float
        Largest median [s].
    note : str
        What was timed.

    Returns
    -------
    Row
    """
    return Row(
        claim=claim,
        ours=f"{_time(median(seconds))}",
        peer="-",
        found=f"{_time(median(seconds))} ({_time(min(seconds))}..{_time(max(seconds))})",
        target=f"<= {_time(limit)}",
        met=median(seconds) <= limit,
        note=note,
        values=tuple(seconds),
    )


def no_more(claim: str, found: float, limit: float, unit: str, note: str) -> Row:
    """An error or a size that must not be exceeded.

    Parameters
    ----------
    claim : str
        For the table.
    found, limit : float
        The figure and the largest that is allowed. [unit]
    unit : str
        For the table.
    note : str
        What it was compared with.

    Returns
    -------
    Row
    """
    met = found <= limit
    return Row(claim, f"{found:.2g} {unit}", "-", f"{found:.2g} {unit}", f"<= {limit:.3g} {unit}", met, note, (found,))


def table(rows: Sequence[Row]) -> str:
    """Rows as aligned text, with what each side computes beneath."""
    head = ("claim", "ours", "peer", "ratio or figure (min..max)", "target", "")
    cells = [head, *((r.claim, r.ours, r.peer, r.found, r.target, "met" if r.met else "MISSED") for r in rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(head))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in cells]
    lines.insert(1, "  ".join("-" * width for width in widths))
    notes = dict.fromkeys(f"{row.claim}: {row.note}" for row in rows if row.note)
    return "\n".join([*lines, "", *notes])


def _rate(per_second: float) -> str:
    for scale, word in ((1e6, "M/s"), (1e3, "k/s")):
        if per_second >= scale:
            return f"{per_second / scale:.3g} {word}"
    return f"{per_second:.3g} /s"


def _number(value: float) -> str:
    return f"{value:,.0f}" if value >= 100.0 else f"{value:.3g}"


def _time(seconds: float) -> str:
    return f"{seconds * 1e3:.3g} ms" if seconds < 0.5 else f"{seconds:.2f} s"

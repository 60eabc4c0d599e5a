"""The drawn linkages that every benchmark shares: two of the tests' samples, each pin moved by chance."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.linkage.layout import Layout
from bikewright.physics.linkage.plan import Plan, compile_plan
from bikewright.physics.linkage.run import sweep
from tests.physics.linkage.samples import FOUR_BAR, SIX_BAR

Floats = NDArray[np.float64]

POSITIONS = 101
SPREAD = 0.0015
"""Standard deviation of every pin's place about the sample [m]."""
TIGHTEST = 0.05
"""Designs that come nearer to a dead point than this sine are left out, so that every peer can follow them."""


@dataclass(frozen=True, eq=False)
class Designs:
    """Many drawings of one layout, all of which close at every position."""

    name: str
    plan: Plan
    places: Floats
    """Drawn pins (n, n_pins, 2) [m]."""
    marks: Floats
    """The same by pin and body (n, n_marks, 2) [m]."""
    lengths: Floats
    """Shock lengths, the same for all (101,) [m]."""

    @property
    def layout(self) -> Layout:
        """Bodies and pins."""
        return self.plan.layout

    def first(self, count: int) -> "Designs":
        """The first few of them."""
        return Designs(self.name, self.plan, self.places[:count], self.marks[:count], self.lengths)


def designs(name: str, count: int) -> Designs:
    """`count` drawings about the four-bar or the six-bar of the tests, the same every time.

    Parameters
    ----------
    name : str
        "four-bar" or "six-bar".
    count : int
        How many.

    Returns
    -------
    Designs
    """
    sample = {"four-bar": FOUR_BAR, "six-bar": SIX_BAR}[name]
    plan = compile_plan(sample.layout)
    lengths = sample.lengths(POSITIONS)
    rng = np.random.default_rng(7)
    drawn = sample.places + rng.normal(0.0, SPREAD, (2 * count, *sample.places.shape))
    # The first length is that of the mean drawing: every drawing is taken to the same list of lengths.
    marks = np.array([sample.layout.drawn(places) for places in drawn])
    raw = sweep(plan, marks, lengths, order=1)
    good = np.flatnonzero((raw.status[:, -1] == 0) & (np.nanmin(raw.margin, axis=1) > TIGHTEST))[:count]
    if len(good) < count:
        raise RuntimeError(f"only {len(good)} of {2 * count} drawings of the {name} close; {count} are needed.")
    return Designs(name, plan, drawn[good], marks[good], lengths)

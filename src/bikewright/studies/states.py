"""How each state stands: at a given travel, or where it comes to rest under its loads."""

from dataclasses import dataclass

from bikewright.quantities import STATES


@dataclass(frozen=True, slots=True)
class Given:
    """A state whose travels are given: the share of travel used at the front, of stroke at the rear."""

    front: float | None
    """None: the stated sag."""
    rear: float | None
    """0 or 1; None: the stated sag."""
    loaded: bool
    """Whether the tyres carry a rider."""


@dataclass(frozen=True, slots=True)
class Solved:
    """A state that is solved from springs, masses and loads."""

    posture: str = ""
    """``standing`` or ``seated``; empty: without a rider."""
    drives: bool = False
    """Climbs the build's grade in the climbing gear."""
    brakes: bool = False
    """Brakes with both brakes, on the level."""
    leans: bool = False
    """Leans by the stated angle."""
    lands: bool = False
    """Carries the stated multiple of its weight."""


STANDING = Solved("standing")
"""The state ``standing``, which friction and stance are varied round."""

SEATED = Solved("seated")
"""The state ``seated``."""

STANCES: dict[str, Given | Solved] = {
    "table": Given(0.0, 0.0, loaded=False),
    "stated-sag": Given(None, None, loaded=True),
    "unladen": Solved(),
    "standing": STANDING,
    "seated": SEATED,
    "climbing": Solved("seated", drives=True),
    "braking": Solved("standing", brakes=True),
    "cornering": Solved("standing", leans=True),
    "g-out": Solved("standing", lands=True),
    "front-bottomed": Given(1.0, 0.0, loaded=True),
    "rear-bottomed": Given(0.0, 1.0, loaded=True),
    "both-bottomed": Given(1.0, 1.0, loaded=True),
}
"""Every state of `bikewright.quantities.STATES`."""

assert STANCES.keys() == STATES.keys()

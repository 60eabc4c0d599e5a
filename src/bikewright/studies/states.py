"""How each state loads the two ends: the share of travel used at the front, of stroke at the rear."""

from dataclasses import dataclass

from bikewright.quantities import STATES


@dataclass(frozen=True, slots=True)
class Stance:
    """How a state stands."""

    front: float | None
    """Share of fork travel used; None: the stated sag."""
    rear: float | None
    """Share of shock stroke used, 0 or 1; None: the stated sag."""
    loaded: bool
    """Whether the tyres carry a rider."""


STANCES: dict[str, Stance] = {
    "table": Stance(0.0, 0.0, loaded=False),
    "stated-sag": Stance(None, None, loaded=True),
    "front-bottomed": Stance(1.0, 0.0, loaded=True),
    "rear-bottomed": Stance(0.0, 1.0, loaded=True),
    "both-bottomed": Stance(1.0, 1.0, loaded=True),
}
"""Every state of `bikewright.quantities.STATES`."""

assert STANCES.keys() == STATES.keys()

"""Coil springs over the stroke of a fork or shock: rate, preload, progression, coil bind.

Question answered   How hard does this coil push back at this stroke, and does it bind before the stroke ends?
Method              Linear coil F = k (x + p); a progressive coil's rate rises linearly with its compression.
Axes and signs      As in `curve`; preload is how far the coil is compressed at full extension, never negative.
Left out            Surge, rubbing of the coil on its body, a coil that is loose at full extension.
Theory              docs/theory/springs.md
"""

from dataclasses import dataclass

from bikewright.errors import LimitExceeded, OutsideValidity
from bikewright.physics.kernels.spring import COIL
from bikewright.physics.springs.curve import SpringCurve
from bikewright.units import MM, N_PER_MM


@dataclass(frozen=True, kw_only=True)
class CoilSpring(SpringCurve):
    """A coil as it is built in. Made by `coil_spring`, which checks it."""

    coil_rate: float
    """Rate of the coil at its free length; a measured one before a printed one [N/m]."""
    stroke: float
    """Full stroke of the fork or shock [m]."""
    preload: float = 0.0
    """Compression of the coil at full extension [m]."""
    growth: float = 0.0
    """Growth of the rate per compression of the coil; zero for a linear coil [N/m²]."""
    stroke_to_bind: float | None = None
    """Compression of the coil from its free length until its turns touch; None where unknown [m]."""

    @property
    def bind_margin(self) -> float | None:
        """Compression left at full stroke before the turns touch; None where the stroke to bind is unknown [m]."""
        return None if self.stroke_to_bind is None else self.stroke_to_bind - self.stroke - self.preload

    def numbers(self) -> tuple[tuple[float, ...], ...]:
        """Rate, growth and preload, for the kernel.

        Returns
        -------
        tuple of tuple
            One part. [N/m, N/m², m]
        """
        return ((COIL, self.coil_rate, self.growth, self.preload),)


def coil_spring(
    rate: float,
    stroke: float,
    *,
    preload: float = 0.0,
    end_rate: float | None = None,
    stroke_to_bind: float | None = None,
) -> CoilSpring:
    """A coil in a fork or shock.

    Parameters
    ----------
    rate : float
        Rate of the coil: measured where it is known, printed otherwise. [N/m]
    stroke : float
        Full stroke of the fork or shock. [m]
    preload : float
        Compression of the coil at full extension, as from `preload_from_turns`. [m]
    end_rate : float, optional
        For a progressive coil: its rate when compressed by the full stroke from its free length. [N/m]
    stroke_to_bind : float, optional
        Compression from the free length until the turns touch; unknown: not checked. [m]

    Returns
    -------
    CoilSpring

    Raises
    ------
    OutsideValidity
        If a rate or the stroke is not positive, or the preload is negative.
    LimitExceeded
        If the coil binds before the end of the stroke: says by how much.

    Notes
    -----
    A progressive coil is taken to stiffen evenly: k(y) = k0 + (k1 - k0) y/s with y the compression from its free length
    and s the full stroke. With preload the rate at the end of the stroke is therefore a little above `end_rate`.
    """
    for what, found in (("rate", rate), ("end rate", rate if end_rate is None else end_rate)):
        if not found > 0.0:
            raise OutsideValidity(f"a coil {what} of {found / N_PER_MM:.3g} N/mm is no spring; give one above 0")
    if not stroke > 0.0:
        raise OutsideValidity(f"a stroke of {stroke / MM:.1f} mm is no stroke; give one above 0 mm")
    if not preload >= 0.0:
        raise OutsideValidity(
            f"a preload of {preload / MM:.2f} mm would leave the coil loose; give 0 mm or more, or another coil"
        )
    growth = 0.0 if end_rate is None else (end_rate - rate) / stroke
    # Written so that preload cannot turn a falling rate negative unseen.
    if not rate + growth * (stroke + preload) > 0.0:
        raise OutsideValidity("the coil's rate would fall to nothing within stroke and preload; check its end rate")
    coil = CoilSpring(coil_rate=rate, stroke=stroke, preload=preload, growth=growth, stroke_to_bind=stroke_to_bind)
    margin = coil.bind_margin
    if margin is not None and margin < -1e-12:
        raise LimitExceeded(
            f"the coil binds {-margin / MM:.1f} mm before the stroke ends: {stroke / MM:.1f} mm of stroke and "
            f"{preload / MM:.1f} mm of preload, but {(margin + stroke + preload) / MM:.1f} mm to coil bind. "
            "Take preload off, or fit a coil with a longer stroke"
        )
    return coil


def preload_from_turns(turns: float, per_turn: float) -> float:
    """Preload from the turns of the collar.

    Parameters
    ----------
    turns : float
        Turns from where the collar touches the coil. [turns]
    per_turn : float
        Pitch of the collar's thread. [m]

    Returns
    -------
    float
        Compression of the coil at full extension. [m]
    """
    return turns * per_turn

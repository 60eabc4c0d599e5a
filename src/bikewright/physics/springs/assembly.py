"""The spring side of a fork or shock as assembled: main spring, bumper and top-out spring as one curve.

Question answered   What does the whole spring side do over its stroke?
Method              Sum of the forces, rates and energies of its parts.
Axes and signs      As in `curve`. A fork's stroke runs along the steering axis.
Left out            Friction (see `friction`), the damper's gas pressure on its shaft unless given as a part.
Theory              docs/theory/springs.md
"""

from dataclasses import dataclass

from bikewright.errors import OutsideValidity
from bikewright.physics.springs.bumper import Bumper, TopOut
from bikewright.physics.springs.curve import SpringCurve
from bikewright.units import MM


@dataclass(frozen=True, kw_only=True)
class Assembly(SpringCurve):
    """Springs that share one shaft. Made by `assemble`."""

    parts: tuple[SpringCurve, ...]
    """Main spring first."""
    stroke: float
    """Full stroke [m]."""

    @property
    def energy_to_bottom(self) -> float:
        """Energy from full extension to full stroke [J]."""
        return float(self.energy(self.stroke))

    def numbers(self) -> tuple[tuple[float, ...], ...]:
        """All parts, for the kernel, which adds them up.

        Returns
        -------
        tuple of tuple
            [m, N and their products]
        """
        return tuple(told for part in self.parts for told in part.numbers())

    def _refuse_swept(self, stroke: float) -> None:
        for part in self.parts:
            part._refuse_swept(stroke)


def assemble(
    main: SpringCurve,
    stroke: float,
    *,
    bumper: Bumper | None = None,
    top_out: TopOut | None = None,
    others: tuple[SpringCurve, ...] = (),
) -> Assembly:
    """One curve of everything that acts on a shaft.

    Parameters
    ----------
    main : SpringCurve
        Coil, or air with its negative chamber and lower legs.
    stroke : float
        Full stroke. [m]
    bumper : Bumper, optional
        At its place in the stroke.
    top_out : TopOut, optional
        At full extension.
    others : tuple of SpringCurve
        What else acts, such as the air in the lower legs of a fork with a coil.

    Returns
    -------
    Assembly

    Raises
    ------
    OutsideValidity
        If the table of the bumper ends before the stroke does, or the top-out spring is longer than the stroke.
    """
    if not stroke > 0.0:
        raise OutsideValidity(f"a stroke of {stroke / MM:.1f} mm is no stroke; give one above 0 mm")
    if bumper is not None and stroke - bumper.contact > bumper.reach + 1e-9:
        raise OutsideValidity(
            f"the bumper is pressed by {(stroke - bumper.contact) / MM:.1f} mm at full stroke, but its table ends at "
            f"{bumper.reach / MM:.1f} mm. Measure it further, or correct where it touches"
        )
    if top_out is not None and top_out.length > stroke:
        raise OutsideValidity(
            f"a top-out spring that acts over {top_out.length / MM:.1f} mm is longer than the stroke of "
            f"{stroke / MM:.1f} mm"
        )
    ends = tuple(part for part in (bumper, top_out) if part is not None)
    return Assembly(parts=(main, *ends, *others), stroke=float(stroke))

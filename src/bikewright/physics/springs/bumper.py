"""Bumpers and top-out springs: what pushes back at the two ends of the stroke.

Question answered   How hard does the bumper push in the last millimetres, and the top-out spring in the first?
Method              A table of the bumper, joined by a monotone cubic whose coefficients and energies are worked out
                    once; a linear top-out spring.
Axes and signs      As in `curve`: a bumper's force extends, a top-out spring's force compresses and is negative.
Left out            Set and rate-dependence of rubber, temperature.
Theory              docs/theory/springs.md
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from bikewright.errors import OutsideValidity
from bikewright.physics.kernels.spring import TABLE, TOP_OUT
from bikewright.physics.springs.curve import SpringCurve
from bikewright.units import MM, N_PER_MM


@dataclass(frozen=True, kw_only=True)
class Bumper(SpringCurve):
    """A bumper at its place in the stroke. Made by `bumper`.

    Past the last row the force goes on straight with the last slope, so that a solver that oversteps is led back.
    """

    contact: float
    """Stroke at which it touches [m]."""
    knots: tuple[float, ...]
    """Compressions of the table, from 0 [m]."""
    pieces: tuple[tuple[float, float, float, float], ...]
    """Coefficients of each cubic, constant first, from its own knot; one more, straight, for beyond the table.
    [N, N/m, N/m², N/m³]"""
    energies: tuple[float, ...]
    """Energy at each knot [J]."""

    @property
    def reach(self) -> float:
        """Compression at the last row of the table [m]."""
        return self.knots[-1]

    def numbers(self) -> tuple[tuple[float, ...], ...]:
        """Place and table, for the kernel.

        Returns
        -------
        tuple of tuple
            One part. [m, N, J]
        """
        rows = zip(self.knots, self.pieces, self.energies, strict=True)
        return ((TABLE, self.contact, *(value for knot, piece, stored in rows for value in (knot, *piece, stored))),)


def bumper(contact: float, compression: Sequence[float], force: Sequence[float]) -> Bumper:
    """A bumper from its measured table.

    Parameters
    ----------
    contact : float
        Stroke at which it touches. [m]
    compression : sequence of float
        Compressions of the bumper, strictly rising from 0. [m]
    force : sequence of float
        Force at each, from 0, never falling. [N]

    Returns
    -------
    Bumper

    Raises
    ------
    OutsideValidity
        If the table does not start at nothing, or does not rise.

    Notes
    -----
    Monotone cubic of F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17:238-246, 1980, with the slopes of
    F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5:300-304, 1984 (both from memory): a weighted harmonic
    mean of the neighbouring slopes. The force never dips between two rows.
    """
    knots, forces = tuple(float(x) for x in compression), tuple(float(f) for f in force)
    _check(contact, knots, forces)
    slopes = _monotone_slopes(knots, forces)
    pieces, energies = [], [0.0]
    for i, (x0, x1) in enumerate(pairwise(knots)):
        h = x1 - x0
        chord, left, right = (forces[i + 1] - forces[i]) / h, slopes[i], slopes[i + 1]
        piece = (forces[i], left, (3.0 * chord - 2.0 * left - right) / h, (left + right - 2.0 * chord) / (h * h))
        pieces.append(piece)
        a, b, c, d = piece
        energies.append(energies[-1] + h * (a + h * (b / 2.0 + h * (c / 3.0 + h * d / 4.0))))
    pieces.append((forces[-1], slopes[-1], 0.0, 0.0))
    return Bumper(contact=float(contact), knots=knots, pieces=tuple(pieces), energies=tuple(energies))


def _check(contact: float, knots: tuple[float, ...], forces: tuple[float, ...]) -> None:
    if not contact >= 0.0:
        raise OutsideValidity(f"a bumper cannot touch at {contact / MM:.1f} mm of stroke; give 0 mm or more")
    if len(knots) != len(forces) or len(knots) < 2:
        raise OutsideValidity(
            f"a bumper table needs two rows or more, each with both values; found {len(knots)} compressions and "
            f"{len(forces)} forces"
        )
    if knots[0] != 0.0 or forces[0] != 0.0:
        raise OutsideValidity(
            f"a bumper table starts with 0 N at 0 mm; found {forces[0]:.1f} N at {knots[0] / MM:.2f} mm. Add that row"
        )
    for i in range(1, len(knots)):
        if not (knots[i] > knots[i - 1] and forces[i] >= forces[i - 1]):
            raise OutsideValidity(
                f"row {i + 1} of the bumper table, {forces[i]:.1f} N at {knots[i] / MM:.2f} mm, does not rise above "
                f"the row before, {forces[i - 1]:.1f} N at {knots[i - 1] / MM:.2f} mm. Sort or correct the rows"
            )


def _monotone_slopes(knots: Sequence[float], forces: Sequence[float]) -> list[float]:
    """Slopes at the rows that keep the cubics from overshooting [N/m]."""
    widths = [x1 - x0 for x0, x1 in pairwise(knots)]
    chords = [(f1 - f0) / h for (f0, f1), h in zip(pairwise(forces), widths, strict=True)]
    if len(chords) == 1:
        return [chords[0], chords[0]]
    slopes = [_end_slope(widths[0], widths[1], chords[0], chords[1])]
    for i in range(1, len(chords)):
        before, after = chords[i - 1], chords[i]
        heavy, light = 2.0 * widths[i] + widths[i - 1], widths[i] + 2.0 * widths[i - 1]
        level = before == 0.0 or after == 0.0
        slopes.append(0.0 if level else (heavy + light) / (heavy / before + light / after))
    return [*slopes, _end_slope(widths[-1], widths[-2], chords[-1], chords[-2])]


def _end_slope(width: float, next_width: float, chord: float, next_chord: float) -> float:
    """Slope of the parabola through three rows at the outer one, not negative, since the rows rise [N/m]."""
    return max(((2.0 * width + next_width) * chord - width * next_chord) / (width + next_width), 0.0)


@dataclass(frozen=True, kw_only=True)
class TopOut(SpringCurve):
    """A spring that softens the end of the extension: it pulls the shaft in over the first of the stroke."""

    topout_rate: float
    """[N/m]"""
    length: float
    """Stroke at which it lets go [m]."""

    def __post_init__(self) -> None:
        if not (self.topout_rate >= 0.0 and self.length >= 0.0):
            raise OutsideValidity(
                f"a top-out spring of {self.topout_rate / N_PER_MM:.3g} N/mm over {self.length / MM:.1f} mm; neither "
                "may be negative"
            )

    def numbers(self) -> tuple[tuple[float, ...], ...]:
        """Rate and length, for the kernel.

        Returns
        -------
        tuple of tuple
            One part. [N/m, m]
        """
        return ((TOP_OUT, self.topout_rate, self.length),)

"""How leverage and axle path answer to every pivot.

Question answered   What does moving a drawn pin by a little, on one body or on all, do to the axle and to the leverage
                    ratio at each position?
Method              The operations of the sweep run backwards (implicit adjoint): exact, no differences.
Axes and signs      Derivative with respect to the drawn (x, z) of a mark, at held shock lengths.
Left out            The shock's own drawn length: the shock's marks have no influence while its lengths are held.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bikewright.physics.kernels.compile import fastest
from bikewright.physics.linkage.curve import frozen
from bikewright.physics.linkage.layout import Layout
from bikewright.physics.linkage.motion import Motion
from bikewright.physics.linkage.plan import compile_plan

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Sensitivity:
    """Derivatives with respect to the drawn place of every mark, (n, n_marks, 2), at held shock lengths."""

    layout: Layout
    """Bodies and pins; rows of the second axis follow `layout.marks`."""
    axle_x: Floats
    """Of the axle's x. [-]"""
    axle_z: Floats
    """Of the axle's z. [-]"""
    wheel_travel: Floats
    """Of the axle's height above its place at the first position. [-]"""
    leverage_ratio: Floats
    """Of the leverage ratio. [1/m]"""

    def for_pin(self, values: Floats, pin: str) -> Floats:
        """One of the arrays above for a pin moved on all its bodies: the sum over its marks.

        Parameters
        ----------
        values : ndarray, shape (n, n_marks, 2)
            One of the arrays above. [its unit]
        pin : str
            The pin.

        Returns
        -------
        ndarray, shape (n, 2)
            [the same unit]
        """
        chosen = [self.layout.mark(pin, body) for body in self.layout.pins[self.layout.pin(pin)].joins]
        return np.asarray(values[:, chosen].sum(axis=1))

    def for_mark(self, values: Floats, pin: str, body: str) -> Floats:
        """One of the arrays above for a pin moved on one body only, as a flip chip does.

        Parameters
        ----------
        values : ndarray, shape (n, n_marks, 2)
            One of the arrays above. [its unit]
        pin, body : str
            The pin, and the body on which it moves.

        Returns
        -------
        ndarray, shape (n, 2)
            [the same unit]
        """
        return np.asarray(values[:, self.layout.mark(pin, body)])


def sensitivities(motion: Motion) -> Sensitivity:
    r"""Exact derivatives of axle path and leverage ratio with respect to every drawn place.

    Parameters
    ----------
    motion : Motion
        From `solve_motion`.

    Returns
    -------
    Sensitivity

    Notes
    -----
    A pin P on two links with the other ends Q and R satisfies :math:`A\,\dot P = b` with the rows of A the links. The
    bar of the velocity gives :math:`\lambda = A^{-T}\bar{\dot P}`, which is passed to the ends and to the bar of the
    place, and that :math:`\mu = A^{-T}\bar P`, which is passed to ends and radii (adjoint of an implicit equation).
    """
    plan = compile_plan(motion.layout)
    axle, n = motion.layout.axle, len(motion.shock_length)
    points = np.ascontiguousarray(np.stack([motion.points, motion.velocity]).transpose(0, 2, 3, 1))[None]
    seeds = np.array([(axle, 0, 0), (axle, 1, 0), (axle, 1, 1)], dtype=np.int64)
    grad = np.empty((1, 3, len(motion.layout.marks), 2, n))
    fastest("linkage_adjoint.gradient")(
        plan.ops,
        plan.rows,
        plan.slot,
        plan.fixed,
        motion.marks[None].copy(),
        motion.shock_length[None].copy(),
        points,
        seeds,
        grad,
    )
    x, z, ratio = (grad[0, s].transpose(2, 0, 1) for s in range(3))
    return Sensitivity(
        layout=motion.layout,
        axle_x=frozen(x),
        axle_z=frozen(z),
        wheel_travel=frozen(z - z[0]),
        leverage_ratio=frozen(ratio),
    )

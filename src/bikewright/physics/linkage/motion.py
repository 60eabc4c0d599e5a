"""Where every pin goes as the shock closes.

Question answered   At each length of the shock: where is each pin, and how fast and with what curvature does it move?
Method              A plan of circle intersections and rigid maps (or one Newton group), run at every length; velocity
                    and second derivative from the exact linear equations. The side on which two links meet is the side
                    of the drawing and stays so.
Axes and signs      (x, z) in frame axes, x forward, z up; angles anticlockwise; derivatives with respect to shock
                    compression, positive as the shock closes.
Left out            Play and flex in pivots, friction, links out of the plane.
Theory              docs/theory/linkage.md
"""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bikewright.physics.linkage.curve import Curve, frozen, sealed
from bikewright.physics.linkage.layout import Layout
from bikewright.physics.linkage.plan import compile_plan
from bikewright.physics.linkage.run import checked_input, sweep
from bikewright.physics.linkage.stops import hidden_stop, stop_error, where_it_stops

if TYPE_CHECKING:
    from bikewright.physics.linkage.bodies import BodyMotion

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Motion:
    """A linkage followed through a list of shock lengths. Arrays are read-only; positions are the first axis."""

    layout: Layout
    """Bodies and pins."""
    marks: Floats
    """Drawn places (n_marks, 2). [m]"""
    shock_length: Floats
    """Pin-to-pin length of the shock, falling (n,). [m]"""
    points: Floats
    """Places of the pins (n, n_pins, 2). [m]"""
    velocity: Floats
    """First derivative of `points` with respect to compression (n, n_pins, 2). [-]"""
    acceleration: Floats
    """Second derivative of `points` with respect to compression (n, n_pins, 2). [1/m]"""
    margin: Floats
    """Smallest sine of the angle between two links that place a pin; of a Newton group its determinant (n,). [-]"""

    @cached_property
    def turns(self) -> "dict[str, BodyMotion]":
        """How each body turns, as far as `body_motion` was asked."""
        return {}

    @cached_property
    def stroke(self) -> Floats:
        """Compression of the shock from the first position (n,). [m]"""
        return sealed(self.shock_length[0] - self.shock_length)

    @cached_property
    def axle(self) -> Floats:
        """Place of the wheel axle (n, 2). [m]"""
        return frozen(self.points[:, self.layout.axle])

    @cached_property
    def axle_velocity(self) -> Floats:
        """Derivative of the axle's place with respect to compression (n, 2). [-]"""
        return frozen(self.velocity[:, self.layout.axle])

    @cached_property
    def axle_acceleration(self) -> Floats:
        """Second derivative of the axle's place with respect to compression (n, 2). [1/m]"""
        return frozen(self.acceleration[:, self.layout.axle])

    @cached_property
    def wheel_travel(self) -> Floats:
        """Height of the axle above its place at the first position (n,). [m]"""
        return sealed(self.axle[:, 1] - self.axle[0, 1])

    @cached_property
    def leverage_ratio(self) -> Floats:
        """d(wheel travel)/d(shock compression) (n,). [-]"""
        return frozen(self.axle_velocity[:, 1])

    @cached_property
    def leverage_slope(self) -> Floats:
        """Exact derivative of the leverage ratio with respect to wheel travel (n,). [1/m]"""
        return sealed(self.axle_acceleration[:, 1] / self.axle_velocity[:, 1])

    @cached_property
    def leverage(self) -> Curve:
        """Leverage ratio [-] over wheel travel [m]."""
        return Curve(self.wheel_travel, self.leverage_ratio, self.leverage_slope)

    @cached_property
    def stroke_curve(self) -> Curve:
        """Shock compression [m] over wheel travel [m]; its slope is 1/leverage."""
        return Curve(self.wheel_travel, self.stroke, sealed(1.0 / self.leverage_ratio))

    @cached_property
    def travel_curve(self) -> Curve:
        """Wheel travel [m] over shock compression [m]; its slope is the leverage ratio."""
        return Curve(self.stroke, self.wheel_travel, self.leverage_ratio)

    @cached_property
    def axle_x(self) -> Curve:
        """Axle's place along x [m] over wheel travel [m]."""
        return Curve(self.wheel_travel, frozen(self.axle[:, 0]), sealed(self.axle_velocity[:, 0] / self.leverage_ratio))

    def stroke_at_travel(self, wheel_travel: ArrayLike) -> Floats:
        """Shock compression at a wheel travel inside the motion.

        Parameters
        ----------
        wheel_travel : array_like
            Height of the axle above its place at the first position. [m]

        Returns
        -------
        ndarray
            Compression from the first position. [m]

        Raises
        ------
        OutsideValidity
            If a travel lies outside the motion.
        """
        return self.stroke_curve.at(wheel_travel)

    def travel_at_stroke(self, stroke: ArrayLike) -> Floats:
        """Wheel travel at a shock compression inside the motion.

        Parameters
        ----------
        stroke : array_like
            Compression from the first position. [m]

        Returns
        -------
        ndarray
            Height of the axle above its place at the first position. [m]

        Raises
        ------
        OutsideValidity
            If a stroke lies outside the motion.
        """
        return self.travel_curve.at(stroke)

    def point(self, pin: str) -> Floats:
        """Path of one pin (n, 2). [m]"""
        return self.points[:, self.layout.pin(pin)]


def solve_motion(layout: Layout, marks: ArrayLike, shock_lengths: ArrayLike) -> Motion:
    r"""Follow a linkage through a list of shock lengths.

    Parameters
    ----------
    layout : Layout
        Bodies and pins.
    marks : array_like, shape (n_marks, 2)
        Drawn place of each pin on each body, in frame axes. [m]
    shock_lengths : array_like, shape (n,)
        Pin-to-pin lengths of the shock, falling from full extension. Another shock or a stroke reducer is another list.
        [m]

    Returns
    -------
    Motion
        Places, exact derivatives and margins at every length.

    Raises
    ------
    LinkageNotMobile
        If the layout leaves anything but the shock's length free.
    LinkageDoesNotClose
        If two links do not reach each other at one of the lengths; says where, to 0.001 mm of stroke.
    LinkageAtDeadPoint
        If two links are in one line, or the wheel stops rising, at or before one of the lengths; says where.
    SolverDidNotSettle
        If Newton's method stops short on a layout that needs it, away from any dead point.

    Notes
    -----
    For a pin P on two links with the other ends Q and R,

    .. math:: (P-Q)\cdot(\dot P-\dot Q) = r\,\dot r,\qquad
              (P-Q)\cdot(\ddot P-\ddot Q) = r\,\ddot r + \dot r^2 - |\dot P-\dot Q|^2,

    and the same for R, with the rate of the shock's length -1 and of every other length 0.
    """
    at, lengths = checked_input(layout, marks, shock_lengths)
    plan = compile_plan(layout)
    raw = sweep(plan, at[None], lengths)
    # The kernel keeps positions last so that the compiled loops run along memory, and so do NumPy's on these views.
    places, velocity, acceleration = (sealed(raw.points[0, k].transpose(2, 0, 1)) for k in range(3))
    rising = velocity[:, layout.axle, 1]
    if raw.status[0, -1] != 0 or not (rising > 0.0).all():
        raise stop_error(where_it_stops(plan, at, lengths))
    between = hidden_stop(plan, at, lengths, raw.margin[0], rising)
    if between is not None:
        raise stop_error(where_it_stops(plan, at, between))
    return Motion(
        layout=layout,
        marks=sealed(at),
        shock_length=sealed(lengths),
        points=places,
        velocity=velocity,
        acceleration=acceleration,
        margin=sealed(raw.margin[0]),
    )


def solve_at(motion: Motion, strokes: ArrayLike) -> Motion:
    """The same linkage solved at strokes of choice, as for a value at sag, which is solved and not interpolated.

    Parameters
    ----------
    motion : Motion
        From `solve_motion`; gives linkage and full extension.
    strokes : array_like, shape (m,)
        Compressions from its first position, rising and above zero. [m]

    Returns
    -------
    Motion
        First row at full extension, so that wheel travel counts from there; then one row for each stroke.

    Raises
    ------
    LinkageError
        As `solve_motion`, and if the strokes do not rise from above zero.
    """
    asked = np.atleast_1d(np.asarray(strokes, dtype=np.float64))
    lengths = float(motion.shock_length[0]) - np.concatenate([[0.0], asked])
    return solve_motion(motion.layout, motion.marks, lengths)

"""Geometry on the ground: where the axles are, how the frame sits on its tyres, and every number of the chart.

Question answered   What head angle, seat angle, reach, trail, bottom-bracket height ... does this build have?
Method              The frame is a set of rigid points, the steering axis places the front axle, and the frame is turned
                    until both tyres touch flat ground. Closed form throughout.
Axes and signs      Frame axes: origin at the bottom-bracket centre, x forward, z up, x parallel to the ground in the
                    datum build. Ground axes: origin on the ground below the bottom bracket, x along the ground, z up.
                    Pitch is positive nose up. Head and seat angles are counted as the trade does: between the axis,
                    which leans back going up, and the ground, so nose up makes them smaller.
Left out            Flex, tyre squash beyond the radii given, the width of the tyre, a curved or stepped ground. On a
                    grade the angles are to that grade, not to the horizon.
Theory              docs/theory/geometry.md
"""

import math
from dataclasses import dataclass

import numpy as np

from bikewright.errors import OutsideValidity
from bikewright.physics.kernels.plane import tangent_below
from bikewright.physics.plane import Number, Pair, Point, bearing, distance, rotate
from bikewright.physics.steering import Fork, Headset, HeadTube, front_axle, steering_axis, trail
from bikewright.units import MM


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatTube:
    """The seat-tube axis in the frame."""

    angle: float
    """Of the axis, frame axes [rad]."""
    setback: float | None = 0.0
    """Horizontal distance from the bottom bracket back to where the axis passes its height, frame axes; negative
    where the axis passes ahead of it; None is unknown [m]."""
    virtual: bool = False
    """True where only an effective angle is known: the line then is that from the bottom bracket to the point of the
    axis at the table's stack, and nothing is said about the tube itself."""


@dataclass(frozen=True, slots=True)
class Attitude:
    """How the frame stands on the ground. Fields are floats, or arrays over many states."""

    pitch: Number
    """Turn of the frame from its datum attitude, positive nose up [rad]."""
    sine: Number
    """Of the pitch [-]."""
    cosine: Number
    """Of the pitch [-]."""
    bb_height: Number
    """Bottom-bracket centre above the ground [m]."""
    rear_contact: Number
    """x of the rear tyre's contact point, ground axes [m]."""
    front_contact: Number
    """x of the front tyre's contact point, ground axes [m]."""

    @property
    def wheelbase(self) -> Number:
        """Distance of the contact points, which is also the horizontal distance of the axles [m]."""
        return self.front_contact - self.rear_contact

    @property
    def ground_line(self) -> tuple[Pair, Pair]:
        """The ground in frame axes: the point below the bottom bracket [m] and the unit vector forward along it [-]."""
        return (-self.sine * self.bb_height, -self.cosine * self.bb_height), (self.cosine, -self.sine)

    def to_ground(self, point: Pair) -> Pair:
        """A point of the frame in ground axes.

        Parameters
        ----------
        point : pair
            (x, z) in frame axes, floats or arrays. [m]

        Returns
        -------
        pair
            (x, z) in ground axes. [m]
        """
        x, z = rotate(point, self.sine, self.cosine)
        return x, z + self.bb_height

    def to_frame(self, point: Pair) -> Pair:
        """A point on the ground in frame axes.

        Parameters
        ----------
        point : pair
            (x, z) in ground axes, floats or arrays. [m]

        Returns
        -------
        pair
            (x, z) in frame axes. [m]
        """
        return rotate((point[0], point[1] - self.bb_height), -self.sine, self.cosine)

    def height(self, point: Pair) -> Number:
        """Height of a point of the frame above the ground.

        Parameters
        ----------
        point : pair
            (x, z) in frame axes, floats or arrays. [m]

        Returns
        -------
        float or array
            Height, square to the ground. [m]
        """
        return point[0] * self.sine + point[1] * self.cosine + self.bb_height


@dataclass(frozen=True, slots=True)
class GroundGeometry:
    """The geometry of one build in one state. None where the frame does not say enough."""

    pitch: float
    """Positive nose up, from the datum attitude [rad]."""
    head_angle: float
    """Steering axis to ground [rad]."""
    reach: float
    """Bottom bracket forward to the steering axis at the plane of the upper head-tube face [m]."""
    stack: float
    """Bottom bracket up to the same point [m]."""
    frame_reach: float
    """Frame only: bottom bracket forward to the head-tube axis at its upper face [m]."""
    frame_stack: float
    """Frame only: up to the same point [m]."""
    seat_angle_actual: float | None
    """Of the tube itself [rad]."""
    seat_angle_effective: float | None
    """Of the line from the bottom bracket to the seat-tube axis at the height of the stack [rad]."""
    seat_angle_saddle: float | None
    """Of the line from the bottom bracket to this rider's saddle [rad]."""
    effective_top_tube: float | None
    """Horizontal, from the steering axis at the upper face back to the seat-tube axis [m]."""
    rear_centre: float
    """Bottom bracket to rear axle, direct [m]."""
    rear_centre_horizontal: float
    """The same along the ground [m]."""
    front_centre: float
    """Bottom bracket to front axle, direct [m]."""
    front_centre_horizontal: float
    """The same along the ground [m]."""
    wheelbase: float
    """Between the axles along the ground [m]."""
    bb_height: float
    """Bottom-bracket centre above the ground [m]."""
    rear_drop: float
    """Bottom bracket below the rear axle [m]."""
    front_drop: float
    """Bottom bracket below the front axle [m]."""
    trail: float
    """Front contact point behind the steering axis, along the ground [m]."""
    mechanical_trail: float
    """The same, square to the steering axis [m]."""
    wheel_flop: float
    """Trail times sine and cosine of the head angle [m]."""
    steering_ground: float
    """x of the point where the steering axis meets the ground, ground axes [m]."""
    front_axle: Point
    """In frame axes [m]."""
    rear_axle: Point
    """In frame axes [m]."""
    attitude: Attitude
    """The pose that all of this is measured in."""


def attitude(rear_axle: Pair, front_axle: Pair, rear_radius: Number, front_radius: Number) -> Attitude:
    """The attitude that puts both tyres on flat ground.

    Parameters
    ----------
    rear_axle, front_axle : pair
        (x, z) in frame axes, floats or arrays of one shape. [m]
    rear_radius, front_radius : float or array
        Axle to ground: the tyre's radius, loaded or not. [m]

    Returns
    -------
    Attitude
        One, or arrays of them. [rad, m]

    Raises
    ------
    OutsideValidity
        If the wheels overlap, the front axle is not ahead of the rear one, or a value is not a number.

    Notes
    -----
    The ground is the lower common tangent of the two tyres. With d the distance of the axles and e the bearing of
    the front axle seen from the rear one, ``sin(pitch + e) = (front_radius - rear_radius)/d``. Sine and cosine of the
    pitch follow from this by roots alone, so that arrays and floats go through the same lines.
    """
    dx, dz = front_axle[0] - rear_axle[0], front_axle[1] - rear_axle[1]
    square = dx * dx + dz * dz
    both = rear_radius + front_radius
    possible = (dx > 0.0) & (rear_radius > 0.0) & (front_radius > 0.0) & (square > both * both) & (square < math.inf)
    if not (possible if isinstance(possible, bool) else possible.all()):
        _refuse_wheels(dx, dz, rear_radius, front_radius)
    sine, cosine, run = tangent_below(dx, dz, rear_radius, front_radius)
    rear = rotate(rear_axle, sine, cosine)
    return Attitude(bearing(cosine, sine), sine, cosine, rear_radius - rear[1], rear[0], rear[0] + run)


def _refuse_wheels(dx: Number, dz: Number, rear_radius: Number, front_radius: Number) -> None:
    """Say which of many states cannot stand on the ground."""
    dx, dz, rear, front = (np.ravel(a) for a in np.broadcast_arrays(dx, dz, rear_radius, front_radius))
    far = np.hypot(dx, dz)
    wrong = int(np.argmin((dx > 0.0) & (rear > 0.0) & (front > 0.0) & (far > rear + front) & np.isfinite(far)))
    raise OutsideValidity(
        f"the bike cannot stand on its tyres: the front axle is {dx[wrong] / MM:.1f} mm ahead of the rear axle and "
        f"{far[wrong] / MM:.1f} mm from it, the tyres have radii of {rear[wrong] / MM:.1f} mm behind and "
        f"{front[wrong] / MM:.1f} mm in front; the axles must be further apart than both radii together, "
        "the front one ahead. Check rear centre, reach, fork length and tyre radii"
    )


def ground_geometry(
    head_tube: HeadTube,
    headset: Headset,
    fork: Fork,
    *,
    rear_axle: Point,
    rear_radius: float,
    front_radius: float,
    fork_travel: float = 0.0,
    seat_tube: SeatTube | None = None,
    saddle: Point | None = None,
) -> GroundGeometry:
    """Every number of the geometry chart for one build in one state.

    Parameters
    ----------
    head_tube, headset, fork : HeadTube, Headset, Fork
        What places the front axle. [m, rad]
    rear_axle : tuple of float
        (x, z) in frame axes, at the rear travel of the state. [m]
    rear_radius, front_radius : float
        Tyre radii, loaded where the state is loaded. [m]
    fork_travel : float
        Fork travel used, along the steering axis. [m]
    seat_tube : SeatTube, optional
        Unknown: the seat angles and the effective top tube are None. [rad, m]
    saddle : tuple of float, optional
        This rider's sit point in frame axes; see `bikewright.physics.cockpit.saddle_place`. [m]

    Returns
    -------
    GroundGeometry
        In the ground axes of that state. [m, rad]

    Raises
    ------
    OutsideValidity
        If the head tube has no length or the bike cannot stand on its tyres.

    Notes
    -----
    Wheel flop is b sin(HA) cos(HA) with b the trail: turned by a small angle d, with the frame held at its pitch, the
    front end sinks by flop d^2/2.
    """
    axis = steering_axis(head_tube, headset)
    front = front_axle(axis, fork, fork_travel)
    pose = attitude(rear_axle, front, rear_radius, front_radius)
    sine, cosine = pose.sine, pose.cosine
    reach, stack = rotate(axis.upper, sine, cosine)
    frame_reach, frame_stack = rotate(head_tube.upper_face, sine, cosine)
    actual, effective, seat_x = _seat_angles(seat_tube, pose, stack)
    saddle_x, saddle_z = (0.0, 0.0) if saddle is None else rotate(saddle, sine, cosine)
    ahead_x, ahead_z = rotate(axis.ahead, sine, cosine)  # sine and cosine of the head angle on the ground
    ground_trail = trail(ahead_x, ahead_z, fork.offset, front_radius)
    return GroundGeometry(
        pitch=pose.pitch,
        head_angle=axis.angle - pose.pitch,
        reach=reach,
        stack=stack,
        frame_reach=frame_reach,
        frame_stack=frame_stack,
        seat_angle_actual=actual,
        seat_angle_effective=effective,
        seat_angle_saddle=None if saddle is None else math.atan2(saddle_z, -saddle_x),
        effective_top_tube=None if seat_x is None else reach - seat_x,
        rear_centre=distance((0.0, 0.0), rear_axle),
        rear_centre_horizontal=-pose.rear_contact,
        front_centre=distance((0.0, 0.0), front),
        front_centre_horizontal=pose.front_contact,
        wheelbase=pose.wheelbase,
        bb_height=pose.bb_height,
        rear_drop=rear_radius - pose.bb_height,
        front_drop=front_radius - pose.bb_height,
        trail=ground_trail,
        mechanical_trail=ground_trail * ahead_x,
        wheel_flop=ground_trail * ahead_x * ahead_z,
        steering_ground=pose.front_contact + ground_trail,
        front_axle=front,
        rear_axle=rear_axle,
        attitude=pose,
    )


def _seat_angles(
    seat_tube: SeatTube | None, pose: Attitude, stack: float
) -> tuple[float | None, float | None, float | None]:
    """Actual and effective seat angle [rad], and x of the seat-tube axis at the height of the stack [m]."""
    if seat_tube is None:
        return None, None, None
    angle = seat_tube.angle - pose.pitch
    if seat_tube.setback is None:
        return angle, None, None
    foot_x, foot_z = -seat_tube.setback * pose.cosine, -seat_tube.setback * pose.sine
    x = foot_x - (stack - foot_z) / math.tan(angle)
    return None if seat_tube.virtual else angle, math.atan2(stack, -x), x

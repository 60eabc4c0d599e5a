"""Closing a geometry table: from printed numbers to rigid points, and what is left over.

Question answered   Which frame has exactly this geometry table, and which of its numbers contradict the others?
Method              Both tyres stand level in the datum build. Reach, stack, head angle and drop are believed exactly;
                    a closing length along the steering axis takes up what head tube, stacks and fork do not add up to.
                    What is stated beyond need is left as a residual, stated minus computed.
Axes and signs      Frame axes: origin at the bottom-bracket centre, x forward and level in the datum build, z up.
Left out            Rounding of printed numbers is not guessed at: it shows in closing and residuals.
Theory              docs/theory/table.md
"""

import math
from dataclasses import dataclass

from bikewright.errors import NotKnown, OutsideValidity
from bikewright.physics.geometry import SeatTube
from bikewright.physics.plane import Point
from bikewright.physics.steering import PLAIN_HEADSET, Fork, Headset, HeadTube
from bikewright.units import DEG, MM


@dataclass(frozen=True, slots=True, kw_only=True)
class GeometryTable:
    """One row of a geometry table and the build it was stated at. None is unknown."""

    reach: float
    """To the steering axis at the plane of the upper head-tube face [m]."""
    stack: float
    """To the same point [m]."""
    head_angle: float
    """Of the steering axis [rad]."""
    axle_to_crown: float
    """Of the fork it was stated at, extended, parallel to the steering axis [m]."""
    front_radius: float
    """Nominal tyre radius [m]."""
    rear_radius: float
    """Nominal tyre radius [m]."""
    headset: Headset = PLAIN_HEADSET
    """Of the build it was stated at [m]."""
    fork_offset: float | None = None
    """Unknown: solved from the wheelbase [m]."""
    head_tube: float | None = None
    """Length; unknown: derived with a closing of zero [m]."""
    rear_axle: Point | None = None
    """From a linkage drawing, frame axes; believed before rear centre and drop [m]."""
    rear_centre: float | None = None
    """Bottom bracket to rear axle, direct [m]."""
    bb_drop: float | None = None
    """Bottom bracket below the rear axle [m]."""
    bb_height: float | None = None
    """Bottom bracket above the ground, used where neither a drawing nor the drop is given [m]."""
    wheelbase: float | None = None
    """[m]"""
    seat_angle_effective: float | None = None
    """At the height of the stack [rad]."""
    seat_angle_actual: float | None = None
    """Of the tube [rad]."""
    seat_setback: float | None = None
    """Seat-tube axis behind the bottom bracket at its height, as in `SeatTube` [m]."""


@dataclass(frozen=True, slots=True)
class ClosedTable:
    """The frame that a table describes, and what did not close."""

    head_tube: HeadTube
    """With its closing length [m, rad]."""
    fork: Fork
    """Of the datum build [m]."""
    headset: Headset
    """Of the datum build [m]."""
    seat_tube: SeatTube | None
    """None where the table says nothing about it [m, rad]."""
    rear_axle: Point
    """Suspension extended, frame axes [m]."""
    front_axle: Point
    """Of the datum build, frame axes [m]."""
    wheelbase: float
    """Computed [m]."""
    head_tube_derived: bool
    """True where the head-tube length was unknown and follows from the rest."""
    fork_offset_derived: bool
    """True where the fork offset was unknown and follows from the wheelbase."""
    rear_centre_derived: bool
    """True where the rear centre was unknown and follows from the wheelbase."""
    wheelbase_residual: float | None
    """Stated minus computed; None where not stated or used up by something derived [m]."""
    rear_centre_residual: float | None
    """Stated minus drawn; None unless both are given [m]."""
    drop_residual: float | None
    """Stated minus drawn; None unless both are given [m]."""
    bb_height_residual: float | None
    """Stated minus computed; None where not stated or used [m]."""
    seat_angle_residual: float | None
    """Effective angle, stated minus the one of tube angle and setback; None unless all three are given [rad]."""

    @property
    def closing_residual(self) -> float:
        """Head tube, lower stack and fork as stated, less the length along the steering axis that reach, stack, head
        angle, drop and radii ask for. The frame makes it good with the opposite ``head_tube.closing`` [m]."""
        return -self.head_tube.closing


def close_table(table: GeometryTable) -> ClosedTable:
    """The frame whose geometry is a table's.

    Parameters
    ----------
    table : GeometryTable
        What is printed, and the fork, headset and tyres it was printed for. [m, rad]

    Returns
    -------
    ClosedTable
        Rigid points, closing and residuals. [m, rad]

    Raises
    ------
    NotKnown
        If too little is given to place an axle.
    OutsideValidity
        If the numbers contradict each other beyond what a closing length can mean.

    Notes
    -----
    With s and c sine and cosine of the head angle, z the front axle's height above the bottom bracket and f the fork
    offset, the axle's foot on the steering axis lies ``t = (stack - z + f c)/s`` below the upper face. Then
    ``closing = t - hypot(head tube, difference of the offsets) - lower stack - axle to crown``. A wheelbase that
    puts the front axle at x gives an unknown offset as ``f = (x - reach) s - (stack - z) c``.
    """
    if not 0.0 < table.head_angle < math.pi / 2:
        raise OutsideValidity(f"a head angle of {table.head_angle / DEG:.2f} degrees is not between 0 and 90")
    rear_x, rear_z, front_x, front_z, offset = _axles(table)
    drawn = table.rear_axle is not None
    rear_centre_derived = not drawn and table.rear_centre is None
    used_height = not drawn and table.bb_drop is None
    spare_wheelbase = not rear_centre_derived and table.fork_offset is not None
    effective = _effective(table)
    return ClosedTable(
        head_tube=_head_tube(table, _axis_length(table, front_z, offset)),
        fork=Fork(axle_to_crown=table.axle_to_crown, offset=offset),
        headset=table.headset,
        seat_tube=_seat_tube(table),
        rear_axle=(rear_x, rear_z),
        front_axle=(front_x, front_z),
        wheelbase=front_x - rear_x,
        head_tube_derived=table.head_tube is None,
        fork_offset_derived=table.fork_offset is None,
        rear_centre_derived=rear_centre_derived,
        wheelbase_residual=_over(table.wheelbase, front_x - rear_x) if spare_wheelbase else None,
        rear_centre_residual=_over(table.rear_centre, math.hypot(rear_x, rear_z)) if drawn else None,
        drop_residual=_over(table.bb_drop, rear_z) if drawn else None,
        bb_height_residual=None if used_height else _over(table.bb_height, table.rear_radius - rear_z),
        seat_angle_residual=None if effective is None else _over(table.seat_angle_effective, effective),
    )


def _axles(table: GeometryTable) -> tuple[float, float, float, float, float]:
    """Rear axle x and z, front axle x and z, and the fork offset: each stated, or solved from the wheelbase [m]."""
    rear_z = _rear_drop(table)
    rear_x = _rear_x(table, rear_z)
    front_z = rear_z - table.rear_radius + table.front_radius
    sine, cosine = math.sin(table.head_angle), math.cos(table.head_angle)
    offset = table.fork_offset
    if offset is None:
        if table.wheelbase is None or rear_x is None:
            raise NotKnown(
                "the front axle cannot be placed; give the fork offset, or the wheelbase and the rear centre"
            )
        front_x = rear_x + table.wheelbase
        offset = (front_x - table.reach) * sine - (table.stack - front_z) * cosine
        return rear_x, rear_z, front_x, front_z, offset
    front_x = table.reach + _axis_length(table, front_z, offset) * cosine + offset * sine
    if rear_x is None:
        if table.wheelbase is None:
            raise NotKnown("the rear axle cannot be placed; give the rear centre, the wheelbase or a linkage drawing")
        rear_x = front_x - table.wheelbase
    return rear_x, rear_z, front_x, front_z, offset


def _axis_length(table: GeometryTable, front_z: float, offset: float) -> float:
    """From the steering axis' upper point down to the foot of the front axle on it [m]."""
    return (table.stack - front_z + offset * math.cos(table.head_angle)) / math.sin(table.head_angle)


def _over(stated: float | None, computed: float) -> float | None:
    """Stated minus computed, where something is stated."""
    return None if stated is None else stated - computed


def _rear_drop(table: GeometryTable) -> float:
    """Height of the rear axle above the bottom bracket [m]."""
    if table.rear_axle is not None:
        return table.rear_axle[1]
    if table.bb_drop is not None:
        return table.bb_drop
    if table.bb_height is not None:
        return table.rear_radius - table.bb_height
    raise NotKnown("the height of the bottom bracket is not known; give its drop, its height or a linkage drawing")


def _rear_x(table: GeometryTable, rear_z: float) -> float | None:
    """x of the rear axle, or None where only the wheelbase can tell [m]."""
    if table.rear_axle is not None:
        return table.rear_axle[0]
    if table.rear_centre is None:
        return None
    if not table.rear_centre > abs(rear_z):
        raise OutsideValidity(
            f"a rear centre of {table.rear_centre / MM:.1f} mm is not longer than the drop of {rear_z / MM:.1f} mm; "
            "check both"
        )
    return -math.sqrt(table.rear_centre**2 - rear_z**2)


def _head_tube(table: GeometryTable, along: float) -> HeadTube:
    """The head tube that puts the steering axis where the table has it.

    ``along`` runs from the upper face to the axle's foot on the axis [m].
    """
    headset = table.headset
    lean = headset.upper_offset - headset.lower_offset
    room = along - headset.lower_stack - table.axle_to_crown
    length, closing = table.head_tube, 0.0
    if length is None:
        if room <= abs(lean):
            raise OutsideValidity(
                f"the table leaves {room / MM:.1f} mm for the head tube above a fork of "
                f"{table.axle_to_crown / MM:.1f} mm; check stack, head angle, drop, tyre radii and fork length"
            )
        length = math.sqrt(room * room - lean * lean)
    else:
        closing = room - math.hypot(length, lean)
    angle = table.head_angle - math.atan2(lean, length)
    upper = (
        table.reach - headset.upper_offset * math.sin(angle),
        table.stack - headset.upper_offset * math.cos(angle),
    )
    return HeadTube(upper_face=upper, angle=angle, length=length, closing=closing)


def _effective(table: GeometryTable) -> float | None:
    """Effective seat angle that follows from tube angle and setback, where both are given [rad]."""
    if table.seat_angle_actual is None or table.seat_setback is None:
        return None
    return math.atan2(table.stack, table.seat_setback + table.stack / math.tan(table.seat_angle_actual))


def _seat_tube(table: GeometryTable) -> SeatTube | None:
    """The seat tube as far as the table tells: in full, from both angles, or one angle alone."""
    actual, setback, effective = table.seat_angle_actual, table.seat_setback, table.seat_angle_effective
    if actual is not None and setback is not None:
        return SeatTube(angle=actual, setback=setback)
    if effective is None:
        return None if actual is None else SeatTube(angle=actual, setback=None)
    if actual is not None:
        return SeatTube(angle=actual, setback=table.stack * (1.0 / math.tan(effective) - 1.0 / math.tan(actual)))
    return SeatTube(angle=effective, virtual=True)

"""Bikes that somebody might build, for the property tests of the geometry."""

from dataclasses import dataclass

from hypothesis import strategies as st

from bikewright.physics.geometry import GroundGeometry, SeatTube, ground_geometry
from bikewright.physics.plane import Point
from bikewright.physics.steering import Fork, Headset, HeadTube
from bikewright.units import DEG, MM


@dataclass(frozen=True, kw_only=True)
class Bike:
    """Everything that `ground_geometry` takes."""

    head_tube: HeadTube
    headset: Headset
    fork: Fork
    rear_axle: Point
    rear_radius: float
    front_radius: float
    fork_travel: float
    seat_tube: SeatTube
    saddle: Point

    def geometry(self) -> GroundGeometry:
        return ground_geometry(
            self.head_tube,
            self.headset,
            self.fork,
            rear_axle=self.rear_axle,
            rear_radius=self.rear_radius,
            front_radius=self.front_radius,
            fork_travel=self.fork_travel,
            seat_tube=self.seat_tube,
            saddle=self.saddle,
        )


def mm(low, high):
    """A length between two limits in millimetres, handed over in metres."""
    return st.floats(low, high, allow_nan=False).map(lambda value: value * MM)


def deg(low, high):
    """An angle between two limits in degrees, handed over in radians."""
    return st.floats(low, high, allow_nan=False).map(lambda value: value * DEG)


headsets = st.builds(
    Headset,
    upper_offset=mm(-8, 8),
    lower_offset=mm(-8, 8),
    lower_stack=mm(0, 30),
    upper_stack=mm(0, 30),
)

bikes = st.builds(
    Bike,
    head_tube=st.builds(
        HeadTube,
        upper_face=st.tuples(mm(380, 540), mm(560, 680)),
        angle=deg(60, 72),
        length=mm(85, 160),
        closing=mm(-10, 10),
    ),
    headset=headsets,
    fork=st.builds(Fork, axle_to_crown=mm(440, 610), offset=mm(30, 60)),
    rear_axle=st.tuples(mm(-470, -400), mm(-30, 200)),
    rear_radius=mm(320, 385),
    front_radius=mm(320, 385),
    fork_travel=mm(0, 60),
    seat_tube=st.builds(SeatTube, angle=deg(65, 78), setback=mm(-120, 20)),
    saddle=st.tuples(mm(-320, -100), mm(600, 820)),
)

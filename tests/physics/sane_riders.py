"""Riders on bikes that fit them more or less, for the property tests of body, posture and inertia."""

import math
from dataclasses import dataclass

from hypothesis import strategies as st

from bikewright.physics.body import INSEAM_SHARE, SPAN_SHARE, Body, rider_body
from bikewright.physics.figure import Contacts
from bikewright.units import DEG, MM


@dataclass(frozen=True, kw_only=True)
class RiderOnBike:
    """A rider and where the bike offers itself."""

    body: Body
    contacts: Contacts


@st.composite
def bodies(draw):
    build = draw(st.sampled_from(["male", "female"]))
    stature = draw(st.floats(1.5, 1.95))
    inseam = draw(st.one_of(st.none(), st.floats(-0.03, 0.03).map(lambda d: (INSEAM_SHARE[build] + d) * stature)))
    span = draw(st.one_of(st.none(), st.floats(-0.04, 0.04).map(lambda d: (SPAN_SHARE[build] + d) * stature)))
    return rider_body(draw(st.floats(40.0, 120.0)), stature, build, inseam, span)


@st.composite
def riders_on_bikes(draw):
    """Level ground, bottom bracket at the origin."""
    body = draw(bodies())
    height = body.inseam * draw(st.floats(0.81, 0.86))
    angle = draw(st.floats(72.0, 78.0)) * DEG
    return RiderOnBike(
        body=body,
        contacts=Contacts(
            hand=(body.stature * draw(st.floats(0.24, 0.285)), body.stature * draw(st.floats(0.36, 0.44))),
            crank=draw(st.floats(155.0, 175.0)) * MM,
            saddle=(-height * math.cos(angle), height * math.sin(angle)),
            hand_half_width=draw(st.floats(300.0, 360.0)) * MM,
        ),
    )

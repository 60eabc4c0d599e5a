"""Body: how long and how heavy the parts of a rider are.

Question answered   What lengths, masses, centres and radii of gyration have the segments of a rider of this mass,
                    stature, inseam and span?
Method              Mass, centre and gyration are shares of a segment table; lengths are shares of stature, the legs
                    scaled to the inseam, the arms to the span, the trunk so that the stature holds.
Axes and signs      None: lengths along the segments. Gyration is about the lateral axis.
Left out            Kit apart from the body (the mass is the rider's in kit, spread like the body's), build other than
                    the two columns, age: the tables are those of young adults.
Theory              docs/theory/body.md
"""

from dataclasses import dataclass

from bikewright.errors import OutsideValidity
from bikewright.physics.population import ANSUR_II, Build
from bikewright.units import MM


@dataclass(frozen=True, slots=True)
class Share:
    """One row of a segment table."""

    mass: float
    """Of one such segment, as a share of the rider's mass [-]."""
    centre: float
    """Centre of mass from the segment's first endpoint, as a share of its length [-]."""
    sagittal: float
    """Radius of gyration about the fore-and-aft axis, as a share of the length [-]."""
    transverse: float
    """Radius of gyration about the lateral axis, the one that a side view turns about, as a share of the length [-]."""
    longitudinal: float
    """Radius of gyration about the segment's own long axis, as a share of the length [-]."""


PAIRED = {"head": 1, "trunk": 1, "upper_arm": 2, "forearm": 2, "hand": 2, "thigh": 2, "shank": 2, "foot": 2}
"""How many of each segment a rider has."""

DE_LEVA: dict[Build, dict[str, Share]] = {
    "male": {
        "head": Share(0.0694, 0.5976, 0.362, 0.376, 0.312),
        "trunk": Share(0.4346, 0.4310, 0.384, 0.358, 0.197),
        "upper_arm": Share(0.0271, 0.5772, 0.285, 0.269, 0.158),
        "forearm": Share(0.0162, 0.4574, 0.276, 0.265, 0.121),
        "hand": Share(0.0061, 0.7900, 0.628, 0.513, 0.401),
        "thigh": Share(0.1416, 0.4095, 0.329, 0.329, 0.149),
        "shank": Share(0.0433, 0.4395, 0.251, 0.246, 0.102),
        "foot": Share(0.0137, 0.4415, 0.257, 0.245, 0.124),
    },
    "female": {
        "head": Share(0.0668, 0.5894, 0.330, 0.359, 0.318),
        "trunk": Share(0.4257, 0.3782, 0.379, 0.361, 0.182),
        "upper_arm": Share(0.0255, 0.5754, 0.278, 0.260, 0.148),
        "forearm": Share(0.0138, 0.4559, 0.261, 0.257, 0.094),
        "hand": Share(0.0056, 0.7474, 0.531, 0.454, 0.335),
        "thigh": Share(0.1478, 0.3612, 0.369, 0.364, 0.162),
        "shank": Share(0.0481, 0.4352, 0.267, 0.263, 0.092),
        "foot": Share(0.0129, 0.4014, 0.299, 0.279, 0.139),
    },
}
"""P. de Leva, J. Biomech. 29:1223-1230, 1996, table 4, looked up in a public copy. Endpoints: head vertex to
mid-gonion, trunk mid-shoulder to mid-hip, limbs from joint centre to joint centre, hand wrist to third metacarpal, foot
heel to toe tip. The male masses sum to 100.00 %, the female ones to 99.99 %."""

_DE_LEVA_LENGTHS: dict[Build, dict[str, float]] = {
    "male": {"head": 203.3 / 1741.0, "hand": 86.2 / 1741.0},
    "female": {"head": 200.2 / 1735.0, "hand": 78.0 / 1735.0},
}
"""Mean segment length over mean stature of the same table, for the two segments whose endpoints the proportions below
do not have [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proportions:
    """Heights of joints and lengths of segments as shares of stature."""

    ankle: float = 0.039
    """Height of the ankle joint [-]."""
    knee: float = 0.285
    """Height of the knee joint [-]."""
    hip: float = 0.530
    """Height of the hip joint [-]."""
    shoulder: float = 0.818
    """Height of the shoulder joint [-]."""
    upper_arm: float = 0.186
    """Shoulder to elbow [-]."""
    forearm: float = 0.146
    """Elbow to wrist [-]."""
    foot: float = 0.152
    """Heel to toe tip [-]."""
    shoulder_width: float = 0.259
    """Over both shoulders [-]."""


DRILLIS_CONTINI = Proportions()
"""R. Drillis and R. Contini, Body segment parameters, New York University, 1966, as in D. A. Winter, Biomechanics and
Motor Control of Human Movement, 4th ed., 2009, figure 4.1; looked up in public copies."""

INSEAM_SHARE: dict[Build, float] = {"male": 0.4815, "female": 0.4802}
"""Mean of crotch height over stature [-]. ANSUR II: C. C. Gordon and others, NATICK/TR-15/007, 2014; 4082 men and 1986
women, computed from the public data."""

SPAN_SHARE: dict[Build, float] = {
    build: measures["span"].mean / measures["stature"].mean for build, measures in ANSUR_II.items()
}
"""Mean span over mean stature [-]: 1.0330 and 1.0195. ANSUR II."""

INSEAM_LIMITS = (0.40, 0.56)
"""Inseam over stature that is believed [-]: more than five standard deviations (0.0141 and 0.0151) of ANSUR II
to either side."""

SPAN_LIMITS = (0.85, 1.20)
"""Span over stature that is believed [-]. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Segment:
    """One rigid part of a rider."""

    name: str
    count: int
    """How many the rider has."""
    mass: float
    """Of one [kg]."""
    length: float
    """First endpoint to second [m]."""
    centre: float
    """Centre of mass from the first (upper) endpoint, as a share of the length [-]."""
    gyration: float
    """Radius of gyration about the lateral axis through the centre of mass [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A rider as segments. The masses of all segments, paired ones twice, sum to the mass."""

    build: Build
    mass: float
    """Rider in kit [kg]."""
    stature: float
    """Floor to vertex [m]."""
    inseam: float
    """Floor to crotch; measured or from the stature [m]."""
    span: float
    """Finger tip to finger tip; measured or from the stature [m]."""
    head: Segment
    """Vertex to mid-gonion."""
    trunk: Segment
    """Mid-shoulder to mid-hip."""
    upper_arm: Segment
    forearm: Segment
    hand: Segment
    """Wrist to third metacarpal; its centre of mass is taken as the middle of the grip."""
    thigh: Segment
    shank: Segment
    foot: Segment
    """Heel to toe tip."""
    neck: float
    """Mid-shoulder to mid-gonion [m]."""
    ankle_height: float
    """Sole to ankle joint [m]."""
    hip_above_crotch: float
    """Crotch to hip joint, upright [m]."""
    shoulder_half_width: float
    """Mid-plane to shoulder [m]."""
    foot_ahead: float
    """Ball of the foot ahead of the pedal axle, as this rider stands on pedals [m]."""

    @property
    def segments(self) -> tuple[Segment, ...]:
        """All kinds of segment, from the head down."""
        return (
            self.head, self.trunk, self.upper_arm, self.forearm, self.hand, self.thigh, self.shank, self.foot,
        )  # fmt: skip

    @property
    def grip(self) -> float:
        """Wrist to the middle of the grip. [m]"""
        return self.hand.centre * self.hand.length

    @property
    def hip_height(self) -> float:
        """Floor to hip joint, upright and barefoot. [m]"""
        return self.inseam + self.hip_above_crotch


def rider_body(
    mass: float,
    stature: float,
    build: Build = "male",
    inseam: float | None = None,
    span: float | None = None,
    foot_ahead: float = 0.0,
) -> Body:
    """Segments of a rider from what a scale and a tape say.

    Parameters
    ----------
    mass : float
        Rider in kit. [kg]
    stature : float
        Barefoot, floor to vertex. [m]
    build : {"male", "female"}
        Column of the segment table.
    inseam : float, optional
        Floor to crotch, barefoot; else the mean share of the stature. [m]
    span : float, optional
        Finger tip to finger tip, arms out; else the mean share of the stature. [m]
    foot_ahead : float
        Ball of the foot ahead of the pedal axle. [m]

    Returns
    -------
    Body
        Lengths in metres, masses in kilograms. [m, kg]

    Raises
    ------
    OutsideValidity
        If mass or stature is not positive, or inseam or span does not go with the stature.

    Notes
    -----
    The hip joint stands as high above the crotch as 0.530 of stature above the mean crotch: hip height = inseam
    0.530/0.4815 (male). What the legs take, the trunk with neck and head gives, so that the stature holds. The female
    column of masses sums to 99.99 % and is divided by its sum; so is the male one, which changes nothing.
    """
    if not (mass > 0.0 and stature > 0.0):
        raise OutsideValidity(
            f"a rider of {mass:g} kg and {stature / MM:.0f} mm cannot be modelled; give a mass and a stature above zero"
        )
    inseam = INSEAM_SHARE[build] * stature if inseam is None else _believed("inseam", inseam, stature, INSEAM_LIMITS)
    span = SPAN_SHARE[build] * stature if span is None else _believed("span", span, stature, SPAN_LIMITS)
    p = DRILLIS_CONTINI
    # Each scale is the stature of somebody of mean proportions who has such legs, such arms, such a trunk.
    legs = inseam / INSEAM_SHARE[build]
    arms = span / SPAN_SHARE[build]
    above = (stature - p.hip * legs) / (1.0 - p.hip)
    head = _DE_LEVA_LENGTHS[build]["head"]
    lengths = {
        "head": head * above,
        "trunk": (p.shoulder - p.hip) * above,
        "upper_arm": p.upper_arm * arms,
        "forearm": p.forearm * arms,
        "hand": _DE_LEVA_LENGTHS[build]["hand"] * arms,
        "thigh": (p.hip - p.knee) * legs,
        "shank": (p.knee - p.ankle) * legs,
        "foot": p.foot * legs,
    }
    whole = sum(PAIRED[name] * share.mass for name, share in DE_LEVA[build].items())
    made = {
        name: Segment(
            name,
            PAIRED[name],
            mass * share.mass / whole,
            lengths[name],
            share.centre,
            share.transverse * lengths[name],
        )
        for name, share in DE_LEVA[build].items()
    }
    return Body(
        build=build,
        mass=mass,
        stature=stature,
        inseam=inseam,
        span=span,
        neck=(1.0 - p.shoulder - head) * above,
        ankle_height=p.ankle * legs,
        hip_above_crotch=p.hip * legs - inseam,
        shoulder_half_width=0.5 * p.shoulder_width * arms,
        foot_ahead=foot_ahead,
        **made,
    )


def _believed(what: str, length: float, stature: float, limits: tuple[float, float]) -> float:
    low, high = limits
    if not low * stature <= length <= high * stature:
        raise OutsideValidity(
            f"{what} {length / MM:.0f} mm does not go with a stature of {stature / MM:.0f} mm; allowed: "
            f"{low * stature / MM:.0f} to {high * stature / MM:.0f} mm. Measure both again, barefoot"
        )
    return length

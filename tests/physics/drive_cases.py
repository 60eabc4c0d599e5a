"""Bikes on which drive and brake reactions were worked out beforehand, by routes that share nothing with ours.

Geometry and numbers were derived for this project: moments about the instant centre, the intersection of lines, and
virtual work, each by itself. No published table of this kind was found. Axes: origin at the rear contact point with the
suspension extended, x forward, z up, level ground. The shock is ours; it only sets how the travel is counted off.
"""

from dataclasses import dataclass

import numpy as np

from bikewright.physics.chain import idler_on_pin, taut_run
from bikewright.physics.drive import ground_through_travel
from bikewright.physics.gearing import pitch_radius
from bikewright.physics.linkage.motion import solve_motion
from tests.physics.linkage.samples import Sample, sample

RADIUS = 0.370
FRONT_AXLE = (1.220, 0.370)
CENTRE_OF_MASS = (0.600, 1.120)
RING_CENTRE = (0.435, 0.335)


@dataclass(frozen=True)
class Case:
    """A linkage, its gear and the body with the caliper."""

    linkage: Sample
    cog: int
    brake_body: str = "swingarm"
    idler_pin: str = ""
    idler_teeth: int = 0
    ring: int = 32

    def motion(self, n=101):
        return solve_motion(self.linkage.layout, self.linkage.marks, self.linkage.lengths(n))

    def motion_at(self, travels):
        """The motion at stated wheel travels, the first of which is 0; two steps of Newton on the exact leverage."""
        layout, marks, full = self.linkage.layout, self.linkage.marks, self.linkage.shock_length
        strokes = self.motion().stroke_at_travel(travels)
        for _ in range(2):
            found = solve_motion(layout, marks, full - strokes)
            strokes = strokes - (found.wheel_travel - travels) / found.leverage_ratio
        return solve_motion(layout, marks, full - strokes)

    def run(self, motion, cogs=None):
        idlers = (idler_on_pin(motion, self.idler_pin, pitch_radius(self.idler_teeth)),) if self.idler_pin else ()
        radii = pitch_radius(self.cog) if cogs is None else np.array([pitch_radius(cog) for cog in cogs])
        return taut_run(motion, radii, pitch_radius(self.ring), idlers=idlers, ring_centre=RING_CENTRE)

    def ground(self, motion):
        return ground_through_travel(motion, FRONT_AXLE, RADIUS, RADIUS)


LOW_PIVOT = sample(
    0.066,
    pivot=(420, 400, "frame", "swingarm"),
    shock_mount=(640, 560, "frame", "shock"),
    shock_eye=(400, 560, "swingarm", "shock"),
    axle=(0, 370, "swingarm", "wheel"),
)
LINKS = sample(
    0.064,
    lower_pivot=(400, 375, "frame", "lower link"),
    rocker_pivot=(360, 660, "frame", "rocker"),
    shock_mount=(600, 520, "frame", "shock"),
    lower_joint=(35, 350, "lower link", "coupler"),
    upper_joint=(210, 640, "rocker", "coupler"),
    shock_eye=(380, 520, "lower link", "shock"),
    axle=(0, 370, "coupler", "wheel"),
)
HIGH_PIVOT = sample(
    0.066,
    pivot=(400, 520, "frame", "swingarm"),
    shock_mount=(640, 680, "frame", "shock"),
    shock_eye=(380, 680, "swingarm", "shock"),
    axle=(0, 370, "swingarm", "wheel"),
    idler=(410, 495, "frame", "idler"),
)
PIVOT_AT_RING = sample(
    0.05,
    pivot=(0, 0, "frame", "swingarm"),
    shock_mount=(215, 120, "frame", "shock"),
    shock_eye=(20, 165, "swingarm", "shock"),
    axle=(-435, 10, "swingarm", "wheel"),
)
"""Origin at the bottom bracket: a ring round the pivot leaves only the turn of the arm."""
CASES = {
    "A": Case(LOW_PIVOT, 21),
    "A2": Case(LOW_PIVOT, 51),
    "B": Case(LINKS, 21, brake_body="coupler"),
    "C": Case(HIGH_PIVOT, 21, idler_pin="idler", idler_teeth=16),
}

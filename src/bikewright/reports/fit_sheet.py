"""A rider on a bike with the joint angles, as a drawing.

Question answered   How does this rider stand or sit on this build, and which angles have the joints?
Method              The side view of the bike with the rider; each angle is drawn at its joint, its number the study's.
Axes and signs      Millimetres in ground axes, x forward, z up; flexion is drawn from the straight limb.
Left out            The far arm; clothes and shoes.
"""

from typing import Literal

from bikewright.reports.bike_dimensions import Dim
from bikewright.reports.bike_drawing import draw_bike
from bikewright.reports.bike_symbols import plus, unit
from bikewright.reports.fit import ANGLE, LENGTH
from bikewright.reports.numbers import value_text
from bikewright.reports.shapes import Sheet
from bikewright.reports.sheet_frame import TitleBlock
from bikewright.reports.wording import ShownUnits
from bikewright.studies.fit_pose import FitPicture, JointMark
from bikewright.studies.fitting import Fit

ARC = {"knee": 190.0, "knee_most": 150.0, "hip": 150.0, "trunk": 210.0, "elbow": 170.0, "shoulder": 130.0}
"""Radius of each angle's arc [mm]."""
SHORT_LABEL = {
    "knee": "knee",
    "knee_most": "knee",
    "hip": "hip",
    "trunk": "trunk",
    "elbow": "elbow",
    "shoulder": "shoulder",
}
NOT_MODELLED = "a bent back, ankling, soft tissue; the far arm is not drawn. Ranges are defaults to begin with"


def fit_sheet(
    fit: Fit,
    picture: FitPicture,
    units: ShownUnits,
    paper: Literal["a4", "letter"] | None = "a4",
    scale: float | None = None,
) -> Sheet:
    """Draw a rider on a build with the joint angles.

    Parameters
    ----------
    fit : Fit
        The answer.
    picture : FitPicture
        Its points in one posture.
    units : ShownUnits
        Units of the lengths.
    paper : str or None
        ``"a4"``, ``"letter"`` or None for a sheet as large as the drawing needs.
    scale : float or None
        Reduction, 8 for 1:8; by default the largest that fits.

    Returns
    -------
    Sheet
        For `bikewright.reports.svg.to_svg`.
    """
    build = fit.build
    block = TitleBlock(
        title=f"{fit.rider.name}, {picture.posture.label}",
        bike=build.frame.name,
        build=build.name,
        size=build.size,
        state=picture.posture.state,
        revision=build.frame.revision,
        not_modelled=NOT_MODELLED,
    )
    dims = (*(_angle(mark) for mark in picture.marks), *_lengths(fit, picture, units))
    return draw_bike(picture.bike, dimensions=dims, block=block, paper=paper, scale=scale, subject="rider")


def _angle(mark: JointMark) -> Dim:
    """The arc of one joint."""
    first, second = unit(mark.vertex, mark.first), unit(mark.vertex, mark.second)
    middle = unit((0.0, 0.0), plus(first, second))
    return Dim(
        kind="angular",
        label=SHORT_LABEL[mark.angle.name],
        value_text=value_text(mark.angle.value_deg, ANGLE),
        start=mark.first,
        end=mark.second,
        vertex=mark.vertex,
        at=plus(mark.vertex, middle, ARC[mark.angle.name]),
    )


def _lengths(fit: Fit, picture: FitPicture, units: ShownUnits) -> tuple[Dim, ...]:
    """Saddle to grip and saddle height of a seated rider, grips over the ground of one who stands."""
    bike, hands = picture.bike, fit.cockpit
    if bike.hand is None or bike.saddle is None:
        return ()
    shown = units.of("mm")
    if picture.posture.name == "standing":
        text = value_text(hands.hand_height_mm, LENGTH, shown_in=shown)
        floor = (bike.hand[0], 0.0)
        at = (bike.hand[0] + 130.0, 0.0)
        return (Dim(kind="vertical", label="grips", value_text=text, start=floor, end=bike.hand, at=at),)
    length = hands.seated_length_mm if picture.posture.name == "seated" else hands.climb_length_mm
    low = min(bike.hand[1], bike.saddle[1]) - 105.0
    return (
        Dim(kind="horizontal", label="saddle to grip", value_text=value_text(length, LENGTH, shown_in=shown),
            start=bike.saddle, end=bike.hand, at=(bike.saddle[0], low)),
        Dim(kind="aligned", label="saddle height", value_text=value_text(fit.saddle.height_mm, LENGTH, shown_in=shown),
            start=bike.bb, end=bike.saddle, at=plus(bike.saddle, (-1.0, 0.0), 210.0)),
    )  # fmt: skip

"""The side view of a build as a drawing sheet: pose, dimensions and title block from one answer.

Question answered   How does this build stand in this state, drawn to scale with its main dimensions?
Method              The pose comes from the study, every dimension's text from the catalogue.
Axes and signs      Millimetres in ground axes, x forward, z up.
Left out            Details for manufacture; this is a general arrangement.
"""

from dataclasses import asdict
from typing import Any

from bikewright.reports.as_json import build_json
from bikewright.reports.bike_dimensions import usual_dimensions
from bikewright.reports.bike_drawing import draw_bike
from bikewright.reports.shapes import Sheet
from bikewright.reports.sheet_frame import TitleBlock
from bikewright.reports.wording import ShownUnits, state_text
from bikewright.studies.evaluate import Answer
from bikewright.studies.pose import BikePose, pose_of

DIMENSIONS = {
    "wheelbase": "wheelbase_mm",
    "bb_height": "bb_height_mm",
    "rear_centre": "rear_centre_mm",
    "front_centre": "front_centre_mm",
    "reach": "reach_mm",
    "stack": "stack_mm",
    "head_angle": "head_angle_deg",
    "seat_angle": "seat_tube_angle_deg",
}
"""Dimensions of the drawing and the quantities that they show."""

NOT_MODELLED = "flex, play in pivots; tubes are drawn by their axes, not to their sections"


def bike_sheet(answer: Answer, state: str, before: BikePose | None, units: ShownUnits) -> Sheet:
    """Draw a build in a state on an A4 sheet.

    Parameters
    ----------
    answer : Answer
        Of the build.
    state : str
        A state of the catalogue.
    before : BikePose or None
        Another pose to lay over it, dashed.
    units : ShownUnits
        Units of the dimensions.

    Returns
    -------
    Sheet
        For `bikewright.reports.svg.to_svg`.
    """
    pose = pose_of(answer, state)
    texts = dimension_texts(answer, pose, state, units)
    build = answer.build
    block = TitleBlock(
        title="side view",
        bike=build.frame.name,
        build=build.name,
        size=build.size,
        state=state_text(state),
        revision=build.frame.revision,
        not_modelled=NOT_MODELLED,
    )
    return draw_bike(pose, before=before, dimensions=usual_dimensions(pose, texts), block=block)


def dimension_texts(answer: Answer, pose: BikePose, state: str, units: ShownUnits) -> dict[str, str]:
    """Texts of `DIMENSIONS` as far as they are known, with their units."""
    texts = {}
    for name, key in DIMENSIONS.items():
        value = answer.value(f"{key}@{state}")
        if value.number is not None:
            texts[name] = units.value(value.quantity, value.number)
    if pose.seat_axis is None:
        texts.pop("seat_angle", None)
    return texts


def pose_json(answer: Answer, state: str) -> dict[str, Any]:
    """Every point of the drawing, for programs that draw it themselves; millimetres in ground axes."""
    return {
        "format": "bikewright/pose",
        "version": 1,
        "build": build_json(answer.build),
        "unit": "mm",
        "pose": asdict(pose_of(answer, state)),
    }

"""The linkage of one size, as drawn: where each pin sits on each body that it joins.

The common pins are drawn once. A size may shift the whole linkage (its links keep their shape) or give
some pins a place of its own; that must not reshape a link which other sizes share. A flip chip moves its
pin on one body only, so a pin has a mark on every body it joins, and the marks may differ.
"""

from dataclasses import dataclass
from itertools import combinations
from math import hypot

from bikewright.errors import ModelError
from bikewright.model.build import Build, ChipSetting
from bikewright.model.frame import FRAME, SHOCK, WHEEL, Chip, Frame, Linkage, Pin, SizeLinkage

SAME_SHAPE_MM = 0.05
"""Two links whose pins are this close to the same distances are one link to a workshop."""


@dataclass(frozen=True, slots=True)
class LinkageDrawing:
    """Pins and marks of one size, in workshop units."""

    pins: tuple[tuple[str, tuple[str, ...]], ...]
    """Name of each pin and the bodies it joins, in the order of the file."""
    marks: tuple[tuple[str, str, float, float], ...]
    """Pin, body, x and z [mm] for each body of each pin, in the same order."""
    drawn_eye_to_eye_mm: float
    """Distance of the shock's two pins as drawn, less the yoke."""
    shock_extension_mm: float
    """What a yoke adds to the shock's length from pin to pin."""
    own_pins: tuple[str, ...]
    """Pins that this size has in a place of its own."""


def linkage_drawing(frame: Frame, size: str, chips: tuple[ChipSetting, ...] = ()) -> LinkageDrawing:
    """Pins and marks of the linkage in one size, with its chips set.

    Raises
    ------
    ModelError
        If the size's own pins reshape a link that other sizes share, or a chip has no such position.
    """
    linkage = frame.linkage
    if linkage is None:
        raise ModelError(f"{frame.name} has no linkage to draw")
    own = frame.size(size).linkage
    places = _places(linkage, own)
    _refuse_reshaped_links(linkage, own, places, size)
    moves = _chip_moves(linkage, chips)
    marks = []
    for pin in linkage.pins:
        x, z = places[pin.name]
        for body in pin.joins:
            dx, dz = moves.get((pin.name, body), (0.0, 0.0))
            marks.append((pin.name, body, x + dx, z + dz))
    ends = [places[pin.name] for pin in linkage.pins if SHOCK in pin.joins]
    drawn = hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]) if len(ends) == 2 else 0.0
    return LinkageDrawing(
        pins=tuple((pin.name, pin.joins) for pin in linkage.pins),
        marks=tuple(marks),
        drawn_eye_to_eye_mm=drawn - linkage.shock_extension_mm,
        shock_extension_mm=linkage.shock_extension_mm,
        own_pins=tuple(pin.name for pin in own.pins),
    )


def _places(linkage: Linkage, own: SizeLinkage) -> dict[str, tuple[float, float]]:
    unknown = {pin.name for pin in own.pins} - {pin.name for pin in linkage.pins}
    if unknown:
        raise ModelError(f"the linkage has no pin called '{min(unknown)}'")
    return {pin.name: pin_place(pin, own) for pin in linkage.pins}


def pin_place(pin: Pin, own: SizeLinkage) -> tuple[float, float]:
    """Where a pin is drawn in a size, chips in their drawn position [mm]."""
    x, z = pin.x_mm + own.shift_x_mm, pin.z_mm + own.shift_z_mm
    at = next((moved for moved in own.pins if moved.name == pin.name), None)
    if at is None:
        return x, z
    return x if at.x_mm is None else at.x_mm, z if at.z_mm is None else at.z_mm


def _refuse_reshaped_links(
    linkage: Linkage, own: SizeLinkage, places: dict[str, tuple[float, float]], size: str
) -> None:
    if not own.pins:
        return
    bodies = {body for pin in linkage.pins for body in pin.joins} - {FRAME, SHOCK, WHEEL, *own.own_links}
    for body in sorted(bodies):
        on_body = [pin for pin in linkage.pins if body in pin.joins]
        for first, second in combinations(on_body, 2):
            common = hypot(second.x_mm - first.x_mm, second.z_mm - first.z_mm)
            (x1, z1), (x2, z2) = places[first.name], places[second.name]
            here = hypot(x2 - x1, z2 - z1)
            if abs(here - common) > SAME_SHAPE_MM:
                raise ModelError(
                    f"size {size} would reshape the link '{body}', which other sizes share: "
                    f"{first.name} to {second.name} is {common:.2f} mm and would be {here:.2f} mm. "
                    f"Move all pins of the link together, or name it in sizes.{size}.linkage.own_links "
                    f"if this size has a link of its own."
                )


def _chip_moves(linkage: Linkage, chips: tuple[ChipSetting, ...]) -> dict[tuple[str, str], tuple[float, float]]:
    settings = {chip.name: chip.position for chip in chips}
    moves: dict[tuple[str, str], tuple[float, float]] = {}
    for chip in linkage.chips:
        dx, dz = _chip_offset(chip, settings.pop(chip.name, None))
        x, z = moves.get((chip.pin, chip.body), (0.0, 0.0))
        moves[chip.pin, chip.body] = (x + dx, z + dz)
    if settings:
        known = ", ".join(chip.name for chip in linkage.chips) or "none"
        raise ModelError(f"the frame has no chip called '{next(iter(settings))}'; there are: {known}")
    return moves


def _chip_offset(chip: Chip, position: str | None) -> tuple[float, float]:
    """How far a chip in a position moves its pin from where it is drawn (its first position)."""
    positions = {place.name: place for place in chip.positions}
    drawn = chip.positions[0]
    if position is None:
        return 0.0, 0.0
    if position not in positions:
        raise ModelError(f"the chip '{chip.name}' has no position '{position}'; it has: {', '.join(positions)}")
    return positions[position].dx_mm - drawn.dx_mm, positions[position].dz_mm - drawn.dz_mm


def linkage_of(build: Build) -> LinkageDrawing:
    """The linkage drawing of a build's size with its chips set."""
    return linkage_drawing(build.frame, build.size, build.chips)

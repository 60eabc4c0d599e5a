"""The side view of a bike as a dimensioned drawing.

Question answered   How does this bike stand, and what are its main dimensions?
Method              The pose gives every point in ground axes; parts stand as symbols (`bike_symbols`). The largest
                    scale of `SCALES` at which drawing and dimensions fit the sheet is taken. Another pose may lie
                    over it, dashed.
Axes and signs      Ground axes in millimetres, x forward, z up: the front of the bike is on the right.
Left out            Anything computed: every number is a text of the caller, every point a point of the pose.
"""

from dataclasses import replace
from typing import Literal

from bikewright.errors import OutsideValidity
from bikewright.reports import bike_symbols as symbol
from bikewright.reports.bike_dimensions import Dim, dimension_shapes, usual_dimensions
from bikewright.reports.cutting import Window
from bikewright.reports.lettering import LINE, shortened, text_width_mm
from bikewright.reports.paper import extent
from bikewright.reports.shapes import Circle, Layer, Line, Point, Polyline, Shape, Sheet, Text
from bikewright.reports.sheet_frame import FORMATS, TitleBlock, drawing_window, framed, free_extent
from bikewright.studies.pose import BikePose, Body

__all__ = ["BikePose", "Body", "Dim", "draw_bike", "usual_dimensions"]

SCALES = (1.0, 2.0, 2.5, 5.0, 8.0, 10.0, 12.5, 15.0, 20.0, 50.0)
"""Reductions tried in turn: ISO 5455 (from memory) with 2.5, 8, 12.5 and 15 between, as a bike fills an A4 at 1:8."""
KEY_SIZE = 2.8
"""Font size of the key [mm]."""
CROSS = "cross"
"""What stands in the key in place of a line style for an instant centre."""


def draw_bike(
    pose: BikePose,
    *,
    before: BikePose | None = None,
    dimensions: tuple[Dim, ...] = (),
    block: TitleBlock | None = None,
    paper: Literal["a4", "letter"] | None = "a4",
    scale: float | None = None,
    subject: Literal["bike", "rider"] = "bike",
) -> Sheet:
    """Draw a bike from its drive side.

    Parameters
    ----------
    pose : BikePose
        The bike.
    before : BikePose or None
        Another pose in the same axes, drawn dashed over it.
    dimensions : tuple of Dim
        What is dimensioned, texts ready to print.
    block : TitleBlock or None
        Its scale is filled in here; by default it tells title and state of the pose.
    paper : str or None
        ``"a4"``, ``"letter"`` or None for a sheet as large as the drawing needs.
    scale : float or None
        Reduction, 8 for 1:8; by default the largest drawing that fits, or 1:8 on a free sheet.
    subject : str
        What the drawing is about: a rider who is the subject is drawn in colour over the bike.

    Returns
    -------
    Sheet
        Layers ground, before, wheels, frame, linkage, parts, paths, dimensions, key, border and title block.

    Raises
    ------
    OutsideValidity
        If no scale fits the paper.
    """
    block = block or TitleBlock(title=pose.title, state=pose.state)
    key = _key_entries(pose, before)
    key_room = (LINE * KEY_SIZE + 1.5) if len(key) > 1 else 0.0
    tries = (scale,) if scale is not None else SCALES if paper is not None else (8.0,)
    for reduction in tries:
        said = replace(block, scale=f"1:{reduction:g}")
        layers = _layers(pose, before, reduction, subject)
        if paper is not None and not _fits(_size(layers), _room(FORMATS[paper], said, key_room)):
            # the bike alone is too large, so its dimensions need not be placed
            continue
        layers += (Layer("dimensions", dimension_shapes(dimensions, layers, reduction), 1.0 / reduction),)
        width, height = _size(layers)
        size = FORMATS[paper] if paper else free_extent(width + 4.0, height + key_room + 4.0, said)
        room = _room(size, said, key_room)
        if _fits((width, height), room):
            break
    else:
        raise OutsideValidity(
            f"the drawing does not fit the {paper} sheet at 1:{tries[-1]:g}; "
            "choose a smaller scale, another paper or a free sheet"
        )
    left, bottom, _, _ = extent(layers)
    window = drawing_window(size, said)
    shift = (window[0] + (room[0] - width) / 2 - left, window[1] + (room[1] - height) / 2 - bottom)
    moved = tuple(replace(layer, origin=symbol.plus(layer.origin, shift)) for layer in layers)
    return framed(said, (*moved, Layer("key", _key(key, window))), size, _spoken(pose, before, dimensions))


def _size(layers: tuple[Layer, ...]) -> tuple[float, float]:
    left, bottom, right, top = extent(layers)
    return right - left, top - bottom


def _room(size: tuple[float, float], block: TitleBlock, key_room: float) -> tuple[float, float]:
    left, bottom, right, top = drawing_window(size, block)
    return right - left, top - bottom - key_room


def _fits(size: tuple[float, float], room: tuple[float, float]) -> bool:
    return size[0] <= room[0] and size[1] <= room[1]


def _layers(
    pose: BikePose, before: BikePose | None, reduction: float, subject: Literal["bike", "rider"]
) -> tuple[Layer, ...]:
    """The drawing with its origin at that of the pose, before it is placed on the sheet."""
    back, front = _reach(pose, before)
    left, right = back - 6.0 * reduction, front + 6.0 * reduction
    wheels = symbol.wheel(pose.rear_axle, pose.rear_radius) + symbol.wheel(pose.front_axle, pose.front_radius)
    drawn = [
        ("ground", symbol.ground_line(*pose.ground, left, right, 2.6 * reduction)),
        ("before, wheels", () if before is None else _ghost_wheels(before)),
        ("wheels", wheels),
        ("rider", symbol.rider(pose.rider) if subject == "bike" else ()),
        ("frame", _frame(pose)),
        ("linkage", _linkage(pose)),
        ("parts", _parts(pose)),
        ("before", () if before is None else _ghost(before)),
        ("paths", _paths(pose, (back, front), 2.0 * reduction)),
        ("rider over the bike", symbol.rider(pose.rider, "path") if subject == "rider" else ()),
    ]
    return tuple(Layer(name, shapes, 1.0 / reduction) for name, shapes in drawn)


def _frame(pose: BikePose) -> tuple[Shape, ...]:
    """Front triangle; stays where nothing else carries the rear axle."""
    up = symbol.unit(pose.head_lower, pose.head_upper)
    shapes: list[Shape] = []
    if not pose.bodies:
        shapes.append(symbol.tube(pose.bb, pose.rear_axle, 26.0, 20.0))
    if pose.seat_axis is not None:
        low, high = pose.seat_axis
        along = symbol.unit(low, high)
        if not pose.bodies:
            shapes.append(symbol.tube(symbol.plus(high, along, -70.0), pose.rear_axle, 18.0))
        top_of_head = symbol.plus(pose.head_upper, up, -24.0)
        shapes += [
            symbol.tube(top_of_head, symbol.plus(high, along, -48.0), 42.0, 34.0, "outline"),
            symbol.tube(low, high, 36.0, style="outline"),
        ]
    shapes += [
        symbol.tube(symbol.plus(pose.head_lower, up, 30.0), pose.bb, 56.0, 62.0, "outline"),
        symbol.tube(pose.head_lower, pose.head_upper, 50.0, 46.0, "outline"),
        Circle(pose.bb, 34.0, "outline", "paper"),
    ]
    return tuple(shapes)


def _linkage(pose: BikePose) -> tuple[Shape, ...]:
    shapes: list[Shape] = []
    for body in pose.bodies:
        if body.kind == "link":
            shapes += symbol.link(body.points)
    for body in pose.bodies:
        if body.kind == "shock":
            shapes += symbol.shock(body.points[0], body.points[-1])
    for _, at in pose.pins:
        shapes += symbol.pin(at)
    shapes += [Circle(pose.rear_axle, 9.0, "thin", "paper"), Circle(pose.rear_axle, 2.0, None, "ink")]
    return tuple(shapes)


def _parts(pose: BikePose) -> tuple[Shape, ...]:
    outlines = tuple(Polyline(points, "dimension") for _, points in pose.outlines if len(points) > 1)
    return (
        *symbol.fork(pose.crown, pose.steerer_top, pose.front_axle),
        *symbol.cockpit(pose.steerer_top, pose.head_lower, pose.stem_clamp, pose.hand),
        *symbol.saddle_and_post(pose.saddle, pose.seat_axis),
        *symbol.cranks(pose.bb, pose.crank_mm, pose.ring_radius_mm, pose.crank_deg),
        *outlines,
    )


def _paths(pose: BikePose, reach: tuple[float, float], cross: float) -> tuple[Shape, ...]:
    """Steering axis, axle path and instant centre; an instant centre beyond the wheels is left out."""
    up = symbol.unit(pose.crown, pose.steerer_top)
    shapes: list[Shape] = [
        Line(symbol.plus(pose.front_axle, symbol.forward(up), -_offset(pose)), symbol.plus(pose.steerer_top, up, 120.0),
             "centre"),
    ]  # fmt: skip
    if pose.axle_path is not None and len(pose.axle_path) > 1:
        shapes.append(Polyline(pose.axle_path, "path"))
    if _centre_shown(pose, reach):
        shapes += _cross(pose.instant_centre or (0.0, 0.0), cross)
    return tuple(shapes)


def _cross(at: Point, half: float) -> tuple[Shape, ...]:
    """The mark of an instant centre."""
    x, y = at
    return (
        Line((x - half, y - half), (x + half, y + half), "path"),
        Line((x - half, y + half), (x + half, y - half), "path"),
    )


def _reach(pose: BikePose, before: BikePose | None) -> tuple[float, float]:
    """From the back of the rear tyre to the front of the front tyre, of both poses [mm]."""
    poses = (pose,) if before is None else (before, pose)
    return min(p.rear_axle[0] - p.rear_radius for p in poses), max(p.front_axle[0] + p.front_radius for p in poses)


def _offset(pose: BikePose) -> float:
    """How far the front axle lies ahead of the steering axis, square to it."""
    on_axis = symbol.foot(pose.front_axle, pose.crown, pose.steerer_top)
    ahead = symbol.forward(symbol.unit(pose.crown, pose.steerer_top))
    return (pose.front_axle[0] - on_axis[0]) * ahead[0] + (pose.front_axle[1] - on_axis[1]) * ahead[1]


def _centre_shown(pose: BikePose, reach: tuple[float, float]) -> bool:
    if pose.instant_centre is None:
        return False
    x, z = pose.instant_centre
    low = min(p[1] for p in pose.ground)
    return reach[0] <= x <= reach[1] and low <= z <= low + 1400.0


def _ghost(pose: BikePose) -> tuple[Shape, ...]:
    """A pose as dashed axes only."""
    lines: list[tuple[Point, ...]] = [(pose.head_lower, pose.bb), (pose.head_upper, pose.head_lower)]
    lines.append((pose.steerer_top, pose.crown, pose.front_axle))
    if pose.seat_axis is not None:
        low, high = pose.seat_axis
        lines += [(low, high), (pose.head_upper, high)]
        if pose.saddle is not None:
            lines.append((high, symbol.foot(pose.saddle, low, high)))
    if pose.saddle is not None:
        lines.append(tuple(symbol.plus(pose.saddle, corner) for corner in (*symbol.SADDLE, symbol.SADDLE[0])))
    if pose.stem_clamp is not None:
        lines.append((symbol.foot(pose.stem_clamp, pose.head_lower, pose.steerer_top), pose.stem_clamp))
        lines.append((pose.steerer_top, symbol.foot(pose.stem_clamp, pose.head_lower, pose.steerer_top)))
    lines += [body.points for body in pose.bodies]
    grip = () if pose.hand is None else (Circle(pose.hand, 17.0, "ghost"),)
    return (*grip, *(Polyline(line, "ghost") for line in lines if len(line) > 1))


def _ghost_wheels(pose: BikePose) -> tuple[Shape, ...]:
    """The wheels of a pose behind those of the other, so that equal wheels show as one."""
    return (
        Circle(pose.front_axle, pose.front_radius, "ghost"),
        Circle(pose.rear_axle, pose.rear_radius, "ghost"),
    )


def _key_entries(pose: BikePose, before: BikePose | None) -> list[tuple[str, str]]:
    entries = [(pose.title, "outline")]
    if before is not None:
        entries.append((f"before: {before.title}", "ghost"))
    if pose.axle_path is not None:
        entries.append(("path of the rear axle", "path"))
    if _centre_shown(pose, _reach(pose, before)):
        entries.append(("instant centre", CROSS))
    return entries


def _key(entries: list[tuple[str, str]], window: Window) -> tuple[Shape, ...]:
    if len(entries) < 2:
        return ()
    shapes: list[Shape] = []
    x, y = window[0], window[3] - KEY_SIZE
    free = window[2] - window[0] - 21.0 * len(entries)
    cut = sum(text_width_mm(name, KEY_SIZE) for name, _ in entries) > free
    for name, style in entries:
        name = shortened(name, KEY_SIZE, free / len(entries)) if cut else name
        shapes += _cross((x + 6.0, y), 1.5) if style == CROSS else (Line((x, y), (x + 12.0, y), style),)
        shapes.append(Text((x + 14.0, y), name, KEY_SIZE, level="middle"))
        x += 14.0 + text_width_mm(name, KEY_SIZE) + 7.0
    return tuple(shapes)


def _spoken(pose: BikePose, before: BikePose | None, dims: tuple[Dim, ...]) -> str:
    """What the drawing shows, in a sentence for those who do not see it."""
    parts = [f"Side view of {pose.title}, {pose.state}"]
    if before is not None:
        parts.append(f"with {before.title} dashed over it")
    parts += [dim.text for dim in dims]
    return ", ".join(parts) + "."

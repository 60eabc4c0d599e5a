"""Drawings for a sheet on paper: the side view and curves of two builds, without a frame of their own.

Question answered   How do the two builds look beside each other, as large as the paper allows?
Method              The side view is the drawing sheet's own, cut to the drawing; charts stand beside each other.
Axes and signs      Millimetres of paper.
Left out            Title block and border: the sheet on paper has its own.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import groupby

from bikewright.errors import BikewrightError, OutsideValidity
from bikewright.reports.bike_dimensions import usual_dimensions
from bikewright.reports.bike_drawing import SCALES, draw_bike
from bikewright.reports.bike_sheet import dimension_texts
from bikewright.reports.chart import Axis, Chart, Series, draw_chart
from bikewright.reports.curves import shown_points
from bikewright.reports.fit_sheet import fit_sheet
from bikewright.reports.lettering import BELOW, CAPITAL, LINE
from bikewright.reports.paper import extent, primitives, text_corners
from bikewright.reports.shapes import Layer, Point, Polyline, Primitive, Shape, Sheet, Text
from bikewright.reports.sheet_frame import TitleBlock
from bikewright.reports.sheets.page import Picture
from bikewright.reports.sheets.pdf import PRINT
from bikewright.reports.svg import to_svg
from bikewright.reports.wording import ShownUnits
from bikewright.studies.curves import Curve
from bikewright.studies.evaluate import Answer
from bikewright.studies.fit_pose import FitPicture
from bikewright.studies.fitting import Fit
from bikewright.studies.pose import pose_of

CURVES = {
    "leverage_ratio": "wheel travel over shock stroke",
    "anti_squat_pct": "share of load transfer",
    "anti_rise_pct": "share of load transfer",
}
"""Curves that a change of the rear suspension is judged by, and what their axis is called."""
CHART_HEIGHT_MM, SHRUNK = 50.0, 0.8
"""Height of a chart on paper [mm], and how much smaller than usual it is set, letters and all."""
DEPTH = 0.12
"""How far the box behind a text reaches below its baseline, as a share of the font size: clear of a dimension line."""
FRAME_LAYERS = ("border", "title block")


def side_view(after: Answer, before: Answer, width_mm: float, units: ShownUnits, state: str = "table") -> Picture:
    """The build after, dimensioned, with the build before dashed.

    Parameters
    ----------
    after, before : Answer
        Of the two builds.
    width_mm : float
        Room on paper [mm].
    units : ShownUnits
        Units of the dimensions.
    state : str
        State that both stand in.

    Returns
    -------
    Picture
        As large as the room allows, at one of `SCALES`.

    Raises
    ------
    BikewrightError
        If one of the two cannot be put on the ground.
    """
    poses = pose_of(after, state), pose_of(before, state)
    wide = max(p.front_axle[0] + p.front_radius for p in poses) - min(p.rear_axle[0] - p.rear_radius for p in poses)
    dimensions = usual_dimensions(poses[0], dimension_texts(after, poses[0], state, units))
    for reduction in SCALES:
        if wide / reduction > width_mm:
            continue  # the bike alone is too wide, so its dimensions need not be placed
        block = TitleBlock(title="side view", state=state)
        drawn = _bare(draw_bike(poses[0], before=poses[1], dimensions=dimensions, block=block, paper=None,
                                scale=reduction))  # fmt: skip
        if drawn.width_mm <= width_mm:
            return Picture(to_svg(drawn, PRINT), drawn.width_mm, drawn.description, f"1:{reduction:g}")
    raise OutsideValidity(f"no scale of the side view fits {width_mm:.0f} mm")


def fit_view(fit: Fit, picture: FitPicture, width_mm: float, units: ShownUnits) -> Picture:
    """A rider on the build with the joint angles.

    Parameters
    ----------
    fit : Fit
        The answer.
    picture : FitPicture
        Its points in one posture.
    width_mm : float
        Room on paper [mm].
    units : ShownUnits
        Units of the lengths.

    Returns
    -------
    Picture
        As large as the room allows, at one of `SCALES`.

    Raises
    ------
    OutsideValidity
        If no scale fits.
    """
    for reduction in SCALES:
        drawn = _bare(fit_sheet(fit, picture, units, paper=None, scale=reduction))
        if drawn.width_mm <= width_mm:
            return Picture(to_svg(drawn, PRINT), drawn.width_mm, drawn.description, f"1:{reduction:g}")
    raise OutsideValidity(f"no scale of the rider's picture fits {width_mm:.0f} mm")


def _bare(sheet: Sheet) -> Sheet:
    """The drawing alone, on a sheet as large as it is."""
    kept = replace(sheet, layers=tuple(layer for layer in sheet.layers if layer.name not in FRAME_LAYERS))
    layers = tuple(Layer(name, tuple(_boxed(shapes))) for name, shapes in groupby(primitives(kept), lambda one: one[0]))
    left, bottom, right, top = extent(layers)
    pad = 0.5
    moved = tuple(
        replace(layer, origin=(layer.origin[0] - left + pad, layer.origin[1] - bottom + pad)) for layer in layers
    )
    return Sheet(right - left + 2 * pad, top - bottom + 2 * pad, moved, sheet.title, sheet.description)


def _boxed(shapes: Iterable[tuple[str, Primitive]]) -> Iterator[Shape]:
    """Shapes whose letters lie on a box of paper where they had a rim of it.

    A PDF strokes the rim letter by letter, and each rim would eat into the letter before.
    """
    for _, shape in shapes:
        if isinstance(shape, Text) and shape.halo:
            low_left, low_right, high_right, high_left = text_corners(shape)
            low, high = (BELOW - DEPTH) / LINE, (BELOW + CAPITAL + 0.06) / LINE
            box = (
                _between(low_left, high_left, low),
                _between(low_right, high_right, low),
                _between(low_right, high_right, high),
                _between(low_left, high_left, high),
            )
            yield Polyline(box, None, closed=True, fill="paper")
            yield replace(shape, halo=False)
        else:
            yield shape


def _between(a: Point, b: Point, share: float) -> Point:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def curve_pictures(after: Answer, before: Answer, width_mm: float, units: ShownUnits) -> tuple[Picture, ...]:
    """Charts of the rear suspension before and after, side by side; none for a hardtail.

    Parameters
    ----------
    after, before : Answer
        Of the two builds.
    width_mm : float
        Room for all of them together [mm].
    units : ShownUnits
        Units of the axes.

    Returns
    -------
    tuple of Picture
        One for each of `CURVES` that the build after has.
    """
    drawn = []
    for key in CURVES:
        now = _curve(after, key)
        if now is not None:
            drawn.append((now, _curve(before, key)))
    each = (width_mm - 2.0 * (len(CURVES) - 1)) / len(CURVES)
    return tuple(_chart(now, earlier, each, units) for now, earlier in drawn)


def _curve(answer: Answer, key: str) -> Curve | None:
    try:
        return answer.curve(key)
    except BikewrightError:
        return None  # the values of the same group say why


def _chart(now: Curve, earlier: Curve | None, width_mm: float, units: ShownUnits) -> Picture:
    series = [] if earlier is None else [Series("before", *shown_points(earlier, units), "before")]
    series.append(Series("after", *shown_points(now, units)))
    title = f"{now.quantity.label}, {now.qualifier}" if now.qualifier else now.quantity.label
    unit = units.of(now.quantity.unit)
    chart = Chart(
        title=title,
        x=Axis("wheel travel", units.of("mm")),
        y=_percent(CURVES[now.quantity.key], unit, series) if unit == "pct" else Axis(CURVES[now.quantity.key], unit),
        series=tuple(series),
        notes=tuple(dict.fromkeys(curve.gap for curve in (earlier, now) if curve is not None and curve.gap)),
    )
    sheet = draw_chart(chart, width_mm / SHRUNK, CHART_HEIGHT_MM / SHRUNK)
    return Picture(to_svg(sheet, PRINT), width_mm, f"{title}. {sheet.description}")


def _percent(label: str, unit: str, series: list[Series]) -> Axis:
    """From 0 to 100 % or further: a change of one per cent is not to look like a cliff."""
    known = [y for one in series for y in one.y if y is not None]
    return Axis(label, unit, low=min(0.0, *known, 0.0), high=max(100.0, *known, 100.0))

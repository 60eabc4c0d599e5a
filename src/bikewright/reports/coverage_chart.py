"""Whom the sizes fit, as a chart: stature across, inseam up, one outline a size.

Question answered   Where do the sizes lie to each other and to the people?
Method              Outlines of the regions of men or of women, each in its own line and named at its right end; the
                    rider that a size is made for is a dot with its name; the people are ellipses that hold 50 and 90 %
                    of them.
Axes and signs      Stature to the right, inseam up, in the reader's unit.
Left out            The outlines of the other half of the people: the note says how far they are off.
"""

from bikewright.reports.chart import Axis, Chart, Marker, Series, draw_chart
from bikewright.reports.coverage import SOLDIERS, WHO
from bikewright.reports.numbers import number_text, unit_text
from bikewright.reports.shapes import Sheet
from bikewright.reports.wording import ShownUnits
from bikewright.studies.bands import Point
from bikewright.studies.coverage import Column, Coverage
from bikewright.units import MM, convert

LINES = ("current", "before", "second", "third", "fourth", "pinned")
"""Line styles of the sizes, in turn."""
CONTOURS = (0.9, 0.5)
CROWD_LINES = {"men": "centre", "women": "ghost", "people": "centre"}
PAPER_MM = (190.0, 128.0)
STEP_MM = 50.0
"""The axes end at whole multiples of it."""


def coverage_chart(found: Coverage, units: ShownUnits, column: Column = "male") -> Sheet:
    """Draw a coverage.

    Parameters
    ----------
    found : Coverage
        The answer.
    units : ShownUnits
        Units that the reader picked.
    column : {"male", "female"}
        Whose outlines are drawn.

    Returns
    -------
    Sheet
        For `bikewright.reports.writing.write_drawing`.
    """
    return draw_chart(coverage_plot(found, units, column), *PAPER_MM)


def coverage_plot(found: Coverage, units: ShownUnits, column: Column = "male") -> Chart:
    """What the chart of a coverage shows, before anything draws it."""
    unit = units.of("mm")
    contours = [
        (f"{who}, {100 * share:.0f} %", CROWD_LINES[who], tuple((x / MM, y / MM) for x, y in points))
        for who, people in found.crowd.spreads
        for share in CONTOURS
        for points in (people.contour(share),)
    ]
    outlines = [
        (f"size {size.size}", LINES[index % len(LINES)], _closed(size.band(column).outline))
        for index, size in enumerate(found.sizes)
        if size.band(column).outline
    ]
    (left, right), (low, high) = _window([points for _, _, points in contours] or [points for _, _, points in outlines])
    series = [
        Series(name, *_shown(_from_right(points, (left, right), (low, high)), unit), style)
        for name, style, points in (*outlines, *contours)
    ]
    own = [(size.size, size.own.rider) for size in found.sizes if size.own is not None]
    markers = [
        Marker(*_one((rider.stature_mm, rider.inseam_mm or 0.0), unit), name)
        for name, rider in own
        if left <= rider.stature_mm <= right and low <= (rider.inseam_mm or 0.0) <= high
    ]
    return Chart(
        title=f"{found.build.frame.name}, {found.build.name}: whom the sizes fit",
        x=Axis("stature", unit, convert(left, "mm", unit), convert(right, "mm", unit)),
        y=Axis("inseam", unit, convert(low, "mm", unit), convert(high, "mm", unit)),
        series=tuple(series),
        markers=tuple(markers),
        not_modelled="what a rider likes, suppleness, arms long or short for the stature",
        notes=_notes(found, units, column),
    )


def _closed(points: tuple[Point, ...]) -> tuple[Point, ...]:
    return (*points, points[0])


def _window(groups: list[tuple[Point, ...]]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Ends of both axes: the people, or where none are drawn the outlines [mm]."""
    points = [point for group in groups for point in group]
    ends = []
    for at, either in ((0, 1300.0), (1, 600.0)):
        values = [point[at] for point in points] or [either, 1.5 * either]
        low, high = min(values), max(values)
        ends.append((STEP_MM * (low // STEP_MM), STEP_MM * -(-high // STEP_MM)))
    return ends[0], ends[1]


def _from_right(points: tuple[Point, ...], across: tuple[float, float], up: tuple[float, float]) -> tuple[Point, ...]:
    """A closed line that begins and ends at its corner furthest to the upper right inside the window, for its label."""
    round_ = points[:-1]

    def place(index: int) -> float:
        x, y = round_[index]
        inside = across[0] <= x <= across[1] and up[0] <= y <= up[1]
        return (x - across[0]) / (across[1] - across[0]) + (y - up[0]) / (up[1] - up[0]) - (0.0 if inside else 10.0)

    start = max(range(len(round_)), key=place)
    return (*round_[start:], *round_[:start], round_[start])


def _shown(points: tuple[Point, ...], unit: str) -> tuple[list[float | None], list[float | None]]:
    shown = [_one(point, unit) for point in points]
    return [x for x, _ in shown], [y for _, y in shown]


def _one(point: Point, unit: str) -> Point:
    return convert(point[0], "mm", unit), convert(point[1], "mm", unit)


def _notes(found: Coverage, units: ShownUnits, column: Column) -> tuple[str, ...]:
    told = [f"outlines: {WHO[column]} whom the size fits; dots: the rider that it is made for"]
    apart = [
        abs(edge.stature_mm - other.stature_mm)
        for size in found.sizes
        if size.men.middle is not None and size.women.middle is not None
        for edge, other in (
            (size.men.middle.low, size.women.middle.low),
            (size.men.middle.high, size.women.middle.high),
        )
    ]
    if apart:
        unit = units.of("mm")
        within = number_text(convert(max(apart), "mm", unit), 0 if unit == "mm" else 1)
        told.append(f"edges of men and of women at mean proportions lie within {within}{unit_text(unit)} of each other")
    whom = f"people of {found.crowd.file}" if found.crowd.listed else f"ANSUR II: {SOLDIERS}"
    told.append(f"ellipses: 50 and 90 % of the people, {whom}")
    return ("; ".join(told),)

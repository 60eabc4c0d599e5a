"""The drawing sheet: border, title block and caution round any drawing.

Question answered   Which bike, build, size and state is drawn, at what scale, by which version, and what is to be
                    minded?
Method              A border with centring marks and a title block of two rows along its foot. The date stands there
                    only where it is given, so that the same build gives the same sheet.
Axes and signs      Millimetres of paper, origin at the lower left.
Left out            Zones along the border, a list of parts.
"""

from dataclasses import dataclass

import bikewright
from bikewright.errors import OutsideValidity
from bikewright.reports.cutting import Window
from bikewright.reports.lettering import ABOVE, LINE, shortened, text_width_mm, wrapped
from bikewright.reports.shapes import Layer, Line, Point, Polyline, Shape, Sheet, Text

FORMATS: dict[str, tuple[float, float]] = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}
"""Width and height of the papers, landscape [mm]: ISO 216 A4, and 11 by 8.5 in."""
CAUTION = (
    "Limits printed on a part come first. Before sale: standards testing by an accredited laboratory, "
    "assembly by a qualified mechanic, local rules."
)
"""The usual caution; outputs about strength, brakes and pressures say more beside their numbers."""

MARGIN = 8.0
"""Between the edge of the paper and the border [mm]."""
ROWS = (11.0, 11.0)
"""Heights of the rows of the title block, the upper first [mm]."""
LEAST_WIDTH = 180.0
"""Narrowest sheet whose title block can be read [mm]."""
CAPTION, VALUE, SMALL = 2.2, 3.4, 2.4
"""Font sizes in the title block [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TitleBlock:
    """What the title block says. An empty field shows as a dash."""

    title: str
    """What is drawn: ``side view, table state``."""
    bike: str = ""
    build: str = ""
    size: str = ""
    state: str = ""
    """State of the bike that the numbers hold in."""
    revision: str = ""
    scale: str = ""
    """As in ``1:8``."""
    date: str = ""
    """Left out where it is empty."""
    version: str = f"bikewright {bikewright.__version__}"
    caution: str = CAUTION
    not_modelled: str = ""
    """What the drawing leaves out, for the line above the title block."""


def drawing_window(size: tuple[float, float], block: TitleBlock) -> Window:
    """The free part of a sheet, for the drawing itself.

    Parameters
    ----------
    size : tuple of float
        Width and height of the sheet [mm].
    block : TitleBlock
        Its line of things not modelled takes room above the title block.

    Returns
    -------
    Window
        Left, bottom, right, top [mm].
    """
    foot = MARGIN + sum(ROWS) + len(_left_out(size, block)) * LINE * SMALL
    return MARGIN + 3.0, foot + 2.0, size[0] - MARGIN - 3.0, size[1] - MARGIN - 3.0


def free_extent(width_mm: float, height_mm: float, block: TitleBlock) -> tuple[float, float]:
    """Size of a sheet without a paper format, just large enough for a drawing.

    Parameters
    ----------
    width_mm, height_mm : float
        Room that the drawing takes on paper [mm].
    block : TitleBlock
        What the title block says.

    Returns
    -------
    tuple of float
        Width and height of the sheet [mm].
    """
    width = max(width_mm + 2 * (MARGIN + 3.0), LEAST_WIDTH)
    _, bottom, _, top = drawing_window((width, 1000.0), block)
    return width, height_mm + 1000.0 - (top - bottom)


def framed(
    block: TitleBlock, layers: tuple[Layer, ...], size: tuple[float, float] = FORMATS["a4"], description: str = ""
) -> Sheet:
    """A drawing on its sheet.

    Parameters
    ----------
    block : TitleBlock
        What the title block says.
    layers : tuple of Layer
        The drawing, inside `drawing_window`.
    size : tuple of float
        Width and height of the sheet, from `FORMATS` or `free_extent` [mm].
    description : str
        What the drawing shows, in a sentence, for a screen reader.

    Returns
    -------
    Sheet
        With the layers of the drawing, then ``border`` and ``title block``.

    Raises
    ------
    OutsideValidity
        If the sheet is too narrow for its title block.
    """
    if size[0] < LEAST_WIDTH:
        raise OutsideValidity(
            f"a sheet {size[0]:.0f} mm wide cannot hold its title block; give it at least {LEAST_WIDTH:.0f} mm"
        )
    title = ", ".join(part for part in (block.title, block.bike, block.build, block.size) if part)
    return Sheet(*size, (*layers, Layer("border", _border(size)), _title_block(size, block)), title, description)


def _left_out(size: tuple[float, float], block: TitleBlock) -> tuple[str, ...]:
    if not block.not_modelled:
        return ()
    return wrapped(f"not modelled: {block.not_modelled}", SMALL, size[0] - 2 * MARGIN - 6.0)


def _border(size: tuple[float, float]) -> tuple[Shape, ...]:
    width, height = size
    left, bottom, right, top = MARGIN, MARGIN, width - MARGIN, height - MARGIN
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    middle_x, middle_y = width / 2, height / 2
    return (
        Polyline(corners, "frame", closed=True),
        Line((middle_x, top + 3.0), (middle_x, top - 2.0), "rule"),
        Line((middle_x, bottom - 3.0), (middle_x, bottom), "rule"),
        Line((left - 3.0, middle_y), (left + 2.0, middle_y), "rule"),
        Line((right - 2.0, middle_y), (right + 3.0, middle_y), "rule"),
    )


def _title_block(size: tuple[float, float], block: TitleBlock) -> Layer:
    left, right = MARGIN, size[0] - MARGIN
    foot, middle, top = MARGIN, MARGIN + ROWS[1], MARGIN + sum(ROWS)
    upper = (
        (0.34, "drawing", block.title),
        (0.20, "bike", block.bike),
        (0.24, "build", block.build),
        (0.08, "size", block.size),
        (0.14, "state", block.state),
    )
    lower = [(0.12, "scale", block.scale), (0.12, "revision", block.revision), (0.16, "made by", block.version)]
    if block.date:
        lower.insert(2, (0.14, "date", block.date))
    shapes: list[Shape] = [
        Line((left, top), (right, top), "frame"),
        Line((left, middle), (right, middle), "rule"),
        *_row(left, right, middle, top, upper),
    ]
    start = right - (right - left) * sum(share for share, _, _ in lower)
    shapes += _row(start, right, foot, middle, tuple((s * (right - left) / (right - start), c, v) for s, c, v in lower))
    shapes.append(Line((start, foot), (start, middle), "rule"))
    shapes += _caution(left, start, middle, block.caution)
    for number, line in enumerate(reversed(_left_out(size, block))):
        y = top + 1.6 + number * LINE * SMALL
        shapes.append(Text((left + 3.0, y), line, SMALL, tone="muted"))
    return Layer("title block", tuple(shapes))


def _row(
    left: float, right: float, bottom: float, top: float, cells: tuple[tuple[float, str, str], ...]
) -> list[Shape]:
    """Cells of a row, each with its caption above its value; widths are shares of the row."""
    shapes: list[Shape] = []
    x = left
    for share, caption, value in cells:
        room = share * (right - left)
        if x > left:
            shapes.append(Line((x, bottom), (x, top), "rule"))
        shapes.append(Text((x + 1.8, top - 0.6 - ABOVE * CAPTION), caption, CAPTION, tone="muted"))
        shapes.append(_value(value or "–", (x + 1.8, bottom + 1.8), room - 3.6))
        x += room
    return shapes


def _value(value: str, at: Point, room: float) -> Text:
    """A value that fits its cell: set smaller first, cut only if that is not enough."""
    size = VALUE
    while size > SMALL and text_width_mm(value, size, "semibold") > room:
        size -= 0.2
    return Text(at, shortened(value, size, room, "semibold"), size, weight="semibold")


def _caution(left: float, right: float, top: float, caution: str) -> list[Shape]:
    """The caution, whole: it is set smaller until it fits, never cut."""
    size = SMALL
    while size > 1.4:
        lines = wrapped(caution, size, right - left - 3.6)
        if len(lines) * LINE * size <= ROWS[1] - 1.0:
            base = top - 0.6 - ABOVE * size
            return [Text((left + 1.8, base - number * LINE * size), line, size) for number, line in enumerate(lines)]
        size *= 0.95
    raise OutsideValidity("the caution does not fit into the title block; say it in fewer words")

"""A sheet as SVG text.

Question answered   What does this drawing look like on a page or in a file?
Method              One element a shape, presentation attributes only, so that it shows under a content policy that
                    forbids inline styles; millimetres as user units; every number rounded to a thousandth of a
                    millimetre, so that equal drawings are equal byte for byte.
Axes and signs      The sheet's y runs up, SVG's down; turned here and nowhere else.
Left out            Anything fetched: no fonts, images, styles or scripts from elsewhere.
"""

import hashlib
import math
import unicodedata
from dataclasses import dataclass
from itertools import groupby

from bikewright.reports.paper import baseline_drop_mm, primitives
from bikewright.reports.shapes import STYLES, Arc, Circle, Line, Primitive, Sheet, Text, Tone

FONT_FAMILY = "Source Sans Pro"
"""The face that sheets are set in."""
FONT_STACK = f"'{FONT_FAMILY}', 'Source Sans 3', 'Liberation Sans', Arial, Helvetica, sans-serif"
HALO = 0.36
"""Width of the rim of paper round a text, as a share of its font size."""


@dataclass(frozen=True, slots=True)
class Theme:
    """What colour each tone has."""

    paper: str
    ink: str
    accent: str
    muted: str
    pale: str

    def colour(self, tone: Tone) -> str:
        """Colour of a tone."""
        colours: dict[Tone, str] = {
            "paper": self.paper,
            "ink": self.ink,
            "accent": self.accent,
            "muted": self.muted,
            "pale": self.pale,
        }
        return colours[tone]


PAPER = Theme(paper="#fdfcf9", ink="#1b2024", accent="#b23a17", muted="#5d656b", pale="#dcdad2")
"""Ink on paper white, with one accent."""
DUSK = Theme(paper="#1a1f23", ink="#e9e6dd", accent="#f08a5d", muted="#a3abb0", pale="#3a4248")
"""The same drawing for dusk."""


def to_svg(sheet: Sheet, theme: Theme = PAPER) -> str:
    """Write a sheet as a complete SVG document.

    Parameters
    ----------
    sheet : Sheet
        The drawing.
    theme : Theme
        Colours.

    Returns
    -------
    str
        SVG text without an XML declaration; it may stand in a file or inside a page.

    Raises
    ------
    OutsideValidity
        If a shape has a coordinate that is not a number.
    """
    body = [f'<rect width="{_n(sheet.width_mm)}" height="{_n(sheet.height_mm)}" fill="{theme.paper}"/>']
    for name, shapes in groupby(primitives(sheet), key=lambda pair: pair[0]):
        drawn = "\n".join(_element(shape, sheet.height_mm, theme) for _, shape in shapes)
        body.append(f'<g data-layer="{_attribute(name)}">\n{drawn}\n</g>')
    inside = "\n".join(body)
    # the id comes from the content, so that two drawings in one page do not name each other
    key = "d" + hashlib.sha256((sheet.title + sheet.description + inside).encode()).hexdigest()[:10]
    width, height = _n(sheet.width_mm), _n(sheet.height_mm)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" role="img" aria-labelledby="{key}-title" aria-describedby="{key}-desc" '
        f'font-family="{FONT_STACK}" font-variant="tabular-nums" fill="none" stroke-linejoin="round" '
        f'stroke-linecap="butt">'
    )
    title = f'<title id="{key}-title">{text_content(sheet.title)}</title>'
    description = f'<desc id="{key}-desc">{text_content(sheet.description)}</desc>'
    return "\n".join((head, title, description, inside, "</svg>", ""))


def text_content(text: str) -> str:
    """A text that is safe and exact inside an element: escaped, one line, no invisible characters.

    Runs of white space become one space, so that nothing hangs on the reader's handling of ``xml:space``; control
    characters and marks that turn the direction of writing become U+FFFD, so that a name cannot hide or reorder text.
    """
    visible = " ".join("".join(_shown(character) for character in text).split())
    return visible.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _shown(character: str) -> str:
    if character in "\t\n\r":
        return " "
    hidden = unicodedata.category(character) in ("Cc", "Cf", "Cs", "Cn", "Co") or character in "\u2028\u2029"
    return "\ufffd" if hidden else character


def _attribute(text: str) -> str:
    return text_content(text).replace('"', "&quot;").replace("'", "&#39;")


def _n(number: float) -> str:
    """A length to a thousandth of a millimetre, as short as it can be written."""
    text = f"{number:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _element(shape: Primitive, height: float, theme: Theme) -> str:
    if isinstance(shape, Text):
        return _text(shape, height, theme)
    if isinstance(shape, Line):
        (x1, y1), (x2, y2) = shape.a, shape.b
        ends = f'x1="{_n(x1)}" y1="{_n(height - y1)}" x2="{_n(x2)}" y2="{_n(height - y2)}"'
        return f"<line {ends}{_stroke(shape.style, theme)}/>"
    if isinstance(shape, Circle):
        x, y = shape.centre
        place = f'cx="{_n(x)}" cy="{_n(height - y)}" r="{_n(shape.radius)}"'
        return f"<circle {place}{_fill(shape.fill, theme)}{_stroke(shape.style, theme)}/>"
    if isinstance(shape, Arc):
        return f'<path d="{_arc(shape, height)}"{_stroke(shape.style, theme)}/>'
    points = " ".join(f"{_n(x)},{_n(height - y)}" for x, y in shape.points)
    kind = "polygon" if shape.closed else "polyline"
    return f'<{kind} points="{points}"{_fill(shape.fill, theme)}{_stroke(shape.style, theme)}/>'


def _arc(arc: Arc, height: float) -> str:
    sweep = arc.end_deg - arc.start_deg
    ends = []
    for angle in (arc.start_deg, arc.end_deg):
        x = arc.centre[0] + arc.radius * math.cos(math.radians(angle))
        y = arc.centre[1] + arc.radius * math.sin(math.radians(angle))
        ends.append(f"{_n(x)} {_n(height - y)}")
    large = 1 if abs(sweep) > 180 else 0
    # anticlockwise with y up is SVG's negative direction
    return f"M {ends[0]} A {_n(arc.radius)} {_n(arc.radius)} 0 {large} {0 if sweep > 0 else 1} {ends[1]}"


def _text(text: Text, height: float, theme: Theme) -> str:
    turn = math.radians(text.angle_deg)
    drop = baseline_drop_mm(text)
    x, y = text.at[0] - drop * math.sin(turn), height - (text.at[1] + drop * math.cos(turn))
    attributes = [f'x="{_n(x)}"', f'y="{_n(y)}"', f'font-size="{_n(text.size_mm)}"']
    if text.anchor != "start":
        attributes.append(f'text-anchor="{text.anchor}"')
    if text.weight == "semibold":
        attributes.append('font-weight="600"')
    if abs(text.angle_deg) > 1e-9:
        attributes.append(f'transform="rotate({_n(-text.angle_deg)} {_n(x)} {_n(y)})"')
    attributes.append(f'fill="{theme.colour(text.tone)}"')
    if text.halo:
        rim = f'stroke="{theme.paper}" stroke-width="{_n(HALO * text.size_mm)}" paint-order="stroke"'
        attributes.append(rim)
    return f"<text {' '.join(attributes)}>{text_content(text.text)}</text>"


def _fill(tone: Tone | None, theme: Theme) -> str:
    return "" if tone is None else f' fill="{theme.colour(tone)}"'


def _stroke(name: str | None, theme: Theme) -> str:
    if name is None:
        return ""
    style = STYLES[name]
    dash = f' stroke-dasharray="{" ".join(_n(length) for length in style.dash)}"' if style.dash else ""
    return f' stroke="{theme.colour(style.tone)}" stroke-width="{_n(style.weight_mm)}"{dash}'

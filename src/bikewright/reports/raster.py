"""An SVG drawing as a PNG picture, in the same face on every machine.

Question answered   What does the drawing look like as pixels, for a page of text, a message or a check by eye?
Method              Typst renders the SVG, which is passed as data; see `bikewright.reports.typesetting`.
Left out            Nothing is fetched.
"""

from bikewright.errors import OutsideValidity
from bikewright.reports.svg import FONT_FAMILY
from bikewright.reports.typesetting import font_folder, typeset

__all__ = ["font_folder", "to_png"]

_SOURCE = f"""#set page(width: auto, height: auto, margin: 0pt)
#set text(font: "{FONT_FAMILY}")
#let picture(drawing, ..size) = image(bytes(drawing), format: "svg", ..size)
#let pixel = 72pt / float(sys.inputs.pixels_per_inch)
#context {{
  let own = measure(picture(sys.inputs.drawing))
  let whole = (own.width, own.height).map(length => (calc.max(1, calc.round(length / pixel)) - 0.001) * pixel)
  let (width, height) = whole.map(length => str(length / 1pt) + "pt")
  let (right, bottom) = (own.width, own.height).map(length => str(length / 0.75pt))
  picture(
    "<svg xmlns='http://www.w3.org/2000/svg' preserveAspectRatio='none' width='" + width + "' height='" + height
      + "' viewBox='0 0 " + right + " " + bottom + "'>" + sys.inputs.drawing + "</svg>",
    width: whole.at(0), height: whole.at(1), fit: "stretch",
  )
}}
"""
"""The drawing is stretched to whole pixels, by less than one: typst would else leave out or double a row or column."""


def to_png(svg: str, pixels_per_inch: float = 144.0) -> bytes:
    """Draw an SVG document as PNG.

    Parameters
    ----------
    svg : str
        Document from `bikewright.reports.svg.to_svg`.
    pixels_per_inch : float
        Resolution on the drawing's own size [1/in].

    Returns
    -------
    bytes
        The PNG file; the same bytes for the same document.

    Raises
    ------
    EnvironmentFault
        If typst or the font is missing on this machine, or typst warns.
    OutsideValidity
        If the text is not an SVG drawing.
    """
    try:
        data = {"drawing": svg, "pixels_per_inch": repr(pixels_per_inch)}
        return typeset(_SOURCE.encode(), "png", data, pixels_per_inch=pixels_per_inch)
    except OutsideValidity as error:
        raise OutsideValidity(f"the text cannot be drawn as SVG: {error}") from None

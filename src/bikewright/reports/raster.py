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
#image(bytes(sys.inputs.drawing), format: "svg")
"""


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
        return typeset(_SOURCE.encode(), "png", {"drawing": svg}, pixels_per_inch=pixels_per_inch)
    except OutsideValidity as error:
        raise OutsideValidity(f"the text cannot be drawn as SVG: {error}") from None

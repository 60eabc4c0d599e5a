"""An SVG drawing as a PNG picture, in the same face on every machine.

Question answered   What does the drawing look like as pixels, for a page of text, a message or a check by eye?
Method              The typst binding renders the SVG with the fonts of the package font-source-sans-pro and no fonts
                    of the machine. The drawing is passed as data, never pasted into source.
Left out            Nothing is fetched; no typst package is imported.

The binding hands warnings back beside the picture (`compile_with_warnings`); the plain `compile` drops them without a
word. A face that an SVG asks for and that is absent gives no warning at all: the text is set in another face. So
the face is looked for first, and typst itself is told to use it, which does warn.
"""

from functools import cache
from pathlib import Path
from typing import Any

from bikewright.errors import EnvironmentFault, OutsideValidity
from bikewright.reports.svg import FONT_FAMILY

_SOURCE = f"""#set page(width: auto, height: auto, margin: 0pt)
#set text(font: "{FONT_FAMILY}")
#image(bytes(sys.inputs.drawing), format: "svg")
"""


@cache
def font_folder() -> Path:
    """Folder with the font files of the face that sheets are set in.

    Raises
    ------
    EnvironmentFault
        If the font package is not installed or does not hold the face.
    """
    try:
        import font_source_sans_pro
    except ImportError:
        raise EnvironmentFault(
            f"the font {FONT_FAMILY} is not installed, so nothing can be set in it. "
            "Install the Python package font-source-sans-pro into the same environment."
        ) from None
    folder = Path(font_source_sans_pro.font_directory)
    if not any(folder.glob("SourceSansPro-Regular.*")):
        raise EnvironmentFault(
            f"the Python package font-source-sans-pro holds no font file in {folder}. Install it again."
        )
    return folder


@cache
def _typst() -> Any:
    """The typst binding, imported when first needed."""
    try:
        import typst
    except ImportError:
        raise EnvironmentFault(
            "the package typst is not installed, so no picture or PDF can be made. "
            "Install the Python package typst into the same environment."
        ) from None
    return typst


@cache
def _fonts() -> Any:
    fonts = _typst().Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(font_folder())])
    if FONT_FAMILY not in fonts.families():
        raise EnvironmentFault(
            f"the font files in {font_folder()} do not hold the face {FONT_FAMILY}. "
            "Install the Python package font-source-sans-pro again."
        )
    return fonts


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
    typst = _typst()
    fonts = _fonts()
    try:
        picture, warnings = typst.compile_with_warnings(
            _SOURCE.encode(),
            format="png",
            ppi=pixels_per_inch,
            font_paths=fonts,
            ignore_system_fonts=True,
            sys_inputs={"drawing": svg},
        )
    except typst.TypstError as error:
        raise OutsideValidity(f"the text cannot be drawn as SVG: {error}") from None
    if warnings:
        told = "; ".join(str(warning) for warning in warnings)
        raise EnvironmentFault(
            f"typst warned while drawing, so the picture may be wrong: {told}. "
            "Install the Python packages typst and font-source-sans-pro again, at the versions of the lock file."
        )
    return bytes(picture)

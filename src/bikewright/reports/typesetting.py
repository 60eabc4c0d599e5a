"""The typst binding: source of ours, data of the user, our face and no other, and no warning overlooked.

Question answered   How does source become a picture or a PDF, the same on every machine?
Method              The typst binding with the fonts of the package font-source-sans-pro and no fonts of the machine.
                    What a user wrote is passed as data beside the source, never pasted into it.
Left out            Nothing is fetched; no typst package is imported.

The binding hands warnings back beside the result (`compile_with_warnings`); the plain `compile` drops them without a
word. A face that an SVG asks for and that is absent gives no warning at all: the text is set in another face. So
the face is looked for first, and typst itself is told to use it, which does warn. A character that the face does not
hold gives no warning either: `is_held` tells.
"""

from functools import cache
from pathlib import Path
from typing import Any, Literal

from bikewright.errors import EnvironmentFault, OutsideValidity
from bikewright.reports.svg import FONT_FAMILY


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
def typst_binding() -> Any:
    """The typst binding, imported when first needed.

    Raises
    ------
    EnvironmentFault
        If it is not installed.
    """
    try:
        import typst
    except ImportError:
        raise EnvironmentFault(
            "the package typst is not installed, so no picture or PDF can be made. "
            "Install the Python package typst into the same environment."
        ) from None
    return typst


@cache
def fonts() -> Any:
    """The face that sheets are set in, as typst wants it.

    Raises
    ------
    EnvironmentFault
        If its files do not hold it.
    """
    found = typst_binding().Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(font_folder())]
    )
    if FONT_FAMILY not in found.families():
        raise EnvironmentFault(
            f"the font files in {font_folder()} do not hold the face {FONT_FAMILY}. "
            "Install the Python package font-source-sans-pro again."
        )
    return found


@cache
def _held() -> frozenset[int]:
    """Code points that both weights of the face hold."""
    from fontTools.ttLib import TTFont

    maps = []
    for weight in ("Regular", "Semibold"):
        with TTFont(font_folder() / f"SourceSansPro-{weight}.ttf", lazy=True) as font:
            maps.append(frozenset(font["cmap"].getBestCmap()))
    return maps[0] & maps[1]


def is_held(character: str) -> bool:
    """Whether the face has a shape for a character, so that it can be read on paper."""
    return " " <= character <= "~" or ord(character) in _held()


def typeset(
    source: bytes, kind: Literal["png", "pdf", "svg"], data: dict[str, str], *, pixels_per_inch: float | None = None
) -> bytes:
    """Set source with its data.

    Parameters
    ----------
    source : bytes
        Typst source of this package; nothing of a user may stand in it.
    kind : str
        ``"png"``, ``"pdf"`` or ``"svg"``.
    data : dict of str to str
        What the source reads as ``sys.inputs``.
    pixels_per_inch : float or None
        Resolution of a picture [1/in].

    Returns
    -------
    bytes
        The file; the same bytes for the same source and data.

    Raises
    ------
    EnvironmentFault
        If typst or the font is missing on this machine, or typst warns.
    OutsideValidity
        If typst cannot set it.
    """
    typst, face = typst_binding(), fonts()
    try:
        done, warnings = typst.compile_with_warnings(
            source, format=kind, ppi=pixels_per_inch, font_paths=face, ignore_system_fonts=True, sys_inputs=data
        )
    except typst.TypstError as error:
        raise OutsideValidity(f"typst cannot set this: {error}") from None
    if warnings:
        told = "; ".join(str(warning) for warning in warnings)
        raise EnvironmentFault(
            f"typst warned, so what it made may be wrong: {told}. "
            "Install the Python packages typst and font-source-sans-pro again, at the versions of the lock file."
        )
    return bytes(done)

"""Drawings as pictures."""

import struct
import subprocess
import sys
import zlib

import numpy as np
import pytest

from bikewright.errors import EnvironmentFault, OutsideValidity
from bikewright.reports import raster, typesetting
from bikewright.reports.svg import to_svg
from tests.reports.sample_drawings import HOSTILE, leverage_sheet, side_view


@pytest.fixture
def forgetful():
    """The lookups made anew in the test, and again after it."""
    for lookup in (typesetting.font_folder, typesetting.typst_binding, typesetting.fonts):
        lookup.cache_clear()
    yield
    for lookup in (typesetting.font_folder, typesetting.typst_binding, typesetting.fonts):
        lookup.cache_clear()


def size_of(png):
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    return struct.unpack(">II", png[16:24])


def test_the_picture_has_the_size_of_the_drawing():
    # the chart is 160 x 95 mm; typst counts in points and rounds to pixels
    assert size_of(raster.to_png(to_svg(leverage_sheet()), 254.0)) == pytest.approx((1600, 950), abs=2)


def rows_of(png):
    """Red of each pixel, row by row; typst writes eight bits for red, green, blue and opacity (PNG 1.2, section 6)."""
    width, height = size_of(png)
    chunks, at = b"", 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        if png[at + 4 : at + 8] == b"IDAT":
            chunks += png[at + 8 : at + 8 + length]
        at += 12 + length
    data = np.frombuffer(zlib.decompress(chunks), np.uint8).reshape(height, 1 + 4 * width)
    rows, above = [], np.zeros(4 * width, int)
    for kind, line in zip(data[:, 0], data[:, 1:].astype(int), strict=True):
        row = line.copy()
        for i in range(4 * width):
            left, corner = (int(row[i - 4]), int(above[i - 4])) if i > 3 else (0, 0)
            up = int(above[i])
            row[i] += {0: 0, 1: left, 2: up, 3: (left + up) // 2}.get(kind, _paeth(left, up, corner))
            row[i] &= 255
        rows.append(row[::4])
        above = row
    return np.array(rows)


def _paeth(left, up, corner):
    return min((left, up, corner), key=lambda value: abs(left + up - corner - value))


def test_no_row_and_no_column_of_the_picture_is_lost_or_doubled():
    """Lines one pixel wide at every fourth pixel of a drawing that is 226.77 by 170.08 pixels large."""
    width, height, wide, high = 227, 170, 80.0, 60.0
    upright = "".join(
        f'<rect x="{i * wide / width:.6f}" y="0" width="{wide / width:.6f}" height="10"/>' for i in range(0, width, 4)
    )
    level = "".join(
        f'<rect x="0" y="{i * high / height:.6f}" width="10" height="{high / height:.6f}"/>'
        for i in range(0, height, 4)
    )
    picture = rows_of(
        raster.to_png(
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}">'
            f'<rect width="{wide}" height="{high}" fill="#ffffff"/>{upright}{level}</svg>',
            72.0,
        )
    )
    assert picture.shape == (height, width)
    for line in (picture[5, 40:], picture[40:, 5]):
        assert sorted(set(np.flatnonzero(line < 250) % 4)) == [0]
        assert sorted(set(line[::4] < 5)) == [True]


def test_the_same_drawing_is_the_same_picture():
    document = to_svg(side_view())
    assert raster.to_png(document, 72.0) == raster.to_png(document, 72.0)


def test_the_picture_shows_the_letters():
    """Another number gives another picture: the text is really set."""
    assert raster.to_png(to_svg(leverage_sheet("1"))) != raster.to_png(to_svg(leverage_sheet("2")))


def test_a_hostile_name_is_only_drawn():
    assert size_of(raster.to_png(to_svg(leverage_sheet(HOSTILE + ' #panic("no") \\')), 72.0))


def test_what_is_no_drawing_is_refused():
    with pytest.raises(OutsideValidity, match="cannot be drawn"):
        raster.to_png("<svg")


@pytest.mark.fault
@pytest.mark.parametrize(
    ("module", "says"),
    [("typst", "Install the Python package typst"), ("font_source_sans_pro", "font-source-sans-pro")],
)
@pytest.mark.usefixtures("forgetful")
def test_a_missing_package_says_what_to_install(monkeypatch, module, says):
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(EnvironmentFault, match=says):
        raster.to_png(to_svg(leverage_sheet()))


@pytest.mark.fault
@pytest.mark.usefixtures("forgetful")
def test_a_font_package_without_its_files_is_found_out(monkeypatch, tmp_path):
    """Without this check the SVG's text would be set in another face, and nothing would say so."""
    import font_source_sans_pro

    monkeypatch.setattr(font_source_sans_pro, "font_directory", str(tmp_path))
    with pytest.raises(EnvironmentFault, match="Install it again"):
        raster.to_png(to_svg(leverage_sheet()))
    (tmp_path / "SourceSansPro-Regular.ttf").write_bytes(b"not a font")
    with pytest.raises(EnvironmentFault, match="do not hold the face"):
        raster.to_png(to_svg(leverage_sheet()))


@pytest.mark.fault
def test_a_warning_of_typst_is_a_failure(monkeypatch):
    monkeypatch.setattr(raster, "_SOURCE", raster._SOURCE.replace(raster.FONT_FAMILY, "No Such Face"))
    with pytest.raises(EnvironmentFault, match="unknown font family"):
        raster.to_png(to_svg(leverage_sheet()))


def test_typst_is_imported_only_when_a_picture_is_made():
    program = (
        "import sys, bikewright.reports.raster, bikewright.reports.svg, bikewright.reports.bike_drawing\n"
        "print([m for m in ('typst', 'font_source_sans_pro', 'fontTools') if m in sys.modules])"
    )
    said = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "[]"

"""Sheets as SVG text."""

import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bikewright.errors import OutsideValidity
from bikewright.reports.shapes import STYLES, Arc, Circle, Layer, Line, Polyline, Sheet, Text, horizontal
from bikewright.reports.svg import DUSK, PAPER, text_content, to_svg
from tests.reports.sample_drawings import HOSTILE, leverage_sheet, side_view

NS = "{http://www.w3.org/2000/svg}"


def sheet_of(*shapes, scale=1.0, origin=(0.0, 0.0), title="a sheet"):
    return Sheet(100.0, 60.0, (Layer("layer", shapes, scale, origin),), title, "for a test")


def parsed(sheet, theme=PAPER):
    return ET.fromstring(to_svg(sheet, theme))


def test_the_sheet_is_in_millimetres_and_says_what_it_is():
    root = parsed(sheet_of())
    assert (root.get("viewBox"), root.get("width"), root.get("height")) == ("0 0 100 60", "100mm", "60mm")
    assert root.get("role") == "img"
    named = {element.get("id"): element.text for element in root if element.get("id")}
    assert named[root.get("aria-labelledby")] == "a sheet"
    assert named[root.get("aria-describedby")] == "for a test"
    assert root.get("font-variant") == "tabular-nums"


def test_up_on_the_sheet_is_up_on_the_page():
    (line,) = parsed(sheet_of(Line((10.0, 5.0), (20.0, 50.0)))).iter(f"{NS}line")
    assert [line.get(key) for key in ("x1", "y1", "x2", "y2")] == ["10", "55", "20", "10"]


def test_a_layer_scales_points_and_leaves_weights_and_letters():
    root = parsed(sheet_of(Circle((100.0, 200.0), 372.0), Text((0.0, 0.0), "t", 3.0), scale=0.1, origin=(5.0, 5.0)))
    (circle,), (text,) = root.iter(f"{NS}circle"), root.iter(f"{NS}text")
    assert [circle.get(key) for key in ("cx", "cy", "r")] == ["15", "35", "37.2"]
    assert circle.get("stroke-width") == str(STYLES["outline"].weight_mm)
    assert text.get("font-size") == "3"


def test_an_arc_turns_anticlockwise():
    (path,) = parsed(sheet_of(Arc((50.0, 30.0), 10.0, 0.0, 270.0))).iter(f"{NS}path")
    # from the right over the top and the left to below: the large arc, in SVG's negative direction
    assert path.get("d") == "M 60 30 A 10 10 0 1 0 50 40"


def test_hostile_names_are_shown_as_text():
    document = to_svg(side_view(HOSTILE))
    root = ET.fromstring(document)
    assert {element.tag.removeprefix(NS) for element in root.iter()} <= {
        "svg", "title", "desc", "g", "rect", "line", "polyline", "polygon", "circle", "path", "text",
    }  # fmt: skip
    assert "<script" not in document
    assert "&lt;script&gt;" in document
    assert "\u202e" not in document
    assert "\x00" not in document


def test_nothing_is_fetched_and_no_inline_style_is_needed():
    document = to_svg(side_view())
    for word in ("href", "url(", "style=", "<style", "@import", "http://", "https://"):
        assert word not in document.replace('xmlns="http://www.w3.org/2000/svg"', "")


@given(st.text())
def test_any_text_is_one_line_of_well_formed_content(text):
    element = ET.fromstring(f"<t>{text_content(text)}</t>")
    shown = element.text or ""
    assert "\n" not in shown
    assert "  " not in shown
    assert shown == shown.strip()
    assert not len(element)


def test_numbers_have_no_negative_zero_and_at_most_three_decimals():
    document = to_svg(sheet_of(Line((-1e-9, 60.0), (1 / 3, 60.00004))))
    assert 'x1="0" y1="0" x2="0.333" y2="0"' in document


@pytest.mark.parametrize(
    "shape",
    [
        Line((0.0, float("nan")), (1.0, 1.0)),
        Polyline(((0.0, 0.0), (float("inf"), 1.0))),
        Text((float("nan"), 0.0), "t"),
        horizontal((0.0, 0.0), (float("nan"), 0.0), 5.0, "5"),
    ],
)
def test_a_coordinate_that_is_no_number_is_refused(shape):
    with pytest.raises(OutsideValidity, match="not a number"):
        to_svg(sheet_of(shape))


def test_whose_answer_a_line_is_shows_without_colour():
    """Current, before, pinned and brief differ by their dash alone."""
    dashes = [STYLES[name].dash for name in ("current", "before", "pinned", "brief")]
    assert len(set(dashes)) == 4
    assert dashes[0] == ()


def test_every_colour_of_text_stands_out_from_its_paper():
    """Contrast of at least 4.5 to 1 (WCAG 2.1, 1.4.3; formula from memory)."""

    def light(colour):
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    for theme in (PAPER, DUSK):
        for tone in ("ink", "accent", "muted"):
            low, high = sorted((light(theme.paper), light(theme.colour(tone))))
            assert (high + 0.05) / (low + 0.05) >= 4.5, (theme, tone)


def test_dusk_changes_colours_only():
    sheet = leverage_sheet()
    paper, dusk = (list(parsed(sheet, theme).iter()) for theme in (PAPER, DUSK))
    colours = {"fill", "stroke", "id", "aria-labelledby", "aria-describedby"}
    for a, b in zip(paper, dusk, strict=True):
        assert {k: v for k, v in a.attrib.items() if k not in colours} == {
            k: v for k, v in b.attrib.items() if k not in colours
        }


def test_the_same_drawing_is_the_same_bytes_in_another_process():
    program = (
        "import hashlib; from bikewright.reports.svg import to_svg\n"
        "from tests.reports.sample_drawings import leverage_sheet, side_view\n"
        "print(hashlib.sha256((to_svg(side_view()) + to_svg(leverage_sheet())).encode()).hexdigest())"
    )
    said = [
        subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert all(a == b for a, b in pairwise(said))
    assert len(said[0].strip()) == 64


def test_two_drawings_in_one_page_do_not_share_a_name():
    ids = [[e.get("id") for e in parsed(sheet).iter() if e.get("id")] for sheet in (side_view(), leverage_sheet())]
    assert not set(ids[0]) & set(ids[1])

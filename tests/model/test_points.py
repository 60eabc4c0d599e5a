"""Pivots from a drawing in any place, scale, turn and side land on the same points in frame axes."""

import math
import random

import ezdxf
import pytest

from bikewright.errors import PointsError
from bikewright.model.points import UNITS_MM, read_points

PINS = {"axle": (-434.8, 32.0), "main": (20.0, 70.0), "rocker": (-60.0, 280.0), "shock_front": (189.2, 263.3)}
INSUNITS = {"mm": 4, "cm": 5, "in": 1, "m": 6}


def drawn(point, *, origin=(0.0, 0.0), unit="mm", turn_deg=0, mirrored=False, upside_down=False):
    """A point of the bike as a drawing might have it: what the reader must undo."""
    x, z = point
    x, z = (-x if mirrored else x), (-z if upside_down else z)
    angle = math.radians(-turn_deg)
    x, z = x * math.cos(angle) - z * math.sin(angle), x * math.sin(angle) + z * math.cos(angle)
    scale = UNITS_MM[unit]
    return x / scale + origin[0], z / scale + origin[1]


def as_csv(path, **how):
    rows = [(name, *drawn(point, **how)) for name, point in {"bb": (0, 0), **PINS}.items()]
    path.write_text("name,x,z\n" + "".join(f"{name},{x:.9f},{z:.9f}\n" for name, x, z in rows), encoding="utf-8")
    return path


def as_dxf(path, *, insunits=0, **how):
    drawing = ezdxf.new()
    drawing.header["$INSUNITS"] = insunits
    space = drawing.modelspace()
    size = 10 / UNITS_MM[how.get("unit", "mm")]
    for index, (name, point) in enumerate({"bb": (0, 0), **PINS}.items()):
        at = drawn(point, **how)
        if index % 4 == 0:
            space.add_circle(at, size)
            space.add_circle(at, size / 2)
            space.add_text(name, height=size / 4).set_placement((at[0] + size / 3, at[1]))
        elif index % 4 == 1:
            space.add_arc(at, size, 0, 180)
            space.add_mtext(name, dxfattribs={"char_height": size / 4, "insert": (at[0], at[1] + size / 2)})
        elif index % 4 == 2:
            space.add_point(at, dxfattribs={"layer": name})
        else:
            if name not in drawing.blocks:
                drawing.blocks.new(name).add_circle((0, 0), size)
            space.add_blockref(name, at)
    drawing.saveas(path)
    return path


def places(points):
    return {pin.name: (pin.x_mm, pin.z_mm) for pin in points.pins}


def assert_same(points):
    found = places(points)
    assert list(found) == list(PINS)
    for name, (x, z) in PINS.items():
        assert found[name] == pytest.approx((x, z), abs=2e-4)
    assert points.rear_centre_mm == pytest.approx(math.hypot(434.8, 32), abs=1e-3)


def test_forty_random_drawings_give_the_same_points(tmp_path):
    rng = random.Random(3)
    for _ in range(40):
        how = {
            "origin": (rng.uniform(-900, 900), rng.uniform(-900, 900)),
            "unit": rng.choice(list(UNITS_MM)),
            "turn_deg": rng.choice((0, 90, 180, 270)),
            "mirrored": rng.random() < 0.5,
            "upside_down": rng.random() < 0.5,
        }
        undo = {key: how[key] for key in ("turn_deg", "upside_down")}
        stated = rng.choice((None, 436.0, 435.0))
        assert_same(read_points(as_csv(tmp_path / "p.csv", **how), rear_centre_mm=stated, **undo))
        insunits = rng.choice((0, INSUNITS[how["unit"]]))
        assert_same(read_points(as_dxf(tmp_path / "p.dxf", insunits=insunits, **how), rear_centre_mm=stated, **undo))


def test_what_was_done_is_said(tmp_path):
    points = read_points(as_csv(tmp_path / "p.csv", origin=(100, 50), unit="in", mirrored=True))
    assert "moved by (-100, -50)" in points.told
    assert "scaled by 25.4 (taken to be drawn in in, the only unit that makes it a rear centre)" in points.told
    assert "mirrored, since the axle was ahead of the bottom bracket" in points.told
    assert "rear centre 436.0 mm" in points.told
    assert "mirrored" not in read_points(as_csv(tmp_path / "q.csv")).told


def test_the_columns_of_a_csv_may_be_named_and_ordered_as_they_like(tmp_path):
    path = tmp_path / "p.csv"
    path.write_text(
        "z (cm);point;X (cm);joins\n0;BB;0;\n3,2;Rear_Axle;-43,48;swingarm+wheel\n# note\n7;main;2;frame swingarm\n"
    )
    points = read_points(path)
    assert places(points) == {"axle": (-434.8, 32.0), "main": (20.0, 70.0)}
    assert [pin.joins for pin in points.pins] == [("swingarm", "wheel"), ("frame", "swingarm")]
    assert "drawn in cm, as the file says" in points.told

    path.write_text("bb,0,0\naxle,-434.8,32\n")
    assert places(read_points(path)) == {"axle": (-434.8, 32.0)}


@pytest.mark.parametrize(
    ("text", "how", "words"),
    [
        ("", {}, "is empty"),
        ("name,x,z\n", {}, "no point is called bb"),
        ("name,x\nbb,0\n", {}, "no column z"),
        ("name,x,z\nbb,0,0\naxel,-436,0\n", {}, "no point is called axle (the rear axle). Did you mean axel?"),
        ("name,x,z\nbb,0,0\naxle,-436,0\nbb,1,1\n", {}, "two points are called bb, at (0, 0) and at (1, 1)"),
        ("name,x,z\nbb,0,0\naxle,abc,0\n", {}, 'line 3: "abc" is no coordinate'),
        ("name,x,z\nbb,0,0\naxle,nan,0\n", {}, "is no coordinate"),
        ("name,x,z\nbb,0,0\naxle,-1e999,0\n", {}, "is no coordinate"),
        ("name,x,z\nbb,0,0\naxle\n", {}, "is no coordinate"),
        ("name,x,z\nbb,0,0\naxle,0,0\n", {}, "0 apart"),
        ("name,x,z\nbb,0,0\n,1,1\naxle,-436,0\n", {}, "cannot be the name of a pin"),
        ("name,x (mm),z (in)\nbb,0,0\n", {}, "x in one unit and z in another"),
        ("name,x,z\nbb,0,0\naxle,-600,0\n", {}, "600 mm if drawn in mm"),
        ("name,x,z\nbb,0,0\naxle,-436,0\n", {"rear_centre_mm": 440}, "stated as 440 mm, but bb and axle are 436 mm"),
        ("name,x,z\nbb,0,0\naxle,-436,0\n", {"unit": "in"}, "makes the rear centre 1.107e+04 mm"),
        ("name,x (in),z (in)\nbb,0,0\naxle,-436,0\n", {}, "the unit in the file is in"),
        ("name,x,z\nbb,0,0\naxle,-436,0\n", {"unit": "ft"}, "no unit of a drawing; allowed: mm, cm, in, m"),
        ("name,x,z\nbb,0,0\naxle,-436,0\n", {"turn_deg": 45}, "quarter turns"),
        ("name,x,z\nbb,0,0\naxle,-30,435\n", {}, "435.0 mm above the bottom bracket; turn the drawing"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_placed_says_what_was_found(tmp_path, text, how, words):
    path = tmp_path / "p.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PointsError) as caught:
        read_points(path, **how)
    assert words in str(caught.value)


def test_a_unit_that_is_given_overrules_the_one_in_the_file(tmp_path):
    as_dxf(tmp_path / "p.dxf", insunits=INSUNITS["m"])
    with pytest.raises(PointsError, match=r"unit in the file is m.*give the unit to overrule"):
        read_points(tmp_path / "p.dxf")
    assert_same(read_points(tmp_path / "p.dxf", unit="mm"))


def test_a_drawing_without_names_says_how_to_name_them(tmp_path):
    drawing = ezdxf.new(units=INSUNITS["mm"])
    drawing.modelspace().add_circle((0, 0), 5)
    drawing.modelspace().add_text("bb", height=2).set_placement((80, 0))  # too far away to mean the circle
    drawing.saveas(tmp_path / "p.dxf")
    with pytest.raises(PointsError, match="put a text inside each circle"):
        read_points(tmp_path / "p.dxf")


def test_the_nearest_text_names_a_circle(tmp_path):
    drawing = ezdxf.new(units=INSUNITS["mm"])
    space = drawing.modelspace()
    for name, x in (("bb", 0), ("axle", -436)):
        space.add_circle((x, 0), 30)
        space.add_text("note", height=2).set_placement((x + 20, 5))
        space.add_text(name, height=2).set_placement((x + 1, 0))
    drawing.saveas(tmp_path / "p.dxf")
    assert list(places(read_points(tmp_path / "p.dxf"))) == ["axle"]


def test_an_attribute_names_a_block(tmp_path):
    drawing = ezdxf.new(units=INSUNITS["mm"])
    block = drawing.blocks.new("pivot")
    block.add_attdef("NAME", (0, 0))
    for name, point in {"bb": (0, 0), **PINS}.items():
        drawing.modelspace().add_blockref("pivot", point).add_auto_attribs({"NAME": name})
    drawing.saveas(tmp_path / "p.dxf")
    assert_same(read_points(tmp_path / "p.dxf"))


def test_a_drawing_that_is_binary_cut_off_or_absent_is_told(tmp_path):
    whole = as_dxf(tmp_path / "p.dxf").read_bytes()
    cut = (
        whole[:200],
        whole[: len(whole) // 2],
        b"AutoCAD Binary DXF\r\n\x1a\x00abc",
        b"\x00\xff" * 500,
        b"0\nEOF\n",
        b"0",
    )
    for number, content in enumerate(cut):
        path = tmp_path / f"broken-{number}.dxf"
        path.write_bytes(content)
        with pytest.raises(PointsError, match=f"broken-{number}.dxf"):
            read_points(path)
    for path in (tmp_path / "none.dxf", tmp_path, tmp_path / "none.csv", "a\0b.csv"):
        with pytest.raises(PointsError):
            read_points(path)


def test_a_binary_dxf_that_is_whole_is_read(tmp_path):
    drawing = ezdxf.readfile(as_dxf(tmp_path / "p.dxf"))
    drawing.saveas(tmp_path / "b.dxf", fmt="bin")
    assert_same(read_points(tmp_path / "b.dxf"))

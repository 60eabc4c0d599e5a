"""Measured tables of dampers: what a sound one is, in a parts file and in a CSV file."""

import pytest

from bikewright.errors import AddressError, ModelError, ModelFileError
from bikewright.model.damper_table import read_circuit, table_changes, unsound
from bikewright.model.files import read_bike
from bikewright.model.parts import Circuit, Damper, Knee
from bikewright.model.versions import keep, read_version
from bikewright.model.writing import write_changes
from tests.model.small_bike import lay

SPEEDS = (50.0, 100.0, 200.0, 400.0, 800.0)
GOOD = {
    "clicks": (0, 3, 6, 9, 12),
    "speed_mm_s": SPEEDS,
    "force_n": tuple(tuple(firm * speed / 100 for speed in SPEEDS) for firm in (120.0, 90.0, 70.0, 50.0, 40.0)),
}


def damper(**changed):
    fields = {"counted_from": "closed", "rebound_clicks": 12} | {
        key: changed.pop(key) for key in ("counted_from", "rebound_clicks") if key in changed
    }
    return Damper(**fields, rebound=Circuit(**(GOOD | changed)))


def test_a_sound_table_has_no_faults_from_either_end():
    assert unsound(damper(), "rebound") == ()
    assert unsound(damper(counted_from="open", force_n=GOOD["force_n"][::-1]), "rebound") == ()
    assert unsound(Damper(), "rebound") == ()


ROWS = [list(row) for row in GOOD["force_n"]]


def force_at(row, point, force):
    rows = [list(one) for one in ROWS]
    rows[row][point] = force
    return {"force_n": tuple(tuple(one) for one in rows)}


@pytest.mark.parametrize(
    ("changed", "column", "found", "told"),
    [
        ({"speed_mm_s": (50.0, 100.0, 90.0, 400.0, 800.0)}, "speed_mm_s", "90 mm/s", "sort the points"),
        (
            {"speed_mm_s": (50.0, 100.0, 200.0, 900.0, 1000.0)},
            "speed_mm_s",
            "a gap up to 900 mm/s",
            "between 200 and 900",
        ),
        ({"speed_mm_s": (150.0, 200.0, 300.0, 400.0, 800.0)}, "speed_mm_s", "150 mm/s first", "Slow strokes"),
        ({"speed_mm_s": (-50.0, 100.0, 200.0, 400.0, 800.0)}, "speed_mm_s", "-50 mm/s", "without sign"),
        ({"clicks": (0, 3, 6, 9, 11)}, "clicks", "0 to 11", "Position 12 is missing"),
        ({"clicks": (1, 3, 6, 9, 12)}, "clicks", "1 to 12", "Position 0 is missing"),
        ({"clicks": (0, 5, 6, 9, 12)}, "clicks", "5 after 0", "Positions 1 to 4 are missing"),
        ({"clicks": (0, 3, 3, 9, 12)}, "clicks", "3 after 3", ""),
        ({"clicks": (0, 3, 6, 9, 13)}, "clicks", "position 13", "counted on this unit"),
        ({"clicks": (0, 3, 6, 9)}, "force_n", "5 rows", ""),
        ({"rebound_clicks": None}, "clicks", "no total of the dial", "rebound_clicks"),
        (force_at(1, 2, -180.0), "force_n", "-180 N at 200 mm/s, click 3", "without sign"),
        (force_at(1, 3, 100.0), "force_n", "100 N at 400 mm/s, click 3", "does not ease off"),
        (force_at(2, 4, 800.0), "force_n", "800 N at 800 mm/s, click 6", "Click 3 gives 720 N"),
        ({"force_n": (*GOOD["force_n"][:4], (1.0, 2.0))}, "force_n", "2 forces", ""),
    ],
)
def test_each_fault_is_told_with_what_was_found(changed, column, found, told):
    faults = unsound(damper(**changed), "rebound")

    assert (faults[0].column, faults[0].found) == (column, found)
    assert told in faults[0].remedy


def test_coefficients_are_needed_at_both_ends_and_more_at_the_closed_one():
    knee = Knee(low_n_s_per_mm=1.0, knee_mm_s=120.0, high_n_s_per_mm=0.3)
    soft = Knee(low_n_s_per_mm=0.3, knee_mm_s=120.0, high_n_s_per_mm=0.1)

    assert unsound(Damper(rebound=Circuit(closed=knee, open=soft)), "rebound") == ()
    (alone,) = unsound(Damper(rebound=Circuit(closed=knee)), "rebound")
    assert (alone.column, alone.found) == ("open", "nothing")
    assert "exchange" in unsound(Damper(rebound=Circuit(closed=soft, open=knee)), "rebound")[0].remedy


TABLE = """
[fork.single-crown-150.damper]
rebound_clicks = 4

[fork.single-crown-150.damper.rebound]
clicks = [0, 1, 2, 3, 4]
speed_mm_s = [50, 100, 200, 400]
force_n = [
    [60, 120, 200, 320],
    [50, 100, 170, 270],
    [40, 80, 140, 220],
    [30, 60, 110, 180],
    [20, 40, 80, 130],
]
"""


def in_a_folder(tmp_path, table=TABLE):
    folder = lay(tmp_path)
    for path in (folder / "parts").glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        if "[fork.single-crown-150.chassis]" in text:
            path.write_text(text + table, encoding="utf-8")
            return folder, path
    raise AssertionError("no such fork")


def test_a_table_is_read_from_a_parts_file(tmp_path):
    folder, _ = in_a_folder(tmp_path)
    fork = read_bike(folder).stock.part("fork", "single-crown-150")

    assert fork.damper.rebound.force_n[2] == (40, 80, 140, 220)


def test_a_fault_of_a_table_in_a_parts_file_has_its_line_and_column(tmp_path):
    folder, path = in_a_folder(tmp_path, TABLE.replace("[40, 80, 140, 220]", "[40, 80, 70, 220]"))
    with pytest.raises(ModelFileError) as caught:
        read_bike(folder)

    (fault,) = [fault for fault in caught.value.faults if "ease off" in fault.remedy]
    line = path.read_text(encoding="utf-8").splitlines()[fault.line - 1]
    assert line[fault.column - 1 :].startswith("70")
    assert "fork.single-crown-150.damper.rebound.force_n" in fault.key


CSV = "clicks,speed (mm/s),force (N)\n" + "".join(
    f"{click},{speed:g},{firm * speed / 100:g}\n"
    for click, firm in ((0, 120), (2, 90), (4, 60))
    for speed in (50, 100, 200, 400)
)


def csv_of(tmp_path, text):
    path = tmp_path / "bench.csv"
    path.write_text(text, encoding="utf-8")
    return path


UNIT = Damper(rebound_clicks=4)


def test_a_csv_file_becomes_a_table_in_millimetres_a_second_and_newtons(tmp_path):
    found = read_circuit(csv_of(tmp_path, _every_click(CSV)), UNIT, "rebound", 3)

    assert found.clicks == (0, 1, 2, 3, 4)
    assert found.speed_mm_s == (50, 100, 200, 400)
    assert found.force_n[0] == (60, 120, 240, 480)
    assert found.other_clicks == 3


def _every_click(text):
    """The same with clicks 1 and 3 in between."""
    between = "".join(
        f"{click},{speed:g},{firm * speed / 100:g}\n"
        for click, firm in ((1, 105), (3, 75))
        for speed in (50, 100, 200, 400)
    )
    return text + between


@pytest.mark.parametrize(
    ("speed", "force", "mm_s", "newton"), [("m/s", "lbf", 1000.0, 4.4482216), ("in/s", "N", 25.4, 1.0)]
)
def test_units_stand_in_the_headings(tmp_path, speed, force, mm_s, newton):
    rows = [line.split(",") for line in _every_click(CSV).splitlines()[1:]]
    text = f"clicks;speed ({speed});force ({force})\n" + "".join(
        f"{click};{float(at) / mm_s:.9g};{float(push) / newton:.9g}\n" for click, at, push in rows
    )
    found = read_circuit(csv_of(tmp_path, text), UNIT, "rebound")

    assert found.speed_mm_s == pytest.approx((50, 100, 200, 400), abs=1e-3)
    assert found.force_n[4] == pytest.approx((30, 60, 120, 240), abs=2e-3)


@pytest.mark.parametrize(
    ("old", "new", "line", "column", "told"),
    [
        ("speed (mm/s)", "speed", 1, 2, "speed (mm/s), speed (m/s) or speed (in/s)"),
        ("force (N)", "force (kg)", 1, 3, "force (N) or force (lbf)"),
        ("clicks,", "knob,", 1, 1, "knob"),
        ("0,100,120", "0,100,", 3, 3, "found nothing"),
        ("0,100,120", "0,100,-120", 3, 3, "The sign is wrong"),
        ("0,100,120", "0.5,100,120", 3, 1, "a whole number"),
        ("0,100,120", "0,40,120", 3, None, "speeds that rise"),
        ("0,100,120", "0,100,50", 3, 3, "does not ease off"),
        ("2,400,360", "2,400,600", 9, 3, "more force where the dial is more closed"),
        ("2,200,180\n", "", None, None, "no point at 200 mm/s for click 2"),
        ("4,50,30\n4,100,60\n4,200,120\n4,400,240\n", "", None, 1, "Position 4 is missing"),
    ],
)
def test_what_is_wrong_in_a_csv_file_is_told_with_line_and_column(tmp_path, old, new, line, column, told):
    text = _every_click(CSV)
    assert old in text
    with pytest.raises(ModelFileError) as caught:
        read_circuit(csv_of(tmp_path, text.replace(old, new, 1)), UNIT, "rebound")

    assert told in str(caught.value)
    fault = next(fault for fault in caught.value.faults if told in str(fault))
    assert fault.file.endswith("bench.csv")
    assert line is None or fault.line == line
    assert column is None or fault.column == column


@pytest.mark.parametrize("content", [b"", b"\n\n", b"clicks,speed (mm/s),force (N)\n", b"\xff\xfe\x00", b'a,"b\nc'])
def test_a_file_that_is_no_table_is_refused(tmp_path, content):
    path = tmp_path / "bench.csv"
    path.write_bytes(content)
    with pytest.raises(ModelFileError, match=r"bench\.csv"):
        read_circuit(path, UNIT, "rebound")
    with pytest.raises(ModelFileError, match="cannot be read"):
        read_circuit(tmp_path / "nowhere.csv", UNIT, "rebound")


def test_a_csv_file_is_written_into_the_parts_file_and_comments_stay(tmp_path):
    folder, path = in_a_folder(tmp_path, "\n# keep this\n")
    bike = read_bike(folder)
    changes = table_changes(
        bike.stock, "fork.single-crown-150", "rebound", csv_of(tmp_path, _every_click(CSV)), total=4
    )
    write_changes(folder, changes, bike=bike)

    assert "# keep this" in path.read_text(encoding="utf-8")
    damper = read_bike(folder).stock.part("fork", "single-crown-150").damper
    assert damper.rebound_clicks == 4
    assert damper.rebound.force_n[4] == (30, 60, 120, 240)


@pytest.mark.parametrize("part", ["tyre.trail-29", "fork", "fork.nobody"])
def test_a_part_that_has_no_damper_is_told(tmp_path, part):
    bike = read_bike(lay(tmp_path))
    with pytest.raises(AddressError):
        table_changes(bike.stock, part, "rebound", csv_of(tmp_path, CSV))


def test_a_kept_version_keeps_the_tables(tmp_path):
    folder, _ = in_a_folder(tmp_path)
    build = next(build for build in read_bike(folder).builds if build.parts.fork.name == "single-crown-150")
    version = keep(folder, build, "measured")

    assert read_version(folder, version.label).build == build


def test_a_table_of_more_clicks_than_a_dial_has_is_told(tmp_path):
    text = "clicks,speed (mm/s),force (N)\n" + "".join(
        f"{click},{speed},1\n" for click in range(70) for speed in (50, 99)
    )
    with pytest.raises(ModelFileError, match=r"bench\.csv: .*a list of 70; allowed: at most 61"):
        read_circuit(csv_of(tmp_path, text), UNIT, "rebound")


def test_a_total_that_no_dial_has_is_told(tmp_path):
    bike = read_bike(lay(tmp_path))
    with pytest.raises(ModelError, match="rebound_clicks: found 100; allowed: 0 to 60"):
        table_changes(bike.stock, "shock.air-230-60", "rebound", csv_of(tmp_path, CSV), total=100)

"""A geometry table as people have it is read into the keys of a bike, and comes back from a frame."""

import tomllib

import pytest

from bikewright.errors import ModelError
from bikewright.model.files import read_bike
from bikewright.model.table_file import LABELS, bike_text, read_table, table_of, table_rows
from tests.model.small_bike import lay

CHART = """\
Geometry,S,M,L
Reach,430,455,480
Stack (mm),610,620,630
Head tube angle,64.5°,64.5,64.5 deg
Effective Seat Angle,77,77,76.5
Chainstay length,436,436,n/a
BB drop (cm),3.2,3.2,3.2
Wheelbase,48 in,1220 mm,-
Front centre,780,800,820
Fork length,551,551,551
"""


def test_a_chart_with_trade_words_and_units_is_read():
    table = table_of(CHART)
    assert table.sizes == ("S", "M", "L")
    assert table.row("reach_mm") == (430, 455, 480)
    assert table.row("head_angle_deg") == (64.5, 64.5, 64.5)
    assert table.row("seat_angle_deg") == (77, 77, 76.5)
    assert table.row("rear_centre_mm") == (436, 436, None)
    assert table.row("bb_drop_mm") == (32, 32, 32)
    assert table.row("wheelbase_mm") == pytest.approx((1219.2, 1220, None))
    assert table.row("head_tube_mm") == (None, None, None)
    assert table.left_out == ("Front centre",)


@pytest.mark.parametrize("label", ["Reach inch", "Reach (in)", "reach IN"])
def test_a_unit_after_a_label_is_read_in_each_of_its_spellings(label):
    text = CHART.replace("Reach,430,455,480", f"{label},17,18,19")
    assert table_of(text).row("reach_mm") == pytest.approx((431.8, 457.2, 482.6))


@pytest.mark.parametrize("separator", ["\t", ";"])
def test_other_separators_allow_a_decimal_comma(separator):
    text = CHART.replace("64.5", "64,5") if separator == "," else CHART.replace(",", separator).replace("64.5", "64,5")
    assert table_of(text).rows == table_of(CHART).rows


def test_a_turned_table_is_the_same_table():
    cells = [line.split(",") for line in CHART.splitlines()]
    turned = "\n".join(",".join(row) for row in zip(*cells, strict=True))
    assert table_of(turned).rows == table_of(CHART).rows


def test_spreadsheet_tails_blank_lines_and_a_mark_are_passed_over(tmp_path):
    text = "\ufeff" + "".join(f"{line},,\r\n,,,\r\n" for line in CHART.splitlines())
    path = tmp_path / "chart.csv"
    path.write_bytes(text.encode())
    assert read_table(path).rows == table_of(CHART).rows


def test_every_label_names_its_own_row():
    labels = [label for labels in LABELS.values() for label in labels]
    assert len(labels) == len(set(labels))
    for key, spellings in LABELS.items():
        if key not in ("reach_mm", "stack_mm", "head_angle_deg"):
            for spelling in spellings:
                text = f"x;S\nreach;430\nstack;600\nhead angle;65\n{spelling.upper()};64\n"
                assert table_of(text).row(key) == (64,), spelling


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "fewer than two rows"),
        ("one\ntwo\nthree", "one column"),
        ("a,b\nc,d\n", "no row is known"),
        (CHART.replace("Reach,430", "Reach,4.3.0"), 'row "Reach", size S: "4.3.0"'),
        (CHART.replace("Reach,430", "Reach,430 kg"), "is a mass"),
        (CHART.replace("Reach,430", "Reach,"), "reach is not given for S"),
        (CHART.replace("Reach", "Front centre", 1), "reach is not given for S, M, L"),
        (CHART.replace("Wheelbase", "Wheel bse"), "Did you mean wheel base?"),
        (CHART.replace("BB drop (cm)", "Reach (cm)"), "says the same as another row"),
        (CHART.replace("S,M,L", "S,M,S"), "the size S stands twice"),
        (CHART.replace("S,M,L", "S,,L"), "no name for a size"),
        (CHART.replace("551,551,551", "551,551,561"), "differs between the sizes (551, 561)"),
        (CHART.replace("64.5°,64.5", "64,5,64.5"), "decimal comma needs tabs or semicolons"),
        (CHART.replace(",", ";").replace("1220 mm", "1,220"), "thousand or a decimal comma"),
        ("x," + ",".join(f"s{n}" for n in range(30)) + "\nreach,1\nstack,1", "30 sizes"),
        ("x;S\nreach;1\nstack;2\n" + '"' + "a" * 140000 + '";3', "no table"),
    ],
)
def test_a_table_that_cannot_be_meant_is_told_with_its_cell(text, words):
    with pytest.raises(ModelError) as caught:
        table_of(text)
    assert words in str(caught.value)


@pytest.mark.parametrize("content", [b"\x00\x01", b"\xff\xfe\xfd", b"a" * 1_000_001])
def test_a_file_that_is_no_table_is_told_with_its_name(tmp_path, content):
    path = tmp_path / "chart.csv"
    path.write_bytes(content)
    with pytest.raises(ModelError, match=r"chart\.csv"):
        read_table(path)
    with pytest.raises(ModelError, match="cannot be read"):
        read_table(tmp_path / "none.csv")


def test_the_text_of_a_bike_has_what_was_given_and_unknown_for_the_rest():
    data = tomllib.loads(bike_text(table_of(CHART), "Wherry", front_radius_mm=372, rear_radius_mm=372))
    assert data["name"] == "Wherry"
    assert data["datum"] == {
        "fork_length_mm": 551, "fork_offset_mm": "unknown", "front_radius_mm": 372, "rear_radius_mm": 372,
    }  # fmt: skip
    assert list(data["sizes"]) == ["S", "M", "L"]
    assert data["sizes"]["L"]["rear_centre_mm"] == "unknown"
    assert data["sizes"]["L"]["head_tube_mm"] == "unknown"
    assert data["sizes"]["S"]["bb_drop_mm"] == 32


def test_the_fork_that_a_table_holds_for_must_be_said():
    table = table_of(CHART.replace("Fork length,551,551,551\n", ""))
    with pytest.raises(ModelError, match="holds for one fork"):
        bike_text(table, "Wherry")
    assert tomllib.loads(bike_text(table, "Wherry", fork_length_mm=540))["datum"]["fork_length_mm"] == 540


def test_a_size_with_an_accent_is_a_key_in_quotes():
    text = bike_text(table_of(CHART.replace("S,M,L", "Größe 1,M,L")), "Wherry")
    assert next(iter(tomllib.loads(text)["sizes"])) == "Größe-1"


def test_a_frame_gives_its_table_and_the_table_gives_the_frame_again(tmp_path):
    frame = read_bike(lay(tmp_path / "bike")).frame
    table = table_of("\n".join(",".join(row) for row in table_rows(frame)))
    assert table_rows(frame)[0] == ("Dimension", "S", "M", "L")
    for key, values in table.rows:
        for size, value in zip(frame.sizes, values, strict=True):
            owner = size if hasattr(size, key) else frame.datum
            assert value == pytest.approx(getattr(owner, key)) if value is not None else getattr(owner, key) is None

    (tmp_path / "again").mkdir()
    (tmp_path / "again/bike.toml").write_text(bike_text(table, "again"), encoding="utf-8")
    again = read_bike(tmp_path / "again").frame
    assert table_rows(again) == table_rows(frame)

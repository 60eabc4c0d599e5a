"""Every slip in a file is told with its place, what was found, what is allowed and what to do."""

import os
import re
import typing

import pytest
from pydantic_core import PydanticUndefined

from bikewright.errors import ModelFileError
from bikewright.model.build import Build
from bikewright.model.faults import why_needed
from bikewright.model.files import read_bike
from bikewright.model.frame import Frame
from bikewright.model.parts import KINDS
from bikewright.model.rider import Rider
from tests.model.small_bike import TEXTS, lay, with_change

FOREIGN = re.compile(
    r"pydantic|Input should|validation|\bfloat\b|\bNone\b|Traceback|https?:|\bdict\b|\btuple\b|Value error"
)

SLIPS = [
    # file, what is written, what instead, key of the fault, words that must be told
    ("bike.toml", "reach_mm = 430 ", "reach_m = 430 ", "sizes.S.reach_m", "Did you mean reach_mm?"),
    ("bike.toml", "reach_mm = 430 ", "# ", "sizes.S.reach_mm", "found nothing; allowed: 250 to 650 mm"),
    ("bike.toml", "reach_mm = 430 ", "reach_mm = 4300 ", "sizes.S.reach_mm", "Did you mean 430?"),
    ("bike.toml", "= 64.5\nrear", "= 645\nrear", "sizes.S.head_angle_deg", "50 to 80°. Did you mean 64.5?"),
    ("bike.toml", "= 64.5\nrear", "= -64.5\nrear", "sizes.S.head_angle_deg", "Did you mean 64.5?"),
    ("bike.toml", "reach_mm = 430 ", "reach_mm = true ", "sizes.S.reach_mm", "found true"),
    ("bike.toml", "reach_mm = 430 ", "reach_mm = nan ", "sizes.S.reach_mm", "found nan"),
    ("bike.toml", "reach_mm = 430 ", "reach_mm = -inf ", "sizes.S.reach_mm", "found -inf"),
    ("bike.toml", "reach_mm = 430 ", "reach_mm = [430] ", "sizes.S.reach_mm", "found a list of 1"),
    ("bike.toml", "reach_mm = 430 ", 'reach_mm = "430" ', "sizes.S.reach_mm", "not a number with a unit"),
    ("bike.toml", "reach_mm = 430 ", 'reach_mm = "430 kg" ', "sizes.S.reach_mm", "is a mass, but a length is wanted"),
    ("bike.toml", "reach_mm = 430 ", 'reach_mm = "unknown" ', "sizes.S.reach_mm", "worked out while this is unknown"),
    ("bike.toml", "reach_mm = 430 ", "reach_mm = 2024-01-01 ", "sizes.S.reach_mm", "found 2024-01-01"),
    ("bike.toml", "[sizes.S]", "[sizes.S]\nname = 'X'", "sizes.S.name", "The heading names it already"),
    ("bike.toml", "[sizes.S]", "[sizes.'S 1']", 'sizes."S 1".name', "no spaces"),
    ("bike.toml", 'name = "Quillback"', "", "name", "The bike needs a name"),
    ("bike.toml", 'name = "Quillback"', "name = 3", "name", "Put it in quotes"),
    ("bike.toml", "format = 1", "", "", "Write format = 1 as the first line"),
    ("bike.toml", "format = 1", "format = 2", "format", "newer release"),
    ("bike.toml", "format = 1", 'format = "1"', "format", "allowed: 1."),
    (
        "bike.toml",
        'fork = "single-crown-150"',
        "",
        "datum.fork_length_mm",
        "Give fork_length_mm, or name a part: fork =",
    ),
    ("bike.toml", 'front_tyre = "trail-29"', "", "datum.front_radius_mm", "or name a part: front_tyre ="),
    ("bike.toml", "single-crown-150", "single-crwn-150", "datum.fork", "Did you mean single-crown-150?"),
    ("bike.toml", 'fork = "single-crown-150"', "fork = 3", "datum.fork", "the name of a fork"),
    ("bike.toml", "[datum]", "[datum]\nforke = 3", "datum.forke", "Did you mean fork?"),
    ("bike.toml", "[datum]", "[datums]", "datums", "Did you mean datum?"),
    ("bike.toml", '"seatstay"\n', '"seatsty"\n', "linkage.brake_on", "Did you mean seatstay?"),
    ("bike.toml", '"seatstay"\n', '"shock"\n', "linkage.brake_on", "a body of the linkage"),
    *(
        ("bike.toml", "[limits]", f"[linkage.bodies.{body}]\n{line}\n\n[limits]", f"linkage.bodies.{key}", told)
        for body, line, key, told in (
            ("roker", "half_width_mm = 50", "roker", "Did you mean rocker?"),
            ("frame", "half_width_mm = 50", "frame", "a link with two pins or more"),
            ("rocker", "half_width_mm = 500", "rocker.half_width_mm", "allowed: 5 to 150 mm"),
            ("rocker", "points_mm = [[0, 1], [2, 3]]", "rocker.points_mm", "3 or more, all round"),
        )
    ),
    ("bike.toml", "reach_mm = 430 ", "reach_mm = 430\ntop_tube_diameter_mm = 9 ", "sizes.S.top_tube_diameter_mm", "15"),
    ("bike.toml", 'pin = "horst"', 'pin = "horse"', "linkage.chips.dropout.pin", "Did you mean horst?"),
    (
        "bike.toml",
        'body = "seatstay"',
        'body = "rocker"',
        "linkage.chips.dropout.body",
        "There are: chainstay, seatstay",
    ),
    (
        "bike.toml",
        "{ low = {}, high = { dx_mm = 1, dz_mm = 4 } }",
        "{ low = {} }",
        "linkage.chips.dropout.positions",
        "2",
    ),
    (
        "bike.toml",
        '"seatstay", "wheel"',
        '"seatstay"',
        "linkage.pins",
        "found 0 pins that join wheel; allowed: one pin",
    ),
    ("bike.toml", '["rocker", "shock"]', '["rocker"]', "linkage.pins", "found 1 pins that join shock: shock_front"),
    ("bike.toml", '["rocker", "frame"]', '["frame", "frame"]', "linkage.pins.rocker.joins", "joins each body once"),
    ("bike.toml", "x_mm = 224.5", "x_mm = 224.9", "linkage.pins", "allowed: 230 mm within 0.2 mm"),
    ("bike.toml", "shift_x_mm = -4", "pins.upper.z_mm = 310", "sizes.L.linkage", "would reshape the link"),
    ("bike.toml", "shift_x_mm = -4", "pins.shock_front.x_mm = 226", "sizes.L.linkage.pins", "as drawn in size L"),
    ("bike.toml", "shift_x_mm = -4", "pins.uper.z_mm = 310", "sizes.L.linkage.pins.uper", "Did you mean upper?"),
    ("bike.toml", "shift_x_mm = -4", 'own_links = ["roker"]', "sizes.L.linkage.own_links[1]", "Did you mean rocker?"),
    ("bike.toml", '"front_tyre"', '"front"', "outlines.down-tube.near", "Did you mean front_tyre?"),
    ("bike.toml", "[400, 450]", "[400]", "outlines.down-tube.points_mm[2][2]", "fewer values"),
    ("bike.toml", "[400, 450]", "[400, 450, 1]", "outlines.down-tube.points_mm[2]", "at most 2"),
    ("bike.toml", "fork_travel_max_mm = 160", "fork_travel_max_mm = 140", "datum.fork", "10 mm over"),
    ("parts/suspension.toml", "[fork.long]", "[forks.long]", "forks", "Did you mean fork?"),
    (
        "parts/suspension.toml",
        "offset_mm = 44\n",
        "",
        "fork.single-crown-150.chassis.offset_mm",
        "places the front axle",
    ),
    ("parts/suspension.toml", 'kind = "air"\n', 'kind = "iar"\n', "fork.single-crown-150.spring", "Did you mean air?"),
    ("parts/suspension.toml", 'kind = "air"\n', "", "fork.single-crown-150.spring", "whether it is an air or a coil"),
    (
        "parts/suspension.toml",
        "\ntravel_mm = 150",
        "",
        "fork.single-crown-150.spring.travel_mm",
        "A rigid fork says so",
    ),
    (
        "parts/suspension.toml",
        '"500 lbf/in"\n\n[shock.air',
        '"450 lbf/in"\n\n[shock.air',
        "shock.coil-230-60.spring",
        "450",
    ),
    ("parts/suspension.toml", 'spring = "500 lbf/in"', 'spring = "coil-50"', "shock.coil-230-60.spring", "coil-500"),
    ("parts/suspension.toml", 'spring = "500 lbf/in"', "spring = [1]", "shock.coil-230-60.spring", "name of a coil"),
    (
        "parts/suspension.toml",
        '"500 lbf/in"\n\n[shock',
        '"500 lbf"\n\n[shock',
        "coil.coil-500.rate_n_per_mm",
        "is a force",
    ),
    ("parts/rest.toml", "[headset.plain]\nlower_stack_mm = 12", "[headset]\nplain = 3", "headset.plain", "a table"),
    ("riders.toml", "mass_kg = 82", "mass_kg = 820", "tall.mass_kg", "Did you mean 82?"),
    ("riders.toml", "mass_kg = 82", "", "tall.mass_kg", "weigh the rider"),
    ("riders.toml", "[tall]", 'extra = "x"\n[tall]', "extra", "allowed: a table"),
    ("brief.toml", "head_angle_deg@", "head_angle@", "line[1].quantity", "Did you mean head_angle_deg?"),
    ("brief.toml", "@stated-sag", "@statd-sag", "line[1].quantity", "Did you mean stated-sag?"),
    ("brief.toml", "head_angle_deg@stated-sag", "leverage_ratio", "line[1].quantity", "It is a curve"),
    ("brief.toml", "head_angle_deg@stated-sag", "leverage_start@table", "line[1].quantity", "same in every state"),
    ("brief.toml", "low = 64", "low = 67", "line[1].high", "lies above it"),
    ("brief.toml", "low = 450", "", "line[2]", "no low, high or felt_step"),
    ("brief.toml", 'size = "M"', 'size = "XL"', "line[2].size", "Did you mean L?"),
    ("brief.toml", 'quantity = "reach', 'name = "reach', "line[2].name", "Did you mean quantity?"),
    ("brief.toml", "low = 64", "lo = 64", "line[1].lo", "Did you mean low?"),
    ("brief.toml", 'size = "M"', 'rider = "tal"', "line[2].rider", "Did you mean tall?"),
    ("brief.toml", "low = 64\nhigh = 66", "low = 64.23\nhigh = 64.27", "line[1].high", "no value can lie between"),
    ("brief.toml", "head_angle_deg@stated-sag", "fork_force_n", "line[1].quantity", "It is a curve"),
    ("builds.toml", 'size = "L"', 'size = "XL"', "race.size", "Did you mean L?"),
    ("builds.toml", 'size = "L"', "", "race.size", "Say which size is built"),
    ("builds.toml", 'rider = "tall"', 'rider = "tal"', "race.rider", "Did you mean tall?"),
    ("builds.toml", '"coil-230-60"', '"coil-230"', "race.shock", "Did you mean coil-230-60?"),
    ("builds.toml", 'shock = "', 'shok = "', "race.shok", "Did you mean shock?"),
    ("builds.toml", 'dropout = "high"', 'dropout = "hihg"', "race.chips.dropout", "Did you mean high?"),
    ("builds.toml", 'dropout = "high"', 'drop = "high"', "race.chips.drop", "Did you mean dropout?"),
    ("builds.toml", "sag_rear_pct = 28", "sag_rear_pct = 280", "race.settings.sag_rear_pct", "Did you mean 28?"),
    ("builds.toml", 'size = "M"', 'size = "M"\nfork = "long"', "mid.fork", "170 mm; the limit is 160 mm"),
    ("builds.toml", 'size = "M"', 'size = "M"\nrear_wheel = "wheel-27-5"', "mid.rear_tyre", "bead seat"),
    ("builds.toml", 'size = "M"', 'size = "M"\nposture = "sitting"', "mid.posture", "standing or seated"),
]


def faults_of(folder, texts):
    with pytest.raises(ModelFileError) as caught:
        read_bike(lay(folder, texts))
    assert not FOREIGN.search(str(caught.value)), str(caught.value)
    return caught.value.faults


@pytest.mark.parametrize(("file", "old", "new", "key", "words"), SLIPS)
def test_a_slip_is_told_at_its_place_with_what_to_do(tmp_path, file, old, new, key, words):
    texts = with_change(file, old, new)
    (fault,) = faults_of(tmp_path, texts)

    assert fault.key == key
    assert words in str(fault)
    assert fault.line is not None
    assert fault.file == str(tmp_path / file)
    # The line told is the one that was changed, or the table that it stands in.
    changed = texts[file].split("\n")
    told = changed[fault.line - 1]
    first_changed = TEXTS[file][: TEXTS[file].index(old)].count("\n")
    assert fault.line - 1 <= first_changed + new.count("\n") or key.endswith(("high", "spring", ".body"))
    assert told.strip() or fault.line == 1


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("reach = 455,5", 3, "Write a decimal point, not a comma"),
        ("reach = 2.4 in", 3, "stands in quotes"),
        ("reach = high", 3, "A text stands in quotes"),
        ("reach =", 3, "A value is missing"),
        ('reach = "open', 3, "This is not TOML"),
        ("[a]\n[b]\n[a]", 5, "found 'a' twice, in line 3 and in line 5"),
        ("x = 1\nx = 2", 4, "found 'x' twice, in line 3 and in line 4"),
        ("a.b = 1\na.b.c = 2", 4, "in use above for something else"),
        ("a = " + "[" * 3000, None, "nested too deeply"),
        ("a = " + "[" * 40 + "]" * 40, None, "nested too deeply"),
        ("a" + ".a" * 3000 + " = 1", 3, "a key of more than 30 parts"),
        ("a = " + "9" * 5000, None, "too long"),
        ("a = 0x" + "F" * 20000, None, "too long"),
        ("a = 1\0", None, "binary"),
    ],
)
def test_what_is_not_toml_is_one_fault_with_its_line(tmp_path, text, line, words):
    (fault,) = faults_of(tmp_path, {"riders.toml": f"format = 1\n\n{text}\n"})
    assert (fault.file, fault.line) == (str(tmp_path / "riders.toml"), line)
    assert words in str(fault)


def test_a_line_for_a_rider_where_there_are_none_says_so(tmp_path):
    texts = with_change("brief.toml", 'size = "M"', 'rider = "tall"') | {"riders.toml": "format = 1\n"}
    texts |= with_change("builds.toml", 'rider = "tall"\n', "")
    (fault,) = faults_of(tmp_path, texts)
    assert (fault.key, fault.remedy) == ("line[2].rider", "There are none in riders.toml.")


def test_a_narrow_band_that_holds_a_value_may_stand(tmp_path):
    """64.2 lies in it in the one digit in which a head angle is told; so does a band at 64.25 rounded outwards."""
    texts = with_change("brief.toml", "low = 64\nhigh = 66", "low = 64.2\nhigh = 64.2")
    assert read_bike(lay(tmp_path, texts)).brief.lines[0].low == 64.2


def test_one_quantity_may_have_a_line_for_each_rider_but_not_two_for_one(tmp_path):
    more = '[[line]]\nquantity = "reach_mm@table"\nsize = "M"\nrider = "tall"\nlow = 440\n'
    texts = {"brief.toml": f"{TEXTS['brief.toml']}\n{more}"}
    assert len(read_bike(lay(tmp_path / "a", texts)).brief.lines) == 3
    (fault,) = faults_of(tmp_path / "b", {"brief.toml": f"{TEXTS['brief.toml']}\n{more}\n{more}"})
    assert "for which size or rider" in fault.remedy


def test_a_brief_with_single_brackets_is_told_so(tmp_path):
    (fault,) = faults_of(tmp_path, {"brief.toml": 'format = 1\n[line]\nquantity = "reach_mm"\nlow = 1\n'})
    assert (fault.key, fault.line) == ("line", 2)
    assert "Two pairs of brackets" in fault.remedy


def test_two_builds_of_one_name_are_told_with_both_lines(tmp_path):
    (fault,) = faults_of(tmp_path, with_change("builds.toml", "[mid]", "[race]"))
    assert "found 'race' twice, in line 3 and in line 13" in str(fault)


def test_a_part_in_two_files_is_told_with_both_places(tmp_path):
    (fault,) = faults_of(
        tmp_path, {"parts/third.toml": "format = 1\n[tyre.trail-29]\nbead_seat_mm = 622\nwidth_mm = 60\n"}
    )
    assert fault.file.endswith("third.toml")
    assert f"also in {tmp_path / 'parts/rest.toml'}, line 11" in fault.remedy


def test_all_faults_of_all_files_are_told_at_once_and_in_order(tmp_path):
    texts = with_change("bike.toml", "reach_mm = 430", "reach_mm = 43")
    texts["bike.toml"] = texts["bike.toml"].replace('"seatstay"\n', '"seat"\n', 1).replace("z_mm = 300", 'z_mm = "x"')
    texts |= with_change("riders.toml", "mass_kg", "mas_kg") | with_change("brief.toml", "low = 64", "low = true")
    told = [(fault.file.rsplit("/", 1)[1], fault.key) for fault in faults_of(tmp_path, texts)]

    assert ("bike.toml", "sizes.S.reach_mm") in told
    assert ("bike.toml", "linkage.pins.upper.z_mm") in told
    assert ("riders.toml", "tall.mas_kg") in told
    assert ("brief.toml", "line[1].low") in told
    assert [file for file, _ in told] == ["bike.toml", "bike.toml", "riders.toml", "brief.toml"]
    for file in {name for name, _ in told}:
        lines = [fault.line for fault in faults_of(tmp_path, texts) if fault.file.endswith(file)]
        assert lines == sorted(lines)


def test_names_in_a_sound_linkage_are_judged_though_a_size_is_wrong(tmp_path):
    texts = with_change("bike.toml", "reach_mm = 430", "reach_mm = 43")
    texts["bike.toml"] = texts["bike.toml"].replace('"seatstay"\n', '"seat"\n', 1)
    assert [fault.key for fault in faults_of(tmp_path, texts)] == ["sizes.S.reach_mm", "linkage.brake_on"]


def test_a_broken_part_is_told_once_and_not_again_where_it_is_named(tmp_path):
    told = faults_of(
        tmp_path, with_change("parts/rest.toml", "bead_seat_mm = 622\nwidth_mm", "bead_set_mm = 622\nwidth_mm")
    )
    assert {fault.key for fault in told} == {"tyre.trail-29.bead_set_mm"}


def test_a_limit_that_the_datum_exceeds_is_told_once_for_all_builds(tmp_path):
    assert len(faults_of(tmp_path, with_change("bike.toml", "max_mm = 160", "max_mm = 100"))) == 1


def test_ten_thousand_faults_are_not_told_one_by_one(tmp_path):
    riders = "format = 1\n" + "".join(f"[r{number}]\n" for number in range(10_000))
    told = faults_of(tmp_path, {"riders.toml": riders})
    assert len(told) == 201
    assert "There are more faults" in str(told[-1])


def test_a_file_that_cannot_be_read_is_one_fault(tmp_path):
    def remade(make):
        folder = tmp_path / str(len(list(tmp_path.iterdir())))
        lay(folder)
        (folder / "riders.toml").unlink()
        make(folder / "riders.toml")
        with pytest.raises(ModelFileError) as caught:
            read_bike(folder)
        (fault,) = caught.value.faults
        assert fault.file == str(folder / "riders.toml")
        return str(fault)

    assert "found a folder" in remade(lambda path: path.mkdir())
    assert "Too many levels of symbolic links" in remade(lambda path: path.symlink_to("riders.toml"))
    assert "found no file" in remade(lambda path: path.symlink_to("nowhere"))
    assert "no plain file" in remade(lambda path: os.mkfifo(path))
    assert "found an empty file" in remade(lambda path: path.write_text(" \n"))
    assert "more than 5 MB" in remade(lambda path: path.write_bytes(b"#" * 5_000_001))
    assert "line 2, column 5: found a byte that is not UTF-8" in remade(
        lambda path: path.write_bytes(b"a = 1\nb = \xff")
    )
    assert "in UTF-16" in remade(lambda path: path.write_text("format = 1", encoding="utf-16"))


def test_a_folder_without_a_bike_says_how_to_get_one(tmp_path):
    with pytest.raises(ModelFileError, match=r"bike\.toml: found no file.*bikewright new"):
        read_bike(tmp_path / "nowhere")
    with pytest.raises(ModelFileError):
        read_bike("a\0b")


MADE_BY_READERS = {("Build", "frame"), ("ChipSetting", "position")}
"""What no file writes in this form."""


def required_fields():
    """Every field that a file must give, in every type that a file describes."""
    waiting, seen = [Frame, Rider, Build, *KINDS.values()], set()
    while waiting:
        cls = waiting.pop()
        if cls in seen or not hasattr(cls, "__pydantic_fields__"):
            continue
        seen.add(cls)
        for name, field in cls.__pydantic_fields__.items():
            if field.default is PydanticUndefined and field.default_factory is None:
                yield cls, name
        hints, flat = typing.get_type_hints(cls, include_extras=True).values(), []
        flat.extend(hints)
        while flat:
            kind = flat.pop()
            flat.extend(typing.get_args(kind))
            if isinstance(kind, type):
                waiting.append(kind)


def test_every_key_that_a_file_must_give_says_what_it_is_for():
    needed = sorted({(cls.__name__, name) for cls, name in required_fields()})
    assert len(needed) > 25
    owners = {cls.__name__: cls for cls, _ in required_fields()}
    assert [key for key in needed if key not in MADE_BY_READERS and not why_needed(owners[key[0]], key[1])] == []

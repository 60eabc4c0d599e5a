"""A folder of TOML files becomes one frozen bike; what it says is in it, in the workshop's units."""

import math
import subprocess
import sys

import pytest

from bikewright.errors import AddressError, ModelFileError
from bikewright.model.files import read_bike
from bikewright.model.parts import Coil, Headset
from tests.model.small_bike import TEXTS, lay, with_change


def test_everything_that_the_files_say_is_in_the_bike(tmp_path):
    bike = read_bike(lay(tmp_path))

    assert [size.name for size in bike.frame.sizes] == ["S", "M", "L"]
    assert bike.frame.size("M").stack_mm == 620  # "62 cm"
    assert bike.riders[0].stature_mm == 1880
    assert [line.name for line in bike.brief.lines] == ["head_angle_deg@stated-sag", "reach_mm@table"]
    assert [build.name for build in bike.builds] == ["datum", "race", "mid"]
    assert bike.frame.linkage.pin("axle").joins == ("seatstay", "wheel")
    assert bike.frame.outlines[0].points_mm == ((100, 50), (400, 450))


def test_the_datum_takes_its_numbers_from_the_parts_that_it_names(tmp_path):
    datum = read_bike(lay(tmp_path)).frame.datum

    assert (datum.fork_length_mm, datum.fork_offset_mm) == (550, 44)
    assert datum.lower_stack_mm == 12
    # Bead seat radius and section width: 311 + 2.4 * 25.4 (ISO 5775 sizes, common practice for the section's height).
    assert datum.front_radius_mm == pytest.approx(311 + 2.4 * 25.4)


def test_a_stated_datum_number_goes_before_the_part(tmp_path):
    texts = with_change("bike.toml", "[sizes.S]", "[sizes.S]")
    texts["bike.toml"] = texts["bike.toml"].replace(
        "[datum]\n", '[datum]\nfork_length_mm = 552.5\nfork_offset_mm = "unknown"\n'
    )
    datum = read_bike(lay(tmp_path, texts)).frame.datum
    assert (datum.fork_length_mm, datum.fork_offset_mm, datum.lower_stack_mm) == (552.5, None, 12)


def test_a_printed_cup_angle_moves_the_axis_back_at_the_top_and_ahead_below(tmp_path):
    texts = with_change("bike.toml", '"plain"', '"slacker"')
    datum = read_bike(lay(tmp_path, texts)).frame.datum
    lean = 60 * math.tan(math.radians(1))
    assert datum.upper_offset_mm == pytest.approx(-lean)
    assert datum.lower_offset_mm == pytest.approx(lean)


def test_a_printed_angle_adds_to_stated_offsets():
    cups = Headset(name="cups", upper_offset_mm=2, lower_offset_mm=2, printed_angle_deg=-2, printed_at_head_tube_mm=100)
    upper, lower = cups.axis_offsets_mm
    assert (upper - 2, lower - 2) == pytest.approx((50 * math.tan(math.radians(2)), -50 * math.tan(math.radians(2))))


def test_a_build_starts_from_the_datum_and_exchanges_what_it_names(tmp_path):
    bike = read_bike(lay(tmp_path))
    datum, race = bike.build("datum"), bike.build("race")

    assert datum.size == "M"
    assert datum.rider is None
    assert race.parts.fork == datum.parts.fork
    assert race.parts.shock.name == "coil-230-60"
    assert race.rider.name == "tall"
    assert (race.settings.sag_rear_pct, race.settings.sag_front_pct) == (28, datum.settings.sag_front_pct)
    assert [(chip.name, chip.position) for chip in race.chips] == [("dropout", "high")]
    assert race.loads[0].mass_kg == 0.8


def test_a_spring_is_found_in_the_stock_by_its_rate_or_its_name(tmp_path):
    by_rate = read_bike(lay(tmp_path)).stock.part("shock", "coil-230-60").spring
    texts = with_change("parts/suspension.toml", 'spring = "500 lbf/in"', 'spring = "coil-500"')
    by_name = read_bike(lay(tmp_path, texts)).stock.part("shock", "coil-230-60").spring
    assert isinstance(by_rate, Coil)
    assert by_rate == by_name


def test_a_folder_with_one_file_is_a_bike(tmp_path):
    text = """
format = 1
name = "Wherry"
[datum]
fork_length_mm = 480
front_radius_mm = 372
rear_radius_mm = 372
[sizes.one]
reach_mm = 450
stack_mm = 630
head_angle_deg = 66
"""
    (tmp_path / "bike.toml").write_text(text, encoding="utf-8")
    bike = read_bike(tmp_path)
    assert [build.name for build in bike.builds] == ["datum"]
    assert bike.build().size == "one"
    assert bike.frame.linkage is None


def test_the_datum_build_can_be_set_up_but_its_parts_belong_to_the_frame(tmp_path):
    set_up = TEXTS["builds.toml"] + '\n[datum]\nsize = "S"\nsettings.sag_front_pct = 15\n'
    bike = read_bike(lay(tmp_path, {"builds.toml": set_up}))
    assert (bike.build().size, bike.build().settings.sag_front_pct) == ("S", 15)

    with pytest.raises(ModelFileError, match=r"datum\.fork.*\[datum\] of bike\.toml"):
        read_bike(lay(tmp_path, {"builds.toml": TEXTS["builds.toml"] + '\n[datum]\nfork = "long"\n'}))


def test_a_part_is_taken_off_with_unknown(tmp_path):
    texts = {"builds.toml": TEXTS["builds.toml"] + '\n[bare]\nsize = "S"\nheadset = "unknown"\n'}
    assert read_bike(lay(tmp_path, texts)).build("bare").parts.headset is None


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path):
    lay(tmp_path)
    text = "\ufeff" + TEXTS["bike.toml"].replace("\n", "\r\n")
    (tmp_path / "bike.toml").write_bytes(text.encode())
    assert read_bike(tmp_path).frame == read_bike(lay(tmp_path / "plain")).frame


def test_a_name_that_is_not_there_is_answered_with_the_nearest(tmp_path):
    bike = read_bike(lay(tmp_path))
    with pytest.raises(AddressError, match="Did you mean race"):
        bike.build("rase")
    with pytest.raises(AddressError, match="There are: tall"):
        bike.rider("wide")


def test_reading_needs_no_writing_library_and_no_drawing_library(tmp_path):
    lay(tmp_path)
    code = (
        "import sys; from bikewright.model.files import read_bike; read_bike(sys.argv[1]); "
        "print(*{'tomlkit', 'ezdxf', 'numpy', 'scipy'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""


@pytest.mark.parametrize("rate", ["0 lbf/in", "-500 lbf/in", "1e999 lbf/in"])
def test_a_coil_of_no_possible_rate_is_not_in_stock(tmp_path, rate):
    text = TEXTS["parts/suspension.toml"]
    assert 'spring = "500 lbf/in"' in text
    lay(tmp_path, {"parts/suspension.toml": text.replace('spring = "500 lbf/in"', f'spring = "{rate}"')})
    with pytest.raises(ModelFileError, match="No coil in stock"):
        read_bike(tmp_path)

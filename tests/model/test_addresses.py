"""One grammar: what an address names, what a change means, and what differs between two builds."""

import pytest

from bikewright.errors import AddressError
from bikewright.model.addresses import apply, bounds_of, differences, read_change, value_at, with_value
from tests.sample_bike import BUILD, RIDERS, STOCK


def changed(*texts):
    build = BUILD
    for text in texts:
        build = apply(build, read_change(text), STOCK, RIDERS)
    return build


@pytest.mark.parametrize(
    ("text", "address", "operator", "value"),
    [
        ("fork=fork-170", "fork", "=", "fork-170"),
        (' shock.spring = "500 lbf/in" ', "shock.spring", "=", "500 lbf/in"),
        ("linkage.pins.main.z_mm+=2", "linkage.pins.main.z_mm", "+=", "2"),
        ("linkage.pins.main.z_mm-=0.5", "linkage.pins.main.z_mm", "-=", "0.5"),
    ],
)
def test_a_change_is_address_operator_value(text, address, operator, value):
    change = read_change(text)

    assert (change.address, change.operator, change.text) == (address, operator, value)


@pytest.mark.parametrize("text", ["", "fork", "=3", "fork=", "fork 3", "fork==", "a b=c"])
def test_what_is_no_change_is_refused_with_an_example(text):
    with pytest.raises(AddressError, match=r"ADDRESS=VALUE|names nothing|no fork"):
        changed(text)


def test_a_part_is_named_by_its_name_in_the_stock():
    assert changed("fork=fork-170").parts.fork.axle_to_crown_mm == 570.0
    with pytest.raises(AddressError, match=r"no fork is called 'fork-17'\. Did you mean fork-170"):
        changed("fork=fork-17")


def test_a_part_can_be_left_unknown():
    assert changed("fork=unknown").parts.fork is None


def test_a_coil_is_found_by_its_printed_rate():
    assert changed('shock.spring="500 lbf/in"').parts.shock.spring.name == "coil-500"
    with pytest.raises(AddressError, match=r"no coil in stock has .*475 lbf/in.*nearest: (450|500) lbf/in and"):
        changed('shock.spring="475 lbf/in"')


def test_numbers_may_carry_their_unit_and_be_stepped():
    assert changed("saddle_height_mm=28 in").settings.saddle_height_mm == pytest.approx(711.2)
    assert changed("linkage.pins.main.z_mm+=2").frame.linkage.pin("main").z_mm == 62.0
    assert changed("linkage.pins.main.z_mm-=0.1 in").frame.linkage.pin("main").z_mm == pytest.approx(57.46)


def test_a_change_goes_through_the_same_check_as_a_file():
    with pytest.raises(AddressError, match=r"sizes\.M\.head_angle_deg.*645"):
        changed("sizes.M.head_angle_deg=645")
    with pytest.raises(AddressError, match="pressure, but a length is wanted"):
        changed("saddle_height_mm=3 bar")
    with pytest.raises(AddressError, match="found nan; allowed: 450 to 1000 mm"):
        changed("saddle_height_mm=nan")


def test_what_is_no_number_cannot_be_stepped():
    with pytest.raises(AddressError, match="cannot be stepped"):
        changed("size+=1")


def test_a_size_gets_a_pin_of_its_own_and_only_of_a_known_name():
    moved = changed("sizes.M.linkage.pins.main.z_mm=63")

    assert value_at(moved, "sizes.M.linkage.pins.main.z_mm") == 63.0
    with pytest.raises(AddressError, match=r"there is no 'mian'.*Did you mean main"):
        changed("sizes.M.linkage.pins.mian.z_mm=63")


def test_chips_riders_and_sizes_are_set_by_name():
    assert changed("chips.mount=high").chips[0].position == "high"
    assert changed("rider=ada").rider.mass_kg == 70.0
    assert changed("size=L").geometry_row.reach_mm == 475.0
    for wrong in ("rider=bob", "size=XL", "chips.mount=middle", "chips.rocker=high"):
        with pytest.raises(AddressError, match=r"There are: |Did you mean"):
            changed(wrong)


@pytest.mark.parametrize(
    "address", ["forkk", "fork.chassis.offset", "linkage.pins.rocker.z_mm", "rider.mass_kg", "size.a"]
)
def test_an_address_that_names_nothing_says_so(address):
    with pytest.raises(AddressError, match="names nothing"):
        value_at(BUILD, address)


def test_differences_lead_from_one_build_to_the_other():
    after = changed(
        "fork=fork-170", "chips.mount=high", "linkage.pins.main.z_mm+=2", "saddle_height_mm=700", "rider=ada"
    )

    found = differences(BUILD, after)

    assert {difference.address for difference in found} == {
        "fork", "chips.mount", "linkage.pins.main.z_mm", "saddle_height_mm", "rider",
    }  # fmt: skip
    rebuilt = BUILD
    for difference in found:
        rebuilt = with_value(rebuilt, difference.address, difference.after)
    assert rebuilt == after
    back = after
    for difference in differences(after, BUILD):
        back = with_value(back, difference.address, difference.after)
    assert back == BUILD


def test_the_name_of_a_build_is_no_difference():
    assert differences(BUILD, BUILD.changed(name="other")) == ()


def test_a_change_leaves_the_original_alone():
    after = changed("sizes.M.reach_mm+=5")

    assert BUILD.geometry_row.reach_mm == 450.0
    assert after.geometry_row.reach_mm == 455.0
    assert after.frame.size("L") is BUILD.frame.size("L")


def test_the_bounds_of_a_number_are_those_of_its_field():
    assert bounds_of(BUILD, "stem.length_mm") == (-20.0, 150.0)
    assert bounds_of(BUILD, "sizes.M.reach_mm") == (250.0, 650.0)
    assert bounds_of(BUILD, "linkage.pins.main.x_mm") == (-1500.0, 1500.0)


@pytest.mark.parametrize("address", ["fork", "stem.describe", "sizes.M.wheelbase_mm"])
def test_what_is_no_number_has_no_bounds(address):
    with pytest.raises(AddressError, match="no number that can be solved for"):
        bounds_of(BUILD, address)

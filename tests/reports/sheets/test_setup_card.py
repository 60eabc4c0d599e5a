"""The set-up card and the base tune table: what can be read on paper is what the study found."""

import re
import subprocess
from dataclasses import replace

import pytest

from bikewright.errors import OutsideValidity
from bikewright.model.build import remade
from bikewright.model.files import read_bike
from bikewright.model.tune import BaseTune
from bikewright.reports.setup import compact_text, pressure_text, setup_steps
from bikewright.reports.sheets.pdf import to_pdf
from bikewright.reports.sheets.setup_card import MOST_IN_CODE, card_bytes, setup_card
from bikewright.reports.sheets.tune_table import tune_lines, tune_page
from bikewright.reports.wording import ShownUnits, shown_units
from bikewright.studies.setup import setup_for
from bikewright.studies.tune_table import tune_table
from tests.interfaces.cli.asked import CORBEL, QUILLBACK, WHERRY
from tests.reports.sheets.reading import facts, lines, words

PLAIN = ShownUnits()


def setup_of(folder, build="stock"):
    bike = read_bike(folder)
    base = BaseTune(name="stock", build=bike.build("stock"))
    return setup_for(bike.build(build), bike.stock, base)


def packed(text):
    return "".join(text.split())


@pytest.mark.parametrize("units", ["", "psi,in,lb"])
@pytest.mark.parametrize("card", ["a6", "phone"])
@pytest.mark.parametrize(
    ("folder", "build"), [(QUILLBACK, "stock"), (QUILLBACK, "coil"), (WHERRY, "stock"), (CORBEL, "stock")]
)
def test_every_setting_of_the_study_can_be_read_on_the_card(folder, build, card, units):
    shown = shown_units(units)
    setup = setup_of(folder, build)
    told = packed(words(card_bytes(setup_card(setup, shown, card=card), "pdf")))

    for step in setup_steps(setup, shown):
        assert packed(step.title) in told
        for line in step.lines:
            assert packed(line.value) in told, line
            assert packed(line.beside) in told, line
        for sentence in step.told:
            assert packed(sentence) in told
    for end in setup.springs.ends:
        if end.kind == "air":
            assert packed(pressure_text(end.pressure_bar, shown)) in told
        else:
            assert f"{end.coil.rate_n_per_mm:.1f}" in told or end.coil.name in told


def test_the_steps_come_in_the_order_in_which_things_are_set():
    told = words(card_bytes(setup_card(setup_of(QUILLBACK), PLAIN), "pdf"))

    places = [told.index(text) for text in ("Tyres, cold", "Saddle and bar", "Fork", "Shock", "Measure the sag")]
    assert places == sorted(places)
    assert told.index("Measure the sag") < told.index("Before you ride")
    assert "Not modelled" in told and "printed on" in told


@pytest.mark.parametrize("build", ["stock", "coil"])
def test_a_card_is_a6_on_two_sides_at_the_most_and_a_phones_on_one(build):
    setup = setup_of(QUILLBACK, build)
    paper, phone = (facts(card_bytes(setup_card(setup, PLAIN, card=card), "pdf")) for card in ("a6", "phone"))

    assert int(paper["Pages"]) <= 2
    wide, high = (float(size) for size in re.findall(r"[\d.]+", paper["Page size"])[:2])
    # ISO 216: A6 is 105 by 148 mm (from memory)
    assert (wide, high) == pytest.approx((105 / 25.4 * 72, 148 / 25.4 * 72), abs=0.1)
    assert phone["Pages"] == "1"


def test_the_same_set_up_gives_the_same_bytes():
    first, second = (setup_card(setup_of(QUILLBACK), PLAIN) for _ in range(2))

    for kind in ("pdf", "svg"):
        card = replace(first, card="phone") if kind == "svg" else first
        again = replace(second, card="phone") if kind == "svg" else second
        assert card_bytes(card, kind) == card_bytes(again, kind)


def test_a_card_as_picture_is_one_whole_svg():
    made = card_bytes(setup_card(setup_of(WHERRY), PLAIN, card="phone"), "svg").decode()

    assert made.startswith("<svg") and made.rstrip().endswith("</svg>")
    assert made.count("<svg") >= 1 and "NaN" not in made


def test_the_code_holds_the_address_or_the_settings():
    setup = setup_of(QUILLBACK)
    plain, led = setup_card(setup, PLAIN), setup_card(setup, PLAIN, address="https://192.0.2.7/card/12")

    assert plain.code == compact_text(setup) and led.code == "https://192.0.2.7/card/12"
    assert plain.code_told != led.code_told
    text = compact_text(setup)
    for end in setup.springs.ends:
        assert f"{end.pressure_bar:.2f} bar" in text
    assert "joren 82 kg" in text


def test_the_code_is_read_back_from_the_printed_card(tmp_path):
    """Modules of the printed picture are those that the code's standard asks for, read from the pixels."""
    segno = pytest.importorskip("segno")
    card = setup_card(setup_of(QUILLBACK), PLAIN, address="https://192.0.2.7/card/12")
    file = tmp_path / "card.pdf"
    file.write_bytes(card_bytes(card, "pdf"))
    grey = subprocess.run(
        ["pdftoppm", "-r", "600", "-gray", "-f", "1", "-l", "1", str(file)], capture_output=True, check=True
    ).stdout
    header = re.match(rb"P5\s+(\d+)\s+(\d+)\s+(\d+)\s", grey)
    wide, pixels = int(header[1]), grey[header.end() :]
    mm = 600 / 25.4
    wanted = [list(row) for row in segno.make(card.code, micro=False, error="m").matrix_iter(border=2)]
    side = card.code_mm * mm
    left, top = (105 - 6 - card.code_mm) * mm, 6 * mm
    step = side / len(wanted)
    seen = [
        [pixels[int(top + (y + 0.5) * step) * wide + int(left + (x + 0.5) * step)] < 128 for x in range(len(wanted))]
        for y in range(len(wanted))
    ]

    assert seen == [[bool(module) for module in row] for row in wanted]


def test_a_code_that_no_phone_could_read_is_refused_by_how_much():
    with pytest.raises(OutsideValidity, match=f"{MOST_IN_CODE + 7} characters, 7 more"):
        setup_card(setup_of(WHERRY), PLAIN, address="h" * (MOST_IN_CODE + 7))


def test_what_a_user_wrote_is_text_on_the_card():
    bike = read_bike(QUILLBACK)
    hostile = '#import "@preview/x": * $x$ <a>'
    frame = remade(bike.frame, {"limits": remade(bike.frame.limits, {"rear_tyre_width_max_mm": 50.0})})
    build = bike.build("stock").changed(frame=frame)
    setup = setup_for(build, bike.stock)
    card = replace(setup_card(setup, PLAIN), rider=hostile)
    told = words(card_bytes(card, "pdf"))

    assert hostile in told
    assert "Refused: this build may not be ridden" in told and "the rear tyre's width" in told


# --- the table ----------------------------------------------------------------------------------------------------


def test_the_table_has_a_page_a_build_and_every_pressure_of_its_set_ups():
    bike = read_bike(QUILLBACK)
    builds = [bike.build(name) for name in ("stock", "coil", "long-fork")]
    table = tune_table(builds, bike.stock, BaseTune(name="stock", build=bike.build("stock")))
    made = to_pdf(tune_page(table, PLAIN))
    told = [packed(line) for line in lines(made)]

    assert facts(made)["Pages"] == str(len(builds))
    for column in table.columns:
        for tune in column.tunes:
            row = [line for line in told if line.startswith(f"{tune.mass_kg:.0f}kg")]
            if tune.setup is None:
                assert packed(tune.refusal)[:40] in "".join(told)
                continue
            fork = packed(pressure_text(tune.setup.springs.front.pressure_bar, PLAIN, both=False))
            assert any(fork in line for line in row)
    assert made == to_pdf(tune_page(table, PLAIN))


def test_a_table_on_a_terminal_says_the_same_and_fits():
    bike = read_bike(WHERRY)
    table = tune_table([bike.build("stock")], bike.stock, masses_kg=(50.0, 80.0))
    told = tune_lines(table, shown_units("psi"))

    assert all(len(line) <= 100 for line in told)
    for tune in table.columns[0].tunes:
        text = pressure_text(tune.setup.springs.front.pressure_bar, shown_units("psi"), both=False)
        assert any(text in line for line in told)


def test_a_printed_card_names_no_option_of_a_command():
    """Whoever holds the card has no command line in front of them."""
    bike = read_bike(QUILLBACK)
    card = setup_card(setup_for(bike.build("stock"), bike.stock), PLAIN)

    assert "Reserve: not told." in card.foot[0]
    assert not any("--" in line for line in card.foot)


def test_a_ridden_tyre_pressure_stands_beside_the_calculated_one():
    """What the base was ridden at is worth more than the number; without it the card says where to start."""
    bike = read_bike(QUILLBACK)
    build = bike.build("stock")
    ridden, bare = (
        setup_steps(setup_for(build, bike.stock, base), PLAIN)[0] for base in (bike.tune("home-trail"), None)
    )

    assert [line.beside.split("; ")[-1] for line in ridden.lines] == [
        "'home-trail' has 1.45 bar",
        "'home-trail' has 1.65 bar",
    ]
    assert ridden.told == ()
    assert bare.told == ("Tyres: a start, no absolute; at the upper end of the range until they were ridden.",)

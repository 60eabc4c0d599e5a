"""`bikewright fit` and `bikewright cockpit`: what they print, write and end with."""

import xml.etree.ElementTree as ET

import pytest

from bikewright.model.files import read_bike
from bikewright.studies.evaluate import evaluate
from bikewright.studies.fitting import fit_of
from tests.interfaces.cli.asked import BIKES, QUILLBACK, WHERRY, ask

RIDDEN = [(bike, build.name) for bike in BIKES for build in read_bike(bike).builds if build.rider is not None]


@pytest.mark.parametrize(("bike", "build"), RIDDEN, ids=[f"{bike.name}-{build}" for bike, build in RIDDEN])
def test_every_ridden_build_is_judged_and_the_page_keeps_its_width(bike, build):
    told = ask("fit", bike, "--build", build)
    found = fit_of(read_bike(bike).build(build))

    assert told.code == (0 if found.fits else 1)
    assert told.too_wide == [] and told.err == ""
    flat = " ".join(told.out.split())
    for reason in found.reasons:
        assert " ".join(reason.split()) in flat
    assert "Not modelled:" in told.out and "Limits printed on a part come first" in told.out


def test_json_says_the_same(tmp_path):
    document = ask("fit", QUILLBACK, "--build", "stock", "--json").document("fit")
    build = read_bike(QUILLBACK).build("stock")

    assert (document["rider"], document["fits"]) == ("joren", True)
    seated = document["postures"][2]
    assert seated["angles"][0]["source"] == "holmes1994"
    value = evaluate(fit_of(build).build).value("knee_least_deg@seated").number
    assert seated["angles"][0]["value_deg"] == pytest.approx(value)
    assert document["post"]["longest"] == "dropper-180"


def test_another_rider_size_and_the_stated_sag_can_be_asked_for():
    told = ask("fit", QUILLBACK, "--build", "stock", "--rider", "adebo", "--size", "XL", "--stated-sag")

    assert told.lines[0] == "Quillback, size XL, stock: does it fit adebo?"
    assert "the bike at its stated sag" in told.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--build", "datum"), "the fit waits for a rider"),
        (("--build", "stock", "--rider", "nobody"), "no rider is called 'nobody'"),
        (("--build", "stock", "--with", "crank=unknown"), "waits for a crank"),
        (("--build", "stock", "--out", "fit.dxf"), "this is written as .svg or .png or .pdf, not as '.dxf'"),
    ],
)
def test_bad_input_is_one_sentence(words, told):
    found = ask("fit", QUILLBACK, *words)

    assert (found.code, found.out) == (2, "")
    assert told in found.err and len(found.err.splitlines()) == 1


def test_a_post_that_cannot_be_used_is_refused_by_how_much():
    found = ask("fit", QUILLBACK, "--build", "small", "--with", "seatpost=dropper-200")

    assert found.code == 2
    assert "refused: dropper-200 holds the saddle 64 mm too high at the lowest" in " ".join(found.out.split())


def test_a_rider_who_fits_no_posture_is_refused_by_how_much():
    found = ask("fit", WHERRY, "--build", "stock", "--with", "saddle_height_mm=840")

    assert found.code == 2
    assert "seated climb: the lower pedal is" in " ".join(found.out.split())


def test_a_saddle_off_its_rails_is_refused():
    found = ask("fit", QUILLBACK, "--build", "stock", "--with", "saddle_back_mm=30")

    assert found.code == 2
    assert "the saddle is 30 mm off the middle of its rails, which allow 18 mm (12 mm over)" in " ".join(
        found.err.split()
    )


@pytest.mark.parametrize("posture", ["standing", "climb", "seated"])
def test_the_picture_and_the_sheet_are_written_whole(tmp_path, posture):
    words = ("fit", QUILLBACK, "--build", "coil", "--posture", posture, "--out")
    for name in ("fit.svg", "fit.png", "fit.pdf"):
        assert ask(*words, tmp_path / name).code == 0
    drawn = (tmp_path / "fit.svg").read_text(encoding="utf-8")
    assert ET.fromstring(drawn).tag.endswith("svg")
    assert "adebo" in drawn and "elbow" in drawn
    assert (tmp_path / "fit.png").read_bytes().startswith(b"\x89PNG")
    first = (tmp_path / "fit.pdf").read_bytes()
    assert first.startswith(b"%PDF")
    assert ask(*words, tmp_path / "fit.pdf").code == 0
    assert (tmp_path / "fit.pdf").read_bytes() == first


# The cockpit.


def test_the_cockpit_is_solved_and_what_follows_is_told():
    told = ask("cockpit", QUILLBACK, "--build", "stock", "--want", "seated-length=615", "--by", "reach")

    assert told.code == 1
    assert told.lines[0].startswith("reach of size L: 491.83 mm instead of 481.00 mm; saddle to grip, seated: 615 mm")
    assert "1  reach of size L: 481 mm → 491.83 mm" in told.out
    assert told.too_wide == []


def test_a_solved_length_says_whose_it_is():
    told = ask("cockpit", QUILLBACK, "--build", "stock", "--want", "seated-length=607", "--by", "stem")

    assert told.out.startswith("stem length: ")


def test_the_cockpit_in_json():
    document = ask(
        "cockpit", QUILLBACK, "--build", "stock", "--want", "hand-height=1040", "--by", "spacers", "--json"
    ).document("cockpit")

    assert document["by"] == "stem_spacers_mm"
    assert document["reached"]["value"] == pytest.approx(1040.0, abs=0.02)
    assert document["sizes"][0]["felt"] is True


@pytest.mark.parametrize(
    ("want", "by", "told"),
    [
        ("hand-height=2000", "spacers", "mm short; change something else as well"),
        ("seated-length=700", "grade_pct", "does not move the seated length"),
        ("width=3", "stem", "'width' cannot be wanted. NAME is one of seated-length"),
        ("seated-length=610", "stemm", "names nothing"),
    ],
)
def test_what_cannot_be_had_is_one_sentence(want, by, told):
    found = ask("cockpit", QUILLBACK, "--build", "stock", "--want", want, "--by", by)

    assert (found.code, found.out) == (2, "")
    assert told in found.err and len(found.err.splitlines()) == 1

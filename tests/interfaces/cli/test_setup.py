"""`setup`, `tunes` and `coil`, asked as a person and as a program."""

import pytest

from tests.interfaces.cli.asked import BIKES, CORBEL, QUILLBACK, WHERRY, ask


@pytest.mark.parametrize("folder", BIKES, ids=lambda folder: folder.name)
def test_a_set_up_is_told_in_lines_that_fit_and_as_json(folder):
    told = ask("setup", folder, "--build", "stock", "--base", "stock")
    found = ask("setup", folder, "--build", "stock", "--base", "stock", "--json").document("setup")

    assert told.code == 0 and told.too_wide == []
    (one,) = found["setups"]
    for end in one["springs"]:
        assert f"{end['pressure_bar']:.2f} bar" in told.out
        assert end["sag_pct"] == pytest.approx(end["wanted_sag_pct"], abs=1e-8)
    assert "Not modelled" in told.out and "printed on" in told.out
    assert found["comparison"] is None


def test_the_wanted_sags_and_the_rider_are_asked_for():
    words = ("--build", "stock", "--rider", "tamsin", "--sag-front", "18", "--sag-rear", "33")
    (one,) = ask("setup", QUILLBACK, *words, "--json").document("setup")["setups"]

    assert [end["wanted_sag_pct"] for end in one["springs"]] == [18.0, 33.0]
    assert one["rider"]["name"] == "tamsin"
    assert one["build"]["build"] == "stock"


def test_two_riders_are_laid_beside_each_other_with_what_follows():
    told = ask("setup", QUILLBACK, "--build", "coil", "--against", "tamsin")
    found = ask("setup", QUILLBACK, "--build", "coil", "--against", "tamsin", "--json").document("setup")

    assert told.code == 0 and told.too_wide == []
    assert "set otherwise" in told.out and "the same" in told.out and "what follows, most felt first" in told.out
    assert [one["rider"]["name"] for one in found["setups"]] == ["adebo", "tamsin"]
    assert found["comparison"]["felt"] is True


def test_a_rider_whom_the_springs_do_not_hold_is_refused_with_2():
    told = ask("setup", QUILLBACK, "--build", "stock", "--with", "rider.mass_kg=45")

    assert told.code == 2
    assert "45 kg, cannot be held at 20 % sag by the fork" in told.err and "below the 3.45 bar" in told.err
    assert told.out == ""


def test_a_build_that_is_refused_is_set_up_and_ends_with_2():
    told = ask("setup", QUILLBACK, "--build", "stock", "--with", "rear_tyre.width_mm=66")

    assert told.code == 2
    assert "Refused" in told.err and "pressure" in told.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--build", "datum"), "waits for a rider"),
        (("--build", "stock", "--rider", "nobody"), "nobody"),
        (("--build", "stock", "--base", "hill"), "no base tune and no build is called 'hill'"),
        (("--build", "stock", "--base", "datum"), "nobody rides the base 'datum'"),
        (("--build", "stock", "--sag-rear", "0"), "a rear sag of 0 %"),
        (("--build", "stock", "--sag-front", "99"), "sag_front_pct"),
        (("--build", "stock", "--with", "front_tyre.pressure_max_bar=0.9"), "0.9"),
        (("--build", "stock", "--out", "card.png"), "written as .pdf or .svg"),
        (("--build", "stock", "--with", "fork.spring.positive_volume_cm3=unknown"), "the positive volume"),
    ],
)
def test_bad_input_is_one_sentence_and_2(words, told):
    found = ask("setup", QUILLBACK, *words)

    assert found.code == 2
    assert told in found.err


def test_cards_are_written(tmp_path):
    for name, words in (("card.pdf", ()), ("card.svg", ()), ("phone.pdf", ("--card", "phone"))):
        file = tmp_path / name
        assert ask("setup", QUILLBACK, "--build", "stock", "--out", file, *words).code == 0
        assert file.read_bytes().startswith(b"%PDF" if name.endswith("pdf") else b"<svg")


def test_the_table_is_told_written_and_given_as_json(tmp_path):
    file = tmp_path / "tunes.pdf"
    told = ask("tunes", WHERRY, "--base", "stock")
    found = ask("tunes", WHERRY, "--builds", "stock", "--base", "stock", "--json").document("tunes")

    assert told.code == 0 and told.too_wide == []
    assert ask("tunes", WHERRY, "--builds", "stock", "--out", file).code == 0
    assert file.read_bytes().startswith(b"%PDF")
    (one,) = found["builds"]
    assert [tune["mass_kg"] for tune in one["tunes"]] == found["masses_kg"]
    assert all((tune["setup"] is None) == bool(tune["refusal"]) for tune in one["tunes"])


def test_a_long_table_tells_on_standard_error_how_far_it_is(monkeypatch):
    now = iter(range(1000))
    monkeypatch.setattr("bikewright.interfaces.cli.ranging.time.monotonic", lambda: float(next(now)))
    told = ask("tunes", WHERRY, "--builds", "stock")

    assert "4 of 16 done, about 12 s left" in told.err
    assert "15 of 16 done, about 1 s left" in told.err
    assert "left" not in told.out


def test_a_dial_that_waits_is_named_under_the_table():
    told = " ".join(ask("tunes", QUILLBACK, "--builds", "coil", "--base", "stock").out.split())

    assert "shock rebound" in told and "waits for" in told


def test_a_table_of_a_build_without_a_rider_is_bad_input():
    told = ask("tunes", QUILLBACK, "--builds", "datum")

    assert told.code == 2 and "waits for a rider" in told.err


def test_the_coil_question_is_answered_with_its_code():
    yes, waits, no = (
        ask("coil", QUILLBACK, "--build", "stock"),
        ask("coil", CORBEL, "--build", "stock"),
        ask("coil", QUILLBACK, "--build", "stock", "--progression-min", "30"),
    )

    assert (yes.code, waits.code, no.code) == (0, 1, 1)
    assert "Yes: this frame may take a coil." in yes.out
    assert "waits for hardware.turn_max_deg" in " ".join(waits.out.split())
    assert "No: this frame may not take a coil." in no.out
    assert yes.too_wide == waits.too_wide == no.too_wide == []
    for folder in (QUILLBACK, CORBEL):
        found = ask("coil", folder, "--build", "stock", "--json").document("coil")
        assert len(found["laid"]["wheel_travel_mm"]) == len(found["laid"]["coil_force_n"]) == 101


def test_the_coil_over_air_is_drawn(tmp_path):
    file = tmp_path / "coil.svg"

    assert ask("coil", QUILLBACK, "--build", "stock", "--out", file).code == 0
    assert "coil and air" in file.read_text(encoding="utf-8")


def test_a_hardtail_has_no_coil_question():
    told = ask("coil", WHERRY)

    assert told.code == 2 and "has no rear suspension" in told.err


@pytest.mark.parametrize("words", [("setup", WHERRY, "--build", "stock"), ("tunes", WHERRY, "--base", "stock")])
def test_a_sag_of_the_rear_is_not_wanted_of_a_hardtail(words):
    assert ask(*words).code == 0
    told = ask(*words, "--sag-rear", "28")
    assert (told.code, "no rear suspension" in told.err) == (2, True)

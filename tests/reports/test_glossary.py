"""The words page on a terminal."""

from bikewright.quantities import CATALOGUE, STATES
from bikewright.reports.glossary import glossary_lines


def test_every_entry_stands_once_with_its_meaning():
    lines = glossary_lines()
    told = " ".join(" ".join(lines).split())

    for key, quantity in CATALOGUE.items():
        assert sum(line.split()[:1] == [key] for line in lines) == 1
        assert quantity.meaning in told
    for state, meaning in STATES.items():
        assert f"{state} {meaning}" in told


def test_a_felt_step_is_told_with_its_unit():
    assert "Felt from 0.3°." in " ".join(" ".join(glossary_lines("head_angle_deg")).split())
    assert "Felt from 5 mm." in " ".join(" ".join(glossary_lines("reach_mm")).split())


def test_a_word_is_looked_for_in_key_label_and_meaning():
    assert any("wheel_flop_mm" in line for line in glossary_lines("FLOP"))
    assert glossary_lines("wombat") == ["no quantity holds 'wombat'"]
    assert "states" not in glossary_lines("flop")

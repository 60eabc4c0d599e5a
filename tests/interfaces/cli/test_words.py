"""`bikewright words`: the catalogue, whole or narrowed."""

from bikewright.quantities import CATALOGUE, STATES
from tests.interfaces.cli.asked import ask


def test_every_quantity_and_state_is_listed():
    told = ask("words")

    assert (told.code, told.err, told.too_wide) == (0, "", [])
    named = {line.split()[0] for line in told.lines if line.startswith("  ")}
    assert named >= CATALOGUE.keys() | STATES.keys()


def test_a_word_narrows_the_list():
    told = ask("words", "TRAIL")

    assert "trail_mm" in told.out and "wheel_flop_mm" in told.out
    assert "reach_mm" not in told.out
    assert ask("words", "wombat").lines == ["no quantity holds 'wombat'"]


def test_json_is_the_catalogue():
    found = ask("words", "--json").document("catalogue")

    assert [quantity["key"] for quantity in found["quantities"]] == list(CATALOGUE)
    assert found["states"] == STATES
    assert {quantity["family"] for quantity in found["quantities"]} <= found["families"].keys()

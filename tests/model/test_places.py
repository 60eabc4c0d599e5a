"""Every key of a text has its place: held against tomllib, and against texts that know their own places."""

import tomllib
from typing import Any

import pytest

from bikewright.model.places import Place, first_repeat, places_of
from tests.model.random_toml import RandomToml

DOCUMENTS = 1500


def paths_in(data: Any, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    """Every table, item and leaf that tomllib finds."""
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    found = {path} if path else set()
    return found.union(*(paths_in(value, (*path, key)) for key, value in inner)) if inner else found


def test_every_path_that_tomllib_finds_has_its_place_in_random_documents():
    paths = 0
    for seed in range(DOCUMENTS):
        document = RandomToml(seed)
        found = places_of(document.text)
        assert set(found) == paths_in(tomllib.loads(document.text)), document.text
        assert {path: (place.line, place.column) for path, place in found.items()} == document.places, document.text
        paths += len(found)
    assert paths > 10 * DOCUMENTS  # the documents are no trivial ones


def test_windows_line_ends_move_no_line():
    text = RandomToml(5).text
    assert places_of(text.replace("\n", "\r\n")) == places_of(text)


@pytest.mark.parametrize(
    ("text", "path", "lines"),
    [
        ("[a]\nx = 1\n\n[a]\ny = 2\n", ("a",), (1, 4)),
        ("[race.settings]\n[race]\n[race]\n", ("race",), (2, 3)),
        ("x = 1\ny = 2\nx = 3\n", ("x",), (1, 3)),
        ("a = 1\n[a]\n", ("a",), (1, 2)),
        ("[[l]]\nx = 1\nx = 2\n", ("l", 0, "x"), (2, 3)),
        ("t = { q = 1,\n", None, ()),
    ],
)
def test_a_key_that_is_written_twice_is_found_with_both_lines(text, path, lines):
    repeat = first_repeat(text)
    with pytest.raises(tomllib.TOMLDecodeError):
        tomllib.loads(text)
    assert repeat is None if path is None else (repeat.path, (repeat.first.line, repeat.second.line)) == (path, lines)


def test_a_broken_text_is_placed_as_far_as_it_goes():
    assert places_of('a = 1\nb = "open\nc = 3\n') == {("a",): Place(1, 1), ("b",): Place(2, 1)}

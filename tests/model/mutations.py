"""Spoilt copies of a text: what slips of the hand, bad exports and malice make of a file."""

import random
import re
from collections.abc import Callable

TOKEN = re.compile(rb"[\w.\-]+|\"[^\"\n]*\"|[\[\]{}=,;\n#]")

VALUES = (
    b"nan", b"-inf", b"inf", b"1e999", b"-1e308", b"9" * 400, b"-0.0", b"0", b"true", b"false", b'""', b'"unknown"',
    b'"x"', b"''", b"[]", b"{}", b"[[1]]", b"[1, 'a', {}]", b"{ a = { b = [] } }", b"1979-05-27", b"07:32:00",
    b'"9999999999999999 mm"', b'"1e400 mm"', b'"12 kg"', b'"12 furlongs"', b'"500 lbf/in"', b'"\\u0000"', b'"\\uFFFD"',
    '"ünï\u202e\u200b"'.encode(), b'"' + b"a" * 3000 + b'"', b"0x7fffffffffffffffffff", b"1_000_000", b"'../../etc'",
)  # fmt: skip

JUNK = (
    b"\0", b"\xff", b"\xc3\x28", "\u2028".encode(), b"\r", b"\t\t", b"[" * 2000, b"{" * 300, b"a." * 500 + b"a = 1\n",
    b"]", b"=", b'"""', b"'''", b"\\", b"#", b"\n[[x]]\n", b"\n[x]\n", b"\nname = 1\n", b"\n__class__ = 1\n",
    b"\nself = 1\n", b"\n" + b"k" * 5000 + b" = 1\n", '\n"\u0660" = 1\n'.encode(), b'\n"" = 1\n', b"\nformat = 99\n",
    b"\xef\xbb\xbf",
)  # fmt: skip


def mutated(content: bytes, rng: random.Random) -> bytes:
    """The content with one to four things done to it."""
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        content = rng.choice(_MUTATIONS)(content, rng)
    return content


def _flip(content: bytes, rng: random.Random) -> bytes:
    spoilt = bytearray(content)
    for _ in range(rng.choice((1, 1, 3, 20))):
        if spoilt:
            spoilt[rng.randrange(len(spoilt))] = rng.randrange(256)
    return bytes(spoilt)


def _tokens(content: bytes, rng: random.Random) -> list[re.Match[bytes]]:
    found = list(TOKEN.finditer(content))
    return [rng.choice(found), rng.choice(found)] if found else []


def _swap_tokens(content: bytes, rng: random.Random) -> bytes:
    pair = sorted(_tokens(content, rng), key=lambda token: token.start())
    if len(pair) < 2 or pair[0].end() > pair[1].start():
        return content
    first, second = pair
    between = content[first.end() : second.start()]
    return content[: first.start()] + second[0] + between + first[0] + content[second.end() :]


def _exchange_value(content: bytes, rng: random.Random) -> bytes:
    places = list(re.finditer(rb"[=,\[;]\s*([^\s,;\]}#=\[{]+)", content))
    if not places:
        return content
    place = rng.choice(places)
    return content[: place.start(1)] + rng.choice(VALUES) + content[place.end(1) :]


def _exchange_token(content: bytes, rng: random.Random) -> bytes:
    for token in _tokens(content, rng)[:1]:
        content = content[: token.start()] + rng.choice((*VALUES, *JUNK)) + content[token.end() :]
    return content


def _drop(content: bytes, rng: random.Random) -> bytes:
    start = rng.randrange(len(content) + 1)
    return content[:start] + content[start + rng.choice((1, 5, 30, 200)) :]


def _drop_line(content: bytes, rng: random.Random) -> bytes:
    lines = content.split(b"\n")
    del lines[rng.randrange(len(lines))]
    return b"\n".join(lines)


def _double(content: bytes, rng: random.Random) -> bytes:
    lines = content.split(b"\n")
    at = rng.randrange(len(lines))
    return b"\n".join([*lines[: at + 1], *lines[at : at + rng.choice((1, 3))], *lines[at + 1 :]])


def _cut(content: bytes, rng: random.Random) -> bytes:
    return content[: rng.randrange(len(content) + 1)]


def _insert(content: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(content) + 1)
    return content[:at] + rng.choice(JUNK) + content[at:]


def _stretch(content: bytes, rng: random.Random) -> bytes:
    numbers = list(re.finditer(rb"\d+", content))
    if not numbers:
        return content
    number = rng.choice(numbers)
    new = rng.choice((number[0] + b"0", number[0][:-1] or b"0", number[0] + b".5.5", b"-" + number[0], number[0] * 9))
    return content[: number.start()] + new + content[number.end() :]


_MUTATIONS: tuple[Callable[[bytes, random.Random], bytes], ...] = (
    _flip, _swap_tokens, _exchange_value, _exchange_value, _exchange_token, _drop, _drop_line, _double, _cut, _insert,
    _stretch,
)  # fmt: skip

"""Changes to a file's bytes, drawn by chance: flipped, cut, doubled, blown up, and odd signs put in."""

import random
import re
from collections.abc import Callable, Sequence

SIGNS = (
    b"\x00", b"\x1b[31m", b"\x07", b"\r", b"\r\n", b"\n\n", b"\t", b"\x7f", b"\xc2\x85", b"\xe2\x80\xa8",
    b"\xe2\x80\xae", b"\xef\xbb\xbf", b"\xff\xfe", b"\xed\xa0\x80", b"\xc0\x80", b"\xf0\x9f\x8d\x8e",
    b"\xcc\x88",
    b"\xd9\xa3", b"\xc2\xbd", b"\xe2\x88\x92", b"'", b'"', b'"""', b"'''", b"\\", b"\\u0000", b"\\ud800",
    b"\\", b"%s",
    b"{0}", b"#", b"=", b",", b";", b":", b"[", b"]", b"[[", b"{", b"}", b"<", b"&", b"../", b"/dev/zero",
    b"-",
)  # fmt: skip
NUMBERS = (
    b"0", b"-1", b"1", b"60", b"1e999", b"-0.0", b"nan", b"inf", b"1_000", b"0x10", b"007", b"2147483648",
    b"9223372036854775807", b"9223372036854775808", b"-9223372036854775809", b"1" * 400, b"9" * 5000, b"0.1",
    b"1.5", b"59:60", b"99:99", b"0:00", b"24:00", b"0001-01-01", b"9999-12-31", b"2026-02-30", b"true",
    b"null",
)  # fmt: skip
_NUMBER = re.compile(rb"\d+")
LARGE = (1_000, 30_000, 200_000, 1_100_000)
Change = Callable[[random.Random, bytes, Sequence[bytes]], bytes]


def _places(chance: random.Random, data: bytes, most: int = 40) -> tuple[int, int]:
    begin = chance.randrange(len(data) + 1)
    return begin, min(len(data), begin + chance.randrange(1, most))


def _flip(chance: random.Random, data: bytes, _tokens: Sequence[bytes]) -> bytes:
    if not data:
        return data
    at = chance.randrange(len(data))
    return data[:at] + bytes([data[at] ^ 1 << chance.randrange(8)]) + data[at + 1 :]


def _any_byte(chance: random.Random, data: bytes, _tokens: Sequence[bytes]) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + bytes([chance.randrange(256)]) + data[at + chance.randrange(2) :]


def _cut(chance: random.Random, data: bytes, _tokens: Sequence[bytes]) -> bytes:
    begin, end = _places(chance, data, 200)
    return data[:begin] + data[end:]


def _end_early(chance: random.Random, data: bytes, _tokens: Sequence[bytes]) -> bytes:
    return data[: chance.randrange(len(data) + 1)]


def _double(chance: random.Random, data: bytes, _tokens: Sequence[bytes]) -> bytes:
    begin, end = _places(chance, data)
    return data[:end] + data[begin:end] * chance.choice((1, 2, 5, 30)) + data[end:]


def _put_in(chance: random.Random, data: bytes, tokens: Sequence[bytes]) -> bytes:
    at = chance.randrange(len(data) + 1)
    return data[:at] + chance.choice((*tokens, *tokens, *SIGNS)) + data[at + chance.randrange(3) :]


def _other_number(chance: random.Random, data: bytes, _tokens: Sequence[bytes]) -> bytes:
    found = list(_NUMBER.finditer(data))
    if not found:
        return data
    match = chance.choice(found)
    return data[: match.start()] + chance.choice(NUMBERS) + data[match.end() :]


def _lines(chance: random.Random, data: bytes, _tokens: Sequence[bytes]) -> bytes:
    lines = data.splitlines(keepends=True)
    if len(lines) < 2:
        return data
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    match chance.randrange(3):
        case 0:
            lines[one], lines[other] = lines[other], lines[one]
        case 1:
            lines.insert(one, lines[other])
        case _:
            del lines[one]
    return b"".join(lines)


def _other_value(chance: random.Random, data: bytes, tokens: Sequence[bytes]) -> bytes:
    """What stands between quotes, or after a colon or an equals sign, becomes something else."""
    found = list(re.finditer(rb'"[^"\n]*"|(?<=[:=]) ?[^\s"]+', data))
    if not found:
        return data
    match = chance.choice(found)
    return data[: match.start()] + chance.choice((*tokens, *NUMBERS, *SIGNS, b"")) + data[match.end() :]


def _encode(chance: random.Random, data: bytes, _tokens: Sequence[bytes]) -> bytes:
    text = data.decode("utf-8", "replace")
    return text.encode(chance.choice(("utf-16", "utf-16-le", "latin-1", "utf-8-sig", "utf-32")), "replace")


def _blow_up(chance: random.Random, data: bytes, tokens: Sequence[bytes]) -> bytes:
    """A piece of the file, or an odd sign, very often: what is cheap once may not be so in a row."""
    begin, end = _places(chance, data, 60)
    piece = chance.choice((data[begin:end], *tokens, *SIGNS)) or b"x"
    return data[:begin] + piece * (chance.choice(LARGE) // len(piece)) + data[begin:]


_CHANGES: tuple[Change, ...] = (
    _flip, _any_byte, _cut, _double, _put_in, _put_in, _other_number, _other_number, _lines, _other_value,
    _other_value, _end_early,
)  # fmt: skip
_RARE: tuple[Change, ...] = (_encode, _blow_up)


def mutated(chance: random.Random, seeds: Sequence[bytes], tokens: Sequence[bytes]) -> bytes:
    """One of the seeds, changed one to six times; seldom two of them spliced, or one blown up."""
    data = chance.choice(seeds)
    if chance.random() < 0.1:
        other = chance.choice(seeds)
        data = data[: chance.randrange(len(data) + 1)] + other[chance.randrange(len(other) + 1) :]
    for _change in range(chance.choice((1, 1, 1, 2, 2, 3, 6))):
        data = chance.choice(_CHANGES)(chance, data, tokens)
    if chance.random() < 0.04:
        data = chance.choice(_RARE)(chance, data, tokens)
    return data

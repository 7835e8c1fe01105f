"""TOML that somebody else wrote: looked over in one pass first, so that none of it can hang the reader."""

import re
import tomllib
from typing import Any

from pacer.plan.problems import ToldError
from pacer.text import _

# The largest outline there can be has some 3,500 keys, which are 30,000 pieces, no table within the third,
# and no word that the schema takes is longer than a title.
MOST_PIECES = 60_000
DEEPEST = 20
LONGEST_WORD = 200
MOST_ESCAPES = 20_000  # in one text: Python's reader may copy all of it once for each of them

# Each text ends at its quotes, its line or the end, and nothing is tried twice: one pass, whatever is there.
_PIECE = re.compile(
    r'(?P<quoted>"""(?:[^"\\]|\\[\s\S]?|"(?!""))*+(?:"{3,5}|\Z)' r"|'''(?:[^']|'(?!''))*+(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]|\\[^\n]?)*+"?' r"|'[^'\n]*+'?|\#[^\n]*+)"
    r"|(?P<open>[\[{])|(?P<close>[\]}])|(?P<dot>\.)|(?P<end>[=,\n])|(?P<word>[^\"'\#\n\[\]{}.=,]++)"
)  # fmt: skip


class TooMuchError(ToldError, ValueError):
    """The text holds what no outline does, and reading it could take very long."""


def parse_toml(text: str) -> dict[str, Any]:
    """The tables of a text with plain line ends. Raises TooMuchError, TOMLDecodeError, RecursionError.

    Python's reader takes time and memory by the square of a key's parts and of what is nested, and Python
    can't show a number of thousands of digits.
    """
    look_over(text)
    return tomllib.loads(text)


def look_over(text: str) -> None:
    """Raise TooMuchError where a text is nested too deeply, too long in a word, or too much altogether."""
    depth = parts = escapes = 0
    for count, piece in enumerate(_PIECE.finditer(text)):
        kind = piece.lastgroup
        if kind == "dot":
            parts += 1
        elif kind == "open":
            depth, parts = depth + 1, 0
        elif kind == "close":
            depth, parts = max(0, depth - 1), 0
        elif kind == "end":
            parts = 0
        elif kind == "quoted":
            escapes = piece[0].count("\\")
        elif kind == "word" and _is_long(piece[0]):
            what = _("A name or number here has more than {most} signs.", most=LONGEST_WORD)
            raise _at(text, piece, what, _('Make it shorter; text stands in "quotes".'))
        if max(depth, parts) > DEEPEST:
            raise _at(text, piece, _("The tables are nested too deeply."), _("Take the line out."))
        if count >= MOST_PIECES or escapes > MOST_ESCAPES:
            what = _("There is far more in this file than an outline holds.")
            raise _at(text, piece, what, _("Keep one lesson in a file."))


def _is_long(word: str) -> bool:
    return len(word) > LONGEST_WORD and any(len(part) > LONGEST_WORD for part in word.split())


def _at(text: str, piece: re.Match[str], what: str, fix: str) -> TooMuchError:
    return TooMuchError(what, fix, text.count("\n", 0, piece.start()) + 1)

"""Numbers that mean minutes only beside the other lines: "(5) Morning message", "Lesson 15"."""

import re
from collections.abc import Sequence
from itertools import pairwise

from pacer.plan.typed.line import ParsedLine, take_time
from pacer.plan.typed.plain_signs import neat, shadow
from pacer.text import _

_BRACKET = re.compile(r"\s{0,9}\((\d{1,2})\)\s")
# "Lesson 15" may be the fifteenth, or a lesson of fifteen minutes.
NAMED_LESSON = r"(?:[^\W\d_]{1,12} ){0,2}(?:mini-?)?(?:lesson|lección|leccion) \d{1,3}"
_NAMED = re.compile(NAMED_LESSON)


def take_numbers(lines: Sequence[ParsedLine]) -> None:
    """Read those numbers as minutes, and show that they might mean something else."""
    free = [line for line in lines if not (line.what or line.is_quoted or line.is_note)]
    _take_brackets(free)
    _take_named(free)


def _take_brackets(free: Sequence[ParsedLine]) -> None:
    """Numbers in brackets before titles count the lines where they go up by one; else they are minutes."""
    numbered = [
        (line, match) for line in free if line.mark == "number" and (match := _BRACKET.match(line.clean))
    ]
    numbers = [int(match[1]) for _line, match in numbered]
    if len(numbered) < 2 or any(line.has_time for line, _match in numbered):
        return
    if all(b == a + 1 for a, b in pairwise(numbers)):
        return
    for (line, _match), minutes in zip(numbered, numbers, strict=True):
        line.mark, line.seconds, line.has_time = "", minutes * 60, True
        line.title, line.class_line = neat(line.whole), ""
        line.doubts = [*line.kept_doubts, _("The number in brackets is taken for minutes.")]


def _take_named(free: Sequence[ParsedLine]) -> None:
    """ "Lesson 15" is the fifteenth, but where the lines around it end with bare minutes."""
    named = [line for line in free[1:] if not line.has_time and _NAMED.fullmatch(shadow(line.words))]
    bare = [
        line
        for line in free
        if line.timing is not None and line.timing.how == "bare" and line.timing.place == "tail"
    ]
    if len(named) > len(bare):
        return
    for line in (line for line in named if not line.mark or line.mark == bare[0].mark):
        text = f"{line.words} min"
        take_time(line, text, shadow(text))
        line.doubts.append(_("The number may belong to the title."))

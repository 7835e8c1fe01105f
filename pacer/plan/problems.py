"""What is wrong with something the teacher wrote: where it is and what to do next."""

from collections.abc import Iterable
from dataclasses import dataclass

from pacer.plan.seen_text import code_of, is_visible, skeleton
from pacer.text import _

WhatAndFix = tuple[str, str]


@dataclass(frozen=True)
class Problem:
    """One problem, ready to be shown. ``line`` counts from 1; None when the whole file is meant."""

    file: str
    line: int | None
    what: str
    fix: str = ""

    def __str__(self) -> str:
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        return f"{where}: {self.what}" + (f" {self.fix}" if self.fix else "")


class ToldError(Exception):
    """Why something can't be used, in plain words: what, what to do next, and in which line, from 1."""

    def __init__(self, what: str, fix: str, line: int | None = None) -> None:
        super().__init__(what, fix, line)
        self.what, self.fix, self.line = what, fix, line

    def __str__(self) -> str:
        return f"{self.what} {self.fix}"

    def problem(self, file: object) -> Problem:
        """The same as a problem of a file."""
        return Problem(str(file), self.line, self.what, self.fix)


def clipped(text: str, most: int = 40) -> str:
    """Somebody's text as it may be shown in a message: short, and nothing unprintable in it."""
    shown = "".join(char if char.isprintable() else "?" for char in text[: most + 1])
    return shown if len(shown) <= most else shown[:most] + "…"


def did_you_mean(word: str, choices: Iterable[str]) -> str | None:
    """The known word nearest to what was typed, if one is near; one that looks the same before all."""
    known = list(choices)
    seen = skeleton(word).casefold()
    same = next((choice for choice in known if choice != word and skeleton(choice).casefold() == seen), None)
    import difflib  # late: most files have no mistake in them

    near = difflib.get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    return same or (near[0] if near else None)


def mean_words(word: str, near: str) -> str:
    """Ask whether the near word was meant; of one that looks the same, say what differs."""
    meant = _('Did you mean "{near}"?', near=clipped(near, 60))
    if word == near or skeleton(word).casefold() != skeleton(near).casefold():
        return meant
    if word.casefold() == near.casefold():
        return f"{meant} {_('Capital letters count.')}"
    strange = next((char for char in word if char not in near and not char.isascii()), "")
    if not strange:
        return f"{meant} {_('It has other blanks, or signs made of two; type it anew.')}"
    if is_visible(strange):
        words = _('The "{char}" in it is another sign ({code}) that looks alike; type it anew.')
        return f"{meant} {words.format(char=strange, code=code_of(strange))}"
    words = _("It holds a sign that can't be seen ({code}); type it anew.", code=code_of(strange))
    return f"{meant} {words}"

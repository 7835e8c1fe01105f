"""What is wrong with something the teacher wrote: where it is and what to do next."""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass


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


def clipped(text: str, most: int = 40) -> str:
    """Somebody's text as it may be shown in a message: short, and nothing unprintable in it."""
    shown = "".join(char if char.isprintable() else "?" for char in text[: most + 1])
    return shown if len(shown) <= most else shown[:most] + "…"


def did_you_mean(word: str, choices: Iterable[str]) -> str | None:
    """The known word nearest to what was typed, if one is near."""
    near = difflib.get_close_matches(word.lower(), list(choices), n=1, cutoff=0.6)
    return near[0] if near else None

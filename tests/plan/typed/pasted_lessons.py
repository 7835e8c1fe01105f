"""Invented lessons as teachers paste them, each with what was meant, and how well the reader reads them.

A file of ``lessons`` holds many: ``#### name``, the text (``⇥`` for a tab, ``⍽`` for a blank that doesn't
break), ``----``, and below it a phase a line, its title and its minutes (``?`` where none are written), and
``doubts`` with the numbers of the lines that may be read in two ways. ``kept_*`` were written before the
reader that they measure; it was mended by their names and by one of their lines, by the others not.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from difflib import SequenceMatcher
from pathlib import Path

from pacer.plan.typed.read_typed import Typed, read_typed

FOLDER = Path(__file__).parent / "lessons"
Timed = tuple[str, int | None]


@dataclass(frozen=True)
class Pasted:
    """A lesson as it was pasted, the phases that were meant, and the lines that may be doubted."""

    name: str
    text: str
    phases: tuple[Timed, ...]
    may_doubt: frozenset[int]


@dataclass
class Score:
    """``silent`` and ``marked`` are misreadings: phases that are missing or wrong, and extra ones."""

    lessons: int = 0
    phases: int = 0
    right: int = 0
    extra: int = 0
    silent: int = 0
    marked: int = 0
    clear_lines: int = 0
    false_doubts: int = 0

    def __iadd__(self, other: "Score") -> "Score":
        for part in fields(self):
            setattr(self, part.name, getattr(self, part.name) + getattr(other, part.name))
        return self

    @property
    def share(self) -> float:
        """How many of the phases that were meant have the right title and minutes."""
        return self.right / self.phases


def pasted_lessons(pattern: str) -> list[Pasted]:
    return [
        _lesson(part)
        for path in sorted(FOLDER.glob(pattern))
        for part in path.read_text(encoding="utf-8").split("#### ")[1:]
    ]


def _lesson(part: str) -> Pasted:
    name, rest = part.split("\n", 1)
    text, said = rest.split("\n----\n")
    phases: list[Timed] = []
    may_doubt: frozenset[int] = frozenset()
    for line in said.strip().split("\n"):
        if line.startswith("doubts "):
            may_doubt = frozenset(map(int, line.split()[1:]))
        else:
            title, minutes = line.rsplit(" ", 1)
            phases.append((title, _seconds(minutes)))
    return Pasted(name, text.replace("⇥", "\t").replace("⍽", "\u00a0"), tuple(phases), may_doubt)


def _seconds(minutes: str) -> int | None:
    if minutes == "?":
        return None
    whole, _colon, rest = minutes.partition(":")
    return int(whole) * 60 + int(rest or 0)


def score_of(lesson: Pasted) -> Score:
    """Compare what is read with what was meant."""
    typed = read_typed(lesson.text)
    found = [(_alike(phase.title), phase.seconds) for phase in typed.phases]
    meant = [(_alike(title), seconds) for title, seconds in lesson.phases]
    lines = [line.number for line in typed.lines for _phase in line.phases]
    doubted = {line.number for line in typed.lines if line.why}
    score = Score(lessons=1, phases=len(meant))
    wrong: set[int] = set()
    for how, a, b, c, d in SequenceMatcher(None, meant, found, autojunk=False).get_opcodes():
        if how == "equal":
            score.right += b - a
            continue
        places = [lines[at] for at in range(c, d)] + list(_lines_with(lesson, meant[a:b]))
        is_marked = [bool({place} & doubted) for place in places] or [bool(doubted)]
        misread = max(b - a, d - c)
        score.extra += max(0, (d - c) - (b - a))
        count = misread if all(is_marked[: d - c] or is_marked) else 0
        score.marked += count
        score.silent += misread - count
        wrong |= set(places)
    clear = {line.number for line in typed.lines if line.raw.strip()} - lesson.may_doubt - wrong
    score.clear_lines = len(clear)
    score.false_doubts = len(clear & doubted)
    return score


def _alike(title: str) -> str:
    return " ".join(title.casefold().split()).strip(" .:,;-–—")


def _lines_with(lesson: Pasted, phases: Sequence[tuple[str, int | None]]) -> Iterable[int]:
    for title, _seconds in phases:
        for number, line in enumerate(lesson.text.splitlines(), start=1):
            if title in _alike(line):
                yield number
                break


def told(lesson: Pasted) -> str:
    """A lesson and what was read, for who mends the reader."""
    typed: Typed = read_typed(lesson.text)
    lines = [f"== {lesson.name}"]
    for line in typed.lines:
        read = "; ".join(f"{p.title!r} {p.seconds} {p.class_line} {p.notes!r}" for p in line.phases)
        lines.append(f"{line.number:3} {line.raw[:60]!r:50} {line.what:8} {read} ?{line.why}")
    meant = ", ".join(f"{title} {seconds}" for title, seconds in lesson.phases)
    return "\n".join([*lines, f"   meant: {meant}", f"   may doubt {sorted(lesson.may_doubt)}"])

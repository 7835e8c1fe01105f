"""What was taken out of a file or the clipboard: its text in parts, what was left aside; the limits."""

from dataclasses import dataclass

from pacer.plan.problems import ToldError
from pacer.plan.typed.read_typed import MOST_LINES
from pacer.text import _

MOST_BYTES = 50_000_000  # of a file: one with pictures in it may be large, and they are never unpacked
MOST_SIGNS = 1_000_000  # of a text: a thick book
MOST_CELLS = 40_000
_UNSEEN = dict.fromkeys([*range(9), *range(14, 32), 127]) | {11: "\n", 12: "\n"}


class NotTakenError(ToldError):
    """Nothing was taken and nothing changed."""


@dataclass(frozen=True)
class TakenPart:
    """A sheet of a spreadsheet, a day of a calendar, or all of a text: its name, and lines as she types them.

    Cells of a row stand between tabs. Where there is one part alone it has no name.
    """

    name: str
    text: str


@dataclass(frozen=True)
class Taken:
    """The parts of what was taken, in order and none of them empty; ``left_aside`` are plain sentences."""

    parts: tuple[TakenPart, ...]
    left_aside: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The text of the first part."""
        return self.parts[0].text


def taken(texts: list[tuple[str, str]], left_aside: list[str] | tuple[str, ...] = ()) -> Taken:
    """What was found, as (name, text), with limits kept. Raises NotTakenError where there is nothing."""
    kept = [(name, _trimmed(text)) for name, text in texts]
    kept = [(name, text) for name, text in kept if text.strip()]
    if not kept:
        raise NotTakenError(
            _("There is no text in it."), _("If it is a picture of a lesson, type the lesson here.")
        )
    for _name, text in kept:
        within_limits(text)
    parts = [TakenPart(name if len(kept) > 1 else "", text) for name, text in kept]
    return Taken(tuple(parts), tuple(left_aside))


def within_limits(text: str) -> None:
    """Raises NotTakenError for a text that is no lesson."""
    if len(text) > MOST_SIGNS:
        what = _("That is {n} million signs of text.", n=f"{len(text) / 1e6:.1f}")
        raise NotTakenError(what, copy_one_lesson())
    if text.count("\n") >= MOST_LINES:
        raise too_many_lines()


def too_many_lines() -> NotTakenError:
    """More lines or rows than a lesson has."""
    return NotTakenError(_("It has more than {most} lines or rows.", most=MOST_LINES), copy_one_lesson())


def too_many_cells() -> NotTakenError:
    """More cells than a lesson's tables have."""
    return NotTakenError(_("It has more than {most} cells.", most=MOST_CELLS), copy_one_lesson())


def too_much_text() -> NotTakenError:
    """More text than a lesson has."""
    return NotTakenError(_("It has more text than any lesson."), copy_one_lesson())


def copy_one_lesson() -> str:
    """What to do with too much."""
    return _("Copy only the lines of one lesson and paste them.")


def broken(kind: str) -> NotTakenError:
    """A file that can't be taken apart; ``kind`` is what it should be."""
    what = _("The file is broken or cut short, or it is no {kind}.", kind=kind)
    return NotTakenError(
        what, _("Open it in the program it comes from and save it again, or paste its text.")
    )


def locked() -> NotTakenError:
    """A file that only a password opens."""
    return NotTakenError(
        _("The file is locked with a password."),
        _("Save a copy without the password, or open it and paste its text."),
    )


def _trimmed(text: str) -> str:
    """Without blank lines at its ends, runs of more than one within, and blanks at the ends of lines."""
    lines: list[str] = []
    for line in text.replace("\r\n", "\n").replace("\r", "\n").translate(_UNSEEN).split("\n"):
        if line.strip() or (lines and lines[-1]):
            lines.append(line.rstrip(" \u00a0") if line.strip() else "")
    return "\n".join(lines).strip("\n")

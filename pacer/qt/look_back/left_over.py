"""Where each thing that a lesson left over went, said in one tap on Look back's first view."""

from collections.abc import Hashable, Sequence

from PySide6.QtWidgets import QLabel, QWidget

from pacer.frames.words.not_taught import LeftRow, left_words
from pacer.plan.problems import clipped
from pacer.qt.kit.widgets import label
from pacer.qt.look_back.chips import Asked, ChipRows
from pacer.text import _

_WORDS_PX, _MOST_LETTERS = 248, 120  # so that words and chips fit beside each other


class LeftOverRows(ChipRows):
    """A row of chips for every unticked line of the table list and every phase that was not taught.

    ``said`` carries the row's key and where it went. Empty takes back what the teacher said: then what the
    outline says holds again, or it is open.
    """

    gap_px = 6

    def __init__(self) -> None:
        super().__init__(_("What was left over, and where it goes"))
        self._shown: dict[Hashable, LeftRow] = {}
        self._notes: dict[Hashable, QWidget] = {}
        self._wide = 0

    def show_rows(self, rows: Sequence[LeftRow], *, enabled: bool) -> None:
        """Show them, with what was said of each."""
        self._shown = {each.key: each for each in rows}
        questions = [Asked(each.key, each.words, each.went, each.is_said) for each in rows]
        self.show_asked(questions, enabled=enabled)
        for key, note in self._notes.items():
            note.setVisible(not self._shown[key].is_said)

    def first_open(self) -> QWidget | None:
        """The first chip of the first row that nobody has answered; None where there is none."""
        return next((chip for (key, _went), chip in self.chips.items() if not self._shown[key].went), None)

    def _make_rows(self) -> None:
        self._notes = {}
        hints = [self._label(row.words).sizeHint().width() for row in self._shown.values()]
        self._wide = min(max(hints, default=0), _WORDS_PX)
        super()._make_rows()

    def _parts(self, asked: Asked) -> list[QWidget]:
        row = self._shown[asked.key]
        chips: list[QWidget] = []
        for answer in row.answers:
            words = left_words(answer)
            name = _("{what}: {where}", what=row.title, where=words)
            chips.append(self._chip(row.key, answer, words[:1].upper() + words[1:], name))
        shown = self._label(asked.words)
        shown.setToolTip(asked.words)
        shown.setWordWrap(True)
        shown.setFixedSize(self._wide, shown.heightForWidth(self._wide))
        if not row.by_outline:
            return [shown, *chips]
        note = self._notes[row.key] = label(_("where the outline sends it"), "quiet")
        return [shown, *chips, note]

    def _label(self, words: str) -> QLabel:
        return label(clipped(words, _MOST_LETTERS))

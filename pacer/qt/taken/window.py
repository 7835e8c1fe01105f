"""What was read beside what was pasted: the teacher corrects it with a tap, then makes an outline of it."""

from functools import partial
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QComboBox, QDialog, QStackedWidget, QWidget

from pacer.editing.taken_lesson import TakenLesson
from pacer.editing.taken_rows import Say, TakenRow
from pacer.frames.words.kinds import kind_words
from pacer.plan.kinds import KINDS
from pacer.plan.taken.read_file import ENDINGS
from pacer.plan.taken.taken import NotTakenError, Taken
from pacer.qt.kit.files import ask_file, documents
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.ticker import single_shot
from pacer.qt.kit.widgets import button, fill_choices, fit_to_screen, label, named, shortcut, show_words
from pacer.qt.taken.file_reader import FileReader
from pacer.qt.taken.from_mime import files_in, taken_of
from pacer.qt.taken.paste_editor import PasteEditor
from pacer.qt.taken.rows_table import MINUTES, RowsTable
from pacer.settings.taken_store import TakenStore
from pacer.text import _

Outcome = Literal["", "new", "add"]


class TakenWindow(QDialog):
    """Modal. ``outcome`` says what she wants made of it: a new outline, lines of the open one, or nothing.

    Closed without either, all of it is there again when the window is opened next.
    """

    def __init__(self, store: TakenStore, parent: QWidget | None = None, *, may_add: bool = False) -> None:
        super().__init__(parent)
        self.setWindowTitle(_("Take what I have"))
        self.outcome: Outcome = ""
        self.lesson = TakenLesson(store, partial(single_shot, self), self._on_changed)
        self._reader = FileReader(self)
        self._reader.arrived.connect(self._on_arrived)
        self.notice = named(label("", "notice", wrap=True), _("Notice"))
        self.notice.hide()
        self.editor, self.table = PasteEditor(), RowsTable()
        self.parts = named(QComboBox(), _("Which sheet or day"))
        self.kind = named(QComboBox(), _("Kind of the chosen phase"))
        fill_choices(self.kind, [(kind_words(name), name) for name in KINDS])
        self.doubt = named(label("", wrap=True), _("What to look at in the chosen row"))
        self.sum = named(label("", bold=True, wrap=True), _("Sum"))
        self.fit = named(label("", "quiet", wrap=True), _("Does it fit?"))
        self._make_buttons(may_add)
        self._lay_out()
        self._connect()
        self._begin()

    def _make_buttons(self, may_add: bool) -> None:
        says: tuple[tuple[Say, str, str], ...] = (
            ("phase", _("&Phase"), _("Alt+P: the chosen line is a phase")),
            ("note", _("&Note"), _("Alt+N: a note of the phase above")),
            ("title", _("&Title"), _("Alt+T: the lesson's title")),
            ("leave out", _("&Leave out"), _("Delete: nothing comes of the line")),
        )
        self.says = {what: button(words, self._on_say, "small", tip) for what, words, tip in says}
        self.right = button(
            _("&Right as read"), self._on_right, "small", _("Alt+R: there is nothing to look at")
        )
        self.undo = button(_("&Undo"), self._on_undo, "small", _("Ctrl+Z: take the last change back"))
        self.next = button(
            _("Next to l&ook at"), self._on_next, "small", _("F6: go to the next question mark")
        )
        self.read = button(_("&Read it"), self._on_read, "", _("Ctrl+Return: show what is read of it"))
        self.file = button(_("Open a &file…"), self._on_file)
        self.back = button(_("&Back to the text"), self._on_back, "", _("Type or paste something else"))
        self.close_button = button(_("Close"), self.reject, "", _("It is here again next time"))
        self.add = button(_("&Add to this outline"), self._on_add)
        self.add.setVisible(may_add)
        self.make = button(_("&Make this my outline"), self._on_make)

    def _lay_out(self) -> None:
        above, below = QWidget(), QWidget()
        column_of((self.editor, 1), row_of(self.file, STRETCH, self.read), gap=10, inside=above)
        bar = row_of(*self.says.values(), self.right, self.kind, STRETCH, gap=8)
        steps = row_of((self.sum, 1), self.next, self.undo, gap=8)
        column_of((self.table, 1), self.doubt, bar, steps, self.fit, gap=8, inside=below)
        self.sides = QStackedWidget()
        self.sides.addWidget(above)
        self.sides.addWidget(below)
        self.heading = label(_("Take what I have"), "large")
        column_of(
            row_of(self.heading, STRETCH, self.parts), self.notice, (self.sides, 1),
            row_of(self.back, STRETCH, self.close_button, self.add, self.make, gap=10),
            gap=10, inside=self, margins=(24, 14, 24, 14),
        )  # fmt: skip
        self.doubt.setMinimumHeight(self.doubt.fontMetrics().lineSpacing())  # the rows never jump
        room = self.screen().availableGeometry().size()
        fit_to_screen(self, max(1240, room.width() * 3 // 5), max(760, room.height() * 7 // 10))

    def _connect(self) -> None:
        self.editor.lesson_came.connect(self.take_mime)
        self.editor.textChanged.connect(self._on_typed)
        self.table.edited.connect(self._on_cell)
        self.table.left_out.connect(self._on_left_out)
        self.table.moved.connect(self._on_row)
        self.kind.activated.connect(self._on_kind)
        self.parts.activated.connect(self._on_part)
        for keys, act in (("Ctrl+Z", self._on_undo), ("F6", self._on_next), ("Ctrl+Return", self._on_read)):
            shortcut(keys, self, act)
        shortcut("Ctrl+V", self.table, self._on_paste)

    def _begin(self) -> None:
        found = self.lesson.find_kept()
        if found:
            self.tell(_("This was here when the window was closed last, and is no outline yet."))
        self._show_side(read=found)

    # --- taking ---

    def take_mime(self, mime: QMimeData) -> None:
        """Take what is pasted or dropped; what can't be taken is said, and nothing is lost."""
        files = files_in(mime)
        if files:
            self.take_file(files[0])
            if len(files) > 1:
                self.tell(_("One lesson at a time: only {file} is read.", file=files[0].name))
            return
        try:
            self._take(taken_of(mime), "")
        except NotTakenError as error:
            self.tell(str(error))

    def take_file(self, path: Path) -> None:
        """Read a file in a thread, and show it once it is read."""
        self.tell(_("Reading {file}…", file=path.name))
        self._reader.ask(path)

    def _on_arrived(self, path: Path, found: object) -> None:
        if isinstance(found, Taken):
            self._take(found, path.name)
        else:
            self.tell(f"{path.name}: {found}")

    def _take(self, found: Taken, origin: str) -> None:
        had = self.lesson.text.strip()
        self.lesson.take(found, origin)
        fill_choices(self.parts, [(part.name, at) for at, part in enumerate(found.parts)], 0)
        words = list(found.left_aside)
        if had:
            words.append(_("What was here before comes back with Undo."))
        self.tell(" ".join(words))
        self._show_side(read=True)
        doubts = self.lesson.reading.doubts
        self.table.choose(doubts[0] if doubts else 0)

    def tell(self, words: str) -> None:
        """Say something above all; nothing: the line goes."""
        show_words(self.notice, words)
        self.notice.setAccessibleDescription(words)

    def _show_side(self, *, read: bool) -> None:
        """Show the rows, or the text alone."""
        self.sides.setCurrentIndex(int(read))
        self.back.setVisible(read)
        if read:
            self.table.setFocus()
        else:
            if self.editor.toPlainText() != self.lesson.text:
                self.editor.setPlainText(self.lesson.text)
            self.editor.setFocus()
        self._on_changed()

    def _on_changed(self) -> None:
        lesson, reading = self.lesson, self.lesson.reading
        self.table.show_reading(reading)
        self.parts.setVisible(len(lesson.parts) > 1)
        self.heading.setText(lesson.origin or _("Take what I have"))
        show_words(self.sum, lesson.sum_words() if reading.rows else "")
        show_words(self.fit, lesson.fit_words())
        self.undo.setEnabled(lesson.can_undo)
        self.next.setEnabled(bool(reading.doubts))
        self.read.setEnabled(bool(lesson.text.strip()))
        for each in (self.add, self.make):
            each.setEnabled(bool(reading.phases))
        if lesson.notice:
            self.tell(lesson.notice)
        self._on_row()

    # --- what she does ---

    @property
    def row(self) -> TakenRow | None:
        """The row at the cursor."""
        rows, at = self.lesson.reading.rows, self.table.currentRow()
        return rows[at] if 0 <= at < len(rows) else None

    def _numbers(self) -> list[int]:
        """The lines of the chosen rows; blank ones say nothing."""
        rows = self.lesson.reading.rows
        chosen = (rows[at] for at in self.table.chosen() if at < len(rows))
        return list(dict.fromkeys(row.number for row in chosen if row.raw.strip() or row.phase))

    def _on_row(self) -> None:
        row = self.row
        self.doubt.setText(
            "" if row is None or not row.doubt else _("Line {n}: {why}", n=row.number, why=row.doubt)
        )
        self.doubt.setAccessibleDescription(self.doubt.text())
        phase = None if row is None else row.phase
        self.kind.setEnabled(phase is not None)
        if phase is not None:
            self.kind.setCurrentIndex(self.kind.findData(phase.kind))
        for each in (*self.says.values(), self.right):
            each.setEnabled(row is not None and row.what not in ("blank", "divider"))

    def _say(self, what: Say) -> None:
        numbers = self._numbers()
        if numbers:
            self.lesson.say(numbers, what)

    def _on_say(self) -> None:
        what = next((what for what, pressed in self.says.items() if pressed is self.sender()), None)
        if what is not None:
            self._say(what)

    def _on_left_out(self) -> None:
        self._say("leave out")

    def _on_right(self) -> None:
        self.lesson.say_right(self._numbers())

    def _on_cell(self, at: int, column: int, text: str) -> None:
        row, wrong = self.lesson.reading.rows[at], ""
        if column == MINUTES:
            wrong = self.lesson.set_minutes(row, text) if text.strip() not in ("", "?") else ""
        else:
            self.lesson.set_title(row, text)
        if wrong:
            self.tell(_("“{text}”: {why}", text=text[:40], why=wrong))
        elif self.notice.text():
            self.tell("")
        self.table.show_reading(self.lesson.reading)

    def _on_kind(self, at: int) -> None:
        row = self.row
        if row is not None:
            self.lesson.set_kind(row, self.kind.itemData(at))

    def _on_part(self, at: int) -> None:
        self.lesson.choose_part(at)

    def _on_undo(self) -> None:
        self.lesson.undo()
        if self.sides.currentIndex() == 0 or not self.lesson.text.strip():
            self._show_side(read=False)

    def _on_next(self) -> None:
        doubts = self.lesson.reading.doubts
        if doubts and self.sides.currentIndex() == 1:
            at = self.table.currentRow()
            self.table.choose(next((place for place in doubts if place > at), doubts[0]))
            self.table.setFocus()

    def _on_typed(self) -> None:
        if self.sides.currentIndex() == 0:
            self.lesson.type(self.editor.toPlainText())

    def _on_read(self) -> None:
        if self.lesson.text.strip():
            self.tell("")
            self._show_side(read=True)

    def _on_back(self) -> None:
        self.tell("")
        self._show_side(read=False)

    def _on_paste(self) -> None:
        self.take_mime(QGuiApplication.clipboard().mimeData())

    def _on_file(self) -> None:
        kinds = _("Lessons ({kinds})").format(kinds=" ".join(f"*{ending}" for ending in ENDINGS))
        path = ask_file(self, _("A lesson to read"), documents(), kinds)
        if path is not None:
            self.take_file(path)

    def _on_add(self) -> None:
        self._end("add")

    def _on_make(self) -> None:
        self._end("new")

    def ask(self) -> Outcome:
        """Show it until it is closed; what she wants made of it."""
        self.exec()
        return self.outcome

    def _end(self, outcome: Outcome) -> None:
        self.outcome = outcome
        self.lesson.keep()
        self.accept()

    def reject(self) -> None:
        """Close; what is here is kept until the next time."""
        self.lesson.keep()
        super().reject()

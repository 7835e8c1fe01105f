"""The ready list beside the plan: ticked by the program where it can tell, and the teacher's own lines."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from textwrap import fill

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QCheckBox, QGridLayout, QLineEdit, QSizePolicy, QToolButton, QWidget

from pacer.frames.ready import ReadyItem, RoomFacts, ready_list
from pacer.plan.outline import Outline
from pacer.qt.classroom.small_words import SmallWordsLook
from pacer.qt.kit.rows import STRETCH, column_of, grid_of, row_of
from pacer.qt.kit.ticker import single_shot
from pacer.qt.kit.widgets import application, button, label, named, scrolled
from pacer.qt.today.ready_mark import ReadyMark, state_words
from pacer.settings.store import SettingsStore
from pacer.text import _, counted

LATE_MS = 400  # the list waits until the page has been painted, and until the teacher stops at an outline
WIDTH = 286
LONGEST_LINE, MOST_LINES = 80, 12
LETTERS = 22  # of a reminder on one line


class ReadyPanel(QWidget):
    """The list, with lines of the teacher's own. ``summed_up`` carries the summary.

    ``look`` gathers the facts of the room; it is asked late, and only while somebody may read the answer.
    """

    summed_up = Signal(str)

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self._settings = settings
        self.setAccessibleName(_("Ready list"))
        self.setMinimumWidth(WIDTH)
        self.look: Callable[[str, tuple[str, ...] | None], RoomFacts] | None = None
        self._outline: Outline | None = None
        self._day = date.min
        self._day_words = ""
        self._problems: tuple[str, ...] | None = ()
        self._shown: tuple[object, ...] = ()
        self._watched = False
        self.items: tuple[ReadyItem, ...] = ()
        self.small_words = SmallWordsLook(settings, self)
        self.small_words.told.connect(self.expect)
        self.boxes: list[QCheckBox] = []
        self.removers: list[QToolButton] = []
        self._late = single_shot(self, LATE_MS, self.refresh)
        application().screenAdded.connect(self.expect)
        application().screenRemoved.connect(self.expect)
        self._lay_out()

    def _lay_out(self) -> None:
        self.summary = label("", "quiet")
        self._area = scrolled(None, _("Ready list"))
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.own = named(QLineEdit(), _("A reminder of your own"))
        self.own.setMaxLength(LONGEST_LINE)
        self.own.setPlaceholderText(_("A reminder of your own"))
        self.own.returnPressed.connect(self._on_add)
        self.add_button = button(_("&Add"), self._on_add, tip=_("Add the line to every lesson's ready list"))
        head = row_of(label(_("Ready?"), bold=True), STRETCH, self.summary)
        own = row_of((self.own, 1), self.add_button, gap=8)
        column_of(head, (self._area, 1), own, gap=8, inside=self)

    def show_lesson(self, outline: Outline | None, day: date, words: str) -> None:
        """Make the list of an outline soon; ``words`` say the day's shape and bell."""
        self._outline, self._day, self._day_words = outline, day, words
        self.small_words.look_at(outline if self._watched else None)
        if outline is None:
            self._late.stop()
            self._show(())
        else:
            self.expect()

    def show_problems(self, problems: Sequence[object] | None) -> None:
        """What is known of the attachments; None while they are being looked at. Told in full elsewhere."""
        if problems:
            n = len(problems)
            words = counted("{n} is not ready: see the plan.", "{n} are not ready: see the plan.", n)
            self._problems = (words,)
        else:
            self._problems = None if problems is None else ()
        self.expect()

    def expect(self) -> None:
        """Look again soon, while there is somebody to read it."""
        if self._watched and self._outline is not None:
            self._late.start()

    def watch(self, watched: bool) -> None:
        """Whether the page is seen, on which the list or at least its summary stands."""
        self._watched = watched
        self.small_words.look_at(self._outline if watched else None)
        if watched:
            self.expect()
        else:
            self._late.stop()

    def refresh(self) -> None:
        """Look at the room now and show the list."""
        if self._outline is None or self.look is None:
            return
        facts = self.look(self._day_words, self._problems)
        if self.small_words.found:
            from pacer.frames.legibility import in_one_line  # late: the start does without it

            facts = replace(facts, small_words=in_one_line(self.small_words.found))
        self._show(ready_list(self._outline, facts, self._settings.now.reminders, self._done()))

    def _done(self) -> tuple[str, ...]:
        """The lines ticked today; yesterday's ticks are forgotten."""
        day, lines = self._settings.now.reminders_done
        return lines if day == self._day.isoformat() else ()

    def _show(self, items: tuple[ReadyItem, ...]) -> None:
        reminders = self._settings.now.reminders
        if self._shown == (items, reminders) and self._area.widget() is not None:
            return
        self._shown = items, reminders
        self.items = items
        own = len(reminders) if items else 0
        bar = self._area.verticalScrollBar()
        place, focus = bar.value(), self._focus_place()
        body = QWidget()
        grid = grid_of(10, 1, inside=body, margins=(0, 0, 6, 0), shares={1: 1})
        for item in items[: len(items) - own]:
            self._add_item(grid, item)
        self.boxes, self.removers = [], []
        for item in items[len(items) - own :]:
            self._add_own(grid, item)
        grid.setRowStretch(grid.rowCount(), 1)
        self._area.setWidget(body)
        bar.setValue(place)
        if focus is not None and focus < len(self.boxes):
            self.boxes[focus].setFocus()
        self._sum_up()

    def _focus_place(self) -> int | None:
        """Which of the own lines has the keyboard; the list is made anew at each change."""
        return next((number for number, box in enumerate(self.boxes) if box.hasFocus()), None)

    def _add_item(self, grid: QGridLayout, item: ReadyItem) -> None:
        row = grid.rowCount()
        mark = ReadyMark(item.state)
        name, state = label(item.name, wrap=True), label(state_words(item.state), "quiet")
        words = label(item.words, "quiet", wrap=True)
        words.setContentsMargins(0, 0, 0, 7)
        name.setAccessibleName(f"{item.name}: {state_words(item.state)}. {item.words}")
        grid.addWidget(mark, row, 0, Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(name, row, 1)
        grid.addWidget(state, row, 2, Qt.AlignmentFlag.AlignRight)
        grid.addWidget(words, row + 1, 1, 1, 2)

    def _add_own(self, grid: QGridLayout, item: ReadyItem) -> None:
        # A box breaks no lines by itself.
        box = named(QCheckBox(fill(item.name, LETTERS).replace("&", "&&")), item.name)
        # Letters wider than most are cut off at the edge and make nothing else wider.
        box.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        box.setChecked(item.state == "ready")
        box.setProperty("line", item.name)
        box.toggled.connect(self._on_tick)
        remove = named(QToolButton(), _("Take out: {line}").format(line=item.name))
        remove.setText("×")
        remove.setProperty("role", "remove")
        remove.setProperty("line", item.name)
        remove.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        remove.setToolTip(_("Take this line out"))
        remove.clicked.connect(self._on_remove)
        grid.addLayout(row_of((box, 1), remove), grid.rowCount(), 0, 1, 3)
        self.boxes.append(box)
        self.removers.append(remove)

    def _sum_up(self) -> None:
        look = sum(item.state == "look" for item in self.items)
        if not self.items:
            self.summary.setText("")
        elif look:
            self.summary.setText(counted("{n} to look at", "{n} to look at", look))
        else:
            self.summary.setText(_("nothing stands out"))
        self.summed_up.emit(self.summary.text())

    def _on_add(self) -> None:
        line = " ".join(self.own.text().split())
        self._settings.refresh()
        lines = self._settings.now.reminders
        if not line or line in lines:
            self.own.clear()
            return
        if len(lines) >= MOST_LINES:
            self.summary.setText(_("no more than {n} lines").format(n=MOST_LINES))
            return
        self.own.clear()
        self._keep(reminders=(*lines, line))

    def _on_remove(self) -> None:
        line = self.sender().property("line")
        self._settings.refresh()
        self._keep(
            reminders=tuple(kept for kept in self._settings.now.reminders if kept != line),
            reminders_done=(self._day.isoformat(), tuple(done for done in self._done() if done != line)),
        )
        self.own.setFocus()

    def _on_tick(self, checked: bool) -> None:
        line = self.sender().property("line")
        self._settings.refresh()
        others = tuple(done for done in self._done() if done != line)
        done = (*others, line) if checked else others
        self._keep(reminders_done=(self._day.isoformat(), done))

    def _keep(self, **values: object) -> None:
        self._settings.change(**values)
        # After this press: what was pressed is one of the widgets that are made anew.
        QTimer.singleShot(0, self, self.refresh)

"""Today: the outlines, the block on the clock, and one large Start."""

import time
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, QSize, Qt, QTime, QUrl, Signal
from PySide6.QtGui import QDesktopServices, QGuiApplication, QHideEvent, QShowEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QTimeEdit,
    QVBoxLayout,
    QWidget,
)

from pacer.frames.shelf_words import about_words, block_words, entry_words
from pacer.plan.day import BlockToday, block_today
from pacer.plan.outline import Outline
from pacer.qt.choices import Choices
from pacer.qt.plan_view import PlanView
from pacer.qt.ready_lines import ReadyLines
from pacer.qt.ticker import Ticker
from pacer.qt.widgets import button, label, named
from pacer.settings.model import Settings
from pacer.settings.outline_shelf import ShelfEntry, copy_to_own, shelf, stamp
from pacer.text import _

_ENTRY = Qt.ItemDataRole.UserRole


class TodayPage(QWidget):
    """Choose the lesson and start it.

    ``start_asked`` and ``ready_asked`` carry the chosen outline; ``resume_asked`` and ``close_asked``
    ask to go on with, or to close, the lesson that was cut off; ``settings_changed`` the new settings.
    """

    start_asked = Signal(object)
    ready_asked = Signal(object)
    resume_asked = Signal()
    close_asked = Signal()
    settings_changed = Signal(object)

    def __init__(self, own_folder: Path, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Today"))
        self._own_folder = own_folder
        self._settings = settings
        self._build()
        self._seen: object = None
        self._minute = Ticker(_to_next_minute, self)
        self._minute.ticked.connect(self.refresh_block)
        application = QGuiApplication.instance()
        assert isinstance(application, QGuiApplication)
        application.applicationStateChanged.connect(self._on_application_state)
        self.reload()

    def _build(self) -> None:
        self.notice = label("", "notice", wrap=True)
        self.resume_row = self._build_resume()
        self.list = QListWidget()
        named(self.list, _("Outlines"))
        self.list.currentItemChanged.connect(self._on_choice)
        self.list.itemActivated.connect(self._on_activated)
        self.title = label("", "title", wrap=True)
        self.about = label("", "quiet", wrap=True)
        self.plan = PlanView()
        self.problems = label("", wrap=True)
        self.problems.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.problems.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByKeyboard)
        left = QVBoxLayout()
        left.setSpacing(10)
        heading = label(_("Outli&nes"), bold=True)
        heading.setBuddy(self.list)
        left.addWidget(heading)
        left.addWidget(self.list, 1)
        self.copy_button = button(_("&Copy to my outlines"), self._on_copy)
        self.folder_button = button(_("&Open my folder"), self._on_folder)
        row = QHBoxLayout()
        row.addWidget(self.copy_button)
        row.addWidget(self.folder_button)
        left.addLayout(row)
        right = QVBoxLayout()
        right.setSpacing(8)
        for widget in (self.title, self.about):
            right.addWidget(widget)
        right.addWidget(self.plan, 1)
        self.ready_lines = ReadyLines()
        right.addWidget(self.ready_lines)
        right.addWidget(self.problems, 1)
        self.choices = Choices(self._settings)
        self.choices.changed.connect(self._on_choices)
        right.addWidget(self.choices)
        right.addLayout(self._build_block())
        right.addWidget(self.block_line)
        right.addLayout(self._build_start())
        columns = QHBoxLayout()
        columns.setSpacing(36)
        columns.addLayout(left, 2)
        columns.addLayout(right, 5)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(36, 18, 36, 28)
        whole.setSpacing(14)
        whole.addWidget(self.notice)
        whole.addWidget(self.resume_row)
        whole.addLayout(columns, 1)
        self.notice.hide()
        self.resume_row.hide()

    def _build_resume(self) -> QWidget:
        row = QWidget()
        layout = QHBoxLayout(row)
        layout.setContentsMargins(0, 0, 0, 0)
        self.resume_text = label("", "notice", wrap=True)
        self.resume_button = button(_("&Go on with it"), self.resume_asked.emit)
        self.close_button = button(_("C&lose it"), self.close_asked.emit)
        layout.addWidget(self.resume_text, 1)
        layout.addWidget(self.resume_button)
        layout.addWidget(self.close_button)
        return row

    def _build_block(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(12)
        caption = label(_("Block s&tarts"))
        self.start_time = QTimeEdit()
        self.start_time.setDisplayFormat("H:mm")
        self.start_time.setTime(QTime.fromString(self._settings.block_start, "H:mm"))
        self.start_time.timeChanged.connect(self._on_time)
        self.start_time.setMinimumWidth(90)
        self.start_time.setEnabled(not self._settings.start_when_pressed)
        self.start_time.lineEdit().setTextMargins(8, 0, 8, 0)
        named(self.start_time, _("Block starts at"))
        caption.setBuddy(self.start_time)
        self.when_pressed = QCheckBox(_("counts from when I &press Start"))
        self.when_pressed.setChecked(self._settings.start_when_pressed)
        self.when_pressed.toggled.connect(self._on_when_pressed)
        self.block_line = label("", "large", wrap=True)
        for widget in (caption, self.start_time, self.when_pressed):
            row.addWidget(widget)
        row.addStretch(1)
        return row

    def _build_start(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(16)
        self.start_button = button(_("&Start"), self._on_start, "start", _("Start the lesson now"))
        self.ready_button = button(
            _("Get &ready"), self._on_ready, tip=_("Put the title on the Wall; Space starts the lesson")
        )
        self.keys_line = label(
            _("Page Down: next phase. Page Up: undo. Space: pause. The Desk shows the keys."),
            "quiet",
            wrap=True,
        )
        row.addWidget(self.start_button)
        row.addWidget(self.ready_button)
        row.addWidget(self.keys_line, 1)
        return row

    def reload(self) -> None:
        """Read the folders again and keep the choice."""
        self._seen = stamp(self._own_folder)
        chosen = Path(self._settings.last_outline)
        with QSignalBlocker(self.list):  # the rows that go would each be chosen for a moment
            self.list.clear()
        wanted: QListWidgetItem | None = None
        for entry in shelf(self._own_folder):
            item = QListWidgetItem(entry_words(entry))
            item.setData(_ENTRY, entry)
            item.setSizeHint(QSize(0, 52))
            self.list.addItem(item)
            if entry.path == chosen:
                wanted = item
        if self.list.count():
            self.list.setCurrentItem(wanted or self.list.item(0))
        else:
            self._show_entry(None)

    def choose(self, path: Path) -> None:
        """Choose an outline that was written elsewhere."""
        if str(path) != self._settings.last_outline:
            self._change(last_outline=str(path))
        self.reload()

    def reload_if_changed(self) -> None:
        """Read the folders again when a file came, went or was edited in another program."""
        if stamp(self._own_folder) != self._seen:
            self.reload()

    def showEvent(self, event: QShowEvent) -> None:
        """Keep the line about the bell true while the page is seen."""
        super().showEvent(event)
        self.reload_if_changed()
        self.refresh_block()
        self._minute.start()

    def hideEvent(self, event: QHideEvent) -> None:
        """Nobody reads the line: stand still."""
        super().hideEvent(event)
        self._minute.stop()

    def _on_application_state(self, state: Qt.ApplicationState) -> None:
        if state == Qt.ApplicationState.ApplicationActive and self.isVisible():
            self.reload_if_changed()
            self.refresh_block()

    def focus_first(self) -> None:
        """Put the keyboard where the teacher most likely wants it."""
        target = self.resume_button if self.resume_row.isVisibleTo(self) else self.start_button
        target.setFocus()

    def show_notice(self, text: str) -> None:
        """Show a notice above everything; empty takes it away."""
        self.notice.setText(text)
        self.notice.setVisible(bool(text))

    def offer_resume(self, text: str) -> None:
        """Offer to go on with a lesson that was cut off; empty takes the offer away."""
        self.resume_text.setText(text)
        self.resume_row.setVisible(bool(text))
        self.focus_first()

    def entry(self) -> ShelfEntry | None:
        """The chosen entry."""
        item = self.list.currentItem()
        found = None if item is None else item.data(_ENTRY)
        return found if isinstance(found, ShelfEntry) else None

    def chosen_path(self) -> Path | None:
        """The file of the chosen entry."""
        entry = self.entry()
        return None if entry is None else entry.path

    def block(self, outline: Outline, now: datetime) -> BlockToday:
        """The block of an outline on today's clock."""
        return block_today(now, self._settings.block_start, outline.block.length_s)

    def planned_start(self, outline: Outline, now: datetime) -> datetime:
        """When the lesson should start: the block's start, or now."""
        block = self.block(outline, now)
        return block.start if block.now_belongs and not self._settings.start_when_pressed else now

    def _on_choice(self, *_items: object) -> None:
        entry = self.entry()
        self._show_entry(entry)
        if entry is not None and str(entry.path) != self._settings.last_outline:
            self.show_notice("")  # before the change, which may have something new to tell
            self._change(last_outline=str(entry.path))

    def _show_entry(self, entry: ShelfEntry | None) -> None:
        outline = None if entry is None else entry.outline
        for widget in (self.plan, self.block_line):
            widget.setVisible(outline is not None)
        self.problems.setVisible(outline is None)
        self.start_button.setEnabled(outline is not None)
        self.ready_button.setEnabled(outline is not None)
        self.copy_button.setEnabled(entry is not None)
        if entry is None:
            self.title.setText(_("No outlines"))
            self.about.setText("")
            self.problems.setText(_("Put an outline (a .toml file) into your folder."))
        elif outline is None:
            self.title.setText(_("{name} can't be used yet").format(name=entry.path.name))
            self.about.setText("")
            # The file's name is enough here: its folder has a button of its own.
            shown = [replace(problem, file=entry.path.name) for problem in entry.problems[:12]]
            self.problems.setText("\n\n".join(str(problem) for problem in shown))
        else:
            self.title.setText(outline.title)
            self.about.setText(about_words(outline))
            self.plan.show_outline(outline)
            self.refresh_block()
        self.ready_lines.show_entry(entry)

    def refresh_block(self) -> None:
        """Say when the block starts and the bell rings, in plain words."""
        entry = self.entry()
        if entry is None or entry.outline is None:
            return
        # Naive local time: the line says what the classroom's clock shows.
        now = datetime.now()
        block = None if self._settings.start_when_pressed else self.block(entry.outline, now)
        self.block_line.setText(block_words(block, entry.outline, now))

    def _on_time(self, time: QTime) -> None:
        self._change(block_start=time.toString("H:mm"))
        self.refresh_block()

    def _on_when_pressed(self, checked: bool) -> None:
        self._change(start_when_pressed=checked)
        self.start_time.setEnabled(not checked)
        self.refresh_block()

    def _on_choices(self, update: dict[str, object]) -> None:
        self._change(**update)

    def _change(self, **update: object) -> None:
        self._settings = self._settings.model_copy(update=update)
        self.settings_changed.emit(self._settings)

    def _on_activated(self, _item: QListWidgetItem) -> None:
        """Enter chooses; Start is the next Enter."""
        self.start_button.setFocus()

    def _on_start(self) -> None:
        outline = self._fresh_outline()
        if outline is not None:
            self.start_asked.emit(outline)

    def _on_ready(self) -> None:
        outline = self._fresh_outline()
        if outline is not None:
            self.ready_asked.emit(outline)

    def _fresh_outline(self) -> Outline | None:
        """The chosen outline as its file is now; when that is no outline any more, its problems are shown."""
        self.reload_if_changed()
        entry = self.entry()
        return None if entry is None else entry.outline

    def _on_copy(self) -> None:
        entry = self.entry()
        if entry is None:
            return
        try:
            target = copy_to_own(entry.path, self._own_folder)
        except OSError as error:
            self.show_notice(
                _("The outline can't be copied: {reason}.").format(reason=error.strerror or error)
            )
            return
        self._change(last_outline=str(target))
        self.reload()
        self.show_notice(_("Copied to {path}. Edit it in any text editor.").format(path=target))

    def _on_folder(self) -> None:
        try:
            self._own_folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            self.show_notice(
                _("Your folder can't be opened: {reason}.").format(reason=error.strerror or error)
            )
            return
        QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._own_folder)))
        self.show_notice(_("Your outlines are in {path}").format(path=self._own_folder))


def _to_next_minute() -> int:
    """Milliseconds until the clock shows another minute."""
    return 60_000 - int(time.time() * 1000) % 60_000

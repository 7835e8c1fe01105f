"""The Outline page: text, table, details and the fit of one lesson, all showing the same draft."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication, QHideEvent, QKeySequence, QShortcut

from pacer.frames.outline_feedback import Sight, sight_of
from pacer.plan.draft import draft as drafts
from pacer.plan.draft.as_text import plain_outline
from pacer.plan.draft.check import Look, look_at
from pacer.plan.draft.draft import Draft, minutes_text
from pacer.plan.draft.fields import BLOCK_FIELDS
from pacer.plan.draft.with_text import TypedDraft, typed
from pacer.qt.outline.attach_file import Attaching, asked_outline
from pacer.qt.outline.editor import OutlineDesk
from pacer.qt.outline.head import field_words
from pacer.qt.outline.phase_details import detail_words
from pacer.qt.outline.phase_model import FIELDS, heading
from pacer.qt.outline.recovery_offer import RecoveryOffer
from pacer.qt.outline.text_pane import put_text
from pacer.qt.outline.view import OutlineView
from pacer.qt.outline.what_moves import moved_out
from pacer.review.learning.budgets import SortedPast
from pacer.review.learning.plan_outlook import PlanOutlook
from pacer.run.clock import Clock, SystemClock
from pacer.settings.draft_store import DraftStore
from pacer.settings.versions import Version
from pacer.text import _

_COLUMN_FIELDS = frozenset(FIELDS)


class OutlinePage(OutlineView):
    """One outline under edit. ``saved`` carries its path; ``closed`` comes when the teacher is done,

    ``kinds_asked`` when she wants to see what a phase of each kind gets.
    """

    saved = Signal(object)
    closed = Signal()
    kinds_asked = Signal()

    def __init__(
        self,
        store: DraftStore,
        own_folder: Path,
        past: SortedPast | None = None,
        clock: Clock | None = None,
    ) -> None:
        super().__init__(own_folder, store)
        self.outlook = None if past is None else PlanOutlook(past)
        self.clock = clock or SystemClock()
        self.desk = OutlineDesk(store, own_folder, self.clock, self)
        self.look: Look = look_at(Draft())
        self.sight = Sight(None, {}, "", False)
        self._chosen: str | None = None
        self._own = own_folder
        self._connect()
        self._make_shortcuts()
        self.attaching = Attaching(self, self.notice, own_folder)
        self.offer = RecoveryOffer(self.desk, self.notice)
        self._on_changed(None)
        self.offer.show_next()

    def _connect(self) -> None:
        self.desk.changed.connect(self._on_changed)
        self.desk.told.connect(self._on_told)
        self.desk.saved.connect(self._on_saved)
        self.bar.asked.connect(self._on_asked)
        self.bar.open_menu.chosen.connect(self.open_path)
        self.bar.copy_menu.chosen.connect(self._on_copy)
        self.bar.open_menu.elsewhere.connect(self._on_open_file)
        self.bar.copy_menu.elsewhere.connect(self._on_copy_file)
        self.head.edited.connect(self._on_head)
        self.pane.typed.connect(self.desk.type)
        self.pane.line_chosen.connect(self._on_line)
        self.table_list.textChanged.connect(self._on_table_list)
        self.model.edited.connect(self._on_field)
        self.table.asked.connect(self._on_rows)
        self.table.cleared.connect(self._on_cleared)
        self.table.dropped.connect(self._on_dropped)
        self.table.chosen.connect(self._on_row)
        self.details.edited.connect(self._on_field)
        self.details.file_asked.connect(self._on_file)
        self.versions.wanted.connect(self._on_version)
        self.versions.left.connect(self._show_middle)
        self.move_menu.chosen.connect(self._on_moves)

    def _make_shortcuts(self) -> None:
        for keys, then in (
            ("Ctrl+Z", self.desk.undo),
            ("Ctrl+Y", self.desk.redo),
            ("Ctrl+Shift+Z", self.desk.redo),
            ("Ctrl+U", self.use_usual),
            ("Ctrl+S", self.desk.save),
            ("Ctrl+Shift+C", self.copy_text),
            ("Ctrl+N", self._on_new),
            ("Ctrl+O", self.bar.buttons["open"].click),
            ("Ctrl+W", self._on_done),
        ):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(then)

    # --- what others ask of it ---

    def open_path(self, path: Path) -> bool:
        """Open an outline; what was open is saved first. Says in the page what is wrong with a file."""
        return self._opened(self.desk.open(path))

    def open_new(self, lines: Sequence[str] = (), table_lines: Sequence[str] = ()) -> None:
        """Begin an outline, empty or from lines: one phase each, and those that are finished at the table."""
        sheet = TypedDraft(table_list="\n".join(table_lines))
        self.desk.new(typed(sheet, "".join(f"{line}\n" for line in lines)))
        self._opened("")
        self.head.fields["title"].setFocus()

    def flush(self) -> None:
        """Save now and wait for it; before the page or the program closes."""
        self.desk.flush()

    def set_past(self, past: SortedPast | None) -> None:
        """Another history, once it has been read."""
        self.outlook = None if past is None else PlanOutlook(past)
        self._on_changed(None)

    def shut(self) -> None:
        """Save, and end the saving thread; the page is not used after that."""
        self.desk.shut()

    def _opened(self, wrong: str) -> bool:
        if wrong:
            self.notice.tell(wrong, "open")
            return False
        self._show_middle()
        if self.notice.which != "offer":
            self.notice.tell("")
        self.offer.show_next()
        if self.model.draft.phases:
            self.table.choose([self.model.draft.phases[0].key], "title")
        return True

    # --- showing ---

    def _on_changed(self, _before: object) -> None:
        sheet = self.desk.sheet
        # First what is typed: whatever else goes wrong, the page never shows one outline and saves another.
        self.pane.show_text(sheet.text)
        self.look = look_at(sheet.plain, str(self.desk.path or self._own / "outline.toml"))
        self.head.show_draft(sheet, self.look)
        self.sight = sight_of(self.look, self.outlook)
        if self.table_list.toPlainText() != sheet.table_list:
            put_text(self.table_list, sheet.table_list)
        chosen = self._chosen
        self.model.show(sheet, self.look, self.sight.past)
        self._keep_chosen(chosen)
        self.fit_bar.show_frame(self.sight.fit)
        if not sheet.phases:
            self.fit_bar.verdict.setText(_("Type or paste one phase a line, or begin with a copy."))
        self.whole_line.setText(self.sight.whole)
        self.whole_line.setVisible(bool(self.sight.whole))
        self.move_menu.phases = sheet.phases
        self.move_button.setVisible(self.sight.must_move)
        self.bar.show_steps(self.desk.history.undo_label, self.desk.history.redo_label)
        self._show_saved()
        self._show_row()

    def _keep_chosen(self, key: str | None) -> None:
        keys = [phase.key for phase in self.model.draft.phases]
        if key in keys and self.table.current_key() != key:
            self.table.choose([str(key)])
        self._chosen = self.table.current_key()

    def _show_row(self) -> None:
        phase = next((each for each in self.model.draft.phases if each.key == self._chosen), None)
        problems = self.look.of(phase.key) if phase else {}
        self.details.show_phase(phase, problems)
        words = [f"{_field_words(name)}: {why}" for name, why in problems.items()]
        frame = self.sight.past.get(phase.key) if phase else None
        if phase and frame and not words:
            words = [_("{title}: {past}").format(title=phase.title, past=frame.sentence)]
        self.row_line.setText("  ".join(words))

    def _show_saved(self) -> None:
        path, at = self.desk.path, self.desk.saved_at
        if self.desk.failed:
            words = _("Not saved")
        elif not self.desk.is_saved:
            words = _("Saving…") if self.desk.sheet.phases or self.desk.sheet.title else ""
        elif at is not None:
            words = _("Saved {time}").format(time=f"{at.hour}:{at.minute:02d}")
        else:
            words = ""
        self.bar.show_saved(words, path.name if path else "")

    def _on_told(self, words: str, which: str) -> None:
        actions = []
        if which == "failed":
            actions = [(_("Try again"), self.desk.save), (_("Leave the page"), self.closed.emit)]
        elif which == "conflict":
            actions = [(_("Go on in mine"), self._on_understood), (_("Open the other"), self._on_theirs)]
        if words or self.notice.which in ("failed", "slow", "open"):
            self.notice.tell(words, which, actions)
        if not words:
            self.offer.show_next()
        self._show_saved()

    def _on_understood(self) -> None:
        self.desk.theirs = None
        self.notice.tell("")

    def _on_theirs(self) -> None:
        theirs = self.desk.theirs
        self.notice.tell("")
        if theirs is not None:
            self.open_path(theirs)

    def _on_saved(self, path: Path) -> None:
        self._show_saved()
        self.saved.emit(path)

    def _show_middle(self) -> None:
        self.middle.setCurrentIndex(0)

    # --- what the teacher does ---

    def _on_head(self, name: str, text: str) -> None:
        change = drafts.set_block if name in BLOCK_FIELDS else drafts.set_head
        self.desk.edit(change(self.desk.sheet, name, text)[0], field_words(name), f"head.{name}")

    def _on_table_list(self) -> None:
        self._on_head("table_list", self.table_list.toPlainText())

    def _on_field(self, change: tuple[str, str, str]) -> None:
        key, name, text = change
        sheet = self.desk.sheet
        if any(phase.key == key for phase in sheet.phases):
            self.desk.edit(drafts.set_field(sheet, key, name, text)[0], _field_words(name), f"{key}.{name}")

    def _on_cleared(self, key: str, name: str) -> None:
        self._on_field((key, name, ""))

    def _on_line(self, at: int) -> None:
        keys = self.desk.sheet.keys
        if at < len(keys):
            self.table.choose([keys[at]])

    def _on_row(self) -> None:
        self._chosen = self.table.current_key()
        self._show_row()

    def _on_rows(self, what: str, keys: list[str]) -> None:
        sheet = self.desk.sheet
        rows = [at for at, phase in enumerate(sheet.phases) if phase.key in keys]
        if what == "new":
            self._insert(rows[-1] + 1 if rows else len(sheet.phases))
        elif rows and what == "remove":
            near = [phase.key for phase in sheet.phases if phase.key not in keys]
            self.desk.edit(drafts.remove(sheet, keys), _("Take out"))
            self.table.choose(near[min(rows[0], len(near) - 1) :][:1])
        elif rows and what == "duplicate":
            made, copies = drafts.duplicate(sheet, keys)
            self.desk.edit(made, _("Duplicate"))
            self.table.choose(copies, "title")
        elif rows:
            others = [phase.key for phase in sheet.phases if phase.key not in keys]
            at = max(0, rows[0] - 1) if what == "up" else min(len(others), rows[0] + 1)
            self._on_dropped(keys, others[at] if at < len(others) else None)

    def _insert(self, at: int) -> None:
        made, key = drafts.insert(self.desk.sheet, at)
        self.desk.edit(made, _("New phase"))
        self.table.choose([key], "title")
        self.table.setFocus()
        self.table.edit(self.table.currentIndex())

    def _on_dropped(self, keys: list[str], before: str | None) -> None:
        self.desk.edit(drafts.move(self.desk.sheet, keys, before), _("Move"))
        self.table.choose(keys)

    def use_usual(self) -> None:
        """Write the usual time of the chosen phase as its budget."""
        frame = self.sight.past.get(self._chosen or "")
        if frame is not None and self._chosen is not None:
            self._on_field((self._chosen, "budget", minutes_text(frame.use_s)))

    def _on_moves(self, key: str) -> None:
        self.desk.edit(moved_out(self.desk.sheet, key), _("Move out"))

    def copy_text(self) -> None:
        """Put the phases on the clipboard as plain text."""
        QGuiApplication.clipboard().setText(plain_outline(self.desk.sheet))
        self.bar.show_saved(_("Copied as text"))

    def _on_file(self, key: str) -> None:
        self.attaching.choose(key, self.desk.path)

    def _on_copy(self, path: Path) -> None:
        self._opened(self.desk.copy(path))

    def _on_open_file(self) -> None:
        path = asked_outline(self, self._own)
        if path is not None:
            self.open_path(path)

    def _on_copy_file(self) -> None:
        path = asked_outline(self, self._own)
        if path is not None:
            self._on_copy(path)

    def _on_version(self, version: Version) -> None:
        self._show_middle()
        wrong = self.desk.bring_back(version)
        if wrong:
            self.notice.tell(wrong, "open")

    def _on_new(self) -> None:
        self.open_new()

    def _on_done(self) -> None:
        self.flush()
        if not self.desk.failed:  # else the notice says where the text is, and lets her leave all the same
            self.closed.emit()

    def _on_asked(self, what: str) -> None:
        if what == "versions":
            self.flush()
            found = self.desk.store.versions(self.desk.path) if self.desk.path else []
            now = datetime.fromtimestamp(self.clock.now().utc_ms / 1000).astimezone()
            self.middle.setCurrentWidget(self.versions)
            self.versions.show_versions(found, now)
            return
        acts = {"new": self._on_new, "undo": self.desk.undo, "redo": self.desk.redo, "text": self.copy_text}
        act = {**acts, "done": self._on_done, "kinds": self.kinds_asked.emit}.get(what)
        if act is not None:
            act()

    def hideEvent(self, event: QHideEvent) -> None:
        """Another page is shown: what was typed is saved in the background."""
        self.desk.save()
        super().hideEvent(event)


def _field_words(name: str) -> str:
    return heading(name) if name in _COLUMN_FIELDS else detail_words(name)

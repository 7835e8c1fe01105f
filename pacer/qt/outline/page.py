"""The Outline page: text, table, details and the fit of one lesson, all showing the same draft."""

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QGuiApplication, QHideEvent

from pacer.editing.outline_editor import OutlineEditor
from pacer.editing.phase_rows import RowChange, change_rows, drop_rows, moved_out
from pacer.frames.legibility import SmallWords, still_so
from pacer.frames.outline_feedback import OutlineFeedback, feedback_on
from pacer.plan.draft.check import DraftCheck, look_at
from pacer.plan.draft.draft import Draft, minutes_text
from pacer.plan.draft.with_text import TypedDraft, plain_outline, typed
from pacer.plan.outline import Outline
from pacer.plan.rules import ProblemPace
from pacer.qt.classroom.small_words import SmallWordsLook
from pacer.qt.kit.empty_page import EmptyOver
from pacer.qt.kit.widgets import shortcut
from pacer.qt.outline.attach_file import Attaching, asked_outline
from pacer.qt.outline.editor import OutlineSignals
from pacer.qt.outline.recovery_offer import RecoveryOffer
from pacer.qt.outline.taking.take_in import TakeIn
from pacer.qt.outline.view import OutlineView
from pacer.review.learning.budgets import SortedPast
from pacer.review.learning.plan_outlook import PlanOutlook
from pacer.run.clock import Clock, local_now
from pacer.settings.draft_store import DraftStore
from pacer.settings.store import SettingsStore
from pacer.settings.versions import Version
from pacer.text import _

OF_BLOCK = ""  # in place of a phase's key: the file is the transition's


class OutlinePage(OutlineView):
    """One outline under edit.

    ``saved`` carries its path; ``closed`` comes when the teacher is done, ``kinds_asked`` when she wants to
    see what a phase of each kind gets, ``week_asked`` for the week's rotation, ``mend_asked`` with the path
    of a file that can't be opened as it is, ``take_asked`` to look at what was pasted or dropped (None:
    nothing yet).
    """

    saved = Signal(object)
    closed = Signal()
    kinds_asked = Signal()
    week_asked = Signal()
    mend_asked = Signal(object)
    take_asked = Signal(object)

    def __init__(
        self, store: DraftStore, own_folder: Path, clock: Clock, past: SortedPast | None = None
    ) -> None:
        super().__init__(own_folder, store)
        self.outlook = None if past is None else PlanOutlook(past)
        self.clock = clock
        self._told = OutlineSignals(self)
        self.editor = OutlineEditor(store, own_folder, self.clock, self._told.host)
        self.look: DraftCheck = look_at(Draft())
        self.feedback = OutlineFeedback()
        self._chosen: str | None = None
        self._broken: Path | None = None
        self._pace: ProblemPace | None = None
        self._note_words = ""
        self._small_words: SmallWordsLook | None = None
        self._first_words: Callable[[Outline], str] | None = None
        self._own = own_folder
        self._connect()
        self._make_shortcuts()
        self.attaching = Attaching(self, self.notice, own_folder, self._on_attached)
        self.empty = EmptyOver(
            self.table,
            _("Here each line becomes a phase, and below you see whether all of them fit."),
            "outline",
            _("Begin with a template"),
            tip=_("Or type one phase a line: Review 3"),
        )
        self.empty.asked.connect(self.bar.buttons["copy"].click)
        self.take_in = TakeIn(self, self.take_asked.emit, self._on_dropped_file, self.key_of_line)
        self.take_button.clicked.connect(self.take_in.ask)
        self.offer = RecoveryOffer(self.editor, self.notice, self.clock)
        self._on_changed()
        self.offer.show_next()

    def _connect(self) -> None:
        self._told.changed.connect(self._on_changed)
        self._told.told.connect(self._on_told)
        self._told.saved.connect(self._on_saved)
        self.bar.asked.connect(self._on_asked)
        self.groups_panel.rotation_asked.connect(self._on_week)
        self.bar.open_menu.chosen.connect(self.open_path)
        self.bar.copy_menu.chosen.connect(self._on_copy)
        self.bar.open_menu.elsewhere.connect(self._on_open_file)
        self.bar.copy_menu.elsewhere.connect(self._on_copy_file)
        self.head.edited.connect(self.editor.set_head)
        self.groups_panel.edited.connect(self.editor.set_head)
        self.groups_panel.file_asked.connect(self._on_move_picture)
        self.pane.typed.connect(self.editor.type)
        self.pane.line_chosen.connect(self._on_line)
        self.pane.line_moved.connect(self._on_line_moved)
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
        self.preview.walked.connect(self._on_walked)

    def _make_shortcuts(self) -> None:
        for keys, then in (
            ("Ctrl+Z", self.editor.undo),
            ("Ctrl+Y", self.editor.redo),
            ("Ctrl+Shift+Z", self.editor.redo),
            ("Ctrl+U", self.use_usual),
            ("Ctrl+S", self.editor.file.save),
            ("Ctrl+Shift+C", self.copy_text),
            ("Ctrl+N", self.open_new),
            ("Ctrl+O", self.bar.buttons["open"].click),
            ("Ctrl+R", self._on_week),
            ("Alt+Left", self.preview.back),
            ("Alt+Right", self.preview.forth),
            ("Ctrl+W", self._on_done),
        ):
            shortcut(keys, self, then)

    # --- what others ask of it ---

    def open_path(self, path: Path) -> bool:
        """Open an outline; what was open is saved first. Says in the page what is wrong with a file."""
        wrong = self.editor.open(path)
        self._broken = path if wrong else None
        return self._opened(wrong)

    def open_new(self, lines: Sequence[str] = (), table_lines: Sequence[str] = ()) -> None:
        """Begin an outline, empty or from lines: one phase each, and those that are finished at the table."""
        sheet = TypedDraft(table_list="\n".join(table_lines))
        self.editor.new(typed(sheet, "".join(f"{line}\n" for line in lines)))
        self._opened("")
        self.head.fields["title"].setFocus()

    def open_taken(self, sheet: TypedDraft) -> None:
        """Begin an outline of what was taken from elsewhere."""
        self.editor.new(sheet)
        self._opened("")
        self.table.setFocus()

    def add_taken(self, text: str) -> None:
        """Put lines that were taken from elsewhere behind those of the outline, as one step."""
        self.editor.add_text(text)
        self.bar.show_saved(_("Added; Ctrl+Z takes it back"))

    def flush(self) -> None:
        """Save now and wait for it; before the page or the program closes."""
        self.editor.file.flush()

    def set_past(self, past: SortedPast | None, pace: ProblemPace | None = None) -> None:
        """Another history, once it has been read; ``pace`` is how long a review problem takes."""
        self.outlook = None if past is None else PlanOutlook(past)
        self._pace = pace
        self._on_changed()

    def show_tomorrow_note(self, words: str) -> None:
        self._note_words = words
        self._show_before_lesson()

    def show_first_group(self, words: Callable[[Outline], str]) -> None:
        """Say of the outline, as it is now, which group goes first because it is owed most."""
        self._first_words = words
        self._show_before_lesson()

    def _show_before_lesson(self) -> None:
        """What the teacher noted since the last lesson, and who goes first."""
        outline, first = self.look.outline, ""
        if outline is not None and self._first_words is not None:
            first = self._first_words(outline)
        super().show_tomorrow_note("\n".join(words for words in (self._note_words, first) if words))

    def shut(self) -> None:
        """Save, and end the saving thread; the page is not used after that."""
        self.preview.close_files()
        self.editor.file.shut()

    def _opened(self, wrong: str) -> bool:
        if wrong:
            mend = [(_("Mend it in Library"), self._on_mend)] if self._broken is not None else []
            self.notice.tell(wrong, "open", mend)
            return False
        self._show_middle()
        if self.notice.which != "offer":
            self.notice.tell("")
        self.offer.show_next()
        if self.model.draft.phases:
            self.table.choose([self.model.draft.phases[0].key], "title")
        return True

    # --- showing ---

    def _on_changed(self) -> None:
        editor, chosen = self.editor, self._chosen
        sheet = editor.sheet
        # First what is typed: whatever else goes wrong, the page never shows one outline and saves another.
        self.pane.show_text(sheet.text)
        self.look = look_at(
            sheet.plain, str(editor.file.path or editor.file.template or self._own / "outline.toml")
        )
        found: tuple[SmallWords, ...] = ()
        if self._small_words is not None:
            self._small_words.look_at(self.look.outline)
            found = still_so(self._small_words.found, self.look.outline)
        self.feedback = feedback_on(self.look, self.outlook, found, self._pace)
        self.show_outline(sheet, self.look, self.feedback)
        self.empty.show_if(not sheet.phases)
        self._keep_chosen(chosen)
        self.preview.show_outline(self.look.outline)
        self.preview.show_small(found)
        self.bar.show_steps(editor.history.undo_label, editor.history.redo_label)
        self._show_saved()
        self._show_row()
        self._show_before_lesson()

    def look_from_back_row(self, settings: SettingsStore) -> None:
        """From now on say, a moment after each change, what the back row can't read on the Wall."""
        self.preview.use_settings(settings)
        self._small_words = SmallWordsLook(settings, self)
        self._small_words.told.connect(self._on_small_words)
        self._small_words.look_at(self.look.outline)

    def _on_small_words(self, found: tuple[SmallWords, ...]) -> None:
        self.feedback = feedback_on(self.look, self.outlook, found, self._pace)
        self.fit_bar.show_frame(self.feedback.fit)
        self.preview.show_small(found)
        self._show_row()

    def _keep_chosen(self, key: str | None) -> None:
        keys = [phase.key for phase in self.model.draft.phases]
        if key in keys and self.table.current_key() != key:
            self.table.choose([str(key)])
        self._chosen = self.table.current_key()

    def _show_row(self) -> None:
        phase = next((each for each in self.model.draft.phases if each.key == self._chosen), None)
        self.show_row(phase, self.look, self.feedback)
        keys = list(self.look.phases)
        self.preview.show_phase(keys.index(phase.key) if phase and phase.key in keys else None)

    def _show_saved(self) -> None:
        path = self.editor.file.path
        self.bar.show_saved(self.editor.file.state_words(), path.name if path else "")

    def _on_told(self, words: str, which: str) -> None:
        actions = []
        if which == "failed":
            actions = [(_("Try again"), self.editor.file.save), (_("Leave the page"), self.closed.emit)]
        elif which == "conflict":
            actions = [(_("Go on in mine"), self._on_understood), (_("Open the other"), self._on_theirs)]
        if words or self.notice.which in ("failed", "slow", "open"):
            self.notice.tell(words, which, actions)
        if not words:
            self.offer.show_next()
        self._show_saved()

    def _on_understood(self) -> None:
        self.editor.file.theirs = None
        self.notice.tell("")

    def _on_theirs(self) -> None:
        theirs = self.editor.file.theirs
        self.notice.tell("")
        if theirs is not None:
            self.open_path(theirs)

    def _on_saved(self, path: Path) -> None:
        self._show_saved()
        self.saved.emit(path)

    def _on_mend(self) -> None:
        self.notice.tell("")
        self.mend_asked.emit(self._broken)

    def _show_middle(self) -> None:
        self.middle.setCurrentIndex(0)

    # --- what the teacher does ---

    def _on_table_list(self) -> None:
        self.editor.set_head("table_list", self.table_list.toPlainText())

    def _on_field(self, change: tuple[str, str, str]) -> None:
        self.editor.set_field(*change)

    def _on_cleared(self, key: str, name: str) -> None:
        self.editor.set_field(key, name, "")

    def _on_line(self, at: int) -> None:
        keys = self.editor.sheet.keys
        if at < len(keys):
            self.table.choose([keys[at]])

    def key_of_line(self, at: int | None) -> str | None:
        """The key of the phase that comes at a place among those of the typed lines."""
        keys = self.editor.sheet.keys
        return keys[at] if at is not None and at < len(keys) else None

    def _on_walked(self, index: int) -> None:
        """The picture of the Wall came to another phase: its row is the chosen one."""
        self.table.choose([list(self.look.phases)[index]])

    def _on_line_moved(self, way: str) -> None:
        """The phase at the text's cursor goes up or down, and the cursor goes with it."""
        at, keys = self.pane.phase_at_cursor(), self.editor.sheet.keys
        if at is None or at >= len(keys):
            return
        key = keys[at]
        self._on_rows(way, [key])
        if key in self.editor.sheet.keys:
            self.pane.go_to_phase(self.editor.sheet.keys.index(key))

    def _on_row(self) -> None:
        self._chosen = self.table.current_key()
        self._show_row()

    def _on_rows(self, action: str, keys: list[str]) -> None:
        change = change_rows(self.editor.sheet, action, keys)
        if change is not None:
            self._change_rows(change)
        if action == "new":
            self.table.setFocus()
            self.table.edit_cell()

    def _on_dropped(self, keys: list[str], before: str | None) -> None:
        self._change_rows(drop_rows(self.editor.sheet, keys, before))

    def _change_rows(self, change: RowChange) -> None:
        self.editor.edit(change.draft, change.label)
        self.table.choose(list(change.chosen), change.field)

    def use_usual(self) -> None:
        """Write the usual time of the chosen phase as its budget."""
        frame = self.feedback.past.get(self._chosen or "")
        if frame is not None and self._chosen is not None:
            self.editor.set_field(self._chosen, "budget", minutes_text(frame.use_s))

    def _on_moves(self, key: str) -> None:
        self.editor.edit(moved_out(self.editor.sheet, key), _("Move out"))

    def copy_text(self) -> None:
        """Put the phases on the clipboard as plain text."""
        QGuiApplication.clipboard().setText(plain_outline(self.editor.sheet))
        self.bar.show_saved(_("Copied as text"))

    def _on_file(self, key: str) -> None:
        self.attaching.choose(key, self.editor.file.path)

    def _on_dropped_file(self, key: str, file: Path) -> None:
        if self.attaching.drop(key, file, self.editor.file.path):
            self.table.choose([key])
            self.bar.show_saved(_("Attached {file}", file=file.name))

    def _on_move_picture(self) -> None:
        self._on_file(OF_BLOCK)

    def _on_attached(self, key: str, name: str) -> None:
        if key == OF_BLOCK:
            self.editor.set_head("move_picture", name)
        else:
            self.editor.set_field(key, "attach", name)

    def _on_copy(self, path: Path) -> None:
        self._opened(self.editor.copy(path))

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
        wrong = self.editor.bring_back(version)
        if wrong:
            self.notice.tell(wrong, "open")

    def _on_done(self) -> None:
        self.flush()
        # Else the notice says where the text is, and lets her leave all the same.
        if not self.editor.file.failed:
            self.closed.emit()

    def _on_asked(self, action: str) -> None:
        acts = {
            "new": self.open_new, "undo": self.editor.undo, "redo": self.editor.redo, "text": self.copy_text,
            "versions": self._show_versions, "done": self._on_done, "kinds": self.kinds_asked.emit,
        }  # fmt: skip
        if action in acts:
            acts[action]()

    def _on_week(self) -> None:
        self.flush()  # what is typed here counts, too
        self.week_asked.emit()

    def _show_versions(self) -> None:
        self.flush()
        path = self.editor.file.path
        self.middle.setCurrentWidget(self.versions)
        self.versions.show_versions(self.editor.store.versions(path) if path else [], local_now(self.clock))

    def hideEvent(self, event: QHideEvent) -> None:
        """Another page is shown: what was typed is saved in the background."""
        self.editor.file.save()
        super().hideEvent(event)

"""The Outline page: text, table, details and the fit of one lesson, all showing the same draft."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QGuiApplication

from pacer.editing.phase_rows import RowChange, change_rows, drop_rows, moved_out
from pacer.frames.legibility import SmallWords, still_so
from pacer.frames.outline_feedback import OutlineFeedback, feedback_on
from pacer.plan.draft.check import DraftCheck, look_at
from pacer.plan.draft.draft import Draft, minutes_text
from pacer.plan.draft.with_text import plain_outline
from pacer.plan.outline import Outline
from pacer.plan.rules import ProblemPace
from pacer.qt.classroom.small_words import SmallWordsLook
from pacer.qt.kit.empty.page import EmptyOver
from pacer.qt.kit.widgets import shortcut
from pacer.qt.outline.file_view import OutlineFileView
from pacer.qt.outline.taking.attach_file import Attaching
from pacer.qt.outline.taking.take_in import TakeIn
from pacer.review.learning.budgets import SortedPast
from pacer.review.learning.plan_outlook import PlanOutlook
from pacer.run.clock import Clock
from pacer.settings.draft_store import DraftStore
from pacer.settings.store import SettingsStore
from pacer.text import _


class OutlinePage(OutlineFileView):
    """One outline under edit.

    ``kinds_asked`` comes when the teacher wants to see what a phase of each kind gets, ``week_asked`` for the
    week's rotation, ``take_asked`` to look at what was pasted or dropped (None: nothing yet).
    """

    kinds_asked = Signal()
    week_asked = Signal()
    take_asked = Signal(object)

    def __init__(
        self, store: DraftStore, own_folder: Path, clock: Clock, past: SortedPast | None = None
    ) -> None:
        super().__init__(store, own_folder, clock)
        self.outlook = None if past is None else PlanOutlook(past)
        self.look: DraftCheck = look_at(Draft())
        self.feedback = OutlineFeedback()
        self._chosen: str | None = None
        self._pace: ProblemPace | None = None
        self._note_words = ""
        self._small_words: SmallWordsLook | None = None
        self._first_words: Callable[[Outline], str] | None = None
        self.attaching = Attaching(self, self.editor, own_folder)
        self._connect()
        self._make_shortcuts()
        self.empty = EmptyOver(
            self.table,
            _("Here each line becomes a phase, and below you see whether all of them fit."),
            "outline",
            _("Begin with a template"),
            tip=_("Or type one phase a line: Review 3"),
        )
        self.empty.asked.connect(self.bar.buttons["copy"].click)
        self.take_in = TakeIn(self, self.take_asked.emit, self.attaching.drop, self.editor.key_at)
        self.take_button.clicked.connect(self.take_in.ask)
        self._on_changed()
        self.offer.show_next()

    def _connect(self) -> None:
        self._told.changed.connect(self._on_changed)
        self.bar.asked.connect(self._on_asked)
        self.groups_panel.rotation_asked.connect(self._on_week)
        self.head.edited.connect(self.editor.set_head)
        # After the title come the lines, without a hand on the mouse.
        self.head.fields["title"].returnPressed.connect(self.pane.editor.setFocus)
        self.groups_panel.edited.connect(self.editor.set_head)
        self.groups_panel.file_asked.connect(self.attaching.choose_for_move)
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
        self.details.file_asked.connect(self.attaching.choose)
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

    # --- what the teacher does ---

    def _on_table_list(self) -> None:
        self.editor.set_head("table_list", self.table_list.toPlainText())

    def _on_field(self, change: tuple[str, str, str]) -> None:
        self.editor.set_field(*change)

    def _on_cleared(self, key: str, name: str) -> None:
        self.editor.set_field(key, name, "")

    def _on_line(self, at: int) -> None:
        key = self.editor.key_at(at)
        if key is not None:
            self.table.choose([key])

    def _on_walked(self, index: int) -> None:
        """The picture of the Wall came to another phase: its row is the chosen one."""
        self.table.choose([list(self.look.phases)[index]])

    def _on_line_moved(self, way: str) -> None:
        """The phase at the text's cursor goes up or down, and the cursor goes with it."""
        key = self.editor.key_at(self.pane.phase_at_cursor())
        if key is None:
            return
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

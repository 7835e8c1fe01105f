"""The Outline page as far as its file goes: opened, copied, saved, brought back, and what is told of that."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QHideEvent

from pacer.editing.outline_editor import OutlineEditor
from pacer.plan.draft.with_text import TypedDraft, typed
from pacer.qt.kit.files import ask_outline
from pacer.qt.outline.editor import OutlineSignals
from pacer.qt.outline.recovery_offer import RecoveryOffer
from pacer.qt.outline.view import OutlineView
from pacer.run.clock import Clock, local_now
from pacer.settings.draft_store import DraftStore
from pacer.settings.versions import Version
from pacer.text import _


class OutlineFileView(OutlineView):
    """The parts of the page, and the outline that is open in them.

    ``saved`` carries its path; ``closed`` comes when the teacher is done, ``mend_asked`` with the path of a
    file that can't be opened as it is.
    """

    saved = Signal(object)
    closed = Signal()
    mend_asked = Signal(object)

    def __init__(self, store: DraftStore, own_folder: Path, clock: Clock) -> None:
        super().__init__(own_folder, store)
        self.clock, self._own = clock, own_folder
        self._broken: Path | None = None
        self._told = OutlineSignals(self)
        self.editor = OutlineEditor(store, own_folder, clock, self._told.host)
        self.offer = RecoveryOffer(self.editor, self.notice, clock)
        self._told.told.connect(self._on_told)
        self._told.saved.connect(self._on_saved)
        self.bar.open_menu.chosen.connect(self.open_path)
        self.bar.copy_menu.chosen.connect(self._on_copy)
        self.bar.open_menu.elsewhere.connect(self._on_open_file)
        self.bar.copy_menu.elsewhere.connect(self._on_copy_file)
        self.versions.wanted.connect(self._on_version)
        self.versions.left.connect(self._show_middle)

    # --- opening ---

    def open_path(self, path: Path) -> bool:
        """Open an outline; what was open is saved first. Says in the page what is wrong with a file."""
        wrong = self.editor.open(path)
        self._broken = path if wrong else None
        is_open = self._opened(wrong)
        if is_open:
            self._go_to_missing()
        return is_open

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
        self._go_to_missing()

    def _go_to_missing(self) -> None:
        """Put the keyboard where something is missing: the title, else the first phase without minutes."""
        draft = self.model.draft
        untimed = [phase.key for phase in draft.phases if not phase.budget]
        if not draft.title:
            self.head.fields["title"].setFocus()
        elif untimed:
            self.table.choose(untimed[:1], "budget")
            self.table.setFocus()

    def add_taken(self, text: str) -> None:
        """Put lines that were taken from elsewhere behind those of the outline, as one step."""
        self.editor.add_text(text)
        self.bar.show_saved(_("Added; Ctrl+Z takes it back"))

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

    def _on_mend(self) -> None:
        self.notice.tell("")
        self.mend_asked.emit(self._broken)

    def _on_copy(self, path: Path) -> None:
        self._opened(self.editor.copy(path))

    def _on_open_file(self) -> None:
        path = ask_outline(self, self._own)
        if path is not None:
            self.open_path(path)

    def _on_copy_file(self) -> None:
        path = ask_outline(self, self._own)
        if path is not None:
            self._on_copy(path)

    # --- saving, and what is told ---

    def flush(self) -> None:
        """Save now and wait for it; before the page or the program closes."""
        self.editor.file.flush()

    def shut(self) -> None:
        """Save, and end the saving thread; the page is not used after that."""
        self.preview.close_files()
        self.editor.file.shut()

    def hideEvent(self, event: QHideEvent) -> None:
        """Another page is shown: what was typed is saved in the background."""
        self.editor.file.save()
        super().hideEvent(event)

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

    def _on_done(self) -> None:
        self.flush()
        # Else the notice says where the text is, and lets her leave all the same.
        if not self.editor.file.failed:
            self.closed.emit()

    # --- earlier versions ---

    def _show_versions(self) -> None:
        self.flush()
        path = self.editor.file.path
        self.middle.setCurrentWidget(self.versions)
        self.versions.show_versions(self.editor.store.versions(path) if path else [], local_now(self.clock))

    def _on_version(self, version: Version) -> None:
        self._show_middle()
        wrong = self.editor.bring_back(version)
        if wrong:
            self.notice.tell(wrong, "open")

    def _show_middle(self) -> None:
        self.middle.setCurrentIndex(0)

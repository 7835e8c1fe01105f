"""An outline under edit: opening, every change of it, and undo."""

from pathlib import Path

from pacer.editing.host import Host
from pacer.editing.outline_file import OutlineFile
from pacer.editing.save_outline import problem_words
from pacer.frames.words.outline import head_words, phase_words
from pacer.paths import template_folder
from pacer.plan.draft import draft as drafts
from pacer.plan.draft.draft import Draft
from pacer.plan.draft.fields import BLOCK_FIELDS
from pacer.plan.draft.history import History
from pacer.plan.draft.listed_lines import LISTED_FIELDS, set_listed
from pacer.plan.draft.rewrite_text import retold, with_text
from pacer.plan.draft.with_text import TypedDraft, rekeyed, typed, unread_in, without_loose
from pacer.plan.draft.write_toml import draft_of
from pacer.run.clock import Clock
from pacer.settings.draft_store import NEW, DraftStore, Failed
from pacer.settings.recovery import Recoverable
from pacer.settings.versions import Version
from pacer.settings.whole_file import real_path
from pacer.text import _

TYPING, LINE_END = "text", "\n"


class OutlineEditor:
    """Holds one outline, and its file. Methods that return a text return what is wrong, or nothing."""

    def __init__(self, store: DraftStore, own_folder: Path, clock: Clock, host: Host) -> None:
        self.store, self._clock, self._host = store, clock, host
        self.history = History(TypedDraft())
        self.file = OutlineFile(store, own_folder, clock, host, self._sheet_now)

    @property
    def sheet(self) -> TypedDraft:
        """The outline as it is now."""
        present = self.history.present
        return present if isinstance(present, TypedDraft) else with_text(present)

    def key_at(self, place: int | None) -> str | None:
        """The key of the phase at a place among those of the typed lines, from 0; None where none is."""
        keys = self.sheet.keys
        return keys[place] if place is not None and place < len(keys) else None

    def _sheet_now(self) -> TypedDraft:
        return self.sheet

    # --- opening ---

    def open(self, path: Path) -> str:
        """Open a file; what was open is saved. A template is only looked at, until it is changed."""
        is_template = real_path(path).parent == real_path(template_folder())
        opened = self.store.open(path)
        if isinstance(opened, Failed):
            return opened.words
        toml, loose = without_loose(opened.text)
        draft = draft_of(toml, str(path))
        if not isinstance(draft, Draft):
            return problem_words(path, draft)
        sheet = with_text(draft, loose)
        kept = list(unread_in(sheet.text))
        if is_template:
            self._begin(sheet, sheet, None, NEW)
            self.file.template = path
        else:
            self._begin(sheet, sheet, path, opened.stamp)
        self.file.set_base(toml if kept == loose else opened.text, draft)
        self._tell_begin()
        return ""

    def new(self, sheet: TypedDraft) -> None:
        """Begin an outline that has no file yet; an empty one is never saved."""
        self._begin(sheet, TypedDraft(), None, NEW)
        self._tell_begin()

    def copy(self, path: Path) -> str:
        """Begin an outline that starts as a copy of another file."""
        opened = self.store.open(path)
        if isinstance(opened, Failed):
            return opened.words
        toml = without_loose(opened.text)[0]
        draft = draft_of(toml, str(path))
        if not isinstance(draft, Draft):
            return problem_words(path, draft)
        self.new(with_text(draft))
        # The copy's comments are part of what was written.
        self.file.set_base(toml, draft)
        return ""

    def recover(self, unsaved: Recoverable) -> str:
        """Open an outline with what was typed and not saved."""
        toml, loose = without_loose(unsaved.text)
        draft = draft_of(toml)
        if not isinstance(draft, Draft):
            return problem_words(unsaved.path, draft)
        self.file.pending.pop(unsaved.path, None)
        if not unsaved.path.exists():
            self.new(with_text(draft, loose))
            self.file.path = unsaved.path
            return ""
        wrong = self.open(unsaved.path)
        if wrong:
            self.file.pending[unsaved.path] = unsaved
            return wrong
        opened = self.file.stamp
        wrong = self.take(unsaved.text, _("Take in unsaved typing"))
        if unsaved.stamp not in (opened, NEW):
            # The file was changed after it was typed over: the save will keep both.
            self.file.stamp = unsaved.stamp
        return wrong

    def _begin(self, sheet: TypedDraft, saved: Draft, path: Path | None, stamp: str) -> None:
        self.file.leave()
        self.history = History(sheet)
        self.file.begin(saved, path, stamp)

    def _tell_begin(self) -> None:
        self._host.told("", "")
        self._host.changed()
        if not self.file.is_saved:
            self.file.touch()

    # --- changing ---

    def type(self, text: str) -> None:
        """The text pane says something else."""
        if text != self.sheet.text:
            sheet = typed(self.sheet, text)
            # A new line is a new step: one undo never takes away a whole lesson typed at a stretch.
            self._did(sheet, _("Typing"), f"{TYPING}.{sheet.text.count(LINE_END)}")

    def add_text(self, text: str) -> None:
        """More lines behind those that are there, as one step."""
        before = self.sheet.text
        joined = f"{before}\n{text}" if before and not before.endswith("\n") else before + text
        self._did(typed(self.sheet, joined), _("Add what I have"))

    def edit(self, draft: Draft, label: str, where: str = "") -> None:
        """The draft was changed by one of its functions; the text follows."""
        before = self.sheet
        after = draft if isinstance(draft, TypedDraft) else with_text(draft)
        self._did(retold(before, after) if isinstance(draft, TypedDraft) else after, label, where)

    def set_head(self, name: str, text: str) -> None:
        """A field of the outline or of its block, or the lines of groups or stations, says something else."""
        change = drafts.set_block if name in BLOCK_FIELDS else drafts.set_head
        if name in LISTED_FIELDS:
            change = set_listed
        self.edit(change(self.sheet, name, text)[0], head_words(name), f"head.{name}")

    def set_field(self, key: str, name: str, text: str) -> None:
        """A field of a phase says something else; of a phase that is gone, nothing does."""
        sheet = self.sheet
        if any(phase.key == key for phase in sheet.phases):
            draft = drafts.set_field(sheet, key, name, text)[0]
            self.edit(draft, phase_words(name), f"{key}.{name}")

    def bring_back(self, version: Version) -> str:
        """Put an earlier version in place, undoably."""
        opened = self.store.version_text(version)
        if isinstance(opened, Failed):
            return opened.words
        return self.take(opened.text, _("Bring back an earlier version"))

    def take(self, toml: str, label: str) -> str:
        """Put another text of this outline in its place."""
        plain, loose = without_loose(toml)
        draft = draft_of(plain)
        if not isinstance(draft, Draft):
            return problem_words(self.file.path or Path("outline.toml"), draft)
        self._did(with_text(rekeyed(draft, self.sheet), loose), label)
        return ""

    def _did(self, sheet: Draft, label: str, where: str = "") -> None:
        self._go(self.history.did(sheet, label, self._clock.now().mono_ms, where))

    def undo(self) -> None:
        """One step back."""
        self._go(self.history.undo())

    def redo(self) -> None:
        """One step forward again."""
        self._go(self.history.redo())

    def _go(self, history: History) -> None:
        if history is not self.history:
            self.history = history
            self._host.changed()
            self.file.touch()

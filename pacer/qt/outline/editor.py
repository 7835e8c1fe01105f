"""What stands behind the Outline page: the outline being edited, its undo, its journal and its saves."""

import re
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from pacer.editing.save_outline import Task, file_stem, plain_of, problem_words, put
from pacer.paths import template_folder
from pacer.plan.draft.draft import Draft
from pacer.plan.draft.history import History
from pacer.plan.draft.rewrite_text import retold, with_text
from pacer.plan.draft.with_text import (
    TypedDraft,
    aside_in,
    problems_in,
    rekeyed,
    typed,
    with_aside,
    with_loose,
    without_loose,
)
from pacer.plan.draft.write_toml import draft_of, written
from pacer.run.clock import Clock
from pacer.settings.draft_store import NEW, Conflict, DraftStore, Failed, Saved
from pacer.settings.recovery import Recoverable
from pacer.settings.versions import Version
from pacer.settings.whole_file import real_path
from pacer.text import _

SAVE_MS, JOURNAL_MS, RETRY_MS = 1000, 250, 10_000
TYPING = "text"


class OutlineDesk(QObject):
    """Holds one outline. Nothing here is a widget, and only ``flush`` waits for the disk.

    ``changed`` carries the sheet before; ``told`` the words of a notice and which (``failed``, ``conflict``,
    ``slow`` or nothing); ``saved`` the path.
    """

    changed = Signal(object)
    saved = Signal(object)
    told = Signal(str, str)
    _done = Signal(object, object)

    def __init__(
        self, store: DraftStore, own_folder: Path, clock: Clock, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.store, self._own, self._clock = store, own_folder, clock
        self.history = History(TypedDraft())
        self.path: Path | None = None
        self.theirs: Path | None = None
        self.saved_at: datetime | None = None
        self.failed = False
        self._is_new, self._is_shut = True, False
        self._base, self._stamp = "", NEW
        self._base_draft: Draft | None = None
        self._saved_sheet: Draft = self.sheet
        self._journaled = ""
        self.pending: dict[Path, Recoverable] = {}
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="outline")
        self._task: Task | None = None
        self._future: Future[Saved | Conflict | Failed] | None = None
        self._save_timer = self._timer(SAVE_MS, self.save)
        self._journal_timer = self._timer(JOURNAL_MS, self.journal)
        self._retry_timer = self._timer(RETRY_MS, self.save)
        self._done.connect(self._on_done, Qt.ConnectionType.QueuedConnection)

    def _timer(self, ms: int, then: object) -> QTimer:
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(ms)
        timer.timeout.connect(then)
        return timer

    @property
    def sheet(self) -> TypedDraft:
        """The outline as it is now."""
        present = self.history.present
        return present if isinstance(present, TypedDraft) else with_text(present)

    @property
    def is_saved(self) -> bool:
        """Whether the file says what is shown."""
        return self._saved_sheet == self.sheet

    # --- opening ---

    def open(self, path: Path) -> str:
        """Open a file, a template as a copy; what was open is saved. Returns what is wrong, or nothing."""
        if real_path(path).parent == real_path(template_folder()):
            return self.copy(path)
        opened = self.store.open(path)
        if isinstance(opened, Failed):
            return opened.words
        toml, loose = without_loose(opened.text)
        draft = draft_of(toml, str(path))
        if not isinstance(draft, Draft):
            return problem_words(path, draft)
        sheet = with_text(draft, loose)
        kept = [line.raw for line in problems_in(sheet.text)]
        self._begin(sheet, path, opened.stamp)
        self._base, self._base_draft = (toml if kept == loose else opened.text), draft
        self._tell_begin()
        return ""

    def new(self, sheet: TypedDraft) -> None:
        """Begin an outline that has no file yet; an empty one is never saved."""
        self._begin(sheet, None, NEW)
        self._base, self._base_draft = "", None
        self._saved_sheet = TypedDraft()
        self._tell_begin()

    def copy(self, path: Path) -> str:
        """Begin an outline that starts as a copy of another file. Returns what is wrong, or nothing."""
        opened = self.store.open(path)
        draft = [] if isinstance(opened, Failed) else draft_of(without_loose(opened.text)[0], str(path))
        if isinstance(opened, Failed):
            return opened.words
        if not isinstance(draft, Draft):
            return problem_words(path, draft)
        self.new(with_text(draft))
        # The copy's comments are part of what was written.
        self._base, self._base_draft = without_loose(opened.text)[0], draft
        return ""

    def find_unsaved(self) -> None:
        """Look for what was typed earlier and never saved; it is neither overwritten nor taken in unasked."""
        self.pending = {found.path: found for found in self.store.recoverable()}

    def recover(self, found: Recoverable) -> str:
        """Open an outline with what was typed and not saved. Returns what is wrong, or nothing."""
        draft = draft_of(without_loose(found.text)[0])
        if not isinstance(draft, Draft):
            return problem_words(found.path, draft)
        self.pending.pop(found.path, None)
        if not found.path.exists():
            self.new(with_text(draft, without_loose(found.text)[1]))
            self.path = found.path
            return ""
        wrong = self.open(found.path)
        if wrong:
            self.pending[found.path] = found
            return wrong
        opened = self._stamp
        wrong = self.take(found.text, _("Take in unsaved typing"))
        if found.stamp not in (opened, NEW):
            # The file was changed after it was typed over: the save will keep both.
            self._stamp = found.stamp
        return wrong

    def _begin(self, sheet: TypedDraft, path: Path | None, stamp: str) -> None:
        self.flush()
        if self.failed:  # what couldn't be saved waits to be taken in again
            self.find_unsaved()
        self.history = History(sheet)
        self.path, self._stamp, self._is_new = path, stamp, path is None
        self.theirs, self.saved_at, self.failed = None, None, False
        self._saved_sheet, self._journaled = sheet, ""

    def _tell_begin(self) -> None:
        self.told.emit("", "")
        self.changed.emit(None)
        if not self.is_saved:
            self._touch()

    # --- changing ---

    def type(self, text: str) -> None:
        """The text pane says something else."""
        if text != self.sheet.text:
            self._did(typed(self.sheet, text), _("Typing"), TYPING)

    def edit(self, draft: Draft, label: str, where: str = "") -> None:
        """The draft was changed by one of its functions; the text follows."""
        before = self.sheet
        after = draft if isinstance(draft, TypedDraft) else with_text(draft)
        self._did(retold(before, after) if isinstance(draft, TypedDraft) else after, label, where)

    def bring_back(self, version: Version) -> str:
        """Put an earlier version in place, undoably. Returns what is wrong, or nothing."""
        opened = self.store.version_text(version)
        if isinstance(opened, Failed):
            return opened.words
        return self.take(opened.text, _("Bring back an earlier version"))

    def take(self, toml: str, label: str) -> str:
        """Put another text of this outline in its place. Returns what is wrong, or nothing."""
        plain, loose = without_loose(toml)
        draft = draft_of(plain)
        if not isinstance(draft, Draft):
            return problem_words(self.path or Path("outline.toml"), draft)
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
        before = self.sheet
        if history is self.history:
            return
        self.history = history
        self.changed.emit(before)
        self._touch()

    def _touch(self) -> None:
        self._save_timer.start()
        if not self._journal_timer.isActive():
            self._journal_timer.start()

    # --- keeping ---

    def toml(self) -> tuple[str, str]:
        """The file's text as it would be saved now: without and with the lines not understood."""
        base = written(self.sheet.plain, self._base, self._base_draft)
        whole = with_aside(base, aside_in(self.sheet.text))
        return base, with_loose(whole, (line.raw for line in problems_in(self.sheet.text)))

    def _target(self) -> Path:
        """Where the next save goes: a new outline is named after its title."""
        if self.path is not None and not (self._is_new and self._is_misnamed(self.path)):
            return self.path
        stem, number = file_stem(self.sheet.title), 1
        while True:
            path = self._own / f"{stem}{'' if number == 1 else f'-{number}'}.toml"
            if not path.exists() and real_path(path) not in self.pending:
                return path
            number += 1

    def _is_misnamed(self, path: Path) -> bool:
        return re.fullmatch(re.escape(file_stem(self.sheet.title)) + r"(-\d+)?", path.stem) is None

    def journal(self) -> None:
        """Write what was typed to the recovery file, a quarter of a second after a change."""
        self._journal_timer.stop()
        if self.is_saved:
            return
        if self.path is None:
            self.path = self._target()
        self._put_away(self.path)
        text = self.toml()[1]
        if text != self._journaled:
            self._journaled = text
            notice = self.store.journal(self.path, text, self._stamp)
            if notice:
                self.told.emit(notice, "slow")

    def _put_away(self, path: Path) -> None:
        """Unsaved text from before that nobody answered for becomes an earlier version, not overwritten."""
        if self.pending.pop(real_path(path), None) is not None:
            self.store.forget(path)

    def save(self) -> None:
        """Save on the worker thread, unless it is saving; then once more when that is done."""
        self._save_timer.stop()
        if self._future is not None or self.is_saved or self._is_shut:
            return
        task = self._next_task()
        self._task = task
        self._future = self._pool.submit(self._work, task)

    def _next_task(self) -> Task:
        target = self._target()
        self._put_away(target)
        base, text = self.toml()
        left = self.path if self.path is not None and target != self.path else None
        stamp = self._stamp if left is None else NEW
        return Task(target, self.sheet, base, text, stamp, left, self._stamp)

    def _work(self, task: Task) -> Saved | Conflict | Failed:
        """On the worker thread: no widget, and nothing of this object that changes."""
        result = put(self.store, task)
        with suppress(RuntimeError):  # the page is gone already
            self._done.emit(task, result)
        return result

    def _on_done(self, task: Task, result: Saved | Conflict | Failed) -> None:
        if task is not self._task:
            return
        self._task, self._future = None, None
        if isinstance(result, Failed):
            self.failed = True
            self._retry_timer.start()
            self.told.emit(result.words, "failed")
            return
        self.failed = False
        self.path, self._stamp = result.path, result.stamp
        self._base, self._base_draft = task.base, plain_of(task.draft)
        self._saved_sheet = task.draft
        self.saved_at = datetime.fromtimestamp(self._clock.now().utc_ms / 1000)
        if isinstance(result, Conflict):
            self.theirs, self._is_new = result.theirs, False
            self.told.emit(result.words, "conflict")
        elif self.theirs is None:
            self.told.emit(result.notice, "slow" if result.notice else "")
        self.saved.emit(self.path)
        if not self.is_saved:
            self._save_timer.start()

    def flush(self) -> None:
        """Save now and wait for it. Nothing typed is lost where that fails: it is in the recovery file."""
        self._finish()
        for timer in (self._save_timer, self._journal_timer, self._retry_timer):
            timer.stop()
        if not self.is_saved:
            task = self._next_task()
            self._task = task
            self._on_done(task, put(self.store, task))
            for timer in (self._save_timer, self._retry_timer):
                timer.stop()

    def _finish(self) -> None:
        """Wait for the save under way and take its result in."""
        if self._future is not None:
            task, result = self._task, self._future.result()
            if task is not None:  # its signal still waits in the queue, and will find nothing to do
                self._on_done(task, result)

    def shut(self) -> None:
        """Save, and end the thread."""
        self.flush()
        self._is_shut = True
        self._pool.shutdown(wait=True)

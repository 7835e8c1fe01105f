"""The file of an outline under edit: its name, its recovery file, its saves one at a time in a thread."""

import re
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import datetime
from functools import partial
from pathlib import Path

from pacer.editing.host import Host
from pacer.editing.save_outline import Task, file_stem, plain_of, put
from pacer.frames.words.wording import hour_minute
from pacer.plan.draft.draft import Draft
from pacer.plan.draft.with_text import TypedDraft, aside_in, unread_in, with_aside, with_loose
from pacer.plan.draft.write_toml import written
from pacer.run.clock import Clock, local_now
from pacer.settings.draft_store import NEW, Conflict, DraftStore, Failed, Saved
from pacer.settings.recovery import Recoverable
from pacer.settings.whole_file import numbered, real_path
from pacer.text import _

SAVE_MS, JOURNAL_MS, RETRY_MS = 1000, 250, 10_000


class OutlineFile:
    """Where one outline is kept. Only ``flush`` and ``shut`` wait for the disk.

    ``sheet`` gives the outline as it is now. ``theirs`` is the file another program changed meanwhile,
    ``pending`` what was typed earlier, never saved, and not answered for yet. ``template`` is the template
    that is only looked at so far: the first change makes a copy of it.
    """

    def __init__(
        self, store: DraftStore, own_folder: Path, clock: Clock, host: Host, sheet: Callable[[], TypedDraft]
    ) -> None:
        self._store, self._own, self._clock, self._host = store, own_folder, clock, host
        self._sheet = sheet
        self.path: Path | None = None
        self.theirs: Path | None = None
        self.template: Path | None = None
        self.stamp = NEW
        self.saved_at: datetime | None = None
        self.failed = False
        self.pending: dict[Path, Recoverable] = {}
        self._is_new, self._is_shut, self._journal_is_due = True, False, False
        self._base = ""
        self._base_draft: Draft | None = None
        self.opened_title = ""
        self._saved_sheet: Draft = sheet()
        self._journaled = ""
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="outline")
        self._task: Task | None = None
        self._future: Future[Saved | Conflict | Failed] | None = None
        self._save_timer = host.timer(SAVE_MS, self.save)
        self._journal_timer = host.timer(JOURNAL_MS, self.journal)
        self._retry_timer = host.timer(RETRY_MS, self.save)

    @property
    def is_saved(self) -> bool:
        """Whether the file says what is shown."""
        return self._saved_sheet == self._sheet()

    def state_words(self) -> str:
        """Whether it is saved, in words; empty where there is nothing to save."""
        if self.failed:
            return _("Not saved")
        if not self.is_saved:
            return _("Saving…") if self._sheet().phases or self._sheet().title else ""
        if self.template is not None and self.path is None:
            return _("Template: a change makes a copy of yours")
        at = self.saved_at
        return "" if at is None else _("Saved {time}", time=hour_minute(at))

    # --- another outline ---

    def leave(self) -> None:
        """Save, before another outline is edited; what couldn't be saved waits to be taken in again."""
        self.flush()
        if self.failed:
            self.find_unsaved()

    def begin(self, sheet: Draft, path: Path | None, stamp: str) -> None:
        """Keep another outline, which is what its file says."""
        self.path, self.stamp, self._is_new = path, stamp, path is None
        self.theirs, self.saved_at, self.failed, self.template = None, None, False, None
        self._saved_sheet, self._journaled = sheet, ""
        self.opened_title = "" if path is None else sheet.title
        self.set_base("", None)

    def set_base(self, text: str, draft: Draft | None) -> None:
        """The text that the next save changes, and what it says."""
        self._base, self._base_draft = text, draft

    def find_unsaved(self) -> None:
        """Look for what was typed earlier and never saved; it is neither overwritten nor taken in unasked."""
        self.pending = {unsaved.path: unsaved for unsaved in self._store.recoverable()}

    def touch(self) -> None:
        """Something was changed: save and journal it soon."""
        self._save_timer.start()
        if not self._journal_is_due:
            self._journal_is_due = True
            self._journal_timer.start()

    # --- keeping ---

    def toml(self) -> tuple[str, str]:
        """The file's text as it would be saved now: without and with the lines not understood."""
        sheet = self._sheet()
        base = written(sheet.plain, self._base, self._base_draft)
        whole = with_aside(base, aside_in(sheet.text))
        return base, with_loose(whole, unread_in(sheet.text))

    def _target(self) -> Path:
        """Where the next save goes: a new outline is named after its title."""
        if self.path is not None and not (self._is_new and self._is_misnamed(self.path)):
            return self.path
        names = numbered(self._own / f"{file_stem(self._sheet().title)}.toml")
        return next(path for path in names if not path.exists() and real_path(path) not in self.pending)

    def _is_misnamed(self, path: Path) -> bool:
        return re.fullmatch(re.escape(file_stem(self._sheet().title)) + r"(-\d+)?", path.stem) is None

    def journal(self) -> None:
        """Write what was typed to the recovery file, a quarter of a second after a change."""
        self._stop_journal()
        if self.is_saved:
            return
        if self.path is None:
            self.path = self._target()
        self._put_away(self.path)
        text = self.toml()[1]
        if text != self._journaled:
            self._journaled = text
            notice = self._store.journal(self.path, text, self.stamp)
            if notice:
                self._host.told(notice, "slow")

    def _stop_journal(self) -> None:
        self._journal_is_due = False
        self._journal_timer.stop()

    def _put_away(self, path: Path) -> None:
        """Unsaved text from before that nobody answered for becomes an earlier version, not overwritten."""
        if self.pending.pop(real_path(path), None) is not None:
            self._store.forget(path)

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
        stamp = self.stamp if left is None else NEW
        return Task(target, self._sheet(), base, text, stamp, left, self.stamp)

    def _work(self, task: Task) -> Saved | Conflict | Failed:
        """On the worker thread: nothing of this object that changes."""
        result = put(self._store, task)
        self._host.on_main(partial(self._on_done, task, result))
        return result

    def _on_done(self, task: Task, result: Saved | Conflict | Failed) -> None:
        if task is not self._task:
            return
        self._task, self._future = None, None
        if isinstance(result, Failed):
            self.failed = True
            self._retry_timer.start()
            self._host.told(result.words, "failed")
            return
        self.failed = False
        self.path, self.stamp = result.path, result.stamp
        self.set_base(task.base, plain_of(task.draft))
        self._saved_sheet = task.draft
        self.saved_at = local_now(self._clock)
        if isinstance(result, Conflict):
            self.theirs, self._is_new = result.theirs, False
            self._host.told(result.words, "conflict")
        elif self.template is not None:
            self.template = None
            words = _("The template stays as it is. What you change is in a copy of yours, {file}.")
            self._host.told(words.format(file=self.path.name), "copied")
        elif self.theirs is None:
            self._host.told(result.notice, "slow" if result.notice else "")
        self._host.saved(self.path)
        if not self.is_saved:
            self._save_timer.start()

    def flush(self) -> None:
        """Save now and wait for it. Nothing typed is lost where that fails: it is in the recovery file."""
        self._finish()
        self._save_timer.stop()
        self._stop_journal()
        self._retry_timer.stop()
        if not self.is_saved:
            task = self._next_task()
            self._task = task
            self._on_done(task, put(self._store, task))
            self._save_timer.stop()
            self._retry_timer.stop()

    def _finish(self) -> None:
        """Wait for the save under way and take its result in."""
        if self._future is not None:
            task, result = self._task, self._future.result()
            if task is not None:  # its call still waits for the main thread, and will find nothing to do
                self._on_done(task, result)

    def shut(self) -> None:
        """Save, and end the thread."""
        self.flush()
        self._is_shut = True
        self._pool.shutdown(wait=True)

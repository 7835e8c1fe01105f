"""Offers what was typed and never saved, one text after the other: take it in, or leave it."""

from datetime import datetime

from pacer.editing.outline_editor import OutlineEditor
from pacer.plan.draft.draft import Draft
from pacer.plan.draft.with_text import without_loose
from pacer.plan.draft.write_toml import draft_of
from pacer.qt.outline.bar import NoticeBar
from pacer.qt.outline.versions_panel import when_words
from pacer.run.clock import Clock, local_now
from pacer.settings.recovery import Recoverable
from pacer.text import _


class RecoveryOffer:
    """Asks in the page's notice; nobody has to answer, and what is left becomes an earlier version."""

    def __init__(self, editor: OutlineEditor, notice: NoticeBar, clock: Clock) -> None:
        self._editor, self._notice, self._clock = editor, notice, clock
        editor.file.find_unsaved()

    def _next(self) -> Recoverable | None:
        return next(iter(self._editor.file.pending.values()), None)

    def show_next(self) -> None:
        """Offer the newest, unless something else is being told."""
        unsaved = self._next()
        if unsaved is None:
            if self._notice.which == "offer":
                self._notice.tell("")
            return
        if self._notice.which in ("", "offer"):
            at = datetime.fromtimestamp(unsaved.utc_ms / 1000).astimezone()
            words = _("Unsaved typing of “{title}” ({file}) from {when}.")
            self._notice.tell(
                words.format(
                    title=_title(unsaved), file=unsaved.path.name, when=when_words(at, local_now(self._clock))
                ),
                "offer",
                [(_("Take it in"), self.take), (_("Leave it"), self.leave)],
            )

    def take(self) -> None:
        """Open the outline with what was typed, as a step that can be undone."""
        unsaved = self._next()
        self._notice.tell("")
        if unsaved is not None:
            wrong = self._editor.recover(unsaved)
            if wrong:
                self._notice.tell(wrong, "open")
        self.show_next()

    def leave(self) -> None:
        """Put the text away among the earlier versions."""
        unsaved = self._next()
        self._notice.tell("")
        if unsaved is not None:
            self._editor.file.pending.pop(unsaved.path, None)
            kept = self._editor.store.forget(unsaved.path)
            if kept:
                self._notice.tell(kept, "open")
        self.show_next()


def _title(unsaved: Recoverable) -> str:
    draft = draft_of(without_loose(unsaved.text)[0])
    return draft.title if isinstance(draft, Draft) and draft.title else _("an outline without a title")

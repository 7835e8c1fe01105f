"""Undo and redo of an outline being edited: a frozen stack of drafts, typing taken as one step."""

from dataclasses import dataclass, replace

from pacer.plan.draft.draft import Draft

MOST_STEPS = 500
TYPING_MS = 1500


@dataclass(frozen=True)
class HistoryStep:
    """A draft that was left, what was then done (for the menu), and where and when it was typed."""

    draft: Draft
    label: str
    where: str = ""
    at_ms: int = 0


@dataclass(frozen=True)
class History:
    """The present draft between those before and those undone, the nearest last."""

    present: Draft
    past: tuple[HistoryStep, ...] = ()
    future: tuple[HistoryStep, ...] = ()

    @property
    def undo_label(self) -> str:
        """What undo would take back; empty where there is nothing."""
        return self.past[-1].label if self.past else ""

    @property
    def redo_label(self) -> str:
        """What redo would do again; empty where there is nothing."""
        return self.future[-1].label if self.future else ""

    def did(self, draft: Draft, label: str, now_ms: int, where: str = "") -> "History":
        """After a change. Changes at the same ``where`` (``p3.title``), each soon after the last, are one.

        ``now_ms`` is monotonic. An empty ``where`` always stands alone; no change is no step.
        """
        if draft == self.present:
            return self
        last = self.past[-1] if self.past and not self.future else None
        if last and where and last.where == where and 0 <= now_ms - last.at_ms <= TYPING_MS:
            if last.draft == draft:  # typed and taken back: as if nothing had been
                return History(draft, self.past[:-1])
            return History(draft, (*self.past[:-1], replace(last, at_ms=now_ms)))
        step = HistoryStep(self.present, label, where, now_ms)
        return History(draft, (*self.past, step)[-MOST_STEPS:])

    def undo(self) -> "History":
        """One step back; the same where there is none."""
        if not self.past:
            return self
        step = self.past[-1]
        # Without its place: what is typed after an undo or redo is a step of its own.
        undone = HistoryStep(self.present, step.label)
        return History(step.draft, self.past[:-1], (*self.future, undone))

    def redo(self) -> "History":
        """One step forward again; the same where there is none."""
        if not self.future:
            return self
        step = self.future[-1]
        return History(step.draft, (*self.past, HistoryStep(self.present, step.label)), self.future[:-1])

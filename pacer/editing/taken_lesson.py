"""What a teacher took from elsewhere, while she looks at what was read of it: corrections, undo, safety."""

import json
from collections.abc import Callable
from dataclasses import asdict, replace
from typing import Any, cast

from pacer.editing.host import Timer
from pacer.editing.taken_rows import Change, ReadRows, Ruling, Say, TakenRow, read_rows
from pacer.frames.outline_feedback import feedback_on
from pacer.frames.words.shelf import phase_counts
from pacer.plan.draft.check import look_at
from pacer.plan.draft.with_text import TypedDraft, typed
from pacer.plan.durations import parse_duration
from pacer.plan.kinds import KINDS, KindName
from pacer.plan.taken.taken import Taken, TakenPart
from pacer.settings.taken_store import TakenStore
from pacer.text import _, ngettext

KEEP_MS = 250
_MOST_UNDO = 200
_MOST_S = 10**6  # what is longer was never typed


class TakenLesson:
    """A text under way into an outline. ``changed`` is called after each change.

    ``parts`` are the sheets or days it was chosen from, ``left_aside`` what is to be said of its file.
    """

    def __init__(
        self,
        store: TakenStore,
        timer: Callable[[int, Callable[[], None]], Timer],
        changed: Callable[[], None],
    ) -> None:
        self._store, self._changed = store, changed
        self._timer = timer(KEEP_MS, self.keep)
        self.text, self.origin = "", ""
        self.rulings: dict[int, Ruling] = {}
        self.parts: tuple[TakenPart, ...] = ()
        self.left_aside: tuple[str, ...] = ()
        self.notice = ""
        self.reading: ReadRows = read_rows("", {})
        self._before: list[tuple[str, dict[int, Ruling]]] = []

    # --- taking ---

    def take(self, taken: Taken, origin: str = "") -> None:
        """Begin with what was taken, which undo takes back; ``origin`` is the name of its file."""
        self.parts, self.left_aside, self.origin = taken.parts, taken.left_aside, origin
        self._go(taken.text, {})

    def choose_part(self, at: int) -> None:
        """Another sheet or day of what was taken."""
        if self.parts[at].text != self.text:
            self._go(self.parts[at].text, {})

    def type(self, text: str) -> None:
        """The text was typed over; what was said of lines that are the same still holds."""
        if text == self.text:
            return
        old, new = self.text.splitlines(), text.splitlines()
        places: dict[str, list[int]] = {}
        for number, raw in enumerate(new, start=1):
            places.setdefault(raw, []).append(number)
        kept = {}
        for number, ruling in sorted(self.rulings.items()):
            at = places.get(old[number - 1], []) if number <= len(old) else []
            if at:
                kept[at.pop(0)] = ruling
        self._go(text, kept)

    def clear(self) -> None:
        """Begin anew; undo brings it back."""
        self.parts, self.left_aside, self.origin = (), (), ""
        self._go("", {})

    # --- correcting ---

    def say(self, numbers: list[int], what: Say) -> None:
        """Say what lines are. There is one title: a line that was it before is read as it was."""
        rulings = dict(self.rulings)
        if what == "title":
            numbers = numbers[:1]
            rulings = {n: each for n, each in rulings.items() if each.say != "title"}
        for number in numbers:
            rulings[number] = replace(rulings.get(number, Ruling()), say=what)
        self._go(self.text, rulings)

    def say_right(self, numbers: list[int]) -> None:
        """Say that lines were read right: their doubts are gone."""
        rulings = dict(self.rulings)
        for number in numbers:
            rulings[number] = replace(rulings.get(number, Ruling()), is_seen=True)
        self._go(self.text, rulings)

    def set_minutes(self, row: TakenRow, text: str) -> str:
        """Write the minutes of a phase. Returns what is wrong with the text, or nothing."""
        try:
            seconds = parse_duration(text)
        except ValueError as error:
            return str(error)
        if seconds <= 0:
            return _("A phase takes some time.")
        self._change(row, lambda change: replace(change, seconds=seconds))
        return ""

    def set_title(self, row: TakenRow, text: str) -> None:
        """Write a phase's title; an empty one changes nothing."""
        if text.strip():
            self._change(row, lambda change: replace(change, title=" ".join(text.split())))

    def set_kind(self, row: TakenRow, kind: KindName) -> None:
        """Say of which kind a phase is."""
        self._change(row, lambda change: replace(change, kind=kind))

    def _change(self, row: TakenRow, how: Callable[[Change], Change]) -> None:
        """Change a phase; a line that is none becomes one by that."""
        ruling = self.rulings.get(row.number, Ruling())
        if row.phase is None:
            ruling = replace(ruling, say="phase")
        changes = dict(ruling.changes)
        changes[row.nth] = how(ruling.of(row.nth))
        self._go(self.text, {**self.rulings, row.number: replace(ruling, changes=tuple(changes.items()))})

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return bool(self._before)

    def undo(self) -> None:
        """Take the last change back."""
        if self._before:
            text, rulings = self._before.pop()
            self._show(text, rulings)

    def _go(self, text: str, rulings: dict[int, Ruling]) -> None:
        if (text, rulings) != (self.text, self.rulings):
            self._before.append((self.text, self.rulings))
            del self._before[:-_MOST_UNDO]
        self._show(text, rulings)

    def _show(self, text: str, rulings: dict[int, Ruling]) -> None:
        self.text, self.rulings = text, rulings
        self.reading = read_rows(text, rulings)
        self._timer.start()
        self._changed()

    # --- what comes of it ---

    def sum_words(self) -> str:
        """How many phases and minutes, what is to be looked at, and what says nothing in the outline."""
        reading = self.reading
        words = [*phase_counts([(phase.kind, phase.seconds or 0) for phase in reading.phases])]
        unknown = sum(phase.seconds is None for phase in reading.phases)
        if unknown:
            words.append(ngettext("{n} without minutes", "{n} without minutes", unknown).format(n=unknown))
        doubts = len(reading.doubts)
        if doubts:
            words.append(ngettext("{n} row to look at", "{n} rows to look at", doubts).format(n=doubts))
        lost = len(reading.lost)
        if lost:
            words.append(ngettext("{n} line left out", "{n} lines left out", lost).format(n=lost))
        return "  ·  ".join(words)

    def fit_words(self) -> str:
        """Whether the phases fit a lesson as it is set, in one sentence; empty without phases."""
        if not self.reading.phases:
            return ""
        fit = feedback_on(look_at(self.sheet().plain), None).fit
        return "" if fit is None else fit.verdict

    def sheet(self) -> TypedDraft:
        """A new outline of what was read."""
        return typed(TypedDraft(title=self.reading.title[:200]), self.reading.text)

    # --- safety ---

    def keep(self) -> None:
        """Write all of it where a crash can't take it; nothing where there is nothing."""
        self._timer.stop()
        if self.text.strip():
            self.notice = self._store.keep(json.dumps(self._values()))
        else:
            self._store.drop()

    def done(self) -> None:
        """It is in an outline now: what was kept is no longer needed."""
        self._timer.stop()
        self._store.drop()

    def _values(self) -> dict[str, Any]:
        return {
            "text": self.text,
            "origin": self.origin,
            "rulings": [{"line": n, **asdict(ruling)} for n, ruling in sorted(self.rulings.items())],
        }

    def find_kept(self) -> bool:
        """Take up what was left here, if anything is; what can't be read of it is left where it is."""
        kept = self._store.kept()
        if not kept:
            return False
        try:
            values = json.loads(kept)
            text, origin = str(values["text"]), str(values["origin"])
            rulings = {n: _ruling(each) for each in values["rulings"] if (n := int(each["line"])) > 0}
        except (ValueError, KeyError, TypeError, RecursionError, OverflowError):
            return False
        self.origin = origin
        self._show(text, rulings)
        return bool(text.strip())


def _ruling(values: dict[str, Any]) -> Ruling:
    say = values["say"] if values["say"] in ("phase", "note", "title", "leave out") else None
    changes = []
    for nth, change in values["changes"]:
        seconds, kind, title = change["seconds"], change["kind"], change["title"]
        changes.append(
            (
                int(nth),
                Change(
                    None if title is None else str(title),
                    None if seconds is None or not 0 < seconds < _MOST_S else int(seconds),
                    cast(KindName, kind) if kind in KINDS else None,
                ),
            )
        )
    return Ruling(cast("Say | None", say), bool(values["is_seen"]), tuple(changes))

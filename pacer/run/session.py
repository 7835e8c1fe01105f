"""The one mutable object of a lesson: reads the clock, asks the machine, writes events, keeps the state."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from pacer.plan.outline import Outline
from pacer.run import events as ev
from pacer.run.clock import Clock, Instant
from pacer.run.events import Event
from pacer.run.fold import fold, step, undone_numbers
from pacer.run.machine import decide
from pacer.run.refusal import Refusal
from pacer.run.state import LessonState
from pacer.text import _

GAP_MS = 2000
TICK_MS = 1000


class JournalError(Exception):
    """An event could not be put on disk; the message says why."""


class Journal(Protocol):
    """Where events are put before they count as written."""

    def append(self, events: Sequence[Event]) -> None:
        """Write all or none; returns only when they are on disk. Raises JournalError."""
        ...


class MemoryJournal:
    """A journal that keeps events in memory: for replays, pictures and tests."""

    def __init__(self) -> None:
        self.events: list[Event] = []

    def append(self, events: Sequence[Event]) -> None:
        """Keep the events."""
        self.events.extend(events)


@dataclass(frozen=True)
class Done:
    """A command was followed. ``saved`` is False when the event waits to be written."""

    event: Event
    saved: bool


class Session:
    """A lesson under way. Undo refolds the log; everything else is one step on."""

    def __init__(self, clock: Clock, journal: Journal, events: Sequence[Event] = ()) -> None:
        self._clock = clock
        self._journal = journal
        self._events: list[Event] = list(events)
        self._unsaved: list[Event] = []
        self._state = fold(self._events)
        self._undone = undone_numbers(self._events)
        self._seen = clock.now()
        self._t_ms = self._events[-1].t_ms if self._events else 0
        self._away = bool(self._events) and self._state.is_running
        self.trouble = ""

    @property
    def state(self) -> LessonState:
        """The state that all events so far fold to."""
        return self._state

    @property
    def events(self) -> tuple[Event, ...]:
        """All events so far, the undone ones too."""
        return tuple(self._events)

    @property
    def unsaved(self) -> int:
        """How many events still wait to be written."""
        return len(self._unsaved)

    def now_ms(self) -> int:
        """Lesson time now, in milliseconds since the start."""
        return self._t_ms + max(0, self._clock.now().mono_ms - self._seen.mono_ms)

    def start(self, outline: Outline, planned_utc_ms: int | None = None, utc_offset_s: int = 0,
              mode: ev.Mode = "live", shape: str = "") -> Done | Refusal:  # fmt: skip
        """Begin the lesson now. A planned start in the past makes it late; ``shape`` is the day's."""
        if self._events:
            return Refusal(_("The lesson has started already."))
        now = self._clock.now()
        self._seen, self._t_ms = now, 0
        planned = now.utc_ms if planned_utc_ms is None else planned_utc_ms
        started = ev.Started(
            outline=outline,
            planned_utc_ms=planned,
            utc_offset_s=utc_offset_s,
            mode=mode,
            shape=shape,
            boot=now.boot,
        )
        return self._append(started)

    def do(self, command: str, argument: str = "") -> Done | Refusal:
        """Follow a command now, or say why not."""
        # Undo means the press the teacher saw, not a gap that this very tick may find.
        target = self.last_undoable()
        self.tick()
        if command != "undo":
            decision = decide(self._state, command, argument, self._t_ms)
        elif target is None:
            decision = Refusal(_("There is nothing to undo."))
        else:
            decision = ev.Undone(target=target.seq)
        return decision if isinstance(decision, Refusal) else self._append(decision)

    def flush(self) -> bool:
        """Try once more to write what waits; True when nothing waits any more."""
        return self._save() if self._unsaved else True

    def note(self, body: ev.Forecasted | ev.Cued | ev.ScreensChanged | ev.Stalled) -> None:
        """Write down what nobody pressed: a forecast, a cue, changed screens, a second that came late."""
        self._append(body)

    def tick(self) -> int:
        """Bring lesson time up to now and mark a gap if the machine slept, stalled or its clock was set.

        Returns lesson time.
        """
        if self._away:
            self._reopen()
        now = self._clock.now()
        mono = max(0, now.mono_ms - self._seen.mono_ms)
        jump = (now.utc_ms - self._seen.utc_ms) - mono
        self._seen = now
        self._t_ms += mono
        if self._state.is_running:
            if mono > TICK_MS + GAP_MS:
                self._append(ev.Gap(gap_ms=_clamped(mono - TICK_MS)))
            self._note_clock(jump)
        if self._unsaved:
            self._save()
        return self._t_ms

    def last_undoable(self) -> Event | None:
        """The event that an undo would take back now."""
        for event in reversed(self._events):
            if event.body.undoable and event.seq not in self._undone and not _is_clock_set(event.body):
                return event
        return None

    def _reopen(self) -> None:
        """Go on after a crash: the time that the program was away counts.

        Only when the lesson is looked at again: a reader of its events changes nothing.
        """
        self._away = False
        now, last = self._clock.now(), self._events[-1]
        # Where nothing tells how long it was, what passed since the events were read still counts.
        away = max(away_ms(self._events, now), now.mono_ms - self._seen.mono_ms)
        self._seen = now
        if away:
            self._t_ms += away
            self._append(ev.Gap(gap_ms=_clamped(away), cause="closed", boot=now.boot))
        self._note_clock(now.utc_ms - last.utc_ms - away)

    def _note_clock(self, jump_ms: int) -> None:
        """Mark that the wall clock was set, if it differs from the time that passed."""
        if abs(jump_ms) > GAP_MS:
            self._append(ev.Gap(gap_ms=_clamped(jump_ms), cause="clock_set"))

    def _append(self, body: ev.AnyBody) -> Done:
        seq, mono_ms, utc_ms = len(self._events), self._seen.mono_ms, self._seen.utc_ms
        event = Event(seq=seq, t_ms=self._t_ms, mono_ms=mono_ms, utc_ms=utc_ms, body=body)
        self._events.append(event)
        if isinstance(body, ev.Undone):
            self._undone.add(body.target)
        self._unsaved.append(event)
        saved = self._save()
        self._state = fold(self._events) if isinstance(body, ev.Undone) else step(self._state, event)
        return Done(event, saved)

    def _save(self) -> bool:
        """Write what waits. A failure never stops the lesson: it is kept, told and tried again."""
        try:
            self._journal.append(self._unsaved)
        except JournalError as error:
            self.trouble = str(error)
            return False
        self._unsaved.clear()
        self.trouble = ""
        return True


def away_ms(events: Sequence[Event], now: Instant) -> int:
    """How long a lesson has been closed since its last event.

    Within one boot the clock that nobody sets says it; after another only the wall clock can, and one that
    was set back tells nothing.
    """
    last = events[-1]
    boots = [event.body.boot for event in events if isinstance(event.body, ev.Started | ev.Gap)]
    boot = next(filter(None, reversed(boots)), "")
    if boot and boot == now.boot and now.mono_ms >= last.mono_ms:
        return now.mono_ms - last.mono_ms
    return max(0, now.utc_ms - last.utc_ms)


def _is_clock_set(body: ev.AnyBody) -> bool:
    """Nothing came of it that could be taken back, so undo means the press before it."""
    return isinstance(body, ev.Gap) and body.cause == "clock_set"


def _clamped(gap_ms: int) -> int:
    """Clamp a gap so that an absurd clock can't make its event invalid."""
    return max(-ev.MOST_GAP_MS, min(ev.MOST_GAP_MS, gap_ms))

"""Invented day records for the demo: no lesson in them was ever taught. Driven through the real engine."""

import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from pacer.forecaster import forecaster
from pacer.log.day_records import DayRecords
from pacer.pace.forecasts.past import PastEnding
from pacer.pace.reading import Foresee
from pacer.plan.outline import Outline, Phase
from pacer.review.learning.past_endings import endings_of
from pacer.run.clock import ManualClock
from pacer.run.events import Event
from pacer.run.session import MemoryJournal, Session
from pacer.watch import keep_up, look

# How long phases take, as shares of their budgets (least, usual, most). Ours, invented: reviewing and
# modeling run over, what comes last is cut.
_SWELL: dict[str, tuple[float, float, float]] = {
    "warm-up": (0.9, 1.25, 2.0),
    "review": (0.9, 1.35, 2.1),
    "modeling": (0.9, 1.2, 1.7),
    "vocabulary": (0.7, 1.0, 1.4),
    "partner-talk": (0.8, 1.0, 1.4),
    "guided-practice": (0.7, 0.95, 1.2),
    "look-back": (0.4, 0.8, 1.2),
}
_OTHER_SWELL = (0.8, 1.0, 1.2)
_ENDINGS = ("done", "moved-on", "unsaid")
_ENDING_WEIGHTS = (5, 2, 2)
_LATEST_END_SHARE = 1.12  # of the mini lesson: by then the teacher goes to groups whatever runs
# The second half, in seconds (least, most, usual): how much a leg takes more or less than it may. Invented.
_LEG_OVER: dict[str, tuple[float, float, float]] = {
    "move": (-20, 90, 15), "swap": (-25, 60, 5), "visit": (-45, 120, 10), "share": (-60, 20, 0),
}  # fmt: skip
_OUT_SHARE = 0.03  # of the visits: the group was pulled out
_BELL_OFF_S = (-20, 40, 5)
_STEP_MS = 3000  # a longer one would be a gap
_CUED_LATE_MS = 90_000  # no leg is cued longer before its end
_EXAMPLE_S = 130
_TALK_S = 35


def write_invented_days(
    records: DayRecords,
    outlines: Sequence[Outline],
    count: int = 30,
    *,
    until_utc_ms: int,
    seed: int = 4,
    utc_offset_s: int = 0,
    foreseen: bool = False,
) -> list[int]:
    """Write ``count`` invented lessons on the school days before a time; returns their run numbers.

    The same arguments give the same lessons. ``utc_offset_s`` is the classroom's; ``foreseen`` writes down
    what the days before say at each phase border, as a lesson does. Raises JournalError
    when they can't be written, ValueError without an outline.
    """
    if not outlines:
        raise ValueError("invented days need an outline")
    chance = random.Random(seed)
    order = list(outlines)
    chance.shuffle(order)
    # Two things worth marking are rare: one bell in the middle, one interruption.
    bell_day, visitor_day = chance.sample(range(count), 2) if count > 1 else (0, 0)
    runs: list[int] = []
    endings: list[PastEnding] = []
    for number, planned in enumerate(_school_days(count, until_utc_ms, utc_offset_s)):
        outline = order[number % len(order)]
        day = _Day(chance, outline, planned, utc_offset_s, number == bell_day, number == visitor_day)
        if foreseen:
            day.foresee = forecaster(tuple(endings))
        journal, taught = records.journal(), day.taught()
        journal.append(taught)
        if journal.run_id is not None:
            runs.append(journal.run_id)
            if foreseen:
                endings += endings_of(journal.run_id, taught)
    return runs


def _school_days(count: int, until_utc_ms: int, utc_offset_s: int) -> list[int]:
    """Planned starts, 9:00 on the classroom's clock, on the last weekdays before a time; the oldest first."""
    local = datetime.fromtimestamp(until_utc_ms / 1000, UTC) + timedelta(seconds=utc_offset_s)
    at = local.replace(hour=9, minute=0, second=0, microsecond=0)
    starts: list[int] = []
    while len(starts) < count:
        at -= timedelta(days=1)
        if at.weekday() < 5:
            starts.append(round((at - timedelta(seconds=utc_offset_s)).timestamp() * 1000))
    return starts[::-1]


@dataclass
class _Day:
    """One invented lesson, taught second by second."""

    chance: random.Random
    outline: Outline
    planned_utc_ms: int
    utc_offset_s: int
    is_bell_day: bool
    is_visitor_day: bool
    foresee: Foresee | None = None
    clock: ManualClock = field(init=False)
    session: Session = field(init=False)

    def taught(self) -> list[Event]:
        """Teach it and hand over its events."""
        late_ms = round(self.chance.triangular(0, 240, 45)) * 1000
        self.clock = ManualClock(self.planned_utc_ms + late_ms)
        journal = MemoryJournal()
        self.session = Session(self.clock, journal)
        self.session.start(self.outline, self.planned_utc_ms, self.utc_offset_s, mode="demo")
        latest_ms = round(self.outline.mini_lesson_s * _LATEST_END_SHARE) * 1000 - late_ms
        bell_index = self.chance.randrange(len(self.outline.phases) // 2, len(self.outline.phases))
        visitor_index = self.chance.randrange(len(self.outline.phases))
        while (index := self.session.state.index) is not None:
            self._teach(index, latest_ms, is_visited=self.is_visitor_day and index == visitor_index)
            if self.is_bell_day and index == bell_index:
                self.session.do("bell-now")
            elif self.session.now_ms() >= latest_ms:
                self.session.do("groups")
            else:
                self.session.do("next", self.chance.choices(_ENDINGS, _ENDING_WEIGHTS)[0])
        if self.session.state.is_running:
            # Chance of its own: what a mini lesson was like does not depend on what came after it.
            self._second_half(random.Random(self.planned_utc_ms))
        return journal.events

    def _second_half(self, chance: random.Random) -> None:
        """Move, visits, swaps and share, each about as long as it may be; then the bell."""
        while (half := look(self.session).half) is not None and half.leg.kind != "clean_up":
            if half.leg.kind == "visit" and half.number > 1 and chance.random() < _OUT_SHARE:
                self.session.do("missed")
                continue
            over_s = round(chance.triangular(*_LEG_OVER[half.leg.kind]))
            bell_ms = half.bell_ms - 1000
            self._pass_until(
                min(bell_ms, max(half.end_ms + over_s * 1000, half.leg.begin_ms + 10_000)),
                watch_from_ms=half.end_ms - _CUED_LATE_MS,
            )
            if self.session.now_ms() >= bell_ms:
                break
            self.session.do("next")
        self._pass_until(self.session.state.bell_ms + round(chance.triangular(*_BELL_OFF_S)) * 1000)
        self.session.do("bell-now")

    def _teach(self, index: int, latest_ms: int, is_visited: bool) -> None:
        """One phase: what happens in it, then the rest of its time, cut short where the day is."""
        phase = self.outline.phases[index]
        low, usual, high = _SWELL.get(phase.kind, _OTHER_SWELL)
        length_ms = round(phase.budget_s * self.chance.triangular(low, high, usual)) * 1000
        end_ms = self.session.now_ms() + length_ms
        happenings = self._happenings(phase, length_ms // 1000)
        if is_visited:
            happenings.append((self.chance.uniform(0.2, 0.8) * length_ms / 1000, "happened", ""))
        begin_ms = self.session.now_ms()
        for at_s, command, argument in sorted(happenings):
            self._pass_until(min(begin_ms + round(at_s) * 1000, end_ms, max(latest_ms, begin_ms)))
            self.session.do(command, argument)
            if command == "pause":
                pause_ms = self.chance.randrange(15, 60) * 1000
                self._pass_until(self.session.now_ms() + pause_ms)
                self.session.do("go-on")
                end_ms += pause_ms
        # A lesson that is late already still gives each phase it begins a little.
        self._pass_until(max(min(end_ms, latest_ms), begin_ms + 10_000))

    def _happenings(self, phase: Phase, length_s: int) -> list[tuple[float, str, str]]:
        """Presses in a phase, as (second, command, argument)."""
        presses: list[tuple[float, str, str]] = []
        for number, burst in enumerate(phase.bursts, start=1):
            at = length_s * number / (len(phase.bursts) + 1)
            presses += [
                (at, "burst", ""),
                (at + burst.length_s + self.chance.randrange(2, 12), "eyes-back", ""),
            ]
        if phase.kind == "modeling":
            presses += [(at, "example", "") for at in range(_EXAMPLE_S, length_s, _EXAMPLE_S)]
        if phase.talk == "class":
            presses += [
                (at, "voice", "") for at in range(_TALK_S, length_s, _TALK_S) if self.chance.random() < 0.5
            ]
        if phase.kind == "guided-practice":
            for _number in range(self.chance.randrange(4)):
                presses.append(
                    (self.chance.uniform(30, length_s), "tally", str(self.chance.choice((1, 2, 2, 3, 4))))
                )
        if self.chance.random() < 0.06:
            presses.append((self.chance.uniform(0.3, 0.7) * length_s, "pause", ""))
        if self.chance.random() < 0.05:
            presses.append((0.9 * length_s, "add", "1:00"))
        if self.chance.random() < 0.04:
            presses.append((0.5 * length_s, "table-mark", ""))
        return presses

    def _pass_until(self, t_ms: int, watch_from_ms: int = 0) -> None:
        """Let lesson time pass, watched as the Desk watches it, every few seconds.

        A leg is cued about its end: before that it is only kept going.
        """
        while (left := t_ms - self.session.now_ms()) > 0:
            self.clock.advance(min(_STEP_MS, left))
            if self.session.now_ms() < watch_from_ms:
                self.session.tick()
            else:
                keep_up(self.session, foresee=self.foresee)

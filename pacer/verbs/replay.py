"""Replays a script on the real engine with a manual clock, second by second."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from pacer.frames.desk import DeskFrame, desk_frame
from pacer.frames.outlook import Outlook, tens
from pacer.frames.record import Record, record
from pacer.frames.wall import FOURTHS, WallFrame, wall_frame
from pacer.pace.reading import Foresee
from pacer.plan.outline import Outline
from pacer.review.left_over import left_over
from pacer.run.clock import ManualClock
from pacer.run.corrections import Corrections
from pacer.run.events import Forecasted
from pacer.run.refusal import Refusal
from pacer.run.session import MemoryJournal, Session
from pacer.verbs.script import LOOK, Script, ScriptStep
from pacer.watch import execute, keep_up

_NINE_MS = 9 * 3_600_000


@dataclass(frozen=True)
class Moment:
    """What both windows show at a step, and what the step led to."""

    at_s: int
    event: str | None
    refused: str
    desk: DeskFrame
    wall: WallFrame


class Replay:
    """A lesson on a manual clock, driven like the real one: watched once a second.

    ``refused`` are the steps of a script that were refused: their number, the step, the reason.
    """

    def __init__(
        self, outline: Outline, start_ms: int, planned_ms: int, foresee: Foresee | None = None
    ) -> None:
        self._clock = ManualClock(start_ms)
        self.session = Session(self._clock, MemoryJournal())
        self.session.start(outline, planned_ms)
        self._foresee = foresee
        self._reading = keep_up(self.session, foresee=foresee)
        self.refused: list[tuple[int, ScriptStep, str]] = []

    def until(self, at_s: int) -> None:
        """Let time pass up to a second of the lesson."""
        while self.session.now_ms() < at_s * 1000:
            self._clock.advance(min(1000, at_s * 1000 - self.session.now_ms()))
            self._reading = keep_up(self.session, foresee=self._foresee)

    def moment(self, at_s: int, event: str | None, refused: str = "") -> Moment:
        """The frames now."""
        desk = desk_frame(self._reading, cues=self.session.state.cues)
        return Moment(at_s, event, refused, desk, wall_frame(self._reading))

    def press(self, command: str, argument: str = "") -> str:
        """Follow a command; the reason if it is refused, else an empty text."""
        result = execute(self.session, command, argument)
        self._reading = keep_up(self.session, foresee=self._foresee)
        return result.reason if isinstance(result, Refusal) else ""

    def take(self, number: int, step: ScriptStep) -> str:
        """Follow the step of a script with this number, from 1, and keep a refusal; the reason or nothing."""
        self.until(step.at_s)
        reason = "" if step.command == LOOK else self.press(step.command, step.argument)
        if reason:
            self.refused.append((number, step, reason))
        return reason

    def moments(self, script: Script) -> Iterator[Moment | Record]:
        """The moments of a script in order, then the record. What was refused is in ``refused``."""
        yield self.moment(0, "start")
        for number, step in enumerate(script.steps, start=1):
            reason = self.take(number, step)
            event = None if reason or step.command == LOOK else step.command
            yield self.moment(step.at_s, event, reason)
        yield self.record()

    def legs_to_plan(self, at_s: int) -> None:
        """Go through the second half up to a second, each leg left when its time is over; then the bell."""
        while (half := self._reading.half) is not None and half.end_ms <= at_s * 1000:
            self.until(-(-half.end_ms // 1000))
            if self.press("next"):
                self.press("bell-now")

    def record(self) -> Record:
        """Planned over actual so far."""
        state = self.session.state
        return record(state, self.session.now_ms(), left_over(state, state, Corrections()))


def new_replay(outline: Outline, script: Script, foresee: Foresee | None = None) -> Replay:
    """A lesson at the start that a script writes."""
    return Replay(outline, script.start_ms, script.planned_ms, foresee)


def run_to(outline: Outline, script: Script | None, at_s: int) -> Replay:
    """A lesson at a second of its script; without one, each phase, visit and swap ends when its time does."""
    if script is not None:
        run = new_replay(outline, script)
        for number, step in enumerate(script.steps, start=1):
            if step.at_s > at_s:
                break
            run.take(number, step)
    else:
        run = Replay(outline, _NINE_MS, _NINE_MS)
        ends = 0
        for phase in outline.phases:
            ends += phase.budget_s
            if ends > at_s:
                break
            run.until(ends)
            run.press("next", "done")
        run.legs_to_plan(at_s)
    run.until(at_s)
    return run


def _outlook_json(ahead: Outlook | None, ids: Sequence[str]) -> dict[str, Any]:
    """The outlook; phases by their ids, other payers by their names."""
    if ahead is None:
        return {"price": [], "recut": [], "leaving": [], "short_s": 0, "groups": None, "odds": None,
                "talk": None}  # fmt: skip
    talk, groups = ahead.talk, ahead.groups
    return {
        "price": [
            {"phase": ids[p.payer] if isinstance(p.payer, int) else p.payer, "seconds": p.seconds}
            for p in ahead.price.payments
        ],
        "recut": [{"phase": ids[index], "seconds": seconds} for index, seconds in ahead.recut],
        "leaving": [{"phase": ids[leaver.index], "to": leaver.to} for leaver in ahead.leaving],
        "short_s": ahead.short_s,
        "groups": None if groups is None else {"count": groups.count, "visit_s": groups.visit_s},
        "odds": _odds_json(ahead.odds),
        "talk": {
            "low": talk.low,
            "high": talk.high,
            "longest_s": 0 if talk.longest is None else talk.longest.length_ms // 1000,
            "longest_if_unmarked_s": 0
            if talk.longest_if_unmarked is None
            else talk.longest_if_unmarked.length_ms // 1000,
        },
    }


def _odds_json(odds: Forecasted | None) -> dict[str, Any] | None:
    if odds is None:
        return None
    low, high = tens(odds.low), tens(odds.high)
    return {"tens": low if low == high else [low, high], "of": 10, "lessons": odds.lessons}


def moment_json(moment: Moment, phase_ids: Sequence[str]) -> dict[str, Any]:
    """One line of ``--json``; ``phase_ids`` are those of the outline, in order."""
    desk, wall = moment.desk, moment.wall
    timed = wall.face in ("full", "strip")
    line: dict[str, Any] = {
        "at": moment.at_s,
        "event": moment.event,
        "desk": {
            "state": desk.stage,
            "phase": desk.phase_id or None,
            "left_s": desk.left_s,
            "move_by": desk.move_by or None,
            "move_by_reason": desk.move_by_reason,
            "next": desk.next_id or None,
            **_outlook_json(desk.ahead, phase_ids),
        },
        "wall": {
            "face": wall.face,
            "title": wall.title,
            "line": wall.line,
            "digits": wall.digits,
            "squares": list(divmod(FOURTHS * wall.full + wall.fourths, FOURTHS)) if timed else None,
            "note": wall.note,
        },
    }
    if desk.visit is not None:
        line["visit"] = desk.visit
    if moment.refused:
        line["refused"] = moment.refused
    return line

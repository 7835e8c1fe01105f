"""Talk, visits at the table and ways a phase ended, a second time from the raw events of day records.

Counts second by second instead of adding up intervals, so it shares neither code nor method with the program.
Knows lessons whose events lie on whole seconds, without gaps that were taken back.
"""

from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path

import pandas as pd

from pacer.frames.desk import desk_frame
from pacer.log.day_records import DayRecords
from pacer.pace.reading import Reading
from pacer.run import events as ev
from pacer.run.fold import fold
from tests.review.by_hand import raw_events

OVER = ("ended", "bell_rang")


@dataclass
class Second:
    """One second of a lesson: the piece it belongs to, who talks, whether the clock stood still."""

    piece: tuple[int, int, bool]  # the visit, the bursts begun so far, whether one is under way
    mode: str
    paused: bool
    mini: bool


@dataclass
class TalkByHand:
    """Seconds of one lesson's mini lesson; ``pieces`` are (begin, end, mode)."""

    teacher: int = 0
    unmarked: int = 0
    total: int = 0
    longest: int = 0
    longest_from: int = 0
    wide: int = 0
    wide_from: int = 0
    pieces: list[tuple[int, int, str]] = field(default_factory=list)


def events_frame(run: int, events) -> pd.DataFrame:
    """Events in memory as the table that `by_hand.raw_events` reads from a file."""
    rows = [(run, e.seq, e.t_ms, e.utc_ms, e.body.kind, e.body.model_dump(mode="json")) for e in events]
    found = pd.DataFrame(rows, columns=["run", "seq", "t_ms", "utc_ms", "kind", "body"])
    undone = {body["target"] for body in found.loc[found["kind"] == "undone", "body"]}
    return found[~found["seq"].isin(undone) & (found["kind"] != "undone")].reset_index(drop=True)


def talk_by_hand(events: pd.DataFrame) -> TalkByHand:
    """The talk of one lesson, from its events that were not undone."""
    seconds = _seconds(events)
    voices = {t // 1000 for t in events.loc[events["kind"] == "voice", "t_ms"]}
    numbered = [(at, second) for at, second in enumerate(seconds) if second.mini]
    found = TalkByHand()
    for _at, second in numbered:
        found.total += not second.paused
        found.teacher += second.mode == "teacher" and not second.paused
        found.unmarked += second.mode == "unmarked" and not second.paused
    for _piece, group in groupby(numbered, key=lambda each: each[1].piece):
        own = list(group)
        found.pieces.append((own[0][0], own[-1][0] + 1, own[0][1].mode))
    found.longest, found.longest_from = _longest(numbered, voices, {"teacher"})
    found.wide, found.wide_from = _longest(numbered, voices, {"teacher", "unmarked"})
    return found


def _seconds(events: pd.DataFrame) -> list[Second]:
    """Every second of a lesson until it ended."""
    outline = events.iloc[0]["body"]["outline"]
    kinds = [phase["kind"] for phase in outline["phases"]]
    mini = next((i for i, kind in enumerate(kinds) if kind in ("move", "group", "share")), len(kinds))
    at, visit, bursts, burst, paused, now = 0, 0, 0, False, False, 0
    found: list[Second] = []
    for event in events.itertuples():
        assert event.t_ms % 1000 == 0, "this table counts whole seconds"
        mode = "partners" if burst else outline["phases"][at]["talk"] if at is not None else ""
        piece = (visit, bursts, burst)
        while now < event.t_ms // 1000:
            found.append(Second(piece, mode, paused, at is not None and at < mini))
            now += 1
        if event.kind in ("moved", "leg_began", *OVER):
            at = event.body["to"] if event.kind == "moved" else None
            visit, burst, paused = visit + 1, False, False
            if event.kind in OVER:
                return found
        elif event.kind == "burst_started":
            bursts, burst = bursts + 1, True
        elif event.kind == "eyes_back":
            burst = False
        elif event.kind in ("paused", "went_on"):
            paused = event.kind == "paused"
    return found


def _longest(numbered: list[tuple[int, Second]], voices: set[int], talks: set[str]) -> tuple[int, int]:
    """The longest stretch in seconds and where it begins: a voice, others' talk, or a hole ends one."""
    lengths: dict[tuple[int, int, bool], int] = {}
    for _at, second in numbered:
        lengths[second.piece] = lengths.get(second.piece, 0) + 1
    best, begin, length, before = (0, 0), None, 0, None
    for at, second in numbered:
        lasts = lengths[second.piece]
        short = (second.mode == "quiet" and lasts < 30) or (second.mode == "partners" and lasts < 10)
        talk = second.mode in talks
        if (before is not None and at != before + 1) or (talk and at in voices) or not (talk or short):
            begin, length = None, 0
        if talk:
            begin = at if begin is None else begin
            length += not second.paused
            if length > best[0]:
                best = (length, begin)
        before = at
    return best


def talk_table(folder: Path) -> pd.DataFrame:
    """One row a lesson, in order of time: run and the fields of `TalkByHand`."""
    rows = []
    for run, events in raw_events(folder).groupby("run"):
        rows.append({"run": run, "utc_ms": events.iloc[0]["utc_ms"], **vars(talk_by_hand(events))})
    return pd.DataFrame(rows).sort_values(["utc_ms", "run"], ignore_index=True)


def unsaid_after_move_on(folder: Path) -> set[tuple[int, int]]:
    """(run, phase) that was left while the Desk said MOVE ON the last time it was left."""
    found: set[tuple[int, int]] = set()
    with DayRecords.open(folder) as records:
        days = {run.id: records.events(run.id) for run in records.runs()}
    for run, events in days.items():
        for number, event in enumerate(events):
            if not isinstance(event.body, ev.Moved | ev.LegBegan | ev.Ended):
                continue
            before = fold(events[:number])
            if before.index is None:
                continue
            found.discard((run, before.index))
            if desk_frame(Reading(before, event.t_ms)).word == "MOVE ON":
                found.add((run, before.index))
    return found

"""Stretches of teacher talk, from talk modes and presses alone; there is no microphone."""

from dataclasses import dataclass

from pacer.plan.kinds import Talk
from pacer.run.state import LessonState

BURST_BREAKS_MS = 10_000
QUIET_BREAKS_MS = 30_000
TALK_LIMIT_S = 300


@dataclass(frozen=True)
class Segment:
    """A piece of the lesson in one talk mode; lesson milliseconds."""

    begin_ms: int
    end_ms: int
    mode: Talk


@dataclass(frozen=True)
class Stretch:
    """An unbroken stretch of teacher talk; ``length_ms`` leaves pauses and short breaks out."""

    begin_ms: int
    length_ms: int


def segments(state: LessonState, now_ms: int) -> list[Segment]:
    """The lesson so far in talk modes, in order: phases, with the partner bursts laid over them."""
    found: list[Segment] = []
    for visit in state.visits:
        end = now_ms if visit.end_ms is None else visit.end_ms
        mode, at = state.plan.phases[visit.index].talk, visit.begin_ms
        for talk in state.talks:
            burst_end = end if talk.span.end_ms is None else min(talk.span.end_ms, end)
            if visit.begin_ms <= talk.span.begin_ms < end:
                found.append(Segment(at, talk.span.begin_ms, mode))
                found.append(Segment(talk.span.begin_ms, burst_end, "partners"))
                at = burst_end
        found.append(Segment(at, end, mode))
    return [piece for piece in found if piece.end_ms > piece.begin_ms]


def stretches(pieces: list[Segment], voices_ms: list[int], state: LessonState | None = None,
              unmarked_is_talk: bool = False) -> list[Stretch]:  # fmt: skip
    """All stretches of teacher talk, across phase borders.

    Broken by class talk, a partner burst of 10 s or more, quiet work of 30 s or more, or a child's
    voice; unmarked time breaks one unless it is counted as talk. Shorter breaks are passed over.
    """
    found: list[Stretch] = []
    begin: int | None = None
    length = 0

    def close() -> None:
        nonlocal begin, length
        if begin is not None and length:
            found.append(Stretch(begin, length))
        begin, length = None, 0

    for piece in pieces:
        if not (piece.mode == "teacher" or (unmarked_is_talk and piece.mode == "unmarked")):
            if _breaks(piece):
                close()
            continue
        cuts = [t for t in voices_ms if piece.begin_ms <= t < piece.end_ms]
        for start, end in zip([piece.begin_ms, *cuts], [*cuts, piece.end_ms], strict=True):
            if start in cuts:
                close()
            begin = start if begin is None else begin
            length += end - start - _stopped_ms(state, start, end)
    close()
    return found


def _breaks(piece: Segment) -> bool:
    lasted = piece.end_ms - piece.begin_ms
    if piece.mode == "partners":
        return lasted >= BURST_BREAKS_MS
    return lasted >= QUIET_BREAKS_MS if piece.mode == "quiet" else True


def _stopped_ms(state: LessonState | None, begin_ms: int, end_ms: int) -> int:
    return 0 if state is None else sum(stop.overlap_ms(begin_ms, end_ms) for stop in state.stopped)


def talk_now(state: LessonState, now_ms: int) -> Stretch | None:
    """The stretch of teacher talk under way, or None when the teacher is not marked as talking."""
    pieces = segments(state, now_ms)
    if not state.is_running or not pieces or pieces[-1].mode != "teacher":
        return None
    voices = [mark.t_ms for mark in state.marks if mark.kind == "voice"]
    found = stretches(pieces, voices, state)
    return found[-1] if found else None

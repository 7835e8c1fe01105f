"""Stretches of teacher talk, from talk modes and presses alone; there is no microphone."""

from dataclasses import dataclass, replace

from pacer.plan.fit import BURST_BREAKS_S, QUIET_BREAKS_S
from pacer.plan.kinds import TalkMode
from pacer.run.state import LessonState

TALK_LIMIT_S = 300  # a folk rule: common practice, no source


@dataclass(frozen=True)
class Segment:
    """A piece of the lesson in one talk mode; lesson milliseconds."""

    begin_ms: int
    end_ms: int
    mode: TalkMode


@dataclass(frozen=True)
class TalkStretch:
    """An unbroken stretch of teacher talk; ``length_ms`` leaves pauses and short breaks out."""

    begin_ms: int
    length_ms: int


def segments(state: LessonState, now_ms: int) -> list[Segment]:
    """The lesson so far in talk modes, in order: phases, with the partner bursts laid over them."""
    pieces: list[Segment] = []
    for visit in state.visits:
        end = now_ms if visit.end_ms is None else visit.end_ms
        mode, at = state.plan.phases[visit.index].talk, visit.begin_ms
        for burst in state.talks:
            burst_end = end if burst.span.end_ms is None else min(burst.span.end_ms, end)
            if visit.begin_ms <= burst.span.begin_ms < end:
                pieces.append(Segment(at, burst.span.begin_ms, mode))
                pieces.append(Segment(burst.span.begin_ms, burst_end, "partners"))
                at = burst_end
        pieces.append(Segment(at, end, mode))
    return [piece for piece in pieces if piece.end_ms > piece.begin_ms]


def stretches(pieces: list[Segment], voices_ms: list[int], state: LessonState | None = None,
              unmarked_is_talk: bool = False) -> list[TalkStretch]:  # fmt: skip
    """All stretches of teacher talk, across phase borders.

    Broken by class talk, a partner burst of 10 s or more, quiet work of 30 s or more, or a child's
    voice; unmarked time breaks one unless it is counted as talk. Shorter breaks are passed over.
    """
    ended: list[TalkStretch] = []
    begin: int | None = None
    length = 0

    def close() -> None:
        nonlocal begin, length
        if begin is not None and length:
            ended.append(TalkStretch(begin, length))
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
            length += _clocked_ms(state, start, end)
    close()
    return ended


def _breaks(piece: Segment) -> bool:
    lasted = piece.end_ms - piece.begin_ms
    if piece.mode == "partners":
        return lasted >= BURST_BREAKS_S * 1000
    return lasted >= QUIET_BREAKS_S * 1000 if piece.mode == "quiet" else True


def _clocked_ms(state: LessonState | None, begin_ms: int, end_ms: int) -> int:
    return end_ms - begin_ms if state is None else state.clocked_ms(begin_ms, end_ms)


def talk_now(state: LessonState, now_ms: int) -> TalkStretch | None:
    """The stretch of teacher talk under way, or None when the teacher is not marked as talking."""
    pieces = segments(state, now_ms)
    if not state.is_running or not pieces or pieces[-1].mode != "teacher":
        return None
    voices = [mark.t_ms for mark in state.marks if mark.kind == "voice"]
    talk_stretches = stretches(pieces, voices, state)
    return talk_stretches[-1] if talk_stretches else None


@dataclass(frozen=True)
class TalkShares:
    """Teacher talk in the mini lesson: milliseconds, pauses left out everywhere.

    Unmarked time may have been talk or not, so the share is a range. The longest stretches are None where
    there is no talk; the second one counts unmarked time as talk.
    """

    teacher_ms: int
    unmarked_ms: int
    total_ms: int
    longest: TalkStretch | None
    longest_if_unmarked: TalkStretch | None

    @property
    def low(self) -> int:
        """The share in whole percent if no unmarked time was talk; 0 before any time has passed."""
        return _percent(self.teacher_ms, self.total_ms)

    @property
    def high(self) -> int:
        """The share in whole percent if all unmarked time was talk."""
        return _percent(self.teacher_ms + self.unmarked_ms, self.total_ms)


def talk_shares(state: LessonState, now_ms: int) -> TalkShares:
    """How much of the mini lesson so far was teacher talk, from modes and presses alone."""
    if state.outline is None:
        return shares_of([], [])
    mini = tuple(visit for visit in state.visits if visit.index < state.plan.mini_count)
    voices = [mark.t_ms for mark in state.marks if mark.kind == "voice"]
    return shares_of(segments(replace(state, visits=mini), now_ms), voices, state)


def shares_of(pieces: list[Segment], voices_ms: list[int], state: LessonState | None = None) -> TalkShares:
    """The shares and longest stretches of segments in order; time between two segments breaks a stretch."""
    lengths = dict.fromkeys(("teacher", "unmarked", "all"), 0)
    for piece in pieces:
        lasted = _clocked_ms(state, piece.begin_ms, piece.end_ms)
        lengths["all"] += lasted
        if piece.mode in lengths:
            lengths[piece.mode] += lasted
    marked: list[TalkStretch] = []
    if_unmarked: list[TalkStretch] = []
    for pieces_in_row in _unbroken(pieces):
        marked += stretches(pieces_in_row, voices_ms, state)
        if_unmarked += stretches(pieces_in_row, voices_ms, state, unmarked_is_talk=True)
    return TalkShares(
        lengths["teacher"], lengths["unmarked"], lengths["all"], _longest(marked), _longest(if_unmarked)
    )


def _unbroken(pieces: list[Segment]) -> list[list[Segment]]:
    runs: list[list[Segment]] = []
    for piece in pieces:
        if runs and runs[-1][-1].end_ms == piece.begin_ms:
            runs[-1].append(piece)
        else:
            runs.append([piece])
    return runs


def _longest(talk_stretches: list[TalkStretch]) -> TalkStretch | None:
    """The longest stretch, the first of several."""
    return max(talk_stretches, key=lambda stretch: stretch.length_ms, default=None)


def _percent(part: int, whole: int) -> int:
    """The nearest whole percent, a half rounded up."""
    return (200 * part + whole) // (2 * whole) if whole else 0

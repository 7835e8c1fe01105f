"""The timeline of one lesson while it is mended: its visits, the borders that may be moved, each in words."""

from dataclasses import dataclass, replace

from pacer.plan.durations import format_duration
from pacer.run.corrections import START_ROOM_MS
from pacer.run.repair import border_room, early_ms, leg_after
from pacer.run.second_half import title_of
from pacer.run.state import LessonState
from pacer.text import _

_OPEN_MS = 60_000  # how long a visit that has not ended is drawn


START = -1
"""Stands for the visit before the first: its end is the begin of the lesson."""


@dataclass(frozen=True)
class TimelinePiece:
    """A visit on the timeline. Lesson milliseconds."""

    title: str
    begin_ms: int
    end_ms: int


@dataclass(frozen=True)
class Border:
    """Where visit ``visit`` ends, or the lesson begins where that is START.

    It may be moved between the two times of ``room``, both included.

    ``was_ms`` is where the lesson's own press put it, None where no press did.
    """

    visit: int
    t_ms: int
    room: tuple[int, int]
    was_ms: int | None

    @property
    def is_mended(self) -> bool:
        """Whether it lies elsewhere than a press put it, or no press did."""
        return self.t_ms != self.was_ms


@dataclass(frozen=True)
class Timeline:
    """A lesson as it was mended, with every border that was there before. ``clock_ms`` is its start's clock.

    ``after`` names what the last visit was left for, where that is no phase: the groups. ``was`` are the
    lesson times of borders that are elsewhere now, ``press_ms`` when Start was pressed and
    ``from_ms`` where the line is drawn from: the planned start, where the lesson began after it.
    """

    clock_ms: int = 0
    pieces: tuple[TimelinePiece, ...] = ()
    borders: tuple[Border, ...] = ()
    was: tuple[int, ...] = ()
    end_ms: int = 0
    press_ms: int = 0
    from_ms: int = 0
    after: str = ""

    def clock(self, t_ms: int) -> str:
        """The classroom's clock at a lesson time: ``9:14``, and ``9:14:30`` where it is no whole minute."""
        second = (self.clock_ms + t_ms) // 1000 % 86_400
        words = f"{second // 3600}:{second // 60 % 60:02d}"
        return f"{words}:{second % 60:02d}" if second % 60 else words

    def length_words(self, visit: int) -> str:
        """How long a visit took, as its two clock times say."""
        piece = self.pieces[visit]
        return format_duration(self._second(piece.end_ms) - self._second(piece.begin_ms))

    def _second(self, t_ms: int) -> int:
        return (self.clock_ms + t_ms) // 1000

    def with_border(self, visit: int, t_ms: int) -> "Timeline":
        """The line as it would be with a border at another time."""
        pieces = list(self.pieces)
        meet = visit == START or (
            visit + 1 < len(pieces) and pieces[visit].end_ms == pieces[visit + 1].begin_ms
        )  # else the groups were between the two
        if visit != START:
            pieces[visit] = replace(pieces[visit], end_ms=t_ms)
        if meet:
            pieces[visit + 1] = replace(pieces[visit + 1], begin_ms=t_ms)
        moved = tuple(replace(line, t_ms=t_ms) if line.visit == visit else line for line in self.borders)
        was = {border.was_ms for border in moved if border.is_mended and border.was_ms is not None}
        return replace(self, pieces=tuple(pieces), borders=moved, was=tuple(sorted({*self.was, *was})))

    def border_words(self, at: int) -> str:
        """A border, by its place among the borders, in a sentence."""
        border = self.borders[at]
        words = _("Border {n} of {all}: {what} at {time}").format(
            n=at + 1,
            all=len(self.borders),
            what=self._what(border.visit),
            time=self.clock(border.t_ms),
        )
        if not border.is_mended:
            return words
        if border.was_ms is None:
            return _("{border}, mended", border=words)
        return _("{border}, before the repair {time}", border=words, time=self.clock(border.was_ms))

    def moved_words(self, visit: int, t_ms: int) -> str:
        """What is said when the end of a visit is put to a time."""
        return _("{what} at {time}", what=self._what(visit), time=self.clock(t_ms))

    def preview_words(self, visit: int, t_ms: int) -> str:
        """What a moved border would make of the phases on its two sides."""
        new = self.with_border(visit, t_ms)
        parts = [self.moved_words(visit, t_ms)]
        for at in (visit, visit + 1):
            if 0 <= at < len(self.pieces):
                parts.append(
                    _("{title} {new} (was {old})").format(
                        title=self.pieces[at].title, new=new.length_words(at), old=self.length_words(at)
                    )
                )
        return " · ".join(parts)

    def split_words(self, visit: int, t_ms: int, title: str) -> str:
        """What a press that is added would make of a visit."""
        piece, at = self.pieces[visit], self._second(t_ms)
        return _("{first} {first_took} until {time}, then {second} {second_took}").format(
            first=piece.title,
            first_took=format_duration(at - self._second(piece.begin_ms)),
            time=self.clock(t_ms),
            second=title,
            second_took=format_duration(self._second(piece.end_ms) - at),
        )

    def _what(self, visit: int) -> str:
        if visit == START:
            return _("the lesson begins with {phase}", phase=self.pieces[0].title)
        own = self.pieces[visit].title
        following = self.pieces[visit + 1].title if visit + 1 < len(self.pieces) else self.after
        if not following:
            return _("{phase} ends", phase=own)
        return _("{phase} ends, {next} begins", phase=own, next=following)


def timeline(original: LessonState, mended: LessonState) -> Timeline:
    """The line of a lesson; ``mended`` is ``original`` where it is shown as it was."""
    press_ms = early_ms(original, mended)
    there = {visit.end_ms + press_ms for visit in original.visits if visit.end_ms is not None}
    here = {visit.end_ms for visit in mended.visits if visit.end_ms is not None}
    gone = sorted(({press_ms} - {0}) | (there - here))
    pieces = tuple(
        TimelinePiece(_title(mended, at), visit.begin_ms, _end(visit.begin_ms, visit.end_ms))
        for at, visit in enumerate(mended.visits)
    )
    borders = _start_border(mended, press_ms)
    for at, visit in enumerate(mended.visits):
        room = border_room(mended, at)
        if room is not None and visit.end_ms is not None:
            borders.append(Border(at, visit.end_ms, room, _was_ms(original, mended, at, press_ms)))
    ends = [_end(visit.begin_ms, visit.end_ms) for visit in mended.visits]
    ends += [_end(visit.begin_ms, visit.end_ms) + press_ms for visit in original.visits]
    last_leg = leg_after(mended, len(mended.visits) - 1) if mended.visits else None
    # The line ends with the mini lesson and what it was left for: only its borders can be moved.
    ends += [border.room[1] for border in borders] if mended.legs else [mended.ended_ms or 0]
    return Timeline(
        clock_ms=mended.utc_ms(0) + mended.utc_offset_s * 1000,
        pieces=pieces,
        borders=tuple(borders),
        was=tuple(gone),
        end_ms=max(ends, default=0),
        press_ms=press_ms,
        from_ms=-mended.late_ms if 0 < mended.late_ms <= START_ROOM_MS else 0,
        after="" if last_leg is None else title_of(mended, mended.legs[last_leg]),
    )


def _start_border(mended: LessonState, press_ms: int) -> list[Border]:
    """Where the lesson began: never after the press, nor after the end of the first visit."""
    end_ms = mended.visits[0].end_ms if mended.visits else None
    if end_ms is None:
        return []
    return [Border(START, 0, (press_ms - START_ROOM_MS, min(press_ms, end_ms)), press_ms)]


def _end(begin_ms: int, end_ms: int | None) -> int:
    return begin_ms + _OPEN_MS if end_ms is None else end_ms


def _was_ms(original: LessonState, mended: LessonState, visit: int, press_ms: int) -> int | None:
    """Where a press put the end of a visit: at the same time, else at the end of a visit of the same pair."""
    t_ms = mended.visits[visit].end_ms
    ends = [None if pressed.end_ms is None else pressed.end_ms + press_ms for pressed in original.visits]
    if t_ms in ends:
        return t_ms
    pair = _pair(mended, visit)
    number = sum(_pair(mended, earlier) == pair for earlier in range(visit))
    same = [end for at, end in enumerate(ends) if _pair(original, at) == pair]
    return same[number] if number < len(same) else None


def _pair(state: LessonState, visit: int) -> tuple[int, int]:
    after = state.visits[visit + 1].index if visit + 1 < len(state.visits) else -1
    return state.visits[visit].index, after


def _title(state: LessonState, visit: int) -> str:
    """A phase's title, with a number where the class came to it several times."""
    index = state.visits[visit].index
    title = state.plan.phases[index].title
    before = sum(earlier.index == index for earlier in state.visits[:visit])
    return _("{title} ({n})", title=title, n=before + 1) if before else title


def line_words(line: Timeline) -> str:
    """All borders of a timeline, for those who hear it."""
    if not line.borders:
        return _("No border can be moved.")
    return " ".join(f"{line.border_words(at)}." for at in range(len(line.borders)))

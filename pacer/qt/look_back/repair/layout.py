"""Where everything of the repair's timeline lies: visits to scale, borders, the times at them."""

from collections.abc import Iterable
from dataclasses import dataclass

from PySide6.QtCore import QRectF

from pacer.frames.after_school.timeline import Timeline
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import Setting, fit
from pacer.text import _

LABEL_PX, TITLE_PX, LEAST_TITLE_PX = 14, 15, 11
SIDE = 26.0  # room left and right for half a time
TOP, BAND, ROW = 30.0, 50.0, 19.0
HEIGHT = round(TOP + BAND + 10 + 2 * ROW)
_GAP = 10.0


@dataclass(frozen=True)
class PieceBox:
    """A visit's box; ``title`` is where and how its title stands, or its number where that has no room."""

    box: QRectF
    title: tuple[QRectF, Setting] | None


@dataclass(frozen=True)
class TimeMark:
    """A time at a place on the line; ``label`` is None where it would meet another one."""

    x: float
    label: tuple[QRectF, Setting] | None


@dataclass(frozen=True)
class LineLayout:
    """The whole timeline: ``x`` of lesson time 0 and pixels of a millisecond; ``borders`` as in the line."""

    zero: float
    per_ms: float
    band: QRectF
    pieces: tuple[PieceBox, ...]
    borders: tuple[TimeMark, ...]
    was: tuple[TimeMark, ...]
    planned: TimeMark | None

    def x(self, t_ms: int) -> float:
        return self.zero + t_ms * self.per_ms

    def t_ms(self, x: float) -> int:
        return round((x - self.zero) / self.per_ms)


def line_layout(line: Timeline, rect: QRectF, current: int = -1) -> LineLayout:
    """Lay a line out; the time of border ``current`` is shown before all others."""
    band = QRectF(rect.left() + SIDE, rect.top() + TOP, max(1.0, rect.width() - 2 * SIDE), BAND)
    from_ms = min([line.from_ms, *(each.begin_ms for each in line.pieces)])
    per_ms = band.width() / max(1, line.end_ms - from_ms)
    zero = band.left() - from_ms * per_ms
    pieces = tuple(
        _piece(at, each.title, QRectF(zero + each.begin_ms * per_ms, band.top(),
                                      (each.end_ms - each.begin_ms) * per_ms, band.height()))
        for at, each in enumerate(line.pieces)
    )  # fmt: skip
    below = [(band.bottom() + 10 + row * ROW) for row in range(2)]
    times = [border.t_ms for border in line.borders]
    # The one in hand first, then the two ends of the lesson, then what was mended.
    order = sorted(
        range(len(times)),
        key=lambda at: (at != current, at not in (0, len(times) - 1), not line.borders[at].is_mended, at),
    )
    wanted = [(zero + t * per_ms, line.clock(t)) for t in times]
    if line.from_ms < 0:
        words = _("planned {time}").format(time=line.clock(line.from_ms))
        order.append(len(wanted))
        wanted.append((zero + line.from_ms * per_ms, words))
    marks = _marks(wanted, order, below, rect)
    was = [(zero + t * per_ms, _("was {time}").format(time=line.clock(t))) for t in line.was]
    return LineLayout(
        zero=zero,
        per_ms=per_ms,
        band=band,
        pieces=pieces,
        borders=tuple(marks[: len(times)]),
        was=tuple(_marks(was, range(len(was)), [rect.top() + 1], rect)),
        planned=marks[-1] if line.from_ms < 0 else None,
    )


def _piece(at: int, title: str, box: QRectF) -> PieceBox:
    """The title where it can be read whole, else the number it has in the table, else nothing."""
    room = box.width() - 10
    for words, lines in ((title, 2), (str(at + 1), 1)):
        if room < 6:
            break
        setting = fit(words, room, box.height() - 4, TITLE_PX, LEAST_TITLE_PX, theme.MEDIUM, lines)
        # A title broken within a word is worse than its number.
        if (
            not setting.elided
            and setting.width <= room
            and " ".join(setting.lines) == " ".join(words.split())
        ):
            top = box.top() + (box.height() - setting.height) / 2
            return PieceBox(box, (QRectF(box.left() + 5, top, room, setting.height), setting))
    return PieceBox(box, None)


def _marks(
    wanted: list[tuple[float, str]], order: Iterable[int], rows: list[float], rect: QRectF
) -> list[TimeMark]:
    """Times in rows, those first in ``order`` first, none over another."""
    covered: list[QRectF] = []
    marks: dict[int, TimeMark] = {}
    for at in order:
        x, words = wanted[at]
        setting = fit(words, 200, ROW, LABEL_PX, LABEL_PX, theme.REGULAR)
        left = min(max(x - setting.width / 2, rect.left()), rect.right() - setting.width)
        marks[at] = TimeMark(x, None)
        for top in rows:
            box = QRectF(left, top, setting.width, setting.height)
            if not any(box.adjusted(-_GAP, 0, _GAP, 0).intersects(other) for other in covered):
                covered.append(box)
                marks[at] = TimeMark(x, (box, setting))
                break
    return [marks[at] for at in range(len(wanted))]

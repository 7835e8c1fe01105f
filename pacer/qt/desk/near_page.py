"""The Desk's near page, for arm's length: the teacher's notes own it, all else takes what they leave."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from PySide6.QtCore import QRectF

from pacer.qt.desk.check_list import Checks, check_list, next_open_px
from pacer.qt.desk.marks import DeskText
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import fit, flow
from pacer.text import _

# Sizes over the unit, which is the height or what a narrow column stands for.
NOTES, LEAST_NOTES = 0.034, 0.0188
LINE, LEAST_LINE = 0.0272, 0.024
NOTICE, LEAST_NOTICE = 0.036, 0.022
HINT = 0.0195
LEGIBLE_PX = 11  # nothing is smaller
# Of what there is below the clock: where there is room, beside notes in large type, beside long notes.
TAPE, FAIR_TAPE, LEAST_TAPE = 0.62, 0.44, 0.2
NEAR_FIRST = 3  # near lines that come before the table list in any case: a choice of ours
NOTICE_LINES = 12


@dataclass(frozen=True)
class NearWords:
    """All that the near page says beside the table list; ``near`` begins with what weighs most."""

    clock: str
    outlook: str
    near: tuple[str, ...]
    notes: str
    notice: str
    tape_rows: int


@dataclass(frozen=True)
class NearPage:
    """Where all of it lies; ``foot`` is kept free, ``notes_cut`` says that the notes end in mid-way."""

    texts: tuple[DeskText, ...]
    tape: QRectF
    tape_px: int
    notice: QRectF | None
    foot: QRectF
    notes_cut: bool


PlainRect = tuple[float, float, float, float]


@lru_cache(maxsize=32)
def near_page(words: NearWords, checks: Checks, place: PlainRect, foot: float) -> NearPage:
    """Lay the near page out in a place on the Desk, its lowest ``foot`` pixels kept free."""
    column = QRectF(*place)
    height = column.height()
    pad = min(height * 0.032, column.width() * 0.07)
    inner = QRectF(column.left() + pad, height * 0.04, column.width() - 2 * pad, height * 0.935)
    unit = min(height, inner.width() * 2.1)  # type shrinks in a narrow column, never out of it
    texts = list(_clock_row(words.clock, words.outlook, inner, unit))
    top, bottom = inner.top() + unit * 0.075, inner.bottom() - foot
    below = QRectF(inner.left(), bottom, inner.width(), inner.bottom() - bottom)
    if not foot:
        bottom -= _px(unit, HINT) * 1.35
    notice, notice_text = _notice(words.notice, QRectF(inner.left(), top, inner.width(), bottom - top), unit)
    room = QRectF(inner.left(), top, inner.width(), (bottom if notice is None else notice.top()) - top)
    room.setBottom(room.bottom() - unit * 0.012)
    notes, notes_cut = _notes(words, checks, room, unit)
    rest = QRectF(room)
    if notes:
        rest.setBottom(notes[0].box.top() - unit * 0.012)
    tape = _tape(words, checks, rest, room, unit, bool(notes))
    y = tape.bottom() + unit * 0.02
    texts += _lines(words.near, checks, QRectF(rest.left(), y, rest.width(), rest.bottom() - y), unit)
    texts += [*notes, *notice_text]
    if not foot:
        texts.append(_hint(notes_cut, inner, unit))
    return NearPage(tuple(texts), tape, round(unit * 0.0245), notice, below, notes_cut)


def _px(unit: float, share: float) -> int:
    """A type size, never too small to be read."""
    return max(LEGIBLE_PX, round(unit * share))


def _clock_row(clock_text: str, outlook_text: str, inner: QRectF, unit: float) -> Iterable[DeskText]:
    clock = fit(clock_text, inner.width() * 0.4, unit, round(unit * 0.05), round(unit * 0.03), theme.BOLD)
    room = inner.width() - clock.width - unit * 0.02
    outlook = fit(outlook_text, room, unit, round(unit * 0.032), round(unit * 0.017), theme.MEDIUM)
    if clock_text:
        yield DeskText("clock", QRectF(inner.left(), inner.top(), clock.width, clock.height), clock)
    if outlook_text:
        # Both stand on one baseline.
        y = inner.top() + clock.ascent - outlook.ascent
        box = QRectF(inner.right() - room, y, room, outlook.height)
        yield DeskText("outlook", box, outlook, align="start" if outlook.rtl else "end")


def _hint(notes_cut: bool, inner: QRectF, unit: float) -> DeskText:
    """How to see the keys and, where they do not end here, all of the notes."""
    words = _("F1 keys, F2 all of the notes") if notes_cut else _("F1 keys")
    made = fit(words, inner.width(), unit, _px(unit, HINT), 8, theme.MEDIUM)
    top = inner.bottom() - made.height
    return DeskText("hint", QRectF(inner.left(), top, inner.width(), made.height), made, quiet=True)


def _notice(text: str, room: QRectF, unit: float) -> tuple[QRectF | None, list[DeskText]]:
    """The line that asks for attention in a box at the foot: on as many lines as it takes, never cut."""
    if not text:
        return None, []
    inset = unit * 0.016
    width = room.width() - 2 * inset
    largest, least = round(unit * NOTICE), _px(unit, LEAST_NOTICE)
    made = fit(text, width, room.height() * 0.3, largest, least, theme.BOLD, 4)
    if made.elided:
        made = fit(text, width, room.height() * 0.8, least, max(8, least // 2), theme.BOLD, NOTICE_LINES)
    tall = made.height + 1.5 * inset
    notice = QRectF(room.left(), room.bottom() - tall, room.width(), tall)
    box = QRectF(notice.left() + inset, notice.top() + inset * 0.75, width, made.height)
    return notice, [DeskText("notice", box, made)]


def _notes(words: NearWords, checks: Checks, room: QRectF, unit: float) -> tuple[list[DeskText], bool]:
    """The notes at the foot of what is left, whole: in large type where the least of all else keeps its
    place; smaller; then in place of that, too. True where not even so they fit: then they end in mid-way."""
    paragraphs = [line for line in words.notes.splitlines() if line.strip()]
    if not paragraphs:
        return [], False
    lines = next_open_px(checks, room.width(), unit) + min(NEAR_FIRST, len(words.near)) * unit * LINE * 1.3
    tape = room.height() * bool(words.tape_rows)
    largest, least = round(unit * NOTES), _px(unit, LEAST_NOTES)
    fair = max(least, round(unit * LINE))
    for kept, biggest, smallest in (
        (lines + FAIR_TAPE * tape, largest, fair), (lines + LEAST_TAPE * tape, fair, least),
        (0.0, fair, least),
    ):  # fmt: skip
        for px in range(biggest, smallest - 1, -1):
            made = [flow(line, room.width(), px, theme.REGULAR) for line in paragraphs]
            tall = sum(one.height for one in made) + px * 0.4 * (len(made) - 1)
            if tall <= room.height() - kept:
                return _stacked(made, room.bottom() - tall, room, px), False
    made = [flow(line, room.width(), least, theme.REGULAR) for line in paragraphs]
    return _stacked(made, room.top(), room, least), True


def _stacked(made: list, top: float, room: QRectF, px: int) -> list[DeskText]:
    """Paragraphs below each other, as many lines as end within the room."""
    texts, y = [], top
    for number, setting in enumerate(made):
        lines = int((room.bottom() + 0.5 - y) // setting.line_height)
        if lines < 1:
            break
        shown = setting.first(lines)
        box = QRectF(room.left(), y, room.width(), shown.height)
        texts.append(DeskText(f"notes_{number}", box, shown))
        y += shown.height + px * 0.4
    return texts


def _tape(words: NearWords, checks: Checks, rest: QRectF, room: QRectF, unit: float, notes: bool) -> QRectF:
    """The tape takes what the notes leave, but for the lines that come below it."""
    if not words.tape_rows:
        return QRectF(rest.left(), rest.top(), rest.width(), 0)
    lines = len(words.near) * unit * LINE * 1.3 + len(checks) * unit * 0.031 + bool(checks) * unit * 0.04
    most = TAPE if words.near or checks or words.notice or notes else 0.9
    least = 0.46 if checks and words.notice else 0.5 if checks else LEAST_TAPE if notes else most * 0.8
    wanted = min(max(rest.height() - lines - unit * 0.02, least * room.height()), most * room.height())
    tall = min(wanted, rest.height())
    return QRectF(rest.left(), rest.top(), rest.width(), tall if tall >= unit * 0.06 else 0)


def _lines(near: tuple[str, ...], checks: Checks, box: QRectF, unit: float) -> list[DeskText]:
    """Near lines, then the table list, as many as there is room for; each whole, on two lines if need be."""
    made: list[DeskText] = []
    y, kept = box.top(), next_open_px(checks, box.width(), unit)
    for index, line in enumerate(near):
        least = _px(unit, LEAST_LINE)
        setting = fit(line, box.width(), unit, max(least, round(unit * LINE)), least, theme.MEDIUM)
        if setting.elided or len(setting.lines) > 1:
            setting = flow(line, box.width(), least, theme.MEDIUM)
        # The first lines are the weightier ones; the rest gives way, so that what a press ticks next is seen.
        if y + setting.height * 1.05 > box.bottom() - (kept if index >= NEAR_FIRST else 0):
            break
        made.append(DeskText(f"near_{index}", QRectF(box.left(), y, box.width(), setting.height), setting))
        y += setting.height * 1.05
    if checks:
        made += check_list(checks, QRectF(box.left(), y, box.width(), box.bottom() - y), unit)
    return made

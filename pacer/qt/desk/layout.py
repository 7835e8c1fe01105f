"""Where everything on the Desk lies: a far page for three metres, a near page for arm's length."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from math import ceil

from PySide6.QtCore import QRect, QRectF, QSize

from pacer.commands import named_keys
from pacer.frames.desk import DeskFrame
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import (
    CELL_PAD,
    Align,
    Cells,
    Setting,
    digit_shape,
    fit,
    fit_cells,
)
from pacer.remember import identity_cache
from pacer.text import _, counted

# Shares of the height, measured on capitals. At 3 m and a picture 188 mm high, 17.5 mm are 20 minutes of
# arc and 10.5 mm are 12: nothing on the far page is smaller than that (own table of sizes).
FAR_SHARE = 0.72
LEAST_FAR = 10.5 / 188 / theme.CAP_SHARE
EASY_FAR = 17.5 / 188
NUMBER_CAP = 0.19
# Tops of the capitals, so that every part stays at its place whatever the words are.
TITLE_TOP, WORD_TOP, NUMBER_TOP, HEADLINE_TOP, UNDER_TOP, NEXT_TOP = 0.042, 0.142, 0.359, 0.585, 0.745, 0.868
WORD_CAP, UNDER_CAP = 0.185, 0.068
HIGH_TITLE_TOP, LOW_WORD_CAP = 0.025, 0.13  # where a title takes two lines
# Where the price lies if it, the headline above it, or both take two lines; then all are of the least size.
UNDER_TOPS = {(False, False): UNDER_TOP, (False, True): 0.73, (True, False): 0.762, (True, True): 0.748}
HEADLINE_HIGHER, NEXT_LOWER = 0.015, 0.016  # for a headline of two lines; for what comes next, where both do
TIGHT = 1.06  # from line to line of one text, over its size: the gap to another text is wider
ASCENT, DESCENT = 0.76, 0.24  # of the tallest and the deepest letters from the baseline, over their size
NEAR_FIRST = 3  # near lines that come before the table list in any case: a choice of ours
NOTICE_SHARE = 0.1  # of the height, for the loud notice along the lower edge
# The part of the far page that is filled from the bottom, by level; the edges lie between lines of text.
LEVEL_SHARES = (0.0, 0.282, 0.6555, 1.0)
TICK_SIDE, TICK_ROOM = 0.86, 1.35  # of a box to tick and of what it takes with its gap, over the text's size
CAP_OFFSET = 0.93 - theme.CAP_SHARE  # from the top of a line to the top of its capitals, over its size


@dataclass(frozen=True)
class DeskText:
    """A text of the Desk with its box in pixels. ``tick``: a box to tick before it, and whether that is."""

    part: str
    box: QRectF
    setting: Setting
    quiet: bool = False
    align: Align = "start"
    tick: bool | None = None

    @property
    def tick_box(self) -> QRectF:
        """The box to tick, as high as capitals and a little more, on the first line's baseline."""
        side, baseline = self.setting.px * TICK_SIDE, self.box.top() + self.setting.ascent
        top = baseline - self.setting.cap_height / 2 - side / 2
        return QRectF(self.box.left() - self.setting.px * TICK_ROOM, top, side, side)

    @property
    def whole(self) -> QRectF:
        """All that belongs to it."""
        return self.box if self.tick is None else self.box.united(self.tick_box)

    @cached_property
    def ink(self) -> QRect:
        """The pixels that it may touch; one line in Lexend itself reaches from ascenders to descenders.

        Asked for every text at every second: most of them stay the same objects for minutes.
        """
        setting = self.setting
        if len(setting.lines) != 1 or self.tick is not None or not theme.in_lexend(setting.lines[0]):
            return reach(self.whole)
        below = 0.06 if setting.lines[0].isupper() else 0.3
        top = self.box.top() + setting.ascent - 0.8 * setting.px
        ink = QRectF(self.box.left(), top, self.box.width(), (0.8 + below) * setting.px)
        return ink.adjusted(-2, 0, 2, 0).toAlignedRect()


def reach(box: QRectF, spill: float = 0) -> QRect:
    """The pixels that a mark may touch: letters of some scripts reach out of their line."""
    more = spill or box.height() / 8
    return box.adjusted(-more, -more, more, more).toAlignedRect()


@dataclass(frozen=True)
class DeskLayout:
    """Where everything on the Desk lies."""

    far: QRectF
    area: QRectF
    texts: tuple[DeskText, ...]
    number: tuple[tuple[QRectF, str], ...]
    number_cells: Cells | None
    tape: QRectF
    tape_px: int
    notice: QRectF | None
    foot: QRectF


FarWords = tuple[str, str, str, str, str, str, bool]
Box = tuple[float, float, float, float]
Checks = tuple[tuple[str, bool], ...]
NearPage = tuple[tuple[DeskText, ...], QRectF, int, QRectF | None, QRectF]


@identity_cache
def desk_layout(frame: DeskFrame, size: QSize, foot: float = 0) -> DeskLayout:
    """Lay out a frame for a window of a size in logical pixels.

    The near page ends with the list of keys; or, if ``foot`` is how many pixels are wanted there at least for
    something else, with an empty place, so that whatever is put into it covers nothing.

    Both pages are kept while their words stay the same: from one second to the next only the number moves.
    """
    width, height = size.width(), size.height()
    far = QRectF(0, 0, round(width * FAR_SHARE), height)
    texts = _far_texts(_far_words(frame), _("Next"), (far.width(), far.height()))
    cells_at, made = _number(frame, far)
    column = (far.right(), 0.0, width - far.width(), float(height))
    keys = tuple((_(label), _(title)) for label, title in named_keys(frame.part))
    private = (frame.clock, frame.outlook, frame.near, frame.notes, frame.notice, bool(frame.tape))
    # Once it is over a notice lies along the lower edge, so nothing else does.
    foot = max(foot, notice_height(height) if frame.part == "over" else 0)
    near, tape, tape_px, notice, below = _near_page(private, frame.checks, keys, column, foot)
    area = filled_area(frame, size)
    return DeskLayout(far, area, (*texts, *near), cells_at, made, tape, tape_px, notice, below)


def filled_area(frame: DeskFrame, size: QSize) -> QRectF:
    """The part of the far page that is filled; its edge is drawn through no line of text."""
    share = LEVEL_SHARES[max(0, min(3, frame.level))]
    top, far = round(size.height() * (1 - share)), QSize(round(size.width() * FAR_SHARE), size.height())
    if 0 < share < 1:
        top = _between_lines(top, _far_lines_at(frame, far), size.height() * 0.006)
    return QRectF(0, top, far.width(), size.height() - top)


def notice_height(height: int) -> int:
    """How high the loud notice along the lower edge is."""
    return max(48, round(height * NOTICE_SHARE))


def _far_lines_at(frame: DeskFrame, far: QSize) -> list[tuple[float, float]]:
    """From where to where each line of the far page has ink, from its tallest letters down."""
    spans = []
    for text in _far_texts(_far_words(frame), _("Next"), (float(far.width()), float(far.height()))):
        setting = text.setting
        for number, line in enumerate(setting.lines):
            baseline = text.box.top() + setting.ascent + number * setting.line_height
            below = 0.0 if line.isupper() else setting.px * DESCENT
            spans.append((baseline - setting.px * ASCENT, baseline + below))
    return spans


def _between_lines(y: int, spans: list[tuple[float, float]], room: float) -> int:
    """The height of an edge, moved where it must be to the middle of the gap under the line that it meets."""
    for top, bottom in sorted(spans):
        if top - room < y < bottom + room:
            later = min((begin for begin, _end in spans if begin >= bottom - room), default=bottom + 2 * room)
            earlier = max((end for _begin, end in spans if end <= top + room), default=top - 2 * room)
            below, above = round((bottom + later) / 2), round((earlier + top) / 2)
            return below if abs(below - y) <= abs(above - y) else above
    return y


# The far page


def _far_words(frame: DeskFrame) -> FarWords:
    return (
        frame.phase_title, frame.word, frame.headline, frame.under, frame.under_short, frame.next_title,
        frame.stage in ("ready", "ended"),
    )  # fmt: skip


@lru_cache(maxsize=32)
def _far_texts(words: FarWords, next_label: str, size: tuple[float, float]) -> tuple[DeskText, ...]:
    return tuple(_far_lines(words, next_label, QRectF(0, 0, *size)))


def _far_lines(words: FarWords, next_label: str, far: QRectF) -> Iterable[DeskText]:
    phase_title, word_text, headline, under_text, under_short, next_title, calm = words
    height = far.height()
    margin = _far_margin(far)
    room = far.width() - 2 * margin
    least = ceil(LEAST_FAR * height)

    def line(part: str, setting: Setting, top: float, x: float = margin) -> DeskText:
        y = top * height - setting.px * CAP_OFFSET
        width = room if x == margin else setting.width
        return DeskText(part, QRectF(x, y, width, setting.height), setting)

    def one(text: str, cap: float, weight: int, width: float = room, smallest: int = least) -> Setting:
        largest = ceil(cap / theme.CAP_SHARE * height)
        return fit(text, width, height, max(largest, smallest), smallest, weight)

    def tight(text: str, weight: int) -> Setting:
        setting = fit(text, room, height, least, least, weight, 2)
        return replace(setting, line_height=setting.px * TIGHT) if theme.in_lexend(text) else setting

    title = one(phase_title, 0.06, theme.SEMIBOLD)
    two_titles = calm and title.elided  # before and after the lesson nobody reads the state at a glance
    if two_titles:
        title = tight(phase_title, theme.SEMIBOLD)
    if phase_title:
        yield line("title", title, HIGH_TITLE_TOP if two_titles else TITLE_TOP)
    word = one(word_text, LOW_WORD_CAP if two_titles else WORD_CAP, theme.BOLD)
    # A word that had to shrink stands on the same baseline: the eye finds the number under it.
    yield line("word", word, WORD_TOP + WORD_CAP - word.cap_height / height)
    head = one(headline, EASY_FAR, theme.BOLD)
    two = head.elided
    if two:
        head = tight(headline, theme.BOLD)
    if headline:
        shift = -HEADLINE_HIGHER if two else (EASY_FAR - head.cap_height / height) / 2
        yield line("headline", head, HEADLINE_TOP + shift)
    long = False
    if under_text:
        under = one(under_text, LEAST_FAR * theme.CAP_SHARE if two else UNDER_CAP, theme.MEDIUM)
        long = under.elided
        if long:
            # Two payers take two lines, and what comes next, if anything does, makes room for them.
            under = tight(under_text, theme.MEDIUM)
            if under.elided and under_short:
                under = tight(under_short, theme.MEDIUM)
        yield line("under", under, UNDER_TOPS[two, long])
    if next_title:
        px = least if long else ceil(EASY_FAR / theme.CAP_SHARE * height)
        while px > least and _next_width(next_label, next_title, px, room) is None:
            px -= max(1, px // 30)
        px = max(px, least)
        label = fit(next_label, room * 0.5, height, px, px, theme.REGULAR)
        x = margin + label.width + px * 0.5
        title = fit(next_title, far.width() - margin - x, height, px, px, theme.MEDIUM)
        # Smaller words keep to the baseline.
        top = NEXT_TOP + EASY_FAR - label.cap_height / height + (NEXT_LOWER if two and long else 0)
        yield line("next_label", label, top)
        yield line("next", title, top, x)


def _next_width(label: str, title: str, px: int, room: float) -> float | None:
    """The width of the row at a size, or None where it does not fit."""
    first = fit(label, room, px * 2, px, px, theme.REGULAR)
    second = fit(title, max(1.0, room - first.width - px * 0.5), px * 2, px, px, theme.MEDIUM)
    whole = len(second.lines) == 1 and not second.elided and second.lines[0] == " ".join(title.split())
    return first.width + px * 0.5 + second.width if whole else None


def _far_margin(far: QRectF) -> float:
    return min(far.height() * 0.048, far.width() * 0.05)


def _number(frame: DeskFrame, far: QRectF) -> tuple[tuple[tuple[QRectF, str], ...], Cells | None]:
    if not frame.number:
        return (), None
    margin = _far_margin(far)
    made = fit_cells(
        digit_shape(frame.number), far.width() - 2 * margin, NUMBER_CAP * far.height(), theme.BOLD
    )
    pad = made.px * CELL_PAD
    bottom = (NUMBER_TOP + NUMBER_CAP) * far.height()
    x, placed = margin - made.px * 0.03, []
    for char, width in zip(frame.number, made.widths, strict=True):
        box = QRectF(x, bottom - made.cap_height - pad, width, made.cap_height + 2 * pad)
        placed.append((box, char))
        x += width
    return tuple(placed), made


# The near page


@lru_cache(maxsize=32)
def _near_page(
    private: tuple[str, str, tuple[str, ...], str, str, bool],
    checks: Checks,
    shown: tuple[tuple[str, str], ...],
    place: Box,
    foot: float,
) -> NearPage:
    clock, outlook, near, notes, notice_text, has_tape = private
    column = QRectF(*place)
    height = column.height()
    pad = min(height * 0.032, column.width() * 0.07)
    inner = QRectF(column.left() + pad, height * 0.04, column.width() - 2 * pad, height * 0.925)
    unit = min(height, inner.width() * 2.1)  # type shrinks in a narrow column, never out of it
    texts = list(_clock_row(clock, outlook, inner, unit))
    top = inner.top() + unit * 0.075
    keys = _keys(shown, inner, unit)
    keys_top = min((text.box.top() for text in keys), default=inner.bottom())
    if foot:
        keys, keys_top = [], min(keys_top, inner.bottom() - foot)
    below = QRectF(inner.left(), keys_top, inner.width(), inner.bottom() - keys_top)
    tape_height = (keys_top - top) * (
        0.46
        if (notes or checks) and notice_text
        else 0.5
        if checks
        else 0.6
        if near or notes or notice_text
        else 0.9
    )
    tape = QRectF(inner.left(), top, inner.width(), tape_height if has_tape else 0)
    y, bottom = tape.bottom() + unit * 0.02, keys_top - unit * 0.018
    notice = None
    if notice_text:
        inset = unit * 0.016
        largest, least = round(unit * 0.036), round(unit * 0.022)
        made = fit(notice_text, inner.width() - 2 * inset, bottom - y, largest, least, theme.BOLD, 3)
        tall = made.height + 1.5 * inset
        notice = QRectF(inner.left(), bottom - tall, inner.width(), tall)
        box = QRectF(
            notice.left() + inset, notice.top() + inset * 0.75, inner.width() - 2 * inset, made.height
        )
        texts.append(DeskText("notice", box, made))
        bottom = notice.top() - unit * 0.015
    texts += _remarks(near, checks, notes, QRectF(inner.left(), y, inner.width(), bottom - y), unit)
    return (*texts, *keys), tape, round(unit * 0.0245), notice, below


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


def _remarks(
    near: tuple[str, ...], checks: Checks, notes_text: str, box: QRectF, unit: float
) -> list[DeskText]:
    """Near lines, the table list, then the teacher's notes, as many as there is room for."""
    made: list[DeskText] = []
    y, kept = box.top(), _next_open_px(checks, box.width(), unit)
    for index, line in enumerate(near):
        setting = fit(line, box.width(), unit, round(unit * 0.0255), round(unit * 0.018), theme.MEDIUM)
        # The first lines are the weightier ones; the rest gives way, so that what a press ticks next is seen.
        if y + setting.height * 1.05 > box.bottom() - (kept if index >= NEAR_FIRST else 0):
            break
        made.append(DeskText(f"near_{index}", QRectF(box.left(), y, box.width(), setting.height), setting))
        y += setting.height * 1.05
    if checks:
        listed = _check_list(checks, QRectF(box.left(), y, box.width(), box.bottom() - y), unit)
        made += listed
        y = listed[-1].box.bottom() if listed else y
    px = round(unit * 0.0235)
    lines = int((box.bottom() - y - unit * 0.006) // (px * 1.17))
    if notes_text and lines >= 1:
        setting = fit(
            notes_text, box.width(), box.bottom() - y, px, round(px * 0.9), theme.REGULAR, min(lines, 6)
        )
        notes = QRectF(box.left(), y + unit * 0.006, box.width(), setting.height)
        made.append(DeskText("notes", notes, setting, quiet=True))
    return made


def _next_open_px(checks: Checks, width: float, unit: float) -> float:
    """The height of the table list with what is ticked next and how many more there are; 0 without any."""
    still_open = sum(not done for _text, done in checks)
    if not still_open:
        return 0.0
    px = round(unit * 0.0245)
    head = fit(_("Table list"), width, unit, px, px, theme.SEMIBOLD)
    return unit * 0.006 + head.height + head.height * 1.08 * min(2, still_open)


def _check_list(checks: Checks, box: QRectF, unit: float) -> list[DeskText]:
    """The table list, all lines in one size; where there is no room for all, what is done goes first."""
    px = round(unit * 0.0245)
    head = fit(_("Table list"), box.width(), unit, px, px, theme.SEMIBOLD)
    row, left = head.height * 1.08, box.left() + px * TICK_ROOM
    y = box.top() + unit * 0.006
    room = int((box.bottom() - y - head.height) // row)
    if room < 1:
        return []
    shown = dict(enumerate(checks))
    hidden = 0
    if len(shown) > room:
        shown = {number: line for number, line in shown.items() if not line[1]} or shown
        if len(shown) > room:
            hidden = len(shown) - room + 1
        shown = dict(list(shown.items())[: max(0, room - bool(hidden))])
    made = [DeskText("checks", QRectF(box.left(), y, box.width(), head.height), head)]
    y += row
    # A long line takes a second one where that keeps none of the others out.
    spare = 0 if hidden else room - len(shown)
    for number, (text, done) in shown.items():
        setting = fit(text, box.right() - left, unit, px, px, theme.REGULAR, 1)
        if setting.elided and spare and not done:
            setting = fit(text, box.right() - left, unit, px, px, theme.REGULAR, 2)
            spare -= len(setting.lines) - 1
        line = QRectF(left, y, box.right() - left, setting.height)
        made.append(DeskText(f"check_{number}", line, setting, quiet=done, tick=done))
        y += setting.height + row - head.height
    if hidden:
        more = fit(
            counted("{n} more line", "{n} more lines", hidden), box.width(), unit, px, px, theme.REGULAR
        )
        made.append(DeskText("checks_more", QRectF(left, y, box.width(), more.height), more, quiet=True))
    return made


def _keys(shown: tuple[tuple[str, str], ...], inner: QRectF, unit: float) -> list[DeskText]:
    """The keys in two columns at the foot, read down, all in one size."""
    if not shown:
        return []
    rows = ceil(len(shown) / 2)
    columns = [shown[:rows], shown[rows:]]
    row_height = unit * 0.0262
    px = round(unit * 0.019)
    while px > 6 and sum(sum(_key_widths(column, px)) for column in columns) + px > inner.width():
        px -= 1
    top = inner.bottom() - rows * row_height
    x, made = inner.left(), []
    for number, column in enumerate(columns):
        names, titles = _key_widths(column, px)
        for row, (label, title) in enumerate(column):
            room = min(titles, inner.right() - x - names)
            name = fit(label, inner.width(), unit, px, px, theme.SEMIBOLD)
            words = fit(title, max(1.0, room), unit, px, px, theme.REGULAR)
            y, part = top + row * row_height, f"{number}_{row}"
            made.append(DeskText(f"key_{part}", QRectF(x, y, name.width, name.height), name))
            box = QRectF(x + names, y, max(1.0, room), words.height)
            made.append(DeskText(f"key_title_{part}", box, words, quiet=True))
        x = inner.right() - sum(_key_widths(columns[-1], px))
    return made


def _key_widths(column: tuple[tuple[str, str], ...], px: int) -> tuple[float, float]:
    """The widths of a column's labels, with the space after them, and of its titles."""
    names = max(fit(label, 9999.0, 999.0, px, px, theme.SEMIBOLD).width for label, _title in column)
    titles = max(fit(title, 9999.0, 999.0, px, px, theme.REGULAR).width for _label, title in column)
    return names + px * 0.6, titles + 1

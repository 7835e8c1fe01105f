"""The Desk's near page, for arm's length: clock, tape, what was counted, the table list, notes, keys."""

from collections.abc import Iterable
from functools import lru_cache
from math import ceil

from PySide6.QtCore import QRectF

from pacer.qt.desk.marks import TICK_ROOM, DeskText
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import fit
from pacer.text import _, counted

NEAR_FIRST = 3  # near lines that come before the table list in any case: a choice of ours

Box = tuple[float, float, float, float]
Checks = tuple[tuple[str, bool], ...]
NearPage = tuple[tuple[DeskText, ...], QRectF, int, QRectF | None, QRectF]


@lru_cache(maxsize=32)
def near_page(
    private: tuple[str, str, tuple[str, ...], str, str, bool],
    checks: Checks,
    shown: tuple[tuple[str, str], ...],
    place: Box,
    foot: float,
) -> NearPage:
    """Its texts, the tape with its type size, the notice and the place below, for a place on the Desk."""
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

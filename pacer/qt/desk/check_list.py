"""The table list on the near page: a box before each line, what is ticked next always among them."""

from PySide6.QtCore import QRectF

from pacer.qt.desk.marks import TICK_ROOM, DeskText
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import fit, whole_words
from pacer.text import _, counted

LEAST_PX = 11  # nothing is smaller
Checks = tuple[tuple[str, bool], ...]


def next_open_px(checks: Checks, width: float, unit: float) -> float:
    """The height of the table list with what is ticked next and how many more there are; 0 without any."""
    still_open = sum(not done for _text, done in checks)
    if not still_open:
        return 0.0
    px = round(unit * 0.0245)
    head = fit(_("Table list"), width, unit, px, px, theme.SEMIBOLD)
    return unit * 0.006 + head.height + head.height * 1.08 * min(2, still_open)


def check_list(checks: Checks, box: QRectF, unit: float) -> list[DeskText]:
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
        if setting.elided:  # smaller, and at last without the words that it has no room for
            setting = fit(
                text, box.right() - left, unit, px, max(LEAST_PX, round(px * 0.75)), theme.REGULAR, 1
            )
        if setting.elided:
            setting = whole_words(text, box.right() - left, px, theme.REGULAR) or setting
        line = QRectF(left, y, box.right() - left, setting.height)
        made.append(DeskText(f"check_{number}", line, setting, quiet=done, tick=done))
        y += setting.height + row - head.height
    if hidden:
        more = fit(
            counted("{n} more line", "{n} more lines", hidden), box.width(), unit, px, px, theme.REGULAR
        )
        made.append(DeskText("checks_more", QRectF(left, y, box.width(), more.height), more, quiet=True))
    return made

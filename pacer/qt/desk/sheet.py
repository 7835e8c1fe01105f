"""A sheet over the lower part of the Desk while it is asked for: the keys of now, or all of the notes."""

from dataclasses import dataclass
from functools import lru_cache
from math import ceil

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPen

from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import Setting, draw_setting, fit, flow

TOPS = (0.463, 0.251)  # of the height: title, state and number stay in sight; for very long notes the state
KEYS_MOST, KEYS_LEAST = 0.046, 0.02  # type sizes over the height
NOTES_MOST, NOTES_LEAST = 0.06, 0.017
NOTES_FAIR = 0.03  # smaller only where the sheet is as high as it gets
COLUMNS = 4


@dataclass(frozen=True)
class Sheet:
    """What it shows: ``keys`` with what each does, or ``notes``."""

    keys: tuple[tuple[str, str], ...] = ()
    notes: str = ""

    @property
    def spoken(self) -> str:
        """The same for a screen reader."""
        return self.notes or ". ".join(f"{label}: {title}" for label, title in self.keys)


SheetLine = tuple[QRectF, Setting]


@lru_cache(maxsize=8)
def lay_sheet(sheet: Sheet, size: QSize) -> tuple[QRectF, tuple[SheetLine, ...]]:
    """Where it lies on a Desk of a size, and its lines: as large as all of them fit."""
    width, height = size.width(), size.height()
    margin = min(height * 0.042, width * 0.04)
    for share, least in zip(TOPS, (NOTES_FAIR, NOTES_LEAST), strict=True):
        top = round(share * height)
        rect = QRectF(0, top, width, height - top)
        inner = rect.adjusted(margin, margin * 0.7, -margin, -margin * 0.5)
        if not sheet.notes:
            return rect, _keys(sheet.keys, inner, height)
        lines = _notes(sheet.notes, inner, height, least)
        if lines[-1][0].bottom() <= inner.bottom():
            break
    return rect, lines


def _notes(notes: str, inner: QRectF, height: int, least_share: float) -> tuple[SheetLine, ...]:
    paragraphs = [line for line in notes.splitlines() if line.strip()]
    least = max(9, round(height * least_share))
    for px in range(round(height * NOTES_MOST), least - 1, -1):
        made = [flow(line, inner.width(), px, theme.REGULAR) for line in paragraphs]
        if sum(one.height for one in made) + px * 0.4 * (len(made) - 1) <= inner.height() or px == least:
            break
    lines, y = [], inner.top()
    for setting in made:
        lines.append((QRectF(inner.left(), y, inner.width(), setting.height), setting))
        y += setting.height + px * 0.4
    return tuple(lines)


def _keys(keys: tuple[tuple[str, str], ...], inner: QRectF, height: int) -> tuple[SheetLine, ...]:
    """Keys in columns, read down, all in the largest type for which some number of columns has room."""
    for px in range(round(height * KEYS_MOST), 5, -1):
        rows = max(1, int(inner.height() // (px * 1.3)))
        count = max(1, ceil(len(keys) / rows))
        rows = ceil(len(keys) / count)
        columns = [keys[at : at + rows] for at in range(0, len(keys), rows)]
        widths = [_column(column, px) for column in columns]
        gap = px * 1.2
        if count <= COLUMNS and sum(map(sum, widths)) + gap * (count - 1) <= inner.width():
            break
        if px <= height * KEYS_LEAST and sum(map(sum, widths)) + gap * (count - 1) <= inner.width():
            break
    lines, x = [], inner.left()
    spare = max(0.0, inner.width() - sum(map(sum, widths)) - gap * (count - 1))
    for column, (names, titles) in zip(columns, widths, strict=True):
        for row, (label, title) in enumerate(column):
            y = inner.top() + row * px * 1.3
            name, words = (
                fit(text, 9999, 999, px, px, weight)
                for text, weight in ((label, theme.BOLD), (title, theme.REGULAR))
            )
            lines.append((QRectF(x, y, names, name.height), name))
            lines.append((QRectF(x + names, y, titles, words.height), words))
        x += names + titles + gap + min(spare / max(1, count), px * 2)
    return tuple(lines)


def _column(column: tuple[tuple[str, str], ...], px: int) -> tuple[float, float]:
    """The widths of a column's labels, with the space after them, and of what they do."""
    names = max(fit(label, 9999, 999, px, px, theme.BOLD).width for label, _title in column)
    return names + px * 0.6, max(
        fit(title, 9999, 999, px, px, theme.REGULAR).width for _, title in column
    ) + 1


def paint_sheet(painter: QPainter, sheet: Sheet, size: QSize) -> None:
    """Paint it over what the Desk shows there."""
    rect, lines = lay_sheet(sheet, size)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(rect, theme.DESK_PAPER)
    pen = max(2.0, size.height() * 0.006)
    painter.setPen(QPen(theme.DESK_INK, pen))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(rect.adjusted(pen / 2, pen / 2, -pen / 2, -pen / 2))
    for box, setting in lines:
        draw_setting(painter, box, setting, theme.DESK_INK)

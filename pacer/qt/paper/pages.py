"""Pages for paper, as PDF: the card for the day the laptop dies, and how to read the minute squares."""

import os
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QRectF, QSizeF, Qt
from PySide6.QtGui import (
    QBrush,
    QFontMetricsF,
    QPagedPaintDevice,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
    QPen,
)

from pacer.frames.paper_card import CardRow, LegRow, PaperCard, reason_words
from pacer.frames.wall import squares_left
from pacer.qt.kit import theme
from pacer.qt.paper.picture import ensure_application
from pacer.settings.whole_file import write_out
from pacer.text import _

Paper = Literal["A4", "Letter"]
SIZES = {"A4": QPageSize.PageSizeId.A4, "Letter": QPageSize.PageSizeId.Letter}
MARGIN_MM = 15
UNIT = 10  # logical units in a millimetre
BLACK = Qt.GlobalColor.black
Draw = Callable[[QPainter, QSizeF], None]


class PaperError(OSError):
    """A page could not be written; the message says what to do."""


def card_page(card: PaperCard, paper: Paper = "A4") -> bytes:
    """A lesson's card as PDF, one page, black on white."""

    return page(paper, _("{title}: the card", title=card.title), partial(draw_card, card=card))


def card_pdf(card: PaperCard, path: Path, paper: Paper = "A4") -> Path:
    """Write a lesson's card, as ``write_page`` does."""
    return write_page(path, card_page(card, paper))


def squares_page(paper: Paper = "A4") -> bytes:
    """The page for children as PDF: how to read the minute squares."""
    return page(paper, _("Minute squares"), draw_squares_page)


def page(paper: Paper, title: str, draw: Draw) -> bytes:
    """One page as PDF that ``draw`` paints in tenths of a millimetre."""
    ensure_application()
    theme.load_type()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(title)
    writer.setCreator("Pacer")
    set_up_page(writer, paper)
    writer.setResolution(300)
    with QPainter(writer) as painter:
        _draw_scaled(painter, writer, 300, draw)
    return bytes(buffer.data().data())


def write_page(path: Path, data: bytes) -> Path:
    """Write a page where the teacher wants it, over what she agreed to replace, and say where it is.

    A name without an ending gets one. Raises PaperError.
    """
    if not path.suffix:
        path = path.with_suffix(".pdf")
        if os.path.lexists(path):  # nobody was asked about that name
            raise PaperError(_("{path} is there already. Choose another name.", path=path))
    try:
        write_out(path, data, over=True)
    except OSError as error:
        words = _("{path} can't be written: {reason}. Choose another place.")
        raise PaperError(words.format(path=path, reason=error.strerror or error)) from None
    return path


def set_up_page(device: QPagedPaintDevice, paper: Paper) -> None:
    """An upright page with the margins that all pages here have."""
    margins = QMarginsF(MARGIN_MM, MARGIN_MM, MARGIN_MM, MARGIN_MM)
    upright = QPageLayout.Orientation.Portrait
    device.setPageLayout(QPageLayout(QPageSize(SIZES[paper]), upright, margins, QPageLayout.Unit.Millimeter))


def paint_card(printer: QPagedPaintDevice, card: PaperCard) -> None:
    """Paint a card on a printer that is set up. Raises PaperError."""
    theme.load_type()
    painter = QPainter()
    if not painter.begin(printer):
        raise PaperError(_("The printer does not take the card. Choose another one, or save it as a PDF."))
    _draw_scaled(painter, printer, printer.logicalDpiX(), partial(draw_card, card=card))
    if not painter.end():
        raise PaperError(_("The card was not printed whole. Look at the printer, or save it as a PDF."))


def _draw_scaled(painter: QPainter, device: QPagedPaintDevice, dots_per_inch: int, draw: Draw) -> None:
    """Draw in tenths of a millimetre on a device of so many dots per inch."""
    scale = dots_per_inch / 25.4 / UNIT
    painter.scale(scale, scale)
    draw(painter, QSizeF(device.width() / scale, device.height() / scale))


def _text(
    painter: QPainter, box: QRectF, words: str, mm: float, weight: int = theme.REGULAR,
    flags: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
) -> float:  # fmt: skip
    """Write words of a size in millimetres, shrunk to the box's width; returns the height of the line."""
    px = mm * UNIT
    while px > 20 and QFontMetricsF(theme.letters(px, weight)).horizontalAdvance(words) > box.width():
        px *= 0.95
    letters = theme.letters(px, weight)
    painter.setFont(letters)
    painter.setPen(QPen(BLACK))
    painter.drawText(box, flags | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextSingleLine, words)
    return QFontMetricsF(letters).height()


# The card: columns by their left edge, as shares of the width.
_COLUMNS = ((0.0, 0.10), (0.115, 0.40), (0.53, 0.075), (0.62, 0.17), (0.80, 0.20))
LEG_ROW_MM, AFTER_MM = 7.0, 3.8
_WRAPPED = int(Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
MOST_ROW_MM, ROOMY_ROW_MM, LEAST_ROW_MM = 26.0, 10.0, 7.0


def draw_card(painter: QPainter, size: QSizeF, card: PaperCard) -> None:
    """The card on a page of a size in tenths of a millimetre."""
    width = size.width()
    day = " · ".join(part for part in (card.day, card.shape) if part)
    y = _text(painter, QRectF(0, 0, width, 100), day, 5.2, theme.SEMIBOLD) + 6
    y += _text(painter, QRectF(0, y, width, 200), card.title, 8, theme.BOLD)
    head = " · ".join(part for part in (card.subject, card.times) if part)
    y += 10 + _text(painter, QRectF(0, y, width, 100), head, 4.4)
    y += 40
    titles = (_("start"), _("phase"), _("min"), _("move by"), _("at least, then"))
    for (left, share), words in zip(_COLUMNS, titles, strict=True):
        _text(painter, QRectF(left * width, y, share * width, 60), words, 3.2)
    y += 48
    after = [(line, _wrapped_height(width, line)) for line in card.after]
    foot = 130 + sum(height + 8 for _line, height in after)
    foot += (LEG_ROW_MM * len(card.legs) + 6) * UNIT if card.legs else 0
    notes = [(line, _wrapped_height(width, line)) for line in card.notes]
    room, count = (size.height() - y - foot) / UNIT, max(1, len(card.rows))
    noted_mm = (60 + sum(height + 8 for _line, height in notes)) / UNIT if notes else 0
    beside = (room - noted_mm) / count >= ROOMY_ROW_MM
    row_mm = max(LEAST_ROW_MM, min(MOST_ROW_MM, (room - noted_mm if beside else room) / count))
    for row in card.rows:
        painter.setPen(QPen(BLACK, 2))
        painter.drawLine(0, round(y), round(width), round(y))
        _draw_row(painter, y + row_mm * 1.2, width, row_mm, row)
        y += row_mm * UNIT
    painter.setPen(QPen(BLACK, 4))
    painter.drawLine(0, round(y), round(width), round(y))
    y += 20
    for leg in card.legs:
        _draw_leg(painter, y, width, leg)
        y += LEG_ROW_MM * UNIT
    y += 10 if card.legs else 0
    for line, height in after:
        _paragraph(painter, QRectF(0, y, width, height), line)
        y += height + 8
    if beside and notes:
        _draw_notes(painter, y, size, notes)
    words = _(
        "“Move by” holds if all before went to plan. Late: take from what gives first, not below its least."
    )
    _text(painter, QRectF(0, size.height() - 50, width, 60), words, 3.2)
    if notes and not beside:
        _new_page(painter)
        page = " · ".join((_("Notes"), card.title, card.day))
        _draw_notes(painter, 0, size, notes, page)


def _draw_notes(
    painter: QPainter, y: float, size: QSizeF, notes: Sequence[tuple[str, float]], page: str = ""
) -> None:
    """The notes below each other, on more pages where one is too low; a page of their own says its lesson."""
    y += _text(painter, QRectF(0, y, size.width(), 80), page or _("Notes"), 4.4, theme.SEMIBOLD) + 8
    for line, height in notes:
        if y + height > size.height():
            _new_page(painter)
            y = 0
        _paragraph(painter, QRectF(0, y, size.width(), height), line)
        y += height + 8


def _new_page(painter: QPainter) -> None:
    device = painter.device()
    if isinstance(device, QPagedPaintDevice):
        device.newPage()


def _paragraph(painter: QPainter, box: QRectF, words: str) -> None:
    painter.setFont(theme.letters(AFTER_MM * UNIT, theme.REGULAR))
    painter.setPen(QPen(BLACK))
    painter.drawText(box, _WRAPPED, words)


def _wrapped_height(width: float, words: str) -> float:
    """How high words are that are broken into lines of a width."""
    metrics = QFontMetricsF(theme.letters(AFTER_MM * UNIT, theme.REGULAR))
    return metrics.boundingRect(QRectF(0, 0, width, 10_000), _WRAPPED, words).height()


def _draw_leg(painter: QPainter, y: float, width: float, leg: LegRow) -> None:
    """A visit, the move, the share or the clean-up on one line."""
    start, title, length, until, place = (
        QRectF(left * width, y, share * width, LEG_ROW_MM * UNIT) for left, share in _COLUMNS
    )
    _text(painter, start, leg.start, 4.6, theme.SEMIBOLD)
    _text(painter, title, leg.title, 4.6, theme.SEMIBOLD)
    _text(painter, length, leg.length, 4.6)
    _text(painter, until, leg.until, 4.6, theme.BOLD)
    _text(painter, place, leg.place, 3.8)


def _draw_row(painter: QPainter, y: float, width: float, row_mm: float, row: CardRow) -> None:
    start, title, budget, move, least = (
        QRectF(left * width, y, share * width, row_mm * UNIT) for left, share in _COLUMNS
    )
    large, small = min(6.4, row_mm * 0.42), min(3.8, row_mm * 0.26)
    below = large * UNIT * 1.25
    _text(painter, start, row.start, large, theme.SEMIBOLD)
    _text(painter, title, row.title, large, theme.SEMIBOLD)
    _text(painter, budget, row.budget, large)
    _text(painter, move, row.move_by, large, theme.BOLD)
    _text(painter, least, row.floor, large)
    if row_mm > 9:
        _text(painter, title.translated(0, below), row.line, small)
        _text(painter, move.translated(0, below), reason_words(row.reason), small)
        _text(painter, least.translated(0, below), row.gives, small)


# How to read the minute squares: examples with what is left, in seconds.
_EXAMPLES = ((600, 600), (285, 300), (30, 60), (0, 60))


def draw_squares_page(painter: QPainter, size: QSizeF) -> None:
    """One page for children, to hang beside the Wall."""
    width = size.width()
    y = _text(painter, QRectF(0, 0, width, 250), _("Minute squares"), 14, theme.BOLD) + 10
    y += _text(painter, QRectF(0, y, width, 150), _("One square is one minute."), 8) + 60
    words = (
        _("10 minutes are left. All squares are full."),
        _("A fourth of a square goes every 15 seconds."),
        _("Two fourths are half a minute."),
        _("All are empty: finish up. That is all right."),
    )
    row = (size.height() - y - 60) / len(_EXAMPLES)
    for (left_s, whole_s), line in zip(_EXAMPLES, words, strict=True):
        side = min(190.0, row * 0.33)
        _draw_squares(painter, y, side, left_s, -(-whole_s // 60))
        rows = 2 if whole_s > 300 else 1
        _text(painter, QRectF(0, y + rows * side * 1.12 + 25, width, 120), line, 6)
        y += row


def _draw_squares(painter: QPainter, y: float, side: float, left_s: int, whole: int) -> None:
    """Squares in ten-frames: five to a row, two rows to a frame. Full ones are black, used ones outlines."""
    full, fourths = squares_left(left_s * 1000)
    for index in range(whole):
        x = (index % 5) * side * 1.1
        top = y + (index // 5) * side * 1.1
        painter.setPen(QPen(BLACK, 5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(QRectF(x, top, side, side))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QBrush(BLACK))
        pad = side * 0.09
        if index < full:
            painter.drawRect(QRectF(x + pad, top + pad, side - 2 * pad, side - 2 * pad))
        elif index == full:
            part = (side - 2 * pad) * 0.46
            step = (side - 2 * pad) - part
            for fourth in range(fourths):
                at = QRectF(x + pad + (fourth % 2) * step, top + pad + (fourth // 2) * step, part, part)
                painter.drawRect(at)

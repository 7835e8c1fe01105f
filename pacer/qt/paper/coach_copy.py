"""The coach copy: one page of the fields and pictures that the teacher chose, black on white."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PySide6.QtCore import QRectF, QSizeF, Qt
from PySide6.QtGui import QPageSize, QPainter, QPen

from pacer.frames.pictures.chart import Chart
from pacer.frames.words.choice import choice_words, date_words, span_words
from pacer.qt.charts.paint import WRAP, NoRoomError, paint_chart, picture_room, wrapped_height
from pacer.qt.kit import theme
from pacer.qt.paper.pages import MARGIN_MM, SIZES, UNIT, Paper, write_page
from pacer.qt.paper.pages import page as page_of
from pacer.qt.paper.picture import ensure_application
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.text import _, ngettext

MOST_PICTURES = 4
TITLE_MM, LINE_MM, NOTE_MM = 6.5, 3.6, 3.0
ALONE_MM, TWO_MM, FOUR_MM = 3.6, 3.2, 2.6  # the type of one picture, of two, of three or four
BETWEEN = 6.0 * UNIT


@dataclass(frozen=True)
class CoachHeading:
    """What stands atop the page. ``dates`` and ``choice`` are in words, as Look back shows them."""

    title: str
    dates: str
    choice: str
    lessons: int

    @classmethod
    def of(cls, days: Sequence[Day], choice: LessonChoice) -> "CoachHeading":
        """The heading over days that were chosen by a choice."""
        dates = sorted({day.date for day in days})
        span = span_words(dates[0], dates[-1]) if len(dates) > 1 else "".join(map(date_words, dates))
        return cls(_("Coach copy"), span, choice_words(choice, len(days)), len(days))


@dataclass(frozen=True)
class _Block:
    """Words at a place of the page."""

    box: QRectF
    text: str
    mm: float
    weight: int = theme.REGULAR


def coach_pdf(
    path: Path, size: Paper, heading: CoachHeading, charts: Sequence[Chart], lines: Sequence[str]
) -> Path:
    """Write the page, as ``write_page`` does. Raises ValueError as ``coach_page`` does, and PaperError."""
    return write_page(path, coach_page(size, heading, charts, lines))


def coach_page(size: Paper, heading: CoachHeading, charts: Sequence[Chart], lines: Sequence[str]) -> bytes:
    """The page as PDF, on A4 or Letter.

    Raises ValueError, with words for the teacher, when there is more than fits on it.
    """
    if len(charts) > MOST_PICTURES:
        words = _("A coach copy holds {most} pictures at most, and {n} were chosen. Choose fewer.")
        raise ValueError(words.format(most=MOST_PICTURES, n=len(charts)))
    ensure_application()
    theme.load_type()
    page = _page_size(size)
    blocks = _blocks(page, heading, lines)
    places = _places(page, blocks[-2].box.bottom(), charts)
    draw = partial(_draw, width=page.width(), blocks=blocks, charts=charts, places=places)
    return page_of(size, heading.title, draw)


def _page_size(size: Paper) -> QSizeF:
    """What is left of a page within its margins, in tenths of a millimetre."""
    whole = QPageSize(SIZES[size]).size(QPageSize.Unit.Millimeter)
    return QSizeF((whole.width() - 2 * MARGIN_MM) * UNIT, (whole.height() - 2 * MARGIN_MM) * UNIT)


def _blocks(page: QSizeF, heading: CoachHeading, lines: Sequence[str]) -> list[_Block]:
    """The words from the top down; the last one is the note at the foot."""
    count = ngettext("{n} lesson", "{n} lessons", heading.lessons).format(n=heading.lessons)
    choice = heading.choice.removeprefix(count).removeprefix(" · ")
    about = " · ".join(part for part in (heading.dates, count, choice) if part)
    blocks, y = list[_Block](), 0.0
    for text, mm, weight, after in (
        (heading.title, TITLE_MM, theme.BOLD, 0.5),
        (about, LINE_MM, theme.REGULAR, 3.0),
        *((line, LINE_MM, theme.REGULAR, 0.8) for line in lines),
    ):
        height = wrapped_height(text, mm * UNIT, page.width(), weight)
        blocks.append(_Block(QRectF(0, y, page.width(), height), text, mm, weight))
        y += height + after * UNIT
    note = _(
        "This copy is the teacher's to give: the log belongs to the teacher. Times of a lesson depend on the "
        "day, the group and the plan; they are no measure of teacher quality."
    )
    height = wrapped_height(note, NOTE_MM * UNIT, page.width())
    foot = QRectF(0, page.height() - height, page.width(), height)
    if blocks[-1].box.bottom() > foot.top() - BETWEEN:
        raise ValueError(_("The chosen lines are longer than one page. Choose fewer lines."))
    return [*blocks, _Block(foot, note, NOTE_MM)]


def _places(page: QSizeF, top: float, charts: Sequence[Chart]) -> list[QRectF]:
    """Where the pictures lie: one below the other, from three on in two columns. Raises ValueError."""
    if not charts:
        return []
    columns = 1 if len(charts) < 3 else 2
    rows = -(-len(charts) // columns)
    top += BETWEEN
    bottom = page.height() - NOTE_MM * UNIT * 4
    width = (page.width() - BETWEEN * (columns - 1)) / columns
    height = (bottom - top - BETWEEN * (rows - 1)) / rows
    height = min(height, width * (0.9 if columns == 1 else 1.15))  # a plot is no tower
    places = [
        QRectF((n % columns) * (width + BETWEEN), top + (n // columns) * (height + BETWEEN), width, height)
        for n in range(len(charts))
    ]
    for place, chart in zip(places, charts, strict=True):
        try:
            picture_room(place, chart, _type_mm(len(charts)) * UNIT)
        except NoRoomError:
            words = _("“{title}” does not fit on the page beside the rest. Choose fewer lines or pictures.")
            raise ValueError(words.format(title=chart.title)) from None
    return places


def _type_mm(pictures: int) -> float:
    return ALONE_MM if pictures == 1 else TWO_MM if pictures == 2 else FOUR_MM


def _draw(
    painter: QPainter,
    _size: QSizeF,
    width: float,
    blocks: list[_Block],
    charts: Sequence[Chart],
    places: list[QRectF],
) -> None:
    for place, chart in zip(places, charts, strict=True):
        paint_chart(painter, place, chart, mono=True, px=_type_mm(len(charts)) * UNIT)
    painter.setPen(QPen(Qt.GlobalColor.black, 2))
    rule = blocks[1].box.bottom() + 1.4 * UNIT
    painter.drawLine(0, round(rule), round(width), round(rule))
    for block in blocks:
        painter.setFont(theme.letters(block.mm * UNIT, block.weight))
        painter.drawText(block.box.adjusted(0, 0, 0, 2), WRAP, block.text)

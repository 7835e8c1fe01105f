"""Where everything on the Desk lies: a far page for three metres, a near page for arm's length."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize

from pacer.commands import named_keys
from pacer.frames.desk import DeskFrame
from pacer.qt.desk.far_page import ASCENT, DESCENT, far_texts, far_words, number_cells
from pacer.qt.desk.marks import DeskText
from pacer.qt.desk.near_page import near_page
from pacer.qt.kit.type_setting import Cells
from pacer.remember import identity_cache
from pacer.text import _

FAR_SHARE = 0.72
NOTICE_SHARE = 0.1  # of the height, for the loud notice along the lower edge
# The part of the far page that is filled from the bottom, by level; the edges lie between lines of text.
LEVEL_SHARES = (0.0, 0.282, 0.6555, 1.0)


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


@identity_cache
def desk_layout(frame: DeskFrame, size: QSize, foot: float = 0) -> DeskLayout:
    """Lay out a frame for a window of a size in logical pixels.

    The near page ends with the list of keys; or, if ``foot`` is how many pixels are wanted there at least for
    something else, with an empty place, so that whatever is put into it covers nothing.

    Both pages are kept while their words stay the same: from one second to the next only the number moves.
    """
    width, height = size.width(), size.height()
    far = QRectF(0, 0, round(width * FAR_SHARE), height)
    texts = far_texts(far_words(frame), _("Next"), (far.width(), far.height()))
    cells_at, made = number_cells(frame, far)
    column = (far.right(), 0.0, width - far.width(), float(height))
    keys = tuple((_(label), _(title)) for label, title in named_keys(frame.part))
    private = (frame.clock, frame.outlook, frame.near, frame.notes, frame.notice, bool(frame.tape))
    # Once it is over a notice lies along the lower edge, so nothing else does.
    foot = max(foot, notice_height(height) if frame.part == "over" else 0)
    near, tape, tape_px, notice, below = near_page(private, frame.checks, keys, column, foot)
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
    for text in far_texts(far_words(frame), _("Next"), (float(far.width()), float(far.height()))):
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

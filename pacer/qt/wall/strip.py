"""The strip: the Wall in one row along an edge of the picture, over other programs or beside a picture."""

from math import ceil, floor

from pacer.frames.wall import WallFrame
from pacer.qt.kit.theme import BOLD, REGULAR, SEMIBOLD
from pacer.qt.kit.type_setting import digit_shape, fit, fit_cells
from pacer.qt.wall.marks import (
    LEAST_LINE,
    Box,
    Head,
    Line,
    Mark,
    StripText,
    Words,
    around,
    share_px,
    texts_along,
)
from pacer.qt.wall.side_strip import side_marks
from pacer.qt.wall.time import (
    FRAME_COLUMNS,
    FRAME_GAP,
    FRAME_SQUARES,
    INNER_GAP,
    block_size,
    digit_marks,
    gaps,
    place_squares,
    time_shape,
)
from pacer.run.events import Edge
from pacer.text import _

STRIP_PARTS = 11  # the strip is one eleventh of the picture's height, about 9 %, on every edge
ONE_ROW, TWO_ROWS = 0.62, 0.4  # square sides over the strip's height


def strip_box(edge: Edge, width: int, height: int) -> Box:
    """Where the strip lies in a picture: as thick on its sides as at its top and bottom."""
    thick = round(height / STRIP_PARTS)
    match edge:
        case "top":
            return Box(0, 0, width, thick)
        case "left":
            return Box(0, 0, thick, height)
        case "right":
            return Box(width - thick, 0, thick, height)
        case _:
            return Box(0, height - thick, width, thick)


def strip_marks(
    frame: WallFrame,
    width: int,
    height: int,
    beside: Edge | None = None,
    titled: bool = False,
    lined: bool = True,
) -> tuple[Mark, ...]:
    """Squares, digits and words in a strip of a size, upright where that is higher than wide.

    Two thin lines part it from other programs; ``beside``: it lies along that edge of the Wall, where one
    line does. ``titled``: the title stands elsewhere; without ``lined`` the class's line does.
    """
    texts = [text for text in _texts(frame, titled) if lined or text.part != "line"]
    if height > width:
        lines = _lines(width, height, beside in (None, "right"), beside in (None, "left"))
        return side_marks(frame, width, height, lines, texts)
    return _row(frame, width, height, _lines(width, height, beside != "top", beside != "bottom"), texts)


def _lines(width: int, height: int, first: bool, last: bool) -> list[Mark]:
    """The lines along the strip, at its top or left and at its bottom or right."""
    upright = height > width
    edge = max(1, round(min(width, height) * 0.02))
    size = (edge, height) if upright else (width, edge)
    end = (width - edge, 0) if upright else (0, height - edge)
    return [Line(Box(*at, *size), True) for at, there in (((0, 0), first), (end, last)) if there]


def _texts(frame: WallFrame, titled: bool) -> list[StripText]:
    """The word of a pause, whose turn it is, the title, and the class's line where there is room for it."""
    hidden = frame.face == "hidden"
    texts = [StripText("title", "" if titled else frame.title, SEMIBOLD)]
    if frame.turn and frame.line and not hidden:
        texts = [StripText("line", frame.line, SEMIBOLD)]
    elif hidden or titled or (frame.digits is None and not frame.whole):
        texts.append(StripText("line", frame.line or frame.prompt, REGULAR, True))
    if frame.turn and not hidden:
        texts.insert(0, StripText("turn", partner_words(frame.turn), BOLD))
    if frame.note and (hidden or not frame.over):
        texts.insert(0, StripText("note", frame.note, BOLD))
    return [each for each in texts if each.text]


def keeps_line(frame: WallFrame) -> bool:
    """Whether the class's line or the prompt is what the strip is for: there is no time, or partners talk."""
    timeless = frame.face == "hidden" or (frame.digits is None and not frame.whole)
    return timeless or bool(frame.turn)


def partner_words(turn: int) -> str:
    """Whose turn it is."""
    return _("First partner") if turn == 1 else _("Second partner")


def _row(
    frame: WallFrame, width: int, height: int, lines: list[Mark], texts: list[StripText]
) -> tuple[Mark, ...]:
    """One row: squares, digits, words."""
    x = gap = height * 0.3
    marks = lines
    hidden = frame.face == "hidden"
    if frame.whole and not hidden:
        side, rows, block = _strip_squares(frame.whole, frame.last, width, height)
        flat = rows == 1
        y = (height - block[1]) / 2
        marks += place_squares(frame, side, max(1, ceil(frame.whole / 5)), x, y, flat)
        x += block[0] + gap * (0.6 if frame.turn else 1.3)
    if frame.turn and not hidden:
        side = floor(height * 0.7)
        marks.append(Head(around(x, (height - side) / 2, side, side), faces_left=bool(frame.whole)))
        x += side + gap
    if frame.over and not hidden and frame.note:
        note = fit(frame.note, width * 0.3, height, share_px(0.8, height), share_px(LEAST_LINE, height), BOLD)
        marks.append(Words(around(x, (height - note.height) / 2, note.width, note.height), note, part="note"))
        x += note.width + gap * 1.6
    elif frame.digits is not None and not hidden:
        size = fit_cells(time_shape(frame), width * 0.3, 0.62 * height, BOLD)
        size = fit_cells(digit_shape(frame.digits), size.width, size.cap_height + 0.01, BOLD)
        marks += digit_marks(frame.digits, size, x, (height - size.cap_height) / 2, frame.waiting)
        x += size.width + gap * 1.3
    kept = keeps_line(frame)
    # A few words of a sentence say nothing beside the time.
    whole = ("line", "title") if frame.groups or frame.prompt else ("line",)
    for text, setting, left in texts_along(
        texts, x, width - gap, height, largest=0.8, gap=0.39, whole=whole, kept=kept
    ):
        box = around(left, (height - setting.height) / 2, setting.width, setting.height)
        marks.append(Words(box, setting, text.quiet, part=text.part))
    return tuple(marks)


def _strip_squares(whole: int, last: int, width: int, height: int) -> tuple[int, int, tuple[int, int]]:
    """Side, rows and block size: one row of fives while it leaves room for words, else ten-frames."""
    room = width * (0.38 if whole <= 20 else 0.45)
    fives = ceil(whole / FRAME_COLUMNS)
    units = whole + (whole - 1) * INNER_GAP + (fives - 1) * (FRAME_GAP - INNER_GAP)
    in_one_row = min(ONE_ROW * height, room / units)
    frames = ceil(whole / FRAME_SQUARES)
    in_two_rows = min(TWO_ROWS * height, room / (frames * (FRAME_COLUMNS + 4 * INNER_GAP + FRAME_GAP)))
    if whole <= FRAME_COLUMNS or in_one_row >= in_two_rows * 1.2:
        side = max(4, floor(in_one_row))
        inner, between = gaps(side)
        high = block_size(1, whole, side, 1, last)[1] if whole == 1 else side
        return side, 1, (whole * side + (whole - fives) * inner + (fives - 1) * between, high)
    side = max(4, floor(in_two_rows))
    inner, _between = gaps(side)
    block_width, block_height = block_size(FRAME_SQUARES, whole, side, frames)
    missing = FRAME_COLUMNS - min(FRAME_COLUMNS, (whole - 1) % FRAME_SQUARES + 1)
    return side, 2, (block_width - missing * (side + inner), block_height)

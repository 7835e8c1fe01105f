"""The second half on the Wall: the time on the left, and on the right where each group is or goes."""

from math import ceil, floor

from pacer.frames.wall import WallFrame
from pacer.qt.kit.theme import BOLD, REGULAR
from pacer.qt.kit.type_setting import fit, fit_cells
from pacer.qt.wall.marks import Box, Line, Mark, Shape, Words, around, share_px
from pacer.qt.wall.time import (
    MARGIN,
    NOTE_GAP,
    ROW,
    digit_marks,
    least_px,
    place_squares,
    time_shape,
    time_sizes,
)
from pacer.text import _

TIME_SHARE = 0.44  # of the width: the time; the groups have the rest
LARGEST_NAME, LARGEST_PLACE = 0.075, 0.062  # capitals over the picture's height
SIGN = 0.62  # a sign's side over its row's height
ONE_COLUMN = 6  # more groups than these stand in two


def groups_marks(frame: WallFrame, place: Box, unit: float) -> tuple[Mark, ...]:
    """Lay out time and groups within a place, between the title and what comes next."""
    margin = MARGIN * unit
    if frame.digits is None and not frame.whole:
        return _groups(frame, place, unit)
    left = Box(place.x, place.y, floor(place.width * TIME_SHARE - margin / 2), place.height)
    x = ceil(place.x + place.width * TIME_SHARE + margin / 2)
    right = Box(x, place.y, place.x + place.width - x, place.height)
    rule = Line(around(x - margin * 0.6, place.y, max(1.0, 0.0025 * unit), place.height))
    return (*_time(frame, left, unit), rule, *_groups(frame, right, unit))


def _time(frame: WallFrame, box: Box, unit: float) -> tuple[Mark, ...]:
    """The digits over the minute squares; "Finish up" in the digits' place once they are over."""
    least = least_px(frame.least_share, unit)
    marks: list[Mark] = []
    row = ROW * frame.least_share * unit
    note_room = row + NOTE_GAP * unit
    room = box.height - note_room
    shape = time_shape(frame)
    digits = None
    if shape:
        digits = fit_cells(shape, box.width, room * (0.42 if frame.whole else 0.7), BOLD)
    used = 0.0 if digits is None else digits.cap_height + 0.05 * unit
    y = float(box.y)
    if frame.over:
        words = fit(frame.note or "", box.width, room, share_px(0.16, unit), least, BOLD, 2)
        marks.append(Words(around(box.x, y, box.width, words.height), words, part="note"))
        y += max(used, words.height + 0.03 * unit)
    elif digits is not None:
        marks += digit_marks(
            frame.digits or "", digits, box.x - digits.px * 0.03, y + 0.01 * unit, frame.waiting
        )
        y += used
    if frame.whole:
        sizes = time_sizes(frame.whole, "", box.width, (box.y + room - y) / 0.42, 0.0)
        marks += place_squares(frame, sizes.square, sizes.columns, box.x, y)
    if frame.note and not frame.over:
        note = fit(frame.note, box.width, row * 1.1, max(least, share_px(0.09, unit)), least, BOLD)
        top = box.y + box.height - note.height
        marks.append(Words(around(box.x, top, box.width, note.height), note, part="note"))
    return tuple(marks)


def _groups(frame: WallFrame, box: Box, unit: float) -> tuple[Mark, ...]:
    """A row for each group: its sign, its name, and where it is or goes."""
    columns = 1 if len(frame.groups) <= ONE_COLUMN else 2
    rows = ceil(len(frame.groups) / columns)
    width, height = box.width / columns, min(box.height / max(1, rows), 0.3 * unit)
    least = least_px(frame.least_share, unit)
    largest = {"name": share_px(LARGEST_NAME * ROW, unit), "place": share_px(LARGEST_PLACE * ROW, unit)}
    marks: list[Mark] = []
    for number, group in enumerate(frame.groups):
        column, row = divmod(number, rows)
        x, y = box.x + column * width, box.y + row * height
        side = floor(min(height * SIGN, 0.15 * unit))
        marks.append(Shape(Box(floor(x), floor(y + (height - side) / 2), side, side), group.shape))
        x += side + 0.03 * unit
        inner = box.x + (column + 1) * width - x - (0.02 * unit if column + 1 < columns else 0)
        where = group.place if group.goes_to in ("", group.place) else _("{place}, then {next}").format(
            place=group.place, next=group.goes_to
        )  # fmt: skip
        lines = ((group.name, BOLD, "name"), (where, REGULAR, "place"))
        settings = [
            (fit(text, inner, height / 2, max(least, largest[part]), least, weight), part)
            for text, weight, part in lines
            if text
        ]
        y += (height - sum(setting.height for setting, _part in settings)) / 2
        for setting, part in settings:
            box_of = around(x, y, inner, setting.height)
            marks.append(Words(box_of, setting, part == "place", part=f"{part}-{number + 1}"))
            y += setting.height
    return tuple(marks)

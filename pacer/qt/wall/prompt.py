"""The share on the Wall: what it asks in large letters, and the time in a row below."""

from functools import lru_cache
from math import floor

from pacer.frames.wall import WallFrame
from pacer.qt.kit.theme import BOLD, MEDIUM, SEMIBOLD
from pacer.qt.kit.type_setting import Setting, fit, fit_whole, is_whole
from pacer.qt.wall.group_time import time_row
from pacer.qt.wall.marks import Box, Line, Mark, Words, around, share_px
from pacer.qt.wall.time import MARGIN, ROW, TOP, least_px, unit_of
from pacer.text import _

TITLE, PROMPT = 0.085, 0.17  # of letters over the picture's height
LINES = 12
TIME, LOW_TIME = 0.3, 0.2  # of the height, beside a short and a long prompt
SHORT = 0.09  # letters of a short prompt are no smaller beside the larger time


def prompt_marks(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    """Lay out title, prompt, time and the one word beside it."""
    unit = unit_of(width, height)
    margin, least = MARGIN * unit, least_px(frame.least_share, unit)
    inner = width - 2 * margin
    title = fit(frame.title, inner, unit, max(least, share_px(TITLE, unit)), least, SEMIBOLD)
    top = TOP * unit
    marks: list[Mark] = [Words(around(margin, top, title.width, title.height), title, True, part="title")]
    top += title.height + 0.01 * unit
    prompt, high = _prompt(frame.prompt, inner, height - top - 0.06 * unit, unit, frame.least_share)
    below = height - 0.03 * unit - high
    y = top + max(0.0, (below - 0.03 * unit - top - prompt.height) / 2)
    marks.append(Words(around(margin, y, prompt.width, prompt.height), prompt, part="line"))
    band = Box(floor(margin), floor(below), floor(inner), floor(high))
    time, x = time_row(frame, band, unit, wide=True)
    text, quiet = (frame.note, False) if frame.note else (frame.next_title, True)
    if text and not frame.note:
        text = _("Next: {title}").format(title=text)
    rule = Line(around(margin, below - 0.015 * unit, inner, max(1.0, 0.0025 * unit)))
    marks += [rule, *time]
    if text:
        weight = MEDIUM if quiet else BOLD
        room, most = x - 0.05 * unit - margin, max(least, share_px(0.1, unit))
        # Two lines if that is all of it, else three.
        tried = (fit(text, room, high, most, least, weight, lines) for lines in (2, 3))
        word = next((each for each in tried if is_whole(each, text)), None)
        word = word or fit(text, room, high, most, least, weight, 2)
        y = below + (high - word.height) / 2
        box = around(margin, y, word.width, word.height)
        marks.append(Words(box, word, quiet, part="next" if quiet else "note"))
    return tuple(marks)


@lru_cache(maxsize=16)
def _prompt(text: str, width: float, room: float, unit: float, least_share: float) -> tuple[Setting, float]:
    """The prompt as large as it fits, and the height that the time then has."""
    least, low = least_px(least_share, unit), max(LOW_TIME, 2 * ROW * least_share)
    for high, least_now in ((max(TIME, low), max(least, share_px(SHORT, unit))), (low, least)):
        setting = fit(
            text, width, room - high * unit, max(least_now, share_px(PROMPT, unit)), least_now, BOLD, LINES
        )
        if is_whole(setting, text):
            return setting, high * unit
    return fit_whole(text, width, room - low * unit, least, least, BOLD, LINES), low * unit

"""The Desk's far page, for three metres: who, which state, how long, until when, who pays, what is next."""

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from math import ceil

from PySide6.QtCore import QRectF

from pacer.frames.desk import DeskFrame
from pacer.qt.desk.marks import DeskText
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import CELL_PAD, Cells, Setting, digit_shape, fit, fit_cells

# Shares of the height, measured on capitals. At 3 m and a picture 188 mm high, 17.5 mm are 20 minutes of
# arc and 10.5 mm are 12: nothing on the far page is smaller than that (own table of sizes).
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
CAP_OFFSET = 0.93 - theme.CAP_SHARE  # from the top of a line to the top of its capitals, over its size


FarWords = tuple[str, str, str, str, str, str, bool]


def far_words(frame: DeskFrame) -> FarWords:
    """What the texts of the far page say; they stay the same objects while that does."""
    return (
        frame.phase_title, frame.word, frame.headline, frame.under, frame.under_short, frame.next_title,
        frame.stage in ("ready", "ended"),
    )  # fmt: skip


@lru_cache(maxsize=32)
def far_texts(words: FarWords, next_label: str, size: tuple[float, float]) -> tuple[DeskText, ...]:
    """All of the far page but the number, for its width and height in pixels."""
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


def number_cells(frame: DeskFrame, far: QRectF) -> tuple[tuple[tuple[QRectF, str], ...], Cells | None]:
    """The number, a box for each character, and the cells they were made from; none without a number."""
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

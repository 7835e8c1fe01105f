"""The Desk's far page, for three metres: fixed rows, each of one size and at one place in every state."""

from functools import lru_cache
from math import ceil
from typing import NamedTuple, get_args

from PySide6.QtCore import QRect, QRectF

from pacer.frames.desk import DeskFrame
from pacer.frames.words import wording
from pacer.pace.stages import Stage
from pacer.qt.desk.marks import DeskText
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import (
    CELL_PAD,
    Cells,
    Setting,
    cell_ink,
    clean,
    digit_shape,
    fit,
    fit_cells,
    whole_words,
)
from pacer.text import _

# Shares of the height, measured on capitals. At 3 m and a picture 188 mm high, 35 mm are 40 minutes of arc,
# 17.5 mm are 20 and 10.5 mm are 12: nothing on the far page is smaller than that (own table of sizes).
LEAST_FAR = 10.5 / 188 / theme.CAP_SHARE
EASY_FAR = 17.5 / 188
NUMBER_CAP = 35.2 / 188
WORD_CAP = 0.186  # at most; the longest word of all states decides for all of them
MARGIN, NARROW_MARGIN = 0.042, 0.05  # of the height, of the width: the lesser counts
# Baselines of the rows, whatever the words are. Between two lines there is room for the letters that hang
# down and those that stand up; the edges of the filled area lie in the gaps after headline and word.
BASELINES = {
    "title": 0.084, "word": 0.238, "number": 0.451, "headline": 0.568, "price_1": 0.707, "price_2": 0.8375,
    "next": 0.9685,
}  # fmt: skip
LEVEL_SHARES = (0.0, 1 - 0.602, 1 - 0.251, 1.0)  # of the far page, filled from the bottom
# Of what lies over the last row, or the last two: below all letters of the row above.
BAND_TOPS = 0.8685, 0.738
WIDE_ENOUGH = 1.184  # width over height for which the rows are as large as they shall be

FarWords = tuple[str, str, str, str, tuple[str, ...], str, str]
"""Title, word, headline whole and short, payers, the sentence under it all, and what comes next."""


def far_words(frame: DeskFrame) -> FarWords:
    """What the texts of the far page say; they stay the same objects while that does."""
    return (
        frame.phase_title, frame.word, frame.headline, frame.headline_short, frame.payers, frame.under,
        frame.next_title,
    )  # fmt: skip


def far_margin(far: QRectF) -> float:
    """Pixels that words keep from the edges of the far page."""
    return min(far.height() * MARGIN, far.width() * NARROW_MARGIN)


@lru_cache(maxsize=32)
def far_texts(words: FarWords, next_label: str, size: tuple[float, float]) -> tuple[DeskText, ...]:
    """All of the far page but the number, for its width and height in pixels; what is empty is left out."""
    title, word, headline, short, payers, under, next_title = words
    headlines = tuple(filter(None, (headline, short)))
    rows = _FarRows(QRectF(0, 0, *size))
    made = [
        rows.text("title", (title,), theme.SEMIBOLD, rows.least),
        rows.text("word", (word,), theme.BOLD, rows.word_px),
        rows.text("headline", headlines, theme.BOLD, rows.easy),
    ]
    if payers:
        first, second = _price_lines(payers)
        made.append(rows.text("price_1", first, theme.REGULAR, rows.easy, kept=2))
        made.append(rows.text("price_2", second, theme.REGULAR, rows.easy, kept=2))
    else:
        made += rows.two_lines(under)
    label = fit(next_label, rows.room, rows.height, rows.easy, rows.easy, theme.REGULAR)
    beside = label.width + rows.easy * 0.5
    found = rows.text("next", (next_title,), theme.REGULAR, rows.easy, beside)
    if found is not None:
        if found.setting.px < label.px:
            label = fit(next_label, rows.room, rows.height, found.setting.px, found.setting.px, theme.REGULAR)
        made += [rows.at("next_label", label), found]
    return tuple(text for text in made if text is not None)


def _price_lines(payers: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What both lines of the price may say, the best first: one payer below a heading, two a line each."""
    if len(payers) == 1:
        return (_("1 more min:"),), payers
    return (_("1 min: {payer}", payer=payers[0]), payers[0]), (payers[1],)


class _FarRows:
    """The rows of a far page: their sizes in pixels, which depend on the window alone."""

    def __init__(self, far: QRectF) -> None:
        self.margin = far_margin(far)
        self.room, self.height = far.width() - 2 * self.margin, far.height()
        self.least = ceil(LEAST_FAR * self.height)
        narrow = min(1.0, self.room / (WIDE_ENOUGH * self.height))
        self.easy = max(self.least, ceil(EASY_FAR / theme.CAP_SHARE * self.height * narrow))
        largest = ceil(WORD_CAP / theme.CAP_SHARE * self.height)
        self.word_px = min(
            fit(wording.stage_word(stage), self.room, self.height, largest, self.least, theme.BOLD).px
            for stage in get_args(Stage)
        )

    def at(self, part: str, setting: Setting, x: float = 0) -> DeskText:
        """A line on the baseline of its row, so far from the margin."""
        y = BASELINES[part.removesuffix("_label")] * self.height - setting.ascent
        width = setting.width if part == "next_label" else self.room - x
        return DeskText(part, QRectF(self.margin + x, y, width, setting.height), setting)

    def text(
        self, part: str, texts: tuple[str, ...], weight: int, px: int, x: float = 0, kept: int = 1
    ) -> DeskText | None:
        """The first of some texts that fits its row; else as many words of the last as do.

        One word that is too long by itself is set smaller, and at last cut.
        """
        if not any(texts):
            return None
        room = max(1.0, self.room - x)
        for text in texts:
            found = whole_words(text, room, px, weight, len(text.split()))
            if found is not None:
                return self.at(part, found, x)
        for size in range(px, self.least - 1, -1):
            found = whole_words(texts[-1], room, size, weight, kept)
            if found is not None:
                return self.at(part, found, x)
        return self.at(part, fit(texts[-1], room, self.height, self.least, self.least, weight), x)

    def two_lines(self, text: str) -> list[DeskText | None]:
        """A text that is no price in the place of the price, in the largest type that holds all of it."""
        words = clean(text).split()
        if not words:
            return []
        for px in range(self.easy, self.least - 1, -1):
            first = whole_words(text, self.room, px, theme.REGULAR, trimmed=" ")
            if first is None:
                continue
            rest = " ".join(words[len(first.lines[0].split()) :])
            if not rest:
                return [self.at("price_1", first)]
            second = whole_words(rest, self.room, px, theme.REGULAR, len(rest.split()))
            if second is not None or px == self.least:
                return [self.at("price_1", first), self.text("price_2", (rest,), theme.REGULAR, px)]
        return [self.text("price_1", (text,), theme.REGULAR, self.easy)]


class DigitCell(NamedTuple):
    """A character of the number in its cell, and the pixels that it may touch."""

    box: QRectF
    ink: QRect
    char: str


def number_cells(frame: DeskFrame, far: QRectF) -> tuple[tuple[DigitCell, ...], Cells | None]:
    """The number, a cell for each character, and what they were made from; none without a number."""
    if not frame.number:
        return (), None
    boxes, made = _number_boxes(digit_shape(frame.number), far.width(), far.height())
    return tuple(DigitCell(*box, char) for box, char in zip(boxes, frame.number, strict=True)), made


@lru_cache(maxsize=8)
def _number_boxes(shape: str, width: float, height: float) -> tuple[tuple[tuple[QRectF, QRect], ...], Cells]:
    far = QRectF(0, 0, width, height)
    margin = far_margin(far)
    room = far.width() - 2 * margin
    # As large in every state: a time past the budget decides, but for ten minutes and more on a narrow page.
    longest = fit_cells("+0:00", room, NUMBER_CAP * far.height(), theme.BOLD)
    made = fit_cells(shape, room, longest.cap_height + 0.01, theme.BOLD)
    pad = made.px * CELL_PAD
    bottom = BASELINES["number"] * far.height()
    x, placed = margin - made.px * 0.03, []
    for wide in made.widths:
        placed.append(QRectF(x, bottom - made.cap_height - pad, wide, made.cap_height + 2 * pad))
        x += wide
    return tuple((box, cell_ink(box, made.px)) for box in placed), made

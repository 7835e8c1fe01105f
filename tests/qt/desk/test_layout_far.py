"""The far page in every shape of window: no line is cut, none meets another, no edge is drawn through one."""

from dataclasses import replace
from itertools import pairwise

import pytest
from PySide6.QtCore import QSize

from pacer.frames.desk import DeskFrame
from pacer.pace.stages import LEVELS
from pacer.qt.desk.changes import changed_desk_area
from pacer.qt.desk.layout import desk_layout, filled_area, notice_height
from pacer.qt.desk.marks import DeskText

pytestmark = pytest.mark.usefixtures("dressed")
SIZES = [QSize(1024, 768), QSize(1366, 768), QSize(1920, 1080), QSize(960, 540), QSize(1280, 1024)]
FRAME = DeskFrame(
    "closing", "CLOSING", 1, phase_title="Triangle, visit 1 of 3", number="0:29",
    headline="swap by 9:40", under="1 more min: 17 s a group", next_title="Hexagon", part="half",
)  # fmt: skip
TWO = {
    "under": "1 more min: 0:45 Model + 0:15 Vocabulary", "under_short": "1 more min: 0:45 Model + others",
}  # fmt: skip
WORDS = {
    "visit": {},
    "short": {"headline": "swap now", "under": "1 more min: 1:00 gyp", "next_title": "gypsum"},
    "one pays": {"under": "1 more min: Hexagon’s visit"},
    "two pay": TWO,
    "share": {"headline": "clean up at 10:14", "under": "1 more min: 1:00 clean-up", "next_title": "Tidy"},
    "mini lesson": {"headline": "move by 10:14, in 12 min"} | TWO,
    "last": {"headline": "the bell was due", "under": "1 more min: 1:00 past the end", "next_title": ""},
}  # fmt: skip


def frames() -> dict[str, DeskFrame]:
    return {
        f"{name}, {stage}": replace(FRAME, stage=stage, word=stage.upper(), level=level, **words)
        for name, words in WORDS.items()
        for level, stage in enumerate(LEVELS)
    }


def spans(texts: tuple[DeskText, ...]) -> list[tuple[float, float, str]]:
    """From its tallest letter to its deepest, what each line of the far page takes."""
    found = []
    for text in texts:
        if text.part not in ("title", "word", "headline", "under", "next"):
            continue
        for number, line in enumerate(text.setting.lines):
            baseline = text.box.top() + text.setting.ascent + number * text.setting.line_height
            tall = 0.75 if set(line) & set("bdfhkltij’") else 0.7
            deep = 0.22 if set(line) & set("gjpqy,") else 0.0
            px = text.setting.px
            found.append((baseline - tall * px, baseline + deep * px, text.part))
    return sorted(found)


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", frames())
def test_lines_stand_apart_whole_and_no_edge_crosses_one(name: str, size: QSize):
    frame = frames()[name]
    made = desk_layout(frame, size)
    far = [text for text in made.texts if text.box.left() < made.far.right()]
    assert not [text.part for text in far if text.setting.elided]
    lines = spans(made.texts)
    lines += [(box.top(), box.bottom(), "number") for box, _char in made.number[:1]]
    # A digit's cell has a pad above and below.
    pad = made.number[0][0].height() - made.number_cells.cap_height
    lines[-1] = (lines[-1][0] + pad / 2, lines[-1][1] - pad / 2, "number")
    lines.sort()
    for (_top, bottom, part), (top, _bottom, other) in pairwise(lines):
        assert bottom <= top, (part, other)
    assert lines[-1][1] <= size.height()
    edge = made.area.top()
    if 0 < frame.level < 3:
        assert not [part for top, bottom, part in lines if top < edge < bottom]
        thick = max(2, round(size.height() * 0.003))
        assert not [part for top, bottom, part in lines if top < edge + thick < bottom]


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", frames())
def test_lines_of_one_text_stand_closer_than_those_of_two(name: str, size: QSize):
    """What belongs together is together: measured from a line's foot to the capitals of the next."""
    parts = ("headline", "under", "next")
    lines = []
    for text in (text for text in desk_layout(frames()[name], size).texts if text.part in parts):
        for number in range(len(text.setting.lines)):
            foot = text.box.top() + text.setting.ascent + number * text.setting.line_height
            lines.append((foot - text.setting.cap_height, foot, text.part))
    gaps = [(top - foot, part == other) for (_, foot, part), (top, _, other) in pairwise(sorted(lines))]
    within, between = ([gap for gap, same in gaps if same is wanted] for wanted in (True, False))
    assert not within or not between or max(within) < min(between)


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_the_edge_stays_where_it_is_while_numbers_change_and_is_painted_anew_where_it_moves(size: QSize):
    later = replace(FRAME, number="0:28", under="1 more min: 18 s a group")
    assert filled_area(later, size) == filled_area(FRAME, size)
    moved = replace(FRAME, headline="move by 10:14, in 12 min", **TWO)
    if filled_area(moved, size) != filled_area(FRAME, size):
        whole = changed_desk_area(FRAME, moved, size)
        assert [(area.width(), area.height()) for area in whole] == [(size.width(), size.height())]


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("headline", ["Bell on time", "Bell 14 min early", "Groups can start"])
def test_once_it_is_over_all_words_stand_above_the_notice(headline: str, size: QSize):
    frame = DeskFrame(
        "ended", "ENDED", 0, phase_title="Fractions", number="10:15", headline=headline,
        under="Owed most: Hexagon 13:00", part="over",
    )  # fmt: skip
    made = desk_layout(frame, size)
    assert not [text.part for text in made.texts if text.setting.elided]
    assert max(bottom for _top, bottom, _part in spans(made.texts)) <= size.height() - notice_height(
        size.height()
    )


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("stage", ["ready", "ended"])
def test_before_and_after_the_lesson_its_title_stands_whole(stage: str, size: QSize):
    """Nobody has to read the state at a glance then, so a long title may take two lines."""
    frame = DeskFrame(
        stage, stage.upper(), 0, phase_title="Fractions on a number line, day 2", number="25:00",
        headline="Press Space to start", next_title="Skip count",
    )  # fmt: skip
    made = desk_layout(frame, size)
    assert "title" not in [text.part for text in made.texts if text.setting.elided]
    lines = spans(made.texts)
    assert all(bottom <= top for (_, bottom, _), (top, _, _) in pairwise(lines))

"""The table list on the Desk: told by shape, whole where there is room, what is done going first."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QRectF, QSize

from pacer.frames.desk import DeskFrame
from pacer.frames.desk_tape import TapeRow
from pacer.qt.desk.changes import changed_desk_area
from pacer.qt.desk.layout import desk_layout
from pacer.qt.desk.targets import target_boxes

ROWS = tuple(TapeRow(name, 780, 0) for name in ("Circle", "Triangle", "Hexagon"))
FRAME = DeskFrame(
    "steady", "STEADY", 0, phase_title="Circle, visit 1 of 3", number="10:00", tape=ROWS, part="half"
)
SIZES = [QSize(960, 540), QSize(1366, 768), QSize(1920, 1080)]


def listed(frame: DeskFrame, size: QSize):
    return [text for text in desk_layout(frame, size).texts if text.part.startswith("check")]


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_line_has_a_box_beside_it_and_a_tick_repaints_it(dressed, size):
    frame = replace(FRAME, checks=(("Problem 3", False), ("Review", True)))
    head, *lines = listed(frame, size)
    assert head.tick is None
    assert [line.tick for line in lines] == [False, True]
    assert all(line.tick_box.right() < line.box.left() for line in lines)
    ticked = replace(frame, checks=(("Problem 3", True), ("Review", True)))
    areas = changed_desk_area(frame, ticked, size)
    assert any(area.contains(lines[0].tick_box.toAlignedRect()) for area in areas)


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_of_a_long_list_the_open_lines_are_shown_and_the_rest_is_counted(dressed, size):
    checks = tuple((f"Line {number}", number % 2 == 0) for number in range(60))
    _head, *lines, more = listed(replace(FRAME, checks=checks), size)
    assert {line.tick for line in lines} == {False}
    assert more.part == "checks_more"
    assert f"{30 - len(lines)} more" in more.setting.lines[0]


def test_the_targets_of_this_half_lie_apart(dressed):
    for offers in (("next", "pause", "missed", "undo", "end"), ("next", "go-on", "keep", "undo", "bell-now")):
        boxes = list(target_boxes(offers, QRectF(0, 0, 300, 200)).values())
        assert not any(a.intersects(b) for n, a in enumerate(boxes) for b in boxes[n + 1 :])


@pytest.mark.parametrize("size", SIZES[1:], ids=str)
@pytest.mark.parametrize("open_lines", [1, 2, 9])
def test_what_is_ticked_next_is_seen_however_much_else_is_told(dressed, size, open_lines):
    """In a visit with a lost picture, another bell, a group out, and something that happened."""
    near = tuple(f"{number} is told in a line of some length" for number in range(7))
    checks = (("Done", True), *((f"Open {number}", False) for number in range(open_lines)))
    frame = replace(FRAME, near=near, checks=checks, notice="Moon: no visit today. Ctrl+Z takes it back")
    texts = {text.part: text for text in desk_layout(frame, size).texts}
    assert texts["check_1"].setting.lines == ("Open 0",)
    assert {"near_0", "near_1", "near_2"} <= set(texts)


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_no_line_is_cut_with_dots(dressed, size):
    """A long line is set smaller, then loses words; where there is room it takes two lines."""
    words = "Review problem {} once more, with strips and with the line"
    checks = tuple((words.format(number), False) for number in range(9))
    lines = listed(replace(FRAME, checks=checks, near=("one", "two")), size)
    assert len(lines) > 2
    assert not [line.setting.lines for line in lines if "…" in "".join(line.setting.lines)]

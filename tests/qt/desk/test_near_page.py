"""The near page: her notes whole, all else in what they leave, and nothing cut in any window."""

from dataclasses import replace
from typing import get_args

import pytest
from PySide6.QtCore import QRectF, QSize

from pacer.frames.desk import DeskFrame
from pacer.frames.desk_tape import TapeRow
from pacer.frames.words.wording import stage_word
from pacer.pace.stages import LEVELS, Stage
from pacer.qt.desk.band import lay_band
from pacer.qt.desk.layout import desk_layout
from pacer.qt.desk.sheet import Sheet, lay_sheet
from pacer.qt.desk.tapes import column_layout

pytestmark = pytest.mark.usefixtures("dressed")
SIZES = [
    QSize(960, 540), QSize(1366, 768), QSize(1280, 720), QSize(1920, 1080), QSize(1024, 768), QSize(683, 384),
    QSize(3840, 2160),
]  # fmt: skip
ROWS = (
    TapeRow("Skip count", 120, 118), TapeRow("Review", 180, 250),
    TapeRow("Modeling", 420, 192, True, now_s=345), TapeRow("Vocabulary with pictures", 180, 0, now_s=120),
    TapeRow("Guided practice in pairs", 480, 0),
    TapeRow("Look back", 120, 0),
)  # fmt: skip
FRAME = DeskFrame(
    "steady", "STEADY", 0, phase_title="Modeling on the number line", number="3:48",
    headline="move by 10:14, in 12 min", headline_short="move by 10:14",
    under="1 more min: 0:45 Guided practice in pairs + 0:15 Look back",
    payers=("0:45 Guided practice in pairs", "+ 0:15 Look back"), next_title="Vocabulary with pictures",
    clock="9:10", outlook="groups at 9:27", tape=ROWS,
    near=("Groups keep 3 × 12:30", "Your talk without a break: 4:10", "Stuck on problem: 2 (3), 5 (1)"),
)  # fmt: skip
NOTE = "Ask table 3 where 5/4 lies before anybody says it, and wait for three hands."
NOTES = {"none": "", "one": NOTE, "six": "\n".join([NOTE] * 6), "long": "\n".join([NOTE] * 14)}
NOTICES = [
    "",
    "Vocabulary with pictures −1:00, Guided practice in pairs −1:30, Look back −0:30: K keep, U undo",
    "Too short: Vocabulary with pictures to the table, Look back to tomorrow. K keep, U undo.",
    "Visits get short. K: Hexagons and friends on another day, then 2 × 12:45",
    "This computer's clock was set: the times of day moved with it, and nothing else.",
]
LOUD = [
    "Keys go to another program. Click here.",
    "Enter closes. Page Up takes it back.",
    "The Wall was put away, and the class does not see it. W brings it back.",
    "Not saved yet: The disk is full. The lesson goes on.",
    "Nothing was pressed in the last 10 s. Hold the key to go back one phase.",
    "3 presses are not saved: The disk is full. Once more leaves without saving.",
]


def frames():
    for stage in get_args(Stage):
        level = LEVELS.index(stage) if stage in LEVELS else 0
        for notes in NOTES.values():
            for notice in NOTICES:
                yield replace(
                    FRAME, stage=stage, word=stage_word(stage), level=level, notes=notes, notice=notice
                )


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_nothing_on_the_desk_is_cut_with_dots_in_any_state_with_any_notice(size: QSize):
    for frame in frames():
        made = desk_layout(frame, size)
        cut = [(text.part, text.setting.lines) for text in made.texts if text.setting.elided]
        assert not cut
        inside = [text.part for text in made.texts if text.box.bottom() > size.height() + 1]
        assert not [part for part in inside if not part.startswith(("next", "price"))]
        for row in column_layout(frame.tape, made.tape, made.tape_px):
            assert row.label is None or not row.label[1].elided


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("stays", [True, False])
def test_no_answer_refusal_or_notice_over_the_last_rows_is_cut(size: QSize, stays: bool):
    far = QSize(round(size.width() * 0.72), size.height())
    for words in LOUD:
        made = lay_band(words, far, stays=stays)
        assert not made.setting.elided, words
        assert made.rect.contains(
            QRectF(made.box).adjusted(0, made.setting.px * 0.2, 0, -made.setting.px * 0.2)
        )


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_the_notes_stand_whole_and_the_rest_gives_way(size: QSize):
    def shown(frame: DeskFrame) -> str:
        texts = [text for text in desk_layout(frame, size).texts if text.part.startswith("notes_")]
        return " ".join(" ".join(text.setting.lines) for text in texts)

    for name in ("one", "six"):
        frame = replace(FRAME, notes=NOTES[name])
        assert shown(frame).split() == NOTES[name].split(), name
        assert not desk_layout(frame, size).notes_cut
    tall = {
        name: desk_layout(replace(FRAME, notes=notes), size).tape.height() for name, notes in NOTES.items()
    }
    assert tall["none"] >= tall["one"] >= tall["six"] >= tall["long"]


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_notes_that_no_page_holds_are_shown_large_by_a_key_that_is_named_beside_them(size: QSize):
    frame = replace(FRAME, notes="\n".join([NOTE] * 40))
    made = desk_layout(frame, size)
    assert made.notes_cut
    (hint,) = (text for text in made.texts if text.part == "hint")
    assert "F2" in " ".join(hint.setting.lines)
    few = "\n".join([NOTE] * (14 if size.width() > 700 else 9))
    rect, lines = lay_sheet(Sheet(notes=few), size)
    said = " ".join(" ".join(setting.lines) for _box, setting in lines)
    assert said.split() == few.split()
    assert all(rect.contains(box) for box, _setting in lines)


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_thirty_phases_are_drawn_to_scale_and_what_comes_next_is_named(size: QSize):
    rows = tuple(TapeRow(f"Part {n}", 50, 50 * (n < 12), n == 12) for n in range(1, 31))
    made = desk_layout(replace(FRAME, tape=rows, notes=NOTE), size)
    column = column_layout(rows, made.tape, made.tape_px)
    assert len(column) == 30
    assert column[11].label is not None
    named = [number for number, row in enumerate(column, 1) if row.label is not None]
    assert len(named) >= min(30, int(made.tape.height() / (made.tape_px * 1.3)) // 2)
    later = [number for number in named if number > 12]
    assert later
    assert later[0] <= 12 + -(-made.tape_px * 1.2 // (made.tape.height() / 30))


def test_a_part_that_gets_less_or_more_than_planned_says_both():
    made = column_layout(ROWS, QRectF(0, 0, 300, 500), 17)
    assert [row.figure[1].lines[0] for row in made[2:4]] == ["5:45 of 7", "2 of 3"]

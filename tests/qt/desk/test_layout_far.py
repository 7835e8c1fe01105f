"""The far page: fixed rows of one size in every state; no line is cut, none meets another."""

from dataclasses import replace
from itertools import pairwise
from typing import get_args

import pytest
from PySide6.QtCore import QSize

from pacer.frames.desk import DeskFrame
from pacer.frames.words.wording import stage_word
from pacer.pace.stages import LEVELS, Stage
from pacer.qt.desk.band import edge_of, lay_band
from pacer.qt.desk.changes import changed_desk_area
from pacer.qt.desk.far_page import EASY_FAR, LEAST_FAR, NUMBER_CAP
from pacer.qt.desk.layout import desk_layout, filled_area
from pacer.qt.desk.marks import DeskText
from pacer.qt.kit import theme

pytestmark = pytest.mark.usefixtures("dressed")
SIZES = [
    QSize(1024, 768), QSize(1366, 768), QSize(1920, 1080), QSize(960, 540), QSize(1280, 720),
    QSize(1280, 1024), QSize(3840, 2160),
]  # fmt: skip
FRAME = DeskFrame(
    "closing", "CLOSING", 1, phase_title="Triangle, visit 1 of 3", number="0:29",
    headline="swap by 9:40", under="1 more min: 17 s a group", payers=("17 s a group",),
    next_title="Hexagon", part="half",
)  # fmt: skip
TWO = {
    "under": "1 more min: 0:45 Modeling + 0:15 Vocabulary", "payers": ("0:45 Modeling", "+ 0:15 Vocabulary"),
}  # fmt: skip
MOVE = {"headline": "move by 10:14, in 12 min", "headline_short": "move by 10:14"}
WORDS = {
    "visit": {},
    "short": {"headline": "swap now", "payers": ("1:00 gyp",), "next_title": "gypsum"},
    "one pays": {"payers": ("Hexagon’s visit",)},
    "nobody pays": {"payers": ("costs nothing yet",)},
    "two pay": TWO,
    "share": {"headline": "clean up at 10:14", "payers": ("1:00 clean-up",), "next_title": "Tidy"},
    "mini lesson": MOVE | TWO,
    "last": {"headline": "the bell was due", "payers": ("1:00 past the end",), "next_title": ""},
    "cap": {"headline": "Modeling is past its 5:00 cap", "headline_short": "past its 5:00 cap"},
    "long": MOVE | {
        "phase_title": "Fractions on a number line, halves and fourths",
        "next_title": "Guided practice in pairs",
        "payers": ("0:45 Guided practice in pairs", "+ 0:15 Look back and share"),
    },
}  # fmt: skip
LONG_PARTS = ("title", "price_1", "price_2", "next")


def frames() -> dict[str, DeskFrame]:
    made = {}
    for name, words in WORDS.items():
        for stage in get_args(Stage):
            level = LEVELS.index(stage) if stage in LEVELS else 0
            made[f"{name}, {stage}"] = replace(
                FRAME, stage=stage, word=stage_word(stage), level=level, **words
            )
    return made


ALL = frames()


def rows(frame: DeskFrame, size: QSize) -> dict[str, DeskText]:
    made = desk_layout(frame, size)
    return {text.part: text for text in made.texts if text.box.left() < made.far.right()}


def spans(texts: dict[str, DeskText]) -> list[tuple[float, float, str]]:
    """From its tallest letter to its deepest, what each row of the far page takes."""
    found = []
    for part, text in texts.items():
        (line,) = text.setting.lines
        baseline, px = text.box.top() + text.setting.ascent, text.setting.px
        tall = 0.75 if set(line) & set("bdfhkltij’") else 0.7
        deep = 0.22 if set(line) & set("gjpqy,") else 0.0
        if part != "next_label":
            found.append((baseline - tall * px, baseline + deep * px, part))
    return sorted(found)


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_row_is_one_line_apart_from_the_others_and_no_edge_crosses_one(size: QSize):
    for name, frame in ALL.items():
        made = desk_layout(frame, size)
        lines = spans(rows(frame, size))
        pad = made.number[0][0].height() - made.number_cells.cap_height  # a digit's cell has one
        box = made.number[0][0]
        lines.append((box.top() + pad / 2, box.bottom() - pad / 2, "number"))
        lines.sort()
        for (_top, bottom, part), (top, _bottom, other) in pairwise(lines):
            assert bottom <= top, (name, part, other)
        assert lines[0][0] >= 0, name
        assert lines[-1][1] <= size.height(), name
        thick = max(2, round(size.height() * 0.003))
        edge = made.area.top()
        if 0 < frame.level < 3:
            crossed = [part for top, bottom, part in lines if top < edge + thick and bottom > edge]
            assert not crossed, name


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_each_row_has_one_place_and_one_size_in_every_state_and_for_all_words(size: QSize):
    """Words that are too long lose words at their end; none is set smaller for it."""
    for part in ("title", "word", "headline", "price_1", "price_2", "next"):
        found = {
            (round(text.box.top() + text.setting.ascent, 1), text.box.left(), text.setting.px)
            for name, frame in ALL.items()
            if part in (made := rows(frame, size))
            # On a page that is higher than wide enough for it a single long word is set smaller.
            for text in (made[part],)
            if size.width() / size.height() > 1.7 or " " in text.setting.lines[0]
        }
        places = {(baseline, px) for baseline, _left, px in found}
        assert len(places) == 1 or size.width() / size.height() < 1.7, (part, places)
        assert len({baseline for baseline, _px in places}) <= 1, (part, places)
    cells = {desk_layout(frame, size).number_cells for frame in ALL.values()}
    assert len({one.px for one in cells}) == 1


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_titles_are_shortened_by_whole_words_and_stand_whole_on_the_near_page(size: QSize):
    whole = {
        "title": WORDS["long"]["phase_title"], "price_1": WORDS["long"]["payers"][0],
        "price_2": WORDS["long"]["payers"][1], "next": WORDS["long"]["next_title"],
    }  # fmt: skip
    for stage in get_args(Stage):
        frame = replace(ALL[f"long, {stage}"], under="1 more min: all of them")
        texts = rows(frame, size)
        for part, text in whole.items():
            setting = texts[part].setting
            assert not setting.elided
            shown = setting.lines[0].removeprefix("1 min: ").split()
            assert text.replace(",", "").split()[: len(shown)] == [word.strip(",") for word in shown]
        assert texts["price_1"].setting.lines[0].removeprefix("1 min: ").startswith("0:45 Guided")
        assert texts["price_2"].setting.lines[0].startswith("+ 0:15 Look")
        near = [" ".join(text.setting.lines) for text in desk_layout(frame, size).texts]
        assert frame.phase_title in near
        assert frame.headline in near
        assert frame.under in near


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_where_more_than_two_pay_the_rows_add_up_and_the_near_page_names_them_all(size: QSize):
    frame = replace(
        ALL["mini lesson, steady"],
        under="1 more min: 0:30 Modeling + 0:15 Vocabulary + 0:15 Look back",
        payers=("0:30 Modeling", "+ 0:30 others"),
        payers_named=False,
    )
    texts = rows(frame, size)
    assert texts["price_1"].setting.lines[0].removeprefix("1 min: ") == "0:30 Modeling"
    assert texts["price_2"].setting.lines[0] == "+ 0:30 others"
    near = [" ".join(text.setting.lines) for text in desk_layout(frame, size).texts]
    assert frame.under in near
    assert frame.under not in [
        " ".join(t.setting.lines) for t in desk_layout(ALL["two pay, steady"], size).texts
    ]


@pytest.mark.parametrize("size", [size for size in SIZES if size.width() / size.height() > 1.7], ids=str)
def test_two_payers_move_by_and_next_are_read_from_three_metres_at_twenty_minutes_of_arc(size: QSize):
    """17.5 mm on a screen 188 mm high; the number 35 mm, 40 minutes; nothing under 10.5 mm, 12 minutes."""
    for stage in get_args(Stage):
        frame = ALL[f"mini lesson, {stage}"]
        texts = rows(frame, size)
        for part in ("headline", "price_1", "price_2", "next"):
            assert texts[part].setting.cap_height >= EASY_FAR * size.height() - 1, part
        assert "0:45 Modeling" in texts["price_1"].setting.lines[0]
        assert "0:15 Vocabulary" in texts["price_2"].setting.lines[0]
        assert texts["headline"].setting.lines == ("move by 10:14",)
        least = LEAST_FAR * theme.CAP_SHARE * size.height() - 0.01
        assert all(text.setting.cap_height >= least for text in texts.values())
        assert desk_layout(frame, size).number_cells.cap_height >= NUMBER_CAP * size.height() - 1


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_the_state_s_edge_stays_where_it_is_whatever_is_said(size: QSize):
    for level in range(4):
        tops = {filled_area(frame, size).top() for frame in ALL.values() if frame.level == level}
        assert len(tops) == 1
    later = replace(FRAME, number="0:28", payers=("18 s a group",))
    areas = changed_desk_area(FRAME, later, size)
    assert areas
    assert all(area.height() < size.height() / 3 for area in areas)


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("headline", ["Bell on time", "Bell 14 min early", "Groups can start"])
def test_once_it_is_over_what_happened_and_how_to_leave_are_read_side_by_side(headline: str, size: QSize):
    frame = DeskFrame(
        "ended", "ENDED", 0, phase_title="Fractions", number="10:15", headline=headline,
        under="Owed most: Hexagon 13:00", part="over",
    )  # fmt: skip
    texts = rows(frame, size)
    assert not [part for part, text in texts.items() if text.setting.elided]
    said = " ".join(texts[part].setting.lines[0] for part in ("price_1", "price_2") if part in texts)
    assert said == frame.under
    words = "Enter closes. Page Up takes it back."
    band = lay_band(words, QSize(round(size.width() * 0.72), size.height()), stays=True)
    assert not band.setting.elided
    if size.width() / size.height() > 1.7:
        assert max(bottom for _top, bottom, _part in spans(texts)) <= band.rect.top()


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_a_single_word_that_is_longer_than_the_page_is_cut_only_at_last(size: QSize):
    word = "Geschwindigkeitsgrenze"
    text = rows(replace(FRAME, phase_title=word), size)["title"]
    if size.width() / size.height() > 1.7:
        assert text.setting.lines == (word,)
    assert rows(replace(FRAME, phase_title="x" * 200), size)["title"].setting.elided


@pytest.mark.parametrize("stays", [True, False])
@pytest.mark.parametrize("size", SIZES, ids=str)
def test_an_answer_over_the_last_rows_meets_no_letter_of_the_row_above_nor_its_own_edge(
    size: QSize, stays: bool
):
    texts = rows(replace(FRAME, payers=("1:00 gyp", "+ 0:30 gypsy")), size)
    deepest = {part: bottom for _top, bottom, part in spans(texts)}
    far = QSize(desk_layout(FRAME, size).far.width(), size.height())
    for words, above in (
        ("Gypsy", "price_2"),
        ("Going lying", "price_2"),
        ("Page Up takes back the last press, " * 3, "price_1"),
    ):
        band = lay_band(words, far, stays=stays)
        px, count = band.setting.px, len(band.setting.lines)
        if above == "price_2" or band.rect.top() < size.height() * 0.8:
            assert band.rect.top() >= deepest[above]
        baseline = band.box.top() + band.setting.ascent
        if count == 1:
            # Lexend's tallest letters and its deepest, measured.
            assert baseline - (0.79 if "i" in words else 0.74) * px >= band.rect.top() + edge_of(far) - 1
            assert baseline + 0.23 * px <= size.height() + 1

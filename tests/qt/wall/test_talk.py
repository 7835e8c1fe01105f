"""Partner talk on the Wall: two fourths, whose turn it is, the prompt."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QRect, QSize
from PySide6.QtGui import QImage, QPainter

from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import digit_ink
from pacer.qt.paper.picture import draw
from pacer.qt.wall.layout import changed_area, wall_layout
from pacer.qt.wall.marks import Box, Head
from pacer.qt.wall.pictures import paint_head
from tests.qt.wall.wall_factories import SIZES, assert_tidy, hidden, pixels, talk, wall

pytestmark = pytest.mark.usefixtures("qapp")

LONG = "Wiederholung der Bruchrechnung am Zahlenstrahl mit Geschwindigkeitsbegrenzungen"
PROMPT = "The tens changed from ____ to ____ because I added two tens and took no ones away, so they stay."
TALKS = {
    "first": talk(28), "second": talk(14), "long prompt": talk(28, line=PROMPT),
    "no prompt": talk(28, line=""), "squares only": talk(14, digits=None),
    "digits only": talk(28, whole=0, full=0, fourths=0),
    "neither": talk(28, digits=None, whole=0, full=0, fourths=0),
    "two minutes": wall(2, 100, title="Partner talk", line="Which is larger, 2/3 or 3/4?", turn=1),
    "eight minutes": wall(8, 400, title="Partner talk", line=LONG, turn=1),
    "right to left": talk(28, line="ما هو الكسر الأكبر؟ 2/3 أو 3/4"),
    "paused": talk(28, waiting=True, note="Wait"),
}  # fmt: skip


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", TALKS)
def test_partner_talk_says_whose_turn_it_is_beside_large_time(name: str, size: tuple[int, int]):
    frame = TALKS[name]
    for share in (0.05, 0.07, 0.09):
        made = wall_layout(replace(frame, least_share=share), QSize(*size))
        assert_tidy(made)
        assert len([mark for mark in made.marks if isinstance(mark, Head)]) == 1
        said = "Wait" if frame.note else ("First partner", "Second partner")[frame.turn - 1]
        assert " ".join(made.words["turn"].setting.lines) == said
        for part, words in made.words.items():
            # A long prompt shrinks in a room whose back row is far away; not a word of it goes.
            if share == 0.05 or part != "line" or len(frame.line) < 40:
                assert words.setting.cap_height >= share * size[1] - 1, part
        text = frame.line or frame.title
        assert " ".join(made.words["line" if frame.line else "title"].setting.lines) == text
    made = wall_layout(frame, QSize(*size))
    assert all(digit.px * theme.CAP_SHARE >= 0.1 * size[1] for digit in made.digits)
    if frame.whole == 1:
        assert made.squares[0].box.width >= 0.2 * size[1]
    if name == "first":
        assert made.words["line"].setting.px > 1.25 * made.words["title"].setting.px


@pytest.mark.parametrize("size", SIZES)
def test_the_speaking_head_is_over_the_fourth_in_play(size: tuple[int, int]):
    """The one that leaves next: the right one for the first partner, then the left one."""
    for frame, index in ((talk(28), 1), (talk(14), 0)):
        made = wall_layout(frame, QSize(*size))
        head = next(mark for mark in made.marks if isinstance(mark, Head))
        fourth = made.squares[0].fourth(index)
        assert abs(head.box.x + head.box.width / 2 - fourth.x - fourth.width / 2) <= 1
        assert 0 <= made.squares[0].box.y - head.box.y - head.box.height < 0.05 * size[1]


@pytest.mark.parametrize("size", SIZES)
def test_of_more_than_half_a_minute_the_head_is_at_the_row_in_play(size: tuple[int, int]):
    for left, row in ((58, 1), (40, 1), (29, 0), (14, 0)):
        made = wall_layout(talk(left, last=4), QSize(*size))
        head = next(mark for mark in made.marks if isinstance(mark, Head))
        fourth = made.squares[0].fourth(2 * row)
        assert head.faces_left
        assert abs(head.box.y + head.box.height / 2 - fourth.y - fourth.height / 2) < 0.35 * fourth.height
        assert 0 < head.box.x - made.squares[0].box.x - made.squares[0].box.width < 0.1 * size[1]


@pytest.mark.parametrize("size", [*SIZES, (960, 540)])
@pytest.mark.parametrize("name", TALKS)
def test_all_of_partner_talk_begins_at_one_margin(name: str, size: tuple[int, int]):
    made = wall_layout(TALKS[name], QSize(*size))
    begins = [words.box.x for words in made.words.values()]
    if made.digits:
        first = made.digits[0]
        begins.append(first.box.x + (first.box.width - digit_ink(first.char, first.px, first.weight)) / 2)
    elif made.squares:
        begins.append(made.squares[0].box.x)
    assert max(begins) - min(begins) <= 0.02 * size[1]


PROMPTS = [
    "A fraction names ____ .",
    "3/4 is more than ____ .",
    "I know because ____ ?",
    "We agree that ____ !",
]


@pytest.mark.parametrize("size", [*SIZES, (960, 540), (1280, 800)])
@pytest.mark.parametrize("prompt", PROMPTS)
def test_a_short_prompt_stands_on_one_whole_line(prompt: str, size: tuple[int, int]):
    made = wall_layout(talk(line=prompt), QSize(*size)).words["line"].setting
    assert made.lines == (prompt,)
    assert made.cap_height >= 0.05 * size[1] - 1


@pytest.mark.parametrize("size", [*SIZES, (960, 540), (800, 600)])
@pytest.mark.parametrize("count", range(1, 9))
def test_no_line_of_a_prompt_begins_with_the_stop_behind_a_blank(count: int, size: tuple[int, int]):
    prompt = " and ".join(["I think ____"] * count) + " ."
    made = wall_layout(talk(line=prompt), QSize(*size)).words["line"].setting
    assert " ".join(made.lines) == prompt
    assert not any(line.startswith(".") for line in made.lines)


def test_square_and_digits_stay_in_place_when_the_turn_changes():
    first, second = (wall_layout(frame, QSize(1366, 768)) for frame in (talk(16), talk(15, turn=2)))
    assert first.squares[0].box == second.squares[0].box
    assert [digit.box for digit in first.digits] == [digit.box for digit in second.digits]
    areas = changed_area(talk(16), talk(15, turn=2), QSize(1366, 768))
    assert QRect(0, 0, 1366, 768) not in areas


def test_a_head_is_drawn_within_its_box_and_looks_where_it_is_told_to():
    drawn = []
    for faces_left in (False, True):
        image = QImage(120, 120, QImage.Format.Format_RGB32)
        image.fill(theme.PAPER)
        with QPainter(image) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            paint_head(painter, Head(Box(10, 10, 100, 100), faces_left))
        inked = (pixels(image) != theme.PAPER.getRgb()[:3]).any(axis=2)
        assert not inked[:9].any()
        assert not inked[111:].any()
        assert not inked[:, :9].any()
        assert not inked[:, 111:].any()
        assert 0.25 < inked.mean() < 0.6
        drawn.append(inked)
    assert (drawn[0] == drawn[1][:, ::-1]).mean() > 0.98
    assert (drawn[0] != drawn[1]).mean() > 0.05


def test_hidden_time_hides_whose_turn_it_is():
    made = wall_layout(hidden(talk(28)), QSize(1366, 768))
    assert not any(isinstance(mark, Head) for mark in made.marks)
    assert "turn" not in made.words


@pytest.mark.parametrize("size", SIZES)
def test_when_the_turn_changes_less_than_a_tenth_of_the_picture_does(size: tuple[int, int]):
    first, second = (pixels(draw(frame, *size)) for frame in (talk(16), talk(15, turn=2)))
    assert 0.01 < (first != second).any(axis=2).mean() < 0.1

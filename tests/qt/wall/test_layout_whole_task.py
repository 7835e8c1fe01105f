"""The class's task stands whole on the Wall wherever there is room for it."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QSize

from pacer.frames.wall import LEAST_SHARE, WallFrame
from pacer.qt.kit.type_setting import ELLIPSIS
from pacer.qt.wall.layout import wall_layout
from pacer.qt.wall.marks import Picture, TextBlock
from pacer.qt.wall.strip import strip_box
from tests.qt.wall.wall_factories import (
    EDGES,
    KEY,
    SIZES,
    assert_tidy,
    hidden,
    strip,
    strip_size,
    talk,
    wall,
    words_of,
)

pytestmark = pytest.mark.usefixtures("qapp")

TASK, SECOND = "Which is more: 3/8 or 3/4? Show how.", "¿Cuál es mayor: 3/8 o 3/4? Muestra cómo."
FRAMES = {
    "steady": wall(3, 112),
    "waiting": wall(3, 112, waiting=True, note="Wait"),
    "over": wall(3, 0, over=True, note="Finish up"),
    "digits alone": wall(0, 112, full=0, fourths=0),
    "squares alone": wall(3, 112, digits=None),
    "hidden": hidden(wall(3, 112)),
    "hidden and waiting": replace(hidden(wall(3, 112)), note="Wait"),
}


@pytest.mark.parametrize("size", [*SIZES, (960, 540), (800, 600), (1280, 1024)])
@pytest.mark.parametrize("name", list(FRAMES))
def test_a_task_in_two_languages_is_never_cut_where_there_is_room(name: str, size: tuple[int, int]) -> None:
    frame = replace(FRAMES[name], line=TASK, second_line=SECOND)
    made = wall_layout(frame, QSize(*size))
    assert_tidy(made)
    assert {TASK, SECOND} <= set(words_of(made))


def squares_of(frame: WallFrame) -> list:
    return [square.box for square in wall_layout(frame, QSize(1024, 768)).squares]


def test_time_that_makes_room_for_a_task_stays_at_its_place_until_the_end() -> None:
    shown = [replace(FRAMES[name], line=TASK, second_line=SECOND) for name in ("steady", "waiting", "over")]
    assert squares_of(shown[0]) == squares_of(shown[1]) == squares_of(shown[2])


def test_a_task_that_fits_moves_nothing() -> None:
    one, other = wall(3, 112, line="Show how."), wall(3, 112, line="")
    assert (
        wall_layout(one, QSize(1366, 768)).words["title"]
        == wall_layout(other, QSize(1366, 768)).words["title"]
    )
    assert one.least_share == LEAST_SHARE


# Whatever is typed, wherever it is shown, not a word goes.

WORDS = "Look at the number line and tell your partner which of the two fractions is nearer to one half"
LENGTHS = (1, 3, 6, 9, 14, 19, 40)
SIZES_AND_SMALL = [*SIZES, (960, 540), (800, 600), (1280, 800)]


def task_of(count: int) -> str:
    return " ".join((WORDS.split() * 3)[:count])


def faces(line: str, second: str) -> dict[str, WallFrame]:
    base = replace(wall(5, 177), line=line, second_line=second)
    return {
        "time": base,
        "digits": replace(base, whole=0, full=0, fourths=0),
        "squares": replace(base, digits=None),
        "many squares": replace(wall(25, 1490), line=line, second_line=second),
        "hidden": hidden(base),
        "hidden and waiting": replace(hidden(base), note="Wait"),
        "waiting": replace(base, waiting=True, note="Wait"),
        "over": replace(wall(5, 0, over=True, note="Finish up"), line=line, second_line=second),
        "partners": talk(line=line, second_line=second),
        "problem": replace(base, fill="problem", problem="3/4 + 2/4 = ____"),
        "problem, hidden": hidden(replace(base, fill="problem", problem="3/4 + 2/4 = ____")),
        "picture": replace(base, fill="picture", picture=KEY),
        "picture and partners": talk(line=line, second_line=second, fill="picture", picture=KEY),
    }  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES_AND_SMALL)
@pytest.mark.parametrize("count", LENGTHS)
def test_no_word_of_a_task_goes_whatever_the_wall_shows(count: int, size: tuple[int, int]) -> None:
    line = task_of(count)
    for second in ("", SECOND, line):
        for name, frame in faces(line, second).items():
            made = wall_layout(frame, QSize(*size))
            assert_tidy(made)
            words = {part: " ".join(mark.setting.lines) for part, mark in made.words.items()}
            assert words["line"] == line, name
            assert words.get("second", "") == second, name
            assert not any(ELLIPSIS in text for text in words.values()), name


@pytest.mark.parametrize("size", SIZES_AND_SMALL)
@pytest.mark.parametrize("count", LENGTHS)
@pytest.mark.parametrize("edge", ["bottom", "left"])
def test_a_strip_shows_a_task_whole_or_not_at_all_and_always_where_there_is_no_time(
    edge: str, count: int, size: tuple[int, int]
) -> None:
    line = task_of(count)
    for frame in faces(line, "").values():
        if frame.fill != "countdown":
            continue
        made = wall_layout(strip(frame), QSize(*strip_size(edge, size)))
        assert_tidy(made)
        words = {part: " ".join(mark.setting.lines) for part, mark in made.words.items()}
        assert words.get("line", line) == line
        assert "line" in words or frame.face != "hidden"
        assert ELLIPSIS not in words.get("line", "")


@pytest.mark.parametrize("size", SIZES_AND_SMALL)
def test_a_task_takes_two_lines_before_its_letters_shrink(size: tuple[int, int]) -> None:
    """Up to a tenth smaller is not seen; a line that would need more than that takes a second one."""
    largest = wall_layout(wall(line="Show."), QSize(*size)).words["line"].setting.px
    for count in range(4, 11):
        made = wall_layout(wall(5, 177, line=task_of(count)), QSize(*size)).words["line"].setting
        assert made.px >= largest / 1.1 - 1
        assert len(made.lines) <= 2


def test_the_title_gives_way_before_a_word_of_the_task_does() -> None:
    title = "What we found out about fractions on the number line and where each of them is at home"
    made = wall_layout(wall(title=title, line=task_of(24), second_line=SECOND), QSize(1024, 768))
    assert " ".join(made.words["line"].setting.lines) == task_of(24)
    assert " ".join(made.words["second"].setting.lines) == SECOND


@pytest.mark.parametrize("size", SIZES_AND_SMALL)
@pytest.mark.parametrize("edge", EDGES)
def test_a_problem_and_a_picture_stand_over_the_lines_in_both_languages(
    edge: str, size: tuple[int, int]
) -> None:
    for frame in (
        wall(fill="problem", problem="3/4 + 2/4 = ____", edge=edge, line=TASK, second_line=SECOND),
        wall(fill="picture", picture=KEY, edge=edge, line=TASK, second_line=SECOND),
    ):
        made = wall_layout(frame, QSize(*size))
        assert_tidy(made)
        lines = made.words["line"], made.words["second"]
        least = LEAST_SHARE * size[1] * min(1.0, size[0] * 0.78 / size[1])
        assert all(words.setting.cap_height >= 0.8 * least - 1 for words in lines)
        strip_at = strip_box(edge, *size).rect()
        assert not any(strip_at.intersects(words.box.rect()) for words in lines)
        filling = next(mark for mark in made.marks if isinstance(mark, TextBlock | Picture))
        assert filling.box.y + filling.box.height <= lines[0].box.y
        assert filling.box.height >= 0.5 * size[1]


@pytest.mark.parametrize("size", SIZES)
def test_a_problem_that_can_be_read_is_not_made_too_small_by_lines_below_it(
    size: tuple[int, int],
) -> None:
    for count in range(1, 14):
        problem = ("A ribbon is cut into pieces. " * count).strip()
        made = wall_layout(wall(fill="problem", problem=problem, line=TASK, second_line=SECOND), QSize(*size))
        alone = wall_layout(wall(fill="problem", problem=problem, line=""), QSize(*size))
        assert " ".join(made.words["problem"].setting.lines) == problem
        least = LEAST_SHARE * size[1] - 1
        could = alone.words["problem"].setting.cap_height >= least + 1
        assert made.words["problem"].setting.cap_height >= least or not could

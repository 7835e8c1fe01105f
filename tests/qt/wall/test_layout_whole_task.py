"""The class's task stands whole on the Wall wherever there is room for it."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QSize

from pacer.frames.wall import LEAST_SHARE, WallFrame
from pacer.qt.wall.layout import wall_layout
from tests.qt.wall.wall_factories import SIZES, assert_tidy, hidden, wall, words_of

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

"""The share's one word beside the time is whole where the picture has room for it."""

import pytest

from pacer.qt.wall.marks import Words
from pacer.qt.wall.prompt import prompt_marks
from tests.qt.wall.wall_factories import share

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.mark.parametrize("size", [(1024, 768), (1366, 768), (1920, 1080), (960, 540)])
@pytest.mark.parametrize(("left_s", "whole"), [(280, 5), (703, 13), (1190, 20)])
def test_what_comes_next_is_said_whole_beside_any_time(size, left_s, whole):
    marks = prompt_marks(share(left_s, whole), *size)
    words = [mark.setting.lines for mark in marks if isinstance(mark, Words) and mark.part == "next"]
    assert [" ".join(lines) for lines in words] == ["Next: Clean up"]

"""The words of the fit bar: never under a tick, never out of their piece."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QRectF

from pacer.qt.outline.fit_bar import tick_words, words_place

PIECE = QRectF(0, 0, 290, 34)


@pytest.mark.parametrize("ticks", [(), (145,), (100, 145), (20, 280), (160, 170), (400,), (0, 290)])
def test_words_stand_between_ticks_within_their_piece(ticks: tuple[float, ...]) -> None:
    wide = 66
    place = words_place(PIECE, wide, ticks)
    assert place is not None
    left, right = place.center().x() - wide / 2, place.center().x() + wide / 2
    assert PIECE.left() <= left
    assert right <= PIECE.right()
    assert not [at for at in ticks if left <= at <= right]


def test_words_keep_to_the_middle_where_no_tick_is() -> None:
    assert words_place(PIECE, 66, (20,)) == PIECE


@pytest.mark.parametrize(("wide", "ticks"), [(300, ()), (150, (145,))])
def test_words_for_which_there_is_no_room_are_left_to_the_description(wide: float, ticks: tuple) -> None:
    assert words_place(PIECE, wide, ticks) is None


@given(
    st.lists(st.tuples(st.floats(0, 1000), st.floats(10, 120)), min_size=1, max_size=3),
    st.integers(600, 1900),
)
def test_the_words_of_ticks_never_meet_and_stay_inside(ticks: list, width: int) -> None:
    ticks = sorted((min(x, width), wide) for x, wide in ticks)
    lefts = tick_words(ticks, width)
    ends = [left + wide for left, (_x, wide) in zip(lefts, ticks, strict=True)]
    assert all(left >= 0 for left in lefts)
    assert all(end <= width + 1e-6 for end in ends)
    assert all(end < left for end, left in zip(ends, lefts[1:], strict=False))

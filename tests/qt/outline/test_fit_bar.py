"""The words of the fit bar: never under a tick, never out of their piece."""

import pytest
from PySide6.QtCore import QRectF

from pacer.qt.outline.fit_bar import words_place

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

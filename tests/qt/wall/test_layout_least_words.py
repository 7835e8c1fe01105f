"""Words on the Wall when the back row is far away: larger than usual, and still nothing overlaps."""

import itertools
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, QRect, QSize

from pacer.qt.kit import theme
from pacer.qt.wall.layout import wall_layout
from pacer.qt.wall.strip import strip_box
from tests.qt.wall.wall_factories import KEY, SIZES, assert_tidy, hidden, wall

pytestmark = pytest.mark.usefixtures("qapp")

LONG = "Wiederholung der Bruchrechnung am Zahlenstrahl mit Geschwindigkeitsbegrenzungen"


@pytest.mark.slow
@pytest.mark.parametrize("share", [0.05, 0.06, 0.07, 0.08, 0.09])
@pytest.mark.parametrize("size", SIZES)
def test_words_are_as_large_as_the_room_needs_and_nothing_overlaps(share: float, size: tuple[int, int]):
    """Up to 9 % of the picture: 20 minutes of arc for eyes 16 m from a picture 1 m high (2 d tan(θ/2))."""
    frames = [
        wall(), wall(1, 38), wall(25, 1490), wall(60, 3599), wall(digits=None),
        wall(0, 458, full=0, fourths=0),
        wall(waiting=True, note="Wait"), wall(digits=None, waiting=True, note="Wait"),
        wall(0, 458, full=0, fourths=0, waiting=True, note="Wait"),
        wall(10, 0, over=True, note="Finish up"), wall(0, 0, over=True, note="Finish up"),
        hidden(wall()), hidden(wall(note="Wait")),
        wall(fill="problem", problem="Which is larger, 2/3 or 3/4?"),
        wall(fill="picture", picture=KEY),
    ]  # fmt: skip
    for frame, title, second in itertools.product(frames, ("Review", LONG), ("", LONG)):
        made = wall_layout(
            replace(frame, title=title, line=title, second_line=second, next_title=title, least_share=share),
            QSize(*size),
        )
        assert_tidy(made)
        in_strip = strip_box(frame.edge, *size).rect() if frame.fill != "countdown" else QRect()
        for part, mark in made.words.items():
            if not in_strip.contains(QPoint(mark.box.x, mark.box.y)):
                # A line for the class may be longer than its room: then it shrinks, and no word of it goes.
                long = part in ("line", "second") and mark.setting.lines[0] != title
                assert mark.setting.cap_height >= share * size[1] * (0.4 if long else 1) - 1, part
                assert not long or " ".join(mark.setting.lines) == LONG
        if frame.fill == "countdown":
            assert all(digit.px * theme.CAP_SHARE >= 0.08 * size[1] for digit in made.digits)

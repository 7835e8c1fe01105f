"""Pictures of the second half in a lesson: drawn ahead, in a sign's place, told of where they can't be."""

import pytest
from PySide6.QtCore import QSize

from pacer.frames.wall import PictureKey
from pacer.plan.file.reader import read_text
from pacer.qt.lesson.services import LessonServices
from pacer.qt.wall.layout import picture_places
from pacer.qt.wall.window import Wall
from tests.qt.attachments.attachment_factories import picture, save
from tests.qt.lesson.half_factories import Bare, go_to
from tests.qt.wall.wall_factories import put_away, wall_on_projector
from tests.qt.window_factories import settle

# Invented: two groups, one with a picture; the table has one that is broken, the move has one.
OUTLINE = """
format = 1
title = "Thirds on a number line"
[block]
minutes = 60
mini_lesson = 10
groups = 2
move = 2
move_words = "Folder, pencil"
move_picture = "folder.png"
[[group]]
name = "Otters"
picture = "otters.png"
[[group]]
name = "Herons"
[[station]]
name = "Our table"
picture = "broken.png"
teacher = true
[[station]]
name = "Card sort"
picture = "cards.png"
[[phase]]
title = "Modeling"
kind = "modeling"
budget = 10
"""
WANTED = {PictureKey(0, 1, "group"), PictureKey(1, 1, "station"), PictureKey(0, 1, "move")}


class Shown:
    """A lesson whose Wall is on the projector and whose pictures stand by."""

    def __init__(self, folder) -> None:
        for name in ("folder.png", "otters.png", "cards.png"):
            save(folder / name, picture(300, 300))
        (folder / "broken.png").write_bytes(b"no picture")
        outline = read_text(OUTLINE, str(folder / "made.toml"))
        self.bare = Bare(outline)
        self.wall: Wall = wall_on_projector()[0]
        self.services = LessonServices(self.wall)
        self.bare.lesson.wall_changed.connect(self.wall.show_frame)
        self.desk: list = []
        self.bare.lesson.desk_changed.connect(self.desk.append)
        self.bare.lesson.refresh()
        self.wall.show_frame(self.bare.lesson.wall_frame)
        self.services.begin(self.bare.lesson)

    @property
    def lesson(self):
        return self.bare.lesson

    @property
    def clock(self):
        return self.bare.clock

    @property
    def session(self):
        return self.bare.session

    def shade(self, key: PictureKey) -> tuple[str, ...]:
        """The colours in the middle of each place of a picture, a little above it."""
        places = picture_places(self.wall.full.frame, self.wall.full.size(), key)
        image = self.wall.full.grab().toImage()
        return tuple(
            image.pixelColor(place.center().x(), place.center().y() - place.height() // 5).name()
            for place in places
        )


@pytest.fixture
def shown(qapp, tmp_path):
    made = Shown(tmp_path)
    yield made
    made.services.end()
    made.bare.shut()
    put_away(made.wall)
    made.services.deleteLater()


def rest(qtbot, shown) -> None:
    shelf = shown.services.shelf
    qtbot.waitUntil(lambda: not shelf.is_busy, timeout=60_000)
    settle()


def test_pictures_of_the_second_half_are_drawn_while_the_mini_lesson_runs(qtbot, shown):
    rest(qtbot, shown)
    assert {key for key, _size in shown.services.shelf.kept} == WANTED
    go_to(shown, "move")
    assert shown.shade(PictureKey(0, 1, "move")) == ("#c81414",)
    assert shown.shade(PictureKey(0, 1, "group")) == ("#c81414",)
    assert not shown.services.shelf.is_busy  # nothing was asked for anew, whatever its size


@pytest.mark.parametrize("kind", ["visit", "swap"])
def test_they_stand_on_the_wall_wherever_the_groups_are(qtbot, shown, kind):
    rest(qtbot, shown)
    go_to(shown, kind)
    assert shown.wall.full.frame.picture is None
    assert shown.shade(PictureKey(0, 1, "group")) == ("#c81414",)
    assert shown.shade(PictureKey(1, 1, "station")) == ("#c81414",)


def test_one_that_comes_late_is_painted_when_it_comes(qtbot, shown):
    shown.services.end()
    go_to(shown, "visit")
    key = PictureKey(0, 1, "group")
    assert shown.shade(key) != ("#c81414",)
    shown.services.begin(shown.lesson)
    shown.wall.full.update()
    qtbot.waitUntil(lambda: shown.shade(key) == ("#c81414",), timeout=60_000)


def test_a_file_that_cannot_be_read_is_named_on_the_desk_and_never_on_the_wall(qtbot, shown):
    rest(qtbot, shown)
    go_to(shown, "visit")
    settle()
    qtbot.waitUntil(lambda: any("broken.png" in line for line in shown.desk[-1].near), timeout=60_000)
    assert '"broken.png" can\'t be read' in shown.desk[-1].near
    frame = shown.wall.full.frame
    assert "broken" not in repr(frame)
    assert frame.groups[0].place == "Our table"
    assert picture_places(frame, QSize(1366, 768), PictureKey(0, 1, "station"))

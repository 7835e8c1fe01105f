"""What the tests of the painted Wall share: frames, pictures as arrays, what must hold of every layout."""

import itertools
from dataclasses import replace

import numpy as np
from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter, QRegion

from pacer.frames.wall import PictureKey, WallFrame, squares_left
from pacer.frames.wall_groups import SHAPES, GroupPlace
from pacer.frames.words import wording
from pacer.plan.outline import neutral_names
from pacer.qt.kit import theme, type_setting
from pacer.qt.paper.picture import draw
from pacer.qt.screens.present import present_screens
from pacer.qt.wall.layout import changed_area
from pacer.qt.wall.marks import TextBlock, WallLayout
from pacer.qt.wall.painter import paint_wall
from pacer.qt.wall.pictures import no_picture
from pacer.qt.wall.strip import strip_box
from pacer.qt.wall.window import Wall
from tests.qt.window_factories import settle

SIZES = [(1024, 768), (1366, 768), (1920, 1080), (3840, 2160)]
EDGES = ["bottom", "top", "left", "right"]
KEY = PictureKey(2, 1)
MOVE_KEY = PictureKey(0, 1, "move")
OWN_NAMES = ("Otters", "Herons", "Badgers", "Swallows", "Hedgehogs", "Beavers", "Sparrows", "Foxes")
PLACES = ("Our table", "Card sort", "Page 12", "Number line", "Own work", "Board game")


def wall(whole: int = 8, left_s: int = 458, **changes: object) -> WallFrame:
    """A Wall with both digits and squares, so many seconds before the end."""
    full, fourths = squares_left(left_s * 1000)
    frame = WallFrame(
        "full", title="Guided practice", line="Problems 1–4 on your whiteboard",
        digits=wording.countdown(left_s * 1000), full=full, fourths=fourths, whole=whole,
        next_title="Look back",
    )  # fmt: skip
    return replace(frame, **changes)


def strip(frame: WallFrame) -> WallFrame:
    return replace(frame, shape="strip", face="hidden" if frame.face == "hidden" else "strip")


def hidden(frame: WallFrame) -> WallFrame:
    return replace(frame, face="hidden", digits=None, full=0, fourths=0, whole=0, last=4, turn=0, over=False)


def talk(left_s: int = 28, **changes: object) -> WallFrame:
    """Half a minute of partner talk."""
    turn = 1 if left_s > 15 else 2
    frame = wall(1, left_s, title="Partner talk", line="A fraction names ____ .", turn=turn, last=2)
    return replace(frame, **changes)


def groups(
    count: int, *, soon: bool = False, moving: bool = False, names: tuple[str, ...] = ()
) -> tuple[GroupPlace, ...]:
    """So many groups that go round six places; in the order of their neutral names where none are given."""
    names, round_ = names or neutral_names(), max(1, min(count, len(PLACES)))
    each = []
    for number in range(count):
        place, then = PLACES[number % round_], PLACES[(number - 1) % round_]
        goes_to = then if soon else place if moving else ""
        each.append(GroupPlace(names[number % len(names)], SHAPES[number], place, goes_to))
    return tuple(each)


def visit(count: int = 3, whole: int = 12, left_s: int = 450, **changes: object) -> WallFrame:
    """A visit of the second half, or a walk where ``moving``; ``soon``: groups see where they go next."""
    moving, names = bool(changes.get("moving")), changes.pop("names", ())
    shown = groups(count, soon=bool(changes.pop("soon", False)), moving=moving, names=names)
    return replace(wall(whole, left_s, title="Small groups", line="", next_title="", groups=shown), **changes)


def pictured(frame: WallFrame, *, of_groups: bool = True, of_places: bool = True) -> WallFrame:
    """The same with a picture of every group and of every place."""
    shown = tuple(
        group._replace(
            picture=PictureKey(number, 1, "group") if of_groups else None,
            place_picture=PictureKey(PLACES.index(group.goes_to or group.place), 1, "station")
            if of_places
            else None,
        )
        for number, group in enumerate(frame.groups)
    )
    return replace(frame, groups=shown)


def move(count: int = 3, whole: int = 2, left_s: int = 70, **changes: object) -> WallFrame:
    """The walk to the groups, with a picture of what to take along."""
    frame = visit(count, whole, left_s, moving=True, title="Folder, pencil")
    return replace(frame, **{"picture": MOVE_KEY, **changes})


def share(left_s: int = 280, whole: int = 5, **changes: object) -> WallFrame:
    """The share and what it asks."""
    frame = wall(whole, left_s, title="Share", line="", next_title="Clean up")
    return replace(frame, **{"prompt": "What helped you place 3/4?", **changes})


def strip_size(edge: str, size: tuple[int, int]) -> tuple[int, int]:
    box = strip_box(edge, *size)
    return box.width, box.height


def pixels(image: QImage) -> np.ndarray:
    """Height × width × RGB."""
    flat = np.frombuffer(image.constBits(), dtype=np.uint8)
    return flat.reshape(image.height(), image.width(), 4)[:, :, 2::-1].copy()


def luminance(rgb: np.ndarray) -> np.ndarray:
    """Relative luminance as in WCAG 2.2, from sRGB of 0 to 1."""
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    return linear @ np.array([0.2126, 0.7152, 0.0722])


def advance(setting: type_setting.Setting, line: str) -> float:
    return QFontMetricsF(theme.font(setting.px, setting.weight)).horizontalAdvance(line)


def of_colour(name: str, wide: int = 1200, high: int = 900):
    """Hands out one picture of a colour, scaled as a shelf of pictures would."""
    made = QImage(wide, high, QImage.Format.Format_RGB32)
    made.fill(QColor(name))

    def give(_key: PictureKey, size: QSize, ratio: float) -> QImage:
        return made.scaled(size * ratio, Qt.AspectRatioMode.KeepAspectRatio)

    return give


def assert_tidy(made: WallLayout) -> None:
    """Every box lies in the picture, every word in its box, and no two boxes share a place."""
    picture = QRect(0, 0, *made.size)
    for mark in made.marks:
        assert picture.contains(mark.box.rect()), mark
    for mark in made.words.values():
        across, along = mark.box.width, mark.box.height
        if mark.turned:
            across, along = along, across
        assert len(mark.setting.lines) * mark.setting.line_height <= along + 1.01
        assert all(advance(mark.setting, line) <= across + 2 for line in mark.setting.lines)
    apart = [mark for mark in made.marks if not isinstance(mark, TextBlock)]
    for sheet in (mark for mark in made.marks if isinstance(mark, TextBlock)):
        assert all(sheet.box.rect().contains(words.box.rect()) for words in sheet.words)
        apart += sheet.words
    for one, other in itertools.combinations(apart, 2):
        shared = one.box.rect().intersected(other.box.rect())
        assert shared.width() <= 2 or shared.height() <= 2, (one, other)


def assert_change_is_covered(old: WallFrame, new: WallFrame, width: int, height: int, pictures=no_picture):
    """Painting only the changed area over the old picture gives exactly the new picture."""
    areas = changed_area(old, new, QSize(width, height))
    # The first time that Qt draws a size of letters their edges differ by a few shades from every later time.
    for frame in (old, new):
        draw(frame, width, height, pictures=pictures)
    image = draw(old, width, height, pictures=pictures)
    wanted = draw(new, width, height, pictures=pictures)
    before = pixels(image)
    region = QRegion()
    for area in areas:
        region += area
    with QPainter(image) as painter:
        paint_wall(painter, QRect(0, 0, width, height), new, area=region, pictures=pictures)
    outside = np.ones((height, width), dtype=bool)
    for area in areas:
        outside[max(0, area.top()) : area.bottom() + 1, max(0, area.left()) : area.right() + 1] = False
    assert (pixels(wanted) == before)[outside].all()
    assert (pixels(image) == pixels(wanted)).all()


def words_of(made: WallLayout) -> list[str]:
    return [" ".join(mark.setting.lines) for mark in made.words.values()]


def wall_on_projector() -> tuple[Wall, QRect]:
    """The Wall's windows, placed on the pretended projector; and its place."""
    made = Wall()
    screen = next(screen for screen in present_screens() if screen.name == "Projector")
    made.place(screen)
    return made, screen.rect


def put_away(made: Wall) -> None:
    made.close()
    for window in (made.full, made.strip):
        window.deleteLater()
    settle()

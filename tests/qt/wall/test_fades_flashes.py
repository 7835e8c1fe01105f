"""Nothing on the Wall flashes: the general flash threshold of WCAG 2.2 over rendered frames of every change.

Success criterion 2.3.1 allows three general flashes in any second. A general flash is a pair of opposing
changes in relative luminance of 10 % or more of the maximum (which is 1) where the darker image is below
0.80; it counts where the flashing area is 25 % or more of any 341 × 256 pixels at 1024 × 768. Both from the
definition of "general flash and red flash thresholds" in WCAG 2.2, like the formula of relative luminance.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest
from PySide6.QtCore import QRect, QSize
from PySide6.QtGui import QColor, QImage, QPainter

from pacer.frames.wall import PictureKey, WallFrame
from pacer.qt.wall import fades as wall_fades
from pacer.qt.wall.fades import CALM_MS, FADE_MS, CalmChanges, is_ordinary, loses_a_fourth
from pacer.qt.wall.painter import paint_wall
from pacer.qt.wall.strip import strip_box
from tests.qt.hand_time import HandTime
from tests.qt.wall.wall_factories import (
    EDGES,
    KEY,
    MOVE_KEY,
    hidden,
    move,
    of_colour,
    pictured,
    pixels,
    share,
    strip,
    strip_size,
    talk,
    visit,
    wall,
)

pytestmark = pytest.mark.usefixtures("qapp")

WIDTH, HEIGHT = 1024, 768
BLOCK_WIDTH, BLOCK_HEIGHT = 341, 256
BLOCK_SHARE = 0.25
CHANGE, DARKER_BELOW = 0.10, 0.80
MOST_FLASHES = 3
RATE_HZ = 60
DESKTOP = QColor("#101418")  # another program in the dark: the worst that a strip or nothing can uncover

DARK, LIGHT = PictureKey(2, 1), PictureKey(2, 2)
FRAMES = {
    "full": wall(20, 1051),
    "squares": wall(60, 3540, digits=None),
    "over": wall(20, 0, over=True, note="Finish up"),
    "waiting": wall(20, 1051, waiting=True, note="Wait"),
    "hidden": hidden(wall(20, 1051)),
    "off": WallFrame("off"),
    "strip": strip(wall(20, 1051)),
    "side strip": strip(wall(20, 1051, edge="left")),
    "problem": wall(20, 1051, fill="problem", problem="Which is larger, 2/3 or 3/4?"),
    "dark picture": wall(20, 1051, fill="picture", picture=DARK),
    "light picture": wall(20, 1051, fill="picture", picture=LIGHT),
    "card": wall(20, 1051, fill="picture", picture=KEY._replace(page=3)),
    "blank": WallFrame("blank"),
    "burst": talk(28),
    "second partner": talk(14),
    "next phase": wall(3, 180, title="Vocabulary", line="Say it, read it, use it"),
    "undo": wall(20, 1050),
    "visit": visit(3),
    "last minute": visit(3, left_s=59, soon=True),
    "swap": visit(3, 2, 70, moving=True, title="Swap places"),
    "many groups": visit(12, 20, 1051),
    "signs": pictured(visit(3)),
    "move": pictured(move()),
    "share": share(),
}
_to_linear = np.array(
    [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in np.arange(256) / 255]
)
TO_LINEAR = _to_linear.astype(np.float32)


def shelf(key: PictureKey, size: QSize, ratio: float) -> QImage | None:
    colours = {DARK: "#101418", LIGHT: "#FFFFFF", MOVE_KEY: "#101418"}
    colours |= {PictureKey(number, 1, of): "#101418" for number in range(6) for of in ("group", "station")}
    return of_colour(colours[key], 1600, 1000)(key, size, ratio) if key in colours else None


@cache
def seen(frame: WallFrame, leaving: float = 0.0) -> np.ndarray:
    """The relative luminance of the Wall's screen with whatever of another program is uncovered.

    Every second pixel of every second line: what counts is a quarter of a block, and blocks are large.
    """
    image = QImage(WIDTH, HEIGHT, QImage.Format.Format_RGB32)
    image.fill(DESKTOP)
    place = QRect(0, 0, WIDTH, HEIGHT)
    if frame.shape == "strip":
        place = strip_box(frame.edge, WIDTH, HEIGHT).rect()
    if frame.face != "off":
        with QPainter(image) as painter:
            paint_wall(painter, place, frame, leaving=leaving, pictures=shelf)
    return luminance_of(pixels(image)[::2, ::2])


def luminance_of(rgb: np.ndarray) -> np.ndarray:
    red, green, blue = (TO_LINEAR[rgb[:, :, channel]] for channel in range(3))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def opposing_changes(images: Sequence[np.ndarray]) -> np.ndarray:
    """For each pixel how many changes of 10 % there were, each opposed to the one before it.

    A change is measured from the last extreme, however many steps it takes.
    """
    low, high = images[0].copy(), images[0].copy()
    direction = np.zeros(images[0].shape, dtype=np.int8)
    count = np.zeros(images[0].shape, dtype=np.int8)
    for image in images[1:]:
        np.minimum(low, image, out=low)
        np.maximum(high, image, out=high)
        rises = (image - low >= CHANGE) & (low < DARKER_BELOW) & (direction <= 0)
        falls = (high - image >= CHANGE) & (image < DARKER_BELOW) & (direction >= 0) & ~rises
        for turned, sign in ((rises, 1), (falls, -1)):
            direction[turned] = sign
            count[turned] += 1
            # The next opposing change is measured from here on.
            low[turned] = high[turned] = image[turned]
        # While it goes on the same way only the far extreme counts.
        np.copyto(low, image, where=(direction < 0) & (image < low))
        np.copyto(high, image, where=(direction > 0) & (image > high))
    return count


def flashes(images: Sequence[np.ndarray]) -> int:
    """How many general flashes some quarter of a block sees, of one that is anywhere in the picture."""
    pairs = opposing_changes(images) // 2
    number, part = 0, images[0].shape[1] / WIDTH
    while largest_area(pairs > number) >= BLOCK_SHARE * BLOCK_WIDTH * BLOCK_HEIGHT * part**2:
        number += 1
    return number


def largest_area(mask: np.ndarray) -> int:
    """The most pixels of a mask that lie within one block; a smaller mask has smaller blocks."""
    if not mask.any():
        return 0
    total = np.zeros((mask.shape[0] + 1, mask.shape[1] + 1), dtype=np.int32)
    total[1:, 1:] = mask.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32)
    part = mask.shape[1] / WIDTH
    down, across = round(BLOCK_HEIGHT * part), round(BLOCK_WIDTH * part)
    blocks = total[down:, across:] - total[:-down, across:] - total[down:, :-across] + total[:-down, :-across]
    return int(blocks.max())


Shown = list[tuple[float, WallFrame]]  # milliseconds, and the frame from then on


def at_sixty_hertz(shown: Shown, end_ms: float) -> Iterator[tuple[float, np.ndarray]]:
    """What a display shows at each of its refreshes, fades among it; a picture that stays is given once."""
    last: tuple[WallFrame, float] | None = None
    for tick in range(int(end_ms * RATE_HZ / 1000)):
        now = tick * 1000 / RATE_HZ
        index = max((i for i, (t, _frame) in enumerate(shown) if t <= now), default=None)
        if index is None:
            continue
        t, frame = shown[index]
        faded = index > 0 and loses_a_fourth(shown[index - 1][1], frame)
        leaving = max(0.0, 1 - (now - t) / FADE_MS) if faded else 0.0
        if (frame, leaving) != last:
            last = frame, leaving
            yield now, seen(frame, leaving)


def most_flashes_in_a_second(shown: Shown, end_ms: float) -> int:
    images = list(at_sixty_hertz(shown, end_ms))
    found = []
    for begin, _image in images:
        within = [image for t, image in images if begin <= t < begin + 1000]
        before = [image for t, image in images if t < begin][-1:]
        found.append(flashes([*before, *within]))
    return max(found)


def as_the_guard_allows(frames: Sequence[WallFrame], end_ms: int) -> Shown:
    """Large changes as close together as they can come."""
    return [(t, frames[i % len(frames)]) for i, t in enumerate(range(0, end_ms, CALM_MS))]


# The check itself.


def page(value: float) -> np.ndarray:
    return np.full((HEIGHT, WIDTH), value, dtype=np.float32)


def test_a_strobe_is_caught():
    """Black and white eight times a second are four flashes, and so are any two pictures of the Wall."""
    assert flashes([page(0), page(1)] * 4 + [page(0)]) == 4
    strobe = [
        (t, FRAMES[name]) for t, name in zip(range(0, 1000, 125), ["dark picture", "blank"] * 4, strict=True)
    ]
    assert most_flashes_in_a_second([*strobe, (1000, FRAMES["dark picture"])], 1100) > MOST_FLASHES


def test_pressing_without_the_guard_would_flash():
    """Three keys that hide and show time, each as often as its own guard against double presses allows."""
    unguarded = [(t, FRAMES[("squares", "blank")[i % 2]]) for i, t in enumerate(range(0, 1100, 400 // 3))]
    assert most_flashes_in_a_second(unguarded, 1100) > MOST_FLASHES


@pytest.mark.parametrize(
    ("levels", "count"),
    [
        ([0.0, 1.0], 0),
        ([0.0, 1.0, 0.0], 1),
        ([0.5, 0.59, 0.5], 0),  # less than a tenth
        ([0.5, 0.61, 0.5], 1),
        ([0.85, 1.0, 0.85], 0),  # the darker one is not below 0.80
        ([0.75, 0.95, 0.75], 1),
        ([0.0, 0.05, 0.1, 0.15, 0.1, 0.05, 0.0], 1),  # in small steps all the same
        ([0.0, 0.5, 0.2, 0.7, 0.1], 2),
        ([0.9, 0.1, 0.9, 0.1, 0.9, 0.1, 0.9], 3),
    ],
)  # fmt: skip
def test_flashes_are_counted_as_the_definition_says(levels: list[float], count: int):
    """Worked values of our own after the definition in WCAG 2.2."""
    assert flashes([page(level) for level in levels]) == count


def test_only_a_quarter_of_a_block_counts():
    """0.25 × 341 × 256 = 21824 pixels; the same area spread over the picture is no flash."""
    for side, count in ((147, 0), (149, 1)):
        square = page(0.1)
        square[300 : 300 + side, 500 : 500 + side] = 0.9
        assert flashes([page(0.1), square, page(0.1)]) == count
    scattered = page(0.1)
    scattered[::6, ::6] = 0.9
    assert (scattered > 0.5).sum() > 21824
    assert flashes([page(0.1), scattered, page(0.1)]) == 0


def test_luminance_is_that_of_the_formula():
    """#FF0000 is 0.2126, #00FF00 0.7152, #0000FF 0.0722 by the definition; #1E293B 0.021777, worked."""
    rgb = np.array([[[255, 0, 0], [0, 255, 0], [0, 0, 255], [0x1E, 0x29, 0x3B]]], dtype=np.uint8)
    assert luminance_of(rgb)[0] == pytest.approx([0.2126, 0.7152, 0.0722, 0.021777], abs=1e-5)


@pytest.mark.slow
def test_the_frames_differ_enough_for_the_check_to_mean_something():
    pairs = list(combinations(FRAMES.values(), 2))[::4]
    one_flash = [flashes([seen(a), seen(b), seen(a)]) for a, b in pairs]
    assert sum(one_flash) > len(one_flash) / 2


# The Wall.


@pytest.mark.slow
@pytest.mark.parametrize("name", FRAMES)
def test_no_two_pictures_flash_however_fast_they_are_asked_for(name: str):
    """Each change and its opposite, as close together as the guard lets them through."""
    others = list(FRAMES)[list(FRAMES).index(name) + 1 :]
    for other in others:
        shown = as_the_guard_allows([FRAMES[name], FRAMES[other]], 1100)
        # What differs is given once each, so one count over all of it is that of the worst second.
        assert flashes([image for _t, image in at_sixty_hertz(shown, 1100)]) <= MOST_FLASHES, other


@pytest.mark.slow
def test_no_fade_adds_to_it():
    """A fourth fades between the large changes, at every refresh of the display."""
    for name in ("blank", "dark picture"):
        before, after = wall(20, 1051), wall(20, 1050)
        assert loses_a_fourth(before, after)
        shown = [
            (0, before),
            (30, after),
            (350, FRAMES[name]),
            (700, before),
            (720, after),
            (1050, FRAMES[name]),
        ]
        assert len(list(at_sixty_hertz(shown, 1100))) > 30
        assert most_flashes_in_a_second(shown[:4], 1100) <= MOST_FLASHES
        assert flashes([image for _t, image in at_sixty_hertz(shown, 1100)]) <= MOST_FLASHES


def test_a_storm_of_keys_never_flashes(monkeypatch):
    """The guard itself: every frame of the list, in any order, every three milliseconds."""
    time = HandTime(monkeypatch, wall_fades)
    order = np.random.default_rng(4).permutation(np.repeat(list(FRAMES), 60))
    shown: Shown = []
    changes = CalmChanges(lambda frame: shown.append((time.now_ms, frame)))
    changes.calm_ms = CALM_MS
    for sent in range(2200 // 3):
        changes.change(FRAMES[order[sent % len(order)]])
        time.pass_ms(3)
    large = [
        new for (_t, old), (new, frame) in pairwise(shown) if old != frame and not is_ordinary(old, frame)
    ]
    assert len(large) >= 4
    for t in large:
        assert sum(t <= other < t + 1000 for other in large) <= 3
    assert most_flashes_in_a_second(shown, 2200) <= MOST_FLASHES


SECONDS = {
    "a second": (wall(20, 1048), wall(20, 1047)),
    "ten minutes": (wall(20, 600), wall(20, 599)),
    "a fourth": (wall(20, 1051), wall(20, 1050)),
    "the first fourth of the only square": (wall(1, 60), wall(1, 45)),
    "squares only": (wall(1, 60, digits=None), wall(1, 45, digits=None)),
    "sixty": (wall(60, 3600), wall(60, 3599)),
    "talk": (talk(28), talk(27)),
    "a fourth of talk": (talk(46, whole=1), talk(45, whole=1)),
    "visit": (visit(3, left_s=451), visit(3, left_s=450)),
    "ten minutes of a visit": (visit(3, left_s=600), visit(3, left_s=599)),
    "swap": (visit(3, 2, 60, moving=True), visit(3, 2, 59, moving=True)),
    "a fourth of a move": (move(left_s=61), move(left_s=60)),
    "a fourth of a swap": (visit(3, 1, 46, moving=True), visit(3, 1, 45, moving=True)),
    "a fourth of many groups": (visit(12, 20, 1051), visit(12, 20, 1050)),
    "a fourth of a share": (share(46, 1), share(45, 1)),
    "beside a problem": (replace(FRAMES["problem"]), replace(FRAMES["problem"], digits="9:59")),
}


@pytest.mark.slow
@pytest.mark.parametrize("size", [(1024, 768), (1366, 768), (1920, 1080)])
@pytest.mark.parametrize("name", SECONDS)
def test_a_second_changes_less_than_a_tenth_of_the_picture(name: str, size: tuple[int, int]):
    drawn = []
    for frame in SECONDS[name]:
        image = QImage(*size, QImage.Format.Format_RGB32)
        with QPainter(image) as painter:
            paint_wall(painter, QRect(0, 0, *size), frame)
        drawn.append(pixels(image))
    assert 0 < (drawn[0] != drawn[1]).any(axis=2).mean() < 0.1


@pytest.mark.parametrize("edge", EDGES)
def test_a_second_in_a_strip_changes_less_than_a_tenth_of_the_screen(edge: str):
    """A strip is 9 % of a wide screen and less than a tenth of any."""
    for size in ((1024, 768), (1366, 768), (1920, 1080)):
        width, height = strip_size(edge, size)
        assert width * height < size[0] * size[1] / 10


@pytest.mark.slow
def test_a_whole_minute_runs_without_a_single_flash():
    """Once a second a digit changes, every 15 s a fourth goes."""
    images = [seen(wall(20, left)) for left in range(1060, 999, -1)]
    assert max(flashes(images[i : i + 3]) for i in range(len(images) - 2)) == 0
    assert max(float((one != two).mean()) for one, two in pairwise(images)) < 0.1

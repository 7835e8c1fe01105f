"""How the Wall moves: a fourth fades when it leaves, nothing else does, and large changes wait their turn."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from PySide6.QtCore import QSize
from PySide6.QtGui import QImage, QRegion

from pacer.frames.wall import PictureKey, WallFrame
from pacer.qt.kit import theme
from pacer.qt.wall import fades as wall_fades
from pacer.qt.wall.fades import CALM_MS, FADE_MS, STEP_S, CalmChanges, is_ordinary, loses_a_fourth
from pacer.qt.wall.layout import changed_area, leaving_fourth, picture_places
from pacer.qt.wall.window import Wall, WallCanvas
from tests.qt.hand_time import HandTime
from tests.qt.wall.wall_factories import (
    KEY,
    hidden,
    of_colour,
    pictured,
    pixels,
    put_away,
    share,
    strip,
    talk,
    visit,
    wall,
    wall_on_projector,
)
from tests.qt.window_factories import Paints, settle

BEFORE, AFTER = wall(left_s=466), wall(left_s=465)
PICTURE = wall(fill="picture", picture=KEY)
BLANK = WallFrame("blank")


@pytest.fixture
def time(monkeypatch) -> HandTime:
    """The Wall's own time; it stands still unless a test lets it pass."""
    return HandTime(monkeypatch, wall_fades)


@pytest.fixture
def placed(dressed, time) -> Iterator[Wall]:
    """A Wall on the projector, with nothing held back."""
    made, _screen = wall_on_projector()
    made.changes.calm_ms = 0
    yield made
    put_away(made)


@pytest.fixture
def guarded(dressed, time) -> Iterator[Wall]:
    """The same as the class sees it."""
    made, _screen = wall_on_projector()
    made.changes.calm_ms = CALM_MS
    yield made
    put_away(made)


def fades(made: Wall, time: HandTime, before: WallFrame, after: WallFrame) -> bool:
    made.show_frame(before)
    settle()
    made.show_frame(after)
    running = time.is_running
    made.show_frame(WallFrame("off"))
    return running


def seen(canvas: WallCanvas) -> np.ndarray:
    return pixels(canvas.grab().toImage().convertToFormat(QImage.Format.Format_RGB32))


# The fade.


def shade(canvas: WallCanvas, box) -> int:
    at = box.x + box.width // 2, box.y + box.height // 2
    return canvas.grab().toImage().pixelColor(*at).lightness()


def test_the_fourth_that_leaves_fades_within_three_tenths_of_a_second(placed: Wall, time: HandTime):
    assert FADE_MS == 300
    canvas = placed.full
    placed.show_frame(BEFORE)
    settle()
    box = leaving_fourth(AFTER, canvas.size())
    placed.show_frame(AFTER)
    shades = [shade(canvas, box)]
    assert shades[0] <= theme.SQUARE.lightness() + 3  # at first it is still there, whole
    time.pass_ms(FADE_MS, lambda: shades.append(shade(canvas, box)))
    assert shades == sorted(shades)
    assert len(set(shades)) >= 3
    assert shades[-1] == theme.PAPER.lightness()


def test_a_fade_paints_the_fourth_and_nothing_else(placed: Wall, time: HandTime):
    canvas = placed.full
    placed.show_frame(BEFORE)
    settle()
    watch = Paints(canvas)
    placed.show_frame(AFTER)
    settle()
    time.pass_ms(FADE_MS, settle)
    allowed = QRegion()
    for rect in changed_area(BEFORE, AFTER, canvas.size()):
        allowed += rect
    box = leaving_fourth(AFTER, canvas.size()).rect()
    assert len(watch.regions) >= 4
    assert watch.regions[0].subtracted(allowed + QRegion(box)).isEmpty()
    for region in watch.regions[1:]:
        assert region.boundingRect() == box
    shown = seen(canvas)
    placed.full.reduced_motion = True
    placed.show_frame(BEFORE)
    placed.show_frame(AFTER)
    settle()
    assert (seen(canvas) == shown).all()


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (wall(left_s=466), wall(left_s=465)),
        (wall(left_s=466, digits=None), wall(left_s=465, digits=None)),
        (strip(wall(left_s=466)), strip(wall(left_s=465))),
        (wall(left_s=480), wall(left_s=465)),
        (wall(left_s=466, fill="problem", problem="1/2"), wall(left_s=465, fill="problem", problem="1/2")),
    ],
)
def test_whenever_time_takes_one_fourth_it_fades(
    placed: Wall, time: HandTime, before: WallFrame, after: WallFrame
):
    assert fades(placed, time, before, after)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (wall(left_s=458), wall(left_s=457)),
        (wall(left_s=465), wall(left_s=466)),
        (wall(left_s=480), wall(left_s=435)),
        (wall(left_s=466), wall(left_s=465, title="Vocabulary")),
        (wall(left_s=1), wall(left_s=0, over=True, note="Finish up")),
        (wall(left_s=466), strip(wall(left_s=465))),
        (wall(left_s=466), hidden(wall())),
        (talk(16), talk(15)),
        (PICTURE, replace(PICTURE, picture=PictureKey(2, 2))),
        (wall(), BLANK),
    ],
)  # fmt: skip
def test_nothing_else_fades(placed: Wall, time: HandTime, before: WallFrame, after: WallFrame):
    assert not fades(placed, time, before, after)


def test_reduced_motion_turns_all_fades_off(placed: Wall, time: HandTime):
    placed.reduced_motion = True
    assert placed.reduced_motion
    assert not fades(placed, time, BEFORE, AFTER)
    assert not fades(placed, time, strip(BEFORE), strip(AFTER))
    placed.reduced_motion = False
    assert fades(placed, time, strip(BEFORE), strip(AFTER))


def test_the_next_change_ends_a_fade_cleanly(placed: Wall, time: HandTime):
    placed.show_frame(BEFORE)
    settle()
    placed.show_frame(AFTER)
    settle()
    box = leaving_fourth(AFTER, placed.full.size())
    assert shade(placed.full, box) < theme.PAPER.lightness()
    placed.show_frame(replace(AFTER, title="Vocabulary"))
    assert shade(placed.full, box) == theme.PAPER.lightness()
    assert not time.is_running


def test_a_wall_that_goes_off_stops_its_fade(placed: Wall, time: HandTime):
    placed.show_frame(BEFORE)
    settle()
    placed.show_frame(AFTER)
    placed.full.hide()
    assert not time.is_running


# The picture.


def test_a_picture_that_arrives_is_painted_in_its_place_and_only_there(placed: Wall):
    placed.show_frame(PICTURE)
    settle()
    watch = Paints(placed.full)
    placed.full.picture_arrived(PictureKey(2, 7))
    settle()
    assert watch.regions == []  # another page
    placed.full.pictures = of_colour("#8A1030")
    placed.full.picture_arrived(KEY)
    settle()
    place = picture_places(PICTURE, placed.full.size(), KEY)[0]
    assert [region.boundingRect() for region in watch.regions] == [place]
    assert placed.full.grab().toImage().pixelColor(place.center()).name() == "#8a1030"
    placed.show_frame(wall())
    settle()
    watch.regions.clear()
    placed.full.picture_arrived(KEY)
    settle()
    assert watch.regions == []


def test_a_picture_of_a_place_is_painted_at_every_group_that_is_there_and_nowhere_else(placed: Wall):
    frame = pictured(visit(8))
    placed.show_frame(frame)
    settle()
    watch, key = Paints(placed.full), PictureKey(0, 1, "station")
    places = picture_places(frame, placed.full.size(), key)
    assert len(places) == 2  # eight groups at six places
    placed.full.pictures = of_colour("#8A1030")
    placed.full.picture_arrived(key)
    settle()
    painted = QRegion()
    for region in watch.regions:
        painted += region
    assert painted == QRegion(places[0]) + QRegion(places[1])
    watch.regions.clear()
    placed.full.picture_arrived(PictureKey(0, 1))  # a phase's picture of the same number
    settle()
    assert watch.regions == []


def test_the_canvas_says_how_large_a_picture_it_will_ask_for(placed: Wall):
    asked = []

    def note(_key: PictureKey, size: QSize, _ratio: float) -> None:
        asked.append(size)

    placed.full.pictures = note
    placed.show_frame(replace(PICTURE, edge="right"))
    placed.full.repaint()
    lines = (PICTURE.line, PICTURE.second_line)
    assert set(map(QSize.toTuple, asked)) == {placed.full.picture_size("right", lines).toTuple()}


def test_a_screen_reader_is_told_the_problem_and_whose_turn_it_is(placed: Wall):
    placed.show_frame(wall(fill="problem", problem="2/3 or 3/4?"))
    assert "2/3 or 3/4?" in placed.full.accessibleDescription()
    placed.show_frame(talk(14))
    assert "Second partner" in placed.full.accessibleDescription()
    placed.show_frame(visit(2))
    assert "Circle: now Our table. Triangle: now Card sort" in placed.full.accessibleDescription()
    placed.show_frame(visit(2, left_s=30, soon=True))
    assert "Circle: next Card sort" in placed.full.accessibleDescription()
    placed.show_frame(visit(2, 2, 70, moving=True))
    assert "Circle: go to Our table" in placed.full.accessibleDescription()
    placed.show_frame(share())
    assert "What helped you place 3/4?" in placed.full.accessibleDescription()


# Large changes keep a distance.


@pytest.mark.parametrize(
    ("old", "new", "ordinary"),
    [
        (wall(left_s=458), wall(left_s=457), True),
        (wall(left_s=466), wall(left_s=465), True),
        (wall(left_s=458, digits=None), wall(left_s=457, digits=None), True),
        (wall(left_s=458), wall(left_s=458 - STEP_S - 1), False),
        (wall(0, 458, full=0, fourths=0), wall(0, 428, full=0, fourths=0), False),
        (wall(left_s=457), wall(left_s=458), False),
        (wall(left_s=458), wall(9, 518), False),
        (wall(), wall(waiting=True, note="Wait"), False),
        (wall(), hidden(wall()), False),
        (wall(), strip(wall()), False),
        (strip(wall()), strip(wall(edge="left")), False),
        (wall(), replace(wall(), title="Vocabulary"), False),
        (PICTURE, replace(PICTURE, picture=PictureKey(2, 2)), False),
        (BLANK, WallFrame("off"), False),
    ],
)  # fmt: skip
def test_only_a_second_that_goes_by_is_ordinary(old: WallFrame, new: WallFrame, ordinary: bool):
    assert is_ordinary(old, new) is ordinary


def test_a_fourth_that_leaves_is_counted_across_squares():
    assert loses_a_fourth(wall(left_s=421), wall(left_s=420))
    assert loses_a_fourth(wall(left_s=436), wall(left_s=435))
    assert not loses_a_fourth(wall(left_s=421), wall(left_s=419, whole=9))


def test_the_distance_is_a_third_of_a_second_and_more():
    """Four changes would need 1050 ms, so three are the most in a second."""
    assert 3 * CALM_MS > 1000
    assert CalmChanges(print).calm_ms == wall_fades.CALM_MS


def test_a_change_after_a_quiet_while_is_shown_at_once(guarded: Wall, time: HandTime):
    guarded.show_frame(wall())
    time.pass_ms(CALM_MS)
    guarded.show_frame(BLANK)
    assert guarded.strip.frame == BLANK


def test_of_the_changes_that_wait_the_newest_wins(guarded: Wall, time: HandTime):
    guarded.show_frame(wall())
    for frame in (BLANK, PICTURE, strip(wall()), wall(title="Vocabulary")):
        guarded.show_frame(frame)
        assert guarded.full.frame == wall()
    time.pass_ms(CALM_MS - 1)
    assert guarded.full.frame == wall()
    time.pass_ms(1)
    assert guarded.full.frame.title == "Vocabulary"
    assert not guarded.strip.isVisible()


def test_a_change_that_was_taken_back_is_never_shown(time: HandTime):
    seen: list[WallFrame] = []
    changes = CalmChanges(seen.append)
    changes.calm_ms = CALM_MS
    for frame in (wall(), BLANK, wall()):
        changes.change(frame)
    time.pass_ms(2 * CALM_MS)
    assert seen == [wall(), wall()]


def test_seconds_go_on_at_once_after_a_large_change(guarded: Wall):
    guarded.show_frame(wall())
    guarded.show_frame(wall(left_s=457))
    assert guarded.full.frame.digits == "7:37"


def test_a_wall_that_is_hidden_or_moved_forgets_what_waited(guarded: Wall, time: HandTime):
    guarded.show_frame(wall())
    guarded.show_frame(BLANK)
    guarded.hide()
    time.pass_ms(2 * CALM_MS)
    assert not guarded.full.isVisible()
    guarded.show_frame(wall())
    guarded.show_frame(BLANK)
    guarded.place(guarded.screen)
    guarded.show_frame(strip(wall()))
    assert guarded.strip.isVisible()  # on a screen that just came nothing waits


def test_the_distance_between_large_changes_is_kept(time: HandTime):
    """However fast frames come, at most three are let through in any second."""
    shown: list[tuple[int, WallFrame]] = []

    def note(frame: WallFrame) -> None:
        if not shown or shown[-1][1] != frame:
            shown.append((time.now_ms, frame))

    changes = CalmChanges(note)
    changes.calm_ms = CALM_MS
    frames = [wall(), BLANK, PICTURE, hidden(wall()), wall(waiting=True)]
    for sent in range(240):
        changes.change(frames[sent % len(frames)])
        time.pass_ms(7)
    assert len(shown) == 5  # at 0, 350, 700, 1050 and 1400 of 1680 ms
    assert all(later - earlier >= CALM_MS for (earlier, _old), (later, _new) in pairwise(shown))

"""The second half on the Wall: where groups are and go, legible from the back row, whole and apart."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QRect, QSize

from pacer.frames.wall import LEAST_SHARE, WallFrame
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import clean
from pacer.qt.wall.layout import wall_layout
from pacer.qt.wall.marks import Sign, WallLayout
from tests.qt.wall.wall_factories import (
    EDGES,
    OWN_NAMES,
    SIZES,
    advance,
    assert_change_is_covered,
    assert_tidy,
    groups,
    hidden,
    luminance,
    move,
    pictured,
    share,
    strip,
    strip_size,
    visit,
    words_of,
)

pytestmark = pytest.mark.usefixtures("qapp")

WIDE = [(1366, 768), (1920, 1080), (960, 540), (3840, 2160)]
ALL_SIZES = [*SIZES, (960, 540), (1280, 800)]
COUNTS = [1, 2, 3, 4, 6, 9, 12]
LONG_NAMES = ("The tall thin sunflowers by the windows", "Number friends who sit beside the door!",
              "Wiederholungsgruppe am Zahlenstrahl links")  # fmt: skip
RIGHT_TO_LEFT = ("דובים", "أسماك كبيرة", "מגדלור גבוה")
MOMENTS = {
    "visit": {},
    "last minute": {"left_s": 40, "soon": True},
    "last visit": {"next_title": "Share"},
    "over": {"left_s": 0, "soon": True, "over": True, "note": "Finish up"},
    "wait": {"waiting": True, "note": "Wait"},
    "eyes": {"note": "Eyes back"},
    "walk": {"whole": 2, "left_s": 70, "moving": True, "title": "Swap places"},
    "long walk": {"whole": 2, "left_s": 0, "moving": True, "title": "Swap places", "over": True,
                  "note": "Finish up"},
    "digits": {"whole": 0, "full": 0, "fourths": 0},
    "squares": {"digits": None},
}  # fmt: skip


def laid_out(frame: WallFrame, size: tuple[int, int]) -> WallLayout:
    return wall_layout(frame, QSize(*size))


def has_names(made: WallLayout) -> bool:
    """Whether names are written; where they would be too small their signs alone say them."""
    return "name-1" in made.words


def settings_of(made: WallLayout, part: str) -> list:
    return [mark.setting for name, mark in made.words.items() if name.startswith(part)]


@pytest.mark.slow
@pytest.mark.parametrize("size", ALL_SIZES)
@pytest.mark.parametrize("count", COUNTS)
def test_no_mark_overlaps_another_or_leaves_the_picture(count: int, size: tuple[int, int]):
    for changes in MOMENTS.values():
        frame = visit(count, **changes)
        assert_tidy(laid_out(frame, size))
        assert_tidy(laid_out(hidden(frame), size))


@pytest.mark.slow
@pytest.mark.parametrize("size", ALL_SIZES)
@pytest.mark.parametrize(
    "frame",
    [
        visit(n, **MOMENTS[name])
        for n in COUNTS
        for name in ("visit", "last minute", "over", "walk", "squares")
    ],
)
def test_every_group_is_there_whole_with_its_sign_its_name_and_its_place(
    frame: WallFrame, size: tuple[int, int]
):
    made = laid_out(frame, size)
    said = words_of(made)
    for number, group in enumerate(frame.groups, 1):
        if has_names(made):
            assert " ".join(made.words[f"name-{number}"].setting.lines) == group.name
        else:
            assert group.is_said_by_sign
        assert " ".join(made.words[f"place-{number}"].setting.lines) == (group.goes_to or group.place)
    assert not any("…" in text for text in said)
    signs = [mark for mark in made.marks if isinstance(mark, Sign)]
    assert [sign.name for sign in signs if sign.name != "to"] == [group.shape for group in frame.groups]
    # An arrow leads to every place that a group goes to, and to no other.
    assert sum(sign.name == "to" for sign in signs) == sum(bool(group.goes_to) for group in frame.groups)


@pytest.mark.parametrize("size", ALL_SIZES)
@pytest.mark.parametrize("count", [1, 2, 3, 4, 6, 8])
def test_words_of_groups_are_as_large_as_the_back_row_needs(count: int, size: tuple[int, int]):
    for name, changes in MOMENTS.items():
        for part, mark in laid_out(visit(count, **changes), size).words.items():
            assert mark.setting.cap_height >= LEAST_SHARE * size[1] - 1, (name, part)


@pytest.mark.parametrize("count", [6, 8])
def test_where_words_would_be_too_small_names_go_that_a_main_mark_says(count: int):
    """A picture of 4 : 3 has no room for both: a circle need not be called one, but where it goes is said."""
    made = laid_out(visit(count), (1024, 768))
    assert not has_names(made)
    signs = [mark for mark in made.marks if isinstance(mark, Sign) and mark.name != "to"]
    assert all(sign.box.width >= 0.078 * 768 for sign in signs)
    assert has_names(laid_out(visit(count), (1366, 768)))


@pytest.mark.parametrize("count", [6, 8])
@pytest.mark.parametrize("moment", ["visit", "last minute", "walk"])
def test_of_many_groups_with_names_of_their_own_the_signs_go_and_words_stay_large(moment: str, count: int):
    """Names tell groups apart as well; a picture is a sign like another."""
    plain = visit(count, names=OWN_NAMES, **MOMENTS[moment])
    for frame in (plain, pictured(plain)):
        made = laid_out(frame, (1024, 768))
        assert_tidy(made)
        assert has_names(made)
        assert not [mark for mark in made.marks if isinstance(mark, Sign) and mark.name != "to"]
        for part, mark in made.words.items():
            assert mark.setting.cap_height >= LEAST_SHARE * 768 - 1, part


@pytest.mark.parametrize("size", ALL_SIZES)
@pytest.mark.parametrize("count", [9, 12])
def test_of_very_many_groups_words_are_smaller_rather_than_cut(count: int, size: tuple[int, int]):
    made = laid_out(visit(count), size)
    least = 0.8 if size in WIDE or count == 9 else 0.6
    for part, mark in made.words.items():
        assert mark.setting.cap_height >= least * LEAST_SHARE * size[1] - 1, part


@pytest.mark.parametrize("size", ALL_SIZES)
@pytest.mark.parametrize("count", COUNTS)
def test_a_sign_is_higher_than_the_letters_beside_it_may_be_at_the_least(count: int, size: tuple[int, int]):
    for changes in MOMENTS.values():
        made = laid_out(visit(count, **changes), size)
        smallest = min(mark.setting.cap_height for part, mark in made.words.items() if "place" in part)
        assert all(
            mark.box.width > smallest for mark in made.marks if isinstance(mark, Sign) and mark.name != "to"
        )


@pytest.mark.parametrize("size", WIDE)
@pytest.mark.parametrize("count", [1, 2, 3, 4, 6])
def test_signs_digits_and_squares_are_main_marks(count: int, size: tuple[int, int]):
    """30 minutes of arc from the back row are 8 % of the height; signs are seen as they are large."""
    for whole, moving in itertools.product((1, 2, 5, 8, 12, 20), (False, True)):
        made = laid_out(visit(count, whole=whole, left_s=whole * 60 - 22, moving=moving), size)
        assert all(digit.px * theme.CAP_SHARE >= 0.078 * size[1] for digit in made.digits)
        # Above six groups there is a row for the time: squares of more than ten minutes are smaller there.
        least = 0.078 if count <= 4 and not (moving and whole > 5) else 0.06
        assert all(square.box.width >= least * size[1] for square in made.squares)
        signs = [mark for mark in made.marks if isinstance(mark, Sign) and mark.name != "to"]
        assert all(sign.box.width >= 0.078 * size[1] for sign in signs)


@pytest.mark.parametrize("size", ALL_SIZES)
@pytest.mark.parametrize("count", COUNTS)
def test_no_group_stands_out_by_size_and_nothing_moves_in_the_last_minute(count: int, size: tuple[int, int]):
    before, after = (laid_out(visit(count, **MOMENTS[name]), size) for name in ("visit", "last minute"))
    for made in (before, after):
        for part in ("name", "place") if has_names(made) else ("place",):
            assert len({setting.px for setting in settings_of(made, part)}) == 1
        signs = [mark for mark in made.marks if isinstance(mark, Sign) and mark.name != "to"]
        assert len({sign.box.width for sign in signs}) == 1
    if count > 1:
        assert [mark.box for mark in before.squares] == [mark.box for mark in after.squares]
        kept = [
            [mark.box for mark in made.marks if isinstance(mark, Sign) and mark.name != "to"]
            + [mark.box for part, mark in made.words.items() if "name" in part]
            for made in (before, after)
        ]
        assert kept[0] == kept[1]


@pytest.mark.parametrize("size", ALL_SIZES)
def test_digits_keep_their_size_whatever_the_visit_lasts(size: tuple[int, int]):
    """From one visit to the next, cut anew or not, and within one."""
    sizes = {laid_out(visit(3, whole, left), size).digits[0].px
             for whole, left in ((12, 700), (12, 30), (11, 400), (8, 400), (14, 610), (2, 90))}  # fmt: skip
    assert len(sizes) == 1


@pytest.mark.parametrize("size", ALL_SIZES)
@pytest.mark.parametrize("whole", [2, 5, 8, 12, 20])
def test_time_stands_in_the_middle_beside_the_groups_and_fills_its_column(whole: int, size: tuple[int, int]):
    made = laid_out(visit(3, whole=whole, left_s=whole * 60 - 22), size)
    marks = [mark.box for mark in (*made.digits, *made.squares)]
    top, bottom = min(box.y for box in marks), max(box.y + box.height for box in marks)
    title = made.words["title"].box
    above, below = top - title.y - title.height, size[1] - bottom
    assert abs(above - below) < 0.12 * size[1]
    right = max(square.box.x + square.box.width for square in made.squares)
    # Squares are as wide as the column or as high as it.
    assert right > 0.36 * size[0] or bottom - top > 0.62 * size[1]


@pytest.mark.parametrize("size", ALL_SIZES)
def test_where_time_is_hidden_groups_have_its_place(size: tuple[int, int]):
    shown, timeless = laid_out(visit(3), size), laid_out(hidden(visit(3)), size)
    assert timeless.digits == timeless.squares == ()
    sides = [[mark.box for mark in made.marks if isinstance(mark, Sign)] for made in (shown, timeless)]
    assert sides[1][0].width >= sides[0][0].width
    name_px = [settings_of(made, "name")[0].px for made in (shown, timeless)]
    # Signs grow where names are a little smaller.
    assert name_px[1] * sides[1][0].width >= name_px[0] * sides[0][0].width
    assert name_px[1] >= 0.8 * name_px[0]
    assert min(box.x for box in sides[1]) < 0.2 * size[0]
    assert max(box.x + box.width for box in sides[1]) > 0.8 * size[0] or sides[1][0].x == sides[1][1].x


@pytest.mark.parametrize("size", WIDE)
@pytest.mark.parametrize("count", [2, 3, 4, 6])
def test_while_children_walk_signs_are_larger(count: int, size: tuple[int, int]):
    def side(frame: WallFrame) -> int:
        return next(mark.box.width for mark in laid_out(frame, size).marks if isinstance(mark, Sign))

    assert side(visit(count, **MOMENTS["walk"])) >= side(visit(count))


@pytest.mark.slow
@pytest.mark.parametrize("size", ALL_SIZES)
@pytest.mark.parametrize("names", [LONG_NAMES, RIGHT_TO_LEFT])
@pytest.mark.parametrize("moment", MOMENTS)
def test_three_groups_with_long_or_right_to_left_names_are_whole(
    moment: str, names: tuple[str, ...], size: tuple[int, int]
):
    frame = visit(3, names=names, **MOMENTS[moment])
    made = laid_out(frame, size)
    assert_tidy(made)
    for number, name in enumerate(names, 1):
        assert " ".join(made.words[f"name-{number}"].setting.lines) == name
        assert made.words[f"name-{number}"].setting.cap_height >= 0.8 * LEAST_SHARE * size[1] - 1


def test_a_right_to_left_name_stands_beside_its_sign():
    made = laid_out(visit(3, names=RIGHT_TO_LEFT), (1366, 768))
    signs = [mark.box for mark in made.marks if isinstance(mark, Sign)]
    for number, sign in enumerate(signs, 1):
        gap = made.words[f"name-{number}"].box.x - sign.x - sign.width
        assert 0 < gap < 0.1 * 768


@pytest.mark.parametrize("size", ALL_SIZES)
def test_names_are_cut_before_places(size: tuple[int, int]):
    frame = visit(6, names=LONG_NAMES)
    made = laid_out(frame, size)
    assert_tidy(made)
    for number, group in enumerate(frame.groups, 1):
        assert " ".join(made.words[f"place-{number}"].setting.lines) == group.place


@pytest.mark.slow
@pytest.mark.parametrize("least", [0.05, 0.07, 0.09])
@pytest.mark.parametrize("size", SIZES)
def test_words_grow_with_the_room_and_nothing_overlaps(least: float, size: tuple[int, int]):
    for count in (1, 3, 12):
        for changes in MOMENTS.values():
            assert_tidy(laid_out(replace(visit(count, **changes), least_share=least), size))
    for frame in (share(), share(left_s=0, over=True, note="Finish up"), share(prompt="Why? " * 40)):
        assert_tidy(laid_out(replace(frame, least_share=least), size))


TEXTS = st.one_of(st.text(max_size=40), st.sampled_from(["Card sort", *RIGHT_TO_LEFT, *LONG_NAMES, "W" * 40]))


@pytest.mark.slow
@given(
    st.lists(st.tuples(TEXTS, TEXTS, TEXTS), min_size=1, max_size=12), st.integers(1, 60),
    st.sampled_from(sorted(MOMENTS)), st.sampled_from(ALL_SIZES),
)  # fmt: skip
def test_whatever_groups_are_called_lies_in_the_picture_and_apart(
    typed: list, whole: int, moment: str, size: tuple[int, int]
):
    frame = visit(len(typed), **{"whole": whole, **MOMENTS[moment]})
    named = tuple(
        group._replace(name=clean(name) or "A", place=clean(place) or "B", goes_to=clean(goes))
        for group, (name, place, goes) in zip(frame.groups, typed, strict=True)
    )
    made = laid_out(replace(frame, groups=named), size)
    picture = QRect(0, 0, *size)
    assert all(picture.contains(mark.box.rect()) for mark in made.marks)
    boxes = [mark.box.rect() for mark in made.marks]
    for number, one in enumerate(boxes):
        for other in boxes[number + 1 :]:
            shared = one.intersected(other)
            assert shared.width() <= 2 or shared.height() <= 2


# The share and the strip


@pytest.mark.parametrize("size", ALL_SIZES)
@pytest.mark.parametrize(
    "prompt",
    ["What helped you place 3/4?", "Which two fractions on the line were hardest to tell apart, and why?",
     ("Tell your neighbour what changed as the parts became smaller. " * 5)[:280].strip(), RIGHT_TO_LEFT[1]],
)  # fmt: skip
def test_what_the_share_asks_is_large_wraps_and_is_not_cut(prompt: str, size: tuple[int, int]):
    for changes in ({}, {"left_s": 0, "over": True, "note": "Finish up"}, {"waiting": True, "note": "Wait"}):
        made = laid_out(share(prompt=prompt, **changes), size)
        assert_tidy(made)
        asked = made.words["line"].setting
        assert " ".join(asked.lines) == prompt
        assert (
            asked.cap_height
            >= (0.08 if len(prompt) < 40 else 0.05 if len(prompt) < 100 else 0.04) * size[1] - 1
        )
    timeless = laid_out(hidden(share(prompt=prompt[:60].strip())), size)
    assert_tidy(timeless)
    assert not timeless.squares
    assert not timeless.digits


@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("frame", [visit(3), visit(12, 20, 1100), share(), share(whole=60, left_s=3500)])
@pytest.mark.parametrize("size", ALL_SIZES)
def test_a_strip_shows_title_and_time_and_nothing_that_is_cut(
    size: tuple[int, int], frame: WallFrame, edge: str
):
    made = laid_out(replace(strip(frame), edge=edge), strip_size(edge, size))
    assert_tidy(made)
    assert made.digits
    assert made.squares
    assert not any(mark.setting.elided for mark in made.words.values())
    assert not any(isinstance(mark, Sign) for mark in made.marks)
    if frame.whole <= 20 and edge in ("top", "bottom"):
        assert frame.title in words_of(made)


# What is painted


CHANGES = {
    "a second": (visit(3, left_s=451), visit(3, left_s=450)),
    "a fourth": (visit(3, left_s=421), visit(3, left_s=420)),
    "ten minutes": (visit(3, left_s=600), visit(3, left_s=599)),
    "last minute": (visit(3, left_s=61), visit(3, left_s=60, soon=True)),
    "over": (visit(3, left_s=1, soon=True), visit(3, **MOMENTS["over"])),
    "wait": (visit(3), visit(3, **MOMENTS["wait"])),
    "swap": (visit(3, left_s=30, soon=True), visit(3, **MOMENTS["walk"])),
    "a second of a swap": (visit(3, **MOMENTS["walk"]), visit(3, **{**MOMENTS["walk"], "left_s": 69})),
    "hidden": (visit(3), hidden(visit(3))),
    "share": (visit(3, **MOMENTS["last visit"]), share()),
    "a second of a share": (share(left_s=241), share(left_s=240)),
    "many groups": (visit(12, left_s=451), visit(12, left_s=450)),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", CHANGES)
@pytest.mark.parametrize("size", [(1366, 768), (1024, 768)])
def test_what_is_said_to_change_is_all_that_changes(name: str, size: tuple[int, int]):
    assert_change_is_covered(*CHANGES[name], *size)


def test_signs_are_ink_that_anybody_can_tell_from_paper():
    """WCAG 2.2, 1.4.11: 3 : 1 for what is needed to understand; the outline is the Wall's ink."""
    levels = luminance(np.array([theme.INK.getRgbF()[:3], theme.PAPER.getRgbF()[:3]]))
    assert (levels[1] + 0.05) / (levels[0] + 0.05) >= 3


def test_lines_of_a_name_are_within_its_box():
    for frame in (visit(3, names=LONG_NAMES), visit(6)):
        for mark in laid_out(frame, (1366, 768)).words.values():
            assert all(advance(mark.setting, line) <= mark.box.width + 1 for line in mark.setting.lines)


def test_groups_given_by_name_differ_in_sign():
    signs = [group.shape for group in groups(12)]
    assert len(set(signs)) == 12
    assert "square" not in signs


@pytest.mark.parametrize("size", [*SIZES, (960, 540), (1280, 1024)])
@pytest.mark.parametrize("word", [{"next_title": "Share"}, {"waiting": True, "note": "Wait"}])
def test_the_word_at_the_right_keeps_off_the_title(word: dict, size: tuple[int, int]) -> None:
    made = wall_layout(visit(3, 18, 1055, **word), QSize(*size)).words
    other = made["next"] if "next" in made else made["note"]
    assert len(other.setting.lines) == 1
    assert (
        other.box.x - (made["title"].box.x + made["title"].setting.width) >= made["title"].setting.px * 0.35
    )


TAKE_ALONG = ["Folder, pencil, whiteboard and one marker", "Red folder, sharp pencil, number line", "Folder"]


@pytest.mark.slow
@pytest.mark.parametrize("size", ALL_SIZES)
@pytest.mark.parametrize("count", [3, 6, 8, 12])
@pytest.mark.parametrize("title", TAKE_ALONG)
def test_no_word_of_what_to_take_along_goes_however_many_groups_walk(
    title: str, count: int, size: tuple[int, int]
) -> None:
    for frame in (visit(count, 2, 70, moving=True, title=title), move(count, title=title)):
        made = laid_out(frame, size)
        assert_tidy(made)
        assert " ".join(made.words["title"].setting.lines) == title


@pytest.mark.parametrize("size", WIDE)
@pytest.mark.parametrize("count", [3, 4, 5, 6])
@pytest.mark.parametrize("moment", [{}, {"whole": 2, "left_s": 70, "moving": True}])
def test_two_pictures_beside_each_other_are_no_smudges(
    moment: dict, count: int, size: tuple[int, int]
) -> None:
    made = laid_out(pictured(visit(count, **moment)), size)
    signs = [mark for mark in made.marks if isinstance(mark, Sign) and mark.name != "to"]
    assert len(signs) == 2 * count
    assert min(sign.box.width for sign in signs) >= 0.11 * size[1]
    words = [made.words[f"place-{number}"] for number in range(1, count + 1)]
    assert min(mark.setting.cap_height for mark in words) >= LEAST_SHARE * size[1] - 1

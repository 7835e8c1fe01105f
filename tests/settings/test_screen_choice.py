"""Which screen the class sees, from what was answered before: a table of rooms that changed overnight.

The rule is our own: a wrong guess would put the private window before the class, one more question costs one
key. Every expected value below is worked out by hand from that.
"""

from dataclasses import replace

import pytest
from pydantic import ValidationError

from pacer.settings.model import Settings
from pacer.settings.screen_choice import (
    ROOMS_KEPT,
    KnownRoom,
    ScreenId,
    WallChoice,
    card_of,
    choose,
    find_again,
    find_card,
    overlap,
    remember,
    remember_card,
)
from pacer.settings.store import load_settings, save_settings

LAPTOP = ScreenId(
    "eDP-1", (0, 0, 1366, 768), manufacturer="Invented", model="Panel 14", millimetres=(309, 174),
    primary=True,
)  # fmt: skip
BEAMER = ScreenId(
    "HDMI-1", (1366, 0, 1280, 800), manufacturer="Invented", model="Beamer", serial="B-77",
    millimetres=(1600, 1000),
)  # fmt: skip
PLAIN = replace(BEAMER, serial="")  # a projector that tells no serial number
TWIN = replace(PLAIN, name="HDMI-2", place=(2646, 0, 1280, 800))
MONITOR = ScreenId("DP-1", (2646, 0, 1920, 1080), manufacturer="Invented", model="Monitor", serial="M-1")

ONE, OTHER = ScreenId("A", (0, 0, 800, 600)), ScreenId("B", (800, 0, 800, 600))


def moved(screen: ScreenId, x: int, y: int = 0) -> ScreenId:
    return replace(screen, place=(x, y, *screen.place[2:]))


def scaled(screen: ScreenId, ratio: float) -> ScreenId:
    """The same pixels at another scale, rounded as the system does."""
    x, y, width, height = screen.place
    return replace(screen, place=(x, y, round(width / ratio), round(height / ratio)), ratio=ratio)


def sized(screen: ScreenId, width: int, height: int) -> ScreenId:
    return replace(screen, place=(*screen.place[:2], width, height))


# remembered screens, the answer, the screens present, the private window's, and what to do
CASES = {
    "the same room as yesterday": ([LAPTOP, BEAMER], BEAMER, [LAPTOP, BEAMER], LAPTOP, BEAMER),
    "the system lists the screens in another order": (
        [LAPTOP, BEAMER], BEAMER, [BEAMER, LAPTOP], LAPTOP, BEAMER,
    ),
    "the projector is the primary one now": (
        [LAPTOP, BEAMER], BEAMER, [replace(LAPTOP, primary=False), replace(BEAMER, primary=True)],
        replace(LAPTOP, primary=False), replace(BEAMER, primary=True),
    ),
    "the projector lies on the left now": (
        [LAPTOP, BEAMER], BEAMER, [moved(LAPTOP, 1280), moved(BEAMER, 0)], moved(LAPTOP, 1280),
        moved(BEAMER, 0),
    ),
    "the laptop's screen has another scale": (
        [LAPTOP, BEAMER], BEAMER, [scaled(LAPTOP, 1.25), BEAMER], scaled(LAPTOP, 1.25), BEAMER,
    ),
    "the projector is in another plug, and its serial number tells": (
        [LAPTOP, BEAMER], BEAMER, [LAPTOP, replace(BEAMER, name="DP-3")], LAPTOP,
        replace(BEAMER, name="DP-3"),
    ),
    "the private window is on the class's screen, which is known all the same": (
        [LAPTOP, BEAMER], BEAMER, [LAPTOP, BEAMER], BEAMER, BEAMER,
    ),
    "the class sees the laptop's screen, as the teacher once answered": (
        [LAPTOP, BEAMER], LAPTOP, [LAPTOP, BEAMER], LAPTOP, LAPTOP,
    ),
    "no serial number, the same plug": ([LAPTOP, PLAIN], PLAIN, [LAPTOP, PLAIN], LAPTOP, PLAIN),
    "no serial number, another plug": (
        [LAPTOP, PLAIN], PLAIN, [LAPTOP, replace(PLAIN, name="DP-3")], LAPTOP, "ask",
    ),
    "zeros are no serial number": (
        [LAPTOP, replace(PLAIN, serial="0000")], replace(PLAIN, serial="0000"),
        [LAPTOP, replace(PLAIN, serial="0000", name="DP-3")], LAPTOP, "ask",
    ),
    "a serial number that was not told yesterday": ([LAPTOP, PLAIN], PLAIN, [LAPTOP, BEAMER], LAPTOP, "ask"),
    "another projector of the same model": (
        [LAPTOP, BEAMER], BEAMER, [LAPTOP, replace(BEAMER, serial="B-78")], LAPTOP, "ask",
    ),
    "another model in the same plug": (
        [LAPTOP, PLAIN], PLAIN, [LAPTOP, replace(PLAIN, model="Board")], LAPTOP, "ask",
    ),
    "the same projector in another resolution": (
        [LAPTOP, BEAMER], BEAMER, [LAPTOP, sized(BEAMER, 1920, 1080)], LAPTOP, "ask",
    ),
    "the same name and pixels, another size in millimetres": (
        [LAPTOP, PLAIN], PLAIN, [LAPTOP, replace(PLAIN, millimetres=(520, 325))], LAPTOP, "ask",
    ),
    "the same model twice, serial numbers, swapped plugs": (
        [LAPTOP, BEAMER, replace(TWIN, serial="B-78")], BEAMER,
        [LAPTOP, replace(BEAMER, serial="B-78"), replace(TWIN, serial="B-77")], LAPTOP,
        replace(TWIN, serial="B-77"),
    ),
    "the same model twice without serial numbers: a swapped cable would not show": (
        [LAPTOP, PLAIN, TWIN], PLAIN, [LAPTOP, PLAIN, TWIN], LAPTOP, "ask",
    ),
    "the same model twice with one serial number for both": (
        [LAPTOP, BEAMER, replace(TWIN, serial="B-77")], BEAMER,
        [LAPTOP, BEAMER, replace(TWIN, serial="B-77")], LAPTOP, "ask",
    ),
    "the teacher's own two are alike, the class's is not": (
        [LAPTOP, PLAIN, TWIN], LAPTOP, [LAPTOP, PLAIN, TWIN], PLAIN, LAPTOP,
    ),
    "two screens that tell nothing but their plug, and look alike": (
        [ONE, OTHER], OTHER, [ONE, OTHER], ONE, "ask",
    ),
    "a third screen is there": ([LAPTOP, BEAMER], BEAMER, [LAPTOP, BEAMER, MONITOR], LAPTOP, "ask"),
    "one of three screens is gone": ([LAPTOP, BEAMER, MONITOR], BEAMER, [LAPTOP, BEAMER], LAPTOP, "ask"),
    "only the laptop's screen": ([LAPTOP, BEAMER], BEAMER, [LAPTOP], LAPTOP, "only one"),
    "only the projector, the lid is closed": ([LAPTOP, BEAMER], BEAMER, [BEAMER], BEAMER, "only one"),
    "both show the same": (
        [LAPTOP, BEAMER], BEAMER, [LAPTOP, moved(BEAMER, 0)], LAPTOP, "only one",
    ),
    "they overlap by one line": ([LAPTOP, BEAMER], BEAMER, [LAPTOP, moved(BEAMER, 1365)], LAPTOP, "only one"),
    "the private window is on no screen": ([LAPTOP, BEAMER], BEAMER, [LAPTOP, BEAMER], None, "only one"),
    "no screen at all": ([LAPTOP, BEAMER], BEAMER, [], None, "only one"),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_the_class_s_screen_is_known_or_asked_for(case):
    before, wall, present, private, wanted = CASES[case]
    rooms = remember((), before, wall)
    choice = choose(rooms, present, private)
    expected = WallChoice(wanted) if isinstance(wanted, str) else WallChoice("wall", wanted)
    assert choice == expected


def test_without_an_answer_two_screens_are_asked_about():
    assert choose((), [LAPTOP, BEAMER], LAPTOP) == WallChoice("ask")


def test_two_mirrored_screens_and_a_third_one_are_not_all_the_same():
    assert choose((), [LAPTOP, moved(BEAMER, 0), MONITOR], LAPTOP).kind == "ask"


def test_of_two_answers_about_the_same_screens_the_newer_one_holds_and_the_older_is_gone():
    rooms = remember(remember((), [LAPTOP, BEAMER], LAPTOP), [BEAMER, LAPTOP], BEAMER)
    assert choose(rooms, [LAPTOP, BEAMER], LAPTOP).wall == BEAMER
    assert len(rooms) == 1


def test_a_room_of_before_is_known_again_after_a_lesson_in_another():
    rooms = remember(remember((), [LAPTOP, BEAMER], BEAMER), [LAPTOP, MONITOR], MONITOR)
    assert choose(rooms, [LAPTOP, BEAMER], LAPTOP).wall == BEAMER
    assert choose(rooms, [LAPTOP, MONITOR], LAPTOP).wall == MONITOR


def test_the_last_eight_rooms_are_remembered():
    rooms: tuple[KnownRoom, ...] = ()
    beamers = [replace(BEAMER, serial=f"B-{number}") for number in range(1, ROOMS_KEPT + 2)]
    for beamer in beamers:
        rooms = remember(rooms, [LAPTOP, beamer], beamer)
    assert len(rooms) == ROOMS_KEPT == 8
    assert choose(rooms, [LAPTOP, beamers[0]], LAPTOP) == WallChoice("ask")
    assert choose(rooms, [LAPTOP, beamers[1]], LAPTOP).wall == beamers[1]


def test_an_answer_is_saved_with_the_settings_and_read_back(tmp_path):
    rooms = remember((), [LAPTOP, BEAMER], BEAMER)
    save_settings(tmp_path / "settings.json", Settings(rooms=rooms))
    settings, notice = load_settings(tmp_path / "settings.json")
    assert notice == ""
    assert settings.rooms == rooms
    assert choose(settings.rooms, [LAPTOP, BEAMER], LAPTOP).wall == BEAMER


def test_a_room_without_an_answer_is_no_room():
    with pytest.raises(ValidationError):
        KnownRoom.model_validate({"screens": []})


# In a lesson under way.


@pytest.mark.parametrize(
    ("was", "present", "found"),
    [
        (BEAMER, [LAPTOP, sized(moved(BEAMER, 0), 1920, 1080)], sized(moved(BEAMER, 0), 1920, 1080)),
        (BEAMER, [replace(BEAMER, name="DP-3")], replace(BEAMER, name="DP-3")),
        (BEAMER, [replace(BEAMER, serial="B-78")], None),
        (BEAMER, [LAPTOP], None),
        (BEAMER, [replace(TWIN, serial="B-77"), BEAMER], BEAMER),
        (PLAIN, [LAPTOP, sized(PLAIN, 800, 600)], sized(PLAIN, 800, 600)),
        (PLAIN, [LAPTOP, TWIN], None),
        (PLAIN, [TWIN, PLAIN], PLAIN),
        (PLAIN, [replace(PLAIN, model="Board")], None),
    ],
)
def test_the_wall_s_screen_is_found_again_by_its_serial_or_else_its_plug(was, present, found):
    assert find_again(was, present) == found


def test_screens_that_touch_do_not_overlap():
    assert not overlap(LAPTOP, BEAMER)
    assert overlap(LAPTOP, LAPTOP)
    assert not overlap(LAPTOP, moved(BEAMER, 0, 768))


# The Desk card's screen: private, so whatever is in doubt is no screen for it.

LEDGE = ScreenId("USB-1", (2646, 0, 480, 320), manufacturer="Invented", model="Ledge", millimetres=(73, 49))
THREE = [LAPTOP, BEAMER, LEDGE]
WITH_CARD = remember_card(remember((), THREE, BEAMER), THREE, LEDGE)


def test_no_room_has_a_desk_card_until_one_is_chosen():
    assert card_of(remember((), THREE, BEAMER), THREE) is None
    assert card_of(WITH_CARD, THREE) == LEDGE
    assert card_of(remember_card(WITH_CARD, THREE, None), THREE) is None
    assert choose(WITH_CARD, THREE, LAPTOP).wall == BEAMER


@pytest.mark.parametrize(
    "present",
    [
        [LAPTOP, BEAMER],
        [LAPTOP, BEAMER, sized(LEDGE, 800, 480)],
        [LAPTOP, BEAMER, replace(LEDGE, name="USB-2")],
        [LAPTOP, BEAMER, replace(LEDGE, model="Board")],
        [LAPTOP, replace(BEAMER, serial="B-78"), LEDGE],
        [*THREE, MONITOR],
        [],
    ],
    ids=["gone", "other size", "other plug", "other make", "other projector", "a fourth screen", "nothing"],
)
def test_in_another_room_or_with_a_doubt_there_is_no_desk_card(present):
    assert card_of(WITH_CARD, present) is None


def test_a_twin_of_the_desk_card_s_screen_makes_it_doubtful_and_a_serial_number_settles_it():
    twin = replace(LEDGE, name="USB-2", place=(3126, 0, 480, 320))
    four = [*THREE, twin]
    assert card_of(remember_card(remember((), four, BEAMER), four, LEDGE), four) is None
    told = [LAPTOP, BEAMER, replace(LEDGE, serial="L-1"), replace(twin, serial="L-2")]
    rooms = remember_card(remember((), told, BEAMER), told, told[2])
    swapped = [LAPTOP, BEAMER, replace(told[3], name="USB-1"), replace(told[2], name="USB-2")]
    assert card_of(rooms, swapped) == swapped[3]


def test_the_class_s_screen_never_becomes_the_desk_card_s():
    assert card_of(remember_card(WITH_CARD, THREE, BEAMER), THREE) is None
    asked_again = remember(WITH_CARD, THREE, LEDGE)
    assert (choose(asked_again, THREE, LAPTOP).wall, card_of(asked_again, THREE)) == (LEDGE, None)
    both = (KnownRoom(screens=WITH_CARD[0].screens, wall=LEDGE.known, card=LEDGE.known),)
    assert card_of(both, THREE) is None


def test_where_the_class_s_screen_is_not_known_no_desk_card_can_be_chosen():
    assert remember_card((), THREE, LEDGE) == ()


def test_the_same_answer_about_the_class_s_screen_keeps_the_desk_card():
    assert card_of(remember(WITH_CARD, THREE, BEAMER), THREE) == LEDGE


def test_the_desk_card_s_screen_is_saved_with_the_room_and_a_room_of_before_has_none(tmp_path):
    save_settings(tmp_path / "settings.json", Settings(rooms=WITH_CARD))
    settings, notice = load_settings(tmp_path / "settings.json")
    assert (notice, card_of(settings.rooms, THREE)) == ("", LEDGE)
    older = {"screens": [one.known.model_dump() for one in THREE], "wall": BEAMER.known.model_dump()}
    read = Settings.model_validate({"rooms": [older]})
    assert card_of(read.rooms, THREE) is None
    assert choose(read.rooms, THREE, LAPTOP).wall == BEAMER


@pytest.mark.parametrize(
    ("present", "found"),
    [
        (THREE, LEDGE),
        ([LAPTOP, moved(LEDGE, 1366)], moved(LEDGE, 1366)),
        ([LAPTOP, BEAMER], None),
        ([LAPTOP, sized(LEDGE, 1280, 800)], None),
        ([LAPTOP, replace(LEDGE, name="USB-2")], None),
        ([LAPTOP, LEDGE, replace(LEDGE, name="USB-2")], None),
        ([LAPTOP, replace(LEDGE, millimetres=(520, 325))], None),
    ],
)
def test_in_a_lesson_the_desk_card_s_screen_is_found_again_only_where_it_is_the_very_same(present, found):
    assert find_card(LEDGE, present) == found

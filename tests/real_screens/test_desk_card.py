"""The Desk card on a third real monitor: what is private stays on it, whatever cables and windows do."""

import os
import time
from collections.abc import Callable, Iterator

import pytest

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from PySide6.QtGui import QImage

from pacer.qt.kit import theme
from tests.real_screens.card_monitor import CARD, SIZE, CardMonitor
from tests.real_screens.child_process import PATIENCE_S, wait_until
from tests.real_screens.monitors import LAPTOP, PROJECTOR, TwoMonitors
from tests.real_screens.pacer_on_screens import (
    KNOWN_ROOMS,
    PacerOnScreens,
    is_curtain,
    private_colours,
    share_of,
    shows_wall,
)
from tests.real_screens.private_marker import is_private, private_pixels

LEDGE = {"name": "DUMMY2", "pixels": list(SIZE), "millimetres": [127, 85]}
ROOM = {"screens": [*KNOWN_ROOMS[0]["screens"], LEDGE], "wall": KNOWN_ROOMS[0]["wall"]}


@pytest.fixture
def ledge(two_monitors: TwoMonitors) -> Iterator[CardMonitor]:
    """The third monitor, right of the projector."""
    made = CardMonitor(two_monitors)
    made.plug()
    yield made
    made.unplug()
    two_monitors.reset()


@pytest.fixture
def lesson(pacer: PacerOnScreens, ledge: CardMonitor) -> PacerOnScreens:
    """A lesson that runs, with a Desk card chosen on another day."""
    pacer.know_the_room({**ROOM, "card": LEDGE})
    pacer.start_lesson()
    pacer.wait_for_shot("17-card", CARD, is_card, "the Desk card")
    return pacer


def is_card(image: QImage) -> bool:
    """Whether a picture is a Desk card that shows the lesson."""
    return is_private(image)


def is_paper(image: QImage) -> bool:
    """Whether a picture is nothing but paper."""
    return share_of(image, theme.PAPER) == 1


def nothing_private_on(pacer: PacerOnScreens, name: str, changed_s: float | None = None) -> None:
    """Nothing private is on the projector; what the display server left over goes as the program hears."""
    while True:
        shot = pacer.projector(name)
        if private_pixels(shot.image) == 0 and private_colours(shot.image) == set():
            return
        assert changed_s is not None, shot.path
        assert time.monotonic() - changed_s < PATIENCE_S, shot.path
        print(f"{name}: left over {shot.at_s - changed_s:.3f} s after the change")


def watch(pacer: PacerOnScreens, name: str, seconds: float = 1.0) -> None:
    """For a while nothing private is on the projector, in any picture."""
    end, number = time.monotonic() + seconds, 0
    while time.monotonic() < end:
        nothing_private_on(pacer, f"{name}-{number}")
        number += 1


def wait_for_card(pacer: PacerOnScreens, name: str, is_right: Callable[[QImage], bool], what: str) -> None:
    pacer.wait_for_shot(name, CARD, is_right, what)


@pytest.mark.scenario("the Desk card: every state")
def test_the_card_shows_every_state_on_its_own_monitor_alone_and_never_has_the_keyboard(
    lesson: PacerOnScreens, ledge: CardMonitor
) -> None:
    window = lesson.window("Desk card")
    assert window is not None
    assert (window.x, window.y, window.width, window.height) == ledge.place
    assert lesson.monitors.active_window_title() == "Pacer"
    lesson.monitors.click(window.x + 200, window.y + 100)
    assert lesson.monitors.active_window_title() == "Pacer"
    lesson.press("Down", "Down", "Down", "Down")
    wait_for_card(lesson, "17-borrowing", lambda i: "SAND" in private_colours(i), "Borrowing on the card")
    nothing_private_on(lesson, "17-wall-borrowing")
    lesson.press("Page_Down")
    wait_for_card(lesson, "17-closing", lambda i: "CLOSING" in private_colours(i), "Closing on the card")
    wait_for_card(lesson, "17-move-on", lambda i: "PLUM" in private_colours(i), "Move on on the card")
    nothing_private_on(lesson, "17-wall-move-on")
    lesson.press("space")
    wait_for_card(lesson, "17-paused", lambda i: i.pixelColor(1, 1) == theme.DESK_INK, "Paused on the card")
    lesson.press("Home")
    lesson.wait_for_shot("17-desk-ended", LAPTOP, is_private, "the Desk")
    lesson.press("Return")
    wait_until(lambda: lesson.window("Desk card") is None, "the card to go with the lesson")
    nothing_private_on(lesson, "17-after")


@pytest.mark.scenario("the Desk card: unplugged, mirrored, plugged")
def test_unplugged_mirrored_and_plugged_in_again_the_card_is_away_or_covered_until_the_curtain_is_lifted(
    lesson: PacerOnScreens, ledge: CardMonitor
) -> None:
    monitors = lesson.monitors
    ledge.unplug()
    nothing_private_on(lesson, "17-unplugged", time.monotonic())
    lesson.wait_for_shot("17-curtain-unplugged", LAPTOP, is_curtain, "the curtain")
    wait_until(lambda: lesson.window("Desk card") is None, "the card to go")
    monitors.key("Return")
    lesson.wait_for_shot("17-desk-unplugged", LAPTOP, is_private, "Enter to lift the curtain")
    watch(lesson, "17-without")

    ledge.mirror()
    nothing_private_on(lesson, "17-mirrored", time.monotonic())
    lesson.wait_for_shot("17-curtain-mirrored", LAPTOP, is_curtain, "the curtain")
    monitors.key("Return")
    lesson.wait_for_shot("17-desk-mirrored", LAPTOP, is_private, "Enter to lift the curtain")
    watch(lesson, "17-mirrored-later")
    assert lesson.window("Desk card") is None
    assert shows_wall(lesson.projector("17-wall-mirrored").image)

    ledge.plug()
    nothing_private_on(lesson, "17-plugged", time.monotonic())
    wait_for_card(lesson, "17-card-covered", is_paper, "the card as plain paper")
    lesson.wait_for_shot("17-curtain-plugged", LAPTOP, is_curtain, "the curtain")
    time.sleep(1.5)
    assert is_paper(monitors.photograph(CARD)), "no second of the lesson uncovers it"
    monitors.key("Return")
    wait_for_card(lesson, "17-card-back", is_card, "Enter to show the card with the Desk")
    lesson.wait_for_shot("17-desk-back", LAPTOP, is_private, "the Desk")
    nothing_private_on(lesson, "17-wall-back")


@pytest.mark.scenario("the Desk card: monitors rearranged")
def test_where_the_projector_comes_to_lie_under_the_card_s_window_that_is_gone_at_once(
    lesson: PacerOnScreens, ledge: CardMonitor
) -> None:
    """The desktop is arranged anew: what was the card's place is the projector's now."""
    ledge.swap_with_projector()
    nothing_private_on(lesson, "17-swapped", time.monotonic())
    wait_for_card(lesson, "17-swapped-card", is_paper, "the card as paper at its monitor's new place")
    watch(lesson, "17-swapped-later", 0.5)
    lesson.wait_for_shot("17-curtain-swapped", LAPTOP, is_curtain, "the curtain")
    lesson.monitors.key("Return")
    wait_for_card(lesson, "17-swapped-back", is_card, "the card at its monitor's new place")
    watch(lesson, "17-swapped-lifted", 0.5)


@pytest.mark.scenario("the Desk card: moved by the system")
def test_a_card_that_something_moves_onto_the_projector_is_hidden_at_once(lesson: PacerOnScreens) -> None:
    window = lesson.window("Desk card")
    assert window is not None
    lesson.monitors.move(window, 1500, 100)
    nothing_private_on(lesson, "17-moved", time.monotonic())
    wait_until(lambda: lesson.window("Desk card") is None, "the card to go")
    watch(lesson, "17-moved-later")
    assert is_private(lesson.laptop("17-desk-stays").image), "the Desk was not moved"


@pytest.mark.scenario("the Desk card: the lid is closed")
def test_with_the_lid_closed_nothing_private_is_seen_on_the_projector(
    lesson: PacerOnScreens, ledge: CardMonitor
) -> None:
    lesson.monitors.unplug(LAPTOP)
    nothing_private_on(lesson, "17-lid", time.monotonic())
    lesson.monitors.key("Return")
    watch(lesson, "17-lid-enter")
    lesson.monitors.plug(LAPTOP)
    nothing_private_on(lesson, "17-lid-open", time.monotonic())
    watch(lesson, "17-lid-open-later")


@pytest.mark.scenario("the Desk card: the projector is gone")
def test_without_the_projector_there_is_no_card_and_with_it_again_the_card_comes_back_covered(
    lesson: PacerOnScreens,
) -> None:
    lesson.monitors.unplug(PROJECTOR)
    wait_until(lambda: lesson.window("Desk card") is None, "the card to go")
    lesson.monitors.plug(PROJECTOR)
    nothing_private_on(lesson, "17-projector-back", time.monotonic())
    wait_for_card(lesson, "17-projector-card", is_paper, "the card as plain paper")
    lesson.wait_for_shot("17-projector-curtain", LAPTOP, is_curtain, "the curtain")
    lesson.monitors.key("Return")
    wait_for_card(lesson, "17-projector-card-back", is_card, "Enter to show the card")


@pytest.mark.scenario("the Desk card: chosen")
def test_on_room_the_card_s_monitor_is_chosen_by_its_large_number(
    pacer: PacerOnScreens, ledge: CardMonitor
) -> None:
    pacer.know_the_room(ROOM)
    pacer.start_on_today()
    pacer.monitors.key("ctrl+7")
    time.sleep(0.5)
    pacer.monitors.key("alt+d")
    number = pacer.monitors.wait_for_window("Screen 3")
    assert (number.x, number.y, number.width, number.height) == ledge.place
    assert pacer.window("Screen 2") is None, "nothing is asked on the class's screen"
    nothing_private_on(pacer, "17-asked")
    pacer.monitors.key("3")
    wait_until(lambda: pacer.settings()["rooms"][-1].get("card"), "the answer to be kept")
    assert pacer.settings()["rooms"][-1]["card"]["name"] == "DUMMY2"
    wait_until(lambda: pacer.window("Screen 3") is None, "the number to go")
    time.sleep(0.5)
    pacer.laptop("17-chosen")
    pacer.monitors.key("ctrl+1")
    time.sleep(0.5)
    pacer.monitors.key("alt+s")
    pacer.wait_for_wall()
    wait_for_card(pacer, "17-first-card", is_card, "the Desk card")
    nothing_private_on(pacer, "17-first-wall")

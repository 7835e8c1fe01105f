"""Outside a lesson, on a real laptop and a real projector: no private pixel where the class may look."""

import os
import time

import pytest

from tests.real_screens.child_process import PATIENCE_S, Child, wait_until
from tests.real_screens.monitors import LAPTOP, PROJECTOR, Window

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from PySide6.QtGui import QImage

from tests.real_screens.pacer_on_screens import PacerOnScreens, is_curtain
from tests.real_screens.private_marker import is_private, private_pixels

LOOK_S = 1.0  # some twenty pictures


def teach(pacer: PacerOnScreens) -> Child:
    """Teach a lesson to its end, and look back on it."""
    child, *_windows = pacer.start_lesson()
    pacer.press("Home")
    wait_until(lambda: pacer.events()[-1].body.kind == "bell_rang", "the bell")
    pacer.press("Return")
    wait_until(lambda: pacer.window("Wall") is None, "the Wall to go")
    pacer.wait_for_shot("15-look-back", LAPTOP, is_private, "Look back")
    return child


def assert_class_sees_nothing(pacer: PacerOnScreens, name: str, monitor: int = PROJECTOR) -> None:
    """What the display server left over goes; then, for two seconds, no picture has a private pixel."""

    def is_clean(image: QImage) -> bool:
        return not private_pixels(image)

    pacer.wait_for_shot(f"15-{name}-clean", monitor, is_clean, "a picture without a private pixel")
    begin = time.monotonic()
    while time.monotonic() - begin < LOOK_S:
        shot = pacer.shot(f"15-{name}-{time.monotonic() - begin:.2f}", monitor)
        assert is_clean(shot.image), f"private pixels for the class: {shot.path}"


def wait_for_curtain(pacer: PacerOnScreens, name: str, monitor: int = PROJECTOR) -> None:
    def is_it(image: QImage) -> bool:
        return is_curtain(image)

    pacer.wait_for_shot(f"15-{name}-curtain", monitor, is_it, "the curtain")


@pytest.mark.scenario("after a lesson: lid, mirrored, moved")
def test_after_a_lesson_closing_the_lid_mirroring_or_moving_the_window_shows_the_class_no_page(
    pacer: PacerOnScreens,
) -> None:
    monitors = pacer.monitors
    child = teach(pacer)
    monitors.unplug(LAPTOP)
    assert_class_sees_nothing(pacer, "lid")
    monitors.plug(LAPTOP)
    assert_class_sees_nothing(pacer, "lid-open")
    monitors.move_to(LAPTOP, "Pacer")
    pacer.wait_for_shot("15-own-screen", LAPTOP, is_private, "the page on the laptop, by itself")

    monitors.mirror()
    assert_class_sees_nothing(pacer, "mirrored")
    monitors.key("space", "Tab", "Escape")
    assert_class_sees_nothing(pacer, "mirrored-keys")
    pacer.lift("15-lifted")
    monitors.extend()
    assert_class_sees_nothing(pacer, "extended")
    pacer.wait_for_shot("15-extended-own", LAPTOP, is_private, "the page on the laptop, by itself")

    monitors.move_to(PROJECTOR, "Pacer")
    assert_class_sees_nothing(pacer, "moved")
    wait_for_curtain(pacer, "moved")
    assert child.running


@pytest.mark.scenario("from the first pixel: projector only, mirrored")
@pytest.mark.parametrize(
    "how", ["projector only", "mirrored", pytest.param("on the projector", marks=pytest.mark.long)]
)
def test_from_the_first_pixel_on_today_waits_where_the_class_looks(pacer: PacerOnScreens, how: str) -> None:
    monitors = pacer.monitors
    if how == "projector only":
        monitors.unplug(LAPTOP)
    elif how == "mirrored":
        monitors.mirror()
    else:
        monitors.swap_primary()
        monitors.point_at(PROJECTOR)
    begin = time.monotonic()
    child = pacer.start()
    seen = False
    while time.monotonic() - begin < PATIENCE_S and not seen:
        shot = pacer.shot(f"15-start-{time.monotonic() - begin:.2f}", PROJECTOR)
        assert private_pixels(shot.image) == 0, shot.path
        seen = pacer.window("Pacer") is not None
    window = monitors.wait_for_window("Pacer")
    assert_class_sees_nothing(pacer, "started")
    place = monitors.monitor(PROJECTOR)
    if place.x <= window.x + window.width // 2 < place.x + place.width:
        wait_for_curtain(pacer, "started")
        wait_until(lambda: monitors.active_window_title() == "Pacer", "the keyboard to be in Pacer")
        pacer.lift("15-started-lifted")
    else:
        assert how == "on the projector"
    assert child.running


@pytest.mark.scenario("a room nobody told of")
def test_in_a_room_nobody_told_of_nothing_is_shown_until_enter(
    pacer: PacerOnScreens,
) -> None:
    pacer.forget_the_room()
    child = pacer.start()
    pacer.monitors.wait_for_window("Pacer")
    for monitor in (LAPTOP, PROJECTOR):
        assert_class_sees_nothing(pacer, "never-asked", monitor)
    wait_until(lambda: pacer.monitors.active_window_title() == "Pacer", "the keyboard to be in Pacer")
    pacer.monitors.key("Return")
    pacer.wait_for_shot("15-never-asked-lifted", LAPTOP, is_private, "Today")
    assert child.running


@pytest.mark.scenario("dialogs and file choosers")
@pytest.mark.parametrize(
    ("keys", "name"),
    [
        (("alt+y",), "day-shapes"),
        (("ctrl+4", "alt+h"), "taken"),
        pytest.param(("ctrl+4", "ctrl+o", "Up", "Return"), "chooser", marks=pytest.mark.long),
    ],
)
def test_a_dialog_and_a_file_chooser_are_covered_with_the_page_below_them(
    pacer: PacerOnScreens, keys: tuple[str, ...], name: str
) -> None:
    monitors = pacer.monitors
    child, _window = pacer.start_on_today()
    for key in keys:
        monitors.key(key)
        time.sleep(0.7)
    dialog = wait_until(lambda: other_window(pacer), "a dialog")
    monitors.mirror()
    assert_class_sees_nothing(pacer, name)
    monitors.key("a", "space", "Tab", "alt+s")
    assert_class_sees_nothing(pacer, f"{name}-keys")
    assert is_open(pacer, dialog)
    assert other_window(pacer) is None, "its title tells what it is about"
    pacer.lift(f"15-{name}-lifted", lambda image: private_pixels(image) > 0)
    assert wait_until(lambda: other_window(pacer), "its own title").title == dialog.title
    monitors.extend()
    assert_class_sees_nothing(pacer, f"{name}-extended")
    monitors.move_to(PROJECTOR, dialog.id)
    assert_class_sees_nothing(pacer, f"{name}-moved")
    assert other_window(pacer) is None
    assert child.running


def other_window(pacer: PacerOnScreens) -> Window | None:
    """A window with another title than the private one's."""
    return next((one for one in pacer.monitors.windows() if one.title != "Pacer"), None)


def is_open(pacer: PacerOnScreens, window: Window) -> bool:
    """Whether a window is still there, whatever its title is now."""
    return window.id in [one.id for one in pacer.monitors.windows()]

"""A projector comes and goes while something is open over a planning page, or a question over a lesson."""

import os

import pytest

from tests.real_screens.child_process import wait_until
from tests.real_screens.monitors import LAPTOP, PROJECTOR

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from tests.real_screens.pacer_on_screens import PacerOnScreens
from tests.real_screens.private_marker import is_private, private_pixels
from tests.real_screens.test_private_pages import assert_class_sees_nothing

LONG = pytest.mark.long
OPEN = {
    "week-print": ("ctrl+2", "a", "Return", "ctrl+p"),
    "week-add": ("ctrl+2", "a"),
    "week-save": ("ctrl+2", "a", "Return", "alt+v"),
    "library-menu": ("ctrl+3", "Menu"),
    "library-rename": ("ctrl+3", "F2", "x"),
    "library-text": ("ctrl+3", "Down", "alt+x"),
    "outline-open": ("ctrl+4", "alt+o"),
    "outline-copy": ("ctrl+4", "alt+c"),
    "outline-kinds": ("ctrl+4", "alt+k"),
    "outline-preview": ("ctrl+4",),
}


def press_and_see(pacer: PacerOnScreens, key: str) -> None:
    """Press a key and wait until the laptop shows something else."""
    before = pacer.laptop("18-before").image
    pacer.monitors.key(key)
    wait_until(lambda: pacer.laptop("18-after").image != before, f"the key {key} to be followed")


@pytest.mark.scenario("a projector comes as a copy, beside, and goes")
@pytest.mark.parametrize(
    "name", [name if name == "week-print" else pytest.param(name, marks=LONG) for name in OPEN]
)
def test_what_is_open_on_a_page_is_covered_and_comes_back_with_the_keyboard(
    pacer: PacerOnScreens, name: str
) -> None:
    monitors = pacer.monitors
    (pacer.data / "outlines" / "lost.toml").write_text("format = 1\n[block\n", encoding="utf-8")
    monitors.unplug(PROJECTOR)
    child, _window = pacer.start_on_today()
    for key in OPEN[name]:
        press_and_see(pacer, key)
    monitors.mirror()
    assert_class_sees_nothing(pacer, name)
    pacer.lift(f"18-{name}-lifted", lambda image: private_pixels(image) > 0)
    monitors.extend()
    assert_class_sees_nothing(pacer, f"{name}-beside")
    monitors.unplug(PROJECTOR)
    pacer.wait_for_shot(f"18-{name}-own", LAPTOP, is_private, "the page")

    def is_closed() -> bool:
        if monitors.active_window_title() != "Pacer":
            monitors.key("Escape")
        return [one.title for one in monitors.windows()] == ["Pacer"]

    wait_until(is_closed, "Escape to close what is open")
    press_and_see(pacer, "ctrl+7")
    assert child.running


@pytest.mark.scenario("a projector comes back under a question")
def test_after_a_question_that_a_projector_outlived_the_keyboard_is_in_the_lesson(
    pacer: PacerOnScreens,
) -> None:
    monitors = pacer.monitors
    pacer.start_lesson()
    monitors.unplug(PROJECTOR)
    pacer.wait_for_events("started", "screens_changed")
    monitors.key("Return")
    wait_until(lambda: monitors.active_window_title() == "One screen", "the question")
    monitors.plug(PROJECTOR)
    pacer.wait_for_wall()
    pacer.wait_for_events("started", "screens_changed", "screens_changed")
    monitors.key("Escape")
    wait_until(lambda: monitors.active_window_title() == "Pacer", "the keyboard to be in Pacer")
    monitors.key("Return")
    pacer.wait_for_shot("18-desk", LAPTOP, is_private, "the Desk")

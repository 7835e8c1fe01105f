"""The screens there are, as plain values; Qt's own screens are never held on to."""

from collections.abc import Sequence

from PySide6.QtCore import QRect
from PySide6.QtGui import QGuiApplication, QScreen

from pacer.settings.screen_choice import ScreenId, overlap


class ScreenInfo(ScreenId):
    """A screen with its place in Qt's terms."""

    @property
    def rect(self) -> QRect:
        return QRect(*self.place)


def present_screens() -> list[ScreenInfo]:
    """The screens there are now, the primary one first."""
    primary = QGuiApplication.primaryScreen()
    ordered = sorted(QGuiApplication.screens(), key=lambda screen: screen is not primary)
    return [screen_info(screen) for screen in ordered]


def screen_info(screen: QScreen) -> ScreenInfo:
    """The value of a screen."""
    place, size = screen.geometry(), screen.physicalSize()
    return ScreenInfo(
        screen.name(),
        (place.x(), place.y(), place.width(), place.height()),
        screen.devicePixelRatio(),
        screen.manufacturer(),
        screen.model(),
        screen.serialNumber(),
        (round(size.width()), round(size.height())),
        screen is QGuiApplication.primaryScreen(),
    )


def places_windows() -> bool:
    """Whether a program may say where its windows go, and is told where they are; Wayland does neither."""
    return not QGuiApplication.platformName().startswith("wayland")


def wall_choice(screens: Sequence[ScreenInfo], private: ScreenInfo | None) -> ScreenInfo | None:
    """A screen that shows nothing of the private window's screen, or None when there is none.

    Mirrored screens overlap, so they count as one: children would see the Desk.
    """
    return next((one for one in screens if private is not None and not overlap(one, private)), None)


def find_screen(info: ScreenInfo) -> QScreen | None:
    """The live screen behind a value, if it is still there."""
    for screen in QGuiApplication.screens():
        if screen.name() == info.name and screen.geometry() == info.rect:
            return screen
    return None


def screen_words(info: ScreenInfo) -> str:
    """A screen as the day record tells it: ``DUMMY1 1280x720 at 1368,0, primary``."""
    wide, high = info.pixels
    words = f"{info.name} {wide}x{high} at {info.place[0]},{info.place[1]}"
    if info.ratio != 1:
        words += f", scale {info.ratio:g}"
    return f"{words}, primary" if info.primary else words

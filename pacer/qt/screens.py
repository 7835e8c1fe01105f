"""Which screen is for the Wall, from plain values; screens are never held on to."""

from dataclasses import dataclass

from PySide6.QtCore import QRect
from PySide6.QtGui import QGuiApplication, QScreen


@dataclass(frozen=True)
class ScreenInfo:
    """What is needed of a screen: its name and its place on the desktop."""

    name: str
    geometry: tuple[int, int, int, int]

    @property
    def rect(self) -> QRect:
        """The place as Qt's rectangle."""
        return QRect(*self.geometry)


def present_screens() -> list[ScreenInfo]:
    """The screens there are now, the primary one first."""
    primary = QGuiApplication.primaryScreen()
    ordered = sorted(QGuiApplication.screens(), key=lambda screen: screen is not primary)
    return [screen_info(screen) for screen in ordered]


def screen_info(screen: QScreen) -> ScreenInfo:
    """The value of a screen."""
    place = screen.geometry()
    return ScreenInfo(screen.name(), (place.x(), place.y(), place.width(), place.height()))


def wall_choice(screens: list[ScreenInfo], private: ScreenInfo | None) -> ScreenInfo | None:
    """A screen that shows nothing of the private window's screen, or None when there is none.

    Mirrored screens overlap, so they count as one: children would see the Desk.
    """
    if private is None:
        return None
    apart = [other for other in screens if other != private and not other.rect.intersects(private.rect)]
    return apart[0] if apart else None


def find_screen(info: ScreenInfo) -> QScreen | None:
    """The live screen behind a value, if it is still there."""
    for screen in QGuiApplication.screens():
        if screen.name() == info.name and screen.geometry() == info.rect:
            return screen
    return None

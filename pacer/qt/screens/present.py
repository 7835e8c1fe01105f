"""The screens there are, as plain values; Qt's own screens are never held on to."""

from dataclasses import dataclass, field

from PySide6.QtCore import QRect
from PySide6.QtGui import QGuiApplication, QScreen

from pacer.settings.screen_choice import ScreenId


@dataclass(frozen=True)
class ScreenInfo:
    """What is needed of a screen: its name, its place on the desktop, and what tells it from others.

    ``geometry`` is left, top, width and height in scaled units, ``ratio`` pixels per unit, ``millimetres``
    width and height as the system says.
    """

    name: str
    geometry: tuple[int, int, int, int]
    ratio: float = 1.0
    manufacturer: str = ""
    model: str = ""
    serial: str = ""
    millimetres: tuple[int, int] = (0, 0)
    # Another primary screen is no reason to place the Wall anew.
    primary: bool = field(default=False, compare=False)

    @property
    def rect(self) -> QRect:
        """The place as Qt's rectangle."""
        return QRect(*self.geometry)

    @property
    def id(self) -> ScreenId:
        """The value that the choice of the Wall's screen is made from."""
        return ScreenId(
            self.name, self.geometry, self.ratio, self.manufacturer, self.model, self.serial,
            self.millimetres, self.primary,
        )  # fmt: skip


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


def screen_words(info: ScreenInfo) -> str:
    """A screen as the day record tells it: ``DUMMY1 1280x720 at 1368,0, primary``."""
    wide, high = info.id.pixels
    words = f"{info.name} {wide}x{high} at {info.geometry[0]},{info.geometry[1]}"
    if info.ratio != 1:
        words += f", scale {info.ratio:g}"
    return f"{words}, primary" if info.primary else words

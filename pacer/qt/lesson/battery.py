"""One line about the battery, only when it may not last."""

from collections.abc import Callable
from typing import Protocol

from pacer.text import _

SOON_S = 3600  # under an hour of battery is said
LOW_PERCENT = 20  # said where the time left is unknown


class Battery(Protocol):
    """A reading: ``secsleft`` in seconds, negative when unknown; plugged None when the system cannot tell."""

    percent: float
    secsleft: int
    power_plugged: bool | None


def read_battery() -> Battery | None:
    """The laptop's battery now; None without one, or where the system does not tell."""
    import psutil

    try:
        found: Battery | None = psutil.sensors_battery()
    except (AttributeError, OSError, RuntimeError):
        return None  # no such reading on this system
    return found


def battery_line(read: Callable[[], Battery | None] = read_battery) -> str:
    """What to tell of the battery; empty while it is plugged in or lasts."""
    battery = read()
    if battery is None or battery.power_plugged is not False:
        return ""
    if battery.secsleft < 0:
        if battery.percent >= LOW_PERCENT:
            return ""
        return _("Battery: {percent} % left. Plug in.").format(percent=int(battery.percent))
    if battery.secsleft >= SOON_S:
        return ""
    return _("Battery: about {minutes} min left. Plug in.").format(minutes=_about_min(battery.secsleft))


def _about_min(seconds: int) -> int:
    """Whole minutes, rounded down to fives from ten on: the system's guess is no better than that."""
    minutes = max(1, seconds // 60)
    return minutes if minutes < 10 else minutes - minutes % 5

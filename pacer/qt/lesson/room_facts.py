"""What the program can see of the room for the ready list, gathered when it is asked for."""

from collections.abc import Callable, Sequence

from PySide6.QtWidgets import QWidget

from pacer.frames.ready import RoomFacts
from pacer.log.bell_presses import bell_presses
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.qt.lesson.battery import Battery, read_battery
from pacer.qt.screens.class_screen import ClassScreen
from pacer.qt.screens.present import places_windows, present_screens, screen_info
from pacer.settings.screen_choice import KnownRoom


def room_facts(
    window: QWidget,
    rooms: Sequence[KnownRoom],
    day: str,
    problems: tuple[str, ...] | None,
    *,
    records: DayRecords | None,
    keys_tried: bool,
    read: Callable[[], Battery | None] = read_battery,
) -> RoomFacts:
    """The facts now. ``problems`` are those of the attachments, None while they are looked into."""
    screens, shown_on = present_screens(), window.screen()
    choice = ClassScreen()
    choice.rooms = tuple(rooms)
    kind = choice.kind(screens, None if shown_on is None else screen_info(shown_on))
    battery = read()
    left_s = None
    if battery is not None and battery.power_plugged is False and battery.secsleft >= 0:
        left_s = battery.secsleft
    return RoomFacts(
        # Mirrored screens show one picture.
        screens=1 if kind == "only one" else len(screens),
        wall_known=kind == "wall",
        day=day,
        attachment_problems=problems,
        battery_s=left_s,
        plugged=None if battery is None else battery.power_plugged,
        can_write=records is not None and records.can_write,
        keys_tried=keys_tried,
        bell_presses=_presses(records),
        windows_placed=places_windows(),
    )


def _presses(records: DayRecords | None) -> tuple[int, ...]:
    try:
        return () if records is None else tuple(bell_presses(records))
    except LogError:
        return ()  # told where the records are looked at

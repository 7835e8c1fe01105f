"""Which screen the class sees in this lesson, and what was answered in others."""

from collections.abc import Sequence

from pacer.qt.screens.present import ScreenInfo, present_screens, wall_choice
from pacer.run.room_plan import ScreenKind, SeenBy
from pacer.settings.screen_choice import KnownRoom, choose, find_again, overlap, remember, seen_by


class ClassScreen:
    """Which screen the class sees: the answers of other days, and the one this lesson goes by."""

    def __init__(self) -> None:
        self.rooms: tuple[KnownRoom, ...] = ()
        self.home: ScreenInfo | None = None

    def kind(self, screens: Sequence[ScreenInfo], private: ScreenInfo | None) -> ScreenKind:
        """Whether the class's screen is known ("wall"), to ask for ("ask"), or none is apart ("only one")."""
        return choose(self.rooms, screens, private).kind

    def known(self, screens: Sequence[ScreenInfo], private: ScreenInfo | None) -> ScreenInfo | None:
        """The class's screen by an earlier answer."""
        return choose(self.rooms, screens, private).wall

    def seen_by(self, screens: Sequence[ScreenInfo], on: Sequence[ScreenInfo]) -> SeenBy:
        """Who sees the screens that something private is on; the class may see them where in doubt."""
        found = {seen_by(self.rooms, one, alone=len(screens) == 1) for one in on}
        return "class" if "class" in found else "unknown" if "unknown" in found else "teacher"

    def alive(self, screens: Sequence[ScreenInfo]) -> ScreenInfo | None:
        """The screen this lesson's Wall belongs to, while it is there."""
        return None if self.home is None else find_again(self.home, screens)

    def best(self, screens: Sequence[ScreenInfo], private: ScreenInfo | None) -> ScreenInfo | None:
        """Where the Wall goes now: home; else by an earlier answer; else, until asked, beside the teacher."""
        return self.alive(screens) or self.known(screens, private) or wall_choice(screens, private)

    def answer(self, wall: ScreenInfo, screens: Sequence[ScreenInfo]) -> None:
        """Keep the teacher's answer."""
        self.rooms = remember(self.rooms, screens, wall)
        self.home = wall


def same_picture(one: ScreenInfo | None, other: ScreenInfo | None) -> bool:
    """Whether two screens show some of the same."""
    return one is not None and other is not None and overlap(one, other)


def is_teachers_own(rooms: Sequence[KnownRoom]) -> bool:
    """Whether the only screen there is is the teacher's, so that her pages may be shown on it."""
    screens = present_screens()
    return len(screens) == 1 and seen_by(rooms, screens[0], alone=True) == "teacher"

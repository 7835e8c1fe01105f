"""Which screen the class sees in this lesson, and what was answered in others."""

from collections.abc import Sequence

from pacer.qt.screens.present import ScreenInfo, wall_choice
from pacer.run.room_plan import ScreenKind
from pacer.settings.screen_choice import KnownRoom, choose, find_again, overlap, remember


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

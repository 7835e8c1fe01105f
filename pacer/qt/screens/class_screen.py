"""Which screen the class sees in this lesson, and what was answered in others."""

from collections.abc import Sequence

from pacer.qt.screens.present import ScreenInfo, wall_choice
from pacer.run.room_plan import ScreenKind
from pacer.settings.screen_choice import KnownRoom, ScreenId, choose, find_again, overlap, remember


class ClassScreen:
    """Which screen the class sees: the answers of other days, and the one this lesson goes by."""

    def __init__(self) -> None:
        self.rooms: tuple[KnownRoom, ...] = ()
        self.home: ScreenId | None = None

    def kind(self, screens: Sequence[ScreenInfo], private: ScreenInfo | None) -> ScreenKind:
        """Whether the class's screen is known ("wall"), to ask for ("ask"), or none is apart ("only one")."""
        return choose(self.rooms, _ids(screens), _id(private)).kind

    def known(self, screens: Sequence[ScreenInfo], private: ScreenInfo | None) -> ScreenInfo | None:
        """The class's screen by an earlier answer."""
        return _info(choose(self.rooms, _ids(screens), _id(private)).wall, screens)

    def alive(self, screens: Sequence[ScreenInfo]) -> ScreenInfo | None:
        """The screen this lesson's Wall belongs to, while it is there."""
        return None if self.home is None else _info(find_again(self.home, _ids(screens)), screens)

    def best(self, screens: Sequence[ScreenInfo], private: ScreenInfo | None) -> ScreenInfo | None:
        """Where the Wall goes now: home; else by an earlier answer; else, until asked, beside the teacher."""
        home = self.alive(screens) or self.known(screens, private)
        return home or wall_choice(list(screens), private)

    def answer(self, wall: ScreenInfo, screens: Sequence[ScreenInfo]) -> None:
        """Keep the teacher's answer."""
        self.rooms = remember(self.rooms, _ids(screens), wall.id)
        self.home = wall.id


def same_picture(one: ScreenInfo | None, other: ScreenInfo | None) -> bool:
    """Whether two screens show some of the same."""
    return one is not None and other is not None and overlap(one.id, other.id)


def _ids(screens: Sequence[ScreenInfo]) -> list[ScreenId]:
    return [screen.id for screen in screens]


def _id(screen: ScreenInfo | None) -> ScreenId | None:
    return None if screen is None else screen.id


def _info(wanted: ScreenId | None, screens: Sequence[ScreenInfo]) -> ScreenInfo | None:
    return next((screen for screen in screens if screen.id == wanted), None)

"""Which screen the class sees in this lesson and which has the Desk card, and what was answered in others."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from pacer.qt.screens.present import ScreenInfo, present_screens, wall_choice
from pacer.settings.screen_choice import (
    KnownRoom,
    card_of,
    choose,
    find_again,
    find_card,
    overlap,
    remember,
    remember_card,
    seen_by,
)

if TYPE_CHECKING:
    from pacer.run.room_plan import CardScreen, ScreenKind, SeenBy


class ClassScreen:
    """Which screen the class sees: the answers of other days, and the one this lesson goes by.

    ``card_home`` is where this lesson's Desk card belongs.
    """

    def __init__(self) -> None:
        self.rooms: tuple[KnownRoom, ...] = ()
        self.home: ScreenInfo | None = None
        self.card_home: ScreenInfo | None = None

    def kind(self, screens: Sequence[ScreenInfo], private: ScreenInfo | None) -> "ScreenKind":
        """Whether the class's screen is known ("wall"), to ask for ("ask"), or none is apart ("only one")."""
        return choose(self.rooms, screens, private).kind

    def known(self, screens: Sequence[ScreenInfo], private: ScreenInfo | None) -> ScreenInfo | None:
        """The class's screen by an earlier answer."""
        return choose(self.rooms, screens, private).wall

    def seen_by(self, screens: Sequence[ScreenInfo], on: Sequence[ScreenInfo]) -> "SeenBy":
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
        self.rooms = remember(self.rooms, screens, wall)
        self.home = wall

    def card(self, screens: Sequence[ScreenInfo]) -> ScreenInfo | None:
        """The Desk card's screen: the one chosen for these screens, else the one of this lesson."""
        known = card_of(self.rooms, screens)
        return known or (None if self.card_home is None else find_card(self.card_home, screens))

    def choose_card(self, card: ScreenInfo | None, screens: Sequence[ScreenInfo]) -> None:
        """Keep another answer, None for no Desk card."""
        self.rooms = remember_card(self.rooms, screens, card)
        self.card_home = None


def same_picture(one: ScreenInfo | None, other: ScreenInfo | None) -> bool:
    """Whether two screens show some of the same."""
    return one is not None and other is not None and overlap(one, other)


def card_place(
    card: ScreenInfo | None, screens: Sequence[ScreenInfo], taken: Sequence[ScreenInfo | None]
) -> "CardScreen":
    """Whether the Desk card's screen is there, apart from all others and from those that are taken."""
    if card is None:
        return "none"
    others = (*(screen for screen in screens if screen != card), *taken)
    return "shared" if any(same_picture(card, other) for other in others) else "apart"


def card_screens(
    screens: Sequence[ScreenInfo], wall: ScreenInfo | None, private: ScreenInfo | None
) -> list[ScreenInfo]:
    """The screens that could have a Desk card: neither the class's nor the teacher's own, apart from all."""
    if wall is None or private is None:
        return []
    return [screen for screen in screens if card_place(screen, screens, (wall, private)) == "apart"]


def are_several() -> bool:
    """Whether there is more than one screen, so that nobody knows yet on which one a new window will be."""
    return len(present_screens()) > 1


def is_teachers_own(rooms: Sequence[KnownRoom]) -> bool:
    """Whether the only screen there is is the teacher's, so that her pages may be shown on it."""
    screens = present_screens()
    return len(screens) == 1 and seen_by(rooms, screens[0], alone=True) == "teacher"

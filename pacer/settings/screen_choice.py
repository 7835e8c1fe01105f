"""Which screen the class sees: decided from what the teacher answered before, or to be asked again."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Generic, TypeVar

from pydantic import BaseModel, ConfigDict

if TYPE_CHECKING:
    from pacer.run.room_plan import ScreenKind, SeenBy

ROOMS_KEPT = 8
ROUNDING_PX = 2  # a scaled screen's pixels are worked out from rounded numbers
ROUNDING_MM = 5


class KnownScreen(BaseModel):
    """What is remembered of a screen; pixels and millimetres, 0 where the system does not say."""

    model_config = ConfigDict(frozen=True, defer_build=True)

    name: str
    manufacturer: str = ""
    model: str = ""
    serial: str = ""
    pixels: tuple[int, int] = (0, 0)
    millimetres: tuple[int, int] = (0, 0)


class KnownRoom(BaseModel):
    """The screens of one room, which of them the class sees, and which one has the Desk card, if any."""

    model_config = ConfigDict(frozen=True, defer_build=True)

    screens: tuple[KnownScreen, ...]
    wall: KnownScreen
    card: KnownScreen | None = None


@dataclass(frozen=True)
class ScreenId:
    """A screen that is there now.

    ``place`` is left, top, width and height on the desktop, in the system's scaled units; times ``ratio``
    they are pixels. ``millimetres`` is its width and height, 0 where the system does not say.
    """

    name: str
    place: tuple[int, int, int, int]
    ratio: float = 1.0
    manufacturer: str = ""
    model: str = ""
    serial: str = ""
    millimetres: tuple[int, int] = (0, 0)
    # Another primary screen is no reason to place the Wall anew.
    primary: bool = field(default=False, compare=False)

    @property
    def pixels(self) -> tuple[int, int]:
        """Width and height in pixels, whatever the scale."""
        return round(self.place[2] * self.ratio), round(self.place[3] * self.ratio)

    @property
    def known(self) -> KnownScreen:
        """What to remember of it: not where it lies, and not whether it is the primary one."""
        return KnownScreen(
            name=self.name,
            manufacturer=self.manufacturer,
            model=self.model,
            serial=self.serial,
            pixels=self.pixels,
            millimetres=self.millimetres,
        )


Screen = TypeVar("Screen", bound=ScreenId)


@dataclass(frozen=True)
class WallChoice(Generic[Screen]):
    """``wall`` is there where the kind is "wall": the screen that the class sees."""

    kind: "ScreenKind"
    wall: Screen | None = None


def choose(
    rooms: Sequence[KnownRoom], present: Sequence[Screen], private: ScreenId | None
) -> WallChoice[Screen]:
    """The class's screen among those present, by the newest answer that fits.

    "only one": no screen is apart from the private window's, for there is no other or all are mirrored.
    The order of the screens, their places and which is primary say nothing.
    """
    if private is None or all(overlap(screen, private) for screen in present):
        return WallChoice("only one")
    room = _room_of(rooms, present)
    wall = None if room is None else _wall_of(room, present)
    return WallChoice("ask") if wall is None else WallChoice("wall", wall)


def remember(
    rooms: Sequence[KnownRoom], present: Sequence[ScreenId], wall: ScreenId
) -> tuple[KnownRoom, ...]:
    """The rooms with one more answer as the newest; the last eight are kept.

    The Desk card stays on its screen, unless the class sees that one now.
    """
    was = _room_of(rooms, present)
    card = None if was is None or was.card is None or _alike(was.card, wall.known) else was.card
    return _with_room(rooms, present, wall.known, card)


def remember_card(
    rooms: Sequence[KnownRoom], present: Sequence[ScreenId], card: ScreenId | None
) -> tuple[KnownRoom, ...]:
    """The rooms with another screen for the Desk card, or none, where the class's screen is known.

    The class's screen is never taken for it.
    """
    room = _room_of(rooms, present)
    wall = None if room is None else _wall_of(room, present)
    if wall is None:
        return tuple(rooms)
    return _with_room(rooms, present, wall.known, None if card is None or card == wall else card.known)


def card_of(rooms: Sequence[KnownRoom], present: Sequence[Screen]) -> Screen | None:
    """The Desk card's screen in this room, if it was chosen and there is no doubt which one it is."""
    room = _room_of(rooms, present)
    if room is None or room.card is None or room.card == room.wall:
        return None
    return _beyond_doubt(room.card, present)


def find_card(was: ScreenId, present: Sequence[Screen]) -> Screen | None:
    """The Desk card's screen in a lesson under way. Private: only the very same, of one size."""
    return _beyond_doubt(was.known, present)


def find_again(was: ScreenId, present: Sequence[Screen]) -> Screen | None:
    """The same screen in a lesson under way, wherever it lies and whatever its size is now."""
    alike = [screen for screen in present if _same_make(was.known, screen.known)]
    if _has_serial(was.known) and len(alike) == 1:
        return alike[0]
    return next((screen for screen in alike if screen.name == was.name), None)


def seen_by(rooms: Sequence[KnownRoom], screen: ScreenId, *, alone: bool) -> "SeenBy":
    """Who sees a screen, by all answers of all rooms, whatever its size now; unknown where these differ.

    The only screen there is (``alone``) is the teacher's where nothing was ever answered.
    """

    def is_it(known: KnownScreen) -> bool:
        return _same_make(known, screen.known) and (_has_serial(known) or known.name == screen.name)

    walls = any(is_it(room.wall) for room in rooms)
    own = any(is_it(known) and known != room.wall for room in rooms for known in room.screens)
    if walls != own:
        return "class" if walls else "teacher"
    return "teacher" if alone and not rooms else "unknown"


def overlap(screen: ScreenId, other: ScreenId) -> bool:
    """Whether two screens show some of the same, as mirrored ones do."""
    (x, y, width, height), (left, top, wide, high) = screen.place, other.place
    return x < left + wide and left < x + width and y < top + high and top < y + height


def _with_room(
    rooms: Sequence[KnownRoom], present: Sequence[ScreenId], wall: KnownScreen, card: KnownScreen | None
) -> tuple[KnownRoom, ...]:
    screens = tuple(sorted((screen.known for screen in present), key=repr))
    room = KnownRoom(screens=screens, wall=wall, card=card)
    others = [old for old in rooms if old.screens != screens]
    return (*others, room)[-ROOMS_KEPT:]


def _room_of(rooms: Sequence[KnownRoom], present: Sequence[ScreenId]) -> KnownRoom | None:
    """The newest room that these screens are, whose answer leaves no doubt."""
    return next((room for room in reversed(rooms) if _wall_of(room, present) is not None), None)


def _beyond_doubt(known: KnownScreen, present: Sequence[Screen]) -> Screen | None:
    """The one screen present that is the known one and that no other is a twin of."""
    alike = [screen for screen in present if _alike(known, screen.known)]
    if len(alike) != 1 or any(_twins(one.known, known) for one in present if one is not alike[0]):
        return None
    return alike[0]


def _wall_of(room: KnownRoom, present: Sequence[Screen]) -> Screen | None:
    """The room's Wall among the screens present, if these are its screens and there is no doubt."""
    if len(room.screens) != len(present):
        return None
    pairs = {}
    for known in room.screens:
        alike = [screen for screen in present if _alike(known, screen.known)]
        if len(alike) != 1:
            return None
        pairs[known] = alike[0]
    wall = pairs.get(room.wall)
    if wall is None or len(set(pairs.values())) != len(present):
        return None
    # Of two screens that differ by their plugs alone nobody could tell whether the cables were swapped.
    twins = [screen for screen in present if screen is not wall and _twins(screen.known, wall.known)]
    return None if twins else wall


def _alike(known: KnownScreen, now: KnownScreen) -> bool:
    """Whether a screen is the remembered one, by serial number; without one the plug must be the same."""
    return _twins(known, now) and (_has_serial(known) or known.name == now.name)


def _twins(screen: KnownScreen, other: KnownScreen) -> bool:
    return _same_make(screen, other) and _same_size(screen, other)


def _same_make(screen: KnownScreen, other: KnownScreen) -> bool:
    return _make(screen) == _make(other)


def _make(screen: KnownScreen) -> tuple[str, str, str]:
    serial = screen.serial.strip() if _has_serial(screen) else ""
    return screen.manufacturer.strip(), screen.model.strip(), serial


def _has_serial(screen: KnownScreen) -> bool:
    """Whether there is a serial number; makers that give none often write zeros."""
    return bool(screen.serial.strip(" 0"))


def _same_size(screen: KnownScreen, other: KnownScreen) -> bool:
    pixels = zip(screen.pixels, other.pixels, strict=True)
    millimetres = zip(screen.millimetres, other.millimetres, strict=True)
    return all(abs(a - b) <= ROUNDING_PX for a, b in pixels) and all(
        abs(a - b) <= ROUNDING_MM for a, b in millimetres
    )

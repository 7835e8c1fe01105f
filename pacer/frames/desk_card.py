"""What the Desk card shows: the Desk's state, number and time to move on, to be read from across the room."""

from dataclasses import dataclass

from pacer.frames.back_row import metres
from pacer.frames.desk import DeskFrame
from pacer.pace.stages import Stage
from pacer.plan.sizes import LEAST_ARC_MINUTES, WORDS_ARC_MINUTES, distance_mm
from pacer.text import _


@dataclass(frozen=True)
class CardFrame:
    """The Desk in one word, one number and one time.

    ``level`` is the fill of the state area, 0 to 3. ``until`` is when to move on, or what to do now; empty in
    a baseline lesson. ``spoken`` is all of it for a screen reader, without the seconds.
    """

    stage: Stage
    word: str
    level: int
    number: str = ""
    until: str = ""
    spoken: str = ""


def card_frame(desk: DeskFrame) -> CardFrame:
    """The card of a Desk."""
    until = _until(desk)
    spoken = ". ".join(part for part in (desk.word, desk.phase_title, until) if part)
    return CardFrame(desk.stage, desk.word, desk.level, desk.number, until, spoken)


def _until(desk: DeskFrame) -> str:
    """When to move on, or what to do: of a time or an advice with figures behind it the first part alone."""
    first, comma, rest = desk.headline.partition(", ")
    if desk.stage == "move_on" and desk.move_by_reason == "cap" and not comma:
        return _("move on now")  # by how much it is past its cap is for arm's length
    return first if any(char.isdigit() for char in f"{first}{rest}") else desk.headline


def reading_words(time_mm: float, least_mm: float) -> str:
    """From how far a card of known size is read: its time well, and its smallest words at all.

    Both are heights of capitals in millimetres.
    """
    far, near = distance_mm(time_mm, WORDS_ARC_MINUTES), distance_mm(least_mm, LEAST_ARC_MINUTES)
    return _(
        "Its time can be read from {far} m, all of its words from {near} m.",
        far=_short(far),
        near=_short(near),
    )


def _short(millimetres: float) -> str:
    return metres(int(millimetres // 100) * 100)

"""The teacher's settings, each with a starting value."""

from datetime import date
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from pacer.earpiece.outputs import Output
from pacer.plan.day_shapes import ClockTime, DayShape, DayShapes
from pacer.plan.kinds import REVIEWING_CAP_S, KindChange
from pacer.run.event_words import Edge
from pacer.settings.screen_choice import KnownRoom

Reminder = Annotated[str, Field(min_length=1, max_length=80)]


class Settings(BaseModel):
    """Everything the program remembers beside outlines and day records. Unknown keys are kept.

    ``picture_height_mm`` is the projected picture's height as the teacher measured it, None where the system
    is believed; ``back_row_mm`` how far from it the last child sits. ``tone_level`` is a share of the tone's
    full loudness in percent. ``earpiece`` is the one output on which cues are told in the teacher's ear,
    empty for none, and ``earpiece_level`` a share of its patterns' loudest in percent;
    with ``earpiece_words`` a few words follow. ``rooms`` are the last
    rooms' screens, the newest last, each with the teacher's answer which of them the class sees.

    ``last_bell`` ends the school's day where no day shape says when.
    ``day_shapes`` are the kinds of days, none until the teacher sets some up. ``day_choice`` is the shape
    chosen for one day only: its ISO date and the shape's name, empty for the outline's own block.
    ``reminders`` are her own lines of the ready list, ``reminders_done`` the ISO date of the last ticks and
    the lines ticked on it. ``baseline``: the next lessons are baseline lessons, in which the Desk shows time
    only and gives no warnings, to compare with. ``clicker_blanks``: a clicker's blank button, which presses B
    or the full stop, blanks the Wall and pauses; else it hides the time. ``reviewing_cap_s`` is her cap on
    warm-up and review together, ``problem_s`` how long one review problem takes, None where past lessons say.
    ``begun``: the page of the first start was answered.
    """

    model_config = ConfigDict(frozen=True, extra="allow")

    block_start: ClockTime = "9:00"
    start_when_pressed: bool = False
    last_bell: ClockTime = "16:00"  # by four an elementary school is over: common practice, no source
    last_outline: str = ""
    wall_digits: bool = True
    wall_squares: bool = True
    talk_limit_s: int = Field(300, ge=30, le=3600)
    reduced_motion: bool = False
    strip_edge: Edge = "bottom"
    picture_height_mm: int | None = Field(None, ge=150, le=6000)
    back_row_mm: int = Field(9000, ge=1000, le=40_000)
    tone: bool = False
    tone_level: int = Field(50, ge=1, le=100)
    earpiece: Output = Output("", "")
    earpiece_level: int = Field(50, ge=1, le=100)
    earpiece_words: bool = False
    rooms: tuple[KnownRoom, ...] = ()
    kinds: dict[str, KindChange] = Field(default_factory=dict)
    day_shapes: DayShapes = DayShapes()
    day_choice: tuple[str, str] = ("", "")
    reminders: tuple[Reminder, ...] = ()
    reminders_done: tuple[str, tuple[str, ...]] = ("", ())
    baseline: bool = False
    reviewing_cap_s: int = Field(REVIEWING_CAP_S, ge=15, le=3 * 3600)
    problem_s: int | None = Field(None, ge=15, le=3600)
    clicker_blanks: bool = False
    begun: bool = False

    def shape_on(self, day: date) -> DayShape | None:
        """The shape of a date, chosen for it alone or by the day shapes; None for an outline's own block."""
        if self.day_choice[0] == day.isoformat():
            return self.day_shapes.named(self.day_choice[1])
        return self.day_shapes.on(day)

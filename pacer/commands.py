"""The one table of commands, with their keys: keyboard, key help, replays and tests all read it."""

from dataclasses import dataclass, replace
from typing import Literal

from pacer.text import N_


@dataclass(frozen=True)
class Command:
    """A command of the lesson. ``argument`` describes what may follow it; empty: nothing."""

    id: str
    title: str
    argument: str = ""


COMMANDS: dict[str, Command] = {
    command.id: command
    for command in (
        Command("start", N_("Start the lesson")),
        Command("next", N_("Next phase"), "unsaid, done, moved-on"),
        Command("back", N_("Back one phase")),
        Command("undo", N_("Undo the last press")),
        Command("pause", N_("Pause")),
        Command("go-on", N_("Go on")),
        Command("add", N_("Add a minute"), "1:00"),
        Command("take", N_("Take half a minute"), "0:30"),
        Command("jump", N_("Jump to a phase"), "PHASE"),
        Command("groups", N_("Go to groups")),
        Command("keep", N_("Keep the shorter times"), "PHASES"),
        Command("uncut", N_("Back to the written times")),
        Command("burst", N_("Partner talk"), "0:30"),
        Command("eyes-back", N_("Eyes back")),
        Command("settled", N_("All eyes are back")),
        Command("half-ready", N_("Half of the class is ready")),
        Command("here", N_("Nothing was forgotten")),
        Command("voice", N_("A child's voice")),
        Command("example", N_("Another example")),
        Command("tally", N_("Stuck on a problem"), "1-9"),
        Command("table-mark", N_("See to it at the table")),
        Command("happened", N_("Something happened")),
        Command("hide", N_("Hide time on the Wall")),
        Command("show", N_("Show time on the Wall")),
        Command("wall", N_("Wall full, strip, off"), "full, strip, off"),
        Command("fill", N_("Countdown, problem or picture on the Wall"), "countdown, problem, picture"),
        Command("page-on", N_("Next page of the PDF")),
        Command("page-back", N_("Previous page of the PDF")),
        Command("strip", N_("Strip along another edge"), "bottom, top, left, right"),
        Command("blank", N_("Blank the Wall and pause")),
        Command("missed", N_("This group has no visit today"), "GROUP"),
        Command("bell-earlier", N_("The bell rings earlier today"), "5:00"),
        Command("bell-later", N_("The bell rings later today"), "5:00"),
        Command("tick", N_("A line of the table list is done"), "1-99"),
        Command("bell-now", N_("Bell now")),
        Command("end", N_("End the lesson"), "unsaid, done, moved-on, interrupted"),
    )
}


@dataclass(frozen=True)
class Key:
    """A key of the lesson: the commands it tries in turn until one is allowed, each with its argument.

    ``within_ms``: it works only that long after the last press. ``held``: what holding it does.
    ``shown``: the Desk names it in the mini lesson; the rarer ones stand in the README. ``half`` is what it
    is called in the second half; None: as before, empty: it is not named there.
    """

    names: tuple[str, ...]
    label: str
    title: str
    tries: tuple[tuple[str, str], ...]
    within_ms: int | None = None
    held: str | None = None
    shown: bool = True
    half: str | None = None

    def as_set(self, *, clicker_blanks: bool) -> "Key":
        """The key as it was set on Room: the clicker's blank button hides the time, or blanks the Wall."""
        if not clicker_blanks or self.names != CLICKER_BLANK:
            return self
        return replace(self, title=N_("blank the Wall, pause"), tries=(("blank", ""),))


CLICKER_BLANK = ("B", "Period")
LessonPart = Literal["mini", "half", "over"]
"""A part of a lesson in which the same keys are of use: up to the groups, up to the bell, after it."""


def named_keys(part: LessonPart, *, clicker_blanks: bool = False) -> tuple[tuple[Key, str], ...]:
    """Each key that the Desk may name in a part of the lesson, with its title there, in their order."""
    keys = tuple(key.as_set(clicker_blanks=clicker_blanks) for key in KEYS)
    if part == "over":
        return tuple((key, key.title) for key in keys if key.shown and key.tries[0][0] == "undo")
    if part == "mini":
        return tuple((key, key.title) for key in keys if key.shown)
    named = ((key, key.title if key.half is None and key.shown else key.half) for key in keys)
    return tuple((key, title) for key, title in named if title)


# Names are those of Qt::Key without its prefix, perhaps with Ctrl before it; the table itself needs no Qt.
KEYS: tuple[Key, ...] = (
    Key(("PageDown", "Right"), "Page Down", N_("next"), (("next", "unsaid"),)),
    Key(("D",), "D", N_("next, done"), (("next", "done"),), half=""),
    Key(("N",), "N", N_("next, moved on"), (("next", "moved-on"),), half=""),
    Key(("PageUp", "Left"), "Page Up", N_("undo; hold: back"), (("undo", ""),), 10_000, "back"),
    Key(("Space",), N_("Space"), N_("pause, go on"), (("pause", ""), ("go-on", ""))),
    Key(("Up",), N_("Up"), "+1:00", (("add", "1:00"),)),
    Key(("Down",), N_("Down"), "−0:30", (("take", "0:30"),)),
    Key(("K",), "K", N_("keep or shorten times"), (("keep", ""),), half=N_("one group fewer")),
    Key(("U",), "U", N_("written times"), (("uncut", ""),), half=""),
    Key(("P",), "P", N_("partner talk"), (("burst", ""),), half=""),
    Key(("E",), "E", N_("eyes back"), (("eyes-back", ""), ("settled", "")), half=""),
    Key(("R",), "R", N_("half are ready"), (("half-ready", ""),)),
    Key(("Y",), "Y", N_("yes, still so"), (("here", ""),), shown=False),
    Key(("V",), "V", N_("a child's voice"), (("voice", ""),), half=""),
    Key(("M",), "M", N_("another example"), (("example", ""),), half=""),
    *(
        Key((str(number),), "1–9" if number == 1 else str(number), N_("stuck on a problem"),
            (("tally", str(number)),), shown=number == 1, half=None if number == 1 else "")
        for number in range(1, 10)
    ),
    Key(("T",), "T", N_("table mark"), (("table-mark", ""),)),
    Key(("F",), "F", N_("something happened"), (("happened", ""),)),
    Key(("H",), "H", N_("hide, show time"), (("hide", ""), ("show", ""))),
    Key(CLICKER_BLANK, "B", N_("hide, show time"), (("hide", ""), ("show", ""))),
    Key(("W",), "W", N_("Wall full, strip, off"), (("wall", ""),)),
    Key(("C",), "C", N_("picture or countdown"), (("fill", ""),), half=""),
    Key(("S",), "S", N_("strip to another edge"), (("strip", ""),), shown=False),
    Key(("X",), "X", N_("blank the Wall, pause"), (("blank", ""),)),
    Key(("Ctrl+PageDown", "Ctrl+Right"), "Ctrl+Page Down", N_("next page of the PDF"),
        (("page-on", ""),), shown=False),
    Key(("Ctrl+PageUp", "Ctrl+Left"), "Ctrl+Page Up", N_("previous page of the PDF"),
        (("page-back", ""),), shown=False),
    Key(("G",), "G", N_("go to groups"), (("groups", ""),), half=""),
    Key(("O",), "O", N_("this group is out today"), (("missed", ""),), shown=False,
        half=N_("this group is out")),
    Key(("L",), "L", N_("table list: next line done"), (("tick", ""),), shown=False,
        half=N_("table list: tick")),
    Key(("Ctrl+Down",), "Ctrl+Down", N_("bell 5 min earlier"), (("bell-earlier", ""),), shown=False,
        half=N_("bell −5 min")),
    Key(("Ctrl+Up",), "Ctrl+Up", N_("bell 5 min later"), (("bell-later", ""),), shown=False,
        half=N_("bell +5 min")),
    Key(("Home",), "Home", N_("bell now"), (("bell-now", ""),)),
    *(
        Key((f"Ctrl+{number}",), "Ctrl+1–9" if number == 1 else f"Ctrl+{number}", N_("jump to a phase"),
            (("jump", str(number)),), shown=False, half=N_("to that group") if number == 1 else "")
        for number in range(1, 10)
    ),
    Key(("Ctrl+Z",), "Ctrl+Z", N_("undo, whenever"), (("undo", ""),), shown=False),
    Key(("Ctrl+End",), "Ctrl+End", N_("end the lesson"), (("end", ""),), shown=False),
)  # fmt: skip

# Keys that only show more on the Desk; they change nothing of the lesson.
SHEET_KEYS = {"F1": "keys", "F2": "notes"}

SAME_KEY_GUARD_MS = 400
HOLD_MS = 600

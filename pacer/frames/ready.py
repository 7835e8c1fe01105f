"""The ready list: what must be right before a lesson, ticked by the program where it can tell."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from pacer.plan.durations import format_duration
from pacer.plan.outline import Outline, Phase
from pacer.plan.rules import bell_offset_s, sound_presses
from pacer.text import _, counted, ngettext

Readiness = Literal["ready", "look", "unknown"]
LOW_BATTERY_S = 3600
BELL_NEAR_S = 15  # a bell this near its time is on time; a choice of ours
# Kinds in which there is usually something for all to look at; a choice of ours.
PROJECTED = frozenset({"review", "modeling", "guided-practice"})


@dataclass(frozen=True)
class ReadyItem:
    """One line: what it is about, how it stands, and in words what is so or what to do."""

    name: str
    state: Readiness
    words: str


@dataclass(frozen=True)
class RoomFacts:
    """What the program can see of the room. None: it can't tell.

    ``screens`` counts those that show different pictures; ``wall_known`` says that the teacher has answered
    which is the Wall. ``battery_s`` is what is left in seconds while not plugged in, ``keys_tried`` whether a
    key of the clicker has arrived since the program started. ``bell_presses`` are seconds after the planned
    bell, the newest last. ``windows_placed`` is whether programs may place windows here. ``small_words`` says
    in one line what the back row can't read on the Wall.
    """

    screens: int
    wall_known: bool
    day: str
    attachment_problems: tuple[str, ...] | None = ()
    battery_s: int | None = None
    plugged: bool | None = None
    can_write: bool = True
    keys_tried: bool = False
    bell_presses: tuple[int, ...] = ()
    windows_placed: bool = True
    small_words: str = ""


def ready_list(
    outline: Outline, facts: RoomFacts, reminders: Sequence[str] = (), done: Sequence[str] = ()
) -> tuple[ReadyItem, ...]:
    """Everything to look at before an outline is taught; ``done`` are the reminders ticked today."""
    own = tuple(ReadyItem(line, "ready" if line in done else "unknown", "") for line in reminders)
    return (
        _day(facts),
        _screens(facts),
        *_windows(facts),
        _on_the_wall(outline),
        *_back_row(facts),
        *_attachments(outline, facts),
        _battery(facts),
        _folder(facts),
        _keys(facts),
        *own,
    )


def _day(facts: RoomFacts) -> ReadyItem:
    """Whether the day's shape and bell are right only the teacher knows: it is said large, and she looks."""
    day, bell = facts.day, _bell(facts)
    if day and bell:  # what is said alone elsewhere has no full stop: here a sentence follows
        day = day.removesuffix(".") + "."
    return ReadyItem(_("Day and bell"), "unknown", " ".join(filter(None, (day, bell))))


def _bell(facts: RoomFacts) -> str:
    """When the bell is usually heard, if that is not when it should be. Planned times stay the school's."""
    usual = bell_offset_s(facts.bell_presses)
    if usual is None or abs(usual) < BELL_NEAR_S:
        return ""
    n = len(sound_presses(facts.bell_presses))
    if usual < 0:
        words = ngettext(
            "By your last press the bell rings {time} early.",
            "By your last {n} presses the bell rings {time} early.",
            n,
        )
    else:
        words = ngettext(
            "By your last press the bell rings {time} late.",
            "By your last {n} presses the bell rings {time} late.",
            n,
        )
    return words.format(n=n, time=format_duration(round(abs(usual))))


def _screens(facts: RoomFacts) -> ReadyItem:
    name = _("Projector")
    if facts.screens < 2:
        return ReadyItem(name, "look", _("Only one screen is seen. Connect the projector, extended."))
    if not facts.wall_known:
        return ReadyItem(name, "look", _("Say once which screen the class sees: page Room."))
    return ReadyItem(name, "ready", _("The class's screen is known."))


def _windows(facts: RoomFacts) -> tuple[ReadyItem, ...]:
    """What can't work where windows are placed by the desktop alone; elsewhere it is no line."""
    if facts.windows_placed:
        return ()
    words = _(
        "This desktop (Wayland) tells no program where its windows are: keep this one off the class's screen "
        "yourself, and use the full Wall, as a strip lies where the desktop puts it."
    )
    return (ReadyItem(_("Windows"), "look", words),)


def _on_the_wall(outline: Outline) -> ReadyItem:
    """Whether what is to be projected is typed or attached."""
    name = _("Problems and pictures")
    bare = [phase for phase in outline.phases[: outline.mini_count] if _is_bare(phase)]
    if not bare:
        return ReadyItem(name, "ready", _("Every such phase has something for the class."))
    titles = ", ".join(phase.title for phase in bare)
    words = ngettext("Nothing to look at for {titles}.", "Nothing to look at for {titles}.", len(bare))
    return ReadyItem(name, "look", words.format(titles=titles))


def _back_row(facts: RoomFacts) -> tuple[ReadyItem, ...]:
    """What is too small on the Wall; where all can be read it is no line."""
    if not facts.small_words:
        return ()
    words = _("{words} Make it shorter: page Outline.", words=facts.small_words)
    return (ReadyItem(_("Back row"), "look", words),)


def _is_bare(phase: Phase) -> bool:
    return phase.kind in PROJECTED and not (phase.problem or phase.attach or phase.class_line)


def _attachments(outline: Outline, facts: RoomFacts) -> tuple[ReadyItem, ...]:
    """Whether the attached files open; nothing attached is no line."""
    count = len(outline.shown_files)
    if not count:
        return ()
    name = _("Attached files")
    if facts.attachment_problems is None:
        return (ReadyItem(name, "unknown", _("They are being looked at.")),)
    if facts.attachment_problems:
        return (ReadyItem(name, "look", facts.attachment_problems[0]),)
    words = counted("{n} file opens.", "{n} files open.", count)
    return (ReadyItem(name, "ready", words),)


def _battery(facts: RoomFacts) -> ReadyItem:
    name = _("Battery")
    if facts.plugged:
        return ReadyItem(name, "ready", _("Plugged in."))
    if facts.battery_s is None:
        state: Readiness = "unknown" if facts.plugged is None else "look"
        return ReadyItem(name, state, _("Plug the laptop in to be sure."))
    minutes = facts.battery_s // 60
    if facts.battery_s < LOW_BATTERY_S:
        return ReadyItem(name, "look", _("About {n} min left. Plug in.", n=minutes))
    return ReadyItem(name, "ready", _("About {n} min left.", n=minutes))


def _folder(facts: RoomFacts) -> ReadyItem:
    name = _("Day record")
    if facts.can_write:
        return ReadyItem(name, "ready", _("It can be written."))
    return ReadyItem(name, "look", _("It can't be written: the lesson would run without a record."))


def _keys(facts: RoomFacts) -> ReadyItem:
    name = _("Clicker")
    if facts.keys_tried:
        return ReadyItem(name, "ready", _("A key of it has arrived."))
    return ReadyItem(name, "unknown", _("Try it: page Room."))

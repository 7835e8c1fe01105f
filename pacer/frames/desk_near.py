"""The Desk's near page: short lines for arm's length."""

from pacer.frames.outlook import Outlook, groups_words, odds_words
from pacer.pace.ledger import Account
from pacer.pace.reading import Reading
from pacer.plan.durations import format_duration
from pacer.plan.problems import clipped
from pacer.run.state import LessonState
from pacer.text import _, counted

TALK_STEP_S = 10
PAID_NAMED = 2
_PAYERS: tuple[Account, ...] = ("groups", "share", "over")
_NOBODY: tuple[Account, ...] = ("spare",)
FILE_MOST = 20  # letters of a file's name beside what is said of it


def near_lines(reading: Reading, index: int, ahead: Outlook | None) -> tuple[str, ...]:
    """Groups, odds, talk stretch, examples, problems: short lines for arm's length."""
    lines = wall_lines(reading.state)
    if ahead is not None:
        words = groups_words(ahead.groups), odds_words(ahead.odds), paid_words(reading)
        lines += [line for line in words if line]
    stretch = reading.talk_stretch
    if stretch is not None:
        talked = format_duration(stepped(stretch.length_ms // 1000, TALK_STEP_S))
        lines.append(_("Your talk without a break: {time}", time=talked))
    return (*lines, *counts(reading.state, index))


def paid_words(reading: Reading) -> str:
    """Who paid so far: who has less than planned for what others took."""
    accounts = {key: int(ms / 1000) for key, ms in reading.paid.items()}
    paid = {key: -s for key, s in accounts.items() if s < 0 and (key in _PAYERS or _gives(reading, key))}
    if not paid or not any(s > 0 and key not in _NOBODY for key, s in accounts.items()):
        return ""
    return _("Paid so far: {payers}", payers=_accounts(reading.state, paid))


def _gives(reading: Reading, key: Account) -> bool:
    """Whether a phase has or had to live with less than planned; one that was passed over gave nothing."""
    state, index = reading.state, reading.state.index or 0
    if not isinstance(key, int) or key <= index:
        return isinstance(key, int) and state.visited(key)
    return key in state.left or state.ending_of(key) not in ("done", "moved on")


def _accounts(state: LessonState, seconds: dict[Account, int]) -> str:
    """The largest two by name, and that there are more."""
    names = {"groups": _("groups"), "share": _("share"), "over": _("past the end")}
    phases, order = state.plan.phases, sorted(seconds, key=lambda key: -seconds[key])
    told = [
        f"{phases[key].title if isinstance(key, int) else names[key]} {format_duration(seconds[key])}"
        for key in order[:PAID_NAMED]
    ]
    return ", ".join(told) + (_(" + others") if len(order) > PAID_NAMED else "")


def wall_lines(state: LessonState) -> list[str]:
    """The line about the Wall, if there is one."""
    words = _wall_words(state)
    return [words] if words else []


def counts(state: LessonState, index: int) -> list[str]:
    """What was counted by presses: examples, problems, marks, voices."""
    lines = []
    planned, given = state.plan.phases[index].examples, state.count("example", index)
    if planned or given:
        words = _("Examples: {given} of {planned}") if planned else _("Examples: {given}")
        lines.append(words.format(given=given, planned=planned))
    stuck = [mark.number for mark in state.marks if mark.kind == "tally"]
    if stuck:
        counts = ", ".join(f"{n} ({stuck.count(n)})" for n in sorted(set(stuck)))
        lines.append(_("Stuck on problem: {counts}", counts=counts))
    if tables := state.count("table_mark"):
        lines.append(counted("{n} mark for the table", "{n} marks for the table", tables))
    if state.settles and state.settles[-1].phase == index:
        took = format_duration(state.settles[-1].took_ms // 1000)
        lines.append(_("Eyes were back after {time}", time=took))
    return [*lines, *counts_of_both_halves(state)]


def counts_of_both_halves(state: LessonState) -> list[str]:
    """When half of the class was ready, as long as the phase or the half lasts; voices; what happened."""
    lines = []
    if state.halves and state.halves[-1].phase == (-1 if state.index is None else state.index):
        last = state.halves[-1]
        words = {
            "talk": _("Half were ready {time} after partner talk"),
            "burst": _("Half were ready {time} into partner talk"),
            "move": _("Half were ready {time} into the move"),
            "phase": _("Half were ready after {time}"),
        }
        lines.append(words[last.after].format(time=format_duration(last.took_ms // 1000)))
    if voices := state.count("voice"):
        lines.append(counted("{n} child's voice", "{n} children's voices", voices))
    if happened := state.count("happened"):
        lines.append(_("Something happened: {n}", n=happened))
    return lines


def _wall_words(state: LessonState) -> str:
    """What the Wall behind the teacher's back shows, when that is not all of it; a rehearsal has none."""
    if state.mode == "rehearsal":
        return _("Rehearsal: no Wall, kept apart")
    if state.is_blank:
        return _("The Wall is blank: X")
    if state.face == "off":
        return _("The Wall is off: W")
    if state.hidden:
        return _("Time is hidden on the Wall: H")
    if state.face == "strip":
        return _("The Wall is a strip: W")
    if state.filled_with == "picture" and state.phase is not None:
        words = (
            _("The Wall shows page {page}: C") if state.phase.is_pdf else _("The Wall shows the picture: C")
        )
        return words.format(page=state.shown_page)
    return _("The Wall shows the problem: C") if state.filled_with == "problem" else ""


def file_lines(names: tuple[str, ...]) -> tuple[str, ...]:
    """Which files the Wall can't show; signs and words stand there. Nothing where it can show all."""
    if not names:
        return ()
    name, more = clipped(names[0], FILE_MOST), len(names) - 1
    if not more:
        return (_('"{name}" can\'t be read', name=name),)
    words = '"{name}" and {n} more can\'t be read'
    return (counted(words, words, more, name=name),)


def stepped(seconds: int, step_s: int) -> int:
    """Seconds down to a whole step: between two of them the Desk stands still."""
    return seconds - seconds % step_s

"""The script of a replay: when the teacher pressed what, one press a line."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from pacer.commands import COMMANDS
from pacer.plan.file.reader import MOST_PROBLEMS
from pacer.plan.problems import Problem, clipped, did_you_mean, mean_words
from pacer.text import _

LOOK = "look"
LONGEST_S = 8 * 3600
MAX_BYTES = 1_000_000
MOST_STEPS = 1_000  # a lesson has some hundred presses; each is shown with both windows
_START = re.compile(
    r"start\s+(?:(\d{4}-\d{2}-\d{2})\s+)?(\d{1,2}:\d{2}(?::\d{2})?)"
    r"(?:\s+planned\s+(\d{1,2}:\d{2}(?::\d{2})?))?",
)
_STEP = re.compile(r"(\d{1,4}):([0-5]\d)\s+(\S+)(?:\s+(.*))?")
_NO_DATE = "2026-01-12"


@dataclass(frozen=True)
class ScriptStep:
    """One line: seconds from the start, the command and its argument."""

    line: int
    at_s: int
    command: str
    argument: str


@dataclass(frozen=True)
class Script:
    """A start, as UTC milliseconds of the classroom's own clock, and the steps after it."""

    start_ms: int
    planned_ms: int
    steps: tuple[ScriptStep, ...]


def parse_script(text: str, name: str) -> Script | list[Problem]:
    """Read a script: a ``start`` line, then ``m:ss command [argument]``; ``#`` begins a comment."""
    problems: list[Problem] = []
    start: tuple[int, int] | None = None
    steps: list[ScriptStep] = []
    # Not splitlines: that also breaks at signs which no editor counts as a line's end.
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    for number, raw in enumerate(text.split("\n"), start=1):
        line = raw.partition("#")[0].strip()
        if not line:
            continue
        if start is None:
            start = _parse_start(line)
            if start is None:
                fix = _("Begin with: start 9:00 (or: start 9:06 planned 9:00)")
                return [Problem(name, number, _("This is not a start."), fix)]
            continue
        step = _parse_step(line, number, name, steps[-1].at_s if steps else 0)
        if isinstance(step, Problem):
            problems.append(step)
            if len(problems) == MOST_PROBLEMS:
                why = _("What follows was not read.")
                return [*problems, Problem(name, number, why, _("Mend these first."))]
        else:
            steps.append(step)
    if len(steps) > MOST_STEPS:
        fault = _("The script has more than {most} steps.", most=MOST_STEPS)
        return [Problem(name, steps[MOST_STEPS].line, fault, _("Leave some out."))]
    if start is None:
        return [Problem(name, 1, _("The script is empty."), _("Begin with: start 9:00"))]
    return problems or Script(start[0], start[1], tuple(steps))


def _parse_start(line: str) -> tuple[int, int] | None:
    match = _START.fullmatch(line)
    if match is None:
        return None
    day = match[1] or _NO_DATE
    try:
        start = _clock_ms(day, match[2])
        planned = _clock_ms(day, match[3]) if match[3] else start
    except (ValueError, OverflowError):
        return None
    return start, planned


def _clock_ms(day: str, clock: str) -> int:
    """A date and a time of day as milliseconds; replays have no time zone, so the clock reads as UTC."""
    parts = [int(part) for part in clock.split(":")]
    at = datetime.fromisoformat(day).replace(tzinfo=UTC)
    at = at.replace(hour=parts[0], minute=parts[1], second=parts[2] if len(parts) > 2 else 0)
    return (at - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)


def _parse_step(line: str, number: int, name: str, earliest_s: int) -> ScriptStep | Problem:
    match = _STEP.fullmatch(line)
    if match is None:
        return Problem(name, number, _("This is not a step."), _("Write: 2:30 next (minutes and seconds)"))
    at_s = int(match[1]) * 60 + int(match[2])
    command, argument = match[3].lower(), (match[4] or "").strip()
    if at_s < earliest_s:
        return Problem(name, number, _("This step is earlier than the one before it."), _("Put it in order."))
    if at_s > LONGEST_S:
        return Problem(name, number, _("This step is over eight hours from the start."), _("Check its time."))
    if command == "start":
        return Problem(name, number, _("The lesson has started already."), _("Take this line out."))
    if command != LOOK and command not in COMMANDS:
        near = did_you_mean(command, [*COMMANDS, LOOK])
        fix = mean_words(match[3], near) if near else _("See: pacer --help")
        fault = _('There is no command "{name}".', name=clipped(command))
        return Problem(name, number, fault, fix)
    if argument and command != LOOK and not COMMANDS[command].argument:
        fault = _('"{name}" takes nothing after it.', name=command)
        return Problem(name, number, fault, _("Take the rest of the line out."))
    return ScriptStep(number, at_s, command, argument)

"""What past lessons left behind, one phase ending at a time, and what each ending says about durations."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from pacer.pace.stages import Stage
from pacer.plan.kinds import AFTER_MINI_LESSON
from pacer.run.events import Ending

ABSURD_S = 4 * 3600
"""No phase lasts that long: a clock left running, not a lesson."""

CurveKind = Literal["takes", "gives"]
_PAST_ITS_END: frozenset[Stage] = frozenset({"move_on"})


@dataclass(frozen=True)
class PastEnding:
    """How one phase of one past lesson ended. Times in seconds.

    ``planned_s`` is the written budget, ``stage`` what the Desk showed at an unsaid ending (None: not
    known), ``late_s`` how much later than planned the whole lesson began (negative: earlier). ``outline`` is
    its title; it and ``subject`` are empty where nobody knows, as with what was imported.
    """

    run: int
    date: str
    phase: str
    kind: str
    planned_s: float
    actual_s: float
    ending: Ending
    stage: Stage | None = None
    late_s: float = 0.0
    outline: str = ""
    subject: str = ""

    @property
    def is_sound(self) -> bool:
        """Whether the durations can be believed; not-a-number, zero, negative and absurd ones can't."""
        return 0 < self.actual_s < ABSURD_S and 0 < self.planned_s < ABSURD_S

    @property
    def is_cut_off(self) -> bool:
        """Whether something from outside ended the phase."""
        return self.ending in ("bell", "interrupted")

    def is_complete(self, curve: CurveKind) -> bool:
        """Whether the duration is the whole answer; otherwise the answer is at least that long.

        *Time it takes* is complete only where the work was done; *time I give it* also where the teacher
        moved on. An unsaid ending is guessed done, after the Desk said Move on it is guessed moved on.
        """
        if self.ending == "unsaid":
            return curve == "gives" or self.stage not in _PAST_ITS_END
        return self.ending == "done" or (curve == "gives" and self.ending == "moved on")


Scope = Literal["outline", "subject", "all"]


class Like(NamedTuple):
    """What lessons are compared by: the outline's title and the subject; an empty one matches none."""

    outline: str = ""
    subject: str = ""

    def scopes(self) -> list[tuple[Scope, str]]:
        """Which lessons may speak for it, the most like it first: of its outline, of its subject, all."""
        named: list[tuple[Scope, str]] = [("outline", self.outline), ("subject", self.subject)]
        return [*((scope, name) for scope, name in named if name), ("all", "")]


def usable(endings: Iterable[PastEnding]) -> list[PastEnding]:
    """The endings that say anything about a duration: sound ones of phases that were not skipped."""
    return [past for past in endings if past.ending != "skipped" and past.is_sound]


def latest(endings: Sequence[PastEnding], lessons: int) -> list[PastEnding]:
    """The endings of the last few lessons; ``endings`` stand in order of time, one lesson's together.

    Reads only as far back as it must, so its cost does not grow with the history.
    """
    runs: set[int] = set()
    begin = len(endings)
    while begin and (endings[begin - 1].run in runs or len(runs) < lessons):
        begin -= 1
        runs.add(endings[begin].run)
    return list(endings[begin:])


def by_lesson(endings: Iterable[PastEnding]) -> list[list[PastEnding]]:
    """Endings lesson by lesson, both in the order in which they come."""
    lessons: dict[int, list[PastEnding]] = {}
    for past in endings:
        lessons.setdefault(past.run, []).append(past)
    return list(lessons.values())


def mini_lesson(endings: Iterable[PastEnding]) -> list[PastEnding]:
    """The endings before the class moves to groups."""
    return [past for past in endings if past.kind not in AFTER_MINI_LESSON]


def lateness_s(lesson: Sequence[PastEnding]) -> list[float]:
    """How far behind its written plan a lesson was at the start of each of its phases, in seconds."""
    behind, lateness = (lesson[0].late_s if lesson else 0.0), []
    for past in lesson:
        lateness.append(behind)
        if past.ending == "skipped":
            behind -= past.planned_s
        elif past.is_sound:  # what can't be believed moves nothing
            behind += past.actual_s - past.planned_s
    return lateness

"""What the Outline page shows beside what is written: the fit of the plan, and what the past says of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from pacer.frames.legibility import SmallWords, in_one_line
from pacer.frames.words.fit import FitFrame, fit_frame
from pacer.frames.words.outline import phase_words
from pacer.frames.words.past import PastFrame, past_frame, whole_words
from pacer.plan.draft.check import DraftCheck
from pacer.plan.draft.draft import DraftPhase
from pacer.plan.fit import fit_of
from pacer.plan.rules import ProblemPace
from pacer.review.learning.budgets import like_of
from pacer.review.learning.plan_outlook import PlanOutlook
from pacer.text import _, ngettext


@dataclass(frozen=True)
class OutlineFeedback:
    """The fit, the past of each phase by its key, and the past's word on all together.

    ``must_move`` is whether the usual times together are more than the mini lesson holds; ``small`` says of
    phases, by their keys, which words the back row can't read.
    """

    fit: FitFrame | None = None
    past: Mapping[str, PastFrame] = field(default_factory=dict)
    whole: str = ""
    must_move: bool = False
    small: Mapping[str, str] = field(default_factory=dict)

    def row_words(self, phase: DraftPhase, problems: Mapping[str, str]) -> str:
        """What is wrong with a phase, field by field; else what can't be read, and what the past says."""
        frame, small = self.past.get(phase.key), self.small.get(phase.key, "")
        if frame is not None and not problems:
            past = _("{title}: {past}", title=phase.title, past=frame.sentence)
            return f"{small} {past}".strip()
        if small and not problems:
            return small
        return "  ".join(f"{phase_words(name)}: {why}" for name, why in problems.items())


def feedback_on(
    look: DraftCheck,
    past: PlanOutlook | None,
    small: Sequence[SmallWords] = (),
    pace: ProblemPace | None = None,
) -> OutlineFeedback:
    """What to show beside an outline; of phases that are not whole yet, the fit knows nothing and says so.

    ``small``: what the back row can't read of it; ``pace``: how long a review problem takes.
    """
    outline = look.outline
    if outline is None:
        return OutlineFeedback()
    fit = fit_frame(outline, fit_of(outline), pace)
    if look.left_out:
        many = len(look.left_out)
        words = ngettext(
            "Without {n} unfinished phase: {verdict}", "Without {n} unfinished phases: {verdict}", many
        )
        fit = replace(fit, verdict=words.format(n=many, verdict=fit.verdict))
    if small:
        fit = replace(fit, notices=(*fit.notices, in_one_line(small)))
    said = _by_key(look, small)
    if past is None:
        return OutlineFeedback(fit, small=said)
    plan = past.plan_of(outline)
    frames, like = {}, like_of(outline)
    for key, phase in look.phases.items():
        frame = past_frame(past.past.proposal(phase, like)[0], past.past.endings_for(phase, like))
        if frame is not None:
            frames[key] = frame
    whole = whole_words(plan)
    return OutlineFeedback(fit, frames, whole, bool(whole) and not plan.fits, said)


def _by_key(look: DraftCheck, small: Sequence[SmallWords]) -> dict[str, str]:
    """What can't be read of each phase; an outline's phases are the whole ones of the draft, in order."""
    keys, said = list(look.phases), dict[str, str]()
    for each in small:
        if each.index is not None and each.index < len(keys):
            key = keys[each.index]
            said[key] = f"{said.get(key, '')} {each.words}".strip()
    return said

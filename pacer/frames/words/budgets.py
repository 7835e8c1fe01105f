"""Proposed and accepted budgets in words, the same in the terminal and in Look back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from pacer.frames.words.choice import date_words
from pacer.frames.words.kinds import kind_words
from pacer.frames.words.wording import lessons_words
from pacer.log.accepted import KIND_TABLE
from pacer.plan.durations import format_duration
from pacer.plan.outline import Outline
from pacer.text import _, ngettext

if TYPE_CHECKING:
    from pacer.log.accepted import Accepted
    from pacer.review.learning.accepted_effect import Effect, Side
    from pacer.review.learning.budgets import Proposal, WholePlan

RIGHT = (1, 2, 3, 4, 5)  # the columns of figures among proposals


@dataclass(frozen=True)
class BudgetRow:
    """One proposal as it is shown; ``cells`` under ``proposal_heads``. Seconds.

    ``accept`` are the words that a screen reader says of the button; empty where there is nothing to accept.
    """

    phase: str
    kind: str
    title: str
    cells: tuple[str, ...]
    accept: str
    old_s: int
    new_s: int
    lessons: int
    cut_off: int


@dataclass(frozen=True)
class AcceptedRow:
    """One acceptance as it is shown; ``cells`` under ``accepted_heads``.

    ``effect`` says its effect at length. ``give_back`` are the words of the button that accepts the old
    budget back; empty where a later one stands in its place.
    """

    id: int
    cells: tuple[str, ...]
    effect: str
    give_back: str


def proposal_heads() -> tuple[str, ...]:
    """The columns of proposals."""
    return _("phase"), _("written"), _("proposed"), _("time I give it"), _("lessons"), _("cut off"), ""


def proposal_cells(proposal: "Proposal") -> tuple[str, ...]:
    """One proposal in these columns."""
    silent = _("not enough lessons yet")
    return (
        proposal.title,
        format_duration(proposal.written_s),
        silent if proposal.proposed_s is None else bounded_words(proposal.proposed_s, proposal.at_least),
        "" if proposal.given_s is None else bounded_words(proposal.given_s, proposal.given_at_least),
        str(proposal.lessons),
        str(proposal.cut_off),
        counted_words(proposal) if proposal.lessons else "",
    )


def counted_words(proposal: "Proposal") -> str:
    """Which lessons speak for a proposal; empty for all lessons with the phase."""
    if proposal.by_kind:
        kinds = {
            "outline": _("this kind, this outline"),
            "subject": _("this kind, this subject"),
            "all": _("all of this kind"),
        }
        return kinds[proposal.scope]
    return {"outline": _("this outline"), "subject": _("this subject"), "all": ""}[proposal.scope]


def bounded_words(seconds: int, at_least: bool) -> str:
    """A duration, or the least that it may be."""
    time = format_duration(seconds)
    return _("at least {time}", time=time) if at_least else time


def intro_words() -> str:
    """What stands over the proposals."""
    return _(
        "Proposed is enough on about 7 of 10 days. Lessons of the same outline count, or of the same "
        "subject, or all: the first of these with 5. Nothing changes until you accept it."
    )


def too_few_words() -> str:
    """What is said where no phase has lessons enough."""
    return _("Not enough lessons yet: a proposal needs 5 lessons with the phase or its kind.")


def plan_words(plan: "WholePlan") -> list[str]:
    """What the proposals come to together, a line for each thing to say."""
    needs, has = format_duration(plan.needs_s), format_duration(plan.mini_lesson_s)
    if plan.at_least:
        words = [_("By past lessons these phases need at least {needs}; the mini lesson has {has}.")]
    else:
        words = [_("By past lessons these phases need {needs}; the mini lesson has {has}.")]
    if not plan.fits:
        words.append(_("Choose what moves."))
    lines = [" ".join(words).format(needs=needs, has=has)]
    if plan.unknown:
        lines.append(_("Phases without enough lessons count with their written budgets."))
    elif plan.level is None:
        lines.append(_("Even on their shortest days the phases do not fit together."))
    else:
        share = _("at most {n}") if plan.level_at_most else _("about {n}")
        lines.append(
            _(
                "Shared out evenly, the mini lesson gives each phase what it takes on {share} of 10 days."
            ).format(share=share.format(n=round(plan.level * 10)))
        )
    return lines


def capped_words(proposals: "Sequence[Proposal]", outline: Outline) -> list[str]:
    """Where what is proposed for phases that share a cap goes past it, said before it is accepted."""
    lines = []
    for group, cap_s in outline.caps_s.items():
        own = {phase.id: phase.title for phase in outline.phases if phase.cap_group == group}
        needs = sum(
            proposal.proposed_s or proposal.written_s for proposal in proposals if proposal.phase in own
        )
        if needs > cap_s:
            words = _("{phases} would need {needs} together; their cap is {cap}.")
            lines.append(
                words.format(
                    phases=_(" and ").join(own.values()),
                    needs=format_duration(needs),
                    cap=format_duration(cap_s),
                )
            )
    return lines


def budget_row(proposal: "Proposal") -> BudgetRow:
    """A proposal that may be accepted: not where nothing is proposed, nor what is written already."""
    new_s = proposal.written_s if proposal.proposed_s is None else proposal.proposed_s
    words = _("Accept {time} for {phase}", time=format_duration(new_s), phase=proposal.title)
    return BudgetRow(
        phase=proposal.phase,
        kind=proposal.kind,
        title=proposal.title,
        cells=proposal_cells(proposal),
        accept=words if new_s != proposal.written_s else "",
        old_s=proposal.written_s,
        new_s=new_s,
        lessons=proposal.lessons,
        cut_off=proposal.cut_off,
    )


# --- what was accepted


def accepted_heads() -> tuple[str, ...]:
    """The columns of what was accepted."""
    return _("accepted"), _("where"), _("budget"), _("lessons then"), _("effect"), ""


def accepted_rows(
    accepted: "Sequence[Accepted]", effects_by_id: "Mapping[int, Effect]", outlines: Mapping[str, Outline]
) -> list[AcceptedRow]:
    """What was accepted, the newest first; ``outlines`` are those that can be read, by the names of files."""
    last = {acceptance.place: acceptance.id for acceptance in accepted}
    return [
        _accepted_row(
            acceptance,
            effects_by_id.get(acceptance.id),
            last[acceptance.place] == acceptance.id,
            _("{phase} in {place}").format(
                phase=_name(acceptance, outlines.get(acceptance.target)),
                place=place_words(acceptance.target, outlines),
            ),
        )
        for acceptance in reversed(accepted)
    ]


def _accepted_row(acceptance: "Accepted", effect: "Effect | None", stands: bool, where: str) -> AcceptedRow:
    old, new = format_duration(acceptance.old_s), format_duration(acceptance.new_s)
    then = str(acceptance.lessons)
    if acceptance.cut_off:
        then = _("{lessons} ({n} cut off)", lessons=then, n=acceptance.cut_off)
    cells = (
        date_words(datetime.fromtimestamp(acceptance.utc_ms / 1000).strftime("%Y-%m-%d")),
        where,
        _("{old} to {new}", old=old, new=new),
        then,
        effect_words(effect),
    )
    give_back = _("Give back {time}", time=old) if stands else ""
    return AcceptedRow(acceptance.id, cells, effect_sentence(effect), give_back)


def _name(acceptance: "Accepted", outline: Outline | None) -> str:
    """The kind, or the phase by its title; by its id where it is not there any more."""
    if acceptance.target == KIND_TABLE:
        return kind_words(acceptance.kind)
    phases = () if outline is None else outline.phases
    return next((phase.title for phase in phases if phase.id == acceptance.phase), acceptance.phase)


def place_words(target: str, outlines: Mapping[str, Outline]) -> str:
    """Where a budget is or was accepted: the table of phase kinds, or an outline by its title.

    By its file where it can't be read; beside the title where another has the same.
    """
    if target == KIND_TABLE:
        return _("phase kinds")
    file, outline = target.removesuffix(".toml"), outlines.get(target)
    if outline is None:
        return file
    if sum(other.title == outline.title for other in outlines.values()) > 1:
        return _("{title} ({file})", title=outline.title, file=file)
    return outline.title


def effect_words(effect: "Effect | None") -> str:
    """What changed since; nothing below five lessons on either side, but how many are missing."""
    if effect is None:
        return ""
    before, since = effect.before, effect.since
    if not before.is_enough:
        return _few(ngettext("{n} lesson before it", "{n} lessons before it", before.lessons), before)
    if not since.is_enough:
        return _few(ngettext("{n} lesson since", "{n} lessons since", since.lessons), since)
    words = [
        _("kept {n} of {all} times, before {m} of {many}").format(
            n=since.kept, all=since.endings, m=before.kept, many=before.endings
        ),
        _("at the median {since} of its budget, before {before}", since=_ratio(since), before=_ratio(before)),
    ]
    if effect.with_it != since.endings:
        words.append(_("{n} of {all} had this budget", n=effect.with_it, all=since.endings))
    return "; ".join(words)


def effect_sentence(effect: "Effect | None") -> str:
    """The same at length."""
    if effect is None or not effect.is_known:
        return effect_words(effect)
    return " ".join(
        (
            _("Before: {words}.", words=_side_words(effect.before)),
            _("Since: {words}.", words=_side_words(effect.since)),
        )
    )


def _side_words(side: "Side") -> str:
    words = _("{lessons}; within the budget {kept} times, past it {over}, half the time within {ratio} of it")
    lessons = lessons_words(side.lessons)
    side_words = words.format(lessons=lessons, kept=side.kept, over=side.over, ratio=_ratio(side))
    if not side.unknown:
        return side_words
    return side_words + _(", cut off too early to tell {n}", n=side.unknown)


def _few(words: str, side: "Side") -> str:
    from pacer.review.learning.budgets import LEAST_LESSONS  # brings numpy, which the terminal may not need

    return _("{lessons}; {least} are needed", lessons=words.format(n=side.lessons), least=LEAST_LESSONS)


def _ratio(side: "Side") -> str:
    percent = f"{round(100 * (side.ratio or 0.0))} %"
    return _("at least {time}", time=percent) if side.at_least else percent


# --- what accepting said


def done_words(title: str, old_s: int, new_s: int, where: str) -> str:
    """What accepting a budget did."""
    return _("{where}: {phase} has {new} now; it had {old}.").format(
        where=where, phase=title, new=format_duration(new_s), old=format_duration(old_s)
    )


def floor_words(old_s: int, new_s: int) -> str:
    """That the floor came down with the budget, which it may not exceed."""
    return _(
        "Its floor was {old} and came down to {new}: a floor is never above its budget. Giving the budget "
        "back leaves the floor where it is."
    ).format(old=format_duration(old_s), new=format_duration(new_s))


def cap_words(cap_s: int) -> str:
    """That a phase may not last as long as its budget now says."""
    return _(
        "Its cap is still {cap}, below the budget: change it in the outline.", cap=format_duration(cap_s)
    )

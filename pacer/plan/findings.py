"""Which figures of a plan can't all come true, and which are unwise: one place for check, Outline and Today.

Every pair of figures that an outline holds is decided here. Impossible is what no lesson can keep: a part
longer than what it is part of, floors longer than their time, a cap under what it caps. All else that is out
of the usual is told and never in the way. A pair that is not here may stand in any relation: a cap longer
than anything never binds, a mini lesson longer than its budgets has time to spare, and where a share is
written as a phase the block's own is not used. The loader takes every such outline, so that what was written
once always opens.
"""

from collections.abc import Iterator

from pacer.plan.durations import format_duration
from pacer.plan.finding import Finding, KeyPath
from pacer.plan.finding import impossible_finding as _no
from pacer.plan.finding import told_finding as _told
from pacer.plan.fit import (
    LEAST_BLOCK_S,
    LONG_MINI_S,
    MOST_EXAMPLES,
    SHORT_MINI_S,
    Fit,
    fit_of,
    moves_s,
)
from pacer.plan.kinds import AFTER_MINI_LESSON, KINDS, REVIEWING, reviewing_cap_s
from pacer.plan.outline import Block, Outline, Phase
from pacer.plan.second_half_findings import LEAST_VISIT_S, groups_that_fit, second_half_findings
from pacer.plan.seen_text import is_seen
from pacer.text import _, ngettext

# Kinds that belong to a mini lesson.
TAUGHT = frozenset(KINDS) - AFTER_MINI_LESSON - {"other"}
TALK_LIMIT_S = 300  # a folk rule: common practice, no source


def findings(outline: Outline) -> tuple[Finding, ...]:
    """All that is impossible in a plan, then all that is unwise, each in the order of the file."""
    fit = fit_of(outline)
    found = [*_titles(outline), *block_findings(outline.block), *_lengths(outline, fit)]
    for index, phase in enumerate(outline.phases):
        found += _of_phase(index, phase, outline.block)
    found += [*second_half_findings(outline), *_unwise(outline, fit)]
    return tuple(sorted(found, key=lambda one: not one.impossible))


def impossible(outline: Outline) -> tuple[Finding, ...]:
    """Only what no lesson can keep."""
    return tuple(one for one in findings(outline) if one.impossible)


def _titles(outline: Outline) -> Iterator[Finding]:
    titles: list[tuple[KeyPath, str]] = [(("title",), outline.title)]
    titles += [(("phase", index, "title"), phase.title) for index, phase in enumerate(outline.phases)]
    for place, title in titles:
        if not is_seen(title):
            what = _("The title can't be seen: it holds only blanks and signs of no width.")
            yield _no("unseen_title", place, what, _("Write a title that can be read."))


def block_findings(block: Block) -> tuple[Finding, ...]:
    """What can't be about a block, or about a day shape: parts that are longer than the whole."""
    length = format_duration(block.length_s)
    parts = (
        ("share", block.share_s, _("The share")),
        ("move", block.move_s, _("The transition")),
        ("swap", block.swap_s if block.groups > 1 else 0, _("The swap")),
        ("clean_up", block.clean_up_s, _("The clean-up")),
    )
    over = []
    for key, seconds, name in parts:
        if seconds > block.length_s:
            what = _("{part} ({time}) is longer than the block ({length}).").format(
                part=name, time=format_duration(seconds), length=length
            )
            over.append(_no("part_over_block", ("block", key), what, _("Make it shorter.")))
    together = block.share_s + moves_s(block) + block.clean_up_s
    if not over and together > block.length_s:
        what = _(
            "Share, transitions and clean-up take {time} together, longer than the block ({length})."
        ).format(time=format_duration(together), length=length)
        over.append(_no("parts_over_block", ("block",), what, _("Make them shorter or the block longer.")))
    return tuple(over)


def _lengths(outline: Outline, fit: Fit) -> Iterator[Finding]:
    """The mini lesson and what comes after it, against each other and the block."""
    block, mini_place = outline.block, ("block", "mini_lesson")
    mini, length = format_duration(fit.length_s), format_duration(block.length_s)
    if fit.length_s > block.length_s:
        what = _("The mini lesson ({mini}) is longer than the block ({length}).", mini=mini, length=length)
        yield _no("mini_over_block", mini_place, what, _("Make it shorter or the block longer."))
    elif fit.length_s:
        yield from _whole_block(outline, fit)
    if fit.floors_s > fit.length_s > 0:
        what = _("Even the floors are {over} too long for a mini lesson of {mini}.").format(
            over=format_duration(fit.floors_s - fit.length_s), mini=mini
        )
        yield _no("floors_over_mini", mini_place, what, _("Make floors shorter, or take a phase out."))
    elif fit.spare_s < 0:
        what = _("The budgets are {over} too long for a mini lesson of {mini}: they will be cut.").format(
            over=format_duration(-fit.spare_s), mini=mini
        )
        yield _told("budgets_over_mini", mini_place, what)


def _whole_block(outline: Outline, fit: Fit) -> Iterator[Finding]:
    """The mini lesson, what is written after it, and what the block keeps for itself, against the block."""
    block, after = outline.block, outline.phases[outline.mini_count :]
    kinds = {phase.kind for phase in after}
    kept_s = block.clean_up_s + (0 if "share" in kinds else block.share_s)
    kept_s += 0 if kinds & {"move", "group"} else moves_s(block)
    need_s = fit.length_s + sum(phase.budget_s for phase in after) + kept_s
    if need_s > block.length_s:
        words = _("{title} and what stands below it are {over} too long for the block ({length}).")
        if not after:
            words = _(
                "The mini lesson ({mini}) with share, transitions and clean-up is {over} too long "
                "for the block ({length})."
            )
        what = words.format(
            title=after[0].title if after else "",
            mini=format_duration(fit.length_s),
            over=format_duration(need_s - block.length_s),
            length=format_duration(block.length_s),
        )
        place = ("phase", outline.mini_count, "budget") if after else ("block", "mini_lesson")
        yield _no("over_block", place, what, _("Make something shorter or the block longer."))
    elif block.groups and not after and block.length_s - need_s < LEAST_VISIT_S * block.groups:
        each = format_duration((block.length_s - need_s) // block.groups)
        what = ngettext("The group gets {each}.", "Each of the {n} groups gets {each}.", block.groups)
        what = f"{what.format(n=block.groups, each=each)} {groups_that_fit(outline)}"
        yield _told("no_visits", ("block", "groups"), what)
    visits = sum(phase.kind == "group" for phase in after)
    if visits > block.groups:
        what = ngettext("{n} group phase is written", "{n} group phases are written", visits).format(n=visits)
        what = _("{phases}, and the block has groups = {groups}.", phases=what, groups=block.groups)
        yield _told("more_visits", ("block", "groups"), what)


def _of_phase(index: int, phase: Phase, block: Block) -> Iterator[Finding]:
    """A phase's own figures against each other and the block."""

    def at(key: str) -> KeyPath:
        return "phase", index, key

    budget = format_duration(phase.budget_s)
    if phase.budget_s > block.length_s:
        what = _('"{title}" ({budget}) is longer than the block ({length}).').format(
            title=phase.title, budget=budget, length=format_duration(block.length_s)
        )
        yield _no("budget_over_block", at("budget"), what, _("Make it shorter."))
    if phase.floor_s > phase.budget_s:
        what = _('The floor of "{title}" is longer than its budget.', title=phase.title)
        yield _no("floor_over_budget", at("floor"), what, _("Make the floor shorter or the budget longer."))
    if phase.cap_s is not None and phase.cap_s < phase.budget_s:
        over_floor = phase.cap_s < phase.floor_s
        words = (
            _('The cap of "{title}" ({cap}) is under its floor ({floor}).')
            if over_floor
            else _('The cap of "{title}" ({cap}) is under its budget ({budget}).')
        )
        what = words.format(
            title=phase.title,
            cap=format_duration(phase.cap_s),
            floor=format_duration(phase.floor_s),
            budget=budget,
        )
        rule = "cap_under_floor" if over_floor else "cap_under_budget"
        yield _no(rule, at("cap"), what, _("Make the cap longer, or what it caps shorter."))
    yield from _bursts(index, phase)
    if phase.page > 1 and not phase.is_pdf:
        what = _('"{title}" has page = {page}, and no PDF attached.', title=phase.title, page=phase.page)
        yield _told("page_of_nothing", at("page"), what)


def _bursts(index: int, phase: Phase) -> Iterator[Finding]:
    budget, shorter = format_duration(phase.budget_s), _("Make it shorter or the budget longer.")
    for number, burst in enumerate(phase.bursts):
        if burst.length_s > phase.budget_s:
            what = _('A partner talk of {time} is longer than "{title}" ({budget}).').format(
                time=format_duration(burst.length_s), title=phase.title, budget=budget
            )
            yield _no("burst_over_budget", ("phase", index, "burst", number, "length"), what, shorter)
            return
    together = sum(burst.length_s for burst in phase.bursts)
    if together > phase.budget_s:
        what = _('The partner talks of "{title}" are {time} together, longer than its {budget}.').format(
            title=phase.title, time=format_duration(together), budget=budget
        )
        yield _no("bursts_over_budget", ("phase", index, "burst"), what, _("Take one out."))


def _group_caps(outline: Outline) -> Iterator[Finding]:
    """What several phases share a cap for, in all and each alone."""
    for group, cap_s in outline.caps_s.items():
        members = [(at, phase) for at, phase in enumerate(outline.phases) if phase.cap_group == group]
        floors_s = sum(phase.floor_s for _at, phase in members)
        budgets_s = sum(phase.budget_s for _at, phase in members)
        longest_at, longest = max(members, key=lambda one: one[1].budget_s)
        # The usual cap on reviewing is not the teacher's own figure: her budgets may be over it.
        is_usual = group == REVIEWING and cap_s == reviewing_cap_s()
        shown = {"cap": format_duration(cap_s), "group": group, "title": longest.title}
        place: KeyPath = ("phase", members[0][0], "cap_group")
        longer = _("Make the cap longer, or what it caps shorter.")
        if floors_s > cap_s:
            words = _('The floors under the cap "{group}" come to {floors}, over the cap itself ({cap}).')
            if group == REVIEWING:
                words = _("The floors of warm-up and review come to {floors}, over their cap ({cap}).")
            what = words.format(floors=format_duration(floors_s), **shown)
            yield _no("group_cap_under_floors", place, what, longer)
        elif longest.budget_s > cap_s and not is_usual:
            what = _('The cap "{group}" ({cap}) is under the budget of "{title}" ({budget}).').format(
                budget=format_duration(longest.budget_s), **shown
            )
            yield _no("group_cap_under_budget", ("phase", longest_at, "budget"), what, longer)
        elif budgets_s > cap_s:
            over = format_duration(budgets_s - cap_s)
            what = _('The budgets under the cap "{group}" are {over} past it.', group=group, over=over)
            if group == REVIEWING:
                what = _("Warm-up and review are {over} past their cap.", over=over)
            yield _told("group_cap_under_budgets", place, what)


def _unwise(outline: Outline, fit: Fit) -> Iterator[Finding]:
    """What is outside what is usual: the limits are common practice, no source."""
    yield from _behind(outline)
    if fit.block_s < LEAST_BLOCK_S:
        what = _("The block is under 60 min: shorter than is usual for a workshop.")
        yield _told("short_block", ("block", "minutes"), what)
    if not SHORT_MINI_S <= fit.length_s <= LONG_MINI_S:
        what = _("The mini lesson is outside the usual 20 to 30 min.")
        yield _told("unusual_mini", ("block", "mini_lesson"), what)
    if outline.block.groups and fit.length_s > fit.honest_s:
        over = format_duration(fit.length_s - fit.honest_s)
        what = _("Groups pay {over}: they would get twice the mini lesson otherwise.", over=over)
        yield _told("groups_pay", ("block", "mini_lesson"), what)
    yield from _group_caps(outline)
    if fit.examples > MOST_EXAMPLES:
        modeled = next(at for at, phase in enumerate(outline.phases) if phase.kind == "modeling")
        what = _("{n} examples to model: one or two are usual.", n=fit.examples)
        yield _told("many_examples", ("phase", modeled, "examples"), what)
    if fit.stretch.seconds > TALK_LIMIT_S:
        what = _("A talk of over 5 min is planned: partner talk would break it up.")
        yield _told("long_talk", ("phase", fit.stretch.phases[0], "budget"), what)


def _behind(outline: Outline) -> Iterator[Finding]:
    """Phases to teach that stand behind a move, groups or share, and so outside the mini lesson."""
    first, *rest = outline.phases[outline.mini_count :] or (None,)
    taught = [phase.title for phase in rest if phase is not None and phase.kind in TAUGHT]
    if first is None or not taught:
        return
    words = ngettext(
        "{phases} comes after “{first}” and counts with the groups; if not, correct the kind of “{first}”.",
        "{phases} come after “{first}” and count with the groups; if not, correct the kind of “{first}”.",
        len(taught),
    )
    what = words.format(phases=", ".join(taught), first=first.title)
    yield _told("taught_behind", ("phase", outline.mini_count, "kind"), what)

"""The Desk in the second half: who is at the table, until when, who comes next, who pays, what is to do."""

from pacer.frames.words import wording
from pacer.pace.reading import Reading
from pacer.pace.second_half import LegPayment, SecondHalf, owed_today_s
from pacer.plan.durations import format_duration
from pacer.run.second_half import following, title_of
from pacer.run.state import LessonState
from pacer.text import _

NAMED_AT_MOST = 2


def leg_words(state: LessonState, half: SecondHalf) -> str:
    """Who is at the table, or what goes on."""
    title = title_of(state, half.leg)
    if half.leg.kind == "visit":
        return _("{group}, visit {n} of {of}", group=title, n=half.number, of=half.of)
    return title


def next_words(state: LessonState) -> str:
    """What comes after this leg; empty before the bell."""
    step = following(state)
    if step is not None and step.kind in ("swap", "move"):
        return state.plan.visitors[step.group].name
    return "" if step is None else title_of(state, step)


def until_words(state: LessonState, half: SecondHalf) -> str:
    """Until when, as a clock time; once that has passed, what to do now."""
    at = wording.clock_words(state.utc_ms(half.end_ms), state.utc_offset_s)
    over = half.left_ms <= 0
    match half.leg.kind:
        case "visit" if half.to_come:
            return _("swap now") if over else _("swap by {time}", time=at)
        case "visit" | "move" | "swap" if not half.to_come:
            return _("share now") if over else _("share from {time}", time=at)
        case "move" | "swap" if half.to_come:
            return _("begin the visit now") if over else _("begin by {time}", time=at)
        case "share":
            return _("clean up now") if over else _("clean up at {time}", time=at)
        case _:
            return _("the bell was due") if over else _("bell at {time}", time=at)


def leg_price_words(half: SecondHalf) -> str:
    """Who pays for one more minute, in the words of the mini lesson."""
    if half.price == (LegPayment("spare", 60),):
        return _("1 more min: costs nothing yet")
    payers = " + ".join(_payer(half, payment) for payment in half.price[:NAMED_AT_MOST])
    words = _("1 more min: {payers}", payers=payers)
    return words if len(half.price) <= NAMED_AT_MOST else _("{words} + others", words=words)


def _payer(half: SecondHalf, payment: LegPayment) -> str:
    count = len(half.to_come)
    if payment.payer == "visits":
        return _("{s} s a group", s=-(-payment.seconds // max(1, count)))
    names = {
        "spare": _("to spare"),
        "share": _("share"),
        "clean_up": _("clean-up"),
        "over": _("past the end"),
    }
    return _("{time} {payer}", time=format_duration(payment.seconds), payer=names[payment.payer])


def share_words(state: LessonState, half: SecondHalf) -> str:
    """When the share would begin, or that it is on."""
    if half.leg.kind in ("share", "clean_up"):
        return _("bell at {time}", time=wording.clock_words(state.utc_ms(half.bell_ms), state.utc_offset_s))
    at = wording.clock_words(state.utc_ms(half.share_ms), state.utc_offset_s)
    return _("share at {time}", time=at)


def offer_words(state: LessonState, half: SecondHalf) -> str:
    """A choice that the time asks for, and its key; empty where there is none."""
    names = [group.name for group in state.plan.visitors]
    if half.offered is not None:
        left = len(half.to_come) - 1 + (half.leg.kind == "visit")
        return _(
            "Visits get short. K: {group} on another day, {count} × {length} for the others",
            group=names[half.offered], count=left, length=format_duration(half.offered_s),
        )  # fmt: skip
    if half.extra is not None:
        place = state.plan.visit_order.index(half.extra) + 1
        return _("Time for one more visit. Ctrl+{n}: {group}", n=place, group=names[half.extra])
    return ""


def near_lines(reading: Reading, half: SecondHalf) -> tuple[str, ...]:
    """Visits to come, the table list, marks with their phases, stuck problems: for arm's length."""
    state = reading.state
    lines = []
    if half.to_come:
        visit = half.to_come[0]
        length = format_duration((visit.end_ms - visit.begin_ms) // 1000)
        lines.append(_("To come: {count} × {length}", count=len(half.to_come), length=length))
    lines += _table_list(state)
    marks = [mark.index for mark in state.marks if mark.kind == "table_mark"]
    for index in dict.fromkeys(marks):
        where = state.plan.phases[index].title if index >= 0 else _("groups")
        lines.append(_("Table marks in {where}: {n}", where=where, n=marks.count(index)))
    stuck = [mark.number for mark in state.marks if mark.kind == "tally"]
    if stuck:
        numbers = ", ".join(f"{n} ({stuck.count(n)})" for n in sorted(set(stuck)))
        lines.append(_("Stuck on problem: {counts}", counts=numbers))
    return tuple(lines)


def _table_list(state: LessonState) -> list[str]:
    """What is to be seen to at the table and not done yet."""
    todo = [line for number, line in enumerate(state.table_lines) if number not in state.ticked]
    if not state.table_lines:
        return []
    if not todo:
        return [_("Table list: all done")]
    return [_("Table list, L when done: {line}", line=todo[0]), *(f"· {line}" for line in todo[1:])]


def visit_json(reading: Reading) -> dict[str, object] | None:
    """The visit as plain values for ``--json``; None outside of the second half."""
    half, state = reading.half, reading.state
    if half is None:
        return None
    group = half.leg.group
    owed = owed_today_s(state, reading.now_ms)
    return {
        "leg": half.leg.kind.replace("_", "-"),
        "group": state.plan.visitors[group].name if group >= 0 else None,
        "number": half.number,
        "of": half.of,
        "left_s": wording.whole_seconds(half.left_ms),
        "latest_swap": _clock(state, half.end_ms),
        "share_start": _clock(state, half.share_ms),
        "latest_share_start": _clock(state, half.latest_share_ms),
        "visits": [(visit.end_ms - visit.begin_ms) // 1000 for visit in half.to_come],
        "owed": {
            state.plan.visitors[number].name: max(0, owed[number])
            for number in state.plan.visit_order
            if number in state.groups_out or _is_over(state, number)
        },
    }


def _is_over(state: LessonState, group: int) -> bool:
    leg = state.leg
    if leg is None or leg.kind in ("share", "clean_up"):
        return True
    return group in state.visited_groups and not (leg.kind == "visit" and leg.group == group)


def _clock(state: LessonState, t_ms: int) -> str:
    return wording.clock_seconds(state.utc_ms(t_ms), state.utc_offset_s)

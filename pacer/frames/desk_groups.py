"""The Desk in the second half: who is at the table, until when, who comes next, who pays, what is to do."""

from pacer.frames.desk_near import counts_of_both_halves
from pacer.frames.desk_tape import groups_of_today
from pacer.frames.words import wording
from pacer.pace.leg_cut import planned_visit_s
from pacer.pace.reading import Reading
from pacer.pace.second_half import MINUTE_S, LegPayment, SecondHalf, owed_today_s
from pacer.plan.durations import format_duration
from pacer.plan.problems import clipped
from pacer.review.statistics.rounding import whole_s
from pacer.run.second_half import following, title_of
from pacer.run.state import LessonState
from pacer.text import _

NAMED_AT_MOST = 2
NAME_MOST = 24  # letters of a group's name where something else must be read beside it
WHOLE = 1000  # letters: where a row is too short for a name, whole words go
SHORT_NAME_MOST = 12  # of the far page's shortest lines
NEWS_MS = 60_000
OWED_LEAST_S = 15  # visits are cut in steps of so many seconds


def leg_words(state: LessonState, half: SecondHalf) -> str:
    """Who is at the table, or what goes on."""
    if half.leg.kind == "swap" and half.leg.group < 0:  # the last one was called away, the share is next
        return _("Nobody at the table")
    if half.leg.kind == "visit":
        return _(
            "{group}, visit {n} of {of}", group=name_of(state, half.leg.group), n=half.number, of=half.of
        )
    return title_of(state, half.leg)


def name_of(state: LessonState, group: int) -> str:
    """A group's name, short enough to leave room for what is said of it."""
    return clipped(state.plan.visitors[group].name, NAME_MOST)


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


def leg_payer_words(state: LessonState, half: SecondHalf) -> tuple[str, ...]:
    """Who pays for one more minute, each with the amount first: one or two, the second for all others."""
    if half.price == (LegPayment("spare", MINUTE_S),):
        return (_("costs nothing yet"),)
    if half.offered is not None:
        return (_("visit of {group}", group=state.plan.visitors[half.offered].name),)
    paying = _paying(half)
    payers = tuple(_payer(state, half, payment, WHOLE) for payment in paying)
    if len(payers) < NAMED_AT_MOST:
        return payers
    rest_s = sum(payment.seconds for payment in paying[1:])
    second = payers[1] if len(payers) == NAMED_AT_MOST else _("{time} others", time=format_duration(rest_s))
    return payers[0], _("+ {payer}", payer=second)


def leg_price_words(state: LessonState, half: SecondHalf) -> str:
    """Who pays for one more minute, in the words of the mini lesson: all of them by name."""
    if half.price == (LegPayment("spare", MINUTE_S),):
        return _("1 more min: costs nothing yet")
    if half.offered is not None:  # visits under their floor have no minutes to give, only one of them
        name = clipped(state.plan.visitors[half.offered].name, SHORT_NAME_MOST)
        return _("1 more min: {group}’s visit", group=name)
    payers = " + ".join(_payer(state, half, payment) for payment in _paying(half))
    return _("1 more min: {payers}", payers=payers)


def _paying(half: SecondHalf) -> list[LegPayment]:
    """Who pays, what costs nobody last, so that all of it adds up to the minute."""
    return sorted(half.price, key=lambda payment: payment.payer == "spare")


def _payer(state: LessonState, half: SecondHalf, payment: LegPayment, most: int = SHORT_NAME_MOST) -> str:
    count = len(half.to_come)
    if payment.payer == "visits" and count == 1:
        name = clipped(state.plan.visitors[half.to_come[0].group].name, most)
        return _("{time} {payer}", time=format_duration(payment.seconds), payer=name)
    # Rounded up it would not add up to a minute beside another payer.
    if payment.payer == "visits" and (payment.seconds == MINUTE_S or payment.seconds % max(1, count) == 0):
        return _("{s} s a group", s=-(-payment.seconds // max(1, count)))
    names = {
        "spare": _("to spare"),
        "visits": _("groups"),
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
    if half.offered is not None:
        left = len(half.to_come) - 1 + (half.leg.kind == "visit")
        return _(
            "Visits get short. K: {group} on another day, then {count} × {length}",
            group=name_of(state, half.offered), count=left, length=format_duration(half.offered_s),
        )  # fmt: skip
    if half.extra is not None:
        place = state.plan.visit_order.index(half.extra) + 1
        return _("Time for one more visit. Ctrl+{n}: {group}", n=place, group=name_of(state, half.extra))
    return ""


def offers(reading: Reading, half: SecondHalf) -> tuple[str, ...]:
    """What a teacher without a keyboard needs in this half, in reading order."""
    state = reading.state
    middle = "keep" if half.offered is not None else "missed"
    due = half.leg.group >= 0 and half.leg.group not in state.groups_out
    # Once the bell was due, that is how the lesson ends, and how its offset is learned.
    last = "bell-now" if reading.now_ms >= state.bell_ms else "end"
    pause = "go-on" if state.is_paused else "pause"
    between = (pause, middle) if due else (pause,)
    return "next", "add", *between, "undo", last


def news(reading: Reading) -> str:
    """What has just been changed for all of this half: another bell, a group without a visit."""
    state, since_ms = reading.state, reading.now_ms - NEWS_MS
    bells = [(change.t_ms, bell_words(state)) for change in state.bell_changes]
    outs = [
        (out.t_ms, _("{group}: no visit today. Ctrl+Z takes it back", group=name_of(state, out.group)))
        for out in state.out
    ]
    latest = max((*bells, *outs), default=(0, ""))
    return latest[1] if latest[1] and latest[0] > since_ms else ""


def bell_words(state: LessonState) -> str:
    """When the bell rings today."""
    return _("Bell today {time}", time=wording.clock_words(state.utc_ms(state.bell_ms), state.utc_offset_s))


def near_lines(reading: Reading, half: SecondHalf) -> tuple[str, ...]:
    """Visits to come, another bell, who is out, what was counted: for arm's length."""
    state, planned_s = reading.state, planned_visit_s(reading.state)
    lines = []
    each_s = (half.to_come[0].end_ms - half.to_come[0].begin_ms) // 1000 if half.to_come else planned_s
    if each_s != planned_s:
        length, planned = format_duration(each_s), format_duration(planned_s)
        words = _("To come: {count} × {length}, planned {planned}")
        lines.append(words.format(count=len(half.to_come), length=length, planned=planned))
    if state.bell_changes:
        lines.append(bell_words(state))
    gone = [name_of(state, out.group) for out in state.out if out.group not in state.visited_groups]
    if gone:
        lines.append(_("No visit today: {groups}", groups=", ".join(gone)))
    return (*lines, *counts_of_both_halves(state))


def checks(state: LessonState) -> tuple[tuple[str, bool], ...]:
    """The table list: each line, and whether it is done."""
    return tuple((line.text, line.key in state.ticked) for line in state.table_list)


def owed_by_group(state: LessonState, now_ms: int) -> dict[int, int]:
    """What each group is owed of the visit planned for it, by its number, in seconds; never below 0."""
    planned_s = planned_visit_s(state)
    had_s = {group: whole_s(state.visit_had_ms(group, now_ms)) for group in state.plan.visit_order}
    return {group: max(0, planned_s - seconds) for group, seconds in had_s.items()}


def had_words(state: LessonState, end_ms: int) -> str:
    """Once the lesson is over: who is owed most; where nobody is, how many groups were at the table."""
    owed = owed_by_group(state, end_ms)
    had = len(set(state.visited_groups) - state.groups_out)
    words = _("{n} of {of} groups had their visit", n=had, of=len(owed))
    group = max(owed, key=lambda number: owed[number], default=-1)
    if group < 0 or owed[group] < OWED_LEAST_S:
        return words
    name = clipped(state.plan.visitors[group].name, SHORT_NAME_MOST)
    return _("Owed most: {group} {time}", group=name, time=format_duration(owed[group]))


def had_lines(state: LessonState, end_ms: int) -> tuple[str, ...]:
    """Once the lesson is over: each group's time at the table, in the order of today."""
    planned, owed = format_duration(planned_visit_s(state)), owed_by_group(state, end_ms)
    lines = []
    for group in dict.fromkeys((*groups_of_today(state), *state.plan.visit_order)):
        had = format_duration(whole_s(state.visit_had_ms(group, end_ms)))
        words = _("{group}: {had} of {planned}", group=name_of(state, group), had=had, planned=planned)
        if owed[group]:
            words = _("{group}: {had} of {planned}, owed {owed}", group=name_of(state, group), had=had,
                      planned=planned, owed=format_duration(owed[group]))  # fmt: skip
        lines.append(words)
    return tuple(lines)


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

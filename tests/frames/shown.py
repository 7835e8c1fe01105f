"""Reads what the Desk shows as a person would, and says which of its figures contradict each other."""

import re
from collections.abc import Iterator

from pacer.frames.desk import DeskFrame
from pacer.run.state import LessonState

_STEP_S = 5  # the tape's running time, and a phase that is over its time, stand still so long
_CAP = "past the"
_PAID = "Paid so far: "


def seconds(text: str) -> int:
    """``m:ss`` in seconds."""
    minutes, _colon, rest = text.partition(":")
    return int(minutes) * 60 + int(rest)


def minute_of_day(text: str) -> int:
    """``H:MM`` in minutes."""
    hours, _colon, rest = text.partition(":")
    return int(hours) * 60 + int(rest)


def contradictions(frame: DeskFrame, state: LessonState, now_ms: int) -> list[str]:
    """Everything on the Desk that does not add up at this instant, in words; empty when all does."""
    if frame.stage in ("ready", "ended") or state.mode == "baseline":
        return []
    at_s = (state.utc_ms(now_ms) // 1000 + state.utc_offset_s) % 86_400
    found = list(_clock(frame, at_s))
    if frame.part == "half":
        found += _half(frame, state, at_s)
    else:
        found += _headline(frame, at_s)
        found += _ends(frame, state, at_s)
        found += _groups(frame, state)
        found += _price(frame, state)
        found += _notice(frame, state)
        found += _paid(frame, state)
    return found


def _clock(frame: DeskFrame, at_s: int) -> Iterator[str]:
    if minute_of_day(frame.clock) != at_s // 60:
        yield f"the clock is {frame.clock} at second {at_s}"
    if (frame.number[:1] == "+") != (frame.left_s < 0) or seconds(frame.number.strip("+")) != abs(
        frame.left_s
    ):
        yield f"{frame.number} left, and {frame.left_s} s"


def _headline(frame: DeskFrame, at_s: int) -> Iterator[str]:
    """Number, clock, move-by and state."""
    words = frame.headline
    if "ago" in words:
        yield f"a time that is past: {words}"
    told = re.fullmatch(r"move by (\d+:\d\d), in (\d+) (min|s)", words)
    if told is None:
        if re.search(r"\d:\d\d", words) and _CAP not in words:
            yield f"a time without a length: {words}"
        if frame.stage not in ("move_on", "paused"):
            yield f"{frame.word} beside {words!r}"
        return
    by_min, clock_min, length = minute_of_day(told[1]), minute_of_day(frame.clock), int(told[2])
    if told[3] == "min" and (clock_min + length - by_min) % 1440:
        yield f"{frame.clock} and {words!r}"
    first_s, last_s = clock_min * 60 + length, clock_min * 60 + 59 + length
    if told[3] == "s" and not any(s // 60 % 1440 == by_min for s in (first_s, last_s)):
        yield f"{frame.clock} and {words!r}"
    capped = frame.move_by_reason == "cap"
    if frame.left_s > 0 and not capped:
        if (by_min * 60 + 59 - (at_s + frame.left_s) + 60) % 86_400 > 43_200:
            yield f"{frame.number} left at {at_s}, and {words!r}"
        if frame.stage == "move_on" and frame.left_s > 25:
            yield f"MOVE ON with {frame.number} left"


def _to_come(frame: DeskFrame, state: LessonState) -> list[tuple[int, int, int]]:
    """Of each phase of this part that runs or comes, by the tape: its index, what it still has, its floor."""
    rows, index = frame.tape, state.index or 0
    came = []
    for at in state.plan.span(index):
        row, floor_s = rows[at], state.plan.phases[at].floor_s
        if at == index:
            came.append((at, max(0, frame.left_s), 0))
        elif at > index and state.ending_of(at) not in ("done", "moved on"):
            has_s = row.budget_s if row.now_s is None else row.now_s
            floor_s = 0 if at in state.left else floor_s
            came.append((at, max(0, has_s - row.actual_s), max(0, floor_s - row.actual_s)))
    return came


def _ends(frame: DeskFrame, state: LessonState, at_s: int) -> Iterator[str]:
    """The tape's time to come, from the clock on, leads to the time told for the groups or the end."""
    told = re.fullmatch(r"(groups|ends) at (\d+:\d\d)", frame.outlook)
    assert told is not None, frame.outlook
    ends_s = at_s + sum(has_s for _at, has_s, _floor in _to_come(frame, state))
    slack = _STEP_S if frame.left_s < 0 else 1
    if not any((ends_s + more) // 60 % 1440 == minute_of_day(told[2]) for more in (-1, 0, slack)):
        yield f"{frame.outlook}, and by the tape {ends_s // 3600}:{ends_s // 60 % 60:02}:{ends_s % 60:02}"


def _groups(frame: DeskFrame, state: LessonState) -> Iterator[str]:
    """So many visits of such a length fit between the groups' start and the bell."""
    kept = [re.fullmatch(r"Groups keep (\d+) × (\d+:\d\d)", line) for line in frame.near]
    told = re.fullmatch(r"groups at (\d+:\d\d)", frame.outlook)
    if told is None:
        return
    block = state.plan.block
    bell_s = (state.utc_ms(state.bell_ms) // 1000 + state.utc_offset_s) % 86_400
    for match in filter(None, kept):
        count, length = int(match[1]), seconds(match[2])
        after_s = block.clean_up_s + block.share_s + block.move_s + (count - 1) * block.swap_s
        begin_s = minute_of_day(told[1]) * 60
        room = [(bell_s - begin_s - more - after_s + 43_200) % 86_400 - 43_200 for more in (0, 61)]
        most, least = (max(0, one) // count // 15 * 15 for one in room)
        if not least <= length <= most:
            yield f"{match[0]} and {frame.outlook}"


def _price(frame: DeskFrame, state: LessonState) -> Iterator[str]:
    """Who pays has it to give, all pay a minute together, and groups pay only when nobody else can."""
    words = frame.under.removeprefix("1 more min: ")
    if words == "costs nothing yet" or " leaves" in words or " leave" in words:
        return
    paid, groups = 0, max(1, state.plan.block.groups - len(state.groups_out))
    room = {at: has_s - floor_s for at, has_s, floor_s in _to_come(frame, state)[1:]}
    titles = {at: _short(state.plan.phases[at].title) for at in room}
    for payer in words.split(" + "):
        told = re.fullmatch(r"(\d+:\d\d) (.+)", payer)
        if told is None:
            each = int(payer.removesuffix(" s a group"))
            if any(re.fullmatch(r"Groups keep \d+ × 0:00", line) for line in frame.near):
                yield f"{payer}, and groups keep nothing"
            paid += 60 - paid if each * groups - groups < 60 - paid <= each * groups else each * groups
            # Where not all payers are named, the others may well pay what they can.
            named_all = not words.endswith(" others")
            if (
                named_all
                and state.is_cut
                and any(left_s > 0 and at not in _named(words, titles) for at, left_s in room.items())
            ):
                yield f"{frame.under}, and by the tape others can: {room}"
            continue
        paid += seconds(told[1])
        payers = [at for at, title in titles.items() if title == told[2]]
        if told[2] not in ("to spare", "groups", "share", "past the end", "others") and not any(
            room[at] >= seconds(told[1]) for at in payers
        ):
            yield f"{payer} pays, and by the tape has {room}"
    if paid != 60:
        yield f"{frame.under} is {paid} s"


def _named(words: str, titles: dict[int, str]) -> list[int]:
    return [at for at, title in titles.items() if title in words]


def _short(title: str) -> str:
    words = title.split()
    return " ".join(words[:4]) + ("…" if len(words) > 4 else "")


def _notice(frame: DeskFrame, state: LessonState) -> Iterator[str]:
    """What is told as taken is what the tape has less than was planned, phase by phase."""
    if not frame.notice.endswith(": K keep, U undo"):
        return
    told = dict(re.findall(r"(?:^|, )([^,]+?) −(\d+:\d\d)", frame.notice))
    added = {change.phase for change in state.added}
    for at, row in enumerate(frame.tape):
        given_s = 0 if row.now_s is None else max(0, row.budget_s - row.now_s)
        if at in state.left or at in added:
            continue
        if seconds(told.get(row.title, "0:00")) != given_s:
            yield f"{frame.notice}, and the tape takes {given_s} s from {row.title}"


def _paid(frame: DeskFrame, state: LessonState) -> Iterator[str]:
    """Who paid so far has that much less on the tape."""
    lines = [line.removeprefix(_PAID) for line in frame.near if line.startswith(_PAID)]
    for title, length in re.findall(r"(?:^|, )([^,]+?) (\d+:\d\d)", " ".join(lines)):
        has = [
            row.budget_s - (row.budget_s if row.now_s is None else row.now_s)
            for row in frame.tape
            if row.title == title and (not row.running or frame.left_s > 0)
        ]
        has += [row.budget_s - row.actual_s for row in frame.tape if row.title == title and row.visited]
        has = (
            [] if any(row.title == title and row.running for row in frame.tape) and frame.left_s <= 0 else has
        )
        if has and not any(abs(seconds(length) - gives) <= 1 for gives in has):
            yield f"{lines}, and by the tape {title} gives {has}"


def _half(frame: DeskFrame, state: LessonState, at_s: int) -> Iterator[str]:
    """Number, clock and the end of a leg; the visits to come."""
    words = frame.headline
    told = re.search(r"(?:by|from|at) (\d+:\d\d)$", words)
    if told is None and frame.left_s > 1:
        yield f"{frame.number} left, and {words!r}"
    if told is not None and not any(
        (at_s + frame.left_s + more) // 60 % 1440 == minute_of_day(told[1]) for more in (-1, 0)
    ):
        yield f"{frame.number} left at {at_s}, and {words!r}"
    for line in frame.near:
        match = re.match(r"To come: (\d+) × (\d+:\d\d)", line)
        rows = [row for row in frame.tape if row.now_s is not None]
        if match and not any(row.now_s == seconds(match[2]) for row in rows):
            yield f"{line}, and the tape {[(row.title, row.now_s) for row in rows]}"

"""What the groups lost of their time at the table, and what they are owed."""

import math
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.log.day_records import DayRecords
from pacer.pace.groups import FLOOR_S, visits
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline
from pacer.review.day_book import read_days
from pacer.review.days import Day
from pacer.review.questions.lost_minutes import Lost, lost_minutes, sums
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from tests.review import by_hand

NAMES = ["Circle", "Triangle", "Hexagon", "Star", "Heart", "Pentagon", "Oval", "Cross", "Moon"]
BLOCK = (75 * 60, 120, 3, 90, 60, 300)  # length, move in, groups, swap, clean-up, share: an invented block


def lost_by_hand(folder: Path) -> pd.DataFrame:
    """One row a group and lesson from the raw events: run, date, group, planned_s, kept_s, owed_s.

    Where visits were run they are timed, against the visit that was planned, down to 15 seconds. Else:
    The time of a block is charged with share, clean-up, moving in and a swap between two groups; the rest is
    parted equally in whole seconds. Below eight minutes a group fewer is tried; none has a visit after the
    bell, and what runs when the groups are cut off ends there. Who is owed most goes first.
    """
    seen, legs = by_hand.visits(folder), by_hand.legs(folder)
    owed: dict[str, int] = {}
    rows = []
    for run in by_hand.runs(folder).sort_values("date").itertuples():
        every = seen[seen["run"] == run.run]
        own = every[every["phase"] < run.mini]
        block, phases = run.outline["block"], run.outline["phases"]
        tables = [number for number, phase in enumerate(phases) if phase["kind"] == "group"]
        at_table = every[every["phase"].isin(tables)]
        began_ms, moves_s = own["end_ms"].max(), 0
        if len(at_table):
            began_ms = at_table["begin_ms"].iloc[0]
            moves_s = sum(phase["budget_s"] for phase in phases[run.mini : tables[0]])
        end_s = math.floor(began_ms / 1000 + run.late_s + 0.5) - moves_s
        cut = at_table[at_table["ending"].isin(["bell", "interrupted"])]["end_ms"]
        cut_s = math.floor(cut.min() / 1000 + 0.5) + run.late_s if len(cut) else math.inf

        def each(groups: int, begin_s: int, block: dict = block) -> int:
            moves = block["move_s"] + (groups - 1) * block["swap_s"]
            time = block["length_s"] - block["clean_up_s"] - block["share_s"] - moves - begin_s
            return max(0, time // groups)

        planned = each(block["groups"], run.mini_lesson_s)
        counts = [n for n in range(block["groups"], 0, -1) if each(n, end_s) >= 480]
        count = counts[0] if counts else min(1, each(1, end_s))
        count = 0 if (own["ending"] == "bell").any() else count
        names = NAMES[: block["groups"]]
        run_legs = legs[legs["run"] == run.run]
        if len(run_legs):
            planned = planned // 15 * 15
            tables = run_legs[run_legs["leg"] == "visit"]
            for number, group in enumerate(names):
                kept = math.floor(tables.loc[tables["group"] == number, "spent_ms"].sum() / 1000 + 0.5)
                owed[group] = max(0, owed.get(group, 0) + planned - kept)
                rows.append((run.run, run.date, group, planned, kept, kept == 0, owed[group]))
            continue
        order = sorted(names, key=lambda group: (-owed.get(group, 0), names.index(group)))
        for place, group in enumerate(order):
            kept = 0
            if place < count:
                whole = each(count, end_s)
                begins = end_s + block["move_s"] + place * (whole + block["swap_s"])
                kept = int(max(0, min(whole, cut_s - begins)))
            dropped = place >= count or (kept == 0 and cut_s < math.inf)
            owed[group] = max(0, owed.get(group, 0) + planned - kept)
            rows.append((run.run, run.date, group, planned, kept, dropped, owed[group]))
    names = ["run", "date", "group", "planned_s", "kept_s", "dropped", "owed_s"]
    found = pd.DataFrame(rows, columns=names)
    place = found["group"].map(NAMES.index)
    return found.assign(place=place).sort_values(["date", "run", "place"], ignore_index=True)[names]


def as_frame(found: Lost) -> pd.DataFrame:
    rows = [(day.run, day.date, *cell) for day in found.days for cell in day.cells]
    names = ["run", "date", "group", "planned_s", "kept_s", "dropped", "owed_s"]
    return pd.DataFrame(rows, columns=names)


def test_every_cell_of_the_term_is_what_the_raw_events_say(term: tuple[Day, ...], term_folder: Path) -> None:
    table = lost_by_hand(term_folder)
    found = lost_minutes(term)
    pd.testing.assert_frame_equal(as_frame(found), table)
    lost = table["planned_s"] - table["kept_s"]
    grouped = table.assign(lost=lost.clip(lower=0), more=(-lost).clip(lower=0)).groupby("group")
    expected = grouped.agg(
        planned_s=("planned_s", "sum"), kept_s=("kept_s", "sum"), lost_s=("lost", "sum"),
        gained_s=("more", "sum"), dropped=("dropped", "sum"), owed_s=("owed_s", "last"),
    )  # fmt: skip
    assert {one.group: tuple(one[1:]) for one in found.groups} == {
        group: tuple(map(int, row)) for group, *row in expected.itertuples()
    }
    assert [one.group for one in found.groups] == ["Circle", "Triangle", "Hexagon"]


def test_each_week_of_the_term_is_what_pandas_adds_up(term: tuple[Day, ...], term_folder: Path) -> None:
    table = lost_by_hand(term_folder)
    lost = table["planned_s"] - table["kept_s"]
    monday = pd.to_datetime(table["date"]).dt.to_period("W-SUN").dt.start_time.dt.date.astype(str)
    expected = lost.clip(lower=0).groupby([monday, table["group"]]).sum()
    found = {
        (monday, one.group): one.lost_s
        for monday, _days, groups in lost_minutes(term).weeks
        for one in groups
    }
    assert found == {key: int(seconds) for key, seconds in expected.items()}


def day_that_ends(template: Day, end_s: int | None, block: Sequence[int] = BLOCK, **changes: object) -> Day:
    """An invented day in that block whose mini lesson of 25:00 ended so many seconds into it."""
    found = template._replace(block=tuple(block), mini_lesson_s=25 * 60, mini_end_s=end_s, phases=())
    found = found._replace(groups=tuple(NAMES[: block[2]]), visits=(), half=None)
    found = found._replace(**changes)
    # No phase of the outline is a move or a group: they start when the mini lesson is over.
    return found._replace(group_late_s=None if end_s is None else end_s - found.mini_lesson_s)


def cells(found: Lost, day: int) -> list[tuple[int, int, bool, int]]:
    return [(cell.kept_s, cell.lost_s, cell.dropped, cell.owed_s) for cell in found.days[day].cells]


def test_four_minutes_late_take_one_twenty_from_each_of_three_groups(term: tuple[Day, ...]) -> None:
    """A worked value of our own: 11:40 each instead of 13:00, four minutes together."""
    found = lost_minutes([day_that_ends(term[0], 29 * 60)])
    assert cells(found, 0) == [(700, 80, False, 80)] * 3
    assert found.days[0].late_s == sum(cell.lost_s for cell in found.days[0].cells) == 240


def test_a_dropped_group_is_owed_its_whole_visit_and_goes_first_next_time(term: tuple[Day, ...]) -> None:
    """By hand, 13:00 planned: from 9:41 there is time for two groups of 12:15 each."""
    found = lost_minutes([day_that_ends(term[0], 41 * 60)] * 3)
    assert cells(found, 0) == [(735, 45, False, 45), (735, 45, False, 45), (0, 780, True, 780)]
    assert cells(found, 1) == [(735, 45, False, 90), (0, 780, True, 825), (735, 45, False, 825)]
    assert cells(found, 2) == [(0, 780, True, 870), (735, 45, False, 870), (735, 45, False, 870)]
    assert [(one.lost_s, one.dropped) for one in found.groups] == [(870, 1)] * 3


def test_more_than_planned_pays_back_but_is_never_lent(term: tuple[Day, ...]) -> None:
    """By hand: a minute late, then three minutes early, is 0:20 lost, 1:00 more, and nothing owed."""
    found = lost_minutes([day_that_ends(term[0], 26 * 60), day_that_ends(term[0], 22 * 60)])
    assert cells(found, 0) == [(760, 20, False, 20)] * 3
    assert cells(found, 1) == [(840, -60, False, 0)] * 3
    assert [(one.lost_s, one.gained_s, one.planned_s - one.kept_s) for one in found.groups] == [
        (20, 60, -40)
    ] * 3


def test_a_bell_in_the_mini_lesson_leaves_every_group_without_a_visit(term: tuple[Day, ...]) -> None:
    rung = next(day for day in term if any(phase.ending == "bell" for phase in day.mini))
    (day,) = lost_minutes([rung]).days
    assert day.bell
    assert all(cell.dropped and cell.kept_s == 0 and cell.owed_s == cell.planned_s for cell in day.cells)


# An invented lesson with its move, its groups and its share as phases of their own; when each began, in
# seconds of the lesson, and when the bell was heard: on time, a slow move, an early bell, a fire drill.
WHOLE = """format = 1
title = "Thirds on a number line"
[block]
minutes = 75
mini_lesson = "10"
[[phase]]
title = "Review"
kind = "review"
budget = "3"
[[phase]]
title = "Modeling"
kind = "modeling"
budget = "7"
[[phase]]
title = "Move"
kind = "move"
budget = "2"
[[phase]]
title = "Groups"
kind = "group"
budget = "54"
[[phase]]
title = "Share"
kind = "share"
budget = "5"
"""
HISTORIES = {
    "on time": (180, 600, 720, 3960, 4440),
    "a slow move": (180, 600, 960, 3960, 4440),
    "an early bell": (180, 600, 720, None, 1920),
    "both": (240, 700, 1000, None, 2400),
}


@pytest.fixture
def taught(records: DayRecords) -> DayRecords:
    """A lesson a day, each from one of the histories, twice over."""
    outline = read_text(WHOLE, Path("thirds.toml"))
    assert isinstance(outline, Outline)
    for day, times in enumerate([*HISTORIES.values(), *HISTORIES.values()]):
        clock = ManualClock(1_773_046_800_000 + day * 86_400_000)
        session = Session(clock, records.journal())
        session.start(outline)
        for at_s in (each for each in times[:-1] if each is not None):
            clock.advance(at_s * 1000 - session.now_ms())
            session.do("next", "done")
        clock.advance(times[-1] * 1000 - session.now_ms())
        session.do("bell-now")
    return records


def test_a_slow_move_and_an_early_bell_cost_the_groups_what_the_raw_events_say(
    taught: DayRecords, tmp_path: Path
) -> None:
    found = lost_minutes(read_days(taught).days)
    pd.testing.assert_frame_equal(as_frame(found), lost_by_hand(tmp_path))
    assert [day.late_s for day in found.days[:4]] == [0, 240, 0, 280]
    assert [day.cut_off for day in found.days[:4]] == [False, False, True, True]


def test_four_minutes_of_a_slow_move_are_lost_at_the_table(taught: DayRecords) -> None:
    """By hand: the late groups lose four minutes together, though the mini lesson ended on time."""
    on_time, slow = lost_minutes(read_days(taught).days).days[:2]
    assert sum(cell.lost_s for cell in on_time.cells) == 0
    assert sum(cell.lost_s for cell in slow.cells) == 240


def test_a_bell_in_the_groups_leaves_the_last_ones_without_a_visit(taught: DayRecords) -> None:
    """By hand: visits of 18:00 from 12:00 and from 31:30; the bell at 32:00 leaves the second 0:30."""
    found = lost_minutes(read_days(taught).days)
    assert cells(found, 2)[0][:3] == (1080, 0, False)
    assert [(kept_s, dropped) for kept_s, _lost, dropped, _owed in cells(found, 2)[1:]] == [
        (30, False), (0, True),
    ]  # fmt: skip


def test_days_without_groups_are_left_out_and_counted(term: tuple[Day, ...]) -> None:
    alone = day_that_ends(term[0], 29 * 60, (75 * 60, 120, 0, 90, 60, 300))
    never = day_that_ends(term[0], None)
    found = lost_minutes([alone, never, alone])
    assert (found.days, found.without_groups, found.never_begun, found.groups) == ((), 2, 1, ())
    assert lost_minutes([]) == Lost((), 0, 0)


BLOCKS = st.tuples(
    st.integers(600, 7200), st.integers(0, 300), st.integers(1, 6), st.integers(0, 180), st.integers(0, 300),
    st.integers(0, 600),
)  # fmt: skip
ENDS = st.lists(st.tuples(BLOCKS, st.integers(60, 3600), st.integers(0, 7200)), min_size=1, max_size=8)


@given(ENDS)
def test_on_random_histories_the_lost_seconds_add_up_exactly(term: tuple[Day, ...], history: list) -> None:
    days = []
    for number, (block, mini_s, end_s) in enumerate(history):
        when = (date(2026, 3, 2) + timedelta(days=3 * number)).isoformat()
        days.append(day_that_ends(term[0], end_s, block, run=number, date=when, mini_lesson_s=mini_s))
    found = lost_minutes(days)
    owed: dict[str, int] = {}
    for day, lost in zip(days, found.days, strict=True):
        block = day.block_of()
        came = [cell for cell in lost.cells if not cell.dropped]
        kept = visits(block, day.mini_end_s, len(came))
        planned = visits(block, day.mini_lesson_s)
        assert (
            sum(cell.lost_s for cell in lost.cells)
            == planned.count * planned.visit_s - kept.count * kept.visit_s
        )
        assert [cell.group for cell in lost.cells] == NAMES[: block.groups]
        if len(came) < block.groups:
            assert visits(block, day.mini_end_s, len(came) + 1).visit_s < FLOOR_S, "no more could be kept"
            gone = [owed.get(cell.group, 0) for cell in lost.cells if cell.dropped]
            assert all(owed.get(cell.group, 0) >= max(gone) for cell in came), "who is owed most goes first"
        for cell in lost.cells:
            owed[cell.group] = max(0, owed.get(cell.group, 0) + cell.planned_s - cell.kept_s)
            assert cell.owed_s == owed[cell.group]
    for one in found.groups:
        assert one.lost_s - one.gained_s == one.planned_s - one.kept_s
    weekly = [one for _monday, _days, groups in found.weeks for one in groups]
    assert sum(one.lost_s for one in weekly) == sum(one.lost_s for one in found.groups)
    assert [day for _monday, days, _groups in found.weeks for day in days] == list(found.days)
    assert sums(found.days) == found.groups

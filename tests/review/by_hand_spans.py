"""Lateness by cause and what else a week or a unit shows, a second time from raw events, with pandas.

Knows lessons whose times lie on whole seconds, so that nothing needs to be rounded.
"""

from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pandas as pd

from tests.review import by_hand
from tests.review.by_hand_talk import talk_table
from tests.review.questions.test_lost_minutes import lost_by_hand

MODE = {"demo": "invented"}


def week_start(iso: str) -> str:
    """The Monday of a date, counted back day by day."""
    day = date.fromisoformat(iso)
    while day.isoweekday() != 1:
        day -= timedelta(days=1)
    return day.isoformat()


@cache
def lateness_by_hand(folder: Path) -> pd.DataFrame:
    """One row a cause of a lesson: run, date, cause (a kind, start, plan, pauses or moves), seconds."""
    seen, every_leg = by_hand.visits(folder), by_hand.legs(folder)
    rows = []
    for run in by_hand.runs(folder).itertuples():
        phases = run.outline["phases"]
        legs = every_leg[every_leg["run"] == run.run]
        tables = legs[legs["leg"] == "visit"]
        own = seen[seen["run"] == run.run]
        group = next((i for i, phase in enumerate(phases) if phase["kind"] == "group"), None)
        if own["ending"].iloc[-1] in ("bell", "interrupted") and own["phase"].iloc[-1] < run.mini:
            continue  # the lesson ended in its mini lesson: groups never started
        met = own[own["phase"] == group]
        reached = group is not None and len(met) > 0
        begin = met["begin_ms"].iloc[0] if reached else own.loc[own["phase"] < run.mini, "end_ms"].iloc[-1]
        before = own[own["end_ms"] <= begin].groupby("phase")["spent_ms"].sum() / 1000
        between = sum(phase["budget_s"] for phase in phases[run.mini : group]) if reached else 0
        walked = 0
        if len(tables):
            begin, between = tables["begin_ms"].iloc[0], run.outline["block"]["move_s"]
            walked = legs.loc[legs["end_ms"] <= begin, "spent_ms"].sum() / 1000
        planned = run.mini_lesson_s + between
        whole = begin / 1000 + run.late_s - planned
        causes = [(":start", run.late_s)]
        for index, phase in enumerate(phases[: run.mini]):
            causes.append((phase["kind"], before.get(index, 0) - phase["budget_s"]))
        budgets = sum(phase["budget_s"] for phase in phases[: run.mini])
        causes.append((":plan", budgets - run.mini_lesson_s))
        causes.append((":pauses", begin / 1000 - before.sum() - walked))
        causes.append((":moves", before[before.index >= run.mini].sum() + walked - between))
        assert sum(seconds for _cause, seconds in causes) == whole, "the causes are all there is"
        rows += [(run.run, run.date, cause, seconds, whole) for cause, seconds in causes]
    found = pd.DataFrame(rows, columns=["run", "date", "cause", "seconds", "whole"])
    assert (found["seconds"] % 1 == 0).all(), "whole seconds only"
    return found.assign(week=found["date"].map(week_start))


@cache
def lessons_by_hand(folder: Path) -> pd.DataFrame:
    """One row a lesson, by date: planned, actual, cut, late, lost, talk low and high, review; seconds."""
    phases = by_hand.phases(folder)
    mini = phases[phases["mini"]]
    grouped = mini.groupby("run")
    found = by_hand.runs(folder).set_index("run")[["date", "title", "outline"]]
    found["planned"] = grouped["planned_s"].sum()
    found["actual"] = grouped["actual_s"].sum()
    found["cut"] = mini.assign(cut=mini["ending"].isin(["bell", "interrupted"])).groupby("run")["cut"].any()
    found["review"] = phases[phases["kind"].isin(["warm-up", "review"])].groupby("run")["actual_s"].sum()
    found["late"] = lateness_by_hand(folder).groupby("run")["whole"].first()
    cells = lost_by_hand(folder)
    cells["lost"] = (cells["planned_s"] - cells["kept_s"]).clip(lower=0)
    per_run = cells.groupby("run")
    found["lost"], found["table"], found["kept"] = (
        per_run[name].sum() for name in ("lost", "planned_s", "kept_s")
    )
    talk = talk_table(folder).set_index("run")
    found["low"] = 100 * talk["teacher"] / talk["total"]
    found["high"] = 100 * (talk["teacher"] + talk["unmarked"]) / talk["total"]
    found["week"] = found["date"].map(week_start)
    return found.sort_values("date")


def clock(words: str) -> int:
    """Seconds of ``m:ss``, with a sign or a bound before it; empty text is 0."""
    text = words.removeprefix("≥ ").replace("−", "-").removeprefix("+")
    sign, text = (-1, text[1:]) if text.startswith("-") else (1, text)
    minutes, _colon, rest = text.partition(":")
    return sign * (60 * int(minutes) + int(rest))

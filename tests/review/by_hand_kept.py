"""Reviewing, lateness, phases not taught and forecasts, a second time from the raw events, with pandas.

Knows lessons whose outlines have no phase after the mini lesson and whose events lie on whole seconds.
`write_rich_term` writes invented lessons that hold what the term lacks: phases that left by a re-cut, bells
within a phase, caps of their own, mini lessons that end in time.
"""

import json
import random
import sqlite3
from contextlib import closing
from pathlib import Path

import pandas as pd

from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.run.corrections import WentTo
from pacer.run.session import Done, MemoryJournal, Session
from pacer.verbs.headless_demo import load_demo_outlines
from pacer.verbs.invented_days import write_invented_days
from tests.review import by_hand
from tests.terms import TERM_DAYS, TERM_ENDS_UTC_MS

CAPS_S = (240, 300, 360, 330, 420)
_DAY_MS = 86_400_000
_FATES = (None, "table", "tomorrow", "dropped")


def write_roomy_term(folder: Path) -> Path:
    """Invented days of the demo's outlines with longer mini lessons: some groups start in time."""
    outlines = [
        outline.model_copy(
            update={
                "mini_lesson_s": outline.mini_lesson_s + 30 * (number % 8),
                "caps_s": {**outline.caps_s, "reviewing": CAPS_S[number % len(CAPS_S)]},
            }
        )
        for number, outline in enumerate(load_demo_outlines())
    ]
    with DayRecords.open(folder) as records:
        write_invented_days(
            records, outlines, TERM_DAYS, until_utc_ms=TERM_ENDS_UTC_MS, foreseen=True, seed=7
        )
    return folder


def write_rich_term(folder: Path, seed: int = 11) -> Path:
    """Forty invented lessons of which much is not taught; every fate, every way not to be taught."""
    chance = random.Random(seed)
    outlines = [_with_fates(chance, outline) for outline in load_demo_outlines()]
    with DayRecords.open(folder) as records:
        for number in range(40):
            start_ms = TERM_ENDS_UTC_MS // 1000 * 1000 + number * _DAY_MS
            outline, journal = chance.choice(outlines), records.journal()
            journal.append(_taught(chance, outline, start_ms))
            assert journal.run_id is not None
            for _time in range(chance.choice((0, 0, 2, 5))):
                said = WentTo(
                    phase=chance.randrange(len(outline.phases)),
                    to=chance.choice(("", "table", "tomorrow", "dropped")),
                )
                records.after().say(journal.run_id, said, start_ms + _DAY_MS // 2)
    return folder


def _with_fates(chance: random.Random, outline: Outline) -> Outline:
    phases = tuple(phase.model_copy(update={"movable": chance.choice(_FATES)}) for phase in outline.phases)
    return outline.model_copy(update={"phases": phases})


def _taught(chance: random.Random, outline: Outline, start_ms: int) -> list:
    clock, journal = ManualClock(start_ms), MemoryJournal()
    session = Session(clock, journal)
    session.start(outline, start_ms - chance.randrange(-60, 200) * 1000, 0, mode="demo")
    while session.state.index is not None:
        index = session.state.index
        later = [
            p.id for i, p in enumerate(outline.phases) if i > index and p.movable and chance.random() < 0.4
        ]
        if later and chance.random() < 0.4:
            session.do("keep", " ".join(later))
        clock.advance(1000 * chance.randrange(5, round(outline.phases[index].budget_s * 1.4)))
        press = chance.choices(("next", "bell-now", "end", "groups"), (20, 1, 1, 1))[0]
        argument = {"next": chance.choice(("done", "moved-on", "unsaid")), "end": "interrupted"}.get(
            press, ""
        )
        assert isinstance(session.do(press, argument), Done), press
    while session.state.is_running:
        clock.advance(1000 * chance.randrange(30, 900))
        at_bell = session.state.leg is not None and session.state.leg.kind in ("share", "clean_up")
        assert isinstance(session.do("bell-now" if at_bell else "next"), Done)
    return journal.events


@by_hand.once
def kept_table(folder: Path) -> pd.DataFrame:
    """One row a lesson, by date: warm_up, review (all else under the cap), whole, cap, over; seconds."""
    phases = by_hand.phases(folder)
    outlines = by_hand.runs(folder).set_index("run")["outline"]
    group = [outlines[row.run]["phases"][row.phase]["cap_group"] for row in phases.itertuples()]
    shares = (pd.Series(group) == "reviewing") | phases["kind"].isin(["warm-up", "review"])
    found = by_hand.runs(folder).set_index("run")[["date", "title"]]
    found["whole"] = phases[shares].groupby("run")["actual_s"].sum()
    found["warm_up"] = phases[phases["kind"] == "warm-up"].groupby("run")["actual_s"].sum()
    found["review"] = found["whole"] - found["warm_up"]
    found["cap"] = [outline["caps_s"].get("reviewing", 300) for outline in outlines]
    found["over"] = (found["whole"] - found["cap"]).clip(lower=0)
    return found.sort_values("date", kind="stable")


@by_hand.once
def late_table(folder: Path) -> pd.DataFrame:
    """One row a lesson in which groups started, by date: late, in seconds."""
    runs = by_hand.runs(folder).set_index("run")
    last = by_hand.visits(folder).groupby("run").last()
    legs = by_hand.legs(folder)
    first_visit = legs[legs["leg"] == "visit"].groupby("run")["begin_ms"].first()
    begin = first_visit.reindex(last.index).fillna(last["end_ms"]) / 1000
    move = runs["outline"].map(lambda outline: outline["block"]["move_s"])
    planned = runs["mini_lesson_s"] + move.where(runs.index.isin(first_visit.index), 0)
    found = runs[["date", "title"]].assign(late=begin + runs["late_s"] - planned, ending=last["ending"])
    found = found[~found["ending"].isin(["bell", "interrupted"])]
    return found.sort_values("date", kind="stable")


def ratio_table(folder: Path, kind: str) -> pd.DataFrame:
    """One row a lesson in which a kind was met and not cut off, by date: ratio, actual over budget."""
    phases = by_hand.phases(folder)
    own = phases[phases["mini"] & (phases["kind"] == kind) & (phases["ending"] != "skipped")]
    own = own.assign(cut=own["ending"].isin(["bell", "interrupted"]))
    grouped = own.groupby("run").agg(
        date=("date", "first"), actual=("actual_s", "sum"), planned=("planned_s", "sum"), cut=("cut", "any")
    )
    found = grouped[~grouped["cut"] & (grouped["actual"] > 0)]
    return found.assign(ratio=found["actual"] / found["planned"]).sort_values("date", kind="stable")


@by_hand.once
def missing_table(folder: Path) -> pd.DataFrame:
    """One row a planned phase of a mini lesson: run, date, lesson, kind, id, title, why, went, missing.

    ``why`` is empty where it was taught, ``missing`` in seconds.
    """
    phases = by_hand.phases(folder)
    phases = phases[phases["mini"]].reset_index(drop=True)
    outlines = by_hand.runs(folder).set_index("run")["outline"]
    raw = [outlines[row.run]["phases"][row.phase] for row in phases.itertuples()]
    events = by_hand.raw_events(folder)
    kept = events[events["kind"] == "cut_kept"]
    gone = {
        (run, index) for run, body in zip(kept["run"], kept["body"], strict=True) for index in body["leaving"]
    }
    left = pd.Series([key in gone for key in zip(phases["run"], phases["phase"], strict=True)])
    floor = pd.Series([phase["floor_s"] for phase in raw])
    phases["lesson"] = phases["run"].map(lambda run: outlines[run]["title"])
    went = _said_where(folder)
    phases["went"] = [
        went.get((row.run, row.phase)) or phase["movable"] or ""
        for row, phase in zip(phases.itertuples(), raw, strict=True)
    ]
    phases["why"] = ""
    cut = phases["ending"].isin(["bell", "interrupted"]) & (phases["actual_s"] < floor)
    phases.loc[cut, "why"] = "cut off"
    phases.loc[phases["visits"] == 0, "why"] = "skipped"
    phases.loc[(phases["visits"] == 0) & left, "why"] = "left"
    phases["missing"] = (phases["planned_s"] - phases["actual_s"]).clip(lower=0)
    return phases


def _said_where(folder: Path) -> dict[tuple[int, int], str]:
    """What was said last of where a phase went, by run and phase, straight from the file."""
    query = "SELECT run_id, body FROM after_event WHERE kind = 'went_to' ORDER BY run_id, number"
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        rows = [(run, json.loads(body)) for run, body in connection.execute(query)]
    return {(run, body["phase"]): body["to"] for run, body in rows}


@by_hand.once
def forecast_table(folder: Path) -> pd.DataFrame:
    """One row a forecast: run, kind (of its phase), low, high, came (True, False; None: nobody knows)."""
    runs = by_hand.runs(folder).set_index("run")
    visits = by_hand.visits(folder)
    last_end = visits.groupby("run")["end_ms"].last()
    events = by_hand.raw_events(folder)
    rows = []
    for event in events[events["kind"] == "forecasted"].itertuples():
        run = runs.loc[event.run]
        # Where the bell or something else ended the lesson in its mini lesson, groups never started.
        last = visits[visits["run"] == event.run].iloc[-1]
        known = not (last["phase"] < run["mini"] and last["ending"] in ("bell", "interrupted"))
        in_time = last_end[event.run] / 1000 + run["late_s"] <= run["mini_lesson_s"]
        kind = run["outline"]["phases"][event.body["index"]]["kind"]
        rows.append(
            (event.run, kind, event.body["low"], event.body["high"], bool(in_time) if known else None)
        )
    return pd.DataFrame(rows, columns=["run", "kind", "low", "high", "came"])


def seconds(words: str) -> int:
    """Seconds of ``m:ss``, with a sign or without."""
    sign = -1 if words.startswith("−") else 1
    minutes, _colon, rest = words.lstrip("+−").partition(":")
    return sign * (60 * int(minutes) + int(rest))

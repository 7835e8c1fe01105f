"""Tables of what happened, made with pandas from the raw events of a file of day records.

Independent of the program's fold: it reads the JSON of the events with sqlite3 and adds up intervals itself,
so that a picture's numbers can be compared with a second computation. Knows what invented days hold: moves,
pauses, gaps that were taken back it refuses, undone presses.
"""

import json
import sqlite3
from collections.abc import Callable
from functools import cache, wraps
from pathlib import Path

import pandas as pd

from pacer.log.database import FILE_NAME


def once(table: Callable[[Path], pd.DataFrame]) -> Callable[[Path], pd.DataFrame]:
    """Make a table of a folder once, as long as nothing is written there; each caller gets a copy."""

    @cache
    def kept(folder: Path, _stamp: tuple[tuple[str, int, int], ...]) -> pd.DataFrame:
        return table(folder)

    @wraps(table)
    def copied(folder: Path) -> pd.DataFrame:
        files = sorted(folder.glob(f"{FILE_NAME}*"))
        stats = [(file.name, file.stat()) for file in files]
        stamp = tuple((name, one.st_size, one.st_mtime_ns) for name, one in stats if one.st_size)
        return kept(folder, stamp).copy()

    return copied


@once
def raw_events(folder: Path) -> pd.DataFrame:
    """All events that were not undone: run, seq, t_ms, utc_ms, kind, and ``body`` as a dict."""
    with sqlite3.connect(folder / FILE_NAME) as connection:
        found = pd.read_sql("SELECT run_id AS run, seq, t_ms, utc_ms, kind, body FROM event", connection)
    connection.close()
    found["body"] = found["body"].map(json.loads)
    undone = found[found["kind"] == "undone"]
    targets = set(zip(undone["run"], undone["body"].map(lambda body: body["target"]), strict=True))
    keys = list(zip(found["run"], found["seq"], strict=True))
    gone = pd.Series([key in targets for key in keys], index=found.index)
    assert not (gone & (found["kind"] == "gap")).any(), "a gap taken back is not known here"
    return found[~gone & (found["kind"] != "undone")].sort_values(["run", "seq"], ignore_index=True)


@once
def runs(folder: Path) -> pd.DataFrame:
    """One row a lesson: date, mode, title, subject, late_s, mini_lesson_s, mini, outline, ended_ms, cues."""
    rows = []
    for run, events in raw_events(folder).groupby("run"):
        first, last = events.iloc[0], events.iloc[-1]
        outline = first["body"]["outline"]
        after = ("move", "group", "share")
        kinds = [phase["kind"] for phase in outline["phases"]]
        mini = next((i for i, kind in enumerate(kinds) if kind in after), len(kinds))
        start = pd.Timestamp(first["utc_ms"], unit="ms") + pd.Timedelta(seconds=first["body"]["utc_offset_s"])
        rows.append(
            {
                "run": run,
                "date": start.date().isoformat(),
                "mode": first["body"]["mode"],
                "title": outline["title"],
                "subject": outline["subject"],
                "late_s": (first["utc_ms"] - first["body"]["planned_utc_ms"]) / 1000,
                "mini_lesson_s": outline["mini_lesson_s"],
                "mini": mini,
                "outline": outline,
                "ended_ms": last["t_ms"],
                "cues": int((events["kind"] == "cued").sum()),
            }
        )
    return pd.DataFrame(rows)


@once
def visits(folder: Path) -> pd.DataFrame:
    """One row a visit, in order: run, phase (index), begin_ms, end_ms, spent_ms (pauses left out), ending."""
    rows = []
    for run, events in raw_events(folder).groupby("run"):
        stops = _stops(events)
        at, begin = 0, 0
        for event in events.itertuples():
            if event.kind in ("moved", "leg_began", "bell_rang", "ended"):
                ending = "bell" if event.kind == "bell_rang" else event.body["ending"]
                if at is not None:
                    stopped = sum(max(0, min(e, event.t_ms) - max(b, begin)) for b, e in stops)
                    rows.append((run, at, begin, event.t_ms, event.t_ms - begin - stopped, ending))
                at, begin = (event.body["to"] if event.kind == "moved" else None), event.t_ms
    return pd.DataFrame(rows, columns=["run", "phase", "begin_ms", "end_ms", "spent_ms", "ending"])


def _stops(events: pd.DataFrame) -> list[tuple[int, int]]:
    """When the phase clock stood still; a move and the end start it again."""
    found, since = [], None
    for event in events.itertuples():
        if event.kind == "paused" and since is None:
            since = event.t_ms
        elif event.kind in ("went_on", "moved", "leg_began", "ended", "bell_rang") and since is not None:
            found.append((since, event.t_ms))
            since = None
    return found


@once
def legs(folder: Path) -> pd.DataFrame:
    """One row a leg of the second half: run, leg, group (number), begin_ms, end_ms, spent_ms, last.

    A group that is pulled out at the table makes room for the next one, which needs no press of its own.
    ``last``: what ended it (a kind of event). Knows groups that are left out only at the table.
    """
    rows = []
    for run, events in raw_events(folder).groupby("run"):
        stops, now, out = _stops(events), None, set()
        outline = events.iloc[0]["body"]["outline"]
        for event in events.itertuples():
            body, following = event.body, None
            if event.kind == "leg_began":
                following = (body["leg"], body["group"])
            elif event.kind == "group_left_out":
                out.add(body["group"])
                assert (now or ())[:2] == ("visit", body["group"]), "left out at the table only"
                seen = {row[2] for row in rows if row[0] == run and row[1] == "visit"} | {now[1]}
                to_come = [n for n in range(outline["block"]["groups"]) if n not in seen | out]
                following = ("visit", to_come[0]) if to_come else ("empty table", -1)
            elif event.kind not in ("moved", "bell_rang", "ended"):
                continue
            if now is not None:
                stopped = sum(max(0, min(e, event.t_ms) - max(b, now[2])) for b, e in stops)
                rows.append((run, *now, event.t_ms, event.t_ms - now[2] - stopped, event.kind))
            now = None if following is None else (*following, event.t_ms)
    return pd.DataFrame(rows, columns=["run", "leg", "group", "begin_ms", "end_ms", "spent_ms", "last"])


@once
def phases(folder: Path) -> pd.DataFrame:
    """One row a phase of each outline: run, date, mode, phase (index), id, kind, title, planned_s, mini, …

    … actual_s (nearest second), ending ("skipped" where it was not reached), begin_ms, end_ms, visits.
    """
    seen = visits(folder)
    grouped = seen.groupby(["run", "phase"]).agg(
        begin_ms=("begin_ms", "first"),
        end_ms=("end_ms", "last"),
        spent_ms=("spent_ms", "sum"),
        ending=("ending", "last"),
        visits=("ending", "size"),
    )
    rows = []
    for run in runs(folder).itertuples():
        for index, phase in enumerate(run.outline["phases"]):
            rows.append(
                {
                    "run": run.run, "date": run.date, "mode": run.mode, "subject": run.subject,
                    "phase": index, "id": phase["id"], "kind": phase["kind"], "title": phase["title"],
                    "planned_s": phase["budget_s"], "mini": index < run.mini,
                }
            )  # fmt: skip
    found = pd.DataFrame(rows).join(grouped, on=["run", "phase"])
    found["actual_s"] = ((found["spent_ms"].fillna(0) + 500) // 1000).astype(int)
    found["ending"] = found["ending"].fillna("skipped")
    found["visits"] = found["visits"].fillna(0).astype(int)
    return found

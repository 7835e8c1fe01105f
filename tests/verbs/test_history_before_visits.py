"""Day records and outlines from before visits were run live: they open, list, replay and review as they did.

`days_before_visits` holds a database of invented lessons as that version wrote it, five that ended with the
mini lesson and one that was cut off, and what its verbs said of them.
"""

import gzip
import json
from pathlib import Path

import pytest

from pacer.__main__ import main
from pacer.log.day_records import DayRecords
from pacer.paths import template_folder
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.run.fold import fold
from pacer.run.session import MemoryJournal, Session

HERE = Path(__file__).parent / "days_before_visits"
SAID = json.loads(gzip.decompress((HERE / "said.json.gz").read_bytes()))
VERBS = [said for said in SAID if said.startswith(("log", "report"))]


@pytest.fixture
def old_folder(tmp_path):
    """A data folder as that version left it."""
    database = gzip.decompress((HERE / "day-records.sqlite3.gz").read_bytes())
    (tmp_path / "day-records.sqlite3").write_bytes(database)
    return tmp_path


# What has another name since: columns of tables, an ending, and groups without a name of their own.
HEADINGS = {"Kept (m:ss)": "Met (m:ss)"}
ENDINGS = {"unsaid": "nobody said"}
# The same figures, told as what was and not as what is usual, and as about so many days.
REWORDED = (
    ("Usually you give it", "At their median you gave it"),
    ("on 7 of 10 days", "on about 7 of 10 days"),
)
GROUPS = {"Group 1": "Circle", "Group 2": "Triangle", "Group 3": "Hexagon"}


# What is called a change follows another rule since: a middle zone, and single lessons only stand out.
JUDGED_ANEW = {"improving"}


def as_called_now(before: object) -> object:
    """The tables of what was said before, under the names that their columns and groups have since."""
    if isinstance(before, list):
        return [as_called_now(inner) for inner in before]
    if not isinstance(before, dict):
        return before
    named = {key: as_called_now(value) for key, value in before.items()}
    if "summary" in named:
        for words in REWORDED:
            named["summary"] = named["summary"].replace(*words)
    if "rows" in named:
        named["rows"] = [[ENDINGS.get(cell, cell) for cell in row] for row in named["rows"]]
    if "headings" in named and "Group" in named["headings"]:
        at = named["headings"].index("Group")
        named["headings"] = [HEADINGS.get(heading, heading) for heading in named["headings"]]
        named["rows"] = [[*row[:at], GROUPS[row[at]], *row[at + 1 :]] for row in named["rows"]]
    return named


def only_columns(now: dict, headings: list) -> dict:
    """A table without the columns that were added since."""
    kept = [at for at, heading in enumerate(now["headings"]) if heading in headings]
    rows = [[row[at] for at in kept] for row in now["rows"]]
    return now | {"headings": [now["headings"][at] for at in kept], "rows": rows}


def all_that_was(now: object, before: object) -> object:
    """What is said now, without what is said beside it since; compared with what was said before."""
    if isinstance(now, dict) and isinstance(before, dict) and "headings" in now and "headings" in before:
        now = only_columns(now, before["headings"])
    if isinstance(now, dict) and isinstance(before, dict):
        return {key: all_that_was(now[key], before[key]) if key in now else "gone" for key in before}
    if isinstance(now, list) and isinstance(before, list) and len(now) == len(before):
        return [all_that_was(*pair) for pair in zip(now, before, strict=True)]
    return now


@pytest.mark.parametrize("verb", VERBS)
def test_every_figure_that_was_said_of_an_old_lesson_is_said_again(old_folder, capsys, verb):
    code, before = SAID[verb][0], as_called_now(SAID[verb][1])
    assert main([*verb.split(), "--data-dir", str(old_folder)]) == code
    now = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    before = [line for line in before if line.get("picture", {}).get("name") not in JUDGED_ANEW]
    asked = {line["picture"]["name"] for line in before if "picture" in line}
    now = [line for line in now if "picture" not in line or line["picture"]["name"] in asked]
    assert all_that_was(now, before) == before


def test_an_outline_in_which_groups_are_phases_is_replayed_as_it_was(tmp_path, capsys):
    (tmp_path / "plan.toml").write_text(SAID["plan"], encoding="utf-8")
    (tmp_path / "script.txt").write_text(SAID["script"], encoding="utf-8")
    code, before = SAID["replay"]
    # A lesson that is run now is cued more rarely than it was.
    assert before[-1]["record"].pop("cues") == 4
    assert main(["replay", str(tmp_path / "plan.toml"), str(tmp_path / "script.txt"), "--json"]) == code
    now = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert all_that_was(now, before) == before
    assert not any("visit" in line for line in now)


def test_an_old_lesson_has_no_legs_and_ended_where_it_did(old_folder):
    with DayRecords.open(old_folder) as records:
        states = [fold(records.events(run.id)) for run in records.runs()]
    assert [state.legs for state in states] == [()] * 6
    assert [state.ended_ms is None for state in states] == [True] + [False] * 5
    assert all(isinstance(state.plan, Outline) and state.plan.share_prompt == "" for state in states)


def test_an_old_lesson_that_was_cut_off_goes_on_into_the_second_half(old_folder):
    """Its outline has no names of groups: neutral ones are given."""
    with DayRecords.open(old_folder) as records:
        events = records.events(records.runs()[0].id)
    session = Session(ManualClock(events[-1].utc_ms + 5_000), MemoryJournal(), events)
    session.do("groups")
    session.do("next")
    leg = session.state.leg
    assert (leg.kind, session.state.plan.visitors[leg.group].name) == ("visit", "Circle")


def test_an_outline_kept_without_what_is_new_reads_as_one_that_leaves_it_out():
    from pacer.plan.file.reader import read_outline

    outline = read_outline(template_folder() / "number-line-75.toml")
    assert isinstance(outline, Outline)
    kept = json.loads(outline.model_dump_json())
    for name in ("groups", "stations", "share_prompt"):
        kept.pop(name)
    for name in ("share_floor_s", "visit_floor_s", "order"):
        kept["block"].pop(name)
    old = Outline.model_validate(kept)
    assert (old.phases, old.block.visit_floor_s, old.block.kept_share_s) == (outline.phases, 480, 300)
    assert [group.name for group in old.visitors] == ["Circle", "Triangle", "Hexagon"]

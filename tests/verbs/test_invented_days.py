"""The demo's invented day records: plausible, and the same every time."""

from datetime import UTC, datetime

import pytest

from pacer.log.day_records import DayRecords
from pacer.plan.file.reader import read_outline
from pacer.run.fold import fold
from pacer.verbs.invented_days import write_invented_days

UNTIL_MS = round(datetime(2026, 3, 9, 13, 0, tzinfo=UTC).timestamp() * 1000)
OFFSET_S = -5 * 3600


@pytest.fixture(scope="module")
def outlines(templates):
    return [read_outline(path) for path in templates]


def written(folder, outlines, **options):
    with DayRecords.open(folder) as records:
        write_invented_days(records, outlines, until_utc_ms=UNTIL_MS, utc_offset_s=OFFSET_S, **options)
        return [(row, records.events(row.id)) for row in records.runs()], records.unfinished()


@pytest.fixture(scope="module")
def days(tmp_path_factory, outlines):
    found, unfinished = written(tmp_path_factory.mktemp("days"), outlines)
    assert unfinished == []
    return [(row, fold(events)) for row, events in found]


@pytest.mark.slow
def test_the_same_seed_gives_the_same_days_and_another_seed_others(tmp_path, outlines):
    first, again, other = (
        written(tmp_path / name, outlines, count=6, seed=seed)[0]
        for name, seed in (("a", 1), ("b", 1), ("c", 2))
    )
    assert first == again
    assert first != other


@pytest.mark.slow
def test_they_are_marked_as_demo_and_lie_on_school_days_before_the_date(days):
    starts = [datetime.fromtimestamp(row.planned_utc_ms / 1000 + OFFSET_S, UTC) for row, _state in days]
    assert {row.mode for row, _state in days} == {"demo"}
    assert len({start.date() for start in starts}) == 30
    assert all(start.weekday() < 5 and (start.hour, start.minute) == (9, 0) for start in starts)
    assert max(starts) < datetime(2026, 3, 9, tzinfo=UTC)


def test_lessons_start_up_to_four_minutes_late(days):
    late = [state.late_ms for _row, state in days]
    assert min(late) >= 0
    assert max(late) <= 240_000
    assert len(set(late)) > 10


def test_reviewing_and_modeling_swell_and_the_end_is_cut(days):
    def share(*kinds: str) -> float:
        """Time spent over time planned, over all days."""
        spent = planned = 0
        for _row, state in days:
            for index, phase in enumerate(state.plan.phases):
                if phase.kind in kinds:
                    spent += state.spent_ms(index, state.ended_ms) / 1000
                    planned += phase.budget_s
        return spent / planned

    assert 1.2 < share("warm-up", "review") < 1.7
    assert 1.1 < share("modeling") < 1.5
    assert share("look-back") < 0.6


def test_all_that_a_lesson_can_show_is_among_them(days):
    states = [state for _row, state in days]
    endings = {state.ending_of(index) for state in states for index in range(len(state.plan.phases))}
    assert endings >= {"done", "moved on", "unsaid", "bell", "skipped"}
    assert sum(state.count("happened") for state in states) == 1
    assert sum(bool(state.stopped) for state in states) >= 3
    assert sum(bool(state.talks) for state in states) >= 10
    assert all(state.talk is None for state in states)
    assert sum(state.count("example") for state in states) >= 20
    assert all(state.cues for state in states)
    assert all(state.gaps == () for state in states)


def test_the_desk_cues_no_mini_lesson_more_than_six_times_and_a_whole_block_about_as_often(days):
    """Six is our own aim. These teachers run over in most phases and visits."""
    mini, whole = [], []
    for _row, state in days:
        begins_ms = state.legs[0].begin_ms if state.legs else state.ended_ms
        mini.append(sum(cue.t_ms < begins_ms for cue in state.cues))
        whole.append(len(state.cues))
    assert max(mini) <= 6
    assert sum(whole) / len(whole) <= 6
    assert max(whole) <= 8
    assert sum(mini) / len(mini) >= 3, "and yet it does speak"


def test_without_an_outline_there_is_nothing_to_invent(tmp_path):
    with DayRecords.open(tmp_path) as records, pytest.raises(ValueError, match="outline"):
        write_invented_days(records, [], until_utc_ms=UNTIL_MS)

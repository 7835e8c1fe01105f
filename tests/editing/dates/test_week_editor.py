"""Planned days under edit: each step says what it did and is taken back whole."""

import errno
from datetime import date, timedelta

import pytest

from pacer.editing.dates.week_editor import WeekEditor
from pacer.plan.dates.planned import MOST_A_DAY, DaySlot
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.run.clock import ManualClock
from pacer.settings.planned_days import PlannedDaysStore
from pacer.settings.store import SettingsStore

CLOCK = ManualClock(1_773_046_800_123)
MON, TUE, WED, THU, FRI = (date(2026, 3, 9) + timedelta(days=number) for number in range(5))
NEXT_MON = date(2026, 3, 16)


class Bench:
    def __init__(self, folder) -> None:
        self.settings = SettingsStore(folder / "settings.json", CLOCK)
        self.planned = PlannedDaysStore(folder / "planned-days.json", CLOCK)
        self.editor = WeekEditor(self.planned, self.settings)

    def week(self) -> list[str]:
        days = (MON + timedelta(days=number) for number in range(5))
        return [" ".join(self.planned.of(day)) for day in days]


@pytest.fixture
def bench(tmp_path):
    return Bench(tmp_path)


def test_every_step_says_what_it_did_and_is_undone_and_done_again(bench):
    editor = bench.editor
    assert editor.assign(MON, "a", "Halves") == "Halves is on Monday 9 March."
    editor.assign(MON, "b", "Thirds")
    assert editor.move(DaySlot(MON, 0), WED, "Halves") == "Halves is on Wednesday 11 March."
    assert editor.take_away(DaySlot(MON, 0), "Thirds") == "Thirds is off Monday 9 March; its file stays."
    assert bench.week() == ["", "", "a", "", ""]
    assert editor.undo() == "Taken back: “Thirds is off Monday 9 March; its file stays.”"
    assert bench.week() == ["b", "", "a", "", ""]
    editor.undo()
    assert bench.week() == ["a b", "", "", "", ""]
    assert editor.redo() == "Done again: Halves is on Wednesday 11 March."
    assert bench.week() == ["b", "", "a", "", ""]


def test_a_day_off_that_is_taken_back_on_a_full_disk_is_not_called_taken_back(bench, monkeypatch):
    bench.editor.shape(MON, "")

    def full(*_given: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("pacer.settings.store.write_whole", full)
    assert bench.editor.undo() == bench.settings.trouble != ""
    assert bench.editor.redo() == bench.settings.trouble
    monkeypatch.undo()
    assert bench.editor.undo() == "Taken back: “Monday 9 March: no school. {more}”".format(
        more="Other days are Regular, 75 min: see Day shapes on Today."
    )


def test_without_a_step_there_is_nothing_to_undo(bench):
    assert not bench.editor.can_undo
    assert bench.editor.undo() == "There is nothing to undo."
    assert bench.editor.redo() == "There is nothing to redo."


def test_what_changes_nothing_is_no_step(bench):
    assert bench.editor.take_away(DaySlot(MON, 0), "x") == ""
    assert not bench.editor.can_undo


def test_last_week_is_copied_and_days_that_were_left_are_named(bench):
    bench.editor.assign(MON, "a", "A")
    bench.editor.assign(TUE, "b", "B")
    bench.editor.assign(NEXT_MON, "mine", "Mine")
    told = bench.editor.copy_last_week(NEXT_MON)
    assert told == "Last week is copied. Left as they are: Monday 16 March."
    assert bench.planned.of(NEXT_MON + timedelta(days=1)) == ("b",)
    assert bench.editor.copy_last_week(NEXT_MON).startswith("There is nothing to copy from last week")


def test_a_snow_day_has_no_school_moves_the_rest_on_and_is_undone_whole(bench):
    for day, name in ((TUE, "a"), (WED, "b"), (FRI, "c")):
        bench.editor.assign(day, name, name)
    told = bench.editor.snow_day(WED)
    assert told == "No school on Wednesday 11 March: 2 lessons moved on by a school day each."
    assert bench.week() == ["", "a", "", "b", ""]
    assert bench.planned.of(NEXT_MON) == ("c",)
    assert not bench.editor.has_school(WED)
    bench.editor.undo()
    assert bench.week() == ["", "a", "b", "", "c"]
    assert bench.editor.has_school(WED)


def test_a_snow_day_with_nothing_behind_it_counts_no_lessons(bench):
    assert bench.editor.snow_day(WED) == "No school on Wednesday 11 March. No lesson had to move."
    assert bench.editor.undo() == "Taken back: “No school on Wednesday 11 March. No lesson had to move.”"


def test_a_full_day_is_told_and_left_as_it_is(bench):
    for number in range(MOST_A_DAY):
        bench.editor.assign(MON, str(number), "x")
    assert bench.editor.assign(MON, "more", "More") == "Monday 9 March has 8 lessons already; no more fit."
    bench.editor.assign(TUE, "a", "A")
    assert "no more fit" in bench.editor.move(DaySlot(TUE, 0), MON, "A")


def test_the_next_and_the_last_school_day_skip_days_without_school(bench):
    bench.settings.change(day_shapes=DayShapes(shapes=STARTING_SHAPES, days={TUE.isoformat(): ""}))
    assert (bench.editor.next_day(MON, 1), bench.editor.next_day(WED, -1)) == (WED, MON)
    bench.settings.change(day_shapes=DayShapes(week=dict.fromkeys(range(7), "")))
    assert bench.editor.next_day(MON, 1) == MON


def test_another_shape_for_a_date_brings_the_starting_shapes_where_there_are_none(bench):
    told = bench.editor.shape(TUE, "Early release")
    assert told == (
        "Tuesday 10 March: Early release. Other days are Regular, 75 min: see Day shapes on Today."
    )
    assert bench.editor.shape(WED, "Assembly") == "Wednesday 11 March: Assembly."
    shape = bench.settings.now.shape_on(TUE)
    assert shape is not None
    assert (shape.name, len(bench.settings.now.day_shapes.shapes)) == ("Early release", 3)
    bench.editor.shape(TUE, "")
    assert not bench.editor.has_school(TUE)
    bench.editor.shape(TUE, None)
    assert bench.editor.has_school(TUE)
    for _step in range(4):
        bench.editor.undo()
    assert bench.settings.now.day_shapes == DayShapes()


def test_what_another_window_planned_is_not_undone_with_it(bench):
    bench.editor.assign(MON, "a", "A")
    other = PlannedDaysStore(bench.planned._path, CLOCK)
    other.change(lambda days: days.assigned(TUE, "b"))
    assert bench.editor.undo() == "The days were changed elsewhere since; nothing is undone."
    assert bench.week() == ["a", "b", "", "", ""]


def test_an_outline_whose_file_name_cannot_be_kept_is_told_and_the_days_stay(bench):
    bench.editor.assign(MON, "a", "Halves")
    told = bench.editor.assign(TUE, "\udcff.toml", "Thirds")
    assert "rename it in Library" in told
    assert bench.week() == ["a", "", "", "", ""]


def test_what_another_window_moved_meanwhile_is_not_taken_for_what_was_chosen(tmp_path):
    clock = ManualClock(1_773_046_800_000)
    planned, other = (PlannedDaysStore(tmp_path / "planned-days.json", clock) for _window in range(2))
    editor = WeekEditor(planned, SettingsStore(tmp_path / "settings.json", clock))
    planned.change(lambda days: days.with_day(date(2026, 3, 9), ("a.toml", "b.toml")))
    other.change(lambda days: days.taken_away(DaySlot(date(2026, 3, 9), 0)))
    for act in (
        lambda: editor.take_away(DaySlot(date(2026, 3, 9), 0), "A"),
        lambda: editor.move(DaySlot(date(2026, 3, 9), 1), date(2026, 3, 10), "B"),
    ):
        planned.now = planned.now.with_day(date(2026, 3, 9), ("a.toml", "b.toml"))  # as it is shown
        planned._seen = None
        assert "another window" in act()
        assert planned.of(date(2026, 3, 9)) == ("b.toml",)


def test_a_shape_is_chosen_beside_what_another_window_chose(tmp_path):
    clock = ManualClock(1_773_046_800_000)
    stores = [SettingsStore(tmp_path / "settings.json", clock) for _window in range(2)]
    for store, day, name in zip(stores, (9, 10), ("Regular", ""), strict=True):
        WeekEditor(PlannedDaysStore(tmp_path / "p.json", clock), store).shape(date(2026, 3, day), name)
    assert stores[1].now.day_shapes.days == {"2026-03-09": "Regular", "2026-03-10": ""}

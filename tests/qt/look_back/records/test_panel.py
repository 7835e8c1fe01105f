"""Look back's Day records: the trash, export, and deletion after reading and typing, never by chance."""

import csv
import json
from pathlib import Path

import pytest
from PySide6.QtCore import QDate, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QComboBox, QFileDialog, QLayout, QLineEdit, QTableWidget

from pacer.log.day_records import DayRecords
from pacer.log.erase import RUNNING_MS
from pacer.log.export.tables import TABLE_NAMES
from pacer.qt.look_back.records.panel import DataPanel
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from pacer.settings.folders import folders
from pacer.settings.planned_days import PlannedDaysStore
from tests.qt.window_factories import click, room_time_ms, settle

DAY_MS = 86_400_000


def teach(records: DayRecords, outline, day: int, ended: bool = True) -> int:
    """A lesson of two phases at 9:00, so many days after Monday, 9 March 2026."""
    clock = ManualClock(room_time_ms("9:00") + day * DAY_MS)
    journal = records.journal()
    session = Session(clock, journal)
    session.start(outline)
    clock.advance(150_000)
    session.do("next", "done")
    if ended:
        session.do("bell-now")
    assert journal.run_id is not None
    return journal.run_id


class Bench:
    """The panel on records of its own, and how often it told that they changed."""

    def __init__(self, folder: Path, records: DayRecords) -> None:
        self.folder, self.records = folder, records
        self.clock = ManualClock(room_time_ms("15:30") + 3 * DAY_MS)
        self.panel = DataPanel(records, folders(folder), self.clock)
        self.changes = 0
        self.panel.changed.connect(self._on_changed)
        # It is a part of the page; alone, it must not ask the pretended screens for a least size.
        self.panel.layout().setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)
        self.panel.resize(1034, 620)
        self.panel.show()
        self.show()

    def _on_changed(self) -> None:
        self.changes += 1

    def show(self) -> "Bench":
        self.panel.reload()
        settle()
        return self

    @property
    def erase(self):
        return self.panel.erase

    def choose(self, kind: str, since: str = "", until: str = "") -> "Bench":
        self.erase.which.setCurrentIndex(self.erase.which.findData(kind))
        self.erase.which.activated.emit(self.erase.which.currentIndex())
        for edit, day in ((self.erase.since, since), (self.erase.until, until)):
            if day:
                edit.setDate(QDate.fromString(day, "yyyy-MM-dd"))
        settle()
        return self

    @property
    def left(self) -> list[int]:
        """The lessons that are not in the trash."""
        return sorted(run.id for run in self.records.runs())

    @property
    def said(self) -> tuple[str, str]:
        shown = (self.panel.said, self.panel.trouble)
        return tuple(words.text() if words.isVisible() else "" for words in shown)


@pytest.fixture
def folder(tmp_path) -> Path:
    return tmp_path / "data"


@pytest.fixture
def bench(dressed, folder, invented):
    """Lessons 1 to 3 on Monday, Tuesday and Wednesday."""
    with DayRecords.open(folder) as records:
        for day in range(3):
            teach(records, invented, day)
        made = Bench(folder, records)
        yield made
        made.panel.close()
        made.panel.deleteLater()
        settle()


def cells(table: QTableWidget) -> list[list[str]]:
    columns = range(table.columnCount())
    return [[table.item(row, column).text() for column in columns] for row in range(table.rowCount())]


def test_all_day_records_are_listed_the_newest_first_and_the_trash_is_empty(bench):
    assert [row[:3] for row in cells(bench.panel.list)] == [
        [f"{day} Mar 2026", "9:00", "Thirds on a number line"] for day in (11, 10, 9)
    ]
    assert bench.panel.count.text() == "3 day records"
    assert bench.panel.trash_count.text() == "The trash is empty"
    assert not bench.panel.out_button.isEnabled()


def test_delete_puts_the_chosen_ones_into_the_trash_and_return_takes_one_out(bench):
    table, trash = bench.panel.list, bench.panel.trash
    table.setFocus()
    QTest.keyClick(table, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    QTest.keyClick(table, Qt.Key.Key_Delete)
    settle()
    assert bench.left == [1]
    assert bench.said == ("2 day records are in the trash.", "")
    assert [row[0] for row in cells(trash)] == ["11 Mar 2026", "10 Mar 2026"]
    assert {row[3] for row in cells(trash)} == {"30 days"}
    bench.clock.advance(26 * DAY_MS)
    bench.show()
    assert {row[3] for row in cells(trash)} == {"4 days"}
    trash.setFocus()
    trash.setCurrentCell(1, 0)
    QTest.keyClick(trash, Qt.Key.Key_Return)
    settle()
    assert bench.left == [1, 2]
    assert [row[0] for row in cells(trash)] == ["11 Mar 2026"]
    assert bench.changes == 2


def test_the_buttons_do_the_same_for_whoever_uses_the_mouse(bench):
    bench.panel.list.selectRow(2)
    click(bench.panel.put_button)
    assert bench.left == [2, 3]
    click(bench.panel.out_button)
    assert bench.left == [1, 2, 3]


def test_a_lesson_that_is_running_does_not_go_into_the_trash(bench, invented):
    running = teach(bench.records, invented, 3, ended=False)
    bench.show()
    bench.panel.list.selectAll()
    bench.clock.advance(-6 * 3_600_000)
    click(bench.panel.put_button)
    assert bench.left == [running]
    assert "has not ended: end it on Today first" in bench.said[1]


# --- deletion


def test_beforehand_it_says_how_many_lessons_go_and_what_stays(bench):
    bench.choose("day", "2026-03-10")
    assert bench.erase.going.text().startswith("Goes for good, 10 Mar 2026: 1 lesson.")
    assert bench.erase.staying.text() == (
        "Stays: 2 other lessons, all outlines, the budgets you accepted, settings."
    )
    bench.choose("range", "2026-03-09", "2026-03-10")
    assert "9 Mar 2026 to 10 Mar 2026: 2 lessons." in bench.erase.going.text()
    bench.choose("year")
    assert bench.erase.year.currentText() == "1 Aug 2025 to 31 Jul 2026"
    assert "3 lessons" in bench.erase.going.text()


@pytest.mark.parametrize(
    ("kind", "since", "until", "left"),
    [("day", "2026-03-10", "", [1, 3]), ("range", "2026-03-10", "2026-03-11", [1]), ("year", "", "", [])],
)
def test_a_day_a_span_or_a_year_goes_after_the_word_was_typed(bench, kind, since, until, left):
    bench.choose(kind, since, until)
    click(bench.erase.ask_button)
    assert bench.left == [1, 2, 3]
    assert bench.erase.typed.hasFocus()
    QTest.keyClicks(bench.erase.typed, " Delete ")
    click(bench.erase.yes_button)
    assert bench.left == left
    count = 3 - len(left)
    assert bench.said == (f"Deleted for good: {count} lesson{'s' if count > 1 else ''}.", "")
    assert len(cells(bench.panel.list)) == len(left)
    assert bench.changes == 1


def test_nothing_goes_without_the_whole_word_and_escape_keeps_all(bench):
    bench.choose("year")
    bench.erase.ask_button.setFocus()
    QTest.keyClick(bench.erase.ask_button, Qt.Key.Key_Return)
    settle()
    typed = bench.erase.typed
    for text in ("", "delet", "deleted", "yes"):
        typed.setText(text)
        assert not bench.erase.yes_button.isEnabled()
        QTest.keyClick(typed, Qt.Key.Key_Return)
    assert bench.left == [1, 2, 3]
    typed.setText("delete")
    QTest.keyClick(typed, Qt.Key.Key_Escape)
    settle()
    assert not bench.erase.is_asking
    assert bench.erase.ask_button.hasFocus()
    # A word typed before is not there the next time.
    click(bench.erase.ask_button)
    assert typed.text() == ""
    QTest.keyClicks(typed, "delete")
    QTest.keyClick(typed, Qt.Key.Key_Return)
    settle()
    assert bench.left == []


def test_days_without_lessons_and_dates_the_wrong_way_round_have_nothing_to_delete(bench):
    bench.choose("day", "2026-03-14")
    assert bench.erase.going.text() == "Nothing to delete: 14 Mar 2026."
    assert not bench.erase.ask_button.isEnabled()
    bench.choose("range", "2026-03-11", "2026-03-09")
    assert "is later than" in bench.erase.going.text()
    assert not bench.erase.ask_button.isEnabled()


def test_lessons_in_the_trash_go_with_their_day(bench):
    bench.records.trash().put([2], bench.clock.now().utc_ms)
    bench.show().choose("day", "2026-03-10")
    assert "1 of them is in the trash" in bench.erase.going.text()
    click(bench.erase.ask_button)
    QTest.keyClicks(bench.erase.typed, "delete")
    click(bench.erase.yes_button)
    assert bench.records.trash().all() == []
    assert cells(bench.panel.trash) == []


def test_a_running_lesson_stays_and_is_named(bench, invented):
    running = teach(bench.records, invented, 3, ended=False)
    assert bench.clock.now().utc_ms - bench.records.events(running)[-1].utc_ms < RUNNING_MS
    bench.show().choose("year")
    assert "3 lessons." in bench.erase.going.text()
    assert "1 lesson that has not ended stays, too" in bench.erase.staying.text()
    click(bench.erase.ask_button)
    QTest.keyClicks(bench.erase.typed, "delete")
    click(bench.erase.yes_button)
    assert bench.left == [running]


def test_outlines_stay_unless_the_tick_is_taken_away_and_the_tick_comes_back(bench, folder, invented_text):
    own = folders(folder).outlines / "thirds.toml"
    own.parent.mkdir()
    own.write_text(invented_text)
    bench.choose("day", "2026-03-09")
    bench.erase.keep.setChecked(False)
    # Two more lessons were taught by it.
    assert "outline" not in bench.erase.going.text()
    bench.choose("year")
    assert "1 outline goes, with its earlier versions and drafts: thirds.toml." in bench.erase.going.text()
    bench.erase.keep.setChecked(True)
    assert "outline" not in bench.erase.going.text()
    bench.erase.keep.setChecked(False)
    click(bench.erase.ask_button)
    QTest.keyClicks(bench.erase.typed, "delete")
    assert own.exists()
    click(bench.erase.yes_button)
    assert not own.exists()
    assert bench.said == ("Deleted for good: 3 lessons, 1 outline.", "")
    assert bench.erase.keep.isChecked()


def test_where_it_cannot_be_done_nothing_is_lost_and_the_reason_is_told(bench, folder):
    bench.choose("year")
    click(bench.erase.ask_button)
    QTest.keyClicks(bench.erase.typed, "delete")
    bench.records.path.rename(folder / "elsewhere.sqlite3")
    click(bench.erase.yes_button)
    assert "were moved or deleted" in bench.said[1]
    (folder / "elsewhere.sqlite3").rename(bench.records.path)
    assert bench.left == [1, 2, 3]


# --- export


def test_a_folder_of_tables_and_another_beside_it_the_next_time(bench, tmp_path, monkeypatch):
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_asked: str(tmp_path))
    bench.records.trash().put([1], bench.clock.now().utc_ms)
    click(bench.panel.export.csv_button)
    click(bench.panel.export.csv_button)
    first, second = tmp_path / "pacer-day-records-2026-03-12", tmp_path / "pacer-day-records-2026-03-12-2"
    assert bench.said == (f"11 tables are in {second}", "")
    for made in (first, second):
        assert sorted(path.stem for path in made.iterdir()) == sorted(TABLE_NAMES)
        with (made / "lessons.csv").open(newline="", encoding="utf-8") as file:
            assert [row[0] for row in csv.reader(file)] == ["run", "1", "2", "3"]


def test_one_json_file_that_is_never_written_over(bench, tmp_path, monkeypatch):
    target = tmp_path / "all.json"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_asked, **_options: (str(target), ""))
    click(bench.panel.export.json_button)
    data = target.read_bytes()
    assert [len(json.loads(data)["tables"][name]) for name in ("lessons", "days")] == [3, 3]
    assert bench.said == (f"Everything is in {target}", "")
    click(bench.panel.export.json_button)
    assert "is there already" in bench.said[1]
    assert target.read_bytes() == data


def test_giving_up_the_file_dialog_writes_nothing(bench, tmp_path, monkeypatch):
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_asked: "")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_asked, **_options: ("", ""))
    before = sorted(tmp_path.rglob("*"))
    click(bench.panel.export.csv_button)
    click(bench.panel.export.json_button)
    assert sorted(tmp_path.rglob("*")) == before
    assert bench.said == ("", "")


# --- for everybody


def test_everything_that_can_be_used_has_a_name_and_is_reached_by_the_keyboard(bench):
    bench.choose("range")
    kinds = (QAbstractButton, QComboBox, QLineEdit, QTableWidget)
    used = [widget for kind in kinds for widget in bench.panel.findChildren(kind) if widget.isVisible()]
    nameless = [
        widget
        for widget in used
        if not widget.accessibleName()
        and not (isinstance(widget, QAbstractButton) and widget.text())
        # The editor within a field speaks for the field.
        and not widget.objectName().startswith("qt_")
    ]
    assert nameless == []
    wanted = {
        bench.panel.list, bench.panel.trash, bench.panel.put_button, bench.panel.export.csv_button,
        bench.panel.export.json_button, bench.erase.which, bench.erase.since, bench.erase.until,
        bench.erase.keep, bench.erase.ask_button,
    }  # fmt: skip
    bench.panel.list.setFocus()
    reached = set()
    for _step in range(30):
        reached.add(bench.panel.focusWidget())
        bench.panel.focusNextChild()
    assert wanted <= reached


def test_nothing_can_be_changed_where_the_records_can_only_be_read(dressed, folder, invented):
    with DayRecords.open(folder) as records:
        teach(records, invented, 0)
        records.can_write, records.notice = False, "Nothing can be written here."
        made = Bench(folder, records)
        made.choose("year")
        for pressed in (made.panel.put_button, made.panel.out_button, made.erase.ask_button):
            assert not pressed.isEnabled()
        assert made.said == ("", "Nothing can be written here.")
        assert made.panel.export.csv_button.isEnabled()
        made.panel.close()
        made.panel.deleteLater()
        settle()


def test_without_day_records_it_says_so(dressed, tmp_path):
    with DayRecords.open(tmp_path) as records:
        made = Bench(tmp_path, records)
        assert made.panel.count.text() == "No day records yet"
        assert not made.erase.ask_button.isEnabled()
        made.choose("year")
        assert made.erase.going.text() == "There are no school years with lessons yet."
        made.panel.close()
        made.panel.deleteLater()
        settle()


def test_at_the_smaller_screen_no_words_are_cut_off_when_it_asks(bench, folder, invented_text):
    for number in range(6):
        own = folders(folder).outlines / f"a-rather-long-name-of-an-outline-{number}.toml"
        own.parent.mkdir(exist_ok=True)
        own.write_text(invented_text)
    bench.choose("year")
    bench.erase.keep.setChecked(False)
    click(bench.erase.ask_button)
    for words in (bench.erase.going, bench.erase.staying):
        assert words.height() >= words.heightForWidth(words.width())
    bottom = bench.erase.yes_button.mapTo(bench.panel, bench.erase.yes_button.rect().bottomLeft())
    assert bottom.y() <= bench.panel.height()


def test_the_page_shows_it_and_what_is_deleted_here_leaves_the_other_views(new_program, folder, invented):
    with DayRecords.open(folder) as records:
        for day in range(2):
            teach(records, invented, day)
    running = new_program(folder)
    click(running.window.names["look back"])
    page = running.program.pages.look_back
    assert page.lesson.list.model().rowCount() == 2
    page.choose("records")
    settle()
    assert page.data.isVisible()
    page.data.list.selectRow(0)
    click(page.data.put_button)
    assert page.lesson.list.model().rowCount() == 1


def test_when_a_deleted_lesson_began_is_kept_nowhere_else(bench):
    starts = {run.id: run.started_utc_ms for run in bench.records.runs()}
    planned = PlannedDaysStore(folders(bench.folder).planned_days_file, bench.clock)
    planned.was_taught(starts.values(), "thirds.toml")
    bench.choose("day", "2026-03-10")
    click(bench.erase.ask_button)
    QTest.keyClicks(bench.erase.typed, "delete")
    click(bench.erase.yes_button)
    planned.refresh()
    assert sorted(planned.now.taught) == sorted(starts[run] for run in bench.left)
    assert bench.said[1] == ""

"""Look back's Budgets: nothing is applied unasked, one press accepts one row, and no file is ever harmed."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from pacer.log.day_records import DayRecords
from pacer.log.imported import ImportedEnding
from pacer.plan.file.reader import read_outline
from pacer.plan.kinds import KindChange
from pacer.plan.outline import Outline
from pacer.qt.look_back.budgets.panel import BudgetsPanel
from pacer.qt.screens.private_window import MainWindow
from pacer.review.learning.budgets import SortedPast, whole_plan
from pacer.review.learning.past_endings import history
from pacer.run.clock import ManualClock
from pacer.settings.recovery import Recovery
from tests.qt.window_factories import room_time_ms, settle

REVIEW = 1
FLOOR = 'budget = "3"\nfloor = "1:30"'


class Bench:
    """A Budgets view on records of its own, with what it tells the pages around it."""

    def __init__(self, folder: Path, records: DayRecords) -> None:
        self.folder, self.records = folder, records
        self.clock = ManualClock(room_time_ms("15:30"))
        self.kinds: dict[str, KindChange] = {}
        self.saved: list[Path] = []
        self.can_read_past = True
        self.panel = BudgetsPanel(
            records, self.past, folder / "outlines", self.clock, kinds=lambda: self.kinds
        )
        self.panel.kinds_changed.connect(self._on_kinds)
        self.panel.outline_saved.connect(self.saved.append)
        self.window = MainWindow(QWidget(), demo=False)
        self.window.show_page("look back", self.panel)
        self.window.showMaximized()
        self.panel.reload()
        settle()

    def past(self) -> SortedPast | None:
        return SortedPast(history(self.records).endings) if self.can_read_past else None

    def _on_kinds(self, kinds: dict[str, KindChange]) -> None:
        self.kinds = kinds

    @property
    def file(self) -> Path:
        return self.folder / "outlines" / "thirds.toml"

    @property
    def noted(self) -> list[tuple]:
        return [
            (one.target, one.phase, one.kind, one.old_s, one.new_s) for one in self.records.accepted().all()
        ]

    def budget_s(self, phase: str = "review") -> int:
        outline = read_outline(self.file)
        assert isinstance(outline, Outline), outline
        return next(each.budget_s for each in outline.phases if each.id == phase)

    def rows(self, table) -> list[list[str]]:
        view = table.table
        return [
            [view.item(row, column).text() for column in range(view.columnCount())]
            for row in range(view.rowCount())
        ]

    def choose(self, words: str) -> None:
        """Choose where, as a person does."""
        where = self.panel.where
        where.setFocus()
        QTest.keyClick(where, Qt.Key.Key_Home)
        for _step in range(where.findText(words)):
            QTest.keyClick(where, Qt.Key.Key_Down)
        settle()
        assert where.currentText() == words

    def press(self, table, row: int, key: Qt.Key = Qt.Key.Key_Return) -> None:
        table.table.setCurrentCell(row, 0)
        table.table.setFocus()
        QTest.keyClick(table.table, key)
        settle()

    def accept(self, row: int = REVIEW, key: Qt.Key = Qt.Key.Key_Return) -> None:
        self.press(self.panel.proposals, row, key)

    def give_back(self, row: int = 0) -> None:
        self.press(self.panel.accepted, row)


@pytest.fixture
def new_bench(dressed, tmp_path, invented, invented_text):
    """Makes the view with so many imported lessons that all took 1.24 of their budgets."""
    made: list[Bench] = []

    def build(lessons: int = 15, text: str = invented_text) -> Bench:
        (tmp_path / "outlines").mkdir()
        (tmp_path / "outlines" / "thirds.toml").write_bytes(text.encode())
        records = DayRecords.open(tmp_path)
        rows = [
            ImportedEnding(f"2025-09-{day:02d}", phase.id, phase.kind, phase.budget_s, 1.24 * phase.budget_s,
                           "done")
            for day in range(1, lessons + 1) for phase in invented.phases
        ]  # fmt: skip
        if rows:
            records.imported().add(rows, "old.csv", "aa", 1)
        made.append(Bench(tmp_path, records))
        return made[-1]

    yield build
    for bench in made:
        bench.window.close()
        bench.window.deleteLater()
        settle()
        bench.records.close()


@pytest.fixture
def bench(new_bench) -> Bench:
    return new_bench()


def wrong(bench: Bench) -> str:
    assert bench.panel.trouble.isVisible()
    return bench.panel.trouble.text()


# --- what is shown


def test_proposals_stand_beside_what_is_written_and_showing_them_changes_nothing(
    bench, invented_text
) -> None:
    """1.24 x 3, 8 minutes, rounded up to 15 s; and 31:15 altogether: arithmetic of ours."""
    rows = bench.rows(bench.panel.proposals)
    assert rows[REVIEW][:7] == ["Review", "3:00", "3:45", "3:43", "15", "0", ""]
    assert rows[4][:3] == ["Practice", "8:00", "10:00"]
    assert len(rows) == 6
    assert bench.panel.whole.text() == (
        "By past lessons these phases need 31:15; the mini lesson has 25:00. Choose what moves."
    )
    assert bench.file.read_text() == invented_text
    assert (bench.noted, bench.kinds, bench.saved) == ([], {}, [])
    assert bench.panel.nothing_yet.isVisible()


@pytest.mark.parametrize("lessons", [0, 4])
def test_below_five_lessons_nothing_is_proposed_and_no_button_is_there(new_bench, lessons) -> None:
    bench = new_bench(lessons)
    rows = bench.rows(bench.panel.proposals)
    assert {(row[2], row[3], row[4]) for row in rows} == {("not enough lessons yet", "", str(lessons))}
    assert bench.panel.proposals.buttons == [None] * 6
    assert bench.panel.whole.text() == (
        "Not enough lessons yet: a proposal needs 5 lessons with the phase or its kind."
    )
    bench.accept()
    assert bench.noted == []


def test_without_an_outline_there_is_the_table_of_kinds(new_bench) -> None:
    bench = new_bench()
    bench.file.unlink()
    bench.panel.reload()
    assert bench.panel.where.count() == 1
    assert bench.rows(bench.panel.proposals)[0][:3] == ["warm-up", "2:00", "2:30"]
    assert not bench.panel.trouble.isVisible()


def test_every_widget_that_takes_the_keyboard_has_a_name(bench) -> None:
    bench.accept()
    for widget in (bench.panel.where, bench.panel.proposals.table, bench.panel.accepted.table):
        assert widget.accessibleName()
    names = [made.accessibleName() for made in bench.panel.proposals.buttons if made is not None]
    assert len(names) == 5
    assert names[0] == "Accept 2:30 for Skip count"


# --- accepting into an outline


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space])
def test_one_key_on_a_row_accepts_that_row_and_no_other(bench, key, invented_text) -> None:
    bench.accept(REVIEW, key)
    assert bench.file.read_text() == invented_text.replace(FLOOR, FLOOR.replace('"3"', '"3:45"'))
    assert bench.noted == [("thirds.toml", "review", "review", 180, 225)]
    assert bench.saved == [bench.file]
    assert bench.panel.said.text() == "Thirds on a number line: Review has 3:45 now; it had 3:00."
    assert bench.rows(bench.panel.accepted)[0] == [
        "9 Mar 2026", "Review in Thirds on a number line", "3:00 to 3:45", "15",
        "0 lessons since; 5 are needed", "",
    ]  # fmt: skip


def test_the_button_of_a_row_does_the_same(bench) -> None:
    QTest.mouseClick(bench.panel.proposals.buttons[REVIEW], Qt.MouseButton.LeftButton)
    settle()
    assert bench.budget_s() == 225


def test_a_double_click_accepts_nothing_and_a_key_held_down_presses_once(bench) -> None:
    view = bench.panel.proposals.table
    at = view.visualItemRect(view.item(REVIEW, 0)).center()
    QTest.mouseDClick(view.viewport(), Qt.MouseButton.LeftButton, pos=at)
    settle()
    assert bench.noted == []
    for table in (bench.panel.proposals.table, bench.panel.accepted.table):
        assert [key.autoRepeat() for key in table.findChildren(QShortcut)] == [False] * 3


def test_what_was_accepted_is_not_proposed_still_longer_from_the_same_lessons(bench) -> None:
    bench.accept(REVIEW)
    bench.accept(REVIEW)
    assert bench.rows(bench.panel.proposals)[REVIEW][:3] == ["Review", "3:45", "3:45"]
    assert bench.panel.proposals.buttons[REVIEW] is None
    assert len(bench.noted) == 1
    assert bench.panel.whole.text().startswith("By past lessons these phases need 31:15;")


# --- giving back


def test_giving_back_is_one_press_one_more_entry_and_the_file_is_as_it_was(bench, invented_text) -> None:
    bench.accept()
    bench.give_back()
    assert bench.file.read_text().replace('"3:00"', '"3"') == invented_text
    assert [(old, new) for *_rest, old, new in bench.noted] == [(180, 225), (225, 180)]
    assert [row[2] for row in bench.rows(bench.panel.accepted)] == ["3:45 to 3:00", "3:00 to 3:45"]
    assert bench.rows(bench.panel.proposals)[REVIEW][:3] == ["Review", "3:00", "3:45"]
    assert [made is None for made in bench.panel.accepted.buttons] == [False, True]


# --- the table of kinds


def test_a_kind_takes_its_budget_and_keeps_what_else_was_changed_of_it(bench) -> None:
    bench.kinds = {"review": KindChange(talk="quiet"), "modeling": KindChange(budget_s=600)}
    bench.choose("Phase kinds")
    bench.accept()
    assert bench.kinds == {
        "review": KindChange(talk="quiet", budget_s=225), "modeling": KindChange(budget_s=600),
    }  # fmt: skip
    assert bench.noted == [("kinds", "", "review", 180, 225)]
    assert bench.rows(bench.panel.proposals)[REVIEW][:3] == ["review", "3:45", "3:45"]
    bench.give_back()
    assert bench.kinds == {"review": KindChange(talk="quiet"), "modeling": KindChange(budget_s=600)}
    assert len(bench.noted) == 2


# --- nothing is lost


def test_a_file_changed_since_it_was_shown_is_left_alone_and_shown_anew(bench, invented_text) -> None:
    changed = invented_text.replace(FLOOR, FLOOR.replace('"3"', '"4"'))
    bench.file.write_text(changed)
    bench.accept()
    assert "was changed, moved or deleted" in wrong(bench)
    assert bench.file.read_text() == changed
    assert bench.rows(bench.panel.proposals)[REVIEW][1] == "4:00"
    assert (bench.noted, bench.saved) == ([], [])
    assert sorted(path.name for path in bench.file.parent.iterdir()) == ["thirds.toml"]


def test_a_file_that_cannot_be_written_is_told_and_not_noted(bench, invented_text) -> None:
    bench.file.chmod(0o444)
    bench.accept()
    assert "thirds.toml can't be changed: the file is marked as read-only." in wrong(bench)
    assert bench.file.read_text() == invented_text
    assert (bench.noted, bench.saved) == ([], [])
    assert Recovery(bench.folder / "drafts").all() == [], "nobody typed anything"


@pytest.mark.parametrize("text", ["budget = [", 'format = 1\ntitle = "x"\n[[phase]]\ntitle = "y"\n', "\xff"])
def test_a_broken_outline_is_told_and_the_others_can_be_chosen(bench, text) -> None:
    broken = bench.file.with_name("a-broken.toml")
    broken.write_bytes(text.encode("latin-1"))
    bench.panel.reload()
    bench.choose("a-broken")
    assert "a-broken.toml can't be edited here." in wrong(bench)
    assert not bench.panel.proposals.isVisible()
    assert broken.read_bytes() == text.encode("latin-1")
    bench.choose("Thirds on a number line")
    assert not bench.panel.trouble.isVisible()
    assert len(bench.rows(bench.panel.proposals)) == 6


def test_where_the_past_cannot_be_read_it_says_so_and_proposes_nothing(bench) -> None:
    bench.can_read_past = False
    bench.panel.reload()
    assert wrong(bench) == "The day records can't be read, so nothing is proposed."
    assert bench.panel.proposals.buttons == [None] * 6


# --- later


def test_after_five_lessons_with_it_the_effect_is_shown(bench, invented) -> None:
    """Worked by hand: 15 lessons took 223.2 s of 180; 5 since take 216 s of 225, 96 %."""
    bench.accept()
    rows = [
        ImportedEnding(f"2026-03-{day}", "review", "review", 225.0, 216.0, "done") for day in range(10, 15)
    ]
    bench.records.imported().add(rows, "new.csv", "bb", 2)
    bench.panel.reload()
    assert bench.rows(bench.panel.accepted)[0][4] == (
        "kept 5 of 5 times, before 0 of 15; at the median 96 % of its budget, before 124 %"
    )
    shown = bench.rows(bench.panel.proposals)[REVIEW]
    alone = whole_plan(history(bench.records).endings[-5:], invented).proposals[REVIEW]
    assert shown[4] == "5"
    assert alone.lessons == 5

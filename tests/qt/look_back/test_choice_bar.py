"""The row of choices over the pictures: what it offers and says, and that it keeps nothing that is gone."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QDate, Qt
from PySide6.QtTest import QTest
from shiboken6 import delete

from pacer.qt.look_back.choice_bar import ChoiceBar
from pacer.review.choice import Choosable, LessonChoice

FOUND = Choosable(
    modes=("baseline", "live", "rehearsal"),
    kinds=("review", "modeling"),
    subjects=("", "mathematics"),
    shapes=("",),
    titles=("Halves", "Thirds"),
    first="2026-03-02",
    last="2026-03-20",
)


@pytest.fixture
def bar(dressed) -> Iterator[ChoiceBar]:
    made = ChoiceBar(LessonChoice())
    made.offer(FOUND)
    yield made
    delete(made)


def choices_of(bar: ChoiceBar) -> list[LessonChoice]:
    seen: list[LessonChoice] = []
    bar.changed.connect(seen.append)
    return seen


def pick(bar: ChoiceBar, field: str, text: str) -> None:
    box = bar.boxes[field]
    box.setCurrentIndex(box.findText(text))
    box.activated.emit(box.currentIndex())


def test_it_begins_with_what_it_was_given_and_everything_of_it(bar):
    assert bar.choice == LessonChoice()
    assert bar.boxes["modes"].currentText() == "live"
    assert [bar.boxes[field].currentText() for field in ("subjects", "kinds", "titles")] == [
        "all subjects", "all kinds", "all outlines",
    ]  # fmt: skip


def test_what_gives_no_choice_is_not_offered_but_which_lessons_are_shown_always_is(bar):
    assert bar.boxes["shapes"].isHidden()
    bar.offer(
        Choosable(("live",), ("review",), ("mathematics",), ("",), ("Halves",), "2026-03-02", "2026-03-02")
    )
    assert [field for field, box in bar.boxes.items() if not box.isHidden()] == ["modes"]


def test_each_field_changes_its_own_part_of_the_choice(bar):
    seen = choices_of(bar)
    pick(bar, "modes", "rehearsal")
    pick(bar, "subjects", "no subject")
    pick(bar, "kinds", "modeling")
    pick(bar, "titles", "Thirds")
    bar.since.setDate(QDate(2026, 3, 9))
    bar.until.setDate(QDate(2026, 3, 13))
    bar.flagged.setChecked(True)
    bar.repaired.setChecked(True)
    assert seen[-1] == LessonChoice(
        modes=("rehearsal",), subjects=("",), kinds=("modeling",), titles=("Thirds",),
        since="2026-03-09", until="2026-03-13", flagged=True, repaired=True,
    )  # fmt: skip
    assert len(seen) == 8
    pick(bar, "kinds", "all kinds")
    assert seen[-1].kinds == ()


def test_the_whole_span_is_no_choice_so_lessons_to_come_belong_to_it(bar):
    seen = choices_of(bar)
    bar.since.setDate(QDate(2026, 3, 9))
    bar.since.setDate(QDate(2026, 3, 2))
    assert [choice.since for choice in seen] == ["2026-03-09", ""]


def test_a_choice_stays_when_lessons_come_and_goes_with_the_last_lesson_it_names(bar):
    pick(bar, "titles", "Thirds")
    bar.since.setDate(QDate(2026, 3, 9))
    later = Choosable(FOUND.modes, FOUND.kinds, FOUND.subjects, FOUND.shapes, ("Halves", "Thirds", "Wholes"),
                      "2026-03-02", "2026-03-27")  # fmt: skip
    bar.offer(later)
    assert (bar.choice.titles, bar.choice.since) == (("Thirds",), "2026-03-09")
    assert bar.boxes["titles"].currentText() == "Thirds"
    bar.offer(Choosable(FOUND.modes, FOUND.kinds, FOUND.subjects, FOUND.shapes, ("Halves", "Wholes"),
                        "2026-03-02", "2026-03-27"))  # fmt: skip
    assert bar.choice.titles == ()


def test_without_a_lesson_there_is_nothing_to_choose_and_nothing_breaks(bar):
    bar.offer(Choosable((), (), (), (), (), "", ""))
    assert bar.boxes["modes"].currentText() == "live"
    assert not bar.since.isEnabled()
    assert bar.choice == LessonChoice()


def test_every_part_has_a_name(bar):
    assert {box.accessibleName() for box in bar.boxes.values()} == {
        "Lessons", "Subject", "Phase kind", "Day shape", "Outline",
    }  # fmt: skip
    assert bar.since.accessibleName() == "From"
    assert bar.until.accessibleName() == "To"


@pytest.mark.parametrize("typed", ["2026-03-09", "20260309"])
def test_a_date_can_be_typed_as_it_is_shown(bar, typed):
    seen = choices_of(bar)
    bar.setMinimumSize(1200, 60)
    bar.show()
    bar.since.setFocus()
    bar.since.setSelectedSection(bar.since.Section.YearSection)
    QTest.keyClicks(bar.since, typed)
    QTest.keyClick(bar.since, Qt.Key.Key_Return)
    assert seen[-1].since == "2026-03-09"


def test_from_is_never_later_than_to_the_other_follows(bar):
    seen = choices_of(bar)
    bar.until.setDate(QDate(2026, 3, 9))
    bar.since.setDate(QDate(2026, 3, 12))
    assert (seen[-1].since, seen[-1].until) == ("2026-03-12", "2026-03-12")
    bar.until.setDate(QDate(2026, 3, 5))
    assert (seen[-1].since, seen[-1].until) == ("2026-03-05", "2026-03-05")


def test_dates_that_no_lesson_is_left_of_are_dropped(bar):
    bar.since.setDate(QDate(2026, 3, 18))
    bar.offer(Choosable(FOUND.modes, FOUND.kinds, FOUND.subjects, FOUND.shapes, FOUND.titles,
                        "2026-03-02", "2026-03-17"))  # fmt: skip
    assert bar.choice.since == ""


def test_all_again_takes_every_choice_back_at_once(bar):
    pick(bar, "modes", "rehearsal")
    pick(bar, "kinds", "review")
    bar.flagged.setChecked(True)
    seen = choices_of(bar)
    assert bar.is_narrowed
    bar.choose_all()
    assert seen == [LessonChoice()]
    assert not bar.flagged.isChecked()
    assert not bar.is_narrowed

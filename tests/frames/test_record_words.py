"""What a deletion of day records would take and leave, in words."""

from pathlib import Path

import pytest

from pacer.frames.words.records import erased_words, going_words, left_words, span_words, staying_words
from pacer.log.date_span import DateSpan
from pacer.log.erase import Erasable, Erased, ErasedLesson

YEAR = DateSpan("2025-08-01", "2026-07-31")
DAY = DateSpan("2026-03-09", "2026-03-09")


def lessons(count: int) -> tuple[ErasedLesson, ...]:
    return tuple(ErasedLesson(number, "Thirds") for number in range(count))


def test_a_span_of_one_day_is_one_date() -> None:
    assert span_words(DAY) == "9 Mar 2026"
    assert span_words(YEAR) == "1 Aug 2025 to 31 Jul 2026"


@pytest.mark.parametrize(("days", "words"), [(0, "goes at the next start"), (1, "1 day"), (30, "30 days")])
def test_how_long_a_lesson_stays_in_the_trash(days: int, words: str) -> None:
    assert left_words(days) == words


def test_what_goes_is_counted_and_what_else_goes_with_it_is_said() -> None:
    found = Erasable(YEAR, lessons(2), trashed=1, imported=3, copies=2)
    assert going_words(found, [Path(f"{name}.toml") for name in "abcdef"]).split("\n") == [
        "Goes for good, 1 Aug 2025 to 31 Jul 2026: 2 lessons and 3 imported endings. "
        "With each lesson go its presses, its repairs and what you said about it. "
        "1 of them is in the trash.",
        "They go from 2 copies in the folder of backups, too.",
        "6 outlines go, with their earlier versions and drafts: "
        "a.toml, b.toml, c.toml, d.toml and 2 more.",
    ]  # fmt: skip


def test_imports_alone_have_no_presses_and_an_empty_span_says_so() -> None:
    assert going_words(Erasable(DAY, imported=1), ()) == "Goes for good, 9 Mar 2026: 1 imported ending."
    assert going_words(Erasable(DAY), ()) == "Nothing to delete: 9 Mar 2026."


def test_what_stays_names_a_lesson_that_still_runs() -> None:
    assert staying_words(Erasable(DAY), 0, outlines_stay=True) == (
        "Stays: all outlines, the budgets you accepted, settings."
    )
    words = staying_words(Erasable(DAY, running=1), 2, outlines_stay=False)
    assert words.startswith("Stays: 2 other lessons, other outlines, pictures beside outlines, settings.")
    assert words.endswith("1 lesson that has not ended stays, too: end it on Today first.")


def test_what_was_deleted_is_said_at_last() -> None:
    assert erased_words(Erased(1, 2, 0), 1) == "Deleted for good: 1 lesson, 2 imported endings, 1 outline."
    assert erased_words(Erased(0, 0, 0), 0) == "Deleted for good: nothing."

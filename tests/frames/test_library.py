"""The list of outlines: what its lines say, what a search finds, and in which order they stand."""

from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pytest

from pacer.frames.library import (
    LibraryChoice,
    chosen_rows,
    last_taught,
    library_row,
    subjects_in,
    taught_words,
    units_in,
)
from pacer.plan.dates.taught import TaughtLesson
from pacer.plan.draft.mend import Damage
from pacer.plan.file.reader import read_text
from pacer.settings.outline_shelf import ShelfEntry

TODAY = date(2026, 3, 9)
TEXT = """format = 1
title = "{title}"
subject = "{subject}"
unit = "{unit}"
[[phase]]
title = "{phase}"
budget = "3"
"""


def row(title: str, subject: str = "", unit: str = "", phase: str = "Review", taught=None):
    text = TEXT.format(title=title, subject=subject, unit=unit, phase=phase)
    entry = ShelfEntry(Path(f"{title.lower()}.toml"), False, read_text(text, "x"))
    return library_row(entry, None, {} if taught is None else {title.casefold(): taught}, TODAY)


@pytest.fixture
def rows():
    return [
        row("Halves", "Mathematics", "Fractions", taught=date(2026, 3, 6)),
        row("Thirds", "Mathematics", "Fractions", phase="Number line", taught=date(2026, 3, 8)),
        row("adding tens", "Mathematics", "Place value"),
        row("Shadows", "Science"),
    ]


def titles(rows) -> list[str]:
    return [each.title for each in rows]


def test_a_line_says_subject_unit_block_and_when_it_was_taught(rows):
    assert rows[1].words == "Thirds\nMathematics · Fractions · 75 min · taught yesterday"
    assert rows[3].words == "Shadows\nScience · 75 min"


def test_a_broken_file_stands_under_its_name_with_what_is_wrong():
    entry = ShelfEntry(Path("old.toml"), False, None)
    assert library_row(entry, Damage("text", 3), {}, TODAY).words == "old.toml\ncan't be read from line 3 on"
    assert library_row(entry, Damage("foreign"), {}, TODAY).words == "old.toml\nnot an outline"
    assert library_row(entry, None, {}, TODAY).words == "old.toml\ncan't be opened"


def test_those_taught_last_come_first_and_the_others_by_name(rows):
    assert titles(chosen_rows(rows, LibraryChoice())) == ["Thirds", "Halves", "adding tens", "Shadows"]
    by_name = chosen_rows(rows, LibraryChoice(sort="name"))
    assert titles(by_name) == ["adding tens", "Halves", "Shadows", "Thirds"]


@pytest.mark.parametrize(
    ("choice", "found"),
    [
        (LibraryChoice(search="NUMBER thi"), ["Thirds"]),
        (LibraryChoice(search="fractions"), ["Thirds", "Halves"]),
        (LibraryChoice(subject="Science"), ["Shadows"]),
        (LibraryChoice(unit="Fractions", search="halv"), ["Halves"]),
        (LibraryChoice(search="no such"), []),
    ],
)
def test_a_search_finds_words_anywhere_within_the_chosen_subject_and_unit(rows, choice, found):
    assert titles(chosen_rows(rows, choice)) == found


def test_subjects_and_units_are_named_once(rows):
    assert subjects_in(rows) == ["Mathematics", "Science"]
    assert units_in(rows) == ["Fractions", "Place value"]
    assert units_in(rows, "Science") == []


def test_the_last_lesson_of_a_title_counts_in_letters_of_any_size():
    lessons = [TaughtLesson(date(2026, 3, 7), "Thirds"), TaughtLesson(date(2026, 3, 8), "thirds ")]
    assert last_taught(lessons) == {"thirds": date(2026, 3, 8)}


def test_a_day_of_this_year_needs_no_year():
    assert taught_words(date(2026, 2, 3), TODAY) == "taught 3 Feb"
    assert taught_words(date(2025, 11, 24), TODAY) == "taught 24 Nov 2025"
    assert taught_words(TODAY, TODAY) == "taught today"


def test_an_outline_was_taught_when_its_own_file_was_whatever_its_title_says_now():
    lesson = TaughtLesson(date(2026, 3, 8), "Thirds", "b.toml")
    taught = last_taught([lesson])
    outline = SimpleNamespace(title="Thirds", subject="", unit="", block=SimpleNamespace(length_s=3600))
    renamed = SimpleNamespace(**{**vars(outline), "title": "Fourths"})
    rows = [
        library_row(ShelfEntry(Path("/own/a.toml"), False, outline), None, taught, TODAY),
        library_row(ShelfEntry(Path("/own/b.toml"), False, renamed), None, taught, TODAY),
    ]
    assert [row.taught for row in rows] == [None, lesson.day]

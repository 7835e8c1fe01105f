"""How well pasted lessons are read: title and minutes of each phase, and whether a misreading is marked.

The lessons are invented, in the shapes that word processors, grids, mails, chats and slides give them.
``kept_*.txt`` were written before the reader that they measure.
"""

import pytest

from pacer.plan.typed.read_typed import plain_text, read_typed
from tests.plan.typed.pasted_lessons import Score, pasted_lessons, score_of, told
from tests.work import lines_run

MENDED_BY = "[!k]*.txt"
KEPT_ASIDE = "kept_*.txt"
LEAST_LESSONS = 120


def total(pattern: str) -> Score:
    score = Score()
    for lesson in pasted_lessons(pattern):
        score += score_of(lesson)
    print(f"\n{pattern}: {score}, {score.share:.1%} right")
    return score


def test_the_corpus_holds_lessons_enough_and_forty_are_kept_aside() -> None:
    names = [lesson.name for lesson in pasted_lessons("*.txt")]
    assert len(names) >= LEAST_LESSONS
    assert len(pasted_lessons(KEPT_ASIDE)) >= 40


@pytest.mark.slow
def test_the_lessons_that_the_reader_was_mended_by_are_read() -> None:
    score = total(MENDED_BY)
    assert score.share >= 0.99
    assert score.silent == 0
    assert score.false_doubts <= 0.02 * score.clear_lines


def test_lessons_kept_aside_are_read_and_a_misreading_is_marked() -> None:
    score = total(KEPT_ASIDE)
    assert score.share >= 0.95
    assert score.silent <= 1
    assert score.false_doubts <= 0.06 * score.clear_lines


@pytest.mark.slow
def test_no_line_of_a_pasted_lesson_is_lost_and_its_phases_read_back() -> None:
    for lesson in pasted_lessons("*.txt"):
        read = read_typed(lesson.text)
        assert [line.raw for line in read.lines] == lesson.text.splitlines(), told(lesson)
        assert [line.number for line in read.lines] == list(range(1, len(read.lines) + 1))
        again = read_typed(plain_text(read.phases))
        assert again.phases == read.phases, told(lesson)


@pytest.mark.slow
@pytest.mark.parametrize(
    "line",
    [
        "Warm-up\n5 min",
        "a\t5\tb",
        "9:00 Warm-up",
        "> 1. Model 3 → Pairs 4",
        "- a (3)\n  - b 2 min",
        "x 5   y   z",
    ],
)
def test_the_work_grows_with_the_lines_and_no_faster(line: str) -> None:
    once = lines_run(lambda: read_typed(f"{line}\n" * 40), 2_000_000)
    assert lines_run(lambda: read_typed(f"{line}\n" * 80), 3 * once) > once


@pytest.mark.parametrize("word", ["Switch", "Clean up", "Tidy up", "Rotate", "Pack up"])
def test_switching_and_cleaning_up_are_moves(word: str) -> None:
    assert [phase.kind for phase in read_typed(f"{word} 3").phases] == ["move"]


def test_a_remark_in_brackets_behind_the_minutes_is_hers_and_not_the_classs() -> None:
    (phase,) = read_typed("Review 4 min (table 3 needs help)").phases
    assert (phase.class_line, phase.notes) == ("", "table 3 needs help")


@pytest.mark.parametrize("typed", ["S", "ART", "ART "])
def test_a_title_in_capitals_is_a_phase_before_its_minutes_are_typed(typed: str) -> None:
    assert [phase.title for phase in read_typed(f"Review 3\nModel 7\n{typed}").phases][2:] == [typed.strip()]

"""What a lesson left for the table and for tomorrow: in words, and as lines of the next table list."""

from pacer.frames.words.carried import carried_lines, carried_words, left_parts
from pacer.review.left_over import LeftOver
from pacer.run.table_list import LineKey

DATE = "2026-03-09"


def left(*rows: tuple[str, int, str, str], is_listed: bool = True) -> tuple[LeftOver, ...]:
    return tuple(
        LeftOver(LineKey(about, of), text, went, bool(went), is_listed=is_listed)
        for about, of, text, went in rows
    )


SOME = left(
    ("moved", 1, "Review", "table"),
    ("moved", 4, "Practice", "tomorrow"),
    ("written", 0, "Sort the cards", "table"),
    ("written", 1, "Finish page 12", "dropped"),
    ("marked", 0, "Skip count: 1 mark", "done"),
    ("stuck", 3, "Problem 3: 2 stuck", "table"),
    ("stuck", 4, "Problem 4: 1 stuck", ""),
)


def test_it_says_what_goes_to_the_table_and_to_tomorrow_and_how_much_is_open() -> None:
    assert carried_words("Thirds", DATE, SOME) == (
        "Left over from Thirds, 9 Mar 2026 · table: Review, Sort the cards, Problem 3: 2 stuck "
        "· tomorrow: Practice · 1 still open, see Look back"
    )
    assert carried_words("Thirds", DATE, SOME[3:5]) == carried_words("Thirds", DATE, ()) == ""


def test_a_long_list_is_told_by_its_first_lines_and_a_number() -> None:
    many = left(*(("written", n, f"Line {n}", "table") for n in range(6)))
    assert carried_words("Thirds", DATE, many).endswith("table: Line 0, Line 1, Line 2 and 3 more")


def test_what_nobody_listed_and_nobody_answered_is_not_open() -> None:
    assert carried_words("Thirds", DATE, left(("moved", 5, "Look back", ""), is_listed=False)) == ""


def test_lines_for_the_next_list_carry_their_day_unless_they_were_written() -> None:
    """So a line that is carried on once more has the day on which it was first set, and no second one."""
    assert carried_lines(DATE, SOME) == (
        "Review (9 Mar 2026)", "Sort the cards", "Problem 3: 2 stuck (9 Mar 2026)",
    )  # fmt: skip


def test_all_that_a_lesson_left_is_told_by_the_way_it_went() -> None:
    unsaid = left(("moved", 5, "Look back", ""), is_listed=False)
    assert left_parts((*SOME, *unsaid)) == (
        "moved to tomorrow: Practice",
        "left for the table: Review, Sort the cards, Problem 3: 2 stuck",
        "dropped: Finish page 12",
        "not ticked: Problem 4: 1 stuck",
        "not taught: Look back",
    )
    assert left_parts(left(("marked", 0, "Skip count: 1 mark", "done"))) == ()

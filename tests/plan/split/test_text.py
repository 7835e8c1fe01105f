"""The curriculum's lesson as a teacher types or pastes it; all of it invented."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.split import text
from pacer.plan.split.sheet import WHERES, SheetPart, SplitSheet
from pacer.plan.split.text import outline_lines, read_parts, title_line, with_move
from pacer.plan.typed.read_typed import MOST_LINES, MOST_TOLD, read_typed

TEXT = """\
# Thirds on a number line
1. Fold a strip 5
2) Name the parts, 8 min [everyone] value 3
- Mark thirds (10 minutes) needs 2
Partner check: 5' needs 2, 3

Cut and compare 13 [materials] -> station
Problems: 2:30 (independent)
"""


def test_a_part_a_line_with_minutes_tags_values_needs_and_a_place() -> None:
    read = read_parts(TEXT)
    assert read.problems == ()
    assert read.parts == (
        SheetPart(title="Fold a strip", seconds=300),
        SheetPart(title="Name the parts", seconds=480, value=3, tag="everyone"),
        SheetPart(title="Mark thirds", seconds=600, needs=(2,)),
        SheetPart(title="Partner check", seconds=300, needs=(2, 3)),
        SheetPart(title="Cut and compare", seconds=780, tag="materials", moved_to="station"),
        SheetPart(title="Problems", seconds=150, tag="independent"),
    )
    assert read.lines == (1, 2, 3, 4, 6, 7)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("Fold a strip [everyone]", "Write a title and its minutes, such as: Mark thirds 10"),
        ("12", "There is no title. Write a title and its minutes, such as: Review 3"),
        ("Fold 5 value 4", "A value is 1, 2 or 3."),
        ("Fold 5 needs 1", "Part 1 does not stand before this one."),
        ("Fold 5 -> hallway",
         '"hallway" is no place. Choose: whole group, table, station, extension, not taught.'),
        ("Fold 999", "A phase takes from 1 second to 3 hours; this says 999:00."),
        (f"{'Fold ' * 30} 5", "The title is too long: 120 characters at most."),
    ],
)  # fmt: skip
def test_a_line_that_is_no_part_says_why(line: str, why: str) -> None:
    read = read_parts("\n" + line)
    assert read.parts == ()
    assert [(problem.line, problem.why) for problem in read.problems] == [(2, why)]


def test_moving_a_part_changes_the_end_of_its_line_and_nothing_else() -> None:
    once = with_move(TEXT, 3, "table")
    assert once.split("\n")[3] == "- Mark thirds (10 minutes) needs 2 -> table"
    assert [a for a, b in zip(once.split("\n"), TEXT.split("\n"), strict=True) if a != b] == [
        once.split("\n")[3]
    ]
    assert with_move(once, 3, None) == TEXT
    assert read_parts(with_move(once, 3, "not taught")).parts[2].moved_to == "not taught"


def test_what_all_hear_becomes_lines_of_an_outline() -> None:
    sheet = SplitSheet(parts=read_parts(TEXT).parts, whole_group_s=23 * 60)
    assert outline_lines(sheet) == ("Fold a strip 5 min", "Name the parts 8 min", "Mark thirds 10")


def test_a_first_line_after_a_number_sign_is_the_lessons_title() -> None:
    assert title_line(TEXT) == "# Thirds on a number line"
    assert title_line("Fold 5\n# later") == title_line("# ") == title_line("") == ""


def test_the_parts_are_read_as_an_outline_is() -> None:
    """A table, clock times, a heading, notes and a sum: none of it is asked for in another form."""
    pasted = """Lesson 12: thirds
Part\tMinutes\tWho
Warm-up\t5 min\t[everyone]
Cut and compare\t13 min\t[materials] needs 1
Total\t18 min
"""
    text = "8:30 Fold a strip\n8:35 Mark thirds\n   Class: show me\n8:45 Share\n8:47 bell"
    for given_text in (pasted, text):
        bare = re.sub(r" ?\[\w+\]| needs 1", "", given_text)
        phases = read_typed(bare).phases
        parts = read_parts(given_text).parts
        assert len(phases) >= 2
        assert [(part.title, part.seconds, part.class_line) for part in parts] == [
            (phase.title, phase.seconds, phase.class_line) for phase in phases
        ]
    assert [(part.tag, part.needs) for part in read_parts(pasted).parts] == [
        ("everyone", ()), ("materials", (1,))
    ]  # fmt: skip


def test_what_may_mean_two_things_is_told() -> None:
    assert read_parts(TEXT).doubts[0].line == 2
    assert read_parts("Fold 5\nMark 6").doubts == ()


def test_what_a_part_says_to_the_class_goes_into_the_outline() -> None:
    sheet = SplitSheet(parts=read_parts("Mark thirds 10\n  Class: Show me\n  Watch the ends").parts)
    (phase,) = read_typed("\n".join(outline_lines(sheet))).phases
    assert (phase.title, phase.class_line, phase.notes) == ("Mark thirds", "Show me", "Watch the ends")


@given(st.text(max_size=400), st.integers(0, 30), st.sampled_from([None, *WHERES]))
def test_any_text_is_read_and_a_move_changes_the_parts_of_one_line(text: str, line: int, to) -> None:
    read = read_parts(text)
    assert len(read.lines) == len(read.parts)
    assert not {problem.line - 1 for problem in read.problems}.intersection(read.lines)
    if read.lines:
        at = read.lines[line % len(read.lines)]
        moved = read_parts(with_move(text, at, to))
        assert moved.lines == read.lines
        for there, before, after in zip(read.lines, read.parts, moved.parts, strict=True):
            assert after == (before.model_copy(update={"moved_to": to}) if there == at else before)


@pytest.mark.parametrize("end", ["\x0c", "\u2028", "\r", "\r\n", "\x85"])
def test_a_part_is_moved_on_its_own_line_whatever_ends_the_lines(end: str) -> None:
    """A paste may bring a page break or another program's line ends."""
    text = f"Fold 5{end}Mark 6\nShare 7"
    read = read_parts(text)
    assert [part.title for part in read.parts] == ["Fold", "Mark", "Share"]
    assert with_move(text, read.lines[2], "table") == text + " -> table"
    assert with_move(text, read.lines[0], "table") == f"Fold 5 -> table{end}Mark 6\nShare 7"


@pytest.mark.parametrize("piece", ["a, ", ";", "needs ", " 5", "-> ", "1. "])
def test_a_page_on_one_line_is_told(piece: str) -> None:
    read = read_parts("Fold 5\n" + piece * (20_000 // len(piece)))
    assert [problem.why for problem in read.problems] == [
        "The line is longer than 500 signs. Write one part a line."
    ]
    assert [part.title for part in read.parts] == ["Fold"]


def test_a_part_that_sounds_like_groups_or_a_note_is_a_phase_of_the_mini_lesson():
    """Each line is read on the Outline page as the part that it was."""
    minutes = {"Explore in groups": 6, "Class: sprint": 4, "Note: read aloud": 3, "Share the goal": 2}
    parts = tuple(SheetPart(title=title, seconds=60 * each) for title, each in minutes.items())
    sheet = SplitSheet(whole_group_s=1500, table_s=0, tables=3, parts=parts)
    made = read_typed("\n".join(outline_lines(sheet)))
    assert [(phase.title, phase.seconds, phase.kind) for phase in made.phases] == [
        ("Explore in groups", 360, "other"),
        ("Class: sprint", 240, "other"),
        ("Note: read aloud", 180, "modeling"),
        ("Share the goal", 120, "other"),
    ]
    assert made.not_understood == ()


@pytest.mark.slow
def test_a_part_is_read_whatever_follows_it_also_past_all_lines_that_a_lesson_has():
    read = read_parts("Mark thirds 10\n" + "\n" * 500_000)
    assert [part.title for part in read.parts] == ["Mark thirds"]
    assert read.problems == ()
    read = read_parts("\n" * 2_100 + "Fold 10\n" + "\n" * 12_000 + "Cut 5\n")
    assert [problem.line for problem in read.problems] == [2_101, 12_001]


def test_of_a_book_no_line_is_taken_apart_that_would_not_be_told(monkeypatch) -> None:
    """Found by the campaign: of 200,000 empty lines each was searched for marks, for over a second."""
    taken_apart = []
    marks = text._marks
    monkeypatch.setattr(text, "_marks", lambda line: taken_apart.append(line) or marks(line))
    read = read_parts("Fold a strip 5\n" + "\n" * 200_000 + "Cut 3\n")
    assert [part.title for part in read.parts] == ["Fold a strip"]
    assert len(taken_apart) <= MOST_LINES + MOST_TOLD + 1

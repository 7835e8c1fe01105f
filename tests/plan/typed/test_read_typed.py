"""What a teacher types or pastes as an outline. The lines are invented; the readings are rules of our own."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pacer.plan.kinds import KINDS
from pacer.plan.split.text import read_parts
from pacer.plan.typed.read_typed import MOST_LINES, TypedPhase, plain_text, read_typed
from pacer.plan.typed.vocabulary import guess_kind
from tests.work import lines_run


def one(line: str) -> TypedPhase:
    """The phase of a line that must be one."""
    phases = read_typed(line).phases
    assert len(phases) == 1, read_typed(line)
    return phases[0]


@pytest.mark.parametrize(
    ("line", "title", "seconds"),
    [
        ("Review 3", "Review", 180),
        ("- practice (8 min)", "practice", 480),
        ("* 3' warm up", "warm up", 180),
        ("5 min: Warm-up", "Warm-up", 300),
        ("Warm-up … 5", "Warm-up", 300),
        ("Warm-up ........ 5", "Warm-up", 300),
        ("1. Review 3 min", "Review", 180),
        ("1) Review 3", "Review", 180),
        ("(2) Review 3", "Review", 180),
        ("a) Review 3", "Review", 180),
        ("[ ] Review 3", "Review", 180),
        ("1️⃣ Review 3", "Review", 180),
        ("— Look back — 2", "Look back", 120),
        ("Reading 10 mins", "Reading", 600),
        ("Groups 1h", "Groups", 3600),
        ("Groups 1 h 5", "Groups", 3900),
        ("Groups 1 hr 15 mins", "Groups", 4500),
        ("Groups 1:05 h", "Groups", 3900),
        ("Song 1:30", "Song", 90),
        ("Song 90 s", "Song", 90),
        ("Song 2 min 30 s", "Song", 150),
        ("Song 2 min 30", "Song", 150),
        ("½ hour of reading", "reading", 1800),
        ("Half an hour of reading", "reading", 1800),
        ("Review 2½ min", "Review", 150),
        ("Review 2 1/2 min", "Review", 150),
        ("Review 2,5", "Review", 150),
        ("Review three minutes", "Review", 180),
        ("Review: 3.", "Review", 180),
        ("Review = 3", "Review", 180),
        ("Review for about 3 min", "Review", 180),
        ("Review / Repaso 3", "Review / Repaso", 180),
        ("Repaso 3 minutos", "Repaso", 180),
        ("Wiederholung 3 Minuten", "Wiederholung", 180),
        ("Повторение 3 мин", "Повторение", 180),
        ("复习 3分钟", "复习", 180),
        ("مراجعة ٣ دقائق", "مراجعة", 180),
        ("Review ３", "Review", 180),
        ("Review\u00a03\u00a0min", "Review", 180),
        ("Review 3’", "Review", 180),
        ("“Why thirds?” 4", "“Why thirds?”", 240),
        ("🧊 Warm-up ⏱ 5", "🧊 Warm-up", 300),
        ("Problem 3: 4 min", "Problem 3", 240),
        ("Grade 4 review 3", "Grade 4 review", 180),
        ("Look back at page 12 — 2 min", "Look back at page 12", 120),
        ("Count by 3s 2", "Count by 3s", 120),
        ("Problems 3-5 4", "Problems 3-5", 240),
        ("Compare 1/2 and 3/4 6", "Compare 1/2 and 3/4", 360),
        ("Standard 4.NF.2 5 min", "Standard 4.NF.2", 300),
        ("3-digit sums 5", "3-digit sums", 300),
        ("The 5-minute check 3", "The 5-minute check", 180),
        ("Practice, 2 min per problem (8)", "Practice, 2 min per problem", 480),
        ("Mini lesson 10", "Mini lesson", 600),
    ],
)
def test_a_line_gives_its_title_and_its_minutes(line: str, title: str, seconds: int) -> None:
    read = read_typed(line)
    assert [(phase.title, phase.seconds) for phase in read.phases] == [(title, seconds)]
    assert read.to_look_at == ()


def test_what_follows_the_minutes_is_for_the_class() -> None:
    assert one("Model 7 adding thirds") == TypedPhase("Model", 420, "modeling", "adding thirds")
    assert one("Review (3 min) yesterday's strip").class_line == "yesterday's strip"


@pytest.mark.parametrize(
    ("line", "seconds", "why"),
    [
        ("Review 3–5 min", 300, "A range: the longer time is taken."),
        ("Model 7 adding 3", 180, "Two numbers could be the minutes."),
        ("Quiet 5 min or 3 min", 300, "There is more than one time in this line."),
        ("Group 2", 120, "The number may belong to the title."),
        ("8:30 Warm-up", 510, "Read as minutes and seconds, not as a time of day."),
        ("3 warm up", 180, "The number may belong to the title."),
        ("- Look at page 12", None, "No minutes found: write them at the end, such as: Review 3"),
    ],
)
def test_a_line_that_could_mean_two_things_is_a_phase_and_is_shown(line, seconds, why) -> None:
    read = read_typed(line)
    assert [phase.seconds for phase in read.phases] == [seconds]
    assert [found.why for found in read.to_look_at] == [why]


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("12", "There is no title. Write a title and its minutes, such as: Review 3"),
        ("Review 200", "A phase takes from 1 second to 3 hours; this says 200:00."),
        ("Groups 4 h", "A phase takes from 1 second to 3 hours; this says 240:00."),
        ("Review 0 min", "A phase takes from 1 second to 3 hours; this says 0:00."),
        ("Song 2:75", "Its time is no length of time. Write minutes: 3, 2:30 or 90 s."),
        ("x" * 121 + " 3", "The title is too long: 120 characters at most."),
    ],
)
def test_a_line_that_is_no_phase_says_why(line: str, why: str) -> None:
    read = read_typed(line)
    assert read.phases == ()
    assert [(found.raw, found.why) for found in read.not_understood] == [(line, why)]


def test_a_phase_of_three_hours_and_sixty_phases_are_the_most() -> None:
    assert one("Trip 3 h").seconds == 10800
    assert one("Clap 1 second").seconds == 1
    read = read_typed("Review 3\n" * 61)
    assert len(read.phases) == 60
    assert [(line.number, line.why) for line in read.not_understood] == [
        (61, "A lesson has 60 phases at most.")
    ]


def test_times_of_day_give_the_lengths_between_them() -> None:
    read = read_typed("9:00 Warm-up\n9:05 Review\n9:08 Model 4 thirds\n9:25 end")
    assert [(phase.title, phase.seconds) for phase in read.phases] == [
        ("Warm-up", 300),
        ("Review", 180),
        ("Model 4 thirds", 1020),
    ]
    assert (read.lines[3].what, read.lines[3].said_s, read.lines[3].sum_s) == ("total", 1500, 1500)
    assert one("12:55–1:05 Warm-up").seconds == 600


def test_minutes_and_seconds_before_titles_are_no_times_of_day() -> None:
    read = read_typed("2:00 Warm-up\n3:00 Review\n7:00 Model\n2:30 Look back")
    assert [phase.seconds for phase in read.phases] == [120, 180, 420, 150]
    assert [line.number for line in read.to_look_at] == [3]


def test_the_last_line_of_a_day_without_an_end_is_shown() -> None:
    read = read_typed("9:00 Warm-up\n9:05 Review")
    assert [phase.seconds for phase in read.phases] == [300, None]
    assert "ends" in read.lines[1].why


def test_a_total_is_compared_and_is_no_phase() -> None:
    read = read_typed("Review 3\nModel 7\n= 10 min\nPractice 8\nTotal: 20")
    assert [line.what for line in read.lines] == ["phase", "phase", "total", "phase", "total"]
    assert read.lines[2].why == ""
    assert (read.lines[4].said_s, read.lines[4].why) == (1200, "This says 20:00, the phases come to 8:00.")


def test_the_parts_of_a_section_are_the_phases_and_not_the_section() -> None:
    read = read_typed("Mini lesson 25\n  Review 3\n  Model 22")
    assert [phase.title for phase in read.phases] == ["Review", "Model"]
    assert read.lines[0].what == "total"


@pytest.mark.parametrize("first", ["Warm-up 5", "Story time 5", "Adding tens 5", "Review 5 min"])
def test_a_first_phase_as_long_as_the_others_together_is_not_lost_but_shown(first: str) -> None:
    read = read_typed(f"{first}\nModel 3\nClose 2")
    assert [phase.seconds for phase in read.phases] == [300, 180, 120]
    assert [line.number for line in read.to_look_at] == [1]


def test_a_heading_above_all_with_the_sum_of_the_lines_is_none_and_shown_where_it_has_no_sign() -> None:
    named, bare = read_typed("Math block 5\nModel 3\nClose 2"), read_typed("Thirds 5 min\nModel 3\nClose 2")
    assert [[phase.title for phase in read.phases] for read in (named, bare)] == [["Model", "Close"]] * 2
    assert ([line.number for line in named.to_look_at], [line.number for line in bare.to_look_at]) == (
        [],
        [1],
    )


def test_notes_below_a_phase_belong_to_it() -> None:
    read = read_typed(
        "Review 3\n  whiteboards up\n- watch for 3 and 4\nStudents turn and talk.\nNote: 2 min is enough"
    )
    assert one("Review 3").notes == ""
    assert [phase.notes.split("\n") for phase in read.phases] == [
        ["whiteboards up", "watch for 3 and 4", "Students turn and talk.", "2 min is enough"]
    ]
    assert [line.of for line in read.lines[1:]] == [1, 1, 1, 1]


def test_minutes_on_the_line_below_belong_to_the_title_above() -> None:
    read = read_typed("Warm-up\n5 min\nFold a strip\n3 min")
    assert [(phase.title, phase.seconds) for phase in read.phases] == [
        ("Warm-up", 300),
        ("Fold a strip", 180),
    ]
    assert [line.what for line in read.lines] == ["phase", "time", "phase", "time"]


@pytest.mark.parametrize("first", ["Thirds on a line", "# Thirds on a line", "Lesson: Thirds on a line"])
def test_the_lesson_has_a_title(first: str) -> None:
    read = read_typed(f"{first}\nReview 3")
    assert (read.title, len(read.phases)) == ("Thirds on a line", 1)


@pytest.mark.parametrize(
    ("title", "kind"),
    [
        ("Skip count", "warm-up"), ("Calentamiento", "warm-up"), ("Repaso", "review"), ("Model", "modeling"),
        ("Modelado", "modeling"), ("Vocabulario y hablar", "vocabulary"), ("Turn & talk", "partner-talk"),
        ("Turn and talk", "partner-talk"), ("En parejas", "partner-talk"),
        ("Práctica guiada", "guided-practice"),
        ("Exit ticket", "look-back"), ("Cierre", "look-back"), ("Move to groups", "move"),
        ("Transición", "move"), ("Estaciones", "group"), ("Group share", "share"), ("Compartir", "share"),
        ("Independent practice", "other"), ("Fold a strip", "other"),
    ],
)  # fmt: skip
def test_a_kind_is_guessed_from_the_words_of_the_title(title: str, kind: str) -> None:
    assert guess_kind(title) == kind


def test_a_kind_in_brackets_counts() -> None:
    assert one("Fractions 3 [review]") == TypedPhase("Fractions", 180, "review")


def test_a_note_that_needs_its_label_puts_no_quotes_around_the_title() -> None:
    phases = (
        TypedPhase("Warm-up", 300, "warm-up", "", "whiteboards"),
        TypedPhase("Model thirds", 480, "modeling", "", "long strip\nabout 8 min"),
    )
    text = plain_text(phases)
    assert read_typed(text).phases == phases
    assert '"' not in text
    assert text.startswith("Warm-up 5\n    Note: whiteboards\n")


def test_plain_text_is_what_a_teacher_would_type() -> None:
    phases = (
        TypedPhase("Review", 180, "review"),
        TypedPhase("Model", 450, "modeling", class_line="adding thirds", notes="one example only"),
        TypedPhase("Fractions", 120, "look-back"),
        TypedPhase("Look at page", 720, "other"),
        TypedPhase("Share", None, "share"),
    )
    text = plain_text(phases)
    assert text == (
        "Review 3\nModel 7:30 adding thirds\n    one example only\nFractions 2 [look-back]\n"
        '"Look at page" 12\nShare ?\n'
    )
    assert read_typed(text).phases == phases


_PIECES = (
    """3 12 2:30 9:00 9:05 9:00-9:05 min mins h s ' " ( ) [ ] - • * # | : . … = / ½ Review Model page"""
    " grade by thirds Total end Note: For the class: [review] ? Lesson: and per 3s 1. a) „ １ ٣ 分 é"
)
PIECES = st.sampled_from([*_PIECES.split(), "\t", "\n", "\n", ""])
MESSY = st.one_of(st.text(max_size=300), st.lists(PIECES, max_size=60).map(" ".join))
PIECE_TEXT = st.lists(PIECES, max_size=6).map(" ".join)
WORDS = st.one_of(st.text(max_size=40), PIECE_TEXT).map(
    lambda text: " ".join("".join(char for char in text if char.isprintable()).split())
)
PHASES = st.builds(
    TypedPhase,
    title=WORDS.filter(bool),
    seconds=st.none() | st.integers(1, 10800),
    kind=st.sampled_from(sorted(KINDS)),
    class_line=WORDS,
    notes=st.lists(WORDS.filter(bool), max_size=3).map("\n".join),
)


@given(MESSY)
def test_any_text_is_read_and_every_line_is_accounted_for(text: str) -> None:
    read = read_typed(text)
    assert [line.raw for line in read.lines] == text.splitlines()
    for line in read.lines:
        # A line that is called blank holds no letter, figure or other sign that can be seen.
        assert line.what != "blank" or not any(char.isalnum() for char in line.raw)
        assert bool(line.phases) == (line.what == "phase")
        assert bool(line.why) or line.what != "not understood"
        for phase in line.phases:
            assert phase.title
            assert phase.seconds is None or 1 <= phase.seconds <= 10800


@given(MESSY)
@example("0.NOTE:  0")
@example("Review 1\n  look at the line\n-")
@example('"1\r  0\r-')
def test_what_was_read_is_written_and_read_the_same(text: str) -> None:
    phases = read_typed(text).phases
    assert read_typed(plain_text(phases)).phases == phases


@given(st.lists(PHASES, max_size=5).map(tuple))
def test_any_phases_are_written_and_read_the_same(phases: tuple[TypedPhase, ...]) -> None:
    again = read_typed(plain_text(phases))
    assert read_typed(plain_text(again.phases)).phases == again.phases
    assert again.phases == phases


@pytest.mark.slow
def test_a_book_pasted_by_mistake_is_told_line_by_line_and_not_read() -> None:
    found = read_typed("Review 5\n" * 2_100 + "word " * 2_000)
    assert len(found.lines) == 2_101
    assert {line.why for line in found.lines[2_000:]} == {"A lesson has 2000 lines at most."}
    (long,) = read_typed("word " * 2_000).lines
    assert (long.what, long.why) == ("not understood", "The line is longer than 6000 signs.")


@pytest.mark.slow
def test_of_half_a_million_lines_what_is_too_much_is_told_in_bounded_work() -> None:
    """Ours: so many empty lines took two seconds of the processor."""
    for line in ("\n", " \n", "a\n"):
        lines_run(lambda text=line * 500_000: read_typed(text), 2_500_000)
    empty, filled = (read_typed("A 1\n" + line * 500_000).lines for line in ("\n", "a\n"))
    assert len(empty) == 12_000
    assert {line.what for line in empty[1:]} == {"blank"}
    assert len(filled) == 12_001
    assert filled[-1].why == "This line and what follows, 488001 lines, are not read either."


@pytest.mark.slow
def test_a_line_past_the_most_costs_next_to_nothing() -> None:
    lines = 20_000
    assert lines_run(lambda: read_typed("\n" * lines), 200 * MOST_LINES + 20 * lines)


@pytest.mark.slow
def test_a_text_that_is_no_lesson_is_read_as_far_as_one_goes_and_every_line_is_there() -> None:
    """Ours: half a megabyte of numbers took twenty seconds, at every key."""
    text = "Warm-up 5\n" + ("a b 3 " * 900 + "\n") * 100
    found = read_typed(text)
    lines_run(lambda: read_typed(text), 4_000_000)
    assert len(found.lines) == 101
    assert found.phases[0].title == "Warm-up"
    last = found.lines[-1]
    assert (last.what, last.why) == (
        "not understood",
        "With the lines above this is more text than a lesson has.",
    )


def test_two_thousand_lines_with_notes_are_read_to_the_end() -> None:
    text = "".join(f"Step {n} 3 min\n  Say what we look for, and why, in words.\n" for n in range(1_000))
    assert "more text" not in read_typed(text).lines[-1].why


def test_beside_one_bare_number_a_lesson_with_a_number_is_read_and_doubted() -> None:
    typed = read_typed("Warm-up 3\nLesson 15")
    assert [(phase.title, phase.seconds) for phase in typed.phases] == [("Warm-up", 180), ("Lesson", 900)]
    assert [line.number for line in typed.to_look_at] == [2]


@pytest.mark.parametrize(
    ("text", "titles"),
    [
        ("Step 1: Launch 5\nStep 2: Explore 12", ["Step 1: Launch", "Step 2: Explore"]),
        ("**Step 1**: Launch (5 min)\n**Step 2**: Explore (12 min)", ["Step 1: Launch", "Step 2: Explore"]),
        ("Part 1 - 5 min warm-up\nPart 2 - 12 min modeling", ["Part 1: warm-up", "Part 2: modeling"]),
        ("Step 1: 5 min\nStep 2: 12 min", ["Step 1", "Step 2"]),
    ],
)
def test_parts_that_are_counted_keep_their_numbers(text, titles):
    read = read_typed(text)
    assert [phase.title for phase in read.phases] == titles
    assert [phase.seconds for phase in read.phases] == [300, 720]
    assert read_typed(plain_text(read.phases)).phases == read.phases


@pytest.mark.parametrize("length", [112, 113, 120])
def test_a_number_that_would_make_a_title_too_long_is_left_out(length):
    """Split and the file take titles of 120 signs."""
    text = f"Step 1: {'x' * length} 5\nStep 2: Explore 12\n"
    titles = [phase.title for phase in read_typed(text).phases]
    assert titles == [("Step 1: " if length == 112 else "") + "x" * length, "Step 2: Explore"]
    assert [part.title for part in read_parts(text).parts] == titles

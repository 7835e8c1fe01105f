"""The coach copy's lines: only what was chosen, no notes unless ticked, and every number the lessons' own."""

from statistics import median

import pytest

from pacer.frames.after_school.coach_lines import FIELDS, NOTES, coach_lines
from pacer.frames.pictures import talk_share, where_time
from pacer.frames.words.choice import choice_words, date_words, span_words
from pacer.review.choice import LessonChoice
from pacer.review.days import Day, DayPhase, DayTalk


def phase(kind: str, planned: int, actual: int, reason: str = "") -> DayPhase:
    return DayPhase(
        kind,
        kind.title(),
        kind,
        planned,
        planned // 2,
        actual,
        0,
        actual,
        0,
        "done",
        None,
        True,
        False,
        "",
        reason,
    )


def day(number: int, *, late: int | None = 0, thing: str = "", reason: str = "", actual: int = 200) -> Day:
    """An invented lesson of two phases on the n-th of March."""
    return Day(
        number, f"2026-03-{number:02d}", "Thirds", "mathematics", "live", "", 32_400, 0,
        (4500, 120, 3, 90, 60, 300), 1500, 1500, late, (),
        (phase("review", 180, actual, reason), phase("modeling", 420, 420)),
        DayTalk(240_000, 60_000, 600_000, 0, 0, 0, 0), (), 200, 300, (), 3, 620, True, False, False, thing,
    )  # fmt: skip


DAYS = [
    day(2, late=60),
    day(3, late=-30, thing="fewer problems", reason="talked"),
    day(4, late=300, actual=260),
]


def test_each_field_gives_its_own_lines_and_no_others():
    assert coach_lines(DAYS, LessonChoice(), ["lessons"]) == ["3 lessons, 2 Mar 2026 to 4 Mar 2026"]
    # By hand: (200 + 200 + 260) / 3 + 420 = 640 s of 600 s.
    assert coach_lines(DAYS, LessonChoice(), ["mini lesson"]) == [
        "Mini lesson: 10:40 of 10:00 planned, on average"
    ]
    assert coach_lines(DAYS, LessonChoice(), ["groups"]) == [
        "Groups against the plan: +1:00 at the median (3 lessons)"
    ]
    assert median([60, -30, 300]) == 60
    # 240 of 600 s, or 300 of 600 if unmarked time was talk.
    assert coach_lines(DAYS, LessonChoice(), ["talk"]) == [
        "Teacher talk: 40 % to 50 % of the mini lesson at the median (3 lessons)"
    ]
    assert coach_lines(DAYS, LessonChoice(), []) == []


def test_what_stands_beside_a_picture_says_the_same_figures_as_the_picture():
    """Worked by hand: pauses are part of what it took, a share is the median, a half is rounded up."""
    first, second = day(2, late=60), day(3, late=61)
    # Review 0:00 to 3:20, then modeling to 10:50, of which 7:00 ran: 30 s paused, so 10:50 of 10:00.
    review, modeling = first.phases
    paused = first._replace(
        phases=(review, modeling._replace(begin_s=200, end_s=650)),
        talk=DayTalk(150_000, 0, 600_000, 0, 0, 0, 0),
        paused_s=30,
    )
    (line,) = coach_lines([paused], LessonChoice(), ["mini lesson"])
    assert line == "Mini lesson: 10:50 of 10:00 planned, on average"
    assert where_time.chart([paused], LessonChoice()).summary.startswith(
        "The mini lesson took 10:50 of 10:00"
    )
    # 60.5 s.
    assert coach_lines([first, second], LessonChoice(), ["groups"]) == [
        "Groups against the plan: +1:01 at the median (2 lessons)"
    ]
    # 25 % of one lesson's ten minutes, with nothing unmarked: one figure and no range.
    assert coach_lines([paused], LessonChoice(), ["talk"]) == [
        "Teacher talk: 25 % of the mini lesson (1 lesson)"
    ]
    # Three times 25 % of 10 minutes and twice 80 % of 30: 25 % at the median, 69 % of all time together.
    long = paused._replace(talk=DayTalk(1_440_000, 0, 1_800_000, 0, 0, 0, 0))
    five = [paused, paused, paused, long, long]
    assert coach_lines(five, LessonChoice(), ["talk"]) == [
        "Teacher talk: 25 % of the mini lesson at the median (5 lessons)"
    ]
    assert "25 % of the mini lesson at the median of 5" in talk_share.chart(five, LessonChoice()).summary


def test_notes_come_only_when_they_are_ticked():
    plain = "\n".join(coach_lines(DAYS, LessonChoice(), [field for field in FIELDS if field not in NOTES]))
    assert "fewer problems" not in plain
    assert "talked" not in plain
    assert coach_lines(DAYS, LessonChoice(), ["thing"]) == ["3 Mar 2026, for tomorrow: fewer problems"]
    assert coach_lines(DAYS, LessonChoice(), ["reasons"]) == ["Reasons: I talked on 1"]


def test_groups_that_never_started_are_said_to_and_change_no_median():
    assert coach_lines([day(2, late=None)], LessonChoice(), ["groups"]) == [
        "Groups did not start in these lessons."
    ]
    assert coach_lines([day(2, late=None), day(3, late=90)], LessonChoice(), ["groups"]) == [
        "Groups against the plan: +1:30 (1 lesson)"
    ]


def test_without_lessons_it_says_so():
    assert coach_lines([], LessonChoice(), list(FIELDS)) == ["No lessons are chosen."]
    assert coach_lines(DAYS, LessonChoice(subjects=("reading",)), ["lessons"]) == ["No lessons are chosen."]


def test_the_choice_is_told_in_one_line():
    assert choice_words(LessonChoice(), 8) == "8 lessons · live"
    whole = LessonChoice(
        modes=("live", "baseline"), kinds=("review",), subjects=("mathematics", ""), shapes=("",),
        titles=("Thirds",), since="2026-03-02", until="2026-03-09", flagged=True, repaired=True,
    )  # fmt: skip
    assert choice_words(whole, 1) == (
        "1 lesson · live, baseline · mathematics, no subject · review · own block · “Thirds” · "
        "2 Mar 2026 to 9 Mar 2026 · days not like others, too · learning from repaired days too"
    )


@pytest.mark.parametrize(
    ("since", "until", "words"),
    [
        ("", "", ""),
        ("2026-12-01", "", "from 1 Dec 2026"),
        ("", "2026-01-31", "up to 31 Jan 2026"),
        ("2026-01-31", "2026-02-01", "31 Jan 2026 to 1 Feb 2026"),
    ],
)
def test_a_span_may_be_open(since, until, words):
    assert span_words(since, until) == words


def test_a_date_that_is_none_is_shown_as_it_is():
    assert date_words("no date") == "no date"

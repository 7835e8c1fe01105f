"""The share of teacher talk over several lessons, against a count of seconds from the raw events."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.log.day_records import DayRecords
from pacer.review.day_book import read_days, work_out
from pacer.review.days import Day
from pacer.review.questions.talk_share import talk_shares
from pacer.review.statistics.rounding import percent, whole_s
from pacer.verbs.headless_demo import load_demo_outlines
from pacer.verbs.invented_days import write_invented_days
from tests.review.by_hand_talk import TalkByHand, events_frame, talk_by_hand, talk_table
from tests.terms import made_once

TERM_ENDS_UTC_MS = 1_781_000_000_000
UNMARKED = ("review", "vocabulary", "guided-practice")


@pytest.fixture(scope="module")
def unmarked_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Forty invented lessons whose reviewing, vocabulary and practice nobody marked."""
    outlines = [
        outline.model_copy(
            update={
                "phases": tuple(
                    phase.model_copy(update={"talk": "unmarked"}) if phase.kind in UNMARKED else phase
                    for phase in outline.phases
                )
            }
        )
        for outline in load_demo_outlines()
    ]

    def write(folder: Path) -> None:
        with DayRecords.open(folder) as records:
            write_invented_days(records, outlines, 40, until_utc_ms=TERM_ENDS_UTC_MS, seed=11)

    return made_once(tmp_path_factory, "unmarked", write)


@pytest.fixture(scope="module")
def unmarked_days(unmarked_folder: Path) -> tuple[Day, ...]:
    with DayRecords.open(unmarked_folder) as records:
        return read_days(records).days


def assert_same_talk(day: Day, hand: TalkByHand) -> None:
    """A day's talk is what the count of seconds says."""
    talk = day.talk
    assert (talk.teacher_ms, talk.unmarked_ms, talk.total_ms) == (
        hand.teacher * 1000,
        hand.unmarked * 1000,
        hand.total * 1000,
    )
    assert (talk.longest_ms, talk.longest_from_ms) == (hand.longest * 1000, hand.longest_from * 1000)
    assert (talk.wide_ms, talk.wide_from_ms) == (hand.wide * 1000, hand.wide_from * 1000)
    assert [tuple(piece) for piece in day.ribbon] == hand.pieces


@pytest.mark.slow
@pytest.mark.parametrize("which", ["term", "unmarked"])
def test_shares_and_stretches_of_a_term_are_those_counted_second_by_second(
    which: str, request: pytest.FixtureRequest
) -> None:
    folder = request.getfixturevalue("term_folder" if which == "term" else "unmarked_folder")
    days = request.getfixturevalue("term" if which == "term" else "unmarked_days")
    table = talk_table(folder)
    found = talk_shares(days)
    assert [day.run for day in found.days] == list(table["run"])
    for day, row in zip(days, table.itertuples(), strict=True):
        assert_same_talk(day, row)
    low = 100 * table["teacher"] / table["total"]
    high = 100 * (table["teacher"] + table["unmarked"]) / table["total"]
    np.testing.assert_allclose([float(100 * day.low) for day in found.days], low, rtol=1e-12)
    np.testing.assert_allclose([float(100 * day.high) for day in found.days], high, rtol=1e-12)
    assert float(100 * found.low) == pytest.approx(low.median(), rel=1e-12)
    assert float(100 * found.high) == pytest.approx(high.median(), rel=1e-12)
    first = table.loc[table["longest"].idxmax()]
    assert (found.longest.run, found.longest.talk.longest_ms) == (first["run"], 1000 * first["longest"])
    assert (high > low).any() == (which == "unmarked"), "the two terms differ in what is tried"


@pytest.fixture(scope="session")
def worked_day(new_lesson: Callable, new_outline: Callable) -> Day:
    """A worked lesson of our own, as it is run: T 10:55 of 25:00, 3:00 unmarked."""
    rows = [("2", "class"), ("3", "unmarked"), ("7", "teacher"), ("1", "teacher"), ("0:45", "partners"),
            ("1:15", "teacher"), ("8", "quiet"), ("2", "teacher")]  # fmt: skip
    lesson = new_lesson(new_outline(*({"budget": budget, "talk": talk} for budget, talk in rows)))
    lesson.wait(120).do("next").wait(180).do("next").wait(210).do("burst").wait(20).do("eyes-back").wait(190)
    for seconds in (60, 45, 75, 480, 120):
        lesson.do("next").wait(seconds)
    lesson.do("end")
    return work_out(1, lesson.journal.events, [])


def test_the_worked_lesson_is_forty_four_to_fifty_six_percent(worked_day: Day) -> None:
    """Worked values of our own: 10:55 of 25:00, 3:00 unmarked; 4:10 from 8:50, or 6:30 from 2:00."""
    (day,) = talk_shares([worked_day]).days
    assert (day.low, day.high) == (Fraction(655, 1500), Fraction(835, 1500))
    assert (percent(day.low), percent(day.high)) == (44, 56)
    assert (whole_s(day.talk.longest_ms), whole_s(day.talk.longest_from_ms)) == (250, 530)
    assert (whole_s(day.talk.wide_ms), whole_s(day.talk.wide_from_ms)) == (390, 120)


def test_a_pause_leaves_both_sides_of_the_share(new_lesson: Callable, new_outline: Callable) -> None:
    """By hand: 100 s of talk in 200 s, whatever the pause of 100 s in it."""
    outline = new_outline({"budget": "5", "talk": "teacher"}, {"budget": "5", "talk": "class"})
    lesson = new_lesson(outline).wait(60).do("pause").wait(100).do("go-on").wait(40).do("next").wait(100)
    (day,) = talk_shares([work_out(1, lesson.do("end").journal.events, [])]).days
    assert (day.low, day.high, day.talk.longest_ms) == (Fraction(1, 2), Fraction(1, 2), 100_000)


def test_the_median_of_two_lies_half_way_and_lessons_without_time_are_counted(worked_day: Day) -> None:
    other = worked_day._replace(run=2, talk=worked_day.talk._replace(teacher_ms=300_000, longest_ms=250_000))
    empty = worked_day._replace(run=3, talk=worked_day.talk._replace(total_ms=0))
    found = talk_shares([worked_day, other, empty])
    assert (found.low, found.high) == (Fraction(955, 3000), Fraction(1315, 3000))
    assert (len(found.days), found.without) == (2, 1)
    assert found.longest.run == 1, "the first of two that are equally long"


def test_no_lesson_has_no_median_and_no_longest_stretch() -> None:
    found = talk_shares([])
    assert (found.days, found.longest) == ((), None)
    with pytest.raises(ValueError, match="no median"):
        _ = found.low


def test_a_share_is_rounded_to_the_nearest_percent_a_half_up() -> None:
    assert [percent(Fraction(n, 200)) for n in (0, 1, 2, 3, 199, 200)] == [0, 1, 1, 2, 100, 100]
    assert percent(Fraction(1, 3)) == 33


@pytest.mark.parametrize(("mode", "lasts", "longest"), [
    ("partners", 9, 120), ("partners", 10, 60), ("quiet", 29, 120), ("quiet", 30, 60), ("class", 1, 60),
])  # fmt: skip
def test_a_burst_of_ten_and_quiet_of_thirty_seconds_break_a_stretch(
    new_lesson: Callable, new_outline: Callable, mode: str, lasts: int, longest: int
) -> None:
    """Rules of our own: a minute of talk on either side of what may break it."""
    outline = new_outline(*({"budget": "1", "talk": talk} for talk in ("teacher", mode, "teacher")))
    lesson = new_lesson(outline).wait(60).do("next").wait(lasts).do("next").wait(60).do("end")
    day = work_out(1, lesson.journal.events, [])
    assert (day.talk.longest_ms, day.talk.teacher_ms) == (longest * 1000, 120_000)
    assert talk_by_hand(events_frame(1, lesson.journal.events)).longest == longest


ROWS = st.lists(
    st.fixed_dictionaries(
        {
            "budget": st.just("3"),
            "kind": st.sampled_from(["modeling", "review", "modeling", "vocabulary", "group", "other"]),
            "talk": st.sampled_from(["teacher", "teacher", "unmarked", "class", "partners", "quiet"]),
        }
    ),
    min_size=1,
    max_size=6,
)
PRESSES = st.lists(
    st.tuples(
        st.sampled_from(
            ["next", "next", "next", "burst", "burst", "eyes-back", "voice", "pause", "go-on", "back", "undo"]
        ),
        st.one_of(st.sampled_from([9, 10, 29, 30]), st.integers(1, 45)),  # what breaks a stretch, just
    ),
    max_size=25,
)


@given(ROWS, PRESSES)
def test_on_any_day_talk_is_what_counting_seconds_says(
    new_lesson: Callable, new_outline: Callable, rows: list, presses: list
) -> None:
    lesson = new_lesson(new_outline(*rows))
    for command, seconds in presses:
        lesson.wait(seconds)
        lesson.session.do(command)
    lesson.wait(5).session.do("end")
    events = lesson.journal.events
    day = work_out(1, events, [])
    hand = talk_by_hand(events_frame(1, events))
    assert_same_talk(day, hand)
    found = talk_shares([day])
    if hand.total:
        assert found.days[0].low == Fraction(hand.teacher, hand.total)
        assert found.days[0].high == Fraction(hand.teacher + hand.unmarked, hand.total)
    else:
        assert (found.days, found.without) == ((), 1)

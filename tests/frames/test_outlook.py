"""What one more minute costs, what the re-cut takes, what the groups keep and what the odds are, in words."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.desk import desk_frame
from pacer.frames.outlook import groups_words, odds_words, outlook, price_words, recut_words, tens
from pacer.pace.groups import Rotations
from pacer.pace.reading import Reading
from pacer.run.events import Forecasted
from pacer.run.legs import GroupOut
from pacer.run.state import LessonState

SKIP, REVIEW, MODEL, VOCABULARY, PRACTICE, LOOK_BACK = range(6)
# A late start of the invented plan: skip count and review give all, then model and vocabulary share.
SIX_LATE = (
    "Skip count −1:00, Review −1:30, Model −2:00, Vocabulary and talk −0:30, Look back −1:00: K keep, U undo"
)


def in_review(new_lesson: Callable, time: str):
    """The invented plan with review entered at 9:02 and not left."""
    return new_lesson().until("9:02").do("next").until(time)


def late(new_lesson: Callable, minutes: int):
    """The invented plan, begun so many minutes after 9:00."""
    return new_lesson(start=f"9:{minutes:02}", late_s=60 * minutes)


def ahead(lesson):
    found = outlook(lesson.reading)
    assert found is not None
    return found


def price_of(lesson) -> str:
    """What the Desk says about one more minute."""
    return price_words(lesson.state, ahead(lesson).price)


def asked(lesson) -> str:
    return recut_words(lesson.reading)


@pytest.mark.parametrize(
    ("time", "payers"),
    [
        ("9:02", "1:00 Look back"),
        ("9:05", "1:00 Look back"),
        ("9:06", "0:45 Model + 0:15 Vocabulary and talk"),
        ("9:10", "1:00 Practice"),
        ("9:11:30", "0:30 Practice + 10 s a group"),
        ("9:12", "20 s a group"),
        ("9:13", "20 s a group"),
    ],
)
def test_the_price_in_review_of_the_invented_plan(new_lesson: Callable, time: str, payers: str) -> None:
    """Worked values of our own; the Desk shows the same words under its headline."""
    lesson = in_review(new_lesson, time)
    assert price_of(lesson) == f"1 more min: {payers}"
    assert desk_frame(lesson.reading).under == price_of(lesson)


def test_all_who_pay_are_named_with_what_each_gives(new_lesson: Callable, new_outline: Callable) -> None:
    """Our own arithmetic: 60 s over slack of 4, 2 and 6 min are 20, 10 and 30, in steps 15, 15 and 30."""
    rows = [{"budget": budget, "floor": "0", "cut_tier": 1} for budget in ("1", "4", "2", "6")]
    assert price_of(new_lesson(new_outline(*rows))) == "1 more min: 0:30 P4 + 0:15 P2 + 0:15 P3"


def test_time_that_nobody_needs_costs_nothing_and_what_it_does_not_cover_is_told(
    new_lesson: Callable, new_outline: Callable
) -> None:
    roomy = new_outline({"budget": "5"}, {"budget": "5"}, mini_lesson="25")
    assert price_of(new_lesson(roomy)) == "1 more min: costs nothing yet"
    assert (
        price_of(new_lesson(start="8:59:20", late_s=-40))
        == "1 more min: 0:40 to spare + 0:15 Review + 0:05 Look back"
    )
    assert price_of(new_lesson(start="8:59", late_s=-60)) == "1 more min: costs nothing yet"


@pytest.mark.parametrize(("groups", "seconds"), [(1, 60), (2, 30), (3, 20), (4, 15), (7, 9), (12, 5)])
def test_what_the_groups_pay_is_never_told_as_less(
    new_lesson: Callable, new_outline: Callable, groups: int, seconds: int
) -> None:
    """Seven times 8 s would be 56 s of a minute: it is rounded up."""
    outline = new_outline({"budget": "5"}, groups=groups, mini_lesson="5")
    assert price_of(new_lesson(outline)) == f"1 more min: {seconds} s a group"


def test_without_groups_the_end_is_passed(new_lesson: Callable, new_outline: Callable) -> None:
    outline = new_outline({"budget": "20"}, groups=0, mini_lesson="20")
    assert price_of(new_lesson(outline)) == "1 more min: 1:00 past the end"


def test_a_long_title_is_told_by_its_first_words(new_lesson: Callable, new_outline: Callable) -> None:
    rows = [{"budget": "5"}, {"title": "Find the thirds on every line", "budget": "5", "floor": "1"}]
    assert price_of(new_lesson(new_outline(*rows))) == "1 more min: 1:00 Find the thirds on…"


@given(st.lists(st.text("abcXYZ", min_size=1, max_size=6), min_size=1, max_size=9), st.integers(0, 4))
def test_where_one_pays_there_are_five_words_at_most(
    new_lesson: Callable, new_outline: Callable, title: list[str], groups: int
) -> None:
    rows = [{"budget": "3"}, {"title": " ".join(title), "budget": "4", "floor": "2"}]
    lesson, told = new_lesson(new_outline(*rows, groups=groups, mini_lesson="7")), []
    for _half_minute in range(16):
        if len(ahead(lesson).price.payments) == 1:
            told.append(price_of(lesson).removeprefix("1 more min: "))
        lesson.wait(30)
    assert len(told) > 8
    assert all(1 < len(words.split()) <= 5 for words in told), told


def test_a_late_start_asks_for_the_worked_cut(new_lesson: Callable) -> None:
    """A worked value of our own: 6:00 late."""
    lesson = late(new_lesson, 6)
    assert asked(lesson) == SIX_LATE
    assert ahead(lesson).recut == (
        (SKIP, -60), (REVIEW, -90), (MODEL, -120), (VOCABULARY, -30), (LOOK_BACK, -60),
    )  # fmt: skip
    assert desk_frame(lesson.reading).notice == SIX_LATE


@pytest.mark.parametrize(
    ("review_ends", "cuts"),
    [
        ("9:05", ""),
        ("9:06", "Look back −1:00"),
        ("9:07", "Model −0:45, Vocabulary and talk −0:15, Look back −1:00"),
        ("9:10", "Model −3:00, Vocabulary and talk −1:00, Look back −1:00"),
        ("9:12", "Model −3:00, Vocabulary and talk −1:00, Practice −2:00, Look back −1:00"),
    ],
)
def test_a_border_that_comes_late_asks_for_its_cut(new_lesson: Callable, review_ends: str, cuts: str) -> None:
    """Worked values of our own."""
    lesson = in_review(new_lesson, review_ends)
    assert asked(lesson) == "", "in review nothing was cut"
    assert asked(lesson.do("next")) == (f"{cuts}: K keep, U undo" if cuts else "")


def test_time_that_was_given_asks_for_what_it_takes(new_lesson: Callable) -> None:
    assert asked(in_review(new_lesson, "9:02:10").do("add", "1:00")) == "Look back −1:00: K keep, U undo"


@pytest.mark.parametrize("answer", ["keep", "uncut"])
def test_an_answered_question_is_not_asked_again_before_the_next_border(
    new_lesson: Callable, answer: str
) -> None:
    lesson = late(new_lesson, 6).do(answer)
    assert asked(lesson) == asked(lesson.wait(50)) == ""
    # Review may take its 1:30 from 9:07, or all is as late as before when skip count got its 2:00.
    assert asked(lesson.do("next")).startswith("Review −1:30, ")
    assert asked(lesson.do("undo").do("undo")) == SIX_LATE, "a press that is taken back asks again"


def test_what_is_finished_early_or_has_left_gives_nothing(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(60).do("next").wait(60).do("next", "done").do("jump", "skip")
    assert (asked(lesson), ahead(lesson).recut) == ("", ())
    lesson = late(new_lesson, 10).do("keep", "review")
    assert [index for index, _seconds in ahead(lesson).recut] == [
        SKIP,
        MODEL,
        VOCABULARY,
        PRACTICE,
        LOOK_BACK,
    ]
    assert asked(lesson.wait(60).do("next")) == (
        "Model −3:00, Vocabulary and talk −1:00, Practice −1:00, Look back −1:00: K keep, U undo"
    )


def three_phases(new_outline: Callable, *fates: str):
    """Five minutes each, none of which can be cut; the later ones may leave to where it is said."""
    rows: list[dict[str, object]] = [{"budget": "5", "floor": "5"}]
    for number, fate in enumerate(fates, start=1):
        row: dict[str, object] = {"title": f"Story {number}", "budget": "5", "floor": "5", "cut_tier": 1}
        rows.append(row | ({"movable": fate} if fate else {}))
    return new_outline(*rows)


@pytest.mark.parametrize(
    ("fate", "words"),
    [
        ("table", "Story 1 to the table"),
        ("tomorrow", "Story 1 to tomorrow"),
        ("dropped", "Story 1 is dropped"),
    ],
)
def test_a_phase_that_must_leave_is_named_with_its_fate(
    new_lesson: Callable, new_outline: Callable, fate: str, words: str
) -> None:
    lesson = new_lesson(three_phases(new_outline, fate, ""), late_s=300)
    assert asked(lesson) == f"Too short: {words}. K keep, U undo."
    assert [(leaver.index, leaver.to) for leaver in ahead(lesson).leaving] == [(1, fate)]
    assert asked(lesson.do("uncut")) == ""


def test_what_is_offered_instead_of_a_leaver_is_the_whole_minute_where_the_groups_have_less(
    new_lesson: Callable, new_outline: Callable
) -> None:
    rows = [
        {"budget": "5", "floor": "5"},
        {"title": "Story", "budget": "5", "floor": "5", "movable": "table"},
    ]
    outline = new_outline(
        *rows, minutes="11:20", mini_lesson="10", groups=1, move="0", share="5", clean_up="1"
    )
    lesson = new_lesson(outline)
    assert [(paid.payer, paid.seconds) for paid in ahead(lesson).price.payments] == [
        ("over", 40),
        ("share", 20),
    ]
    assert price_of(lesson) == "1 more min: Story leaves, or 0:40 past the end + 0:20 share"
    assert desk_frame(lesson.reading).payers == ("Story leaves", "or 1:00 others")


def test_past_all_floors_the_price_offers_that_a_phase_leaves_or_what_each_group_gives(
    new_lesson: Callable, new_outline: Callable
) -> None:
    """Two of five minutes could go; neither is short of a minute as long as one of them is enough."""
    outline = three_phases(new_outline, "table", "dropped")
    lesson = new_lesson(outline)
    assert price_of(lesson) == "1 more min: Story 1 leaves, or 20 s a group"
    assert desk_frame(lesson.reading).payers[1] == "or 20 s a group"
    lesson.wait(600)
    assert price_of(lesson) == "1 more min: 2 phases leave, or 20 s a group"
    assert price_of(lesson.wait(300)) == "1 more min: 20 s a group", "not even both are enough"
    assert price_of(new_lesson(outline).do("uncut")) == "1 more min: 20 s a group"


def test_a_cut_that_was_taken_back_makes_the_groups_pay_and_nobody_else(new_lesson: Callable) -> None:
    lesson = in_review(new_lesson, "9:07").do("uncut")
    frame = desk_frame(lesson.reading)
    assert (frame.under, frame.outlook) == ("1 more min: 20 s a group", "groups at 9:27")
    assert [row.now_s for row in frame.tape] == [None] * 6


def test_beside_another_payer_the_groups_pay_what_is_left_of_the_minute(new_lesson: Callable) -> None:
    lesson = in_review(new_lesson, "9:11:20")
    assert price_of(lesson) == "1 more min: 0:40 Practice + 0:20 groups"


def test_all_that_must_leave_are_named(new_lesson: Callable, new_outline: Callable) -> None:
    lesson = new_lesson(three_phases(new_outline, "dropped", "table"), late_s=301)
    assert asked(lesson) == "Too short: Story 1 is dropped, Story 2 to the table. K keep, U undo."


def test_where_nothing_can_leave_the_time_is_missing_and_nothing_is_asked(
    new_lesson: Callable, new_outline: Callable
) -> None:
    lesson = new_lesson(three_phases(new_outline, "", ""), late_s=300)
    assert (asked(lesson), ahead(lesson).short_s) == ("", 300)


@pytest.mark.parametrize(("answer", "again"), [("", True), ("keep", True), ("uncut", False)])
def test_a_phase_must_leave_from_the_second_on_in_which_the_rest_does_not_fit(
    new_lesson: Callable, new_outline: Callable, answer: str, again: bool
) -> None:
    """A kept cut is asked about again when it does not suffice; who declined it is left alone."""
    lesson = new_lesson(three_phases(new_outline, "", "table"))
    if answer:
        lesson.do(answer)
    assert asked(lesson.wait(300)) == ""
    assert asked(lesson.wait(1)) == ("Too short: Story 2 to the table. K keep, U undo." if again else "")


@pytest.mark.parametrize(
    ("time", "length"), [("9:02", "13:00"), ("9:06", "13:00"), ("9:12", "13:00"), ("9:13", "12:30")]
)
def test_what_review_takes_the_groups_pay_only_once_all_floors_are_reached(
    new_lesson: Callable, time: str, length: str
) -> None:
    """Our own arithmetic: until 9:12 the later phases pay; then a minute is 20 s of each visit, in steps."""
    lesson = in_review(new_lesson, time)
    assert groups_words(ahead(lesson).groups) == f"Groups keep 3 × {length}"
    assert desk_frame(lesson.reading).near[0] == f"Groups keep 3 × {length}"
    assert desk_frame(lesson.reading).outlook == ("groups at 9:26" if time == "9:13" else "groups at 9:25")


def test_without_groups_and_after_the_mini_lesson_no_visits_are_told(
    new_lesson: Callable, new_outline: Callable
) -> None:
    assert groups_words(None) == groups_words(Rotations(0, 0, 0, 300)) == ""
    assert ahead(new_lesson(new_outline({"budget": "5"}, groups=0))).groups is None
    lesson = new_lesson(new_outline({"budget": "5"}, {"budget": "9", "kind": "group"})).do("next")
    assert groups_words(ahead(lesson).groups) == ""


def odds(low: float, high: float, lessons: int = 8, index: int = 0) -> Forecasted:
    return Forecasted(index=index, low=low, high=high, end_ms=1_500_000, lessons=lessons)


@pytest.mark.parametrize(
    ("forecast", "words"),
    [
        (None, ""),
        (odds(0.5, 0.5), "On time: about 5 of 10 such days (8 lessons)"),
        (odds(0.52, 0.48), "On time: about 5 of 10 such days (8 lessons)"),
        (odds(2 / 3, 1.0, 6), "On time: about 7 to 10 of 10 such days (6 lessons)"),
        (odds(0.0, 0.0, 15), "On time: about 0 of 10 such days (15 lessons)"),
        (odds(1.0, 1.0, 1), "On time: about 10 of 10 such days (1 lesson)"),
        (odds(0.96, 0.96, 20), "On time: over 9 of 10 such days (20 lessons)"),
        (odds(0.95, 1.0, 20), "On time: over 9 of 10 such days (20 lessons)"),
        (odds(0.994, 0.994, 20), "On time: over 9 of 10 such days (20 lessons)"),
        (odds(0.996, 0.996, 20), "On time: about 10 of 10 such days (20 lessons)"),
        (odds(0.04, 0.04, 20), "On time: under 1 of 10 such days (20 lessons)"),
        (odds(0.0, 0.04, 20), "On time: under 1 of 10 such days (20 lessons)"),
        (odds(0.004, 0.004, 20), "On time: about 0 of 10 such days (20 lessons)"),
        (odds(0.9, 0.4, 6), "On time: about 4 to 9 of 10 such days (6 lessons)"),
    ],
)
def test_odds_are_told_in_tens_with_their_count_and_as_a_range_where_they_are_one(
    forecast: Forecasted | None, words: str
) -> None:
    assert odds_words(forecast) == words


@pytest.mark.parametrize(
    ("share", "of_ten"),
    [(0, 0), (0.049, 0), (0.05, 1), (0.25, 3), (49 / 96, 5), (0.949, 9), (0.95, 10), (1, 10)],
)
def test_a_share_is_the_nearest_tenth_and_a_half_goes_up(share: float, of_ten: int) -> None:
    assert tens(share) == of_ten


def test_the_odds_are_those_of_the_running_visit_and_silent_without_any(new_lesson: Callable) -> None:
    lesson = new_lesson()
    assert ahead(lesson).odds is None
    lesson.session.note(odds(0.5, 0.5))
    lesson.session.note(odds(0.7, 0.7))
    assert ahead(lesson).odds == odds(0.7, 0.7)
    told = "On time: about 7 of 10 such days (8 lessons)"
    assert desk_frame(lesson.reading).near == ("Groups keep 3 × 13:00", told)
    assert ahead(lesson.wait(60).do("next")).odds is None
    assert ahead(lesson.wait(9).do("back")).odds is None, "what was said at the start is out of date"
    assert ahead(lesson.do("undo").do("undo")).odds == odds(0.7, 0.7), "as if it had never been left"


def test_before_the_start_and_after_the_end_there_is_no_outlook(new_lesson: Callable) -> None:
    assert outlook(Reading(LessonState(), 0)) is None
    lesson = new_lesson().wait(5).do("end")
    assert outlook(lesson.reading) is None
    assert desk_frame(lesson.reading).ahead is None


def test_one_example_too_many_is_told_with_its_price_for_a_while(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(120).do("next").wait(180).do("next").wait(60).do("example").do("example")
    notice = lambda: desk_frame(lesson.reading).notice  # noqa: E731
    assert notice() == "", "two were planned"
    lesson.do("example")
    assert notice() == "Example 3 of 2. 1 more min: 1:00 Look back"
    assert (lesson.wait_ms(19_999) and notice()) == "Example 3 of 2. 1 more min: 1:00 Look back"
    assert (lesson.wait_ms(1) and notice()) == ""
    assert (lesson.do("example") and notice()).startswith("Example 4 of 2. ")
    assert (lesson.do("undo") and notice()) == "", "of the third, the time is over"


def test_the_question_of_a_cut_is_told_before_examples_and_talk_and_after_the_bell(
    new_lesson: Callable, new_outline: Callable
) -> None:
    rows = [{"budget": "9", "floor": "1", "kind": "modeling"}, {"budget": "1", "floor": "0:30"}]
    outline = new_outline(*rows, minutes=12, groups=0, mini_lesson="10")
    lesson = new_lesson(outline, late_s=60, with_cues=True).wait(305)
    for _press in range(3):
        lesson.do("example")
    notice = lambda: desk_frame(lesson.reading).notice  # noqa: E731
    assert notice().endswith(": K keep, U undo")
    assert (lesson.do("keep") and notice()).startswith("Example 3 of 2. 1 more min: ")
    assert (lesson.wait(20) and notice()) == (
        "5:20 of your talk: P for partners. 1 more min: 0:30 P2 + 0:30 past the end"
    )
    lesson.do("undo")
    assert notice().endswith(": K keep, U undo")
    assert (lesson.wait(11 * 60 - 325) and notice()) == "The bell was due at 9:11. Home: bell now."


def test_the_far_page_gets_each_payer_whole_with_the_amount_first(new_lesson):
    lesson = new_lesson().wait(12)
    frame = desk_frame(lesson.reading)
    assert frame.under == "1 more min: 0:30 Review + 0:30 Look back"
    assert frame.payers == ("0:30 Review", "+ 0:30 Look back")
    assert (frame.headline, frame.headline_short) == ("move by 9:02, in 2 min", "move by 9:02")


def test_a_minute_is_shared_by_the_groups_that_come_today(new_lesson: Callable) -> None:
    """What the groups keep is told for those that come, and so is what each of them pays."""
    lesson = new_lesson().until("9:02").do("next").until("9:13")
    cost = outlook(lesson.reading).price
    assert "20 s a group" in price_words(lesson.state, cost)
    out = replace(lesson.state, out=(GroupOut(0, 0, "missed"),))
    assert "30 s a group" in price_words(out, cost)

"""Lateness by cause and the ledger by name, as the day record shows them."""

from pacer.frames.accounts import Share, causes, causes_words, foretold, gave
from pacer.frames.record import record
from pacer.run import events as ev

TITLES = {"review": "Review", "model": "Model"}


def test_the_causes_of_a_late_group_start_add_up_and_are_named(new_lesson):
    """Own arithmetic: started 1:00 late, review 2:00 over, all else to plan: groups 3:00 late."""
    lesson = new_lesson(start="9:01", late_s=60)
    for seconds in (120, 300, 420, 180, 480, 120):
        lesson.wait(seconds).do("next", "done")
    assert causes(lesson.state) == (Share("start", 60), Share("review", 120))
    words = causes_words(causes(lesson.state), TITLES)
    assert words == "Groups against the plan +3:00: Review +2:00, late start +1:00"


def test_more_than_four_causes_are_summed_up():
    shares = tuple(Share(name, s) for name, s in zip("abcdef", (60, 50, 40, 30, 20, 10), strict=True))
    assert causes_words(shares, {}).endswith("d +0:30, others +0:30")


def test_on_time_nothing_is_said(new_lesson, invented):
    lesson = new_lesson()
    assert causes(lesson.state) == ()
    for phase in invented.phases:
        lesson.wait(phase.budget_s).do("next", "done")
    assert causes_words(causes(lesson.state), TITLES) == ""


def test_the_ledger_adds_up_to_zero_and_says_who_paid(new_lesson):
    """Worked value of ours: review ends at 9:07, so look back gives 1:00, model 0:45, vocabulary 0:15."""
    lesson = new_lesson().until("9:02").do("next").until("9:07").do("next")
    shares = {share.name: share.seconds for share in gave(lesson.state)}
    assert sum(shares.values()) == 0
    assert shares == {"review": 120, "model": -45, "vocabulary": -15, "look-back": -60}
    assert record(lesson.state, lesson.now_ms).as_json()["ledger"]


def test_a_forecast_for_a_phase_that_is_not_in_the_plan_is_left_out(new_lesson):
    """A damaged day record may name one."""
    lesson = new_lesson()
    for index in (99, 0):
        lesson.session.note(ev.Forecasted(index=index, low=0.5, high=0.7, end_ms=1_500_000, lessons=9))
    assert [made.phase for made in foretold(lesson.state)] == ["skip"]

"""Days as Week shows them."""

from datetime import date, timedelta

import pytest

from pacer.frames.week.days import Facts, monday_of, shown_days, shown_last, week_words
from pacer.plan.dates.planned import PlannedDays
from pacer.plan.dates.taught import TaughtLesson
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.settings.model import Settings

MON, TUE, WED = (date(2026, 3, 9) + timedelta(days=number) for number in range(3))
SAT = MON + timedelta(days=5)


@pytest.fixture
def facts_of(invented):
    """Facts of a plan: outlines are named as they are titled, "gone" has no file."""

    def make(plan: dict[date, tuple[str, ...]], **more: object) -> Facts:
        planned = PlannedDays(days={day.isoformat(): names for day, names in plan.items()})

        def outline(name: str):
            return None if name == "gone" else invented.model_copy(update={"title": name, "subject": "maths"})

        taught = more.pop("taught", {})
        values = {
            "settings": Settings(day_shapes=more.pop("shapes", DayShapes(shapes=STARTING_SHAPES))),
            "planned": planned,
            "outline": outline,
            "taught": lambda day: [TaughtLesson(day, title) for title in taught.get(day, ())],
            "carried": {},
            "today": TUE,
            "lesson_day": TUE,
        }
        return Facts(**{**values, **more})

    return make


def card(facts: Facts, day: date):
    return next(each for each in shown_days(monday_of(day), 1, facts) if each.day == day)


def test_a_week_has_five_days_and_a_weekend_that_has_school_or_a_lesson(facts_of):
    assert [each.day.weekday() for each in shown_days(MON, 1, facts_of({}))] == [0, 1, 2, 3, 4]
    assert SAT in [each.day for each in shown_days(MON, 1, facts_of({SAT: ("a",)}))]
    saturdays = DayShapes(shapes=STARTING_SHAPES, week={5: "Assembly"})
    assert SAT in [each.day for each in shown_days(MON, 1, facts_of({}, shapes=saturdays))]
    assert len(shown_days(MON, 2, facts_of({}))) == 10


def test_lessons_say_whether_they_were_taught_come_next_or_were_missed(facts_of):
    facts = facts_of({MON: ("a", "b"), TUE: ("a", "c", "d"), WED: ("e",)}, taught={MON: ["a"], TUE: ["a"]})
    assert [each.state for each in card(facts, MON).lessons] == ["taught", "not taught"]
    assert [each.state for each in card(facts, TUE).lessons] == ["taught", "next", ""]
    assert [each.state for each in card(facts, WED).lessons] == [""]
    assert card(facts, TUE).lessons[1].words == "maths · next"


def test_what_was_taught_without_a_plan_stands_on_its_day_and_can_not_be_moved(facts_of):
    lessons = card(facts_of({MON: ("a",)}, taught={MON: ["x", "a", "a"]}), MON).lessons
    assert [(each.title, each.name) for each in lessons] == [("a", "a"), ("x", ""), ("a", "")]


def test_a_file_that_is_gone_says_so(facts_of):
    (lesson,) = card(facts_of({WED: ("gone",)}), WED).lessons
    assert (lesson.title, lesson.words, lesson.state) == ("gone", "its file can't be used", "gone")


def test_a_shape_chosen_for_a_date_alone_is_the_one_that_is_shown(facts_of):
    settings = Settings(
        day_shapes=DayShapes(shapes=STARTING_SHAPES, days={"2026-03-11": ""}),
        day_choice=("2026-03-11", "Assembly"),
    )
    facts = facts_of({}, settings=settings)
    assert (card(facts, MON).shape, card(facts, WED).shape) == ("Regular, 75 min", "Assembly, 60 min")


def test_a_screen_reader_hears_all_of_a_day(facts_of):
    facts = facts_of({TUE: ("a", "b")}, carried={TUE: ("Sort the cards",)})
    assert (
        card(facts, TUE).name
        == "Tuesday 10 March, next lesson day, Regular, 75 min, 2 lessons, Sort the cards"
    )


def test_the_title_names_the_week_or_the_two():
    assert week_words(MON, 1) == "Week of 9 March"
    assert week_words(MON, 2) == "9 March to 20 March"
    assert shown_last(MON, 2) == date(2026, 3, 20)

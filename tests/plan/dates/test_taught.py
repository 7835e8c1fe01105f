"""Which of the planned outlines a taught lesson was."""

from datetime import date

from pacer.plan.dates.taught import TaughtLesson, paired

MON = date(2026, 3, 9)


def test_of_two_outlines_with_one_title_only_the_one_whose_file_it_was_counts():
    lesson = TaughtLesson(MON, "Thirds", "thirds-2.toml")
    assert paired([("thirds.toml", "Thirds"), ("thirds-2.toml", "Thirds")], [lesson]) == (None, lesson)


def test_a_lesson_counts_under_any_title_that_its_outline_has_by_now():
    lesson = TaughtLesson(MON, "Thirds", "thirds.toml")
    assert paired([("thirds.toml", "Thirds on a line")], [lesson]) == (lesson,)


def test_a_lesson_from_before_names_were_noted_goes_by_its_title_and_counts_once():
    lesson = TaughtLesson(MON, "Thirds")
    assert paired([("a.toml", "Halves"), ("b.toml", "Thirds"), ("b.toml", "Thirds")], [lesson]) == (
        None,
        lesson,
        None,
    )


def test_a_planned_template_was_taught_by_her_copy_of_it_unless_that_copy_is_planned_as_well():
    lesson = TaughtLesson(MON, "Thirds", "thirds.toml")
    assert paired([("template/thirds.toml", "Thirds")], [lesson]) == (lesson,)
    both = [("template/thirds.toml", "Thirds"), ("thirds.toml", "Thirds")]
    assert paired(both, [lesson]) == (None, lesson)

"""The picture of groups by days: each bar, word and cell, and the four ways in which a bar is not there."""

import pytest

from pacer.frames.pictures.chart import AxisSpan, Chart, ChartBox
from pacer.frames.pictures.groups_met import BAR, HALF, chart
from pacer.review.choice import LessonChoice
from tests.frames.pictures.met_factories import lesson_day, timed, weeks_of

LIVE = LessonChoice()
WEEK = [
    timed(lesson_day(0, 3), 780, 0, 900),
    timed(lesson_day(1, 3), 690, 0, 45),
    lesson_day(2, 3)._replace(group_late_s=240, mini_end_s=1740),
    lesson_day(4, 3)._replace(block=(4500, 120, 0, 90, 60, 300)),
]


def bars(picture: Chart, at: int, row: int, longest_s: int) -> dict[str, tuple[int, int]]:
    """What is drawn in a cell, by tone and pattern: from and to, in seconds read off its width."""
    found = {}
    for box in picture.boxes:
        if at - 0.5 < box.x0 < at + 0.5 and row < box.y0 < row + 0.5:
            assert (box.y0, box.y1) == (row + BAR[0], row + BAR[1])
            ends = ((x - at + HALF) / (2 * HALF) * longest_s for x in (box.x0, box.x1))
            low, high = (round(end) for end in ends)
            found[f"{box.tone} {box.pattern}"] = (low, high)
    return found


def test_the_bars_of_a_week_are_as_long_as_their_minutes_in_the_outline_of_the_plan() -> None:
    picture = chart(WEEK, LIVE, "")
    assert [words for _at, words in picture.y.ticks] == ["Circle", "Triangle", "Hexagon"]
    assert bars(picture, 0, 0, 900) == {"quiet outline": (0, 780), "main filled": (0, 780)}
    assert bars(picture, 0, 1, 900) == {"over crossed": (0, 780)}
    more = {"quiet outline": (0, 780), "main filled": (0, 780), "second hatched": (780, 900)}
    assert bars(picture, 0, 2, 900) == more
    assert bars(picture, 1, 0, 900) == {"quiet outline": (0, 780), "main filled": (0, 690)}
    # Worked out by hand: four minutes late leave 11:40 each.
    assert bars(picture, 2, 0, 900) == {"quiet outline": (0, 780), "main dotted": (0, 700)}


def test_missed_not_timed_no_lesson_and_no_visit_planned_differ_by_shape_and_by_word() -> None:
    picture = chart(WEEK, LIVE, "")
    assert picture.spans == (AxisSpan(2.5, 3.5),)
    (rings,) = picture.dots
    assert (rings.shape, [at for at, _y in rings.points]) == ("ring", [4.0, 4.0, 4.0])
    assert bars(picture, 3, 0, 900) == bars(picture, 4, 0, 900) == {}
    said = {at: [words.text for words in picture.words if round(words.x) == at] for at in range(5)}
    assert (said[2], said[3]) == (["about 11:40"] * 3, ["no lesson"])
    assert said[0] == [
        "13:00 of 13:00",
        "missed 13:00",
        "15:00 of 13:00",
    ]
    assert [key.text for key in picture.keys] == [
        "planned visit", "at the table", "at the table, worked out and not timed", "more than planned",
        "missed visit", "lesson without a visit planned", "no lesson",
    ]  # fmt: skip
    kinds = {(box.tone, box.pattern) for box in picture.boxes}
    assert kinds == {(k.mark.tone, k.mark.pattern) for k in picture.keys if isinstance(k.mark, ChartBox)}


def test_at_the_end_of_each_row_stands_what_is_owed_and_who_was_not_met_is_named() -> None:
    """By hand: Circle lost 1:30 and 1:20, Triangle twice 13:00 and 1:20, Hexagon 12:15 and 1:20."""
    picture = chart([*WEEK[:2], WEEK[2]], LIVE, "")
    owed = [words.text for words in picture.words if words.x > 4.5]
    assert owed == ["2:50", "27:20", "13:35"]
    assert picture.x.ticks[-1][1] == "Owed so far"
    assert "; so far Triangle is owed most, 27:20." in picture.summary
    assert "Not met" not in picture.summary, "Triangle was met on Wednesday, as far as can be known"
    assert "Not met this week: Triangle." in chart(WEEK[:2], LIVE, "").summary
    assert "Not met in the week of 9 Mar 2026: Triangle." in chart(WEEK[:2], LIVE).summary
    in_time = chart([timed(lesson_day(0, 2), 780, 780)], LIVE, "")
    assert [words.text for words in in_time.words if words.x > 4.5] == ["none", "none"]


def test_the_table_says_each_cell_in_words_for_who_reads_by_keyboard() -> None:
    table = chart(WEEK, LIVE, "").table
    assert table.headings == (
        "Week", "Group", "Mon", "Tue", "Wed", "Thu", "Fri", "Planned (m:ss)", "Met (m:ss)",
        "Owed after (m:ss)",
    )  # fmt: skip
    assert table.rows[1] == (
        "9 Mar 2026", "Triangle", "missed 13:00", "missed 13:00", "about 11:40 of 13:00", "no lesson",
        "not due", "39:00", "11:40", "27:20",
    )  # fmt: skip
    weeks = chart(weeks_of(25, 2), LIVE).table
    assert [row[:2] for row in weeks.rows[-2:]] == [("All", "Circle"), ("All", "Triangle")]
    assert len(weeks.rows) == 5 * 2 + 2


@pytest.mark.parametrize("groups", [2, 3, 8])
def test_of_many_weeks_the_last_five_are_drawn_with_whole_minutes_and_the_table_has_all(groups: int) -> None:
    picture = chart(weeks_of(60, groups), LIVE)
    days = round(picture.words[0].x - 0.5)
    assert days <= 25 + 1
    assert "The last 5 weeks are drawn, the table has all 12." in picture.summary
    figures = [words.text for words in picture.words if words.together]
    assert figures
    assert all(text.isdigit() for text in figures)
    assert len(picture.table.rows) == 12 * groups + groups
    assert "1" in figures, "45 seconds are not nothing"


def test_a_single_day_and_no_day_are_pictures_too() -> None:
    one = chart(WEEK[:1], LIVE)
    assert [words for _at, words in one.x.ticks] == [
        "Mon 9 Mar", "Tue 10 Mar", "Wed 11 Mar", "Thu 12 Mar", "Fri 13 Mar", "Owed so far",
    ]  # fmt: skip
    assert chart([], LIVE).is_empty
    assert chart([], LIVE).summary.startswith("Not enough lessons yet")
    other = chart(WEEK, LIVE, "2026-05-04")
    assert other.is_empty
    assert other.summary == "No group was due in the week of 4 May 2026."

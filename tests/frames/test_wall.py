"""The Wall: squares and digits that agree, and nothing that is not for children."""

from collections.abc import Callable
from dataclasses import asdict, fields, replace
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.desk import desk_frame
from pacer.frames.wall import PictureKey, WallFrame, WallLook, ready_frame, squares_left, wall_frame
from pacer.frames.words.wording import countdown
from pacer.pace.reading import Reading
from pacer.plan.outline import Burst, Outline
from pacer.run.events import Edge, Fill
from pacer.run.state import LessonState


def wall(lesson, **settings: object) -> WallFrame:
    return wall_frame(lesson.reading, WallLook(**settings))


# Worked values of our own: q = ceil(seconds / 15) fourths in all. A minute that has begun is no full square.
SQUARES = [
    (1200, 20, 0),
    (300, 5, 0),
    (299.1, 5, 0),
    (299, 4, 4),
    (288, 4, 4),
    (285, 4, 3),
    (60, 1, 0),
    (59, 0, 4),
    (30, 0, 2),
    (15.1, 0, 2),
    (15.0, 0, 1),
    (0.1, 0, 1),
    (0, 0, 0),
    (-5, 0, 0),
]


@pytest.mark.parametrize(("seconds", "full", "fourths"), SQUARES)
def test_minute_squares_are_counted_in_fourths_that_last_until_they_are_over(
    seconds: float, full: int, fourths: int
) -> None:
    assert squares_left(round(seconds * 1000)) == (full, fourths)


@pytest.mark.parametrize(
    ("ms", "digits"),
    [(1_200_000, "20:00"), (285_000, "4:45"), (15_100, "0:16"), (15_000, "0:15"), (100, "0:01"), (0, "0:00"),
     (-90_000, "0:00"), (3_600_000, "60:00")],
)  # fmt: skip
def test_digits_are_counted_in_seconds_that_last_until_they_are_over_and_never_below_zero(
    ms: int, digits: str
) -> None:
    assert countdown(ms) == digits


@given(st.integers(-100_000, 10_800_000))
def test_digits_and_squares_never_disagree(ms: int) -> None:
    minutes, seconds = (int(part) for part in countdown(ms).split(":"))
    full, fourths = squares_left(ms)
    shown = minutes * 60 + seconds
    assert 4 * full + fourths == -(-shown // 15)
    assert full == minutes
    assert (fourths == 0) == (seconds == 0)
    assert 0 <= fourths <= 4
    later_full, later_fourths = squares_left(ms - 1)
    assert 4 * full + fourths >= 4 * later_full + later_fourths


def test_five_full_squares_are_five_minutes_and_never_four_minutes_and_some_seconds() -> None:
    """4:48 has as many fourths as 5:00: it looked like it while a minute that has begun was a full square."""
    shown = {seconds: squares_left(seconds * 1000) for seconds in range(285, 301)}
    assert [seconds for seconds, (full, _fourths) in shown.items() if full == 5] == [300]
    assert all(4 * full + fourths == 20 for seconds, (full, fourths) in shown.items() if seconds > 285)


@pytest.mark.parametrize(
    ("budget", "whole", "last"),
    [
        ("0:15", 1, 1),
        ("0:30", 1, 2),
        ("0:45", 1, 3),
        ("1", 1, 4),
        ("1:30", 2, 2),
        ("2:10", 3, 1),
        ("5", 5, 4),
    ],
)
def test_a_budget_is_drawn_as_what_it_is_and_not_as_a_square_already_used_in_part(
    new_lesson: Callable, new_outline: Callable, budget: str, whole: int, last: int
) -> None:
    lesson = new_lesson(new_outline({"budget": budget}, {"budget": "10"}))
    frame = wall(lesson)
    assert (frame.whole, frame.last) == (whole, last)
    assert 4 * frame.full + frame.fourths == 4 * (whole - 1) + last
    assert wall(lesson, squares=False).last == wall(lesson.do("hide")).last == 4


def test_a_running_phase_shows_its_title_its_line_time_and_what_comes_next(new_lesson: Callable) -> None:
    lesson = new_lesson().do("jump", "model").wait(135)
    assert wall(lesson) == WallFrame(
        face="full", title="Model", line="Watch the number line", second_line="Mira la recta",
        digits="4:45", full=4, fourths=3, whole=7, next_title="Vocabulary and talk",
    )  # fmt: skip


def test_digits_and_squares_can_each_be_off(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30)
    assert wall(lesson, digits=False).digits is None
    assert wall(lesson, digits=False).full == 1
    bare = wall(lesson, squares=False)
    assert (bare.digits, bare.full, bare.fourths, bare.whole) == ("1:30", 0, 0, 0)


def test_used_and_left_squares_are_always_the_whole(new_lesson: Callable, new_outline: Callable) -> None:
    lesson = new_lesson(new_outline({"budget": "2:10"}, {"budget": "10"}))
    assert wall(lesson).whole == 3
    for _ in range(14):
        frame = wall(lesson.wait(10))
        assert frame.full + (frame.fourths > 0) <= frame.whole == 3


def test_added_time_appears_as_a_square_at_the_end_and_goes_with_undo(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30)
    assert (wall(lesson).whole, wall(lesson.do("add", "1:00")).whole) == (2, 3)
    assert (wall(lesson).digits, wall(lesson.do("undo")).digits) == ("2:30", "1:30")


def test_a_pause_says_wait_and_time_stands_still(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("pause")
    frame = wall(lesson)
    assert (frame.note, frame.waiting, frame.digits) == ("Wait", True, "1:30")
    assert wall(lesson.wait(100)) == frame


def test_when_time_is_up_the_wall_stands_still_and_overrun_stays_private(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(120)
    frame = wall(lesson)
    assert (frame.note, frame.over, frame.digits, frame.full, frame.fourths) == (
        "Finish up",
        True,
        "0:00",
        0,
        0,
    )
    assert frame.next_title == "Review"
    for wait in (1, 60, 1000):
        assert wall(lesson.wait(wait)) == frame
    assert wall(new_lesson().wait(119.999)).note == ""


def test_a_burst_counts_down_its_own_time_with_its_prompt_and_returns_to_the_phase(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().do("jump", "vocabulary").wait(10).do("burst").wait(5)
    frame = wall(lesson)
    assert (frame.title, frame.line, frame.second_line) == ("Partner talk", "A third is ____ .", "")
    assert (frame.digits, frame.full, frame.fourths, frame.whole) == ("0:25", 0, 2, 1)
    assert frame.next_title == "Practice", "what comes next stays the next phase"
    lesson.do("pause").wait(100)
    assert wall(lesson).digits == "0:25", "a pause stops the burst as well"
    lesson.do("go-on").wait(30)
    assert (wall(lesson).digits, wall(lesson).note) == ("0:00", "Finish up")
    assert wall(lesson.do("eyes-back")).title == "Vocabulary and talk"


def test_a_burst_without_a_prompt_keeps_the_line_of_its_phase(new_lesson: Callable) -> None:
    frame = wall(new_lesson().do("jump", "model").do("burst"))
    assert (frame.title, frame.line, frame.digits) == ("Partner talk", "Watch the number line", "0:30")
    assert frame.next_title == "Vocabulary and talk"
    assert wall(new_lesson().do("burst")).line == "", "a phase without a line has none to lend"
    assert wall(new_lesson().do("jump", "look-back").do("burst")).next_title == "Small groups"


def test_a_phase_that_has_left_the_lesson_is_not_what_comes_next(new_lesson: Callable) -> None:
    lesson = new_lesson().do("keep", "review")
    assert wall(lesson).next_title == "Model"
    assert wall(lesson.do("burst")).next_title == "Model"
    assert wall(lesson.do("eyes-back").do("uncut")).next_title == "Review"


def test_faces_follow_the_teacher_and_off_shows_nothing(new_lesson: Callable) -> None:
    lesson = new_lesson().do("wall", "strip")
    assert (wall(lesson).face, wall(lesson).shape) == ("strip", "strip")
    assert wall(lesson.do("wall", "off")) == WallFrame("off")
    assert wall(lesson.do("hide")) == WallFrame("off")


def test_hidden_time_hides_whose_turn_it_is_too(new_lesson: Callable) -> None:
    """The second partner's turn begins at half time, so it would tell the time."""
    lesson = new_lesson().do("burst").wait(20)
    assert wall(lesson).turn == 2
    hidden = wall(lesson.do("hide"))
    assert (hidden.title, hidden.turn, hidden.digits) == ("Partner talk", 0, None)


def test_hidden_time_leaves_no_trace_of_itself(new_lesson: Callable) -> None:
    lesson = new_lesson().do("hide")
    frame = wall(lesson)
    assert frame == WallFrame("hidden", title="Skip count", next_title="Review")
    for wait in (1, 100, 18.999):
        assert wall(lesson.wait(wait)) == frame
    for wait in (0.001, 30, 1000):
        assert wall(lesson.wait(wait)) == replace(frame, note="Finish up"), "words, and no time past it"
    assert wall(lesson.do("add", "3:00")) == frame
    assert wall(lesson.do("wall", "strip")).shape == "strip"
    lesson.wait(180)
    assert wall(lesson) == replace(frame, shape="strip", note="Finish up")
    paused = wall(lesson.do("pause"))
    assert paused == replace(frame, shape="strip", note="Wait", waiting=True), "a pause comes first"
    assert wall(lesson.do("go-on").do("show")).digits == "0:00"


def test_before_the_start_and_after_the_end_the_wall_shows_no_time(
    invented: Outline, new_lesson: Callable, new_outline: Callable
) -> None:
    assert wall_frame(Reading(LessonState(), 0)) == WallFrame("full")
    assert ready_frame(invented) == WallFrame("full", title="Thirds on a number line")
    assert wall(new_lesson().do("end")) == WallFrame("full", title="Small groups")
    without = new_outline({"budget": "5"}, groups=0)
    assert wall(new_lesson(without).do("end")) == WallFrame("full", title="Made")
    with_share = new_outline({"budget": "5"}, {"budget": "5", "kind": "share"})
    assert wall(new_lesson(with_share).do("end")).title == "Made"


def test_after_the_end_the_wall_keeps_off_or_strip(new_lesson: Callable) -> None:
    assert wall(new_lesson().do("wall", "off").do("end")) == WallFrame("off")
    ended = new_lesson().do("wall", "strip").wait(9).do("bell-now")
    assert wall(ended) == WallFrame("strip", "strip", title="Thirds on a number line")
    assert wall(ended.do("undo").do("hide").do("end")) == WallFrame("strip", "strip", title="Small groups")


def test_after_the_bell_no_small_groups_are_promised(new_lesson: Callable) -> None:
    """The whole block is over then; after the mini lesson alone, the groups come."""
    lesson = new_lesson().wait(9).do("bell-now")
    assert wall(lesson) == WallFrame("full", title="Thirds on a number line")
    assert wall(lesson.wait(4000)) == WallFrame("full", title="Thirds on a number line")
    assert wall(lesson.do("undo").do("end")) == WallFrame("full", title="Small groups")


def test_the_wall_turns_only_where_a_phase_writes_a_face(new_lesson: Callable, new_outline: Callable) -> None:
    outline = new_outline({"budget": "3"}, {"budget": "3"}, {"budget": "3", "wall": "full"}, {"budget": "3"})
    lesson = new_lesson(outline).do("wall", "strip")
    assert [(wall(lesson.do("next")).face, wall(lesson).title) for _ in range(3)] == [
        ("strip", "P2"), ("full", "P3"), ("full", "P4"),
    ]  # fmt: skip


def test_a_clock_that_is_set_shows_on_the_wall_only_in_what_is_left_of_the_phase(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().wait(30)
    lesson.clock.shift_utc(-90_000)
    assert wall(lesson.wait(1)) == wall(new_lesson().wait(31))


def test_a_phase_entered_again_when_it_was_over_asks_to_finish_up(new_lesson: Callable) -> None:
    over = wall(new_lesson().wait(150))
    assert wall(new_lesson().wait(150).do("next").wait(5).do("back")) == over
    assert (over.digits, over.note, over.whole) == ("0:00", "Finish up", 2)


def test_what_comes_after_the_last_phase_is_small_groups_if_there_are_any(
    new_lesson: Callable, new_outline: Callable
) -> None:
    assert wall(new_lesson().do("jump", "look-back")).next_title == "Small groups"
    assert wall(new_lesson(new_outline({"budget": "5"}, groups=0))).next_title == ""


def test_a_wall_frame_has_these_fields_and_no_other() -> None:
    """A new field is a decision about privacy: whoever adds one reads this list first."""
    assert [field.name for field in fields(WallFrame)] == [
        "face", "shape", "title", "line", "second_line", "digits", "full", "fourths", "whole", "last", "note",
        "next_title", "waiting", "over", "fill", "problem", "picture", "edge", "turn", "least_share",
        # Where children are and go, by neutral names: it is told to them. What the share asks them.
        "groups", "moving", "prompt",
    ]  # fmt: skip


PRESSES = st.sampled_from(
    ["next done", "next moved-on", "back", "undo", "pause", "go-on", "add", "take", "burst", "voice",
     "example", "tally 3", "table-mark", "happened", "hide", "show", "wall", "jump 3", "jump 5", "fill",
     "page-on", "page-back", "strip", "blank", "eyes-back", "settled"]
)  # fmt: skip
SECRET = "qqsecretqq"


@given(st.lists(st.tuples(st.integers(0, 200), PRESSES), max_size=12), st.integers(-60, 400))
def test_nothing_of_the_desk_ever_stands_on_the_wall(
    new_lesson: Callable, invented: Outline, presses: list, late_s: int
) -> None:
    phases = tuple(
        phase.model_copy(
            update={"notes": SECRET, "id": SECRET + phase.id, "attach": f"{SECRET}.pdf", "problem": "1/3 = ?"}
        )
        for phase in invented.phases
    )
    lesson = new_lesson(invented.model_copy(update={"phases": phases, "title": SECRET}), late_s=late_s)
    public = {text for p in invented.phases for text in (p.title, p.class_line, p.second_line)}
    public |= {burst.prompt for p in invented.phases for burst in p.bursts}
    public |= {"", "Partner talk", "Small groups", "Wait", "Finish up", "Eyes back", "1/3 = ?"}
    public |= {*get_args(Fill), *get_args(Edge), "full", "strip", "hidden", "blank", "off"}
    for wait, press in presses:
        lesson.wait(wait).session.do(*press.split())
        if not lesson.state.is_running:
            break
        frame = wall(lesson)
        values = asdict(frame)
        digits = values.pop("digits")
        assert {value for value in values.values() if isinstance(value, str)} <= public
        assert digits is None or not digits.startswith(("-", "+"))
        desk = desk_frame(lesson.reading)
        private = {
            desk.word,
            desk.headline,
            desk.notes,
            desk.outlook,
            desk.move_by,
            desk.notice,
            *desk.near,
        } - {""}
        assert not private & set(map(str, asdict(frame).values()))
        assert SECRET not in repr(frame)


@given(st.lists(st.tuples(st.integers(0, 100_000), PRESSES), max_size=8), st.integers(0, 999))
def test_equal_state_and_displayed_second_give_equal_frames(
    new_lesson: Callable, presses: list, within_ms: int
) -> None:
    lesson = new_lesson()
    for wait_ms, press in presses:
        lesson.wait_ms(wait_ms).session.do(*press.split())
    state, now = lesson.state, lesson.now_ms
    if not state.is_running:
        return
    left = state.plan.phases[0].budget_s * 1000 if state.visit is None else _left_ms(lesson)
    second_ends = now + (left - 1) % 1000  # the last millisecond that shows the same second
    later = now + min(within_ms, second_ends - now)
    assert wall_frame(Reading(state, later)) == wall_frame(Reading(state, now))


def _left_ms(lesson) -> int:
    """Milliseconds left of what the Wall counts down."""
    from pacer.pace.cut import cut

    state, now = lesson.state, lesson.now_ms
    if state.talk is not None:
        begin = state.talk.span.begin_ms
        return (
            state.talk.length_s * 1000 - (now - begin) + sum(s.overlap_ms(begin, now) for s in state.stopped)
        )
    current = cut(state)
    return current.allotted_s * 1000 - state.spent_ms(current.index, now)


def room(new_outline: Callable, **of: object) -> Outline:
    return new_outline({"budget": "3", **of}, {"budget": "3"})


def test_a_picture_fills_the_wall_and_is_named_by_phase_and_page_never_by_its_file(
    new_lesson: Callable, new_outline: Callable
) -> None:
    lesson = new_lesson(room(new_outline, attach="secret-name.pdf", page=3, problem="1/3 = ?"))
    frame = wall(lesson)
    assert (frame.fill, frame.picture, frame.problem, frame.digits) == (
        "picture",
        PictureKey(0, 3),
        "",
        "3:00",
    )
    assert wall(lesson.do("page-on")).picture == PictureKey(0, 4)
    frame = wall(lesson.do("fill"))
    assert (frame.fill, frame.picture, frame.problem) == ("problem", None, "1/3 = ?")
    assert wall(lesson.do("fill")) == replace(frame, fill="countdown", problem="")


def test_a_picture_that_is_no_pdf_has_one_page(new_lesson: Callable, new_outline: Callable) -> None:
    assert wall(new_lesson(room(new_outline, attach="line.png", page=3))).picture == PictureKey(0, 1)


def test_in_the_strip_there_is_only_the_countdown(new_lesson: Callable, new_outline: Callable) -> None:
    lesson = new_lesson(room(new_outline, attach="line.png")).do("wall", "strip")
    assert (wall(lesson).fill, wall(lesson).picture) == ("countdown", None)


def test_hidden_time_leaves_the_picture(new_lesson: Callable, new_outline: Callable) -> None:
    frame = wall(new_lesson(room(new_outline, attach="line.png")).do("hide"))
    assert (frame.face, frame.fill, frame.digits, frame.whole) == ("hidden", "picture", None, 0)


def test_a_prompt_takes_the_place_of_a_typed_problem_but_not_of_a_picture_to_talk_about(
    new_lesson: Callable, new_outline: Callable
) -> None:
    plan = room(new_outline, problem="1/3 = ?", attach="line.png")
    prompted = plan.phases[0].model_copy(update={"bursts": (Burst(length_s=30, prompt="A third is ____ ."),)})
    lesson = new_lesson(plan.model_copy(update={"phases": (prompted, plan.phases[1])})).do("burst")
    assert wall(lesson).fill == "picture"
    assert wall(lesson.do("fill", "problem")).fill == "countdown"
    silent = new_lesson(plan).do("fill", "problem").do("burst")
    assert wall(silent).problem == "1/3 = ?", "nothing to put in its place"


@pytest.mark.parametrize(
    ("seconds", "turn", "fourths"), [(0, 1, 2), (14.9, 1, 2), (15, 2, 1), (29.9, 2, 1), (30, 0, 0)]
)
def test_each_half_of_partner_talk_is_one_partners_turn(
    new_lesson: Callable, seconds: float, turn: int, fourths: int
) -> None:
    frame = wall(new_lesson().do("burst").wait(seconds))
    assert (frame.turn, frame.fourths) == (turn, fourths)


def test_after_partner_talk_the_wall_asks_for_eyes_until_they_are_back(new_lesson: Callable) -> None:
    lesson = new_lesson().do("burst").wait(10).do("eyes-back")
    assert (wall(lesson).note, wall(lesson).title) == ("Eyes back", "Skip count")
    assert wall(lesson.wait(5).do("settled")).note == ""
    lesson.do("burst").wait(10).do("eyes-back")
    assert [wall(lesson).note, wall(lesson.wait(19.9)).note, wall(lesson.wait(0.1)).note] == [
        "Eyes back", "Eyes back", "",
    ]  # fmt: skip


def test_a_blank_wall_says_nothing_at_all(new_lesson: Callable) -> None:
    lesson = new_lesson().do("wall", "off").do("blank")
    assert wall(lesson) == WallFrame("blank")
    assert wall(lesson.do("blank")).face == "off", "what it was before"


def test_the_teachers_look_goes_onto_every_frame_and_a_press_moves_the_strip(new_lesson: Callable) -> None:
    lesson = new_lesson()
    frame = wall(lesson, edge="top", least_share=0.06)
    assert (frame.edge, frame.least_share) == ("top", 0.06)
    assert wall(lesson.do("strip", "left"), edge="top").edge == "left"

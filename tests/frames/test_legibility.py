"""Which words of an outline the back row can't read: asked of a measure, told with what to do."""

from collections.abc import Callable, Mapping

import pytest

from pacer.frames.legibility import NARROW, WIDE, in_one_line, shapes_of, small_words, still_so
from pacer.frames.wall import WallFrame
from pacer.plan.outline import Burst, Outline
from pacer.settings.model import Settings
from pacer.settings.screen_choice import KnownRoom, KnownScreen

LONG = "Look at the number line and tell your partner which fraction is nearer to one half"


def shrinks_past(letters: int, narrow_too: bool = True):
    """A measure in which longer texts are half as high as words must be, on a wide picture too or not."""

    def measure(frame: WallFrame, size: tuple[int, int]) -> Mapping[str, float]:
        texts = {"line": frame.line or frame.prompt, "second": frame.second_line, "problem": frame.problem}
        small = size == NARROW or narrow_too
        return {part: 0.02 if small and len(text) > letters else 0.06 for part, text in texts.items() if text}

    return measure


@pytest.fixture
def outline(new_outline: Callable) -> Outline:
    made = new_outline(
        {"title": "Review", "budget": "3", "class_line": LONG, "second_line": "Mira la recta"},
        {"title": "Modeling", "budget": "5", "class_line": "Watch", "problem": LONG},
    )
    review, modeling = made.phases
    modeling = modeling.model_copy(update={"bursts": (Burst(length_s=30, prompt=LONG),)})
    return made.model_copy(update={"phases": (review, modeling), "share_prompt": LONG})


def test_each_text_that_is_too_small_is_named_with_its_place(outline) -> None:
    found = small_words(outline, Settings(), shrinks_past(40))
    assert [each.place for each in found] == [
        ("phase", 0, "class_line"), ("phase", 1, "problem"), ("phase", 1, "burst", 0, "prompt"),
        ("block", "share_prompt"),
    ]  # fmt: skip
    assert [each.index for each in found] == [0, 1, 1, None]
    assert found[0].words == (
        "The line for the class of “Review” is too small for the back row (2.0 % of the picture, 4.0 % is "
        "the least): make it shorter."
    )
    assert small_words(outline, Settings(), shrinks_past(400)) == ()


def test_where_the_room_was_measured_it_is_said_in_minutes_of_arc(outline) -> None:
    """9 m from a picture 1 m high: 2 % are 20 mm, 7.6 minutes of arc (2 atan(20 / 2 / 9000))."""
    found = small_words(outline, Settings(picture_height_mm=1000), shrinks_past(40))
    assert "(7′, 16′ is the least)" in found[0].words


def test_a_larger_picture_makes_small_words_large_enough(outline) -> None:
    assert small_words(outline, Settings(picture_height_mm=2500), shrinks_past(40)) == ()


def test_what_is_too_small_on_a_narrow_picture_only_is_said_so(outline) -> None:
    found = small_words(outline, Settings(), shrinks_past(40, narrow_too=False))
    assert found[0].words.startswith("On a 4:3 picture: the line for the class of “Review” is too small")


def test_the_class_s_screen_of_the_last_room_is_the_only_shape_once_it_is_known(outline) -> None:
    assert shapes_of(Settings()) == (WIDE, NARROW)
    screen = KnownScreen(name="Projector", pixels=(1280, 800))
    known = Settings(rooms=(KnownRoom(screens=(screen,), wall=screen),))
    assert shapes_of(known) == ((1280, 800),)
    asked = []

    def measure(_frame: WallFrame, size: tuple[int, int]) -> Mapping[str, float]:
        asked.append(size)
        return {"line": 0.06, "second": 0.06, "problem": 0.06}

    assert small_words(outline, known, measure) == ()
    assert set(asked) == {(1280, 800)}


def test_without_a_typed_height_that_of_the_last_room_s_screen_counts(outline) -> None:
    """A picture 2.5 m high at 9 m is large enough for what is too small where nothing is known."""
    screen = KnownScreen(name="Projector", pixels=(1920, 1080), millimetres=(4444, 2500))
    reported = Settings(rooms=(KnownRoom(screens=(screen,), wall=screen),))
    assert small_words(outline, reported, shrinks_past(40)) == ()
    assert small_words(outline, Settings(), shrinks_past(40))
    typed = reported.model_copy(update={"picture_height_mm": 1000})
    assert small_words(outline, typed, shrinks_past(40)), "what was measured comes first"


def test_the_words_of_the_transition_are_measured_as_the_title_of_the_walk(new_outline: Callable) -> None:
    outline = new_outline({"budget": "3"}, groups=2, move_words="Walk to your places and take your boards")
    seen = []

    def measure(frame: WallFrame, _size: tuple[int, int]) -> Mapping[str, float]:
        seen.append(frame)
        return {"title": 0.0}

    (found,) = small_words(outline, Settings(), measure)
    assert (found.field, found.place) == ("move_words", ("block", "move_words"))
    assert found.words == "What the transition says does not fit on the Wall: make it shorter."
    assert {(len(frame.groups), frame.moving) for frame in seen} == {(2, True)}
    assert still_so((found,), outline) == (found,)
    assert still_so((found,), outline.model_copy(update={"move_words": "Walk"})) == ()


def test_words_that_do_not_fit_at_all_are_said_so(outline) -> None:
    found = small_words(
        outline, Settings(), lambda _frame, _size: {"line": 0.0, "second": 0.06, "problem": 0.06}
    )
    assert found[0].words == "The line for the class of “Review” does not fit on the Wall: make it shorter."


def test_where_nothing_can_be_measured_nothing_is_said(outline) -> None:
    assert small_words(outline, Settings(), lambda _frame, _size: None) == ()


def test_a_line_names_the_first_few_and_counts_the_others(outline) -> None:
    found = small_words(outline, Settings(), shrinks_past(2))
    assert in_one_line(()) == ""
    assert in_one_line(found[:1]) == (
        "Too small on the Wall for the back row: the line for the class of “Review”."
    )
    assert in_one_line(found).endswith(f" and {len(found) - 3} more.")


def test_what_was_found_counts_only_while_its_text_is_the_same(outline, new_outline: Callable) -> None:
    found = small_words(outline, Settings(), shrinks_past(40))
    assert still_so(found, outline) == found
    assert still_so(found, new_outline({"title": "Review", "budget": "3", "class_line": LONG})) == found[:1]
    assert still_so(found, None) == ()

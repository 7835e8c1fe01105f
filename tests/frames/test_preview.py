"""What the class will see, face by face: the same frames as the Wall's, of a lesson that goes to plan."""

from collections.abc import Callable

import pytest

from pacer.frames.legibility import SmallWords
from pacer.frames.preview import PreviewFace, faces_of, seen, small_on
from pacer.frames.wall import WallLook, wall_frame
from pacer.plan.outline import Burst, Outline
from pacer.verbs.replay import run_to

LOOK = WallLook()


def words(outline: Outline) -> list[str]:
    return [face.words for face in faces_of(outline)]


def with_bursts(outline: Outline, index: int, *bursts: Burst) -> Outline:
    phases = list(outline.phases)
    phases[index] = phases[index].model_copy(update={"bursts": bursts})
    return outline.model_copy(update={"phases": tuple(phases)})


def face(outline: Outline, name: str) -> PreviewFace:
    return next(face for face in faces_of(outline) if face.words == name)


def test_the_faces_are_those_of_each_phase_then_the_second_half_in_its_order(new_outline: Callable) -> None:
    outline = new_outline(
        {"title": "Review", "budget": "3"},
        {
            "title": "Model", "budget": "7", "problem": "1/3 + 1/3", "attach": "line.png",
        },
        groups=2,
    )  # fmt: skip
    outline = with_bursts(outline, 1, Burst(length_s=30, prompt="The denominator tells me"))
    assert words(outline) == [
        "Review",
        "Model: the picture", "Model: the problem", "Model: the time", "Model: partner talk",
        "Transition", "Visit of Circle", "Swap", "Visit of Triangle", "Share", "Clean-up",
    ]  # fmt: skip


def test_a_lesson_without_a_second_half_ends_with_its_phases(new_outline: Callable) -> None:
    assert words(new_outline({"title": "Review", "budget": "3"}, groups=0, share="0", clean_up="0")) == [
        "Review"
    ]


def test_each_phase_is_seen_as_a_lesson_to_plan_shows_it(invented: Outline) -> None:
    """Against the replay of the verb picture: the same instant, by another way."""
    begin_s = 0
    for index, phase in enumerate(invented.phases):
        shown = [one for one in faces_of(invented) if one.index == index and one.show == "countdown"]
        replay = run_to(invented, None, begin_s)
        assert seen(invented, shown[0], LOOK).frame == replay.moment(begin_s, None).wall, phase.title
        begin_s += phase.budget_s


def test_each_leg_is_seen_as_a_lesson_to_plan_shows_it(invented: Outline) -> None:
    legs = [one for one in faces_of(invented) if one.index is None]
    replay = run_to(invented, None, invented.mini_lesson_s)
    for one in legs:
        reading = replay._reading
        assert seen(invented, one, LOOK).frame == wall_frame(reading, LOOK), one.words
        assert reading.half is not None
        replay.until(-(-reading.half.end_ms // 1000))
        replay.press("next")


def test_what_fills_the_wall_is_seen_with_its_file(new_outline: Callable) -> None:
    outline = new_outline(
        {"title": "Model", "budget": "7", "problem": "1/3 + 1/3", "attach": "pages.pdf", "page": 2}
    )
    picture = seen(outline, face(outline, "Model: the picture"), LOOK)
    assert (picture.frame.fill, picture.files) == ("picture", ("pages.pdf",))
    assert picture.frame.picture is not None
    assert picture.frame.picture.page == 2
    problem = seen(outline, face(outline, "Model: the problem"), LOOK)
    assert (problem.frame.problem, problem.files) == ("1/3 + 1/3", ())


def test_every_planned_partner_talk_is_seen_with_its_own_prompt(new_outline: Callable) -> None:
    bursts = Burst(length_s=30, prompt="First"), Burst(length_s=60, prompt="Second")
    outline = with_bursts(new_outline({"title": "Model", "budget": "7"}), 0, *bursts)
    shown = [seen(outline, one, LOOK).frame for one in faces_of(outline) if one.show == "burst"]
    assert [(frame.line, frame.digits, frame.turn) for frame in shown] == [
        ("First", "0:30", 1),
        ("Second", "1:00", 1),
    ]


def test_a_plan_that_is_far_too_long_is_seen_whole_all_the_same(new_outline: Callable) -> None:
    outline = new_outline(*({"title": f"Part {n}", "budget": "40"} for n in range(5)), mini_lesson="25")
    titles = [seen(outline, one, LOOK).frame.title for one in faces_of(outline) if one.index is not None]
    assert titles == [f"Part {n}" for n in range(5)]


def small(field: str, place: tuple, index: int | None) -> SmallWords:
    return SmallWords(field, place, index, "", "", 0.02, 0.05, None, narrow_only=False)


@pytest.mark.parametrize(
    ("field", "place", "index", "on"),
    [
        ("class_line", ("phase", 0, "class_line"), 0, PreviewFace(0, "countdown", 0, "")),
        ("problem", ("phase", 0, "problem"), 0, PreviewFace(0, "problem", 0, "")),
        ("burst", ("phase", 0, "burst", 1, "prompt"), 0, PreviewFace(0, "burst", 1, "")),
        ("share_prompt", ("block", "share_prompt"), None, PreviewFace(None, "leg", 3, "", "share")),
        ("move_words", ("block", "move_words"), None, PreviewFace(None, "leg", 0, "", "move")),
    ],
)
def test_what_cant_be_read_is_said_on_the_face_that_shows_it_alone(
    field: str, place: tuple, index: int | None, on: PreviewFace
) -> None:
    one = small(field, place, index)
    faces = [
        PreviewFace(0, "countdown", 0, ""), PreviewFace(0, "problem", 0, ""), PreviewFace(0, "burst", 0, ""),
        PreviewFace(0, "burst", 1, ""), PreviewFace(1, "countdown", 0, ""),
        PreviewFace(None, "leg", 0, "", "move"), PreviewFace(None, "leg", 3, "", "share"),
    ]  # fmt: skip
    assert [face for face in faces if small_on(face, (one,))] == [on]

"""What the class will see, face by face: a lesson that goes to plan, and the Wall of each of its moments."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from pacer.frames.legibility import SmallWords
from pacer.frames.wall import WallFrame, WallLook, wall_frame
from pacer.pace.reading import Reading
from pacer.plan.outline import Outline
from pacer.run import events as ev
from pacer.run.events import Event, Fill
from pacer.run.fold import step
from pacer.run.legs import Leg
from pacer.run.machine import decide
from pacer.run.refusal import Refusal
from pacer.run.state import LessonState
from pacer.text import _

MOST_LEGS = 40  # twelve groups with their swaps, and what is around them

Show = Literal["picture", "problem", "countdown", "burst", "leg"]


@dataclass(frozen=True)
class PreviewFace:
    """One thing that the Wall will show.

    ``index`` is the phase's, None in the second half; ``number`` counts the phase's bursts, or the legs of
    the second half, from 0. ``words`` say which it is; ``leg`` is the kind of a leg.
    """

    index: int | None
    show: Show
    number: int
    words: str
    leg: str = ""


@dataclass(frozen=True)
class SeenFace:
    """A face as the class sees it: the Wall's frame, and the names of the files that it shows."""

    frame: WallFrame
    files: tuple[str, ...]


def faces_of(outline: Outline) -> tuple[PreviewFace, ...]:
    """Every face of a lesson in its order: of each phase what fills the Wall first, then its bursts."""
    faces = [face for index in range(len(outline.phases)) for face in _of_phase(outline, index)]
    if outline.has_second_half:
        faces += [_of_leg(outline, state.legs[-1], number) for number, state in enumerate(_legs(outline))]
    return tuple(faces)


def _of_phase(outline: Outline, index: int) -> Iterator[PreviewFace]:
    phase = outline.phases[index]
    several = bool(phase.attach or phase.problem or phase.bursts)
    fills: list[tuple[Fill, str, str]] = [
        ("picture", phase.attach, _("{title}: the picture")),
        ("problem", phase.problem, _("{title}: the problem")),
        ("countdown", "x", _("{title}: the time") if several else "{title}"),
    ]
    for show, content, words in fills:
        if content:
            yield PreviewFace(index, show, 0, words.format(title=phase.title))
    for number, _burst in enumerate(phase.bursts):
        yield PreviewFace(index, "burst", number, _("{title}: partner talk", title=phase.title))


def _of_leg(outline: Outline, leg: Leg, number: int) -> PreviewFace:
    name = outline.visitors[leg.group].name if leg.group >= 0 else ""
    words = {
        "move": _("Transition"),
        "visit": _("Visit of {name}"),
        "swap": _("Swap"),
        "share": _("Share"),
        "clean_up": _("Clean-up"),
    }[leg.kind]
    return PreviewFace(None, "leg", number, words.format(name=name), leg.kind)


def seen(outline: Outline, face: PreviewFace, look: WallLook) -> SeenFace:
    """A face as it stands on the Wall the moment it is there, all before it having gone to plan."""
    if face.index is None:
        states = list(_legs(outline))
        state = states[min(face.number, len(states) - 1)]
    else:
        state = _at_phase(outline, face.index)
    now_ms = _now_ms(state)
    if face.show in ("picture", "problem", "countdown"):
        state = _after(state, ev.FillTurned.model_validate({"fill": face.show}), now_ms)
    elif face.show == "burst" and face.index is not None:
        burst = outline.phases[face.index].bursts[face.number]
        state = _after(state, ev.FillTurned(fill="countdown"), now_ms)
        state = _after(state, ev.BurstStarted(length_s=burst.length_s, prompt=burst.prompt), now_ms)
    frame = wall_frame(Reading(state, now_ms), look)
    return SeenFace(frame, _files(outline, frame))


def _files(outline: Outline, frame: WallFrame) -> tuple[str, ...]:
    """The files of the pictures that a frame asks for."""
    keys = [frame.picture]
    keys += [key for group in frame.groups for key in (group.picture, group.place_picture)]
    named = {
        "phase": [phase.attach for phase in outline.phases],
        "group": [group.picture for group in outline.groups],
        "station": [station.picture for station in outline.stations],
        "move": [outline.move_picture],
    }
    files = [named[key.of][key.number] for key in keys if key is not None]
    return tuple(dict.fromkeys(filter(None, files)))


def small_on(face: PreviewFace, small: Sequence[SmallWords]) -> tuple[SmallWords, ...]:
    """Of the words that the back row can't read, those that stand on a face."""
    fields = {
        "countdown": ("class_line", "second_line"), "problem": ("problem",), "burst": ("burst",),
        "share": ("share_prompt",), "move": ("move_words",),
    }.get(face.leg or face.show, ())  # fmt: skip
    on_face = [one for one in small if one.index == face.index and one.field in fields]
    if face.show == "burst":
        on_face = [one for one in on_face if one.place[3:4] == (face.number,)]
    return tuple(on_face)


# --- the lesson that goes to plan ---


def _start(outline: Outline) -> LessonState:
    body = ev.Started(outline=outline, planned_utc_ms=0)
    return step(LessonState(), Event(seq=0, t_ms=0, mono_ms=0, utc_ms=0, body=body))


def _after(state: LessonState, body: ev.AnyBody, t_ms: int) -> LessonState:
    event = Event(
        seq=len(state.visits) + len(state.legs) + 1, t_ms=t_ms, mono_ms=t_ms, utc_ms=t_ms, body=body
    )
    return step(state, event)


def _now_ms(state: LessonState) -> int:
    """When the running phase or leg began."""
    if state.leg is not None:
        return state.leg.begin_ms
    return state.visits[-1].begin_ms if state.visits else 0


def _next(state: LessonState) -> LessonState | None:
    """The phase or leg after this one, begun when this one's time is over; None where nothing comes."""
    reading = Reading(state, _now_ms(state))
    t_ms = reading.now_ms + max(0, reading.left_ms)
    body = decide(state, "next", "", t_ms)
    return None if isinstance(body, Refusal) else _after(state, body, t_ms)


def _at_phase(outline: Outline, index: int) -> LessonState:
    state = _start(outline)
    for _phase in range(index):
        state = _next(state) or state
    # Where a phase had to leave, the lesson to plan has none of it: what it would show is asked all the same.
    if state.index != index:
        now_ms = _now_ms(state)
        state = _after(state, ev.Moved(to=index, ending="unsaid", how="jump"), now_ms)
    return state


def _legs(outline: Outline) -> Iterator[LessonState]:
    """The states at the beginning of each leg of the second half."""
    state = _next(_at_phase(outline, len(outline.phases) - 1))
    for _leg in range(MOST_LEGS):
        if state is None or state.leg is None:
            return
        yield state
        state = _next(state)

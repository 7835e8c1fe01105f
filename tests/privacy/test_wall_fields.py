"""All that the Wall is given, field by field, and why a class may see it. A new field is judged here."""

from dataclasses import fields, is_dataclass
from typing import Any, get_args, get_origin, get_type_hints

from pacer.frames.wall import PictureKey, WallFrame
from pacer.frames.wall_groups import GroupPlace

# The field, its type, and why a class may see it.
REVIEWED = {
    WallFrame: {
        "face": ("full | strip | hidden | blank | off", "how much of the screen the Wall takes"),
        "shape": ("full | strip", "where a hidden face lies"),
        "title": ("str", "the running phase, or the lesson before its start: said aloud to children"),
        "line": ("str", "the line that the teacher wrote for the class, or the prompt for partners"),
        "second_line": ("str", "the same in another language"),
        "digits": ("str | None", "time left"),
        "full": ("int", "minute squares left"),
        "fourths": ("int", "quarters of the leaving one"),
        "whole": ("int", "minute squares there are"),
        "last": ("int", "quarters of the last square: a budget is drawn as what it is"),
        "note": ("str", "one of three words of the program's own: wait, eyes back, finish up"),
        "next_title": ("str", "the phase after the running one, and no later one"),
        "waiting": ("bool", "paused"),
        "over": ("bool", "the time is up; not by how much"),
        "fill": ("countdown | problem | picture", "what fills the screen"),
        "problem": ("str", "the problem that was typed for the class"),
        "picture": ("PictureKey | None", "which picture; see below"),
        "edge": ("bottom | top | left | right", "where the strip lies"),
        "turn": ("int", "whose turn it is to talk, 1 or 2"),
        "least_share": ("float", "how large letters are"),
        "groups": ("GroupPlace | Ellipsis", "where children are and go: it is told to them; see below"),
        "moving": ("bool", "children walk"),
        "prompt": ("str", "what the share asks the class, as the teacher wrote it"),
    },
    GroupPlace: {
        "name": (
            "str",
            "a neutral name of a group, or the teacher's own: never a child or a level",
        ),
        "shape": ("str", "the outline that stands for it"),
        "place": ("str", "where the group works; every group has one, also one that has no visit today"),
        "goes_to": ("str", "where it goes next"),
        "picture": ("PictureKey | None", "the picture that the teacher chose for the group"),
        "place_picture": ("PictureKey | None", "the picture of the place that is said"),
    },
    PictureKey: {
        "number": ("int", "the number of the phase, group or station: never the name of a file"),
        "page": ("int", "the page of the PDF"),
        "of": ("phase | group | station | move", "whose picture it is"),
    },
}


def words_of(kind: Any) -> str:
    """A type as it is reviewed: choices by their values, others by their names."""
    parts = [*get_args(kind)] if get_origin(kind) is not None else [kind]
    names = ["None" if part is type(None) else getattr(part, "__name__", str(part)) for part in parts]
    return " | ".join(names)


def fields_of(kind: type) -> dict[str, str]:
    hints = get_type_hints(kind)
    names = [field.name for field in fields(kind)] if is_dataclass(kind) else list(kind._fields)
    return {name: words_of(hints[name]) for name in names}


def inner_types(kind: Any) -> set[type]:
    """The types of ours that a type holds, at any depth."""
    if get_args(kind):
        return {found for part in get_args(kind) for found in inner_types(part)}
    if not isinstance(kind, type) or not kind.__module__.startswith("pacer"):
        return set()
    return {kind}.union(*(inner_types(hint) for hint in get_type_hints(kind).values()))


def test_the_wall_has_these_fields_and_no_other():
    for kind, reviewed in REVIEWED.items():
        assert fields_of(kind) == {name: types for name, (types, _why) in reviewed.items()}


def test_nothing_that_was_not_reviewed_lies_deeper_in_it():
    assert inner_types(WallFrame) == set(REVIEWED)


def test_a_frame_can_take_no_more_than_its_fields():
    """Frozen and without room for anything else to be hung on it later."""
    frame = WallFrame("full")
    try:
        frame.notes = "private"
    except AttributeError:
        return
    raise AssertionError("a frame took a note")

"""What is ready before a lesson, what is not, and what only the teacher can tell."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from pacer.frames.ready import RoomFacts, ready_list

ALL_WELL = RoomFacts(
    screens=2, wall_known=True, day="Regular, 75 min, ends 10:15", plugged=True, keys_tried=True
)


def by_name(outline, facts: RoomFacts, **more):
    return {item.name: (item.state, item.words) for item in ready_list(outline, facts, **more)}


def test_when_all_is_well_only_the_day_is_left_to_the_teacher(new_outline: Callable) -> None:
    outline = new_outline({"budget": "3", "kind": "review", "problem": "1/3 = ?"})
    found = by_name(outline, ALL_WELL)
    assert found["Day and bell"] == ("unknown", "Regular, 75 min, ends 10:15")
    assert {name for name, (state, _words) in found.items() if state == "ready"} == {
        "Projector", "Problems and pictures", "Battery", "Day record", "Clicker",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("presses", "words"),
    [
        ((), ""),
        ((14, -14), ""),
        ((-70,), ". By your last press the bell rings 1:10 early."),
        ((900, 10, 20, 30, 40, 50, 60), ". By your last 5 presses the bell rings 0:40 late."),
        ((4000,), ""),
    ],
)
def test_a_bell_that_is_usually_heard_at_another_time_is_told(
    new_outline: Callable, presses: tuple[int, ...], words: str
) -> None:
    """Our own rule: the median of the last five presses within five minutes; under 15 s is on time."""
    found = by_name(new_outline({"budget": "3"}), replace(ALL_WELL, bell_presses=presses))
    assert found["Day and bell"] == ("unknown", f"Regular, 75 min, ends 10:15{words}")


def test_a_day_that_is_a_sentence_already_gets_no_second_full_stop_before_the_bell(
    new_outline: Callable,
) -> None:
    facts = replace(ALL_WELL, day="Bell at 10:15. It is 13:35 now.", bell_presses=(-70,))
    _state, words = by_name(new_outline({"budget": "3"}), facts)["Day and bell"]
    assert words == "Bell at 10:15. It is 13:35 now. By your last press the bell rings 1:10 early."


@pytest.mark.parametrize(
    ("change", "name", "words"),
    [
        ({"screens": 1}, "Projector", "Only one screen is seen. Connect the projector, extended."),
        ({"wall_known": False}, "Projector", "Say once which screen the class sees: page Room."),
        ({"plugged": False, "battery_s": 2400}, "Battery", "About 40 min left. Plug in."),
        ({"plugged": False}, "Battery", "Plug the laptop in to be sure."),
        ({"can_write": False}, "Day record", "It can't be written: the lesson would run without a record."),
    ],
)
def test_what_is_wrong_is_said_with_what_to_do(
    new_outline: Callable, change: dict, name: str, words: str
) -> None:
    assert by_name(new_outline({"budget": "3"}), replace(ALL_WELL, **change))[name] == ("look", words)


def test_a_battery_that_lasts_is_ready_and_one_nobody_can_read_is_unknown(new_outline: Callable) -> None:
    outline = new_outline({"budget": "3"})
    assert by_name(outline, replace(ALL_WELL, plugged=False, battery_s=3600))["Battery"][0] == "ready"
    assert by_name(outline, replace(ALL_WELL, plugged=None))["Battery"][0] == "unknown"


def test_a_phase_with_nothing_to_look_at_is_named(new_outline: Callable) -> None:
    outline = new_outline(
        {"budget": "3", "kind": "review"},
        {"budget": "3", "kind": "modeling", "attach": "line.png"},
        {"budget": "3", "kind": "look-back"},
    )
    assert by_name(outline, ALL_WELL)["Problems and pictures"] == ("look", "Nothing to look at for P1.")


def test_attached_files_are_a_line_only_where_there_are_any(new_outline: Callable) -> None:
    with_file = new_outline({"budget": "3", "attach": "line.png"})
    assert "Attached files" not in by_name(new_outline({"budget": "3"}), ALL_WELL)
    assert by_name(with_file, ALL_WELL)["Attached files"] == ("ready", "1 file opens.")
    bad = replace(ALL_WELL, attachment_problems=("line.png is broken.",))
    assert by_name(with_file, bad)["Attached files"] == ("look", "line.png is broken.")
    coming = replace(ALL_WELL, attachment_problems=None)
    assert by_name(with_file, coming)["Attached files"][0] == "unknown"


def test_reminders_of_her_own_stand_last_and_are_ticked_by_hand(new_outline: Callable) -> None:
    outline = new_outline({"budget": "3"})
    found = ready_list(outline, ALL_WELL, ["Number lines copied", "Scissors"], ["Scissors"])
    assert [(item.name, item.state) for item in found[-2:]] == [
        ("Number lines copied", "unknown"),
        ("Scissors", "ready"),
    ]


def test_where_the_desktop_alone_places_windows_what_that_means_is_said(new_outline: Callable) -> None:
    found = by_name(new_outline({"budget": "3"}), replace(ALL_WELL, windows_placed=False))
    state, words = found["Windows"]
    assert state == "look"
    assert "keep this one off the class's screen" in words
    assert "Windows" not in by_name(new_outline({"budget": "3"}), ALL_WELL)

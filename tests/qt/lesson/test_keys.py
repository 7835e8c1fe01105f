"""Every key of a lesson, what it does, and what the guards against slips keep it from doing."""

from collections import Counter
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel

from pacer.commands import COMMANDS, HOLD_MS, KEYS, SAME_KEY_GUARD_MS
from pacer.qt.lesson.keys import KEY_OF_CODE
from pacer.qt.screens.private_window import PAGES
from pacer.run.session import Done
from tests.qt.window_factories import change_screens, code_of, settle

# What the teacher was promised of each key, apart from the program's own table: keys to press first,
# then what the press writes down. Common practice where a clicker sends the key; else our own choice.
NEXT = {"kind": "moved", "to": 1, "ending": "unsaid", "how": "next"}
PROMISED: dict[str, tuple[tuple[str, ...], dict[str, object]]] = {
    "PageDown": ((), NEXT),
    "Right": ((), NEXT),
    "D": ((), NEXT | {"ending": "done"}),
    "N": ((), NEXT | {"ending": "moved on"}),
    "PageUp": (("Up",), {"kind": "undone", "target": 1}),
    "Left": (("Up",), {"kind": "undone", "target": 1}),
    "Space": ((), {"kind": "paused"}),
    "Up": ((), {"kind": "time_added", "seconds": 60}),
    "Down": ((), {"kind": "time_added", "seconds": -30}),
    "K": ((), {"kind": "cut_kept", "leaving": ()}),
    "U": ((), {"kind": "cut_declined"}),
    "P": ((), {"kind": "burst_started", "length_s": 30}),
    "E": (("P",), {"kind": "eyes_back"}),
    "R": ((), {"kind": "half_ready"}),
    "Y": ((), {}),
    "V": ((), {"kind": "voice"}),
    "M": ((), {"kind": "example"}),
    **{str(number): ((), {"kind": "tally", "number": number}) for number in range(1, 10)},
    "T": ((), {"kind": "table_mark"}),
    "F": ((), {"kind": "happened"}),
    "H": ((), {"kind": "time_hidden", "hidden": True}),
    "B": ((), {"kind": "time_hidden", "hidden": True}),
    "Period": ((), {"kind": "time_hidden", "hidden": True}),
    "W": ((), {"kind": "wall_turned", "face": "strip"}),
    "C": ((), {}),
    "S": ((), {"kind": "strip_moved", "edge": "top"}),
    "X": ((), {"kind": "blanked"}),
    **{f"Ctrl+{name}": ((), {}) for name in ("PageDown", "Right", "PageUp", "Left")},
    "G": ((), {"kind": "leg_began", "how": "groups", "leg": "move", "group": 0}),
    "O": ((), {"kind": "group_left_out", "group": 0, "why": "missed"}),
    "L": (("T",), {"kind": "list_ticked", "number": 0}),
    "Ctrl+Down": ((), {"kind": "bell_moved", "seconds": -300}),
    "Ctrl+Up": ((), {"kind": "bell_moved", "seconds": 300}),
    "Home": ((), {"kind": "bell_rang"}),
    # Counted from 1; the plan has six phases, and the one that runs is no jump.
    "Ctrl+1": (("N",), {"kind": "moved", "to": 0, "how": "jump"}),
    **{f"Ctrl+{n}": ((), {"kind": "moved", "to": n - 1, "how": "jump"}) for n in range(2, 7)},
    **{f"Ctrl+{n}": ((), {}) for n in range(7, 10)},
    "Ctrl+Z": (("Up",), {"kind": "undone", "target": 1}),
    "Ctrl+End": ((), {"kind": "ended", "ending": "unsaid"}),
}
# What the teacher reads where the invented plan has nothing for a key to work on.
REFUSALS = {
    "Y": "Nothing was asked.",
    "C": "This phase has no problem and no picture for the Wall.",
    **{
        f"Ctrl+{name}": "This phase has no pages to turn." for name in ("PageDown", "Right", "PageUp", "Left")
    },
    **{f"Ctrl+{n}": f'There is no phase "{n}".' for n in range(7, 10)},
}
CTRL = Qt.KeyboardModifier.ControlModifier
NAMES = [name for key in KEYS for name in key.names]
# One of each way to be followed: one guard stands before all of them.
SOME = ["PageDown", "Space", "PageUp", "3", "H", "X", "Ctrl+Z", "Ctrl+2", "Home"]
STARTING = ["Space", "PageDown", "Right"]
BEFORE = {"start"}  # Space and Page Down, before the lesson: tested below
SCRIPT_ONLY: set[str] = set()  # commands that only a replay's script can give


def test_the_promised_keys_and_the_program_s_table_are_the_same():
    assert sorted(NAMES) == sorted(PROMISED)


@pytest.mark.every_case
@pytest.mark.parametrize("name", NAMES)
def test_each_key_does_what_was_promised(stage, name):
    first, promised = PROMISED[name]
    for earlier in first:
        stage.tap(earlier)
    before = len(stage.session.events)
    stage.tap(name)
    if not promised:
        assert stage.refusals == [REFUSALS[name]]
        assert len(stage.session.events) == before
        return
    assert len(stage.session.events) == before + 1
    assert stage.last.model_dump(include=set(promised)) == promised


@pytest.mark.parametrize(
    ("name", "field", "values"),
    [
        ("Space", "kind", ["paused", "went_on", "paused"]),
        ("H", "hidden", [True, False, True]),
        ("W", "face", ["strip", "off", "full", "strip"]),
    ],
)
def test_a_key_with_turns_takes_them_in_order(stage, name, field, values):
    found = []
    for _turn in values:
        stage.tap(name)
        found.append(getattr(stage.last, field))
    assert found == values


@pytest.mark.parametrize("name", SOME)
def test_a_key_held_down_repeats_nothing(stage, name):
    """The system sends it again and again; only the first press counts (a hold counts at its end)."""
    stage.keyboard.at_ms += 1000
    stage.keyboard.send(QEvent.Type.KeyPress, name)
    first = stage.kinds
    stage.keyboard.repeat(name)
    assert stage.kinds == first


@pytest.mark.parametrize("name", SOME)
def test_the_same_key_within_400_ms_counts_once(stage, name):
    assert SAME_KEY_GUARD_MS == 400
    stage.tap(name, down_ms=0)
    first = stage.kinds
    for apart_ms in (1, SAME_KEY_GUARD_MS - 2):
        stage.keyboard.tap(name, after_ms=apart_ms, down_ms=0)
        assert stage.kinds == first


def test_the_same_key_after_400_ms_counts_again(stage):
    stage.tap("V", down_ms=0).tap("V", after_ms=SAME_KEY_GUARD_MS, down_ms=0)
    assert stage.kinds.count("voice") == 2


def test_two_different_keys_count_however_close_they_are(stage):
    stage.tap("V", down_ms=0).tap("M", after_ms=1, down_ms=0)
    assert stage.kinds[-2:] == ["voice", "example"]


@pytest.mark.parametrize(("wait_s", "undone"), [(1, True), (9, True), (10, True), (11, False), (60, False)])
def test_page_up_takes_the_last_press_back_within_ten_seconds_and_not_later(stage, wait_s, undone):
    stage.tap("N").wait(wait_s - 1).tap("PageUp")  # the tap itself comes a second later
    assert ("undone" in stage.kinds) is undone
    assert stage.session.state.index == (0 if undone else 1)
    assert bool(stage.refusals) is not undone


def test_a_second_page_up_takes_back_the_press_before(stage):
    stage.tap("Up").tap("V").tap("PageUp").tap("PageUp")
    assert stage.session.state.added == ()
    assert stage.session.state.marks == ()


def test_page_up_with_nothing_pressed_says_so(stage):
    stage.tap("PageUp")
    assert stage.refusals == ["There is nothing to undo."]


@pytest.mark.parametrize("name", ["PageUp", "Left"])
def test_page_up_held_goes_back_one_phase_however_long_ago_it_began(stage, name):
    stage.tap("N").wait(60).tap(name, down_ms=HOLD_MS)
    assert stage.last.model_dump(include={"kind", "to", "how"}) == {"kind": "moved", "to": 0, "how": "back"}


def test_page_up_held_a_little_too_short_is_a_tap(stage):
    stage.tap("N").tap("PageUp", down_ms=HOLD_MS - 1)
    assert stage.last.kind == "undone"


def test_page_up_held_in_the_first_phase_is_refused(stage):
    stage.tap("PageUp", down_ms=HOLD_MS)
    assert stage.refusals == ["This is the first phase."]


def test_control_z_takes_a_press_back_also_after_ten_seconds(stage):
    stage.tap("N").wait(30).tap("Ctrl+Z")
    assert stage.last.kind == "undone"
    assert stage.session.state.index == 0


def test_escape_never_ends_anything(stage):
    for _press in range(3):
        stage.tap("Escape")
    assert stage.kinds == ["started"]
    assert stage.window.isVisible()
    assert stage.window.shows_desk
    assert stage.wall.full.isVisible()
    stage.tap("Home").tap("Escape")
    assert stage.room.lesson is stage.lesson
    assert stage.window.shows_desk


@pytest.mark.parametrize(
    "modifiers",
    [
        CTRL,
        Qt.KeyboardModifier.AltModifier,
        Qt.KeyboardModifier.MetaModifier,
        CTRL | Qt.KeyboardModifier.ShiftModifier,
    ],
)
@pytest.mark.parametrize("name", ["Right", "N", "2", "Z", "End"])
def test_a_key_with_more_held_down_is_none_of_the_lesson_s_unless_the_table_says_so(stage, name, modifiers):
    stage.tap(name, modifiers=modifiers)
    in_table = modifiers == CTRL and f"Ctrl+{name}" in NAMES
    assert (stage.kinds == ["started"]) is not (
        in_table and name not in ("Z", "Right")  # there is nothing to undo, and no page to turn
    )


def test_digits_of_the_number_pad_tally_too(stage):
    stage.tap("3", modifiers=Qt.KeyboardModifier.KeypadModifier)
    assert stage.last.number == 3


def test_a_key_that_means_nothing_does_nothing(stage):
    for name in ("A", "0", "F5", "Tab", "Delete", "End"):
        stage.tap(name)
    assert stage.kinds == ["started"]


def test_before_the_start_no_key_but_space_and_page_down_does_anything(new_stage, invented):
    made = new_stage(invented)
    assert made.enter()
    for name in NAMES:
        if name not in STARTING:
            made.tap(name)
    assert made.kinds == []


@pytest.mark.parametrize("name", STARTING)
def test_space_and_page_down_start_the_lesson(new_stage, invented, name):
    made = new_stage(invented)
    assert made.enter()
    made.tap(name)
    assert made.kinds == ["started"]


def test_the_keys_work_on_the_wall_and_on_the_curtain_as_well(stage):
    stage.keyboard.target = stage.wall.full
    stage.tap("V")
    change_screens()
    stage.keyboard.target = stage.window.curtain
    stage.tap("M")
    assert stage.kinds == ["started", "voice", "example"]


def test_after_the_lesson_is_left_its_keys_do_nothing(stage):
    stage.tap("Home").tap("Return")
    events = len(stage.session.events)
    for name in ("Right", "PageUp", "Space"):
        stage.keyboard.tap(name)
    assert len(stage.session.events) == events


@pytest.mark.slow
def test_no_lesson_command_is_asked_about_with_a_box(stage):
    """Everything can be undone, so nothing is asked."""
    for name in NAMES:
        stage.tap(name)
        assert QApplication.activeModalWidget() is None


# The table of commands and keys.


def test_every_command_has_a_key_or_is_named_as_for_scripts_only():
    by_key = {command for key in KEYS for command, _argument in key.tries}
    by_key |= {key.held for key in KEYS if key.held}
    assert by_key | BEFORE | SCRIPT_ONLY == set(COMMANDS)
    assert not by_key & SCRIPT_ONLY


def test_the_lesson_ends_by_one_key_that_nobody_hits_by_accident(stage):
    assert [name for key in KEYS for name in key.names if key.tries[0][0] == "end"] == ["Ctrl+End"]
    stage.tap("End")
    assert stage.session.state.is_running
    stage.tap("Ctrl+End").tap("PageUp")
    assert stage.session.state.is_running


def test_the_two_keys_of_one_line_of_the_table_guard_each_other(stage):
    """A clicker may send one, the keyboard the other; two within 400 ms are one slip."""
    stage.tap("PageDown", down_ms=0).tap("Right", after_ms=200, down_ms=0)
    assert stage.kinds.count("moved") == 1


def test_no_key_stands_twice_in_the_table():
    assert [name for name, times in Counter(NAMES).items() if times > 1] == []
    assert len(KEY_OF_CODE) == len(NAMES)


def test_every_key_of_the_table_is_shown_with_words_unless_another_line_says_the_same():
    shown = [key for key in KEYS if key.shown]
    assert all(key.label and key.title for key in shown)
    rare = {"undo, whenever", "end the lesson", "jump to a phase", "strip to another edge",
            "next page of the PDF", "previous page of the PDF", "yes, still so"}  # fmt: skip
    # Of no use before the groups, these are named from then on.
    later = {
        "this group is out today",
        "table list: next line done",
        "bell 5 min earlier",
        "bell 5 min later",
    }
    assert {key.title for key in KEYS} - {key.title for key in shown} == rare | later
    readme = (Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8")
    names = ("Ctrl+1–9", "Ctrl+Z", "Ctrl+End", "| O / L |", "| Ctrl+Down, Up |")
    assert [name for name in names if name not in readme] == []
    assert len({key.label for key in shown}) == len(shown)


def test_the_machine_knows_every_command_that_a_key_can_send(stage):
    for key in KEYS:
        for command, argument in key.tries:
            answer = stage.session.do(command, argument)
            assert isinstance(answer, Done) or "There is no command" not in answer.reason
            if not stage.session.state.is_running:
                stage.session.do("undo")


def test_no_two_shortcuts_of_a_window_are_alike(running):
    """Qt lets neither of two equal shortcuts work, and says nothing on the screen."""
    running.program.pages.show_look_back()
    page_keys = [short.key().toString() for short in running.window.findChildren(QShortcut)]
    assert sorted(page_keys) == [
        *(f"Ctrl+{number}" for number in range(1, len(PAGES) + 1)),
        "Ctrl+D",
        "Ctrl+P",
        "F4",
    ]
    words = [button.text() for button in running.window.findChildren(QAbstractButton)]
    words += [label.text() for label in running.window.findChildren(QLabel) if label.buddy()]
    letters = [QKeySequence.mnemonic(text).toString() for text in words]
    assert [key for key, times in Counter(filter(None, letters)).items() if times > 1] == []
    assert len(list(filter(None, letters))) >= 7


def _press_page_key(running, digit):
    """On the window itself: only there do Qt's shortcuts listen."""
    running.window.activateWindow()
    settle()
    assert running.window.isActiveWindow()
    QTest.keyClick(running.window.windowHandle(), code_of(digit), Qt.KeyboardModifier.ControlModifier)
    settle()


def test_control_and_a_number_turn_the_pages(running):
    pages, shown = running.program.pages, running.window.pages.currentWidget
    for number, page in list(enumerate(PAGES, start=1))[1:]:
        _press_page_key(running, str(number))
        assert shown() is getattr(pages, page.replace(" ", "_")) is not None
    _press_page_key(running, "1")
    assert shown() is running.today


@pytest.mark.parametrize("digit", [str(number) for number in range(1, len(PAGES) + 1)])
def test_the_page_keys_rest_during_a_lesson_and_behind_the_curtain(running, invented, digit):
    """Else one slip would leave the Desk, with no way back to a lesson that goes on."""
    running.program.start_now(invented)
    _press_page_key(running, digit)
    assert running.window.shows_desk
    change_screens()
    _press_page_key(running, digit)
    assert running.window.curtain.isVisible()
    assert not running.today.isVisible()


def test_a_held_key_whose_repeats_come_unmarked_counts_once(stage):
    """A busy system leaves repeats unmarked: they come every 30 ms, sooner than any finger."""
    before = stage.session.state.count("voice")
    stage.tap("V")
    for _repeat in range(60):
        stage.tap("V", after_ms=20, down_ms=10)
    assert stage.session.state.count("voice") == before + 1
    stage.tap("V")
    assert stage.session.state.count("voice") == before + 2, "let go and pressed again"

"""The order in which a press is shown: written, on the Wall, and only then all that is private."""

import pytest
from PySide6.QtWidgets import QApplication

from pacer.qt.kit.ticker import Ticker
from pacer.qt.lesson import lesson as module
from pacer.qt.lesson.lesson import Lesson
from pacer.run.clock import ManualClock
from pacer.run.events import Forecasted
from pacer.run.session import MemoryJournal, Session
from pacer.settings.model import Settings
from tests.qt.window_factories import settle, timer_of


class Told(MemoryJournal):
    """A lesson without windows that keeps what happened in its order; its past always says the same."""

    def __init__(self, outline) -> None:
        super().__init__()
        self.happened: list[str] = []
        self.clock = ManualClock()
        self.lesson = Lesson(Session(self.clock, self), outline, self.clock, Settings(), foresee=self.past)
        self.lesson.wall_changed.connect(lambda _frame: self.happened.append("wall"))
        self.lesson.desk_changed.connect(lambda _frame: self.happened.append("desk"))
        self.lesson.ended.connect(lambda: self.happened.append("ended"))

    def append(self, events) -> None:
        super().append(events)
        self.happened += [event.body.kind for event in events]

    def past(self, state, now_ms: int) -> Forecasted:
        self.happened.append("past")
        return Forecasted(index=state.index, low=0.5, high=0.7, end_ms=now_ms, lessons=8)

    def since(self) -> list[str]:
        """What happened since this was last asked."""
        found, self.happened = self.happened, []
        return found


@pytest.fixture
def told(qapp, invented):
    made = Told(invented)
    made.lesson.open()
    made.lesson.start()
    QApplication.processEvents()
    made.since()
    made.clock.advance(1000)
    yield made
    made.lesson.close()
    made.lesson.deleteLater()


def test_a_press_is_written_then_on_the_wall_and_the_past_is_asked_after_that(told) -> None:
    told.lesson.press("next")
    assert told.since() == ["moved", "wall"]
    QApplication.processEvents()
    assert told.since() == ["past", "forecasted", "desk"], "asked once, for the border and the Desk"


def test_frames_that_are_asked_for_are_all_there_at_once(told) -> None:
    told.lesson.refresh()
    assert told.since() == ["wall", "desk"]


def test_a_second_is_on_both_windows_in_one_turn_the_wall_first(told) -> None:
    timer_of(told.lesson.findChild(Ticker)).timeout.emit()
    assert told.since() == ["wall", "desk"]
    assert not told.lesson._desk_due.isActive(), "nothing wakes the machine once more"


def test_an_earpiece_that_fails_keeps_neither_the_desk_nor_a_press_waiting(told, qtbot) -> None:
    """It is told of each instant on the way to the Desk, and a press settles what that still owes first."""

    def fail(_reading) -> None:
        raise ValueError("invented")

    told.lesson.looked.connect(fail)
    with qtbot.capture_exceptions() as caught:
        told.lesson.refresh()
        assert told.since() == ["wall", "desk"]
        told.lesson.press("next")
        told.lesson.press("next")
        assert told.since().count("moved") == 2
    told.lesson.looked.disconnect(fail)
    assert {kind for kind, _fault, _trace in caught} == {ValueError}


def test_what_a_press_still_owes_comes_before_the_next_press(told) -> None:
    told.lesson.press("next")
    told.lesson.press("next")
    assert told.since() == ["moved", "wall", "past", "forecasted", "desk", "moved", "wall"]
    QApplication.processEvents()
    assert told.since() == ["past", "forecasted", "desk"]


def test_a_lesson_that_is_left_right_after_a_press_keeps_its_forecast(told) -> None:
    told.lesson.press("next")
    assert told.lesson.close()
    assert told.since() == ["moved", "wall", "past", "forecasted", "desk"]
    QApplication.processEvents()
    assert told.since() == []


def test_the_end_is_told_once_when_both_frames_are_out(told) -> None:
    told.lesson.press("end")
    QApplication.processEvents()
    told.lesson.refresh()
    assert told.since() == ["ended", "wall", "desk", "ended"]


def test_wall_desk_and_cues_are_given_the_very_same_reading(told, monkeypatch) -> None:
    given = []
    for name in ("wall_frame", "note", "desk_frame"):
        original = getattr(module, name)

        def keeping(*arguments, original=original):
            given.extend(argument for argument in arguments if isinstance(argument, module.Reading))
            return original(*arguments)

        monkeypatch.setattr(module, name, keeping)
    told.lesson.press("next")
    QApplication.processEvents()
    assert len(given) == 3
    assert len(set(map(id, given))) == 1


def test_a_press_paints_the_wall_s_window_itself_and_the_past_is_asked_later(new_stage, invented) -> None:
    asked = []
    stage = new_stage(invented, foresee=lambda *_when: asked.append("past")).start()
    canvas, paints = stage.wall.full, stage.wall.full.paints
    asked.clear()
    stage.clock.advance(1000)
    stage.keyboard.tap("N")
    assert (canvas.frame.title, canvas.paints, asked) == ("Review", paints + 1, [])
    settle()
    assert (canvas.paints, asked) == (paints + 1, ["past"])


@pytest.mark.parametrize("how", ["the next second", "a press"])
def test_a_second_that_is_shown_late_is_written_down_before_what_follows(told, real_stalls, how) -> None:
    ticker = told.lesson.findChild(Ticker)
    ticker.start()
    ticker._due_ms -= 1000 + module.STALL_MS + 200  # when it was due; a busy machine adds to that
    if how == "a press":
        told.lesson.press("voice")
    else:
        timer_of(ticker).timeout.emit()
    happened = told.since()
    assert happened[0] == "stalled"
    assert "voice" in happened[1:] or how != "a press"

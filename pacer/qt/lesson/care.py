"""What a lesson needs of the laptop: to stay awake, battery, a soft tone, cues in one ear. Told privately."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QObject, QTimer
from shiboken6 import isValid

from pacer.earpiece.outputs import Output
from pacer.qt.kit.ticker import Ticker
from pacer.qt.lesson.awake import Awake
from pacer.qt.lesson.battery import battery_line
from pacer.qt.lesson.lesson import Lesson
from pacer.qt.lesson.tone_player import TonePlayer
from pacer.settings.model import Settings
from pacer.text import _

if TYPE_CHECKING:
    from pacer.qt.earpiece.player import EarPlayer
    from pacer.qt.lesson.ear import LessonEar

LOOK_MS = 60_000
REST_MS = 10 * 60_000  # a lesson that stood still for longer lets the laptop sleep
ANSWER_LOOK_MS = 250  # while the system has still to say whether it keeps awake


def _ear_player(chosen: Output) -> "EarPlayer":
    """Loaded only where an earpiece is chosen."""
    from pacer.qt.earpiece.player import EarPlayer

    return EarPlayer(chosen)


class LessonCare(QObject):
    """Looks after one lesson at a time: ``attach`` before or during it, ``detach`` when it is left.

    The laptop is kept awake from the lesson's start to its end; not while the lesson has been paused or
    its Wall blank for more than ten minutes, nor once the bell was due and nothing was pressed for as long,
    and again when it goes on.
    """

    def __init__(
        self,
        awake: Awake | None = None,
        battery: Callable[[], str] = battery_line,
        player: Callable[[], TonePlayer] = TonePlayer,
        ear_player: "Callable[[Output], EarPlayer]" = _ear_player,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.awake = awake or Awake()
        self._battery = battery
        self._new_player = player
        self._player: TonePlayer | None = None
        self._new_ear_player = ear_player
        self._ear: LessonEar | None = None
        self._lesson: Lesson | None = None
        self._settings = Settings()
        self._battery_line = ""
        self._looked = QElapsedTimer()
        self._looked.start()
        self.minute = Ticker(self._until_look_ms, self._on_minute, self)
        self._telling = QTimer(self)
        self._telling.setSingleShot(True)
        self._telling.timeout.connect(self._tell)

    def attach(self, lesson: Lesson, settings: Settings) -> None:
        """Look after a lesson, from now or from its start."""
        self.detach()
        self._lesson, self._settings = lesson, settings
        lesson.started.connect(self._on_turn)
        lesson.ended.connect(self._on_turn)
        lesson.followed.connect(self._on_turn)
        lesson.time_up.connect(self._on_time_up)
        if settings.tone:
            self._player = self._new_player()
            self._player.trouble_changed.connect(self._tell_soon)
            self._player.prepare(settings.tone_level)
        if settings.earpiece.id:
            self._begin_ear(lesson, settings)
        # The first look loads what it needs: better now than when the lesson starts.
        self._look_at_battery()
        self._on_turn()

    def detach(self) -> None:
        """Look after nothing: the laptop may sleep, no timer runs."""
        self.minute.stop()
        self._telling.stop()
        self.awake.release()
        self._battery_line = ""
        lesson, self._lesson = self._lesson, None
        if lesson is not None and isValid(lesson):
            lesson.started.disconnect(self._on_turn)
            lesson.ended.disconnect(self._on_turn)
            lesson.followed.disconnect(self._on_turn)
            lesson.time_up.disconnect(self._on_time_up)
        if self._player is not None:
            self._player.deleteLater()
            self._player = None
        if self._ear is not None:
            self._ear.shut()
            self._ear.deleteLater()
            self._ear = None

    @property
    def lines(self) -> tuple[str, ...]:
        """What the teacher should know of the laptop now, most urgent first."""
        trouble = "" if self._player is None else self._player.trouble
        ear = "" if self._ear is None else self._ear.player.trouble
        return tuple(filter(None, (ear, self._battery_line, self.awake.refused, trouble)))

    def _begin_ear(self, lesson: Lesson, settings: Settings) -> None:
        """Tell the stages in the teacher's ear, in a rehearsal as well: it is there to practise."""
        from pacer.qt.lesson.ear import LessonEar

        self._ear = LessonEar(lesson, settings, self._new_ear_player(settings.earpiece), self)
        self._ear.player.trouble_changed.connect(self._tell_soon)

    def _on_turn(self) -> None:
        """A start, an end and every press may change what the laptop is needed for."""
        if self._lesson is None:
            return
        self._keep_awake(self._lesson)
        if self._lesson.is_running:
            self.minute.start()
        else:
            self.minute.stop()
        self._tell_soon()

    def _on_minute(self) -> None:
        if self._lesson is None:
            return
        self._keep_awake(self._lesson)
        self._look_at_battery()
        self._tell_soon()

    def _on_time_up(self) -> None:
        """One tone for the children, but not into their talk."""
        if self._lesson is not None and self._player is not None and self._lesson.session.state.talk is None:
            self._player.play(self._settings.tone_level)

    def _keep_awake(self, lesson: Lesson) -> None:
        if lesson.is_running and _rest_ms(lesson) < REST_MS:
            self.awake.hold()
        else:
            self.awake.release()

    def _look_at_battery(self) -> None:
        self._looked.start()
        self._battery_line = self._battery()

    def _until_look_ms(self) -> int:
        """Milliseconds until the next look: a minute after the last, or when a rest gets too long."""
        waits = [LOOK_MS - self._looked.elapsed()]
        if self._lesson is not None and self.awake.is_asked:
            waits.append(REST_MS - _rest_ms(self._lesson))
        return min(waits)

    def _tell_soon(self) -> None:
        # Not at once: the lesson may be in the middle of making its frames.
        self._telling.start(0)

    def _tell(self) -> None:
        if self._lesson is None:
            return
        self._lesson.tell_of_room(self.lines)
        unheard = self._ear is not None and self._ear.player.trouble
        self._lesson.tell_of_ear(_("The earpiece is gone: no cue is heard.") if unheard else "")
        if self.awake.is_waiting:
            self._telling.start(ANSWER_LOOK_MS)


def _rest_ms(lesson: Lesson) -> int:
    """How long nothing goes on: paused, blank, which pauses it too, or forgotten after the bell; else 0."""
    state, now_ms = lesson.session.state, lesson.session.now_ms()
    stood_ms = now_ms - state.stopped[-1].begin_ms if state.is_paused else 0
    if now_ms < state.bell_ms:
        return stood_ms
    last = lesson.session.last_undoable()
    return max(stood_ms, now_ms - max(state.bell_ms, 0 if last is None else last.t_ms))

"""A lesson between keyboard and windows: it presses commands, keeps time and hands out frames."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QObject, QTimer, Signal

from pacer.commands import CLICKER_BLANK, Key
from pacer.frames.back_row import look_of
from pacer.frames.desk import DeskFrame, desk_frame, ready_desk
from pacer.frames.desk_near import file_lines
from pacer.frames.desk_notice import GAP_NOTICE_MS
from pacer.frames.outlook import Outlook, outlook
from pacer.frames.wall import WallFrame, ready_frame, wall_frame
from pacer.frames.words.lesson.presses import answer_words
from pacer.frames.words.lesson.useful_keys import KeyLines, keys_before_start, useful_keys
from pacer.frames.words.wording import clock_words
from pacer.pace.reading import Foresee, Reading
from pacer.plan.outline import Outline
from pacer.qt.kit.ticker import Ticker
from pacer.run.clock import Clock
from pacer.run.events import Event, Gap, Mode, Moved, ScreensChanged, Stalled, Undone
from pacer.run.fold import step
from pacer.run.machine import next_edge
from pacer.run.refusal import Refusal
from pacer.run.session import Done, Session
from pacer.run.state import LessonState
from pacer.settings.model import Settings
from pacer.text import _
from pacer.watch import execute, look, note

OUTLOOK_STEP_MS = 5_000  # talk and odds do not change from one second to the next
START_KEYS = ("PageDown", "Space")
STALL_MS = 500  # a second that is shown so late is written down
TIME_UP_MS = 2_000  # a phase's time that ran out longer ago is no news


class Lesson(QObject):
    """The live lesson.

    At a press and at a second the Wall comes first; what only the Desk shows is worked out when it stands.
    ``wall_changed`` and ``desk_changed`` carry a new frame, only when it differs from the last;
    ``refused`` a reason in plain words; ``followed`` the answer to a press that was allowed; ``cued`` what
    to say aloud; ``looked`` the ``Reading`` of each instant that was looked at, after its cue was written
    down: a signal, so whoever fails at it keeps neither the Desk nor a press back; ``trouble_changed`` comes
    when writing fails or works again; ``time_up`` when a phase's time has just run out; ``started`` and
    ``ended`` come once each (``ended`` again after an undone end).
    """

    wall_changed = Signal(object)
    desk_changed = Signal(object)
    refused = Signal(str)
    followed = Signal(str)
    cued = Signal(str)
    looked = Signal(object)
    trouble_changed = Signal()
    time_up = Signal()
    started = Signal()
    ended = Signal()

    def __init__(
        self,
        session: Session,
        outline: Outline,
        clock: Clock,
        settings: Settings,
        planned_utc_ms: int | None = None,
        utc_offset_s: int = 0,
        mode: Mode = "live",
        shape: str = "",
        foresee: Foresee | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.session = session
        self.outline = outline
        self._clock = clock
        self._settings = settings
        self._planned_utc_ms = planned_utc_ms
        self._utc_offset_s = utc_offset_s
        self._mode: Mode = mode
        self._shape = shape
        self._foresee = foresee
        self._wall = WallFrame("off")
        self._desk = DeskFrame("ready", "", 0)
        self._was_running = False
        self.desk_wanted = True
        self.look = look_of(settings)
        self.pages_of: Callable[[int], int] = _endless
        self._room_lines: tuple[str, ...] = ()
        self._file_lines: tuple[str, ...] = ()
        self._ear_notice = ""
        self._reading: Reading | None = None
        self._left: tuple[tuple[int, int, int], int] | None = None
        self._ahead: Outlook | None = None
        self._ahead_of: tuple[LessonState | None, int] = (None, -1)
        self._trouble = ""
        self._ticker = Ticker(self._until_boundary, self._on_tick, self)
        self._desk_due = QTimer(self)
        self._desk_due.setSingleShot(True)
        self._desk_due.setInterval(0)
        self._desk_due.timeout.connect(self._show_desk)

    def open(self) -> None:
        """Show the first frames and begin to keep time."""
        self.refresh()
        self._ticker.start()

    def close(self) -> bool:
        """Stop keeping time; False when events still wait to be written."""
        self._ticker.stop()
        self._settle()
        return self.session.flush()

    @property
    def has_started(self) -> bool:
        """Whether the lesson has begun."""
        return self.session.state.outline is not None

    @property
    def settings(self) -> Settings:
        """The settings this lesson runs with."""
        return self._settings

    @property
    def wall_frame(self) -> WallFrame:
        """The frame last handed out for the Wall."""
        return self._wall

    @property
    def is_running(self) -> bool:
        """Whether the lesson has begun and not ended."""
        return self.session.state.is_running

    def tell_of_room(self, lines: tuple[str, ...]) -> None:
        """What the Desk's near page says of the room: battery, a laptop that may fall asleep."""
        if lines != self._room_lines:
            self._room_lines = lines
            self.refresh()

    def tell_of_ear(self, notice: str) -> None:
        """Why no cue is heard in the ear: she is far off and counts on it, so the Desk says it in large."""
        if notice != self._ear_notice:
            self._ear_notice = notice
            self.refresh()

    def tell_of_files(self, unreadable: tuple[str, ...]) -> None:
        """What the Desk's near page says of files that the Wall can't show."""
        lines = file_lines(unreadable)
        if lines != self._file_lines:
            self._file_lines = lines
            self.refresh()

    def note_screens(self, found: ScreensChanged) -> None:
        """Write down that the screens changed; outside a lesson that is no news."""
        if self.is_running:
            self._settle()
            self.session.tick()
            self.session.note(found)

    def press_key(self, key: Key) -> None:
        """Follow a key of the table: the first of its commands that is allowed now."""
        if not self.has_started:
            if any(name in START_KEYS for name in key.names):
                self.start()
            return
        if key.within_ms is not None:
            last = self.session.last_undoable()
            # The notice of a gap stays longer than a press is remembered, and its key with it.
            within = GAP_NOTICE_MS if last is not None and isinstance(last.body, Gap) else key.within_ms
            if last is not None and self.session.now_ms() - last.t_ms > within:
                self.refused.emit(
                    _("Nothing was pressed in the last 10 s. Hold the key to go back one phase.")
                )
                return
        refusal: Refusal | None = None
        if self._settings.clicker_blanks and key.names == CLICKER_BLANK:
            key = key.as_set(clicker_blanks=True)
        for command, argument in key.tries:
            result = self._follow(command, argument)
            if not isinstance(result, Refusal):
                self._followed(result)
                return
            refusal = refusal or result
        if refusal is not None:
            self.refused.emit(refusal.reason)

    def press(self, command: str, argument: str = "") -> None:
        """Follow one command, or tell why not."""
        result = self._follow(command, argument)
        if isinstance(result, Refusal):
            self.refused.emit(result.reason)
        else:
            self._followed(result)

    def _follow(self, command: str, argument: str) -> Done | Refusal:
        """Follow a command, with what only this room knows: its strip's edge and the pages of a PDF."""
        self._settle()
        # A key may be handled before the tick that is late, and would make it look on time.
        self._note_stall(self._ticker.overdue_ms)
        if command == "strip" and not argument:
            argument = next_edge(self.session.state.edge or self.look.edge)
        if command == "page-on" and self._is_last_page(self.session.state):
            return Refusal(_("This is the last page."))
        return execute(self.session, command, argument)

    def _is_last_page(self, state: LessonState) -> bool:
        last = 0 if state.index is None else self.pages_of(state.index)
        return 0 < last <= state.shown_page

    def start(self) -> None:
        """Begin the lesson now."""
        result = self.session.start(
            self.outline, self._planned_utc_ms, self._utc_offset_s, self._mode, self._shape
        )
        if isinstance(result, Refusal):
            self.refused.emit(result.reason)
            return
        self.started.emit()
        self._followed(result)

    def frame_at(self, index: int) -> WallFrame:
        """The Wall as it would be if the class went to a phase now."""
        state, now_ms = self.session.state, self.session.now_ms()
        if state.index == index:
            return self._wall
        body = Moved(to=index, ending="unsaid", how="jump")
        moved = Event(seq=len(self.session.events), t_ms=now_ms, mono_ms=0, utc_ms=0, body=body)
        return wall_frame(Reading(step(state, moved), now_ms), self.look)

    def keys_now(self) -> KeyLines:
        """Keys that do something now, with what they do."""
        if not self.has_started:
            return keys_before_start()
        last, now_ms = self.session.last_undoable(), self.session.now_ms()
        since = None if last is None else now_ms - last.t_ms
        reading, blanks = Reading(self.session.state, now_ms), self._settings.clicker_blanks
        return useful_keys(reading, self._desk.part, since, clicker_blanks=blanks)

    def refresh(self) -> None:
        """Bring the frames up to now and hand out those that changed, the Wall's first."""
        self._show_wall()
        self._show_desk()

    def _show_wall(self) -> None:
        """Read this instant and hand out the Wall's frame."""
        reading = self._reading = look(self.session, self._foresee) if self.has_started else None
        wall = ready_frame(self.outline, self.look) if reading is None else wall_frame(reading, self.look)
        if wall != self._wall:
            self._wall = wall
            self.wall_changed.emit(wall)
        if reading is not None:
            self._note_time_up(reading)

    def _show_desk(self) -> None:
        """Write down what the same instant brings, and hand out the Desk's frame and all that is news."""
        self._desk_due.stop()
        reading, desk, cued = self._reading, self._desk, False
        if reading is not None:
            note(self.session, reading, self._settings.talk_limit_s)
            cued = len(self.session.state.cues) > len(reading.state.cues)
            self.looked.emit(reading)
            # Where only the Wall may be drawn nobody looks at the Desk.
            if self.desk_wanted:
                desk = self._desk_of(reading)
        else:
            desk = ready_desk(self.outline, clock_words(self._clock.now().utc_ms, self._utc_offset_s))
        if desk != self._desk:
            self._desk = desk
            self.desk_changed.emit(desk)
        if cued:
            told = self.session.state.cues[-1].cue in ("talk", "quiet")
            self.cued.emit(desk.notice if told else f"{desk.word}. {desk.headline}")
        if self.session.trouble != self._trouble:
            self._trouble = self.session.trouble
            self.trouble_changed.emit()
        self._note_end()

    def _settle(self) -> None:
        """Finish what the last instant still owes, so that events come in the order of the presses."""
        if self._desk_due.isActive():
            self._show_desk()

    def _desk_of(self, reading: Reading) -> DeskFrame:
        """The Desk; talk and odds are worked out anew at every press and every few seconds."""
        state, step = self.session.state, reading.now_ms // OUTLOOK_STEP_MS
        known, known_step = self._ahead_of
        if state is not known or step != known_step:
            self._ahead, self._ahead_of = outlook(reading), (state, step)
        limit_s = self._settings.talk_limit_s
        lines = (*self._file_lines, *self._room_lines)
        frame = desk_frame(reading, limit_s, self._ahead, lines, state.cues)
        # Whatever else asks for attention goes before it; it stays until then and after.
        wants_ear = self._ear_notice and not frame.notice and self.is_running
        return replace(frame, notice=self._ear_notice) if wants_ear else frame

    def _on_tick(self) -> None:
        # Noted before the frames are made: they show what is true now, however late that is.
        self._note_stall(self._ticker.late_ms)
        # One after the other: the Wall is painted by the Desk's turn, and no press waits for it.
        self.refresh()

    def _note_stall(self, late_ms: int) -> None:
        """Write down that the windows stood still, if they did."""
        if late_ms > STALL_MS and self.is_running:
            self.session.tick()
            self.session.note(Stalled(late_ms=late_ms))

    def _note_time_up(self, reading: Reading) -> None:
        """Tell once that a phase's time ran out, as it happens and not after a long sleep."""
        current, left = reading.allotments, reading.left_ms
        if current is None:
            return
        # Only time that passed: a phase whose time was taken away by hand has not run out.
        what = len(reading.state.visits), current.index, current.allotted_s
        was, self._left = self._left, (what, left)
        if was is not None and was[0] == what and was[1] > 0 >= left > -TIME_UP_MS:
            self.time_up.emit()

    def _followed(self, done: Done) -> None:
        before = self._reading
        self._show_wall()
        self._ticker.start()
        self._desk_due.start()
        body, events = done.event.body, self.session.events
        undone = events[body.target] if isinstance(body, Undone) else None
        state = self.session.state
        was = state if before is None else before.state
        self.followed.emit(answer_words(was, state, done.event, undone))

    def _note_end(self) -> None:
        running = self.session.state.is_running
        if self._was_running and not running:
            self.ended.emit()
        self._was_running = running

    def _until_boundary(self) -> int:
        """Milliseconds until the second shown on a window changes."""
        state, now_ms, reading = self.session.state, self.session.now_ms(), self._reading
        if reading is None or reading.state is not state:
            reading = Reading(state, now_ms)
        if (reading.allotments or reading.half) is None or state.is_paused:
            return 1000 - self._clock.now().utc_ms % 1000
        # While nothing happens all that runs has lost just what passed.
        partners, passed_ms = reading.partners_left_ms, now_ms - reading.now_ms
        waits = [_to_whole_second(reading.left_ms - passed_ms)]
        if partners is not None:
            waits.append(_to_whole_second(partners - passed_ms))
        return min(waits)


def _endless(_index: int) -> int:
    """Until a room says otherwise, no number of pages is known."""
    return 0


def _to_whole_second(left_ms: int) -> int:
    """How long until a time left falls to the next whole second."""
    return left_ms % 1000 or 1000

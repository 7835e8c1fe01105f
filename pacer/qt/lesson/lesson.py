"""A lesson between keyboard and windows: it presses commands, keeps time and hands out frames."""

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from pacer.commands import Key
from pacer.frames.back_row import look_of
from pacer.frames.desk import GAP_NOTICE_MS, DeskFrame, desk_frame, ready_desk
from pacer.frames.outlook import Outlook, outlook
from pacer.frames.wall import WallFrame, ready_frame, wall_frame
from pacer.frames.words.wording import clock_words
from pacer.pace.cut import cut
from pacer.plan.outline import Outline
from pacer.qt.kit.ticker import Ticker
from pacer.run.clock import Clock
from pacer.run.events import Gap, Mode, ScreensChanged, Stalled
from pacer.run.machine import Refusal, next_edge
from pacer.run.session import Done, Session
from pacer.run.state import LessonState
from pacer.settings.model import Settings
from pacer.text import _
from pacer.watch import Foresee, follow, watch

OUTLOOK_STEP_MS = 5_000  # the price of a minute does not change from one second to the next
START_KEYS = ("PageDown", "Space")
STALL_MS = 500  # a second that is shown so late is written down
TIME_UP_MS = 2_000  # a phase's time that ran out longer ago is no news


class Lesson(QObject):
    """The live lesson.

    ``wall_changed`` and ``desk_changed`` carry a new frame, only when it differs from the last;
    ``refused`` a reason in plain words; ``followed`` comes when a press was allowed; ``cued`` carries what
    to say aloud; ``trouble_changed`` comes when writing fails or works again; ``time_up`` when a phase's
    time has just run out; ``started`` and ``ended`` come once each (``ended`` again after an undone end).
    """

    wall_changed = Signal(object)
    desk_changed = Signal(object)
    refused = Signal(str)
    followed = Signal()
    cued = Signal(str)
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
        self._left: tuple[tuple[int, int, int], int] | None = None
        self._ahead: Outlook | None = None
        self._ahead_of: tuple[LessonState | None, int] = (None, -1)
        self._trouble = ""
        self._ticker = Ticker(self._until_boundary, self)
        self._ticker.ticked.connect(self._on_tick)

    def open(self) -> None:
        """Show the first frames and begin to keep time."""
        self.refresh()
        self._ticker.start()

    def close(self) -> bool:
        """Stop keeping time; False when events still wait to be written."""
        self._ticker.stop()
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

    def note_screens(self, found: ScreensChanged) -> None:
        """Write down that the screens changed; outside a lesson that is no news."""
        if self.is_running:
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
        for command, argument in key.tries:
            result = self._follow(command, argument)
            if not isinstance(result, Refusal):
                self._followed()
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
            self._followed()

    def _follow(self, command: str, argument: str) -> Done | Refusal:
        """Follow a command, with what only this room knows: its strip's edge and the pages of a PDF."""
        # A key may be handled before the tick that is late, and would make it look on time.
        self._note_stall(self._ticker.overdue_ms)
        state = self.session.state
        if command == "strip" and not argument:
            argument = next_edge(state.edge or self.look.edge)
        last = self.pages_of(state.index) if command == "page-on" and state.index is not None else 0
        if last and state.shown_page >= last:
            return Refusal(_("This is the last page."))
        return follow(self.session, command, argument)

    def start(self) -> None:
        """Begin the lesson now."""
        result = self.session.start(
            self.outline, self._planned_utc_ms, self._utc_offset_s, self._mode, self._shape
        )
        if isinstance(result, Refusal):
            self.refused.emit(result.reason)
            return
        self.started.emit()
        self._followed()

    def refresh(self) -> None:
        """Bring the frames up to now and hand out those that changed."""
        state = self.session.state
        if self.has_started:
            cues = len(state.cues)
            watch(self.session, self._settings.talk_limit_s, self._foresee)
            state = self.session.state
            now = self.session.now_ms()
            wall = wall_frame(state, now, self.look)
            self._note_time_up(state, now)
            # Where only the Wall may be drawn nobody looks at the Desk.
            desk = self._desk_now(state, now) if self.desk_wanted else self._desk
        else:
            cues = 0
            wall = ready_frame(self.outline, self.look)
            desk = ready_desk(self.outline, clock_words(self._clock.now().utc_ms, self._utc_offset_s))
        if wall != self._wall:
            self._wall = wall
            self.wall_changed.emit(wall)
        if desk != self._desk:
            self._desk = desk
            self.desk_changed.emit(desk)
        if len(state.cues) > cues:
            self.cued.emit(desk.notice if state.cues[-1][1] == "talk" else f"{desk.word}. {desk.headline}")
        if self.session.trouble != self._trouble:
            self._trouble = self.session.trouble
            self.trouble_changed.emit()
        self._note_end()

    def _desk_now(self, state: LessonState, now_ms: int) -> DeskFrame:
        """The Desk, with an outlook that is worked out anew at every press and every few seconds."""
        known, step = self._ahead_of
        if state is not known or step != now_ms // OUTLOOK_STEP_MS:
            self._ahead = outlook(state, now_ms, self._foresee)
            self._ahead_of = state, now_ms // OUTLOOK_STEP_MS
        limit_s = self._settings.talk_limit_s
        return desk_frame(state, now_ms, limit_s, self._foresee, self._ahead, self._room_lines)

    def _on_tick(self) -> None:
        # Noted before the frames are made: they show what is true now, however late that is.
        self._note_stall(self._ticker.late_ms)
        self.refresh()

    def _note_stall(self, late_ms: int) -> None:
        """Write down that the windows stood still, if they did."""
        if late_ms > STALL_MS and self.is_running:
            self.session.tick()
            self.session.note(Stalled(late_ms=late_ms))

    def _note_time_up(self, state: LessonState, now_ms: int) -> None:
        """Tell once that a phase's time ran out, as it happens and not after a long sleep."""
        current = cut(state)
        if current is None:
            return
        left = current.allotted_s * 1000 - state.spent_ms(current.index, now_ms)
        # Only time that passed: a phase whose time was taken away by hand has not run out.
        what = len(state.visits), current.index, current.allotted_s
        was, self._left = self._left, (what, left)
        if was is not None and was[0] == what and was[1] > 0 >= left > -TIME_UP_MS:
            self.time_up.emit()

    def _followed(self) -> None:
        self.followed.emit()
        self.refresh()
        self._ticker.start()

    def _note_end(self) -> None:
        running = self.session.state.is_running
        if self._was_running and not running:
            self.ended.emit()
        self._was_running = running

    def _until_boundary(self) -> int:
        """Milliseconds until the second shown on a window changes."""
        state = self.session.state
        current = cut(state)
        if current is None or state.is_paused:
            return 1000 - self._clock.now().utc_ms % 1000
        now = self.session.now_ms()
        waits = [_to_whole_second(current.allotted_s * 1000 - state.spent_ms(current.index, now))]
        if state.talk is not None:
            waits.append(_to_whole_second(state.talk_left_ms(now)))
        return min(waits)


def _endless(_index: int) -> int:
    """Until a room says otherwise, no number of pages is known."""
    return 0


def _to_whole_second(left_ms: int) -> int:
    """How long until a time left falls to the next whole second."""
    return left_ms % 1000 or 1000

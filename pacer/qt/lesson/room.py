"""The windows of a lesson: which screen shows what, who has the keys, and the curtain when in doubt."""

from PySide6.QtCore import QObject, QTimer, Signal

from pacer.frames.desk import DeskFrame
from pacer.frames.wall import WallFrame
from pacer.qt.desk.window import DeskView
from pacer.qt.lesson.keys import LessonKeys
from pacer.qt.lesson.lesson import Lesson
from pacer.qt.lesson.placing import RoomScreens
from pacer.qt.lesson.services import LessonServices
from pacer.qt.screens.curtain import Curtain
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.screens.questions import OneScreen
from pacer.text import _, ngettext

REFUSAL_SHOWN_MS = 4000


class Room(RoomScreens):
    """Shows one lesson at a time. ``left`` comes when the teacher leaves a lesson that has ended."""

    left = Signal()

    def __init__(self, window: MainWindow, parent: QObject | None = None) -> None:
        super().__init__(window, parent)
        self.desk = DeskView()
        self._curtain = Curtain()
        window.add_lesson_views(self.desk, self._curtain)
        self.services = LessonServices(self.wall, self)
        self.keys = LessonKeys(self)
        self._warned = False
        self._told = QTimer(self)
        self._told.setSingleShot(True)
        self._told.timeout.connect(self._untell)
        for widget in (self.desk, self._curtain, self.wall.full):
            widget.installEventFilter(self.keys)
        self.keys.pressed.connect(self._on_key)
        self.keys.held.connect(self._on_held)
        self.keys.confirmed.connect(self._on_confirmed)
        self.wall_placed.connect(self._untell)

    def enter(self, lesson: Lesson, *, desk_only: bool = False) -> bool:
        """Put a lesson on the screens; ``desk_only``: without any Wall. False when the teacher cancels."""
        if not self._settle_mode(desk_only=desk_only):
            return False
        self.lesson = lesson
        self._warned = False
        # The Wall is placed before anything private is drawn.
        self._place_first()
        lesson.wall_changed.connect(self._on_wall)
        lesson.desk_changed.connect(self._on_desk)
        lesson.refused.connect(self._on_refused)
        lesson.followed.connect(self._on_followed)
        lesson.cued.connect(self._on_cued)
        lesson.trouble_changed.connect(self._after_press)
        lesson.ended.connect(self._on_ended)
        lesson.started.connect(self._untell)
        self.desk.reduced_motion = self.wall.reduced_motion = lesson.settings.reduced_motion
        lesson.desk_wanted = self._desk_wanted()
        self.keys.active = True
        self._show_private()
        self.services.begin(lesson)
        lesson.open()
        return True

    def leave(self) -> None:
        """Take the lesson off the screens, unless presses wait to be written and nobody was told."""
        if not self.may_stop():
            return
        self._screens.settle_now()
        self.services.end()
        if self.lesson is not None:
            self.lesson.close()
            self.lesson.deleteLater()
        self.lesson = None
        self._untell()
        self._clear()
        if self._mode is OneScreen.WALL_ONLY:
            # Children may still see this screen: what the lesson came to waits for another Enter.
            self._window.show_curtain(
                _("The lesson is over. Enter opens Look back when nobody else sees this.")
            )
        else:
            self._leave_curtain()

    def may_stop(self) -> bool:
        """Whether nothing would be lost now; when something would, the first time says so."""
        lesson = self.lesson
        if lesson is None or lesson.session.flush():
            self._warned = False
            return True
        if self._warned:
            return True
        self._warned = True
        count = lesson.session.unsaved
        words = ngettext("{n} press is not saved: {reason}", "{n} presses are not saved: {reason}", count)
        reason = words.format(n=count, reason=lesson.session.trouble)
        self.desk.tell(_("{problem} Once more leaves without saving.").format(problem=reason))
        if self._mode is OneScreen.WALL_ONLY:
            self._hide_wall()
            self._window.show_curtain(_("Some presses are not saved yet. Enter again leaves without saving."))
        return False

    def shut(self) -> None:
        """Close the Wall for good."""
        self._screens.settle_now()
        self.services.end()
        if self.lesson is not None:
            self.lesson.close()
        self._clear()
        self.wall.close()

    def tell(self, text: str) -> None:
        """Tell the teacher something for a few seconds, on the Desk only."""
        self.desk.tell(text)
        self._told.start(REFUSAL_SHOWN_MS)

    def _untell(self) -> None:
        lesson = self.lesson
        trouble = "" if lesson is None else lesson.session.trouble
        if trouble:
            self.desk.tell(_("Not saved yet: {reason} The lesson goes on.").format(reason=trouble))
        elif lesson is not None and lesson.has_started and not lesson.session.state.is_running:
            self.desk.tell(_("Enter closes the lesson. Page Up takes the last press back."))
        elif lesson is not None and self._is_wall_away():
            self.desk.tell(_("The Wall's screen is gone. It comes back by itself."))
        else:
            self.desk.tell("")

    def _on_key(self, key: object) -> None:
        if self.lesson is not None:
            self.lesson.press_key(key)  # type: ignore[arg-type]  # signals carry plain objects
            self._after_press()

    def _on_held(self, command: str) -> None:
        if self.lesson is not None and self.lesson.has_started:
            self.lesson.press(command)
            self._after_press()

    def _after_press(self) -> None:
        if self.lesson is not None and (self.lesson.session.trouble or not self._told.isActive()):
            self._untell()

    def _on_confirmed(self) -> None:
        """Enter: lift the curtain, or leave a lesson that is over."""
        lesson = self.lesson
        if lesson is None:
            self._leave_curtain()
        elif self._window.shows_desk or self._mode is OneScreen.WALL_ONLY:
            if lesson.has_started and not lesson.session.state.is_running:
                self.leave()
        else:
            self._lift_curtain()

    def _leave_curtain(self) -> None:
        self.keys.active = False
        self.left.emit()

    def _on_refused(self, reason: str) -> None:
        lesson = self.lesson
        if lesson is not None and lesson.has_started and not lesson.session.state.is_running:
            self._untell()  # how to leave is what matters now
        else:
            self.tell(reason)

    def _on_cued(self, words: str) -> None:
        """A cue is the Desk's: where children see the only screen, they would hear it too."""
        if self._mode is not OneScreen.WALL_ONLY:
            self.desk.announce(words)

    def _on_followed(self) -> None:
        """A press makes an older refusal stale, and an older warning: it may be lost, too."""
        self._warned = False
        self._told.stop()
        self._untell()

    def _on_ended(self) -> None:
        self._told.stop()
        self._untell()

    def _on_wall(self, frame: WallFrame) -> None:
        only_wall = self._mode is OneScreen.WALL_ONLY
        if only_wall and self._warned and self.lesson is not None and self.lesson.session.trouble:
            return  # it would cover the warning within a second, and the next try would leave unread
        self.wall.show_frame(frame)
        self._show_mark()
        if only_wall and frame.shape == "full":
            self.wall.full.activateWindow()

    def _on_desk(self, frame: DeskFrame) -> None:
        self.desk.show_frame(frame)
        if self._mark is not None:
            self._mark.show_level(frame.level)

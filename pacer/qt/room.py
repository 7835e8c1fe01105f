"""The windows of a lesson: which screen shows what, who has the keys, and the curtain when in doubt."""

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QGuiApplication, QScreen

from pacer.frames.desk import DeskFrame
from pacer.frames.wall import WallFrame
from pacer.qt.curtain import Curtain
from pacer.qt.desk_window import DeskView
from pacer.qt.dialogs import OneScreen, OneScreenQuestion, PrivateSideQuestion
from pacer.qt.keys import LessonKeys
from pacer.qt.lesson import Lesson
from pacer.qt.main_window import MainWindow
from pacer.qt.screens import ScreenInfo, present_screens, screen_info, wall_choice
from pacer.qt.wall_window import Wall
from pacer.text import _, ngettext

REFUSAL_SHOWN_MS = 4000


def _wall_only_words() -> str:
    return _("The lesson's keys work here. Nothing private is shown.")


class Room(QObject):
    """Shows one lesson at a time. ``left`` comes when the teacher leaves a lesson that has ended."""

    left = Signal()

    def __init__(self, window: MainWindow, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._window = window
        self.desk = DeskView()
        self._curtain = Curtain()
        window.add_lesson_views(self.desk, self._curtain)
        self.wall = Wall()
        self.keys = LessonKeys(self)
        self.lesson: Lesson | None = None
        self._mode = OneScreen.CANCEL
        self._wall_name = ""
        self._warned = False
        self._told = QTimer(self)
        self._told.setSingleShot(True)
        self._told.timeout.connect(self._untell)
        for widget in (self.desk, self._curtain, self.wall.full):
            widget.installEventFilter(self.keys)
        self.keys.pressed.connect(self._on_key)
        self.keys.held.connect(self._on_held)
        self.keys.confirmed.connect(self._on_confirmed)
        self._watch_screens()

    def enter(self, lesson: Lesson) -> bool:
        """Put a lesson on the screens. False when the teacher cancels."""
        screens, private = present_screens(), self._private_screen()
        target = wall_choice(screens, private)
        if target is not None and private != screens[0] and not PrivateSideQuestion.ask(self._window):
            return False
        mode = OneScreen.DESK_ONLY if target is not None else OneScreenQuestion.ask(self._window)
        if mode is OneScreen.CANCEL:
            return False
        self._mode = mode
        if mode is OneScreen.WALL_ONLY:
            target = self._private_screen() or screens[0]
        self.lesson = lesson
        self._warned = False
        # The Wall is placed before anything private is drawn.
        self._wall_name = ""
        self._place_wall(target)
        lesson.wall_changed.connect(self._on_wall)
        lesson.desk_changed.connect(self._on_desk)
        lesson.refused.connect(self._on_refused)
        lesson.followed.connect(self._on_followed)
        lesson.cued.connect(self._on_cued)
        lesson.trouble_changed.connect(self._after_press)
        lesson.ended.connect(self._on_ended)
        lesson.started.connect(self._untell)
        self.desk.reduced_motion = lesson.settings.reduced_motion
        lesson.desk_wanted = mode is not OneScreen.WALL_ONLY
        self.keys.active = True
        if mode is OneScreen.WALL_ONLY:
            self._window.show_curtain(_wall_only_words())
        else:
            self._window.show_desk()
        lesson.open()
        return True

    def leave(self) -> None:
        """Take the lesson off the screens, unless presses wait to be written and nobody was told."""
        if not self.may_stop():
            return
        if self.lesson is not None:
            self.lesson.close()
            self.lesson.deleteLater()
        self.lesson = None
        self._untell()
        self.wall.place(None)
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
        if lesson is None or lesson.session.flush() or self._warned:
            return True
        self._warned = True
        count = lesson.session.unsaved
        words = ngettext("{n} press is not saved: {reason}", "{n} presses are not saved: {reason}", count)
        reason = words.format(n=count, reason=lesson.session.trouble)
        self.desk.tell(_("{problem} Once more leaves without saving.").format(problem=reason))
        if self._mode is OneScreen.WALL_ONLY:
            self.wall.hide()
            self._window.show_curtain(_("Some presses are not saved yet. Enter again leaves without saving."))
        return False

    def shut(self) -> None:
        """Close the Wall for good."""
        if self.lesson is not None:
            self.lesson.close()
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
        elif lesson is not None and self.wall.screen is None and self._wall_name:
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
        elif self._desk_is_private():
            self._window.show_desk()

    def _desk_is_private(self) -> bool:
        """Whether the Desk may be drawn now: there is a screen apart for the Wall, or the teacher says so."""
        screens, private = present_screens(), self._private_screen()
        if private is not None and private.name == self._wall_name:
            # The lid was closed, say, and the system moved this window to where children look.
            self._window.show_curtain(
                _("Move this window to your own screen, then press Enter. All keys work.")
            )
            self._raise_wall()
            return False
        if wall_choice(screens, private) is not None:
            return True
        answer = OneScreenQuestion.ask(self._window)
        if answer is OneScreen.WALL_ONLY:
            self._mode = answer
            if self.lesson is not None:
                self.lesson.desk_wanted = False
            self._window.show_curtain(_wall_only_words())
            self._replace_wall()
        return answer is OneScreen.DESK_ONLY

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
        """A press that was allowed makes an older refusal stale."""
        self._told.stop()
        self._untell()

    def _on_ended(self) -> None:
        self._told.stop()
        self._untell()

    def _on_wall(self, frame: WallFrame) -> None:
        self.wall.show_frame(frame)
        if self._mode is OneScreen.WALL_ONLY and frame.shape == "full":
            self.wall.full.activateWindow()

    def _on_desk(self, frame: DeskFrame) -> None:
        self.desk.show_frame(frame)

    def _private_screen(self) -> ScreenInfo | None:
        screen = self._window.screen()
        return None if screen is None else screen_info(screen)

    def _watch_screens(self) -> None:
        application = QGuiApplication.instance()
        assert isinstance(application, QGuiApplication)
        application.screenAdded.connect(self._on_screen_added)
        application.screenRemoved.connect(self._on_screens_changed)
        application.primaryScreenChanged.connect(self._on_screens_changed)
        for screen in QGuiApplication.screens():
            screen.geometryChanged.connect(self._on_screens_changed)

    def _on_screen_added(self, screen: QScreen) -> None:
        screen.geometryChanged.connect(self._on_screens_changed)
        self._on_screens_changed()

    def _on_screens_changed(self, *_what: object) -> None:
        """Children may suddenly see the private window: cover it, then put the Wall where it belongs."""
        if self.lesson is None:
            return
        if self._mode is OneScreen.DESK_ONLY and self._window.shows_desk:
            self._window.show_curtain(_("The screens changed. Enter shows the Desk again; all keys work."))
        QTimer.singleShot(0, self, self._replace_wall)

    def _replace_wall(self) -> None:
        """Runs once the change has settled: Qt reports it in several pieces."""
        lesson = self.lesson
        if lesson is None:
            return
        screens, private = present_screens(), self._private_screen()
        second = self._mode is OneScreen.WALL_ONLY and self._second_screen_came(screens, private)
        if second:
            self._leave_wall_only(lesson)
        # The Wall stays on its screen while that lives, and comes back to it by itself.
        same = next((screen for screen in screens if screen.name == self._wall_name), None)
        target = private if self._mode is OneScreen.WALL_ONLY else same or wall_choice(screens, private)
        moved = target is None or target != self.wall.screen
        if moved:
            self._place_wall(target)
            self.wall.show_frame(lesson.wall_frame)
        if target is not None and private is not None and private.name == target.name:
            self._raise_wall()
        if second:
            self._window.activateWindow()  # the Wall had the keys until now
        if moved:
            self._untell()

    def _leave_wall_only(self, lesson: Lesson) -> None:
        """The Wall gets a screen of its own; this one waits behind the curtain and takes the keys."""
        self._mode, self._wall_name = OneScreen.DESK_ONLY, ""
        lesson.desk_wanted = True
        lesson.refresh()  # the Desk stood still until now
        self._window.show_curtain(_("A second screen is here. Enter shows the Desk on this one."))

    def _raise_wall(self) -> None:
        """Where both windows share a screen, what children should see lies above."""
        self.wall.full.raise_()

    def _second_screen_came(self, screens: list[ScreenInfo], private: ScreenInfo | None) -> bool:
        """Whether the Wall can have a screen of its own now, and the private window is on the main one."""
        return private == screens[0] and wall_choice(screens, private) is not None

    def _place_wall(self, target: ScreenInfo | None) -> None:
        if target is not None:
            self._wall_name = target.name
        self.wall.place(target, takes_keys=self._mode is OneScreen.WALL_ONLY)

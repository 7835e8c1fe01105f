"""The windows of a lesson: which screen shows what, who has the keys, and the curtain when in doubt."""

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal

from pacer.commands import KEYS
from pacer.qt.lesson.keys import LessonKeys
from pacer.qt.lesson.placing import RoomScreens
from pacer.qt.screens.curtain import Curtain
from pacer.qt.screens.private_window import MainWindow
from pacer.run.events import ScreensChanged
from pacer.run.room_plan import wall_is_lost, wall_waits
from pacer.settings.screen_choice import KnownRoom
from pacer.text import _, ngettext

if TYPE_CHECKING:
    from pacer.frames.desk import DeskFrame
    from pacer.qt.desk.window import DeskView
    from pacer.qt.lesson.lesson import Lesson
    from pacer.qt.lesson.services import LessonServices

REFUSAL_SHOWN_MS, ANSWER_SHOWN_MS = 4000, 2000
WALL_KEYS = tuple(key for key in KEYS if ("wall", "") in key.tries)
CLOSE_AGAIN_MS = 1000
PAPER_MS = 5000  # the class sees paper so long before it may see this computer's desktop: a choice of ours


class Room(QObject):
    """Shows one lesson at a time. ``left`` comes when the teacher leaves a lesson that has ended.

    A start may have drawn the curtain before the first pixel was seen: the room takes it over. What only a
    lesson needs, the Desk and the services, is imported and made when it is asked for, or by ``make_ready``.
    """

    left = Signal()

    def __init__(self, window: MainWindow, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.lesson: Lesson | None = None
        self._told_lost = False
        self._window = window
        self.curtain = curtain = window.curtain or Curtain()
        if window.curtain is None:
            window.add_curtain(curtain)
        self.screens = RoomScreens(window, self)
        self.wall = self.screens.wall
        self.ask_screens, self.ask_card = self.screens.ask_screens, self.screens.ask_card
        self.rooms_changed, self.wall_placed = self.screens.rooms_changed, self.screens.wall_placed
        self.keys = LessonKeys(self)
        # The window, too: wherever in it the keyboard is, no key of a lesson is lost.
        for widget in (window, curtain, self.wall.full):
            widget.take_key = self.keys.take
        self._closed = QElapsedTimer()
        self._leave = QTimer(self)
        self._leave.setSingleShot(True)
        self._leave.setInterval(PAPER_MS)
        self._leave.timeout.connect(self._on_leave)
        self._may_leave = False
        curtain.leave_asked.connect(window.close)
        for canvas in (self.wall.full, self.wall.strip):
            canvas.close_asked.connect(window.close)
        self.keys.pressed.connect(self._on_key)
        self.keys.held.connect(self._on_held)
        self.keys.confirmed.connect(self._on_confirmed)
        self.keys.sheet_asked.connect(self._on_sheet)
        self.screens.planned.connect(self._on_planned)
        self.screens.noted.connect(self._on_noted)
        self.screens.wall_placed.connect(self._untell)

    @cached_property
    def desk(self) -> "DeskView":
        """The Desk, in the private window."""
        from pacer.qt.desk.window import DeskView

        desk = DeskView()
        self._window.add_desk(desk)
        desk.take_key = self.keys.take
        return desk

    @cached_property
    def services(self) -> "LessonServices":
        """What stands by while a lesson is on the screens."""
        from pacer.qt.lesson.services import LessonServices

        return LessonServices(self.wall, self)

    def make_ready(self) -> None:
        """Make what a lesson needs, while nobody waits."""
        _made = self.desk, self.services

    @property
    def rooms(self) -> tuple[KnownRoom, ...]:
        """The remembered rooms, the newest last."""
        return self.screens.class_screen.rooms

    @rooms.setter
    def rooms(self, rooms: tuple[KnownRoom, ...]) -> None:
        self.screens.class_screen.rooms = rooms
        self.screens.expect_window()

    @property
    def is_taken(self) -> bool:
        """Whether a lesson or a rehearsal is on the screens, or a question is open."""
        return self.lesson is not None or self.screens.now.has_lesson or self.screens.now.asking

    def enter(self, lesson: "Lesson", *, desk_only: bool = False) -> bool:
        """Put a lesson on the screens; ``desk_only``: without any Wall. False when the teacher cancels."""
        self.make_ready()
        if not self.screens.begin("rehearsal" if desk_only else "lesson"):
            return False
        self.lesson = lesson
        lesson.wall_changed.connect(self.screens.show_frame)
        lesson.desk_changed.connect(self._on_desk)
        lesson.refused.connect(self._on_refused)
        lesson.followed.connect(self._on_followed)
        lesson.cued.connect(self._on_cued)
        lesson.trouble_changed.connect(self._on_trouble)
        lesson.ended.connect(self._on_ended)
        lesson.started.connect(self._untell)
        self.desk.reduced_motion = self.wall.reduced_motion = lesson.settings.reduced_motion
        self.screens.card.reduced_motion = lesson.settings.reduced_motion
        lesson.desk_wanted = self.screens.now.desk_wanted
        self.services.begin(lesson)
        lesson.open()
        return True

    def leave(self) -> None:
        """Take the lesson off the screens, unless presses wait to be written and nobody was told."""
        if not self.may_stop():
            return
        self._stop()
        if self.lesson is not None:
            self.lesson.deleteLater()
        self.lesson = None
        self._untell()
        self._leave_screens()

    def shut(self) -> None:
        """Close the Wall for good."""
        self._stop()
        self.screens.shut()

    def _stop(self) -> None:
        self._leave.stop()
        self.screens.watch.settle_now()
        if "services" in vars(self):
            self.services.end()
        if self.lesson is not None:
            self.lesson.close()

    def _leave_screens(self) -> None:
        """Where children may still see this screen, what the lesson came to waits for another Enter."""
        self.screens.end()
        if self.screens.now.activity == "pages":
            self.left.emit()

    def may_close(self) -> bool:
        """Whether the program may close now.

        In a lesson that runs nothing is asked: the Wall turns to paper, the curtain says that the lesson is
        kept, and a few seconds later the windows go by themselves, or at once with one close more. Until then
        any key goes on with the lesson. A held Alt+F4 repeats itself, which is one close.
        """
        if not self.may_stop():
            return False
        lesson, now = self.lesson, self.screens.now
        if lesson is None or not lesson.is_running or now.unsaved or not now.has_lesson:
            return True
        again = self._may_leave or (now.leaving and self._closed.elapsed() >= CLOSE_AGAIN_MS)
        self._closed.start()
        if not now.leaving:
            self._leave.start()
        self.screens.leave(leaving=True)
        return again

    def _on_leave(self) -> None:
        """The class has seen paper for long enough: close as one close more would."""
        if self.screens.now.leaving:
            self._may_leave = True
            self._window.close()
            self._may_leave = False

    def _stay(self) -> None:
        """The lesson goes on after all."""
        self._leave.stop()
        self.screens.leave(leaving=False)

    def may_stop(self) -> bool:
        """Whether nothing would be lost now; when something would, the first time says so."""
        lesson = self.lesson
        if lesson is None or lesson.session.flush():
            self._unwarn()
            return True
        if self.screens.now.unsaved:
            return True
        count = lesson.session.unsaved
        words = ngettext("{n} press is not saved: {reason}", "{n} presses are not saved: {reason}", count)
        reason = words.format(n=count, reason=lesson.session.trouble)
        self.desk.tell(_("{problem} Once more leaves without saving.").format(problem=reason))
        self.screens.warn(unsaved=True)
        return False

    def tell(self, text: str) -> None:
        """Tell the teacher something for a few seconds, on the Desk only."""
        self.desk.answer(text, REFUSAL_SHOWN_MS)

    def _untell(self) -> None:
        """Tell what is the matter and stays so, below any answer."""
        if "desk" not in vars(self):
            return
        lesson = self.lesson
        trouble = "" if lesson is None else lesson.session.trouble
        if trouble:
            self.desk.tell(_("Not saved yet: {reason} The lesson goes on.").format(reason=trouble))
        elif self._is_over:
            self.desk.tell(_("Enter closes. Page Up takes it back."))
        elif lesson is not None and wall_waits(self.screens.now):
            self.desk.tell(_("The Wall's screen is gone. It comes back by itself."))
        elif wall_is_lost(self.screens.now):
            self.desk.tell(_("The Wall was put away, and the class does not see it. W brings it back."))
        else:
            self.desk.tell("")

    def _on_key(self, key: object) -> None:
        if self.lesson is not None and not self.screens.now.asking:
            self._stay()
            if key in WALL_KEYS and wall_is_lost(self.screens.now):
                self.screens.bring_wall()
                return
            self.lesson.press_key(key)  # type: ignore[arg-type]  # signals carry plain objects
            self._after_press()

    def _on_held(self, command: str) -> None:
        if self.lesson is not None and self.lesson.has_started and not self.screens.now.asking:
            self._stay()
            self.lesson.press(command)
            self._after_press()

    def _after_press(self) -> None:
        if self.lesson is not None:
            self.desk.show_sheet(None)
            self._untell()

    @property
    def _is_over(self) -> bool:
        lesson = self.lesson
        return lesson is not None and lesson.has_started and not lesson.is_running

    def _on_confirmed(self) -> None:
        """Enter: go on after all, lift the curtain, or leave a lesson that is over."""
        if self.screens.now.asking:
            return
        if self.screens.now.leaving:
            self._stay()
        elif self.screens.plan.lifts:
            self.screens.lift()
        elif self.lesson is None and self.screens.now.activity == "left":
            self._leave_screens()
        elif self._is_over:
            self.leave()

    def _on_planned(self) -> None:
        """The Desk stands still where nobody looks at it; the keys are the pages' where those are shown."""
        self.curtain.offer(self.screens.plan)
        if wall_is_lost(self.screens.now) != self._told_lost:
            self._told_lost = not self._told_lost
            self._after_press()
        lesson, wanted = self.lesson, self.screens.now.desk_wanted
        self.keys.active = self.screens.now.has_lesson or self.screens.plan.private == "curtain"
        if lesson is not None and lesson.desk_wanted != wanted:
            lesson.desk_wanted = wanted
            lesson.refresh()

    def _on_noted(self, found: ScreensChanged) -> None:
        if self.lesson is not None:
            self.lesson.note_screens(found)

    def _on_refused(self, reason: str) -> None:
        if self._is_over:
            self._untell()  # how to leave is what matters now
        else:
            self.tell(reason)

    def _on_sheet(self, which: str) -> None:
        """Show the keys that do something now, or all of the notes; the same key takes them away."""
        from pacer.qt.desk.sheet import Sheet

        lesson, desk = self.lesson, self.desk
        if lesson is None or not self._window.shows_desk:
            return
        wanted = Sheet(keys=lesson.keys_now()) if which == "keys" else Sheet(notes=desk.frame.notes)
        shown = desk.sheet is not None and bool(desk.sheet.notes) == bool(wanted.notes)
        if which == "notes" and not wanted.notes:
            self.tell(_("There are no notes here."))
        else:
            desk.show_sheet(None if shown else wanted)

    def _on_cued(self, words: str) -> None:
        """A cue is the Desk's: where children see the only screen, they would hear it too."""
        if not self.screens.now.only_wall:
            self.desk.announce(words)

    def _on_followed(self, answer: str) -> None:
        """A press makes an older refusal stale, and an older warning: it may be lost, too."""
        self._unwarn()
        self._untell()
        self.desk.answer(answer, ANSWER_SHOWN_MS)

    def _on_trouble(self) -> None:
        if self.lesson is not None and not self.lesson.session.trouble:
            self._unwarn()
        self._after_press()

    def _unwarn(self) -> None:
        if self.screens.now.unsaved:
            self.screens.warn(unsaved=False)

    def _on_ended(self) -> None:
        self.desk.forget_answer()
        self._untell()

    def _on_desk(self, frame: "DeskFrame") -> None:
        self.desk.show_frame(frame)
        self.screens.show_desk(frame)

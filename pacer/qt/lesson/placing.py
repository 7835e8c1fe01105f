"""The screens' side of the room: where the Wall stands, what covers the private window, and who is asked."""

from PySide6.QtCore import QObject, QTimer, Signal

from pacer.qt.lesson.lesson import Lesson
from pacer.qt.screens.class_screen import ClassScreen, same_picture
from pacer.qt.screens.hint_mark import HintMark
from pacer.qt.screens.number_cards import MoveNotes, NumberCards
from pacer.qt.screens.present import ScreenInfo, present_screens, screen_info, screen_words, wall_choice
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.screens.questions import OneScreen, OneScreenQuestion, RehearsalQuestion
from pacer.qt.screens.watch import ScreenWatch, WindowWatch, lies_on
from pacer.qt.wall.window import Wall, strip_rect
from pacer.run.events import ScreensChanged
from pacer.settings.screen_choice import KnownRoom
from pacer.text import _


def wall_only_words() -> str:
    """What the covered private window says where the Wall is all that is shown."""
    return _("The lesson's keys work here. Nothing private is shown.")


class RoomScreens(QObject):
    """Keeps the Wall on the class's screen and the private window covered wherever in doubt.

    ``rooms_changed`` carries the remembered rooms after the teacher answered which screen the class sees;
    ``wall_placed`` comes when the Wall went to a screen or lost its own.
    """

    rooms_changed = Signal(object)
    wall_placed = Signal()

    def __init__(self, window: MainWindow, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._window = window
        self.wall = Wall()
        self.lesson: Lesson | None = None
        self._mode = OneScreen.CANCEL
        self._class = ClassScreen()
        self._changes = 0  # counted, so that an answer to a question that went stale is known
        self._was_covered = False
        self._no_wall = False  # a rehearsal: the Desk only
        self._desk_here = False  # "nobody else sees this screen" holds until the next change
        self._mark: HintMark | None = None
        self._mark_wanted = False
        self._notes = MoveNotes(window)
        self._to_move = False  # the curtain asks to move this window
        self._screens = ScreenWatch(self)
        self._screens.changed.connect(self._on_screens_changed)
        self._screens.settled.connect(self._on_screens_settled)
        self._moves = WindowWatch(window, self)
        self._moves.moved.connect(self._on_window_moved)

    @property
    def rooms(self) -> tuple[KnownRoom, ...]:
        """The remembered rooms, the newest last."""
        return self._class.rooms

    @rooms.setter
    def rooms(self, rooms: tuple[KnownRoom, ...]) -> None:
        self._class.rooms = rooms

    def ask_screens(self) -> bool:
        """Ask which screen the class sees, also when it is known. False when cancelled or with one screen."""
        screens, private = present_screens(), self._private_screen()
        if self._class.kind(screens, private) == "only one":
            return False
        if self._window.shows_desk:
            # Were the screens to change under the numbers, the Desk would come out from below them.
            self._window.show_curtain(_("Enter shows the Desk; all keys work."))
        if not self._ask_numbers(screens, private):
            return False
        if self.lesson is not None:
            self._replace_wall()
        return True

    def _settle_mode(self, *, desk_only: bool = False) -> bool:
        """Find out how a lesson is shown. False when the teacher cancels."""
        self._class.home = None
        self._no_wall = desk_only
        if desk_only:
            if self._class_may_look() and not RehearsalQuestion.ask(self._window):
                return False
            self._set_mode(OneScreen.DESK_ONLY, alone=True)
            return True
        answer = self._answer()
        if answer is OneScreen.CANCEL:
            return False
        alone = self._class.kind(present_screens(), self._private_screen()) == "only one"
        self._set_mode(answer, alone=alone)
        return True

    def _class_may_look(self) -> bool:
        """Whether this window is, as far as is known, where the class looks: on its screen, or mirrored."""
        screens, private = present_screens(), self._private_screen()
        if self._class.kind(screens, private) == "only one":
            return len(screens) > 1
        wall = self._class.known(screens, private)
        return wall is not None and (same_picture(private, wall) or lies_on(self._window, wall))

    def _place_first(self) -> None:
        if self._no_wall:
            self._place_wall(None)
            return
        screens, private = present_screens(), self._private_screen()
        if self._mode is OneScreen.WALL_ONLY:
            self._place_wall(private or screens[0])
        else:
            self._place_wall(self._class.best(screens, private))

    def _show_private(self) -> None:
        """Show in the private window what may be shown there at the start."""
        self._moves.follow()
        if self._mode is OneScreen.WALL_ONLY:
            self._window.show_curtain(wall_only_words())
        elif not self._no_wall and self._is_on_wall_screen():
            self._cover()
        else:
            self._window.show_desk()

    def _clear(self) -> None:
        """Take everything of the Wall off the screens."""
        self._notes.hide()
        self._hide_wall()
        self.wall.place(None)

    def _hide_wall(self) -> None:
        self.wall.hide()
        if self._mark is not None:
            self._mark.hide()

    def _is_wall_away(self) -> bool:
        """Whether the Wall waits for its screen to come back."""
        gone = self._class.home is not None and self._class.alive(present_screens()) is None
        return gone and self.wall.screen is None

    def _answer(self) -> OneScreen:
        """How the lesson is shown, asked where that is not known, and again when screens change meanwhile."""
        while True:
            changes, screens, private = self._changes, present_screens(), self._private_screen()
            kind, answer = self._class.kind(screens, private), OneScreen.DESK_ONLY
            if kind == "only one":
                answer = OneScreenQuestion.ask(self._window)
            elif kind == "ask" and not self._ask_numbers(screens, private):
                answer = OneScreen.CANCEL
            if changes == self._changes:
                return answer

    def _ask_numbers(self, screens: list[ScreenInfo], private: ScreenInfo | None) -> bool:
        wall = NumberCards.ask(self._window, screens, private)
        if wall is None:
            return False
        self._class.answer(wall, screens)
        self.rooms_changed.emit(self._class.rooms)
        return True

    def _set_mode(self, answer: OneScreen, *, alone: bool) -> None:
        """``alone``: the answer was about a single screen, and so about the private window's own."""
        self._to_move = False
        self._mark_wanted = answer is OneScreen.WALL_AND_MARK
        self._desk_here = alone and answer is OneScreen.DESK_ONLY
        self._mode = OneScreen.WALL_ONLY if self._mark_wanted else answer

    def _desk_wanted(self) -> bool:
        """The mark is fed from the Desk's frames, too."""
        return self._mode is not OneScreen.WALL_ONLY or self._mark_wanted

    def _lift_curtain(self) -> None:
        """Show the Desk, if only the teacher sees this window's screen; else say or ask what is missing."""
        if self._no_wall:
            if not self._class_may_look() or RehearsalQuestion.ask(self._window):
                self._window.show_desk()
            return
        self._replace_wall()
        changes, screens, private = self._changes, present_screens(), self._private_screen()
        kind, home = self._class.kind(screens, private), self._class.alive(screens)
        if kind == "only one" and (home is None or len(screens) > 1):
            answer = OneScreenQuestion.ask(self._window)
            if answer is OneScreen.CANCEL or changes != self._changes:
                self._replace_wall()  # the question came to lie above the Wall
                return
            self._set_mode(answer, alone=True)
            if self._mode is OneScreen.WALL_ONLY:
                self._go_wall_only()
                return
            self._replace_wall()
        elif kind == "ask" and home is None:
            if not self._ask_numbers(screens, private):
                return
            self._replace_wall()
        if self._is_on_wall_screen():
            # The lid was closed, say, and the system moved this window to where children look.
            self._cover()
        else:
            self._window.show_desk()

    def _go_wall_only(self) -> None:
        if self.lesson is not None:
            self.lesson.desk_wanted = self._desk_wanted()
        self._window.show_curtain(wall_only_words())
        self._replace_wall()

    def _is_on_wall_screen(self) -> bool:
        """Whether children see this window, as far as the Wall leaves it to be seen."""
        if self._no_wall:
            return self._class_may_look()
        wall = self.wall.screen
        if wall is None:
            return False
        return same_picture(self._private_screen(), wall) or lies_on(self._window, wall)

    def _cover(self) -> None:
        """Cover this window, put the Wall above it, and say on the other screens what to do."""
        screens, wall = present_screens(), self.wall.screen
        self._to_move = True
        if self._class.kind(screens, self._private_screen()) == "only one" and len(screens) > 1:
            self._window.show_curtain(
                _("All screens show the same. Enter asks who sees them; all keys work.")
            )
        else:
            self._window.show_curtain(
                _("Move this window to your own screen, then press Enter. All keys work.")
            )
        self.wall.full.raise_()
        if wall is not None:
            self._notes.show(screens, wall)

    def _uncover(self) -> None:
        """This window left the class's screen: the curtain stays until Enter, and says so."""
        self._notes.hide()
        if self._to_move:
            self._to_move = False
            self._window.show_curtain(_("This is your own screen now. Enter shows the Desk; all keys work."))

    def _show_mark(self) -> None:
        """The mark lies above the Wall where only the Wall may be drawn and the teacher wants it."""
        lesson, screen = self.lesson, self.wall.screen
        wanted = self._mark_wanted and self._mode is OneScreen.WALL_ONLY and screen is not None
        if lesson is None or screen is None or not wanted or lesson.wall_frame.face in ("off", "blank"):
            if self._mark is not None:
                self._mark.hide()
            return
        if self._mark is None:
            self._mark = HintMark(self._window)
        frame = lesson.wall_frame
        strip = strip_rect(screen.rect, frame.edge) if frame.shape == "strip" else None
        self._mark.show_on(screen, strip)

    def _private_screen(self) -> ScreenInfo | None:
        screen = self._window.screen()
        return None if screen is None else screen_info(screen)

    def _on_screens_changed(self) -> None:
        """Children may suddenly see the private window: cover it, then put the Wall where it belongs."""
        self._changes += 1
        if self.lesson is None:
            return
        self._desk_here = False
        if self._mode is OneScreen.DESK_ONLY and self._window.shows_desk:
            self._window.show_curtain(_("The screens changed. Enter shows the Desk again; all keys work."))
        self._was_covered = not self._window.shows_desk
        self._screens.expect()
        QTimer.singleShot(0, self, self._replace_wall)

    def _on_screens_settled(self) -> None:
        """Write the change down once, however many pieces it came in."""
        if self.lesson is None:
            return
        self._replace_wall()
        on = self.wall.screen
        told = tuple(screen_words(screen) for screen in present_screens())
        found = ScreensChanged(screens=told, wall="" if on is None else on.name, curtain=self._was_covered)
        self.lesson.note_screens(found)

    def _on_window_moved(self) -> None:
        """The system or the teacher moved this window: where children see it nothing private is painted."""
        if self.lesson is None or self._mode is not OneScreen.DESK_ONLY:
            return
        if self._is_on_wall_screen():
            self._cover()
        else:
            self._uncover()

    def _replace_wall(self) -> None:
        """Put the Wall where it belongs now: on its screen while that lives, whatever its size."""
        lesson = self.lesson
        if lesson is None or self._no_wall:
            return
        screens, private = present_screens(), self._private_screen()
        second = self._mode is OneScreen.WALL_ONLY and self._second_screen_came(screens, private)
        if second:
            self._leave_wall_only(lesson)
        target = private if self._mode is OneScreen.WALL_ONLY else self._class.best(screens, private)
        if self._desk_here and same_picture(target, private):
            target = None  # nobody else sees this picture, and the Desk is on it
        moved = target is None or target != self.wall.screen
        if moved:
            self._place_wall(target)
            self.wall.show_frame(lesson.wall_frame)
            self._show_mark()
        if self._mode is OneScreen.DESK_ONLY and self._is_on_wall_screen():
            self._cover()
        else:
            self._uncover()
        if second:
            self._window.activateWindow()  # the Wall had the keys until now
        if moved:
            self.wall_placed.emit()

    def _leave_wall_only(self, lesson: Lesson) -> None:
        """The Wall gets a screen of its own; this one waits behind the curtain and takes the keys."""
        self._set_mode(OneScreen.DESK_ONLY, alone=False)
        lesson.desk_wanted = True
        lesson.refresh()  # the Desk stood still until now
        self._window.show_curtain(_("A second screen is here. Enter shows the Desk on this one."))

    def _second_screen_came(self, screens: list[ScreenInfo], private: ScreenInfo | None) -> bool:
        """Whether the Wall can have a screen of its own now: the class's one, if that is known.

        Until that is asked, the private window must be on the main screen.
        """
        home = self._class.alive(screens) or self._class.known(screens, private)
        if home is not None:
            return not same_picture(home, private)
        # Asked in this order there may be no screen at all, for a moment of a lid or a cable.
        return wall_choice(screens, private) is not None and private == screens[0]

    def _place_wall(self, target: ScreenInfo | None) -> None:
        self.wall.place(target, takes_keys=self._mode is OneScreen.WALL_ONLY)

"""The screens' side of the room: looks at what is there, has it planned, and carries the plan out."""

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from pacer.frames.wall import WallFrame
from pacer.qt.lesson.card_keeper import CardKeeper
from pacer.qt.screens.class_screen import ClassScreen, card_place, card_screens, same_picture
from pacer.qt.screens.curtain import curtain_words
from pacer.qt.screens.dialogs import PrivateDialogs
from pacer.qt.screens.hint_mark import HintMark
from pacer.qt.screens.number_cards import CardNumbers, MoveNotes, NumberCards
from pacer.qt.screens.present import ScreenInfo, places_windows, present_screens, screen_info, screen_words
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.screens.questions import OneScreenQuestion, RehearsalQuestion
from pacer.qt.screens.watch import ScreenWatch, WindowWatch, lies_on
from pacer.qt.wall.window import Wall, strip_rect
from pacer.run import room_plan
from pacer.run.events import ScreensChanged
from pacer.run.room_plan import Activity, OneScreen, Question, Screens, Situation, WallFace, WindowPlace

if TYPE_CHECKING:
    from pacer.frames.desk import DeskFrame

LOST_MS = 150  # a window manager may take so long to put a window where it belongs
TRIES = 3


class RoomScreens(QObject):
    """Keeps the Wall on the class's screen and the private window covered wherever in doubt.

    Whatever happens becomes a fact of ``now``; ``plan`` follows from it and is carried out. ``rooms_changed``
    carries the remembered rooms after the teacher answered which screen the class sees; ``planned`` comes
    with every plan; ``wall_placed`` when the Wall went to a screen or lost its own; ``noted`` carries a
    screen change once it has settled.
    """

    rooms_changed = Signal(object)
    planned = Signal()
    wall_placed = Signal()
    noted = Signal(object)

    def __init__(self, window: MainWindow, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._window = window
        self.wall = Wall()
        self.mark: HintMark | None = None
        self.card = CardKeeper(window, self)
        self.card.lost.connect(self._on_card_lost)
        self.class_screen = ClassScreen()
        self.now, self.plan = room_plan.decide(Situation(lifted=False))
        self._changes = 0  # counted, so that an answer to a question that went stale is known
        self._frame: WallFrame | None = None
        self._target: ScreenInfo | None = None  # where the Wall goes, if not to this window's own screen
        self._own: ScreenInfo | None = None
        self._card_screen: ScreenInfo | None = None
        self._notes = MoveNotes(window)
        self.watch = ScreenWatch(self)
        self.watch.changed.connect(self._on_changed)
        self.watch.settled.connect(self._on_settled)
        self.moves = WindowWatch(window, window.placed, self)
        self.moves.moved.connect(self._on_moved)
        self._is_new = window.shows_curtain  # a start drew it, and the window has hardly been shown
        self._tries = 0
        self._lost = QTimer(self)
        self._lost.setSingleShot(True)
        self._lost.setInterval(LOST_MS)
        self._lost.timeout.connect(self._on_lost)
        self._wall_moves = WindowWatch(self.wall.full, self.wall.full.placed, self, exposed=True)
        self._wall_moves.moved.connect(self._on_wall_moved)
        self.dialogs = PrivateDialogs(window, self)
        self.dialogs.moved.connect(self._on_moved)
        self.dialogs.confirmed.connect(self.lift)

    def expect_window(self) -> None:
        """Where the private window is not shown yet, or only just: where it will stand is not known where
        there are several screens, so nothing private is on it until that has settled."""
        is_new, self._is_new = self._is_new or not self._window.isVisible(), False
        if is_new and len(present_screens()) > 1:
            self.moves.follow()
            self.now = replace(self.now, settled=False)
            self._carry_out()
            self.watch.expect()
        else:
            self.look()

    def begin(self, activity: Activity) -> bool:
        """Place a lesson's windows, asking where that is in doubt. False when the teacher cancels.

        A lesson that is there already is never put aside for another one.
        """
        if self.now.has_lesson or self.now.asking:
            return False
        self.class_screen.home = self.class_screen.card_home = None
        wanted = Situation(activity)
        while True:
            changes = self._changes
            said = self._ask(room_plan.question(replace(wanted, screens=self._look(wanted))))
            if said is not OneScreen.CANCEL:
                break
            if changes == self._changes:
                self._carry_out()
                return False
        self._forget_frames()
        self.now = replace(wanted, said=said)
        self.moves.follow()
        self.look()
        return True

    def end(self) -> None:
        """Take everything of a lesson off the screens."""
        self.now = room_plan.ended(self.now)
        self._forget_frames()
        self.look()

    def shut(self) -> None:
        """Close the Wall for good."""
        self.now = Situation()
        self._notes.hide()
        if self.mark is not None:
            self.mark.hide()
        self.card.put_away()
        self.wall.close()

    def _forget_frames(self) -> None:
        self._frame = None
        self.show_desk(None)

    def lift(self) -> None:
        """Lift the curtain, if only the teacher sees this window's screen; else say or ask what is needed."""
        self.look()
        said = self._ask(room_plan.question(self.now))
        if said is not OneScreen.CANCEL:
            self.now = replace(self.now, said=said or self.now.said, lifted=True)
        self.look()

    def ask_screens(self) -> bool:
        """Ask which screen the class sees, also when it is known. False when cancelled or with one screen."""
        if self._look(self.now).kind == "only one":
            return False
        if self.plan.private == "desk":
            # Were the screens to change under the numbers, the Desk would come out from below them.
            self.now = room_plan.covered(self.now, "asked")
            self._carry_out()
        answered = self._ask("numbers") is not OneScreen.CANCEL
        if answered:
            self.look()
        return answered

    def ask_card(self) -> bool:
        """Ask on the pages which screen has the Desk card. False where nothing can be asked, or cancelled.

        The class's screen is asked about first where it is not known.
        """
        if self.now.has_lesson or self.now.asking:
            return False
        if self._look(self.now).kind == "ask" and not self.ask_screens():
            return False
        screens, private, seen = present_screens(), self.private_screen(), self.class_screen
        free = card_screens(screens, seen.known(screens, private), private)
        changes = self._changes
        self.now = replace(self.now, asking=True)
        try:
            answer = CardNumbers.ask(self._window, screens, free) if free else None
        finally:
            self.now = replace(self.now, asking=False)
            self._carry_out()
        if answer is None or changes != self._changes:
            return False
        seen.choose_card(answer.screen, screens)
        self.rooms_changed.emit(seen.rooms)
        return True

    def warn(self, *, unsaved: bool) -> None:
        """Presses would be lost, or no longer: where only the Wall is shown, the curtain says it instead."""
        self.now = replace(self.now, unsaved=unsaved)
        self._carry_out()

    def leave(self, *, leaving: bool) -> None:
        """The window was closed in a lesson, which is kept; or the lesson goes on after all."""
        if leaving != self.now.leaving:
            self.now = replace(self.now, leaving=leaving)
            self._carry_out()

    def show_frame(self, frame: WallFrame) -> None:
        """Show the lesson's newest frame on the Wall."""
        self._frame = frame
        face: WallFace = frame.face if frame.face in ("off", "blank") else frame.shape
        if face != self.now.face:
            self.now = replace(self.now, face=face)
            self._carry_out()
        self._show_wall()
        self._show_mark()

    def show_desk(self, frame: "DeskFrame | None") -> None:
        """Show what else than the Desk itself follows from its newest frame: the mark and the Desk card."""
        if self.mark is not None and frame is not None:
            self.mark.show_level(frame.level)
        self.card.show_desk(frame)

    def bring_wall(self) -> None:
        """Bring a lost Wall back, and try again as often as the system takes it away."""
        self.now, self._tries = replace(self.now, lost=False), 1
        self.wall.bring_back()
        self._lost.start()
        self.planned.emit()

    def _on_wall_moved(self) -> None:
        self._wall_moves.follow()
        if (self.wall.is_lost or self.now.lost) and not self._lost.isActive():
            self._lost.start()

    def _on_lost(self) -> None:
        """Bring the Wall back by itself; where that does not help the teacher is told."""
        if not self.wall.is_lost:
            self._tries = 0
            lost = False
        elif not self.now.settled or self._tries < TRIES:
            self._tries += self.now.settled
            if self.now.settled:
                self.wall.bring_back()
            self._lost.start()
            return
        else:
            lost = True
        if lost != self.now.lost:
            self.now = replace(self.now, lost=lost)
            self.planned.emit()

    def _show_wall(self) -> None:
        """The lesson's frame, or paper in its place; what is off stays off."""
        if self._frame is not None:
            paper = self.plan.paper and self._frame.face != "off"
            self.wall.show_frame(WallFrame("blank") if paper else self._frame)

    def private_screen(self) -> ScreenInfo | None:
        """The screen that the private window is on."""
        screen = self._window.screen()
        return None if screen is None else screen_info(screen)

    def look(self) -> None:
        """Look at the screens, and put everything where it belongs now."""
        self.now = replace(self.now, screens=self._look(self.now), settled=True)
        self._carry_out()

    def _look(self, now: Situation, wall: ScreenInfo | None = None) -> Screens:
        """What is known of the screens; ``wall`` is where the Wall stands if it is not to be placed anew."""
        screens, private = present_screens(), self.private_screen()
        seen = self.class_screen
        # The screen of a lesson stays its own; on the pages what is known of the room now comes first.
        known = None if now.has_lesson else seen.known(screens, private)
        target = wall or known or seen.best(screens, private)
        alive = seen.alive(screens)
        window: WindowPlace = "none"
        # In a lesson the only dialogs are questions that are fit for the class.
        shown_now = [self._window, *([] if now.has_lesson else self.dialogs.open)]
        if target is not None:
            beyond: WindowPlace = "edge" if any(lies_on(shown, target) for shown in shown_now) else "apart"
            window = "same" if same_picture(private, target) else beyond
        on = [one for one in screens if any(lies_on(shown, one) for shown in shown_now)]
        found = Screens(
            kind=seen.kind(screens, private),
            several=len(screens) > 1,
            home="here" if alive else "none" if seen.home is None else "gone",
            window=window,
            # Asked in this order there may be no screen at all, for a moment of a lid or a cable.
            main=bool(screens) and private == screens[0],
            seen_by=seen.seen_by(screens, on or [one for one in (private,) if one is not None]),
        )
        if wall is None and target is not None and found.is_certain and not now.only_wall:
            seen.home = target
            found = replace(found, home="here")
        card = seen.card(screens) if now.has_lesson and places_windows() else None
        if card is not None:
            seen.card_home = card
        self._target, self._own, self._card_screen = target, private, card
        return replace(found, card=card_place(card, screens, (target, private)))

    def _ask(self, question: Question | None) -> OneScreen | None:
        """Ask, if anything; CANCEL also where the screens changed meanwhile. None: nothing was to be said."""
        if question is None:
            return None
        changes, said = self._changes, None
        self.now = replace(self.now, asking=True)
        if question != "numbers":
            # The question is fit for the class, and what lies behind it is, too.
            self._window.show_curtain(curtain_words("question"))
        try:
            if question == "one screen":
                said = OneScreenQuestion.ask(self._window)
            elif question == "rehearsal":
                alone = RehearsalQuestion.ask(self._window)
                said = OneScreen.DESK_ONLY if alone else OneScreen.CANCEL
            else:
                screens = present_screens()
                wall = NumberCards.ask(self._window, screens, self.private_screen())
                if wall is None:
                    return OneScreen.CANCEL
                self.class_screen.answer(wall, screens)
                self.rooms_changed.emit(self.class_screen.rooms)
        finally:
            self.now = replace(self.now, asking=False)
            self._carry_out()
            # A Wall that came back meanwhile takes no keys, yet a window manager may hand them to it.
            self._window.activateWindow()
        return said if changes == self._changes else OneScreen.CANCEL

    def _carry_out(self) -> None:
        """Plan what follows from the facts, and do it: the Wall first, then what is private."""
        before = self.plan
        self.now, self.plan = room_plan.decide(self.now)
        made = self.plan
        placed = made.settled and self._place_wall()
        if before.paper != made.paper:
            self._show_wall()
        self._show_mark()
        self.card.carry_out(made.card, self._card_screen)
        if made.private == "curtain" and made.words is not None:
            words = curtain_words(made.words)
            self.dialogs.cover(words)
            self._window.show_curtain(words)
            self.dialogs.hold()
        elif made.private == "desk":
            self._window.show_desk()
        elif made.private == "pages":
            self._window.show_pages()
            self.dialogs.uncover()
        if made.settled:
            self._window.hide_frame(made.frameless)
            self._show_above()
        if before.wall_takes_keys and not made.wall_takes_keys:
            self._window.activateWindow()
        self.planned.emit()
        if placed:
            self.wall_placed.emit()

    def _place_wall(self) -> bool:
        """Put the Wall on its screen, whatever its size now. False where it stands there already."""
        made = self.plan
        target = None if made.wall is None else self._target if made.wall == "class" else self._own
        if (target, made.wall_takes_keys) == (self.wall.screen, self.wall.takes_keys):
            return False
        self.wall.place(target, takes_keys=made.wall_takes_keys)
        self._show_wall()
        return self._frame is not None

    def _show_above(self) -> None:
        """Where this window is on the class's screen the Wall lies above it; notes say where to move it."""
        wall = self.wall.screen
        if self.plan.above and wall is not None:
            self.wall.full.raise_()
            self._notes.show(present_screens(), wall)
        else:
            self._notes.hide()

    def _show_mark(self) -> None:
        """The mark lies above the Wall where only the Wall may be drawn and the teacher wants it."""
        screen, frame = self.wall.screen, self._frame
        if self.plan.mark and screen is not None and frame is not None:
            self.mark = self.mark or HintMark(self._window)
            self.mark.show_on(screen, strip_rect(screen.rect, frame.edge) if frame.shape == "strip" else None)
        elif self.mark is not None:
            self.mark.hide()

    def _on_card_lost(self) -> None:
        """The system put the Desk card elsewhere: it goes at once, until the screens are looked at anew."""
        self.now = replace(self.now, screens=replace(self.now.screens, card="moved"))
        self._carry_out()

    def _on_changed(self) -> None:
        """Children may suddenly see the private window: cover it, then put the Wall where it belongs."""
        self._changes += 1
        self.now = room_plan.screens_changed(self.now)
        self._carry_out()
        self.watch.expect()
        if self.now.has_lesson:
            # The Wall is wanted at once. The pages can wait until nothing changes any more.
            QTimer.singleShot(0, self, self.look)

    def _on_settled(self) -> None:
        """Tell of the change once, however many pieces it came in. Each of them drew the curtain."""
        self.look()
        wall, told = self.wall.screen, tuple(screen_words(screen) for screen in present_screens())
        self.noted.emit(ScreensChanged(screens=told, wall="" if wall is None else wall.name, curtain=True))

    def _on_moved(self) -> None:
        """The system or the teacher moved this window: where children see it nothing private is painted."""
        self.moves.follow()
        if not self.now.settled and not self.now.has_lesson:
            self.watch.expect()
        if not self.now.only_wall:
            self.now = replace(self.now, screens=self._look(self.now, self.wall.screen))
            self._carry_out()

"""The pages beside Today: each imported and made when it is first wanted, and what one hands to another."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData, QObject, QTimer, Signal
from PySide6.QtWidgets import QApplication, QWidget

from pacer.editing.carried_over import CarriedOver
from pacer.editing.first_group import FirstGroup
from pacer.editing.review_pace import ReviewPace
from pacer.editing.tomorrow_note import TomorrowNote
from pacer.plan.kinds import KindChange, use_kinds
from pacer.plan.rules import Reviewing
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.today.tomorrow_note import TomorrowNoteKeeper
from pacer.run.clock import Clock
from pacer.settings.folders import Folders
from pacer.settings.store import SettingsStore

if TYPE_CHECKING:
    from pacer.editing.dates.week_facts import WeekFacts
    from pacer.log.day_records import DayRecords
    from pacer.qt.classroom.page import RoomPage
    from pacer.qt.first_start.page import FirstStartPage
    from pacer.qt.library.page import LibraryPage
    from pacer.qt.look_back.page import LookBackPage
    from pacer.qt.outline.page import OutlinePage
    from pacer.qt.split.keeper import SplitKeeper
    from pacer.qt.split.page import SplitPage
    from pacer.qt.week.page import WeekPage
    from pacer.review.learning.budgets import SortedPast
    from pacer.run.events import Mode


class Pages(QObject):
    """Makes and shows the pages of the main window.

    ``screens_asked`` asks to ask which screen the class sees, ``card_asked`` which has the Desk card;
    ``outline_saved`` carries the path of an outline that was written, ``outlines_moved`` where one was and
    is now, ``teach_asked`` one to be taught next, ``paper_asked`` one whose card is to be printed;
    ``template_asked`` comes when Today is shown to start with a template.
    """

    screens_asked = Signal()
    card_asked = Signal()
    outline_saved = Signal(object)
    outlines_moved = Signal(object, object)
    teach_asked = Signal(object)
    paper_asked = Signal(object)
    template_asked = Signal()

    def __init__(
        self,
        window: MainWindow,
        where: Folders,
        clock: Clock,
        settings: SettingsStore,
        records: Callable[[], "DayRecords | None"],
        past: Callable[[], "SortedPast | None"],
        modes: "tuple[Mode, ...]",
        chosen: Callable[[], Path | None],
        first_group: FirstGroup,
        carried: CarriedOver,
        week_facts: "Callable[[TomorrowNote], WeekFacts]",
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._window, self._where, self._clock = window, where, clock
        self._settings, self._records, self._past, self._chosen = settings, records, past, chosen
        self._modes, self._week_facts = modes, week_facts
        self.library: LibraryPage | None = None
        self._pace = ReviewPace(records, modes)
        self.look_back: LookBackPage | None = None
        self.outline: OutlinePage | None = None
        self.split_keeper: SplitKeeper | None = None
        self.room: RoomPage | None = None
        self.week: WeekPage | None = None
        self.first_start: FirstStartPage | None = None
        self._note = TomorrowNote(records, lambda: clock.now().utc_ms)
        self._first_group, self._carried = first_group, carried
        self._note_row = TomorrowNoteKeeper(window, self._note, first_group, carried, self)
        window.page_asked.connect(self.show)

    def show(self, page: str) -> None:
        """Show a page by its name; what was typed on another one is kept first."""
        if self.look_back is not None:
            self.look_back.keep()
        pages = {
            "week": self.show_week,
            "library": self.show_library,
            "outline": self.show_outline,
            "split": self.show_split,
            "look back": self.show_look_back,
            "room": self.show_room,
        }
        pages.get(page, self.show_today)()

    def show_today(self) -> None:
        """Show Today; before the first choice the question how to begin stands in its place."""
        if self.first_start is None:
            self._window.show_today()
        else:
            self._window.show_page("today", self.first_start)

    def ask_how_to_begin(self) -> None:
        """Show the page of the first start, in the place of Today, until one of its ways is chosen."""
        from pacer.qt.first_start.page import FirstStartPage

        self.first_start = FirstStartPage()
        self.first_start.chosen.connect(self._on_way)
        self.show_today()
        self.first_start.setFocus()

    def _on_way(self, way: str) -> None:
        self._end_first_start()
        match way:
            case "write":
                self.write_new()
            case "paste":
                self.paste_mine()
            case _:
                self._window.show_today()
                self.template_asked.emit()

    def _end_first_start(self) -> None:
        """It comes once: a way was chosen, or an outline was written without being asked."""
        page, self.first_start = self.first_start, None
        if page is not None:
            self._settings.change(begun=True)
            self._window.pages.removeWidget(page)
            page.deleteLater()

    def write_new(self) -> None:
        """Begin an outline, with the keyboard where its lines are typed."""
        page = self._show_outline_page()
        page.open_new()
        page.pane.editor.setFocus()

    def paste_mine(self) -> None:
        """Take a lesson that she has, read beside what it was read from."""
        self.show_today()
        self.take()

    def show_look_back(self) -> None:
        from pacer.qt.look_back.page import LookBackPage

        self._flush()  # a budget may be accepted into what is open on Outline
        if self.look_back is None:
            self.look_back = LookBackPage(
                self._records(), self._where, self._clock, self._kinds_now, self._past, self._modes
            )
            self.look_back.kinds_changed.connect(self._on_kinds)
            self.look_back.outline_saved.connect(self._on_accepted)
            self.look_back.edit_asked.connect(self.edit)
            self.look_back.today_asked.connect(self._window.show_today)
        else:
            self.look_back.reload()
        self._window.show_page("look back", self.look_back)
        self.look_back.focus_views()

    def show_week(self) -> None:
        """Show the week of the lesson about to run."""
        from pacer.qt.week.page import WeekPage

        self._flush()  # an outline's title may stand on a day
        if self.week is None:
            self.week = WeekPage(self._week_facts(self._note), self._where.outlines, self._clock)
            self.week.edit_asked.connect(self.edit)
        self._window.show_page("week", self.week)
        self.week.open_at_lesson_day()

    def show_room(self) -> None:
        from pacer.qt.classroom.page import RoomPage

        if self.room is None:
            self.room = RoomPage(self._settings)
            self.room.choose_screens_asked.connect(self.screens_asked)
            self.room.choose_card_asked.connect(self.card_asked)
        self._window.show_page("room", self.room)
        first = self.room.choose_button, self.room.picture.card_button
        _give_keyboard(self.room, next(each for each in first if each.isEnabled()))

    def show_library(self) -> None:
        """Show the outlines as files: the teacher's own, the templates, and those that were put away."""
        self._flush()  # what is typed on Outline counts, too
        page = self._library_page()
        self._window.show_page("library", page)
        page.reload_if_changed()
        page.side.list.setFocus()

    def mend(self, path: Path) -> None:
        """Show what is wrong with an outline's file, and what can be done about it."""
        self.show_library()
        self._library_page().show_path(path)

    def _library_page(self) -> "LibraryPage":
        from pacer.qt.library.make_page import make_page

        if self.library is None:
            facts = self._week_facts(self._note)
            page = self.library = make_page(
                self._where, self._clock, facts.planned, self._records, facts.taught
            )
            page.edit_asked.connect(self.edit)
            page.new_asked.connect(self._on_new_asked)
            page.moving.connect(self._flush)
            page.moved.connect(self._on_moved)
            page.teach_asked.connect(self.teach_asked)
            page.card_asked.connect(self.paper_asked)
        return self.library

    def _on_new_asked(self, lines: Sequence[str]) -> None:
        self._show_outline_page().open_new(lines)

    def _flush(self) -> None:
        """Have on disk what was typed on Outline."""
        if self.outline is not None:
            self.outline.flush()

    def _on_moved(self, old: Path | None, new: Path | None) -> None:
        """An outline has another name or is gone: what shows it follows."""
        if self.outline is not None and old is not None and self.outline.editor.file.path == old:
            if new is None:
                self.outline.open_new()
            else:
                self.outline.open_path(new)
        self.outlines_moved.emit(old, new)

    def show_outline(self) -> None:
        """Show the outline that was edited last in this session, else the one chosen on Today."""
        is_new = self.outline is None
        page = self._show_outline_page()
        if is_new:
            chosen = self._chosen()
            if chosen is None or not page.open_path(chosen):
                page.open_new()
        _give_keyboard(page, page.pane.editor)

    def edit(self, path: Path) -> None:
        self._show_outline_page().open_path(path)

    def _show_outline_page(self) -> "OutlinePage":
        page = self._outline_page()
        self._window.show_page("outline", page)
        self._carried.forget()
        # Of every subject: an outline under edit may not have its own yet.
        words = self._note.text(), self._carried.words()
        page.show_tomorrow_note("\n".join(filter(None, words)))
        return page

    def _outline_page(self) -> "OutlinePage":
        from pacer.qt.outline.page import OutlinePage
        from pacer.settings.draft_store import DraftStore

        if self.outline is None:
            store = DraftStore(self._where.data, self._clock)
            self.outline = OutlinePage(store, self._where.outlines, self._clock)
            self.outline.look_from_back_row(self._settings)
            self.outline.saved.connect(self._on_saved)
            self.outline.closed.connect(self.show_today)
            self.outline.kinds_asked.connect(self._ask_kinds)
            self.outline.week_asked.connect(self._ask_week)
            self.outline.mend_asked.connect(self.mend)
            self.outline.take_asked.connect(self._on_take)
            QTimer.singleShot(0, self, self._read_past)
        return self.outline

    def _on_saved(self, path: Path) -> None:
        self._end_first_start()
        if self.library is not None:
            self.library.seen.own(path)
        self._note_retitled(path)
        self.outline_saved.emit(path)

    def _note_retitled(self, path: Path) -> None:
        """Once an outline has another title than it was opened with, its older lessons go by its file."""
        page = self._outline_page()
        opened = page.editor.file.opened_title
        if opened and opened != page.editor.sheet.title and path.parent == self._where.outlines:
            from pacer.editing.library.followers import PlannedFollower, tell_retitling

            page.editor.file.opened_title = ""
            facts = self._week_facts(self._note)
            tell_retitling(path, opened, [PlannedFollower(facts.planned, facts.taught.lessons)])

    def take(self, mime: QMimeData | None = None, path: Path | None = None) -> None:
        """Show what was read beside what she has: pasted or dropped, in a file, or nothing yet.

        Any page may ask for it. What she makes of it opens in Outline, which saves it like any other.
        """
        from pacer.qt.taken.window import TakenWindow
        from pacer.settings.taken_store import TakenStore

        may_add = self.outline is not None and bool(self.outline.editor.sheet.phases)
        window = TakenWindow(TakenStore(self._where.data, self._clock), self._window, may_add=may_add)
        if mime is not None:
            window.take_mime(mime)
        elif path is not None:
            window.take_file(path)
        outcome = window.ask()
        if outcome:
            page = self._show_outline_page()
            if outcome == "add":
                page.add_taken(window.lesson.reading.text)
            else:
                page.open_taken(window.lesson.sheet())
            page.flush()
            if not page.editor.file.failed:  # else it waits here, too, until it is on disk as an outline
                window.lesson.done()
        window.deleteLater()

    def _on_take(self, mime: object) -> None:
        self.take(mime if isinstance(mime, QMimeData) else None)

    def _ask_kinds(self) -> None:
        """Show the table of phase kinds; what is changed holds for every outline read from now on."""
        from pacer.qt.outline.kinds_dialog import KindsDialog

        now = self._settings.now
        reviewing = Reviewing(now.reviewing_cap_s, now.problem_s)
        answer = KindsDialog.ask(now.kinds, self._window, reviewing, self._pace.learned())
        if answer is not None:
            changes, reviewing = answer
            self._settings.change(reviewing_cap_s=reviewing.cap_s, problem_s=reviewing.problem_s)
            self._on_kinds(changes)

    def _ask_week(self) -> None:
        """Show the week's rotation; outlines that got their order are shown anew."""
        from pacer.qt.outline.week_dialog import WeekDialog

        for path in WeekDialog.ask(self._where.outlines, self._first_group.owed, self._window):
            self._on_accepted(path)

    def _on_kinds(self, changes: dict[str, KindChange]) -> None:
        use_kinds(changes, self._settings.now.reviewing_cap_s)
        self._settings.change(kinds=changes)
        self._read_past()  # the page works everything out anew

    def _kinds_now(self) -> dict[str, KindChange]:
        return self._settings.now.kinds

    def _on_accepted(self, path: Path) -> None:
        """An outline was changed elsewhere: what shows that outline shows it anew."""
        if self.library is not None:
            self.library.seen.own(path)
        if self.outline is not None and self.outline.editor.file.path == path:
            self.outline.open_path(path)
        self.outline_saved.emit(path)

    def _read_past(self) -> None:
        """The past is read once the page can be seen."""
        if self.outline is not None:
            self.outline.set_past(self._past(), self._pace.now(self._settings.now.problem_s))
            self.outline.show_first_group(self._first_group.words)

    def show_split(self) -> None:
        from pacer.qt.split.keeper import SplitKeeper

        if self.split_keeper is None:
            self.split_keeper = SplitKeeper(self._where.split_file, self._clock, self)
            self.split_keeper.page.outline_asked.connect(self._make_outline)
        self._window.show_page("split", self.split_keeper.page)
        self.split_keeper.page.text.setFocus()

    @property
    def split(self) -> "SplitPage | None":
        """The page Split, once it was shown."""
        return None if self.split_keeper is None else self.split_keeper.page

    def _make_outline(self, made: tuple[Sequence[str], Sequence[str], dict[str, str]]) -> None:
        """What all hear becomes tomorrow's phases, the rest the list for the table, tables its groups."""
        page, (lines, table_lines, block) = self._outline_page(), made
        self._window.show_page("outline", page)
        page.open_new(lines, table_lines)
        for name, text in block.items():
            page.editor.set_head(name, text)

    def shut(self) -> None:
        """Save what is open. Called once, before the program ends."""
        if self.split_keeper is not None:
            self.split_keeper.shut()
        if self.look_back is not None:
            self.look_back.keep()
        if self.outline is not None:
            self.outline.shut()
        if self.room is not None:
            self.room.put_card_away()


def _give_keyboard(page: QWidget, to: QWidget) -> None:
    """Unless it is on the page already: on the name of a page the page's own keys do nothing."""
    has = QApplication.focusWidget()
    if has is None or not page.isAncestorOf(has):
        to.setFocus()

"""The pages beside Today: each imported and made when it is first wanted, and what one hands to another."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData, QObject, QTimer, Signal

from pacer.editing.carried_over import CarriedOver
from pacer.editing.first_group import FirstGroup
from pacer.editing.tomorrow_note import TomorrowNote
from pacer.plan.kinds import KindChange, use_kinds
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.today.tomorrow_note import TomorrowNoteKeeper
from pacer.run.clock import Clock
from pacer.settings.folders import Folders
from pacer.settings.store import SettingsStore

if TYPE_CHECKING:
    from pacer.log.day_records import DayRecords
    from pacer.qt.classroom.page import RoomPage
    from pacer.qt.first_start.page import FirstStartPage
    from pacer.qt.look_back.page import LookBackPage
    from pacer.qt.outline.page import OutlinePage
    from pacer.qt.split.page import SplitPage
    from pacer.review.learning.budgets import SortedPast
    from pacer.run.events import Mode

KEEP_AFTER_MS = 1000


class Pages(QObject):
    """Makes and shows the pages of the main window.

    ``screens_asked`` asks to ask which screen the class sees, ``card_asked`` which has the Desk card;
    ``outline_saved`` carries the path of an outline that was written, ``template_asked`` comes when Today is
    shown to start with a template.
    """

    screens_asked = Signal()
    card_asked = Signal()
    outline_saved = Signal(object)
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
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._window, self._where, self._clock = window, where, clock
        self._settings, self._records, self._past, self._chosen = settings, records, past, chosen
        self._modes = modes
        self.look_back: LookBackPage | None = None
        self.outline: OutlinePage | None = None
        self.split: SplitPage | None = None
        self.room: RoomPage | None = None
        self.first_start: FirstStartPage | None = None
        self._keep = QTimer(self)
        self._keep.setSingleShot(True)
        self._keep.timeout.connect(self._keep_split)
        self._note = TomorrowNote(records, self._utc_now_ms)
        self._first_group, self._carried = first_group, carried
        self._note_row = TomorrowNoteKeeper(window, self._note, first_group, carried, self)
        window.page_asked.connect(self.show)

    def _utc_now_ms(self) -> int:
        return self._clock.now().utc_ms

    def show(self, page: str) -> None:
        """Show a page by its name; what was typed on another one is kept first."""
        if self.look_back is not None:
            self.look_back.keep()
        match page:
            case "outline":
                self.show_outline()
            case "split":
                self.show_split()
            case "look back":
                self.show_look_back()
            case "room":
                self.show_room()
            case _:
                self.show_today()

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
        """Show the day records."""
        from pacer.qt.look_back.page import LookBackPage

        if self.outline is not None:
            self.outline.flush()  # a budget may be accepted into what is open there
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

    def show_room(self) -> None:
        """Show what is set for a classroom."""
        from pacer.qt.classroom.page import RoomPage

        if self.room is None:
            self.room = RoomPage(self._settings)
            self.room.choose_screens_asked.connect(self.screens_asked.emit)
            self.room.choose_card_asked.connect(self.card_asked.emit)
        self._window.show_page("room", self.room)

    def show_outline(self) -> None:
        """Show the outline that was edited last in this session, else the one chosen on Today."""
        is_new = self.outline is None
        page = self._show_outline_page()
        if is_new:
            chosen = self._chosen()
            if chosen is None or not page.open_path(chosen):
                page.open_new()

    def edit(self, path: Path) -> None:
        """Open an outline in the Outline page."""
        self._show_outline_page().open_path(path)

    def _show_outline_page(self) -> "OutlinePage":
        page = self._outline_page()
        self._window.show_page("outline", page)
        self._carried.forget()
        # Of every subject: an outline under edit may not have its own yet.
        words = self._note.text(), self._carried.words()
        page.show_tomorrow_note("\n".join(line for line in words if line))
        return page

    def _outline_page(self) -> "OutlinePage":
        from pacer.qt.outline.page import OutlinePage
        from pacer.settings.draft_store import DraftStore

        if self.outline is None:
            store = DraftStore(self._where.data, self._clock)
            self.outline = OutlinePage(store, self._where.outlines, self._clock)
            self.outline.look_from_back_row(self._settings)
            self.outline.saved.connect(self._on_outline_saved)
            self.outline.closed.connect(self.show_today)
            self.outline.kinds_asked.connect(self._ask_kinds)
            self.outline.week_asked.connect(self._ask_week)
            self.outline.take_asked.connect(self._on_take)
            QTimer.singleShot(0, self, self._read_past)
        return self.outline

    def _on_outline_saved(self, path: Path) -> None:
        self._end_first_start()
        self.outline_saved.emit(path)

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
        window.exec()
        if window.outcome:
            page = self._show_outline_page()
            if window.outcome == "add":
                page.add_taken(window.lesson.reading.text)
            else:
                page.open_taken(window.lesson.sheet())
            # Kept until it is kept as an outline's: the journal is written at once.
            page.editor.file.journal()
            window.lesson.done()
        window.deleteLater()

    def _on_take(self, mime: object) -> None:
        self.take(mime if isinstance(mime, QMimeData) else None)

    def _ask_kinds(self) -> None:
        """Show the table of phase kinds; what is changed holds for every outline read from now on."""
        from pacer.qt.outline.kinds_dialog import KindsDialog

        changes = KindsDialog.ask(self._settings.now.kinds, self._window)
        if changes is not None:
            self._on_kinds(changes)

    def _ask_week(self) -> None:
        """Show the week's rotation; outlines that got their order are shown anew."""
        from pacer.qt.outline.week_dialog import WeekDialog

        for path in WeekDialog.ask(self._where.outlines, self._first_group.owed, self._window):
            self._on_accepted(path)

    def _on_kinds(self, changes: dict[str, KindChange]) -> None:
        use_kinds(changes)
        self._settings.change(kinds=changes)
        self._read_past()  # the page works everything out anew

    def _kinds_now(self) -> dict[str, KindChange]:
        return self._settings.now.kinds

    def _on_accepted(self, path: Path) -> None:
        """An outline was changed elsewhere: what shows that outline shows it anew."""
        if self.outline is not None and self.outline.editor.file.path == path:
            self.outline.open_path(path)
        self.outline_saved.emit(path)

    def _read_past(self) -> None:
        """The past is read once the page can be seen."""
        if self.outline is not None:
            self.outline.set_past(self._past())
            self.outline.show_first_group(self._first_group.words)

    def show_split(self) -> None:
        """Show the split of the curriculum's lesson."""
        from pacer.qt.split.page import SplitPage

        if self.split is None:
            from pacer.settings.split_store import load_split

            self.split = SplitPage()
            kept = load_split(self._where.split_file, self._clock)
            self.split.show_text(kept.text, kept.whole_group_s, kept.table_s, kept.tables, kept.fates)
            self.split.changed.connect(self._on_split)
            self.split.outline_asked.connect(self._make_outline)
        self._window.show_page("split", self.split)
        self.split.text.setFocus()

    def _on_split(self) -> None:
        self._keep.start(KEEP_AFTER_MS)

    def _keep_split(self) -> None:
        """Write the sheet; one that can't be written is said on its own page."""
        from pacer.settings.split_store import KeptSplit, SplitError, save_split

        page = self.split
        if page is None:
            return
        sheet = page.sheet
        kept = KeptSplit(
            text=page.text.toPlainText(),
            whole_group_s=sheet.whole_group_s,
            table_s=sheet.table_s,
            tables=sheet.tables,
            fates=page.fates,
        )
        try:
            save_split(self._where.split_file, kept)
            page.tell("")
        except SplitError as error:
            page.tell(str(error))

    def _make_outline(self, made: tuple[Sequence[str], Sequence[str], dict[str, str]]) -> None:
        """What all hear becomes tomorrow's phases, the rest the list for the table, tables its groups."""
        page, (lines, table_lines, block) = self._outline_page(), made
        self._window.show_page("outline", page)
        page.open_new(lines, table_lines)
        for name, text in block.items():
            page.editor.set_head(name, text)

    def shut(self) -> None:
        """Save what is open. Called once, before the program ends."""
        if self._keep.isActive():
            self._keep.stop()
            self._keep_split()
        if self.look_back is not None:
            self.look_back.keep()
        if self.outline is not None:
            self.outline.shut()
        if self.room is not None:
            self.room.put_card_away()

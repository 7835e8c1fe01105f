"""Look back: a list of views beside the one shown. Each is imported and made when it is first wanted."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QComboBox, QListWidget, QListWidgetItem, QStackedWidget, QWidget

from pacer.frames.pictures import QUESTIONS, short_title
from pacer.frames.words.nothing_yet import nothing_yet
from pacer.log.backups import copy_files
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.plan.kinds import KindChange
from pacer.qt.kit.empty.page import EmptyPage
from pacer.qt.kit.empty.pictures import PictureName
from pacer.qt.kit.rows import LEFT, row_of, turn
from pacer.qt.kit.widgets import named
from pacer.qt.look_back.lesson_view import LessonView
from pacer.run.clock import Clock
from pacer.run.events import Mode
from pacer.settings.folders import Folders
from pacer.text import _

if TYPE_CHECKING:
    from pacer.qt.look_back.budgets.panel import BudgetsPanel
    from pacer.qt.look_back.pictures_view import PicturesView
    from pacer.qt.look_back.records.panel import DataPanel
    from pacer.review.learning.budgets import SortedPast

SPANS = ("week", "unit", "rehearsal", "warnings")
VIEWS = ("lesson", *QUESTIONS, *SPANS, "budgets", "records")
_VIEW = Qt.ItemDataRole.UserRole
_NAV_PX, _ROW_PX = 232, 36
NARROW_PX = 1160  # of the page; below it the views are chosen in a box above the view


def _view_words(view: str) -> str:
    own = {"lesson": _("A lesson"), "budgets": _("Budgets"), "records": _("Day records")}
    return own.get(view) or short_title(view)


class LookBackPage(QWidget):
    """The views of Look back.

    ``kinds_changed`` carries the table of phase kinds after a budget was accepted into it, ``outline_saved``
    the path of an outline that one was accepted into, ``edit_asked`` that of one to be opened;
    ``today_asked`` comes from an empty view, which a lesson fills.
    """

    kinds_changed = Signal(object)
    outline_saved = Signal(object)
    edit_asked = Signal(object)
    today_asked = Signal()

    def __init__(
        self,
        records: DayRecords | None,
        where: Folders,
        clock: Clock,
        kinds: Callable[[], Mapping[str, KindChange]],
        past: "Callable[[], SortedPast | None]",
        modes: tuple[Mode, ...],
    ) -> None:
        super().__init__()
        self.setAccessibleName(_("Look back"))
        self._records, self._where, self._clock = records, where, clock
        self._kinds, self._past, self._modes = kinds, past, modes
        self.views = named(QListWidget(), _("Views"))
        for view in VIEWS:
            item = QListWidgetItem(_view_words(view))
            item.setData(_VIEW, view)
            item.setSizeHint(QSize(0, _ROW_PX))
            self.views.addItem(item)
        self.views.setFixedWidth(_NAV_PX)
        self.view_box = named(QComboBox(), _("Views"))
        self.view_box.setModel(self.views.model())
        self.view_box.setMinimumHeight(_ROW_PX)
        self.view_box.activated.connect(self.views.setCurrentRow)
        self.lesson = LessonView(records, lambda: clock.now().utc_ms)
        self.pictures: PicturesView | None = None
        self.budgets: BudgetsPanel | None = None
        self.data: DataPanel | None = None
        self.empty: dict[str, EmptyPage] = {}
        self._stack = QStackedWidget()
        self._stack.addWidget(self.lesson)
        parts = self.views, (self.view_box, 0, LEFT), (self._stack, 1)
        self._columns = row_of(*parts, inside=self, margins=(36, 18, 36, 24))
        self._fit()
        self.views.setCurrentRow(0)
        self.views.currentItemChanged.connect(self._on_view)
        self.lesson.reload()
        self._show(self.view)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The list of views stands beside the view where there is room for both."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        narrow = self.width() < NARROW_PX
        self.views.setVisible(not narrow)
        self.view_box.setVisible(narrow)
        turn(self._columns, stacked=narrow)
        self._columns.setSpacing(10 if narrow else 28)

    def reload(self) -> None:
        """Read the lessons again and show the view anew."""
        self.lesson.reload()
        self._show(self.view)

    @property
    def view(self) -> str:
        """The name of the view shown, one of ``VIEWS``."""
        item = self.views.currentItem()
        return "lesson" if item is None else str(item.data(_VIEW))

    def choose(self, view: str) -> None:
        self.views.setCurrentRow(VIEWS.index(view))

    def focus_views(self) -> None:
        (self.view_box if self.views.isHidden() else self.views).setFocus()

    def keep(self) -> None:
        """Save the note for tomorrow if it was changed."""
        self.lesson.keep_tomorrow_note()

    def _on_view(self, *_items: object) -> None:
        self.view_box.setCurrentIndex(self.views.currentRow())
        self.keep()
        self._show(self.view)

    def _show(self, view: str) -> None:
        records = self._records
        if records is not None and self._is_empty(records, view):
            shown: QWidget = self._empty_page(view)
        elif records is None or view == "lesson":
            shown = self.lesson
        elif view == "budgets":
            shown = self._budgets_panel(records)
        elif view == "records":
            shown = self._data_panel(records)
        else:
            pictures = shown = self._pictures_view(records)
            pictures.show_picture(view)
        if self._stack.indexOf(shown) < 0:
            self._stack.addWidget(shown)
        self._stack.setCurrentWidget(shown)

    def _is_empty(self, records: DayRecords, view: str) -> bool:
        """Whether there is no lesson yet; the trash and copies to bring back are seen among the records."""
        try:
            if records.runs():
                return False
            return view != "records" or not (records.trashed_runs() or copy_files(records.path))
        except LogError:
            return False  # the view says why

    def _empty_page(self, view: str) -> EmptyPage:
        if view not in self.empty:
            pictures: dict[str, PictureName] = {own: own for own in ("lesson", "budgets", "records")}
            made = EmptyPage(nothing_yet(view), pictures.get(view, "chart"), _("Go to the lesson on Today"))
            made.asked.connect(self.today_asked)
            self.empty[view] = made
        return self.empty[view]

    def _pictures_view(self, records: DayRecords) -> "PicturesView":
        if self.pictures is None:
            from pacer.qt.look_back.pictures_view import PicturesView

            self.pictures = PicturesView(records, self._modes, self)
        return self.pictures

    def _budgets_panel(self, records: DayRecords) -> "BudgetsPanel":
        if self.budgets is None:
            from pacer.qt.look_back.budgets.panel import BudgetsPanel

            where = self._where.outlines, self._clock, self
            self.budgets = BudgetsPanel(records, self._past, *where, kinds=self._kinds, modes=self._modes)
            self.budgets.kinds_changed.connect(self.kinds_changed)
            self.budgets.outline_saved.connect(self.outline_saved)
            self.budgets.edit_asked.connect(self.edit_asked)
        self.budgets.reload()
        return self.budgets

    def _data_panel(self, records: DayRecords) -> "DataPanel":
        if self.data is None:
            from pacer.qt.look_back.records.panel import DataPanel

            self.data = DataPanel(records, self._where, self._clock, self)
            self.data.changed.connect(self.lesson.reload)
        self.data.reload()
        return self.data

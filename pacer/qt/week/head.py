"""The head of Week: which days are shown, and the way to others."""

from typing import Literal, get_args

from PySide6.QtCore import QSignalBlocker, QTime, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from pacer.qt.kit.rows import row_of
from pacer.qt.kit.setting_fields import ClockField
from pacer.qt.kit.widgets import button, label, named
from pacer.text import _

View = Literal["week", "two weeks", "unit"]
VIEWS: tuple[View, ...] = get_args(View)


class WeekHead(QWidget):
    """``turned`` carries by how many days to turn, ``view_asked`` one of ``VIEWS``, ``bell_typed`` a time."""

    turned = Signal(int)
    view_asked = Signal(object)
    bell_typed = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Which days"))
        self.title = label("", "title")
        self.earlier = named(
            button("‹", self._on_earlier, tip=_("The week before (Page Up)")), _("The week before")
        )
        self.later = named(
            button("›", self._on_later, tip=_("The week after (Page Down)")), _("The week after")
        )
        titles: dict[View, str] = {"week": _("&1 week"), "two weeks": _("&2 weeks"), "unit": _("Un&it")}
        self.views = {view: self._view_button(view, titles[view]) for view in VIEWS}
        self.last_bell = named(ClockField(), _("School's last bell"))
        tip = _("When a day is over whose shape does not say so: then Today stands on the next school day")
        self.last_bell.setToolTip(tip)
        self.last_bell.setKeyboardTracking(False)  # on the way to 15 it is 1, when any day is over
        self.last_bell.timeChanged.connect(self._on_bell)
        caption = label(_("Last &bell"), "quiet", of=self.last_bell)
        bell = caption, self.last_bell, 12
        row_of((self.title, 1), *bell, self.earlier, self.later, 12, *self.views.values(), gap=8, inside=self)

    def _view_button(self, view: View, title: str) -> QPushButton:
        made = button(title, self._on_view, "view")
        made.setCheckable(True)
        made.setProperty("view", view)
        return made

    def show_view(self, view: View, title: str) -> None:
        """Say which days are shown; a unit has no weeks to turn."""
        self.title.setText(title)
        for each, chooser in self.views.items():
            chooser.setChecked(each == view)
        for widget in (self.earlier, self.later):
            widget.setEnabled(view != "unit")

    def show_bell(self, last_bell: str) -> None:
        """Say when school is over."""
        with QSignalBlocker(self.last_bell):
            self.last_bell.setTime(QTime.fromString(last_bell, "H:mm"))

    def _on_bell(self, time: QTime) -> None:
        self.bell_typed.emit(time.toString("H:mm"))

    def _on_view(self) -> None:
        chosen = self.sender()
        if isinstance(chosen, QPushButton):
            self.view_asked.emit(chosen.property("view"))

    def _on_earlier(self) -> None:
        self.turned.emit(-7)

    def _on_later(self) -> None:
        self.turned.emit(7)

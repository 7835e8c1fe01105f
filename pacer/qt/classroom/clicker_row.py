"""What a clicker's blank button does in a lesson: hide the time, or blank the Wall and pause."""

from PySide6.QtWidgets import QButtonGroup, QRadioButton, QWidget

from pacer.qt.kit.rows import column_of
from pacer.qt.kit.setting_fields import keep
from pacer.settings.store import SettingsStore
from pacer.text import _


class ClickerRow(QWidget):
    """Two choices for the button that presses B or the full stop."""

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self.setAccessibleName(_("Blank button of the clicker"))
        self.hides = QRadioButton(_("its blank button hides the ti&me"))
        self.blanks = QRadioButton(_("it blan&ks the Wall and pauses"))
        group = QButtonGroup(self)
        for radio in (self.hides, self.blanks):
            group.addButton(radio)
            radio.setAccessibleDescription(_("What the clicker's blank button does: B or full stop"))
        (self.blanks if settings.now.clicker_blanks else self.hides).setChecked(True)
        column_of(self.hides, self.blanks, gap=0, inside=self)
        keep(self.blanks.toggled, settings, "clicker_blanks")

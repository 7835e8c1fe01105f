"""Questions that are asked before a lesson, each with an ``ask`` that tests can replace."""

from enum import Enum

from PySide6.QtWidgets import QMessageBox, QWidget

from pacer.text import _


class OneScreen(Enum):
    """What to show where there is only one screen, or all show the same."""

    WALL_ONLY = "wall"
    DESK_ONLY = "desk"
    CANCEL = "cancel"


class OneScreenQuestion:
    """Asks, each time, whether anybody else sees this screen."""

    @staticmethod
    def ask(parent: QWidget) -> OneScreen:
        """Return the answer; closing the box cancels."""
        box = QMessageBox(parent)
        box.setWindowTitle(_("One screen"))
        box.setText(_("Only one screen is connected, or all show the same."))
        box.setInformativeText(_("If children see it, only the Wall may be shown here."))
        wall = box.addButton(_("Children see it: show the &Wall"), QMessageBox.ButtonRole.AcceptRole)
        desk = box.addButton(_("&Nobody else sees it: show the Desk"), QMessageBox.ButtonRole.ActionRole)
        box.addButton(_("&Cancel"), QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(wall)
        box.exec()
        if box.clickedButton() is wall:
            return OneScreen.WALL_ONLY
        return OneScreen.DESK_ONLY if box.clickedButton() is desk else OneScreen.CANCEL

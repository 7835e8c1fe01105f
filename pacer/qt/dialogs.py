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
        box.deleteLater()  # it belongs to the window, which would keep every one ever asked
        if box.clickedButton() is wall:
            return OneScreen.WALL_ONLY
        return OneScreen.DESK_ONLY if box.clickedButton() is desk else OneScreen.CANCEL


class PrivateSideQuestion:
    """Asks before a lesson when Pacer's window is not on the main screen: children may be looking at it."""

    @staticmethod
    def ask(parent: QWidget) -> bool:
        """True when this is the teacher's own screen; closing the box means no."""
        box = QMessageBox(parent)
        box.setWindowTitle(_("Whose screen is this?"))
        box.setText(_("This window is not on the main screen. Do children see this screen?"))
        box.setInformativeText(_("If they do, move this window to your own screen first, then start."))
        children = box.addButton(_("&Children see it"), QMessageBox.ButtonRole.RejectRole)
        own = box.addButton(_("It is &my own"), QMessageBox.ButtonRole.AcceptRole)
        box.setDefaultButton(children)
        box.setEscapeButton(children)
        box.exec()
        box.deleteLater()
        return box.clickedButton() is own

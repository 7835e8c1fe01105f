"""The questions about who sees this screen, each with an ``ask`` that tests can replace."""

from PySide6.QtWidgets import QCheckBox, QMessageBox, QWidget

from pacer.run.room_plan import OneScreen
from pacer.text import _


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
        mark = QCheckBox(_("Beside the Wall: a small &mark in the corner for me, without words"))
        box.setCheckBox(mark)
        box.setDefaultButton(wall)
        box.exec()
        box.deleteLater()  # it belongs to the window, which would keep every one ever asked
        if box.clickedButton() is wall:
            return OneScreen.WALL_AND_MARK if mark.isChecked() else OneScreen.WALL_ONLY
        return OneScreen.DESK_ONLY if box.clickedButton() is desk else OneScreen.CANCEL


class RehearsalQuestion:
    """Asks before a rehearsal on a screen that children may see."""

    @staticmethod
    def ask(parent: QWidget) -> bool:
        """Whether nobody else sees this screen now; closing the box means no."""
        box = QMessageBox(parent)
        box.setWindowTitle(_("Rehearsal"))
        box.setText(_("The class may see this screen: it is the class's, or all screens show the same."))
        box.setInformativeText(_("A rehearsal shows the Desk here. Move this window first if anybody looks."))
        desk = box.addButton(_("&Nobody else sees it: show the Desk"), QMessageBox.ButtonRole.AcceptRole)
        cancel = box.addButton(_("&Cancel"), QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(cancel)
        box.exec()
        box.deleteLater()
        return box.clickedButton() is desk

"""What can be done with an outline of the library: the words of it, and a menu."""

from collections.abc import Callable, Sequence

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget

from pacer.text import _


def action_words(action: str) -> tuple[str, str]:
    """What is done with an outline: the words of its button, and a tip with its key."""
    return {
        "edit": (_("&Edit"), _("Enter: open it on the page Outline")),
        "look": (_("&Look at it"), _("Enter: open it on the page Outline; nothing is copied")),
        "use": (_("&Copy to mine"), _("Ctrl+D: put a copy among your outlines")),
        "teach": (_("&Teach it next"), _("Choose it on the page Today")),
        "rename": (_("&Rename"), _("F2: another title; the file follows")),
        "duplicate": (_("D&uplicate"), _("Ctrl+D: a copy beside it")),
        "away": (_("&Put away"), _("Ctrl+Backspace: out of sight, and brought back when it is wanted")),
        "back": (_("&Bring back"), _("Enter: among your outlines again")),
        "delete": (_("De&lete"), _("Delete: to the trash; Ctrl+Z takes it back")),
        "card": (_("Print the c&ard"), _("Ctrl+P: the card with clock times")),
        "mend": (_("&Mend it"), _("Pacer sets its text right; Ctrl+Z takes it back")),
        "version": (_("&Go back to the last good version"), _("What it says now is kept, too")),
        "list": (_("&Make an outline of it"), _("A new outline; the file stays as it is")),
        "text": (_("Open its te&xt"), _("The text of the file, at the line in question")),
        "before": (_("Go back to &before"), _("What the other program wrote is kept as an earlier version")),
        "keep": (_("&Keep the change"), _("Take it as the other program left it")),
        "more": (_("M&ore…"), _("What else can be done with it: also by a right click in the list")),
    }[action]


class ActionsMenu(QMenu):
    """Goes by itself when it closes; ``act`` gets the name of what is chosen."""

    def __init__(self, parent: QWidget, names: Sequence[str], act: Callable[[str], None]) -> None:
        super().__init__(parent)
        self._act = act
        for name in names:
            words, tip = action_words(name)
            action = QAction(words, self)
            action.setData(name)
            action.setToolTip(tip)
            self.addAction(action)
        self.triggered.connect(self._on_triggered)
        self.aboutToHide.connect(self.deleteLater)

    def _on_triggered(self, action: QAction) -> None:
        self._act(str(action.data()))

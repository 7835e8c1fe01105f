"""A plain page over everything private, shown when children might see this window."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QVBoxLayout, QWidget

from pacer.qt.kit import theme
from pacer.qt.kit.widgets import label
from pacer.run.room_plan import Words
from pacer.text import _

TEXT_PX = 40


def curtain_words(words: Words) -> str:
    """What the curtain says; nothing of the lesson."""
    return {
        "changed": _("The screens changed. Enter shows the Desk again; all keys work."),
        "asked": _("Enter shows the Desk; all keys work."),
        "second": _("A second screen is here. Enter shows the Desk on this one."),
        "own": _("This is your own screen now. Enter shows the Desk; all keys work."),
        "mirrored": _("All screens show the same. Enter asks who sees them; all keys work."),
        "move": _("Move this window to your own screen, then press Enter. All keys work."),
        "wall only": _("The lesson's keys work here. Nothing private is shown."),
        "unsaved": _("Some presses are not saved yet. Enter again leaves without saving."),
        "over": _("The lesson is over. Enter opens Look back when nobody else sees this."),
        "looking": _("One moment: Pacer looks at the screens."),
        "pages mirrored": _("All screens show the same. If only you see them now, press Enter."),
        "pages class": _(
            "The class sees this screen. Move this window to your own. Or press Enter, if nobody looks now."
        ),
        "pages unknown": _(
            "Whether the class sees this screen is not known. If only you see it, press Enter."
        ),
        "question": _("One question first."),
    }[words]


class Curtain(QWidget):
    """Says one thing and takes the keys; there is nothing of the lesson on it."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Curtain"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        # It paints its own page in the Wall's colours: nothing of it is marked as private.
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._text = label("", wrap=True)
        self._text.setFont(theme.font(TEXT_PX))  # readable while walking up to the laptop
        self._text.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._keys = label("", wrap=True)
        self._keys.setFont(theme.font(TEXT_PX, theme.BOLD))
        self._keys.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._keys.hide()
        application = QGuiApplication.instance()
        assert isinstance(application, QGuiApplication)
        application.applicationStateChanged.connect(self._on_application_state)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(60, 60, 60, 60)
        layout.addStretch(1)
        layout.addWidget(self._text)
        layout.addSpacing(30)
        layout.addWidget(self._keys)
        layout.addStretch(1)

    def say(self, text: str) -> None:
        """Change what it says."""
        self._text.setText(text)
        self.setAccessibleDescription(text)

    def _on_application_state(self, state: Qt.ApplicationState) -> None:
        """A change of screens often takes the keyboard along: as on the Desk, that is said large."""
        elsewhere = state != Qt.ApplicationState.ApplicationActive
        self._keys.setText(_("Keys go to another program. Click here.") if elsewhere else "")
        self._keys.setVisible(elsewhere)

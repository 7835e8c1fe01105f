"""A plain page over everything private, shown when children might see this window."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from pacer.qt import theme
from pacer.qt.widgets import label
from pacer.text import _

TEXT_PX = 40


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
        layout = QVBoxLayout(self)
        layout.setContentsMargins(60, 60, 60, 60)
        layout.addWidget(self._text)

    def say(self, text: str) -> None:
        """Change what it says."""
        self._text.setText(text)
        self.setAccessibleDescription(text)

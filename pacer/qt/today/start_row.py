"""The buttons of Today: the large Start, going on with a lesson that was cut off, and the night before."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from pacer.qt.kit.widgets import button, label
from pacer.text import _


class AsideButton(QPushButton):
    """In a narrow window: brings the ready list in place of the outlines, and them back."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._found = ""
        self.setCheckable(True)
        self.setAutoDefault(True)
        self.toggled.connect(self._name)
        self._name()

    def show_summary(self, found: str) -> None:
        """Say what the list says first, while it is hidden."""
        self._found = found
        self._name()

    def _name(self) -> None:
        if self.isChecked():
            self.setText(_("&Back to outlines"))
        else:
            self.setText(_("&What is ready? {found}").format(found=self._found).strip())


class StartRow(QWidget):
    """``start_asked`` and ``ready_asked`` come with a press of their buttons."""

    start_asked = Signal()
    ready_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Start"))
        self.start_button = button(_("&Start"), self.start_asked.emit, "start", _("Start the lesson now"))
        self.ready_button = button(
            _("Get &ready"),
            self.ready_asked.emit,
            tip=_("Put the title on the Wall; Space starts the lesson"),
        )
        self.keys_line = label(
            _("Page Down: next phase. Page Up: undo. Space: pause. F1 shows the keys."),
            "quiet",
            wrap=True,
        )
        self.aside_button = AsideButton()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(16)
        row.addWidget(self.start_button)
        row.addWidget(self.ready_button)
        row.addWidget(self.keys_line, 1)
        row.addWidget(self.aside_button)

    def fit(self, wide: bool) -> None:
        """The keys are told where there is room for them, else what is ready can be asked for."""
        self.keys_line.setVisible(wide)
        self.aside_button.setVisible(not wide)


class ResumeRow(QWidget):
    """``resume_asked`` and ``close_asked``: go on with the lesson that was cut off, or close it."""

    resume_asked = Signal()
    close_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("A lesson that was cut off"))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        self.text = label("", "notice", wrap=True)
        self.resume_button = button(_("&Go on with it"), self.resume_asked.emit)
        self.close_button = button(_("C&lose it"), self.close_asked.emit)
        row.addWidget(self.text, 1)
        row.addWidget(self.resume_button)
        row.addWidget(self.close_button)


class BeforeRow(QWidget):
    """For the night before: ``rehearse_asked``; ``card_asked`` prints the card, ``save_asked`` saves it."""

    rehearse_asked = Signal()
    card_asked = Signal()
    save_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("The night before"))
        self.rehearse_button = button(
            _("Re&hearse"),
            self.rehearse_asked.emit,
            tip=_("Run the lesson alone, on the Desk only; it is kept apart from real lessons"),
        )
        self.card_button = button(
            _("Print card…"),
            self.card_asked.emit,
            tip=_("One page with clock times, for the day the laptop dies (Ctrl+P)"),
        )
        self.save_button = button(_("Save…"), self.save_asked.emit, tip=_("The card as a PDF"))
        card = QHBoxLayout()
        card.setSpacing(8)
        card.addWidget(self.card_button, 1)
        card.addWidget(self.save_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addWidget(self.rehearse_button)
        column.addLayout(card)

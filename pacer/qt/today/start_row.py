"""The buttons of Today: the large Start, going on with a lesson that was cut off, and the night before."""

from PySide6.QtWidgets import QPushButton, QWidget

from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import button, label
from pacer.text import _


class AsideButton(QPushButton):
    """In a narrow window: brings the ready list in place of the outlines, and them back."""

    def __init__(self) -> None:
        super().__init__()
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
    """Start, Get ready, and beside them the keys or what is ready."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Start"))
        self.start_button = button(_("&Start"), role="start", tip=_("Start the lesson now"))
        tip = _("Put the title on the Wall; Space starts the lesson")
        self.ready_button = button(_("Get &ready"), tip=tip)
        keys = _("Page Down: next phase. Page Up: undo. Space: pause. F1 shows the keys.")
        self.keys_line = label(keys, "quiet", wrap=True)
        self.aside_button = AsideButton()
        buttons = self.start_button, self.ready_button
        row_of(*buttons, (self.keys_line, 1), self.aside_button, gap=16, inside=self)

    def fit(self, wide: bool) -> None:
        """The keys are told where there is room for them, else what is ready can be asked for."""
        self.keys_line.setVisible(wide)
        self.aside_button.setVisible(not wide)


class ResumeRow(QWidget):
    """Says which lesson was cut off; two buttons go on with it or close it."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("A lesson that was cut off"))
        self.text = label("", "notice", wrap=True)
        self.resume_button, self.close_button = button(_("&Go on with it")), button(_("C&lose it"))
        row_of((self.text, 1), self.resume_button, self.close_button, inside=self)


class BeforeRow(QWidget):
    """For the night before: the rehearsal, and the card on paper or as a PDF."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("The night before"))
        tip = _("Run the lesson alone, on the Desk only; it is kept apart from real lessons")
        self.rehearse_button = button(_("Re&hearse"), tip=tip)
        tip = _("One page with clock times, for the day the laptop dies (Ctrl+P)")
        self.card_button = button(_("Print card…"), tip=tip)
        self.save_button = button(_("Save…"), tip=_("The card as a PDF"))
        card = row_of((self.card_button, 1), self.save_button, gap=8)
        column_of(self.rehearse_button, card, gap=10, inside=self)

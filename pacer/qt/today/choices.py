"""The teacher's standing choices on Today: what the Wall shows, and how much the Desk asks for attention."""

from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QSpinBox, QWidget

from pacer.qt.kit.widgets import label, named
from pacer.settings.store import SettingsStore
from pacer.text import _


class Choices(QWidget):
    """One row of boxes and a number, each of which changes its setting."""

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self._settings = settings
        self.setAccessibleName(_("Choices for the Wall and the Desk"))
        self.digits = self._box(_("&digits"), "wall_digits")
        self.squares = self._box(_("s&quares"), "wall_squares")
        self.no_fades = self._box(_("no fades"), "reduced_motion")
        self.talk_limit = self._talk_limit()
        cue = label(_("Talk c&ue"))
        cue.setBuddy(self.talk_limit)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        for widget in (label(_("Wall:")), self.digits, self.squares, self.no_fades):
            row.addWidget(widget)
        row.addStretch(1)
        row.addWidget(cue)
        row.addWidget(self.talk_limit)

    def _box(self, title: str, setting: str) -> QCheckBox:
        box = QCheckBox(title)
        box.setChecked(bool(getattr(self._settings.now, setting)))
        box.setProperty("setting", setting)
        box.toggled.connect(self._on_box)
        return box

    def _talk_limit(self) -> QSpinBox:
        spin = QSpinBox()
        spin.setRange(1, 60)
        spin.setSuffix(_(" min"))
        spin.setValue(max(1, self._settings.now.talk_limit_s // 60))
        spin.valueChanged.connect(self._on_talk_limit)
        spin.lineEdit().setTextMargins(8, 0, 8, 0)
        named(spin, _("Cue after so many minutes of my talk without a break"))
        return spin

    def _on_box(self, checked: bool) -> None:
        box = self.sender()
        if isinstance(box, QCheckBox):
            self._settings.change(**{box.property("setting"): checked})

    def _on_talk_limit(self, minutes: int) -> None:
        self._settings.change(talk_limit_s=minutes * 60)

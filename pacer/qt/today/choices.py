"""The teacher's standing choices on Today: what the Wall shows, and how much the Desk asks for attention."""

from PySide6.QtWidgets import QCheckBox, QWidget

from pacer.qt.kit.rows import STRETCH, row_of
from pacer.qt.kit.widgets import label, spin_box
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
        talk_min = max(1, settings.now.talk_limit_s // 60)
        cue = _("Cue after so many minutes of my talk without a break")
        self.talk_limit = spin_box(talk_min, 1, 60, cue, _(" min"))
        self.talk_limit.valueChanged.connect(self._on_talk_limit)
        wall = label(_("Wall:")), self.digits, self.squares, self.no_fades
        caption = label(_("Talk c&ue"), of=self.talk_limit)
        row_of(*wall, STRETCH, caption, self.talk_limit, gap=12, inside=self)

    def _box(self, title: str, setting: str) -> QCheckBox:
        box = QCheckBox(title)
        box.setChecked(bool(getattr(self._settings.now, setting)))
        box.setProperty("setting", setting)
        box.toggled.connect(self._on_box)
        return box

    def _on_box(self, checked: bool) -> None:
        box = self.sender()
        if isinstance(box, QCheckBox):
            self._settings.change(**{box.property("setting"): checked})

    def _on_talk_limit(self, minutes: int) -> None:
        self._settings.change(talk_limit_s=minutes * 60)

"""The teacher's choice of a tone: on or off, how loud at most, and a try."""

from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QSpinBox, QVBoxLayout, QWidget

from pacer.qt.kit.widgets import button, label, named
from pacer.qt.lesson.tone_player import TonePlayer
from pacer.settings.store import SettingsStore
from pacer.text import _


class ToneRow(QWidget):
    """A box, off at first, and what goes with it."""

    def __init__(self, settings: SettingsStore, player: TonePlayer | None = None) -> None:
        super().__init__()
        self._settings = settings
        self._player = player or TonePlayer(self)
        self._player.trouble_changed.connect(self._show_trouble)
        self.setAccessibleName(_("Tone"))
        self.box = QCheckBox(_("a soft tone when a phase's time is up"))
        self.box.setChecked(settings.now.tone)
        self.level = self._level_spin()
        self.try_it = button(_("Try it"), self._on_try, tip=_("Plays the tone once, here and now"))
        self.trouble = label("", "quiet", wrap=True)
        row = QHBoxLayout()
        row.setSpacing(12)
        loudness = label(_("Loudness"))
        loudness.setBuddy(self.level)
        for widget in (self.box, loudness, self.level, self.try_it):
            row.addWidget(widget)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(row)
        column.addWidget(self.trouble)
        self.box.toggled.connect(self._on_box)
        self.level.valueChanged.connect(self._on_level)
        self._show_trouble()
        self._enable()

    def _level_spin(self) -> QSpinBox:
        spin = QSpinBox()
        spin.setRange(1, 100)
        spin.setSingleStep(5)
        spin.setSuffix(_(" %"))
        spin.setValue(self._settings.now.tone_level)
        spin.setKeyboardTracking(False)
        spin.lineEdit().setTextMargins(8, 0, 8, 0)
        named(spin, _("Loudness of the tone, in percent of the loudest"))
        spin.setToolTip(_("The laptop's own volume makes it louder or quieter as well"))
        return spin

    def _on_box(self, checked: bool) -> None:
        self._enable()
        self._settings.change(tone=checked)

    def _on_level(self, percent: int) -> None:
        self._settings.change(tone_level=percent)

    def _on_try(self) -> None:
        self._player.play(self.level.value())

    def _enable(self) -> None:
        self.level.setEnabled(self.box.isChecked())
        self.try_it.setEnabled(self.box.isChecked())

    def _show_trouble(self) -> None:
        self.trouble.setText(self._player.trouble)
        self.trouble.setVisible(bool(self._player.trouble))

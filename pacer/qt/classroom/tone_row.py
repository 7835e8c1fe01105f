"""The teacher's choice of a tone: on or off, how loud at most, and a try."""

from PySide6.QtWidgets import QWidget

from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.setting_fields import keep, setting_box
from pacer.qt.kit.widgets import button, label, show_words, spin_box
from pacer.qt.lesson.tone_player import TonePlayer
from pacer.settings.store import SettingsStore
from pacer.text import _


class ToneRow(QWidget):
    """A box, off at first, and what goes with it."""

    def __init__(self, settings: SettingsStore, player: TonePlayer | None = None) -> None:
        super().__init__()
        self._player = player or TonePlayer(self)
        self._player.trouble_changed.connect(self._show_trouble)
        self.setAccessibleName(_("Tone"))
        self.box = setting_box(settings, "tone", _("a soft tone when a phase's time is up"))
        loudest = _("Loudness of the tone, in percent of the loudest")
        self.level = spin_box(settings.now.tone_level, 1, 100, loudest, _(" %"))
        self.level.setSingleStep(5)
        self.level.setKeyboardTracking(False)
        self.level.setToolTip(_("The laptop's own volume makes it louder or quieter as well"))
        self.try_it = button(_("Try it"), self._on_try, tip=_("Plays the tone once, here and now"))
        self.trouble = label("", "quiet", wrap=True)
        loudness = label(_("Loudness"), of=self.level)
        fields = row_of(self.box, loudness, self.level, self.try_it, STRETCH, gap=12)
        column_of(fields, self.trouble, gap=6, inside=self)
        self.box.toggled.connect(self._enable)
        keep(self.level.valueChanged, settings, "tone_level")
        self._show_trouble()
        self._enable()

    def _on_try(self) -> None:
        self._player.play(self.level.value())

    def _enable(self) -> None:
        self.level.setEnabled(self.box.isChecked())
        self.try_it.setEnabled(self.box.isChecked())

    def _show_trouble(self) -> None:
        show_words(self.trouble, self._player.trouble)

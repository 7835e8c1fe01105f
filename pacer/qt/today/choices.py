"""The teacher's standing choices on Today: what the Wall shows, and how much the Desk asks for attention."""

from PySide6.QtWidgets import QWidget

from pacer.qt.kit.rows import STRETCH, row_of
from pacer.qt.kit.setting_fields import keep, setting_box
from pacer.qt.kit.widgets import label, spin_box
from pacer.settings.store import SettingsStore
from pacer.text import _


class Choices(QWidget):
    """One row of boxes and a number, each of which changes its setting."""

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self.setAccessibleName(_("Choices for the Wall and the Desk"))
        self.digits = setting_box(settings, "wall_digits", _("&digits"))
        self.squares = setting_box(settings, "wall_squares", _("s&quares"))
        self.no_fades = setting_box(settings, "reduced_motion", _("no fades"))
        talk_min = max(1, settings.now.talk_limit_s // 60)
        cue = _("Cue after so many minutes of my talk without a break")
        self.talk_limit = spin_box(talk_min, 1, 60, cue, _(" min"))
        keep(self.talk_limit.valueChanged, settings, "talk_limit_s", lambda minutes: minutes * 60)
        wall = label(_("Wall:")), self.digits, self.squares, self.no_fades
        caption = label(_("Talk c&ue"), of=self.talk_limit)
        row_of(*wall, STRETCH, caption, self.talk_limit, gap=12, inside=self)

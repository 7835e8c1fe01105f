"""The teacher's choice of an earpiece: on which output her cues are heard, how loud, and a try of each."""

from typing import get_args

from PySide6.QtGui import QHideEvent, QShowEvent, QWheelEvent
from PySide6.QtWidgets import QCheckBox, QComboBox, QPushButton, QSizePolicy, QWidget

from pacer.earpiece.cues import EarCue
from pacer.earpiece.outputs import Output
from pacer.earpiece.voice import find_voice
from pacer.qt.earpiece.player import NOWHERE, EarPlayer
from pacer.qt.kit.flow import Flow
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.setting_fields import keep
from pacer.qt.kit.widgets import button, fill_choices, label, named, show_words, spin_box
from pacer.settings.store import SettingsStore
from pacer.text import _

LEAST_SIGNS = 18  # of a name that are seen; the rest is in the open list


class OutputBox(QComboBox):
    """A list that a mouse wheel on its way down the page does not change."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


class EarpieceRow(QWidget):
    """A list of outputs, none at first, and what goes with it. It asks for outputs only while it is seen."""

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self._settings = settings
        self._player: EarPlayer | None = None
        self._choices: list[Output] = [NOWHERE]
        self.setAccessibleName(_("Earpiece"))
        self.output = named(OutputBox(), _("The output on which you hear cues"))
        self.output.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.output.setMinimumContentsLength(LEAST_SIGNS)
        self.output.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        loudest = _("Loudness of the cues in your ear, in percent of the loudest")
        self.level = spin_box(settings.now.earpiece_level, 1, 100, loudest, _(" %"))
        self.level.setSingleStep(5)
        self.level.setKeyboardTracking(False)
        self.tries = {cue: self._try_button(cue) for cue in get_args(EarCue)}
        self.trouble = label("", "quiet", wrap=True)
        self.caution = label(
            _("For one ear, softly: loud sound harms hearing. Mind your school's rules on earphones."),
            "quiet",
            wrap=True,
        )
        # Asked of the system by name only; its voice is loaded when there is something to render.
        has_voice = find_voice() is not None
        tip = _("A voice of this computer says what is left, or who pays")
        self.words = QCheckBox(_("and a few words"))
        self.words.setChecked(settings.now.earpiece_words and has_voice)
        self.words.setEnabled(has_voice)
        self.words.setToolTip(tip)
        self.words.setAccessibleDescription(tip)
        if not has_voice:
            no_voice = _("Tones alone: this computer has no voice that writes words to a file.")
            self.caution.setText(f"{self.caution.text()} {no_voice}")
        self._lay_out()
        self._fill()
        self.output.activated.connect(self._on_output)
        keep(self.level.valueChanged, settings, "earpiece_level")
        keep(self.words.toggled, settings, "earpiece_words")

    def _lay_out(self) -> None:
        heard_on, loudness = (
            label(_("Cues in my ear, on"), of=self.output),
            label(_("Loudness"), of=self.level),
        )
        self.trying = named(
            Flow(loudness, self.level, self.words, label(_("Try")), *self.tries.values()),
            _("Loudness, and a try of each cue"),
        )
        choice = row_of(heard_on, (self.output, 1), gap=12)
        column_of(choice, self.trying, self.trouble, self.caution, gap=6, inside=self)

    def showEvent(self, event: QShowEvent) -> None:
        """See which outputs there are, for as long as somebody looks."""
        super().showEvent(event)
        if self._player is None:
            self._player = EarPlayer(self._settings.now.earpiece, parent=self)
            self._player.outputs_changed.connect(self._fill)
        self._fill()

    def hideEvent(self, event: QHideEvent) -> None:
        """Leave the sound to others."""
        super().hideEvent(event)
        if self._player is not None:
            self._player.shut()
            self._player.deleteLater()
            self._player = None

    def _try_button(self, cue: EarCue) -> QPushButton:
        words, tip = {
            "closing": (_("Closing"), _("Two short tones, rising: the time is nearly over")),
            "borrowing": (_("Borrowing"), _("A long tone and a short one, falling: others pay now")),
            "move_on": (_("Move on"), _("Two short tones and a long one: leave this now")),
            "visit_up": (_("Visit over"), _("Four quick tones: the time of a visit is up")),
        }[cue]
        push = button(words, self._on_try, tip=tip)
        push.setProperty("cue", cue)
        return push

    def _fill(self) -> None:
        """Show the outputs that are there, and the chosen one even where it is not."""
        chosen = self._settings.now.earpiece
        present = None if self._player is None else self._player.present
        listed = [(_("none"), NOWHERE), *((_listed(output), output) for output in present or ())]
        if chosen not in [output for _words, output in listed]:
            known = present is not None
            words = _("{name} (not there now)", name=chosen.name) if known else chosen.name
            listed.append((words, chosen))
        self._choices = [output for _words, output in listed]
        fill_choices(self.output, listed, chosen)
        self._show_state()

    def _show_state(self) -> None:
        chosen = self._settings.now.earpiece
        trouble = "" if self._player is None else self._player.trouble
        if not trouble and chosen.may_be_the_class_screen:
            trouble = _("This output may be the projector's: then the class hears your cues.")
        show_words(self.trouble, trouble)
        for part in (self.trying, self.caution):
            part.setVisible(chosen != NOWHERE)
        can_try = self._player is not None and not self._player.trouble
        for push in self.tries.values():
            push.setEnabled(can_try)

    def _on_output(self, at: int) -> None:
        chosen = self._choices[at]
        self._settings.change(earpiece=chosen)
        if self._player is not None:
            self._player.choose(chosen)
        self._fill()

    def _on_try(self) -> None:
        push = self.sender()
        if self._player is not None and isinstance(push, QPushButton):
            self._player.play(push.property("cue"), self.level.value())
            self._show_state()


def _listed(output: Output) -> str:
    if output.may_be_the_class_screen:
        return _("{name} (perhaps the projector)", name=output.name)
    return output.name

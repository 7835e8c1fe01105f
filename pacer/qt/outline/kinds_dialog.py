"""The table of phase kinds: usual budget, floor, who gives first, talk and examples, each to be changed."""

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QGridLayout, QLineEdit, QWidget

from pacer.frames.words.kinds import kind_words, standing_words, talk_words
from pacer.plan.durations import brief_duration, parse_duration
from pacer.plan.kinds import KINDS, Kind, KindChange, TalkMode, changed
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import fill_choices, fit_to_screen, label, named, scrolled, show_words, spin_box
from pacer.text import _

TALKS: tuple[TalkMode, ...] = ("teacher", "class", "partners", "quiet", "unmarked")
LEAST_S, MOST_S = 15, 3 * 3600


class KindRow:
    """The fields of one kind; ``change`` reads them."""

    def __init__(self, kind: Kind, change: KindChange | None) -> None:
        self.kind = kind
        now = changed(kind, change)
        title = kind_words(kind.name)
        usual = _("{kind}: usual minutes").format(kind=title)
        self.budget = named(QLineEdit(brief_duration(now.budget_s)), usual)
        self.budget.setMaximumWidth(90)
        floor = _("{kind}: floor in percent").format(kind=title)
        self.floor = spin_box(round(now.floor * 100), 0, 100, floor, " %")
        self.tier = spin_box(now.cut_tier, 1, 9, _("{kind}: when it gives time").format(kind=title))
        self.talk = named(QComboBox(), _("{kind}: who talks").format(kind=title))
        fill_choices(self.talk, ((talk_words(talk), talk) for talk in TALKS), now.talk)
        self.examples = spin_box(now.examples, 0, 20, _("{kind}: examples").format(kind=title))
        self.standing = label(standing_words(now.standing), "quiet")

    @property
    def widgets(self) -> tuple[QWidget, ...]:
        """The fields in the order of the columns."""
        return (self.budget, self.floor, self.tier, self.talk, self.examples, self.standing)

    def budget_s(self) -> int | None:
        """The usual budget in seconds; None where the text is none."""
        try:
            seconds = parse_duration(self.budget.text())
        except ValueError:
            return None
        return seconds if LEAST_S <= seconds <= MOST_S else None

    def change(self) -> KindChange:
        """What differs from the starting values."""
        kind, budget_s = self.kind, self.budget_s()
        percent = self.floor.value()
        talk = self.talk.currentData()
        return KindChange(
            budget_s=None if budget_s == kind.budget_s else budget_s,
            floor_percent=None if percent == round(kind.floor * 100) else percent,
            cut_tier=None if self.tier.value() == kind.cut_tier else self.tier.value(),
            talk=None if talk == kind.talk else talk,
            examples=None if self.examples.value() == kind.examples else self.examples.value(),
        )

    def reset(self) -> None:
        """Put the starting values back."""
        self.budget.setText(brief_duration(self.kind.budget_s))
        self.floor.setValue(round(self.kind.floor * 100))
        self.tier.setValue(self.kind.cut_tier)
        self.talk.setCurrentIndex(TALKS.index(self.kind.talk))
        self.examples.setValue(self.kind.examples)


class KindsDialog(QDialog):
    """All kinds in one table. Accepted only when every figure makes sense."""

    def __init__(self, changes: Mapping[str, KindChange], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(_("Phase kinds"))
        self.rows = [KindRow(kind, changes.get(name)) for name, kind in KINDS.items()]
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(14)
        grid.setVerticalSpacing(4)
        heads = (_("Kind"), _("Minutes"), _("Floor"), _("Gives"), _("Talk"), _("Examples"), _("Where from"))
        for at, words in enumerate(heads):
            grid.addWidget(label(words, bold=True), 0, at)
        for number, row in enumerate(self.rows, start=1):
            grid.addWidget(label(kind_words(row.kind.name)), number, 0)
            for at, widget in enumerate(row.widgets, start=1):
                grid.addWidget(widget, number, at)
        grid.setColumnStretch(6, 1)
        self.problem = label("", "notice", wrap=True)
        self.problem.hide()
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        self.reset_button = buttons.addButton(_("&Starting values"), QDialogButtonBox.ButtonRole.ResetRole)
        self.reset_button.clicked.connect(self._on_reset)
        buttons.accepted.connect(self._on_save)
        buttons.rejected.connect(self.reject)
        words = _(
            "What a new phase of a kind gets where the outline says nothing. Gives: 1 gives time first. "
            "Common practice means the trade does so; there is no published source."
        )
        body = QWidget()
        body.setLayout(grid)
        column_of(
            label(words, "quiet", wrap=True), (scrolled(body, _("Phase kinds")), 1), self.problem, buttons,
            gap=14, inside=self, margins=(28, 22, 28, 22),
        )  # fmt: skip
        room = body.sizeHint()
        fit_to_screen(self, room.width() + 90, room.height() + 190)

    def changes(self) -> dict[str, KindChange]:
        """What differs from the starting values, by kind."""
        changes = {row.kind.name: row.change() for row in self.rows}
        return {name: change for name, change in changes.items() if change != KindChange()}

    def _on_save(self) -> None:
        wrong = next((row for row in self.rows if row.budget_s() is None), None)
        if wrong is None:
            self.accept()
            return
        words = _("{kind}: write minutes from 0:15 to 180, such as 3 or 2:30.")
        show_words(self.problem, words.format(kind=kind_words(wrong.kind.name)))
        wrong.budget.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_reset(self) -> None:
        for row in self.rows:
            row.reset()

    @staticmethod
    def ask(changes: Mapping[str, KindChange], parent: QWidget) -> dict[str, KindChange] | None:
        """The teacher's changes; None when she cancels."""
        dialog = KindsDialog(changes, parent)
        saved = dialog.exec() == QDialog.DialogCode.Accepted
        dialog.deleteLater()
        return dialog.changes() if saved else None

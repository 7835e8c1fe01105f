"""The table of phase kinds: usual budget, floor, who gives first, talk and examples, each to be changed."""

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QWidget,
)

from pacer.frames.words.kinds import kind_words, standing_words, talk_words
from pacer.frames.words.wording import lessons_words
from pacer.plan.durations import brief_duration, format_duration, parse_duration
from pacer.plan.kinds import KINDS, REVIEWING_CAP_S, Kind, KindChange, TalkMode, changed
from pacer.plan.rules import ProblemPace, Reviewing
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import (
    fill_choices,
    fit_to_screen,
    label,
    named,
    scrolled,
    show_words,
    spin_box,
    without_pictures,
)
from pacer.text import _

TALKS: tuple[TalkMode, ...] = ("teacher", "class", "partners", "quiet", "unmarked")
LEAST_S, HOUR_S, MOST_S = 15, 3600, 3 * 3600
MINUTES_PX = 90


class KindRow:
    """The fields of one kind; ``change`` reads them."""

    def __init__(self, kind: Kind, change: KindChange | None) -> None:
        self.kind = kind
        now = changed(kind, change)
        title = kind_words(kind.name)
        usual = _("{kind}: usual minutes").format(kind=title)
        self.budget = _minutes(brief_duration(now.budget_s), usual)
        floor = _("{kind}: floor in percent").format(kind=title)
        self.floor = spin_box(round(now.floor * 100), 0, 100, floor, " %")
        self.tier = spin_box(now.cut_tier, 1, 9, _("{kind}: when it gives time").format(kind=title))
        self.talk = named(QComboBox(), _("{kind}: who talks").format(kind=title))
        fill_choices(self.talk, ((talk_words(talk), talk) for talk in TALKS), now.talk)
        cap = "" if now.cap_s is None else brief_duration(now.cap_s)
        self.cap = _minutes(cap, _("{kind}: never past these minutes").format(kind=title))
        self.cap.setPlaceholderText(_("none"))
        self.cap.setMinimumWidth(MINUTES_PX)  # a narrow window cut that word
        self.examples = spin_box(now.examples, 0, 20, _("{kind}: examples").format(kind=title))
        self.standing = label(standing_words(now.standing), "quiet")

    @property
    def widgets(self) -> tuple[QWidget, ...]:
        """The fields in the order of the columns."""
        return (self.budget, self.floor, self.cap, self.tier, self.talk, self.examples, self.standing)

    def budget_s(self) -> int | None:
        """The usual budget in seconds; None where the text is none."""
        return _seconds(self.budget)

    def wrong(self) -> QLineEdit | None:
        """The first field whose minutes won't do."""
        fields = (self.budget, self.cap) if self.cap.text().strip() else (self.budget,)
        return next((field for field in fields if _seconds(field) is None), None)

    def change(self) -> KindChange:
        """What differs from the starting values."""
        kind, budget_s = self.kind, self.budget_s()
        percent = self.floor.value()
        talk = self.talk.currentData()
        return KindChange(
            budget_s=None if budget_s == kind.budget_s else budget_s,
            floor_percent=None if percent == round(kind.floor * 100) else percent,
            cap_s=None if _seconds(self.cap) == kind.cap_s else _seconds(self.cap),
            cut_tier=None if self.tier.value() == kind.cut_tier else self.tier.value(),
            talk=None if talk == kind.talk else talk,
            examples=None if self.examples.value() == kind.examples else self.examples.value(),
        )

    def reset(self) -> None:
        """Put the starting values back."""
        self.budget.setText(brief_duration(self.kind.budget_s))
        self.floor.setValue(round(self.kind.floor * 100))
        self.cap.setText("" if self.kind.cap_s is None else brief_duration(self.kind.cap_s))
        self.tier.setValue(self.kind.cut_tier)
        self.talk.setCurrentIndex(TALKS.index(self.kind.talk))
        self.examples.setValue(self.kind.examples)


def _minutes(text: str, name: str) -> QLineEdit:
    field = named(QLineEdit(text), name)
    field.setMaximumWidth(MINUTES_PX)
    return field


def _seconds(field: QLineEdit, most_s: int = MOST_S) -> int | None:
    """What a field of minutes says, in seconds; None where that is no time or one that won't do."""
    try:
        seconds = parse_duration(field.text())
    except ValueError:
        return None
    return seconds if LEAST_S <= seconds <= most_s else None


class KindsDialog(QDialog):
    """All kinds in one table, and the teacher's figures for reviewing. Accepted only when all makes sense.

    ``learned`` is how long a review problem takes by past lessons, None where they say nothing.
    """

    def __init__(
        self,
        changes: Mapping[str, KindChange],
        parent: QWidget | None = None,
        reviewing: Reviewing = Reviewing(),  # noqa: B008 - frozen
        learned: ProblemPace | None = None,
    ) -> None:
        super().__init__(parent)
        self.reviewing_cap = _minutes(
            brief_duration(reviewing.cap_s), _("Warm-up and review together: never past these minutes")
        )
        typed = "" if reviewing.problem_s is None else brief_duration(reviewing.problem_s)
        self.problem_minutes = _minutes(typed, _("Minutes for one review problem"))
        self.learned_line = label(_learned_words(learned), "quiet", wrap=True)
        self.setWindowTitle(_("Phase kinds"))
        self.rows = [KindRow(kind, changes.get(name)) for name, kind in KINDS.items()]
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(14)
        grid.setVerticalSpacing(4)
        heads = (
            _("Kind"),
            _("Minutes"),
            _("Floor"),
            _("Cap"),
            _("Gives"),
            _("Talk"),
            _("Examples"),
            _("Where from"),
        )
        for at, words in enumerate(heads):
            grid.addWidget(label(words, bold=True), 0, at)
        for number, row in enumerate(self.rows, start=1):
            grid.addWidget(label(kind_words(row.kind.name)), number, 0)
            for at, widget in enumerate(row.widgets, start=1):
                grid.addWidget(widget, number, at)
        grid.setColumnStretch(7, 1)
        self.problem = label("", "notice", wrap=True)
        self.problem.hide()
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        without_pictures(buttons)
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
            label(words, "quiet", wrap=True), (scrolled(body, _("Phase kinds")), 1), *self._reviewing_rows(),
            self.problem, buttons,
            gap=14, inside=self, margins=(28, 22, 28, 22),
        )  # fmt: skip
        room = body.sizeHint()
        fit_to_screen(self, room.width() + 90, room.height() + 270)

    def _reviewing_rows(self) -> tuple[QHBoxLayout, ...]:
        cap = label(_("Warm-up and review &together, at most"), of=self.reviewing_cap)
        each = label(_("Minutes for one review &problem"), of=self.problem_minutes)
        return (
            row_of(cap, self.reviewing_cap, 20, each, self.problem_minutes, STRETCH, gap=8),
            row_of((self.learned_line, 1)),
        )

    def reviewing(self) -> Reviewing:
        """The figures for reviewing as they are typed."""
        cap_s = _seconds(self.reviewing_cap)
        return Reviewing(REVIEWING_CAP_S if cap_s is None else cap_s, _seconds(self.problem_minutes, HOUR_S))

    def changes(self) -> dict[str, KindChange]:
        """What differs from the starting values, by kind."""
        changes = {row.kind.name: row.change() for row in self.rows}
        return {name: change for name, change in changes.items() if change != KindChange()}

    def _on_save(self) -> None:
        wrong = [
            (field, kind_words(row.kind.name)) for row in self.rows if (field := row.wrong()) is not None
        ]
        if _seconds(self.reviewing_cap) is None:
            wrong.append((self.reviewing_cap, _("Warm-up and review together")))
        if self.problem_minutes.text().strip() and _seconds(self.problem_minutes, HOUR_S) is None:
            wrong.append((self.problem_minutes, _("One review problem")))
        if not wrong:
            self.accept()
            return
        field, what = wrong[0]
        words = _("{kind}: write minutes from 0:15 to {most}, such as 3 or 2:30.")
        most = HOUR_S if field is self.problem_minutes else MOST_S
        show_words(self.problem, words.format(kind=what, most=most // 60))
        field.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_reset(self) -> None:
        for row in self.rows:
            row.reset()
        self.reviewing_cap.setText(brief_duration(REVIEWING_CAP_S))
        self.problem_minutes.clear()

    @staticmethod
    def ask(
        changes: Mapping[str, KindChange],
        parent: QWidget,
        reviewing: Reviewing = Reviewing(),  # noqa: B008 - frozen
        learned: ProblemPace | None = None,
    ) -> tuple[dict[str, KindChange], Reviewing] | None:
        """The teacher's changes and her figures for reviewing; None when she cancels."""
        dialog = KindsDialog(changes, parent, reviewing, learned)
        saved = dialog.exec() == QDialog.DialogCode.Accepted
        dialog.deleteLater()
        return (dialog.changes(), dialog.reviewing()) if saved else None


def _learned_words(learned: ProblemPace | None) -> str:
    if learned is None:
        return _(
            "How long one problem takes is learned from reviews that were done, with their examples planned "
            "or children tallied; three lessons are needed."
        )
    return _(
        "By {lessons} one review problem takes about {each}; type minutes to use your own.",
        lessons=lessons_words(learned.lessons), each=format_duration(learned.seconds),
    )  # fmt: skip

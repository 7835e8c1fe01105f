"""Look back's Budgets: proposals beside the written ones, accepted one by one, and what came of them."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from pydantic import ValidationError
from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QVBoxLayout, QWidget

from pacer.editing.accept_budget import BudgetSaver, NotAcceptedError, Sheet, read_sheet, with_budget
from pacer.frames.words.budgets import (
    BudgetRow,
    accepted_rows,
    budget_row,
    capped_words,
    done_words,
    intro_words,
    place_words,
    plan_words,
    too_few_words,
)
from pacer.frames.words.kinds import kind_words
from pacer.log.accepted import KIND_TABLE, Accepted, AcceptedBudgets
from pacer.log.database import LogError, in_plain_words, transaction
from pacer.log.day_records import DayRecords
from pacer.pace.past import PastEnding
from pacer.plan.durations import format_duration
from pacer.plan.kinds import AFTER_MINI_LESSON, KINDS, Kind, KindChange, changed
from pacer.plan.outline import Phase
from pacer.qt.kit.widgets import button, label, named
from pacer.qt.look_back.budgets.tables import AcceptedTable, ProposalTable
from pacer.review.choice import LIVE
from pacer.review.learning.accepted_effect import Effect, effects
from pacer.review.learning.accepted_past import AcceptedPast
from pacer.review.learning.budgets import Proposal, SortedPast, WholePlan, plan_of
from pacer.review.learning.past_endings import history
from pacer.run.clock import Clock
from pacer.run.events import Mode
from pacer.text import _

_WHERE_PX = 460


class BudgetsPanel(QWidget):
    """Proposals for one outline or for the table of phase kinds. Nothing is applied unasked.

    ``kinds_changed`` carries the new changes of phase kinds, ``outline_saved`` and ``edit_asked`` a path.
    ``modes`` are the lessons in which the effect of what was accepted is looked for.
    """

    kinds_changed = Signal(object)
    outline_saved = Signal(object)
    edit_asked = Signal(object)

    def __init__(
        self,
        records: DayRecords,
        past: Callable[[], SortedPast | None],
        outlines: Path,
        clock: Clock,
        parent: QWidget | None = None,
        *,
        kinds: Callable[[], Mapping[str, KindChange]],
        modes: Collection[Mode] = LIVE,
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Budgets"))
        self._records, self._ask_past, self._outlines = records, past, outlines
        self._clock, self._kinds, self._modes = clock, kinds, modes
        self._saver = BudgetSaver(records.path.parent, clock)
        self._log = AcceptedBudgets(records, records.connection)
        self._past = self._plain_past = SortedPast(())
        self._endings: tuple[PastEnding, ...] | None = None
        self._sheet: Sheet | None = None
        self._accepted: list[Accepted] = []
        self._effects: dict[int, Effect] = {}
        self.where = QComboBox()
        named(self.where, _("Where budgets are accepted"))
        self.where.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.where.setMaximumWidth(_WHERE_PX)
        self.where.activated.connect(self._on_where)
        tip = _("There you choose what moves where the budgets are more than the mini lesson")
        self.edit_button = button(_("Open this outline"), self._on_edit, tip=tip)
        self.trouble = label("", "notice", wrap=True)
        self.said = label("", "quiet", wrap=True)
        self.proposals = ProposalTable()
        self.proposals.pressed.connect(self._on_accept)
        self.whole = label("", "large", wrap=True)
        self.more = label("", "quiet", wrap=True)
        self.accepted = AcceptedTable()
        self.accepted.pressed.connect(self._on_give_back)
        self.nothing_yet = label(
            _("Nothing yet. What you accept is listed here, and after 5 more lessons what it changed."),
            "quiet",
            wrap=True,
        )
        self._lay_out()

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.setSpacing(12)
        words = label(_("Budgets of"), bold=True)
        words.setBuddy(self.where)
        top.addWidget(words)
        top.addWidget(self.where)
        top.addStretch(1)
        top.addWidget(self.edit_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addLayout(top)
        column.addWidget(label(intro_words(), "quiet", wrap=True))
        column.addWidget(self.trouble)
        column.addWidget(self.proposals)
        for widget in (self.whole, self.more, self.said):
            column.addWidget(widget)
        column.addSpacing(6)
        column.addWidget(label(_("Accepted"), bold=True))
        column.addWidget(self.nothing_yet)
        column.addWidget(self.accepted)
        column.addStretch(1)

    # --- what is shown

    def reload(self) -> None:
        """Read the past, the outlines and what was accepted again."""
        self._tell("", "")
        found = self._ask_past()
        if found is None:
            self._tell(trouble=_("The day records can't be read, so nothing is proposed."))
        self._plain_past = SortedPast(()) if found is None else found
        self._endings = None
        self._offer()
        self._show()

    def _show(self) -> None:
        """Read what was accepted, and show what follows from it."""
        self._read_accepted()
        self._show_proposals()
        self._show_accepted()

    def _offer(self) -> None:
        """List the outlines and the table of kinds; what was chosen stays, else the outline saved last is."""
        chosen = self.where.currentData()
        try:
            paths = sorted(path for path in self._outlines.iterdir() if path.suffix == ".toml")
        except OSError:
            paths = []
        with QSignalBlocker(self.where):
            self.where.clear()
            for path in paths:
                self.where.addItem(place_words(path.name), str(path))
            self.where.addItem(_("Phase kinds"), KIND_TABLE)
            wanted = chosen if self.where.findData(chosen) >= 0 else _newest(paths)
            self.where.setCurrentIndex(max(0, self.where.findData(wanted)))

    def _on_edit(self) -> None:
        self.edit_asked.emit(Path(self.where.currentData()))

    def _on_where(self) -> None:
        self._tell("", "")
        self._show_proposals()

    def _show_proposals(self) -> None:
        """Read what is chosen and show its proposals."""
        self._sheet, plan = None, None
        self.edit_button.setEnabled(self.where.currentData() != KIND_TABLE)
        made: Sequence[Proposal] = ()
        if self.where.currentData() == KIND_TABLE:
            made = [self._of_kind(kind) for kind in self._usual_kinds()]
        else:
            try:
                self._sheet = read_sheet(Path(self.where.currentData()))
            except NotAcceptedError as error:
                self._tell(trouble=str(error))
            else:
                plan = plan_of(self._past, self._sheet.outline)
                made = plan.proposals
        self.proposals.show_rows([budget_row(one) for one in made])
        self.proposals.setVisible(bool(made))
        self._show_whole(made, plan)

    def _show_whole(self, made: Sequence[Proposal], plan: WholePlan | None) -> None:
        lines: list[str] = []
        if made and all(one.proposed_s is None for one in made):
            lines = [too_few_words()]
        elif plan is not None:
            lines = plan_words(plan)
            if self._sheet is not None:
                lines += capped_words(made, self._sheet.outline)
        for widget, words in ((self.whole, lines[:1]), (self.more, lines[1:])):
            widget.setText(" ".join(words))
            widget.setVisible(bool(words))

    def _usual_kinds(self) -> list[Kind]:
        """The kinds of a mini lesson as the teacher has them."""
        changes = self._kinds()
        return [
            changed(kind, changes.get(name)) for name, kind in KINDS.items() if name not in AFTER_MINI_LESSON
        ]

    def _of_kind(self, kind: Kind) -> Proposal:
        phase = Phase(
            id="",
            title=kind_words(kind.name),
            kind=kind.name,
            budget_s=kind.budget_s,
            floor_s=0,
            cut_tier=kind.cut_tier,
        )
        return self._past.proposal(phase)[0]

    def _read_accepted(self) -> None:
        """Read what was accepted and what it changed; proposals must know of it, too."""
        self._past, self._effects = self._plain_past, {}
        try:
            self._accepted = self._log.all()
            if self._accepted:
                if self._endings is None:
                    self._endings = history(self._records, self._modes).endings
                began = {run.id: run.started_utc_ms for run in self._records.runs()}
                self._effects = effects(self._endings, self._accepted, began)
                self._past = AcceptedPast(self._endings, self._accepted)
        except LogError as error:
            self._accepted = []
            self._tell(trouble=str(error))

    def _show_accepted(self) -> None:
        self.accepted.show_rows(accepted_rows(self._accepted, self._effects))
        self.nothing_yet.setVisible(not self._accepted)
        self.accepted.setVisible(bool(self._accepted))

    def _tell(self, said: str | None = None, trouble: str | None = None) -> None:
        for widget, words in ((self.said, said), (self.trouble, trouble)):
            if words is not None:
                widget.setText(words)
                widget.setVisible(bool(words))

    # --- accepting

    def _on_accept(self, number: int) -> None:
        row = self.proposals.rows[number]
        try:
            said = self._accept_kind(row) if self._sheet is None else self._accept_phase(self._sheet, row)
        except (NotAcceptedError, LogError) as error:
            self._not_accepted(error)
            return
        self._accepted_now(said)

    def _on_give_back(self, number: int) -> None:
        """Accept an earlier budget back, which is one more acceptance."""
        wanted = self.accepted.rows[number].id
        one = next(each for each in self._accepted if each.id == wanted)
        try:
            if one.target == KIND_TABLE:
                said = self._accept_kind(self._kind_back(one))
            else:
                sheet = read_sheet(self._outlines / one.target)
                said = self._accept_phase(sheet, self._phase_back(sheet, one))
        except (NotAcceptedError, LogError) as error:
            self._not_accepted(error)
            return
        self._accepted_now(said)

    def _accepted_now(self, said: str) -> None:
        self._tell(said, "")
        self._show()

    def _not_accepted(self, error: Exception) -> None:
        """Say why; what is shown is what the files say."""
        self._tell("", "")
        self._show()
        self._tell(trouble=str(error))

    def _kind_back(self, one: Accepted) -> BudgetRow:
        kind = next((kind for kind in self._usual_kinds() if kind.name == one.kind), None)
        if kind is None:
            raise NotAcceptedError(_("There is no phase kind {kind} any more.").format(kind=one.kind))
        return _back(budget_row(self._of_kind(kind)), one)

    def _phase_back(self, sheet: Sheet, one: Accepted) -> BudgetRow:
        index = next((n for n, phase in enumerate(sheet.outline.phases) if phase.id == one.phase), None)
        if index is None:
            words = _("{file} has no phase {phase} any more, so nothing was given back.")
            raise NotAcceptedError(words.format(file=one.target, phase=one.phase))
        return _back(budget_row(self._past.proposal(sheet.outline.phases[index])[0]), one)

    def _accept_kind(self, row: BudgetRow) -> str:
        """Hand on the kinds with one more budget of the teacher's. Raises NotAcceptedError, LogError."""
        changes = dict(self._kinds())
        own = changes.get(row.kind, KindChange()).model_dump()
        usual_s = KINDS[row.kind].budget_s
        try:
            change = KindChange(**{**own, "budget_s": None if row.new_s == usual_s else row.new_s})
        except ValidationError as error:
            words = _("{kind} can't have {time}: a kind has from 0:15 to 180 minutes.")
            raise NotAcceptedError(words.format(kind=row.title, time=format_duration(row.new_s))) from error
        changes[row.kind] = change
        self._note(KIND_TABLE, row)
        self.kinds_changed.emit({name: each for name, each in changes.items() if each != KindChange()})
        return done_words(row.title, row.old_s, row.new_s, _("Phase kinds"))

    def _accept_phase(self, sheet: Sheet, row: BudgetRow) -> str:
        """Write one budget into an outline and note it, or neither. Raises NotAcceptedError, LogError."""
        index = next(n for n, phase in enumerate(sheet.outline.phases) if phase.id == row.phase)
        text, said = with_budget(sheet, index, row.new_s)
        self._log.must_write()
        with in_plain_words(self._records.path), transaction(self._records.connection):
            self._note(sheet.path.name, row)
            notice = self._saver.save(sheet, text)
        self.outline_saved.emit(sheet.path)
        done = done_words(row.title, row.old_s, row.new_s, sheet.path.name)
        return " ".join(words for words in (done, said, notice) if words)

    def _note(self, target: str, row: BudgetRow) -> None:
        self._log.add(
            utc_ms=self._clock.now().utc_ms,
            target=target,
            phase="" if target == KIND_TABLE else row.phase,
            kind=row.kind,
            old_s=row.old_s,
            new_s=row.new_s,
            lessons=row.lessons,
            cut_off=row.cut_off,
        )


def _back(row: BudgetRow, one: Accepted) -> BudgetRow:
    """What is written now, to be replaced by the budget before an acceptance."""
    if row.old_s == one.old_s:
        words = _("{phase} has {time} already.")
        raise NotAcceptedError(words.format(phase=row.title, time=format_duration(one.old_s)))
    return replace(row, new_s=one.old_s)


def _newest(paths: Sequence[Path]) -> str:
    """The outline that was saved last; the table of kinds where there is none."""
    times = []
    for path in paths:
        try:
            times.append((path.stat().st_mtime_ns, str(path)))
        except OSError:
            continue
    return max(times)[1] if times else KIND_TABLE

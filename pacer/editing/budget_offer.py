"""Budgets being accepted: proposals for one outline or for the table of phase kinds, each accepted alone."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import ValidationError

from pacer.editing.accept_budget import BudgetSaver, NotAcceptedError, ReadOutline, read_sheet, with_budget
from pacer.frames.words.budgets import (
    AcceptedRow,
    BudgetRow,
    accepted_rows,
    budget_row,
    capped_words,
    done_words,
    place_words,
    plan_words,
    too_few_words,
)
from pacer.frames.words.kinds import kind_words
from pacer.log.accepted import KIND_TABLE, Accepted
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.pace.forecasts.past import PastEnding
from pacer.plan.durations import format_duration
from pacer.plan.kinds import AFTER_MINI_LESSON, KINDS, Kind, KindChange, changed
from pacer.plan.outline import Outline, Phase
from pacer.review.learning.accepted_effect import Effect, effects
from pacer.review.learning.accepted_past import AcceptedPast
from pacer.review.learning.budgets import Proposal, SortedPast, WholePlan, plan_of
from pacer.review.learning.past_endings import history
from pacer.run.clock import Clock
from pacer.run.events import Mode
from pacer.settings.outline_files import outlines_in
from pacer.settings.outline_shelf import own_outlines
from pacer.text import _


@dataclass(frozen=True)
class Acceptance:
    """One budget was accepted: what to say, and the changed table of kinds or the path of the outline."""

    said: str
    kinds: Mapping[str, KindChange] | None = None
    outline: Path | None = None


class BudgetOffer:
    """What is proposed for one target (an outline's path, or ``KIND_TABLE``), and what was accepted so far.

    ``past`` gives what past lessons say, None where they can't be read; ``kinds`` the teacher's changes of
    phase kinds. ``modes`` are the lessons in which the effect of what was accepted is looked for. ``trouble``
    is what could not be read, in words; ``whole`` and ``more`` say what the proposals come to.
    """

    def __init__(
        self,
        records: DayRecords,
        past: Callable[[], SortedPast | None],
        outlines: Path,
        clock: Clock,
        kinds: Callable[[], Mapping[str, KindChange]],
        modes: Collection[Mode],
    ) -> None:
        self._records, self._ask_past, self._outlines = records, past, outlines
        self._clock, self._kinds, self._modes = clock, kinds, modes
        self._saver = BudgetSaver(records.path.parent, clock)
        self._log = records.accepted()
        self._past = self._plain_past = SortedPast(())
        self._endings: tuple[PastEnding, ...] | None = None
        self._sheet: ReadOutline | None = None
        self._readable: Mapping[str, Outline] = {}
        self._accepted: list[Accepted] = []
        self.proposals: Sequence[BudgetRow] = ()
        self.accepted: Sequence[AcceptedRow] = ()
        self.whole = self.more = self.trouble = ""

    # --- what is proposed

    def outlines(self) -> dict[Path, str]:
        """The outlines in the teacher's folder, each with what it is called; none where it can't be read."""
        return {path: place_words(path.name, self._readable) for path in outlines_in(self._outlines)}

    def reload(self) -> None:
        """Read the past and the outlines again."""
        self.trouble = ""
        entries = own_outlines(self._outlines)
        self._readable = {entry.path.name: entry.outline for entry in entries if entry.outline is not None}
        past = self._ask_past()
        if past is None:
            self.trouble = _("The day records can't be read, so nothing is proposed.")
        self._plain_past = SortedPast(()) if past is None else past
        self._endings = None

    def look(self, target: str) -> None:
        """Read what was accepted and what it changed, then what is proposed, which must know of it."""
        self._past, past = self._plain_past, dict[int, Effect]()
        try:
            self._accepted = self._log.all()
            if self._accepted:
                if self._endings is None:
                    self._endings = history(self._records, self._modes).endings
                began = {run.id: run.started_utc_ms for run in self._records.runs()}
                past = effects(self._endings, self._accepted, began)
                self._past = AcceptedPast(self._endings, self._accepted)
        except LogError as error:
            self._accepted = []
            self.trouble = str(error)
        self.accepted = accepted_rows(self._accepted, past, self._readable)
        self._propose(target)

    def choose(self, target: str) -> None:
        """Another target: read it, and what is proposed for it."""
        self.trouble = ""
        self._propose(target)

    def _propose(self, target: str) -> None:
        self._sheet, plan = None, None
        proposed: Sequence[Proposal] = ()
        if target == KIND_TABLE:
            proposed = [self._of_kind(kind) for kind in self._usual_kinds()]
        else:
            try:
                self._sheet = read_sheet(Path(target))
            except NotAcceptedError as error:
                self.trouble = str(error)
            else:
                plan = plan_of(self._past, self._sheet.outline)
                proposed = plan.proposals
        self.proposals = [budget_row(proposal) for proposal in proposed]
        lines = self._sum_up(proposed, plan)
        self.whole, self.more = " ".join(lines[:1]), " ".join(lines[1:])

    def _sum_up(self, proposed: Sequence[Proposal], plan: WholePlan | None) -> list[str]:
        if proposed and all(proposal.proposed_s is None for proposal in proposed):
            return [too_few_words()]
        if plan is None or self._sheet is None:
            return []
        return plan_words(plan) + capped_words(proposed, self._sheet.outline)

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

    # --- accepting

    def accept(self, row: BudgetRow) -> Acceptance:
        """Accept one proposal, or nothing. Raises NotAcceptedError, LogError."""
        return self._accept_kind(row) if self._sheet is None else self._accept_phase(self._sheet, row)

    def give_back(self, number: int) -> Acceptance:
        """Accept the budget before an acceptance, which is one more. Raises NotAcceptedError, LogError."""
        acceptance = next(acceptance for acceptance in self._accepted if acceptance.id == number)
        if acceptance.target == KIND_TABLE:
            return self._accept_kind(self._kind_back(acceptance))
        sheet = read_sheet(self._outlines / acceptance.target)
        return self._accept_phase(sheet, self._phase_back(sheet, acceptance))

    def _kind_back(self, acceptance: Accepted) -> BudgetRow:
        kind = next((kind for kind in self._usual_kinds() if kind.name == acceptance.kind), None)
        if kind is None:
            raise NotAcceptedError(_("There is no phase kind {kind} any more.", kind=acceptance.kind))
        return _back(budget_row(self._of_kind(kind)), acceptance)

    def _phase_back(self, sheet: ReadOutline, acceptance: Accepted) -> BudgetRow:
        index = next(
            (n for n, phase in enumerate(sheet.outline.phases) if phase.id == acceptance.phase), None
        )
        if index is None:
            words = _("{file} has no phase {phase} any more, so nothing was given back.")
            raise NotAcceptedError(words.format(file=acceptance.target, phase=acceptance.phase))
        return _back(budget_row(self._past.proposal(sheet.outline.phases[index])[0]), acceptance)

    def _accept_kind(self, row: BudgetRow) -> Acceptance:
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
        kinds = {name: change for name, change in changes.items() if change != KindChange()}
        return Acceptance(done_words(row.title, row.old_s, row.new_s, _("Phase kinds")), kinds=kinds)

    def _accept_phase(self, sheet: ReadOutline, row: BudgetRow) -> Acceptance:
        """Write one budget into an outline and note it, or neither."""
        index = next(n for n, phase in enumerate(sheet.outline.phases) if phase.id == row.phase)
        text, consequences = with_budget(sheet, index, row.new_s)
        with self._log.together():
            self._note(sheet.path.name, row)
            notice = self._saver.save(sheet, text)
        where = place_words(sheet.path.name, {**self._readable, sheet.path.name: sheet.outline})
        done = done_words(row.title, row.old_s, row.new_s, where)
        return Acceptance(
            " ".join(words for words in (done, consequences, notice) if words), outline=sheet.path
        )

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


def newest(paths: Iterable[Path]) -> str:
    """The outline that was saved last; the table of kinds where there is none."""
    times = []
    for path in paths:
        try:
            times.append((path.stat().st_mtime_ns, str(path)))
        except OSError:
            continue
    return max(times)[1] if times else KIND_TABLE


def _back(row: BudgetRow, acceptance: Accepted) -> BudgetRow:
    """What is written now, to be replaced by the budget before an acceptance."""
    if row.old_s == acceptance.old_s:
        words = _("{phase} has {time} already.")
        raise NotAcceptedError(words.format(phase=row.title, time=format_duration(acceptance.old_s)))
    return replace(row, new_s=acceptance.old_s)

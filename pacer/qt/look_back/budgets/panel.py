"""Look back's Budgets: proposals beside the written ones, accepted one by one, and what came of them."""

from collections.abc import Callable, Collection, Mapping
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QWidget

from pacer.editing.accept_budget import NotAcceptedError
from pacer.editing.budget_offer import Acceptance, BudgetOffer, newest
from pacer.frames.words.budgets import intro_words
from pacer.log.accepted import KIND_TABLE
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.plan.kinds import KindChange
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, fill_choices, label, named, notice, show_words
from pacer.qt.look_back.budgets.tables import AcceptedTable, ProposalTable
from pacer.review.choice import LIVE
from pacer.review.learning.budgets import SortedPast
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
        self.offer = BudgetOffer(records, past, outlines, clock, kinds, modes)
        self.where = named(QComboBox(), _("Where budgets are accepted"))
        self.where.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.where.setMaximumWidth(_WHERE_PX)
        self.where.activated.connect(self._on_where)
        tip = _("There you choose what moves where the budgets are more than the mini lesson")
        self.edit_button = button(_("Open this outline"), self._on_edit, tip=tip)
        self.trouble = notice()
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
        caption = label(_("Budgets of"), bold=True, of=self.where)
        column_of(
            row_of(caption, self.where, STRETCH, self.edit_button, gap=12),
            label(intro_words(), "quiet", wrap=True),
            self.trouble,
            self.proposals,
            self.whole,
            self.more,
            self.said,
            6,
            label(_("Accepted"), bold=True),
            self.nothing_yet,
            self.accepted,
            STRETCH,
            gap=8,
            inside=self,
        )

    # --- what is shown

    def reload(self) -> None:
        """Read the past, the outlines and what was accepted again."""
        self.offer.reload()
        self._list_targets()
        self._look()

    def _list_targets(self) -> None:
        """List the outlines and the table of kinds; what was chosen stays, else the outline saved last is."""
        chosen, outlines = self.where.currentData(), self.offer.outlines()
        choices = {str(path): words for path, words in outlines.items()} | {KIND_TABLE: _("Phase kinds")}
        wanted = chosen if chosen in choices else newest(outlines)
        fill_choices(self.where, ((words, place) for place, words in choices.items()), wanted)

    def _on_edit(self) -> None:
        self.edit_asked.emit(Path(self.where.currentData()))

    def _on_where(self) -> None:
        self.offer.choose(self.where.currentData())
        self._show_proposals()

    def _look(self, report: str = "", trouble: str = "") -> None:
        """Read again and show what was accepted and what is proposed now."""
        self.offer.look(self.where.currentData())
        rows = self.offer.accepted
        self.accepted.show_rows(rows)
        self.nothing_yet.setVisible(not rows)
        self.accepted.setVisible(bool(rows))
        self._show_proposals(report, trouble)

    def _show_proposals(self, report: str = "", trouble: str = "") -> None:
        offer = self.offer
        self.edit_button.setEnabled(self.where.currentData() != KIND_TABLE)
        self.proposals.show_rows(offer.proposals)
        self.proposals.setVisible(bool(offer.proposals))
        show_words(self.whole, offer.whole)
        show_words(self.more, offer.more)
        show_words(self.said, report)
        show_words(self.trouble, trouble or offer.trouble)

    # --- accepting

    def _on_accept(self, number: int) -> None:
        self._accept(lambda: self.offer.accept(self.proposals.rows[number]))

    def _on_give_back(self, number: int) -> None:
        self._accept(lambda: self.offer.give_back(self.accepted.rows[number].id))

    def _accept(self, accept: Callable[[], Acceptance]) -> None:
        """Accept, tell it around, and show what the files say now; say why where nothing was accepted."""
        self.offer.trouble = ""
        try:
            done = accept()
        except (NotAcceptedError, LogError) as error:
            self._look(trouble=str(error))
            return
        if done.kinds is not None:
            self.kinds_changed.emit(done.kinds)
        if done.outline is not None:
            self.outline_saved.emit(done.outline)
        self._look(report=done.said)

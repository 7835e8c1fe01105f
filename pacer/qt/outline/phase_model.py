"""The table of phases as a model: what is written, what else its kind gives, and what is wrong."""

from collections.abc import Mapping
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal

from pacer.frames.words.kinds import choice_words
from pacer.frames.words.outline import phase_words
from pacer.frames.words.past import PastFrame
from pacer.plan.draft.check import DraftCheck
from pacer.plan.draft.draft import Draft, DraftPhase
from pacer.plan.durations import brief_duration
from pacer.plan.outline import Phase
from pacer.qt.kit import theme
from pacer.text import _

Index = QModelIndex | QPersistentModelIndex
FIELDS = ("title", "kind", "budget", "floor", "cap", "cut_tier", "movable", "talk", "usually")
USUALLY = FIELDS.index("usually")
_RIGHT = frozenset({"budget", "floor", "cap", "cut_tier"})
PAST_ROLE = Qt.ItemDataRole.UserRole
NO_LOOK = DraftCheck(None, {}, (), {})


def _help(field: str) -> str:
    return {
        "title": _("What the phase is called"),
        "kind": _("What it is: its floor, its talk and when it gives follow from that"),
        "budget": _("Planned minutes: 3 or 2:30"),
        "floor": _("The least that is worth starting"),
        "cap": _("Never past this"),
        "cut_tier": _("1 gives first, 3 gives last"),
        "movable": _("Where it goes when there is no time"),
        "talk": _("Who talks"),
        "usually": _(
            "What past lessons took: a dot a lesson, open where it was cut off; the line is the budget"
        ),
    }[field]


class PhaseTableModel(QAbstractTableModel):
    """Rows are phases. ``edited`` carries (key, field, text); the model itself changes nothing."""

    edited = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.draft = Draft()
        self.look = NO_LOOK
        self.past: Mapping[str, PastFrame] = {}

    def show(self, draft: Draft, look: DraftCheck, past: Mapping[str, PastFrame]) -> None:
        """Show another draft; rows that are the same phases as before keep cursor and editors."""
        is_same = [p.key for p in draft.phases] == [p.key for p in self.draft.phases]
        if not is_same:
            self.beginResetModel()
        self.draft, self.look, self.past = draft, look, past
        if not is_same:
            self.endResetModel()
        elif draft.phases:
            self.dataChanged.emit(self.index(0, 0), self.index(len(draft.phases) - 1, USUALLY))

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(self.draft.phases)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(FIELDS)

    def flags(self, index: Index) -> Qt.ItemFlag:
        if not index.isValid():
            return Qt.ItemFlag.ItemIsDropEnabled
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsDragEnabled
        return flags if index.column() == USUALLY else flags | Qt.ItemFlag.ItemIsEditable

    def supportedDropActions(self) -> Qt.DropAction:
        """Rows are moved; nothing is ever copied or taken in by a drag."""
        return Qt.DropAction.MoveAction

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if orientation == Qt.Orientation.Vertical:
            return str(section + 1) if role == Qt.ItemDataRole.DisplayRole else None
        field = FIELDS[section]
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return phase_words(field)
            case Qt.ItemDataRole.ToolTipRole | Qt.ItemDataRole.AccessibleDescriptionRole:
                return _help(field)
            case Qt.ItemDataRole.TextAlignmentRole:
                return _aligned(field)
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid() or index.row() >= len(self.draft.phases):
            return None
        written, field = self.draft.phases[index.row()], FIELDS[index.column()]
        frame = self.past.get(written.key)
        if role == PAST_ROLE:
            return frame if field == "usually" else None
        text = "" if field == "usually" else str(getattr(written, field))
        wrong = self.look.problems.get((written.key, field), "")
        match role:
            case Qt.ItemDataRole.EditRole:
                return text
            case Qt.ItemDataRole.DisplayRole:
                return self._shown(written, field, text, wrong)
            case Qt.ItemDataRole.ToolTipRole:
                return wrong or (frame.sentence if frame and field == "usually" else None)
            case Qt.ItemDataRole.AccessibleTextRole:
                return f"{phase_words(field)}: {self._shown(written, field, text, wrong)}. {wrong}".strip()
            case Qt.ItemDataRole.TextAlignmentRole:
                return _aligned(field)
            case Qt.ItemDataRole.ForegroundRole:
                return None if text or wrong else theme.OUTLINE
            case Qt.ItemDataRole.BackgroundRole:
                return theme.SAND if wrong else None
        return None

    def _shown(self, written: DraftPhase, field: str, text: str, wrong: str) -> str:
        if field == "usually":
            frame = self.past.get(written.key)
            return frame.cells[-1] if frame else ""
        if text:
            return choice_words(field, text)
        if wrong:
            return "?"
        phase = self.look.phases.get(written.key)
        return given_words(phase, field) if phase else ""

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        if role != Qt.ItemDataRole.EditRole or not index.isValid():
            return False
        written, field = self.draft.phases[index.row()], FIELDS[index.column()]
        if str(value) != getattr(written, field):
            self.edited.emit((written.key, field, str(value)))
        return True

    def key_at(self, row: int) -> str | None:
        """The key of the phase in a row."""
        return self.draft.phases[row].key if 0 <= row < len(self.draft.phases) else None


def _aligned(field: str) -> Qt.AlignmentFlag:
    side = Qt.AlignmentFlag.AlignRight if field in _RIGHT else Qt.AlignmentFlag.AlignLeft
    return side | Qt.AlignmentFlag.AlignVCenter


def given_words(phase: Phase, field: str) -> str:
    """What holds where nothing is written, by the kind."""
    match field:
        case "kind":
            return choice_words(field, phase.kind)
        case "floor":
            return brief_duration(phase.floor_s)
        case "cut_tier":
            return str(phase.cut_tier)
        case "talk":
            return "–" if phase.talk == "unmarked" else choice_words(field, phase.talk)
        case "movable":
            return "–"
    return ""

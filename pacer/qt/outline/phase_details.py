"""Everything of the chosen phase that the text does not say, folded under the outline."""

from collections.abc import Mapping

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QLineEdit,
    QPlainTextEdit,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from pacer.frames.words.outline import phase_words
from pacer.plan.draft.draft import DraftPhase, bursts_from, bursts_text
from pacer.plan.draft.fields import tidied
from pacer.plan.outline import Phase
from pacer.qt.kit import theme
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import button, fill_choices, named, set_look
from pacer.qt.outline.head import caption, line_field, show_value
from pacer.qt.outline.phase_delegates import choice_pairs
from pacer.qt.outline.phase_model import given_words
from pacer.qt.outline.text_pane import PageKeys, notes_editor, put_text
from pacer.text import _

LINES = ("class_line", "second_line", "attach", "page", "examples", "floor", "cap")
CHOSEN = ("kind", "cut_tier", "movable", "talk")
TEXTS = ("problem", "notes", "bursts")
_WIDE = QLineEdit | QPlainTextEdit | QComboBox
WALLS = ("", "full", "strip", "off")


def _help(name: str) -> str:
    return {
        "class_line": _("One short line that children read"),
        "second_line": _("The same in another language"),
        "problem": _("A problem or a sentence frame that can fill the Wall"),
        "notes": _("What you want to remember; never on the Wall"),
        "bursts": _("One a line: 0:30 | The denominator tells me …"),
        "attach": _("A file beside the outline, shown on the Wall when you ask for it"),
        "page": _("The page of the PDF to begin with"),
        "examples": _("How many examples or problems are planned"),
        "floor": _("The least that is worth starting"),
        "cap": _("Never past this"),
        "kind": _("What it is: its floor, its talk and when it gives follow from that"),
        "cut_tier": _("1 gives first, 3 gives last"),
        "movable": _("Where it goes when there is no time"),
        "talk": _("Who talks"),
        "wall": _("The face that the Wall turns to when the phase begins"),
    }[name]


class PhaseDetails(QWidget):
    """``edited`` carries (key, field, text); ``file_asked`` the key of the phase that wants a file."""

    edited = Signal(object)
    file_asked = Signal(str)

    def __init__(self, keys: PageKeys) -> None:
        super().__init__()
        self.setAccessibleName(_("Details of the chosen phase"))
        self.key = ""
        self.lines = {name: line_field(phase_words(name), _help(name), keys) for name in LINES}
        self.texts = {name: notes_editor(phase_words(name), keys) for name in TEXTS}
        self.wall = named(QComboBox(), phase_words("wall"))
        words = (_("as it is"), _("full"), _("strip"), _("off"))
        fill_choices(self.wall, zip(words, WALLS, strict=True))
        self.boxes = {name: named(QComboBox(), phase_words(name)) for name in CHOSEN}
        self.choose = button(_("Choose…"), self._on_file, "small", _("Choose a picture or a PDF"))
        self._connect()
        self._lay_out()
        self.show_phase(None, {})

    def _connect(self) -> None:
        for field in self.lines.values():
            field.textEdited.connect(self._on_line)
        for name, editor in self.texts.items():
            editor.setFont(theme.font(14))
            editor.setToolTip(_help(name))
            editor.setAccessibleDescription(_help(name))
            editor.textChanged.connect(self._on_text)
        self.texts["bursts"].setPlaceholderText("0:30 | …")
        self.wall.currentIndexChanged.connect(self._on_wall)
        for name, box in self.boxes.items():
            box.setToolTip(_help(name))
            box.currentIndexChanged.connect(self._on_box)

    def _lay_out(self) -> None:
        """Three rows across the page: what the class reads, what it looks at, and the figures."""
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(16)
        grid.setVerticalSpacing(6)
        self.lines["page"].setFixedWidth(64)
        grid.addLayout(_under(phase_words("class_line"), self.lines["class_line"]), 0, 0)
        grid.addLayout(_under(phase_words("second_line"), self.lines["second_line"]), 1, 0)
        for column, name in enumerate(TEXTS, start=1):
            grid.addLayout(_under(phase_words(name), self.texts[name]), 0, column, 2, 1)
            self.texts[name].setMinimumHeight(60)
        grid.addLayout(_under(phase_words("attach"), self.lines["attach"], self.choose), 0, 4)
        page = _under(phase_words("page"), self.lines["page"])
        grid.addLayout(row_of(page, (_under(phase_words("wall"), self.wall), 1), gap=8), 1, 4)
        figures = [(_under(phase_words(name), self.lines[name]), 1) for name in ("floor", "cap", "examples")]
        figures += [(_under(phase_words(name), box), 1) for name, box in self.boxes.items()]
        grid.addLayout(row_of(*figures, gap=12), 2, 0, 1, 5)
        for column, share in enumerate((5, 4, 6, 4, 5)):
            grid.setColumnStretch(column, share)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)

    def show_phase(
        self, phase: DraftPhase | None, problems: Mapping[str, str], given: Phase | None = None
    ) -> None:
        """Show a phase and mark what is wrong; None where none is chosen. ``given``: what it comes to."""
        self.setEnabled(phase is not None)
        phase = phase or DraftPhase("")
        self.key = phase.key
        for name, field in self.lines.items():
            show_value(field, name, str(getattr(phase, name)))
        for name, editor in self.texts.items():
            self._show_text(name, editor, phase)
        self.lines["floor"].setPlaceholderText("" if given is None else given_words(given, "floor"))
        for name, box in self.boxes.items():
            value = getattr(phase, name) or ("other" if name == "kind" else "")
            usual = "" if given is None or value else given_words(given, name)
            key = value, usual
            if box.property("shown") != key:
                box.setProperty("shown", key)
                fill_choices(box, choice_pairs(name, value, usual), value)
        with QSignalBlocker(self.wall):
            self.wall.setCurrentIndex(max(0, self.wall.findData(phase.wall)))
        for name, widget in (*self.lines.items(), *self.texts.items(), *self.boxes.items()):
            set_look(widget, "wrong", name in problems)
            widget.setAccessibleDescription(problems.get(name) or _help(name))

    def begin(self) -> None:
        """Put the keyboard into the first field."""
        self.lines[LINES[0]].setFocus()

    def _show_text(self, name: str, editor: QPlainTextEdit, phase: DraftPhase) -> None:
        if name == "bursts":
            if bursts_from(editor.toPlainText()) != phase.bursts:
                put_text(editor, bursts_text(phase.bursts))
        elif tidied(name, editor.toPlainText()) != getattr(phase, name):
            put_text(editor, getattr(phase, name))

    def _on_line(self, text: str) -> None:
        name = next((name for name, field in self.lines.items() if field is self.sender()), None)
        if name is not None and self.key:
            self.edited.emit((self.key, name, text))

    def _on_text(self) -> None:
        name = next((name for name, editor in self.texts.items() if editor is self.sender()), None)
        if name is not None and self.key:
            self.edited.emit((self.key, name, self.texts[name].toPlainText()))

    def _on_box(self) -> None:
        name = next((name for name, box in self.boxes.items() if box is self.sender()), None)
        if name is not None and self.key:
            self.edited.emit((self.key, name, str(self.boxes[name].currentData())))

    def _on_wall(self, at: int) -> None:
        if self.key:
            self.edited.emit((self.key, "wall", WALLS[at]))

    def _on_file(self) -> None:
        if self.key:
            self.file_asked.emit(self.key)


def _under(words: str, field: QWidget, *beside: QWidget) -> QVBoxLayout:
    """A field and what stands beside it under its caption; a line, text or list is wide."""
    fields = ((part, int(isinstance(part, _WIDE))) for part in (field, *beside))
    return column_of(caption(words, field), row_of(*fields, gap=6), gap=2)
